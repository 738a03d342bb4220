"""How a measure is written."""

from fractions import Fraction as F

import pytest

from workshop.errors import ShopError
from workshop.measure import Preference, both, in_unit, precise, show, write

INCH = 0.0254


@pytest.mark.parametrize(
    ("value", "kind", "unit", "digits", "text"),
    [
        (0.03175, "length", "mm", None, "31.75 mm"),
        (0.03175, "length", "", None, "31.75 mm"),
        (0.0315, "length", "mm", None, "31.5 mm"),
        (0.0315, "length", "mm", 2, "31.50 mm"),
        (0.0315, "length", "mm", 0, "32 mm"),
        (0.0, "length", "mm", None, "0 mm"),
        (1.0, "length", "mm", None, "1000 mm"),
        (0.0000031, "length", "mm", None, "0.0031 mm"),
        (-0.0031, "length", "mm", None, "-3.1 mm"),
        (-0.00001, "length", "mm", None, "-0.01 mm"),
        (0.0000312, "length", "mm", None, "0.031 mm"),
        (0.000104, "length", "mm", None, "0.1 mm"),
        (0.0000954, "length", "mm", None, "0.095 mm"),
        (1e11, "length", "mm", None, "100000000000000 mm"),
        (1e12, "length", "mm", None, "1e+15 mm"),
        (-INCH / 64, "length", "fraction", None, "-1/64 in"),
        (INCH / 128 * 1.01, "length", "fraction", None, "1/64 in - 7.7 thou"),
        (1 / 3, "ratio", "", None, "0.3333:1"),
        (1 / 3, "number", "", None, "0.3333"),
        (0.00396875, "length", "in", None, "0.156 in"),
        (0.00396875, "length", "fraction", None, "5/32 in"),
        (0.00396875 + 0.4e-3 * INCH, "length", "fraction", None, "5/32 in + 0.4 thou"),
        (0.00396875 - 0.4e-3 * INCH, "length", "fraction", None, "5/32 in - 0.4 thou"),
        (0.00396875 - 0.44e-3 * INCH, "length", "fraction", 2, "5/32 in - 0.44 thou"),
        (0.00396875 + 0.04e-3 * INCH, "length", "fraction", None, "5/32 in"),
        (0.00396875 + 3e-3 * INCH, "length", "fraction", None, "5/32 in + 3 thou"),
        (0.00396875 + 3e-3 * INCH, "length", "fraction", 0, "5/32 in + 3 thou"),
        (0.03175, "length", "fraction", None, "1 1/4 in"),
        (0.0254, "length", "fraction", None, "1 in"),
        (0.00396875 + 7.654e-3 * INCH, "length", "fraction", 3, "5/32 in + 7.654 thou"),
        (-0.03175, "length", "fraction", None, "-1 1/4 in"),
        (-0.03175 - 3e-3 * INCH, "length", "fraction", None, "-1 1/4 in - 3 thou"),
        (4e-3 * INCH, "length", "fraction", None, "4 thou"),
        (-4e-3 * INCH, "length", "fraction", None, "-4 thou"),
        (0.0, "length", "fraction", None, "0 in"),
        (0.0001016, "length", "thou", None, "4 thou"),
        (294.65, "temperature", "°C", None, "21.5 °C"),
        (294.15, "temperature", "°C", 1, "21.0 °C"),
        (294.2611111111111, "temperature", "°F", None, "70 °F"),
        (10.0, "temperature step", "°F", None, "18 °F"),
        (0.45, "humidity", "", None, "45 %"),
        (0.0123, "share", "%", None, "1.23 %"),
        (0.012, "mass", "", None, "12 g"),
        (0.01133980925, "mass", "oz", None, "0.4 oz"),
        (5400.0, "time", "", None, "90 min"),
        (5400.0, "time", "span", None, "1 h 30 min"),
        (45.0, "time", "span", None, "45 s"),
        (45.26, "time", "span", None, "45.3 s"),
        (86400.0, "time", "span", None, "1 d"),
        (-0.5, "time", "span", None, "-0.5 s"),
        (-60.0, "time", "span", None, "-1 min"),
        (59.96, "time", "span", None, "60 s"),
        (60.0, "time", "span", None, "1 min"),
        (90.0, "time", "span", None, "1 min 30 s"),
        (3599.6, "time", "span", None, "60 min"),
        (84600.0, "time", "span", None, "23 h 30 min"),
        (2 * 86400 + 3 * 3600.0, "time", "span", None, "2 d 3 h"),
        (28 * 86400.0, "time", "span", None, "28 d"),
        (-5400.0, "time", "span", None, "-1 h 30 min"),
        (0.3490658503988659, "angle", "deg", None, "20°"),
        (2.0, "ratio", "", None, "2:1"),
        (100 / 27, "ratio", "", 2, "3.70:1"),
        (2.0, "ratio", "by weight", None, "2:1 by weight"),
        (60.0, "count", "layers", None, "60 layers"),
        (3.5, "number", "", None, "3.5"),
        (0.00012, "number", "", None, "0.00012"),
        (12.5, "money", "$", None, "$12.50"),
        (12.5, "money", "EUR", None, "12.50 EUR"),
        (12.5, "money", "", None, "12.50"),
        (0.0018, "coefficient", "", None, "0.0018"),
        (60.5, "hardness", "", None, "60.5 HRC"),
        (28.75, "turning speed", "", None, "1725 rpm"),
        (1e20, "length", "mm", None, "1e+23 mm"),
        (F(1, 3), "length", "m", 6, "0.333333 m"),
    ],
)
def test_written(value: float | F, kind: str, unit: str, digits: int | None, text: str) -> None:
    assert write(value, kind, unit, digits) == text


@pytest.mark.parametrize("value", [float("nan"), float("inf"), float("-inf")])
def test_what_is_not_finite_is_not_written(value: float) -> None:
    with pytest.raises(ShopError, match="a finite one is needed"):
        write(value, "length", "mm")
    with pytest.raises(ShopError, match="a finite one is needed"):
        in_unit(value, "length", "mm")


def test_a_unit_of_another_kind_is_refused() -> None:
    with pytest.raises(ShopError, match="kg is not a unit of length; mm is one\\."):
        write(1.0, "length", "kg")
    with pytest.raises(ShopError, match="nothing is not a unit of no kind; no unit is one"):
        write(1.0, "no kind", "")


def test_a_unit_outside_the_table_can_be_written_in() -> None:
    # NIST SP 811 Appendix B.8: mile 1.609 344 E+03 m.
    assert write(1609.344, "length", "mile") == "1 mile"


def test_in_unit() -> None:
    assert in_unit(0.03175, "length", "mm") == 31.75
    assert in_unit(0.0254, "length", "fraction") == 1.0
    assert in_unit(0.45, "humidity", "") == 45.0
    assert in_unit(294.15, "temperature", "°C") == pytest.approx(21.0, abs=1e-12)


def test_precise() -> None:
    assert precise(F(254, 640000), "length", "mm") == "0.396875 mm"
    assert precise(0.001, "length", "in") == "0.0393701 in"
    assert precise(1.0, "length", "mm") == "1000 mm"
    assert precise(0.00396875, "length", "fraction") == "5/32 in"
    assert precise(12.5, "money", "€") == "€12.50"
    assert precise(100 / 27, "ratio", "by weight") == "3.7037:1 by weight"
    assert precise(0.0, "mass", "g") == "0 g"
    assert precise(123.456789, "length", "mm") == "123456.79 mm"
    assert precise(1234567.8, "number", "") == "1234568"
    assert precise(5, "area", "cm²") == "50000 cm²"
    assert precise(1e-15, "length", "mm") == "0.000000000001 mm"


@pytest.mark.parametrize(
    ("value", "kind", "prefer", "texts"),
    [
        (0.00396875, "length", Preference(), ("3.97 mm", "0.156 in")),
        (0.00396875, "length", Preference("in"), ("0.156 in", "3.97 mm")),
        (0.00396875, "length", Preference("fraction"), ("5/32 in", "3.97 mm")),
        (0.00396875, "length", Preference("thou"), ("156.3 thou", "3.97 mm")),
        (294.15, "temperature", Preference(), ("21 °C", "69.8 °F")),
        (294.15, "temperature", Preference(temperature="°F"), ("69.8 °F", "21 °C")),
        (10.0, "temperature step", Preference(), ("10 °C", "18 °F")),
        (0.012, "mass", Preference(), ("12 g", "0.423 oz")),
        (0.012, "mass", Preference(mass="oz"), ("0.423 oz", "12 g")),
        (18.288, "speed", Preference(), ("18.29 m/s", "3600 ft/min")),
        (18.288, "speed", Preference("in"), ("3600 ft/min", "18.29 m/s")),
        (0.0003, "area", Preference(), ("3 cm²", "0.465 in²")),
        (5400.0, "time", Preference(), ("1 h 30 min", "")),
        (0.45, "humidity", Preference(), ("45 %", "")),
        (2.0, "ratio", Preference(), ("2:1", "")),
    ],
)
def test_both_side_by_side(value: float, kind: str, prefer: Preference, texts: tuple[str, str]) -> None:
    assert both(value, kind, prefer) == texts
    assert show(value, kind, prefer) == texts[0]


def test_decimals_meant_for_one_unit_are_as_fine_in_the_other() -> None:
    assert show(0.0031, "length", Preference("in"), 2, unit="mm") == "0.1220 in"
    assert show(0.0031, "length", Preference("thou"), 2, unit="mm") == "122.0 thou"
    assert show(0.0031, "length", Preference(), 2, unit="mm") == "3.10 mm"
    assert show(0.0031, "length", Preference(), 3, unit="in") == "3.10 mm"
    assert show(0.0031, "length", Preference("fraction"), 2, unit="mm") == "1/8 in - 3 thou"
    assert show(0.00312, "length", Preference("in"), unit="mm") == "0.123 in"
    assert show(0.00312, "length", Preference("fraction"), 2, unit="mm") == "1/8 in - 2.2 thou"
    assert show(0.0031, "length", Preference("thou"), 0, unit="mm") == "122 thou"
    assert show(294.15, "temperature", Preference(temperature="°F"), 1, unit="°C") == "69.8 °F"
    assert show(0.0000012, "area", Preference("in"), 2, unit="mm²") == "0.00186 in²"
    assert show(20e6, "pressure", Preference("in"), 0, unit="MPa") == "20 MPa"
    assert both(0.0031, "length", Preference(), 2, unit="mm") == ("3.10 mm", "0.1220 in")


@pytest.mark.parametrize("wrong", [{"length": "furlong"}, {"temperature": "K"}, {"mass": "stone"}])
def test_a_preference_is_one_of_the_shop_s(wrong: dict[str, str]) -> None:
    with pytest.raises(
        ShopError, match=f"{next(iter(wrong))} is written in .*, not in {next(iter(wrong.values()))}"
    ):
        Preference(**wrong)
