"""The convert calculator: every form a maker writes, in another unit; and each refusal its sentence."""

import pytest

from workshop.drawer.convert import convert
from workshop.drawer.declare import Answer, Given, Quantity
from workshop.errors import ShopError

DRILLS = {
    "series": [
        {"id": "number", "set": "inch", "unit": "in", "before": "#", "sizes": {"21": "0.159"}},
        {"id": "letter", "set": "inch", "unit": "in", "sizes": {"F": "0.257"}},
    ]
}
"""Two of ASME B94.11M-1993, as given in Machinery's Handbook p. 827."""


def ask(value: str, to: str, stated: str | None = None) -> Answer:
    return convert(Given({"value": value, "to": to, "from": stated}, {"drills": DRILLS}))


@pytest.mark.parametrize(
    ("value", "to", "shown", "number"),
    [
        ("1 1/4 in", "mm", "31.75 mm", 31.75),
        ('1-1/4"', "mm", "31.75 mm", 31.75),
        ("5/32", "mm", "3.96875 mm", 3.96875),
        (".156", "mm", "3.9624 mm", 3.9624),
        ("156 thou", "mm", "3.9624 mm", 3.9624),
        ("3mm", "in", "0.11811 in", 3 / 25.4),
        ("3mm", "fraction", "1/8 in - 6.9 thou", 3 / 25.4),
        ("3", "in", "0.11811 in", 3 / 25.4),
        ("2' 3 1/2\"", "cm", "69.85 cm", 69.85),
        ("25.4mm + 3 thou", "thou", "1003 thou", 1003),
        ("3/16in - 0.5mm", "mm", "4.2625 mm", 4.2625),
        ("-3 mm", "in", "-0.11811 in", -3 / 25.4),
        ("70F", "C", "21.1111 °C", 190 / 9),
        ("70", "°C", "21.1111 °C", 190 / 9),
        ("−3 °C", "F", "26.6 °F", 26.6),
        ("10 C", "F step", "18 °F", 18),
        ("1h30", "min", "90 min", 90),
        ("1:30:00", "h", "1.5 h", 1.5),
        ("2 weeks", "d", "14 d", 14),
        ("100:27 by weight", "ratio", "3.7037:1 by weight", 100 / 27),
        ("1 to 4", "ratio", "0.25:1", 0.25),
        ("62 %", "%", "62 %", 62),
        ("62", "%", "62 %", 62),
        ("1 lb 3 oz", "g", "538.641 g", 538.640939375),
        ("0.4 oz", "g", "11.3398 g", 11.33980925),
        ("12", "oz", "0.423288 oz", 12 / 28.349523125),
        ("20° 30'", "rad", "0.357792 rad", 0.35779249665883756),
        ("3600 sfpm", "m/s", "18.288 m/s", 18.288),
        ("1725 rpm", "rev/s", "28.75 rev/s", 28.75),
        ("$12.50", "money", "$12.50", 12.5),
        ("15 × 4", "count", "60", 60),
        ("60", "HRC", "60 HRC", 60),
        # NIST SP 811 Appendix B.8: mile 1.609 344 E+03 m; horsepower (550 ft·lbf/s) 7.456 999 E+02 W.
        ("1 mile", "m", "1609.344 m", 1609.344),
        ("2 hp", "kW", "1.4914 kW", 1.4913998),
        ("1609.344 m", "mile", "1 mile", 1),
        ("#21", "mm", "4.0386 mm", 4.0386),
        ("No. 21", "thou", "159 thou", 159),
        ("letter F", "in", "0.257 in", 0.257),
    ],
)
def test_converted(value: str, to: str, shown: str, number: float) -> None:
    found = ask(value, to).found["value"]
    assert isinstance(found, Quantity)
    assert found.text == shown
    assert found.value == pytest.approx(number, rel=1e-7)
    assert found.unit in {shown.split(" ", 1)[-1], "", "in"}


@pytest.mark.parametrize(
    ("value", "fraction", "thou"),
    [
        ("31.75 mm", "1 1/4 in", 0),
        ("3 mm", "1/8 in", -6.88976),
        ("4 mm", "5/32 in", 1.23031),
        ("0 mm", "0 in", 0),
    ],
)
def test_a_length_is_put_to_the_nearest_64th(value: str, fraction: str, thou: float) -> None:
    found = ask(value, "mm").found
    assert found["fraction"] == fraction
    assert float(found["error"]) / 25.4e-6 == pytest.approx(thou, abs=1e-5)


def test_only_a_length_has_a_fraction() -> None:
    assert set(ask("70 F", "C").found) == {"value"}


def test_what_a_bare_number_was_taken_for_is_said() -> None:
    assert ask(".156", "mm").assumed == (".156 carries no unit and was taken as .156 in",)
    assert ask("5/32", "mm").assumed == ("5/32 carries no unit and was taken as 5/32 in",)
    assert ask("70", "°F").assumed == ("70 carries no unit and was taken as 70 °C",)
    for value, to in (
        ("5/32 in", "mm"),
        ('5/32"', "mm"),
        ("70 F", "C"),
        ("62", "%"),
        ("1:30", "min"),
        ("2:1", "ratio"),
    ):
        assert ask(value, to).assumed == ()


def test_the_maker_says_what_a_bare_number_is_in() -> None:
    assert ask("156", "mm", "thou").found["value"] == Quantity(3.9624, "mm", "3.9624 mm")
    assert ask("156", "mm", "thou").assumed == ()
    assert ask("10", "m", "mile").found["value"] == Quantity(16093.44, "m", "16093.44 m")
    with pytest.raises(ShopError, match=r'^from: "bananas" is no unit known here'):
        ask("156", "mm", "bananas")


@pytest.mark.parametrize(
    ("value", "to", "why"),
    [
        ("5/32 kg", "mm", 'value: "5/32 kg" cannot be read as a length: kg is a unit of mass, not of length'),
        ("1 in", "kg", "in is a unit of length, not of mass"),
        ("440 rpm", "Hz", "rpm is a unit of turning speed, not of frequency"),
        ("3 in", "bananas", 'to: "bananas" is no unit known here; write for example mm'),
        ("3 in", "", 'to: "" is no unit known here'),
        ("3 C", "m step", 'to: "m step" is no unit known here'),
        ("1 bananas", "mm", "bananas is no unit of length known here"),
        ("1 joule", "mm", "joule is not a unit of length"),
        ("1/0", "mm", "divides by nothing"),
        ("9**9**9", "mm", "no part of a measure"),
        ("1,234.5 mm", "in", "is the decimal mark is not certain"),
        ("5", "psi", "it has no unit"),
        ("5 mm", "joule", "mm is a unit of length"),
        ("five", "joule", "cannot be read as a measure: a number is missing before five"),
        ("5 mm", "mm*mm", 'to: "mm*mm" is no unit known here'),
        ("#20", "mm", 'value: "#20" is no drill in the list; write for example #21'),
        ("#21", "kg", "a number is missing before #21"),
        ("5 mm", "\x1b[2J", 'to: "␛[2J" is no unit known here'),
    ],
)
def test_refused(value: str, to: str, why: str) -> None:
    with pytest.raises(ShopError) as refused:
        ask(value, to)
    assert why in str(refused.value)


def test_a_drills_name_is_shown_with_the_size_it_stands_for() -> None:
    assert ask("#21", "mm").working == ("#21 = 0.159 in = 0.0040386 m = 4.0386 mm",)


def test_the_working_can_be_followed() -> None:
    assert ask("1 1/4 in", "mm").working == ("1 1/4 in = 0.03175 m = 31.75 mm",)
    assert ask("1500 mm", "m").working == ("1500 mm = 1.5 m",)
