"""What a maker types is read right: a table of the forms a shop writes."""

import unicodedata
from fractions import Fraction as F

import pytest

from workshop.errors import ShopError
from workshop.measure import (
    KINDS,
    Measure,
    check_hard,
    check_likely,
    is_drill_name,
    read,
    read_drill,
    read_many,
)

MM = F(1, 1000)
IN = F(254, 10000)
THOU = IN / 1000

# text, kind, default unit, exact SI value, unit it was written in
READ = [
    ("5/32", "length", "in", F(5, 32) * IN, "in"),
    ("5/32", "length", "mm", F(5, 32) * IN, "in"),
    ("5/32", "length", "", F(5, 32) * IN, "in"),
    ("1/2", "length", "ft", 6 * IN, "ft"),
    *((f"1/{bottom}", "length", "mm", F(1, bottom) * IN, "in") for bottom in (4, 8, 16, 64)),
    ("1 1/4", "length", "mm", F(5, 4) * IN, "in"),
    ("1½", "length", "mm", F(3, 2) * IN, "in"),
    ("1/3", "length", "mm", F(1, 3) * MM, "mm"),
    ("1" * 30 + " mm", "length", "in", int("1" * 30) * MM, "mm"),
    ("1e30 mm", "length", "in", 10**30 * MM, "mm"),
    ("1e-030 mm", "length", "in", F(1, 10**30) * MM, "mm"),
    ("1/128", "length", "mm", F(1, 128) * IN, "in"),
    ('5/32"', "length", "mm", F(5, 32) * IN, "in"),
    ("5/32in", "length", "mm", F(5, 32) * IN, "in"),
    ("5 / 32 in", "length", "mm", F(5, 32) * IN, "in"),
    ("1 1/4 in", "length", "mm", F(5, 4) * IN, "in"),
    ('1-1/4"', "length", "mm", F(5, 4) * IN, "in"),
    ("1–1/4 in", "length", "mm", F(5, 4) * IN, "in"),
    ("1 1/4", "length", "in", F(5, 4) * IN, "in"),
    ("1  1/4  inches", "length", "mm", F(5, 4) * IN, "in"),
    (".156", "length", "in", F("0.156") * IN, "in"),
    (",156 in", "length", "", F("0.156") * IN, "in"),
    ("0.156 in", "length", "mm", F("0.156") * IN, "in"),
    ("0.156 IN.", "length", "mm", F("0.156") * IN, "in"),
    ("156 thou", "length", "mm", 156 * THOU, "thou"),
    ("4 thou", "length", "mm", 4 * THOU, "thou"),
    ("3mm", "length", "in", 3 * MM, "mm"),
    ("3", "length", "mm", 3 * MM, "mm"),
    ("08 mm", "length", "in", 8 * MM, "mm"),
    ("3,2 mm", "length", "in", F("3.2") * MM, "mm"),
    ("0,125 in", "length", "mm", F("0.125") * IN, "in"),
    ("1.234 mm", "length", "mm", F("1.234") * MM, "mm"),
    ("1234,5 mm", "length", "mm", F("1234.5") * MM, "mm"),
    ("0.25mm", "length", "in", F("0.25") * MM, "mm"),
    ("+3 mm", "length", "in", 3 * MM, "mm"),
    ("2.5e-1 mm", "length", "in", F("0.25") * MM, "mm"),
    ("2' 3 1/2\"", "length", "mm", F("27.5") * IN, "ft"),
    ("2'3-1/2\"", "length", "mm", F("27.5") * IN, "ft"),
    ("2' 3''", "length", "mm", 27 * IN, "ft"),
    ("1 ft 2 in", "length", "mm", 14 * IN, "ft"),
    ("1ft2in", "length", "mm", 14 * IN, "ft"),
    ("1 m 20 cm", "length", "mm", 1200 * MM, "m"),
    ("25.4mm + 3 thou", "length", "in", IN + 3 * THOU, "mm"),
    ("5/32in + 4 thou", "length", "mm", F(5, 32) * IN + 4 * THOU, "in"),
    ("5/32in+4thou", "length", "mm", F(5, 32) * IN + 4 * THOU, "in"),
    ("3/16in - 0.5mm", "length", "mm", F(3, 16) * IN - F("0.5") * MM, "in"),
    ("3/16 in − 0.5 mm", "length", "mm", F(3, 16) * IN - F("0.5") * MM, "in"),
    ("1 ft 2 in - 5/32 in + 3mm", "length", "mm", 14 * IN - F(5, 32) * IN + 3 * MM, "ft"),
    ("1½ in", "length", "mm", F(3, 2) * IN, "in"),
    ("1 ½ in", "length", "mm", F(3, 2) * IN, "in"),
    ("1-½ in", "length", "mm", F(3, 2) * IN, "in"),
    ("¾", "length", "in", F(3, 4) * IN, "in"),
    ("２＂", "length", "mm", 2 * IN, "in"),
    ("⅞″", "length", "mm", F(7, 8) * IN, "in"),
    ("⅗ mm", "length", "mm", F(3, 5) * MM, "mm"),
    ("2⅔ mm", "length", "mm", F(8, 3) * MM, "mm"),
    ("⅚ in", "length", "mm", F(5, 6) * IN, "in"),
    ("⅐ in", "length", "mm", F(1, 7) * IN, "in"),
    ("⅑ in", "length", "mm", F(1, 9) * IN, "in"),
    ("⅒ in", "length", "mm", F(1, 10) * IN, "in"),
    ("1⁵⁄₃₂ in", "length", "mm", F(37, 32) * IN, "in"),
    ("5⁄32 in", "length", "mm", F(5, 32) * IN, "in"),
    ("2′ 3½″", "length", "mm", F("27.5") * IN, "ft"),
    ("2’ 3”", "length", "mm", 27 * IN, "ft"),
    ("5/32\u00a0in", "length", "mm", F(5, 32) * IN, "in"),
    ("\u20095/32\u202fin\u00a0", "length", "mm", F(5, 32) * IN, "in"),
    ("１．５ｍｍ", "length", "in", F("1.5") * MM, "mm"),
    ("50 µm", "length", "mm", F(5, 10**5), "µm"),
    ("50 μm", "length", "mm", F(5, 10**5), "µm"),
    ("12 m", "length", "mm", F(12), "m"),
    ("0 mm", "length", "mm", F(0), "mm"),
    ("70F", "temperature", "°C", (70 + F("459.67")) * F(5, 9), "°F"),
    ("70 °F", "temperature", "°C", (70 + F("459.67")) * F(5, 9), "°F"),
    ("70 ℉", "temperature", "°C", (70 + F("459.67")) * F(5, 9), "°F"),
    ("70 deg F", "temperature", "°C", (70 + F("459.67")) * F(5, 9), "°F"),
    ("21C", "temperature", "°F", F("294.15"), "°C"),
    ("21.5 °C", "temperature", "°F", F("294.65"), "°C"),
    ("21.5 º C", "temperature", "°F", F("294.65"), "°C"),
    ("21 ℃", "temperature", "°F", F("294.15"), "°C"),
    ("21", "temperature", "°C", F("294.15"), "°C"),
    ("−3 °C", "temperature", "°C", F("270.15"), "°C"),
    ("-40", "temperature", "°F", F("233.15"), "°F"),
    ("0.5 K", "temperature", "°C", F(1, 2), "K"),
    ("0 K", "temperature", "°C", F(0), "K"),
    ("294 K", "temperature", "°C", F(294), "K"),
    ("10 C", "temperature step", "°C", F(10), "°C"),
    ("-18 °F", "temperature step", "°C", F(-10), "°F"),
    ("10 °C + 18 °F", "temperature step", "°C", F(20), "°C"),
    ("90 min", "time", "h", F(5400), "min"),
    ("90", "time", "min", F(5400), "min"),
    ("90m", "time", "h", F(5400), "min"),
    ("1h30", "time", "min", F(5400), "h"),
    ("1 h 05", "time", "min", F(3900), "h"),
    ("1h30m", "time", "min", F(5400), "h"),
    ("1:30", "time", "min", F(5400), "h"),
    ("1:30:00", "time", "min", F(5400), "h"),
    ("100:00:07", "time", "min", F(360007), "h"),
    ("2 h 15 min", "time", "min", F(8100), "h"),
    ("45 s", "time", "min", F(45), "s"),
    ("3 d", "time", "min", F(259200), "d"),
    ("2 weeks", "time", "min", F(1209600), "wk"),
    ("1 wk 2 d 3 h 4 min 5 s", "time", "min", F(604800 + 2 * 86400 + 3 * 3600 + 245), "wk"),
    ("1.5 h", "time", "min", F(5400), "h"),
    ("½ h", "time", "min", F(1800), "h"),
    ("2:1", "ratio", "", F(2), ""),
    ("2 : 1", "ratio", "", F(2), ""),
    ("1 to 4", "ratio", "", F(1, 4), ""),
    ("2/1", "ratio", "", F(2), ""),
    ("1 1/2 : 1", "ratio", "", F(3, 2), ""),
    ("⅓:1", "ratio", "", F(1, 3), ""),
    ("1/2:1", "ratio", "", F(1, 2), ""),
    ("2,5:1", "ratio", "", F(5, 2), ""),
    ("62 %", "humidity", "%", F(62, 100), "%"),
    ("62", "humidity", "%", F(62, 100), "%"),
    ("62 % RH", "humidity", "%", F(62, 100), "%"),
    ("６２％", "share", "%", F(62, 100), "%"),
    ("62%", "share", "%", F(62, 100), "%"),
    ("62 per cent", "share", "%", F(62, 100), "%"),
    ("½ %", "share", "%", F(1, 200), "%"),
    ("110", "share", "%", F(11, 10), "%"),
    ("12 g", "mass", "oz", F(12, 1000), "g"),
    ("0.4 oz", "mass", "g", F("0.4") * F("0.45359237") / 16, "oz"),
    ("1 lb 3 oz", "mass", "g", F("0.45359237") * 19 / 16, "lb"),
    ("1lb3oz", "mass", "g", F("0.45359237") * 19 / 16, "lb"),
    ("20 m/s", "speed", "ft/min", F(20), "m/s"),
    ("18 m / s", "speed", "ft/min", F(18), "m/s"),
    ("3600 sfpm", "speed", "m/s", F("18.288"), "ft/min"),
    ("1725 rpm", "turning speed", "rpm", F(1725, 60), "rpm"),
    ("1725 RPM", "turning speed", "rpm", F(1725, 60), "rpm"),
    ("440 Hz", "frequency", "Hz", F(440), "Hz"),
    ("20 MPa", "pressure", "psi", F(20 * 10**6), "MPa"),
    ("29 in Hg", "pressure", "psi", 29 * F(254, 10) * F("133.322387415"), "inHg"),
    ("1.18 g/cm3", "density", "kg/m³", F(1180), "g/cm³"),
    ("1.18 g/cc", "density", "kg/m³", F(1180), "g/cm³"),
    ("3 cm²", "area", "mm²", F(3, 10**4), "cm²"),
    ("2 sq in", "area", "mm²", 2 * IN**2, "in²"),
    ("25 × 3 mm", "area", "mm²", 75 * MM**2, "mm²"),
    ("1/2 × 3 in", "area", "mm²", F(3, 2) * IN**2, "mm²"),
    ("1 in x 3mm", "area", "mm²", 3 * IN * MM, "mm²"),
    ("100 × 50 × 25 mm", "volume", "ml", 125000 * MM**3, "ml"),
    ("30 ml", "volume", "l", F(30, 10**6), "ml"),
    ("2 fl oz", "volume", "ml", 231 * IN**3 / 64, "US fl oz"),
    ("60", "hardness", "HRC", F(60), "HRC"),
    ("60.5 HRC", "hardness", "HRC", F("60.5"), "HRC"),
    ("HRC60", "hardness", "HRC", F(60), "HRC"),
    ("HRC 60", "hardness", "HRC", F(60), "HRC"),
    ("84 kJ/mol", "energy per amount", "kJ/mol", F(84000), "kJ/mol"),
    ("0.0018", "coefficient", "", F("0.0018"), ""),
    ("0.0018 per %", "coefficient", "per %", F("0.0018"), ""),
    ("12", "count", "", F(12), ""),
    ("0", "count", "", F(0), ""),
    ("12layers", "count", "layers", F(12), "layers"),
    ("12 layers", "count", "layers", F(12), "layers"),
    ("1 layer", "count", "layers", F(1), "layers"),
    ("15 × 4", "count", "layers", F(60), "layers"),
    ("12.0", "count", "", F(12), ""),
    ("3.5", "number", "", F(7, 2), ""),
    ("3 1/2", "number", "", F(7, 2), ""),
    ("12.50", "money", "", F(25, 2), ""),
    ("$12.50", "money", "", F(25, 2), "$"),
    ("12,50 €", "money", "€", F(25, 2), "€"),
    ("USD 12.50", "money", "", F(25, 2), "USD"),
    ("12.50EUR", "money", "EUR", F(25, 2), "EUR"),
]
# The vulgar fractions of the Unicode Standard, chapter 22.3 and the code charts: each character's value.
VULGAR = {
    "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5",
    "⅘": "4/5", "⅙": "1/6", "⅚": "5/6", "⅐": "1/7", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
    "⅑": "1/9", "⅒": "1/10",
}  # fmt: skip
# Angles have no exact fraction of a radian; they are compared as floats, with their degrees.
ANGLES = [
    ("20 deg", F(20)),
    ("20°", F(20)),
    ("20", F(20)),
    ("20° 30'", F("20.5")),
    ("20°30′15″", 20 + F(1815, 3600)),
    ("30'", F(1, 2)),
    ("1/4 turn", F(90)),
    ("20,5°", F("20.5")),
]


@pytest.mark.parametrize(("text", "kind", "unit", "value", "written"), READ)
def test_read_right(text: str, kind: str, unit: str, value: F, written: str) -> None:
    measure = read(text, kind, unit=unit)
    assert measure.value == value
    assert isinstance(measure.value, F)
    assert (measure.kind, measure.unit) == (kind, written)
    assert float(measure) == float(value)


@pytest.mark.parametrize(("mark", "text"), VULGAR.items())
def test_vulgar_fractions(mark: str, text: str) -> None:
    # The Unicode Character Database gives the value as well.
    assert float(F(text)) == pytest.approx(unicodedata.numeric(mark), rel=1e-6)
    assert read(f"{mark} mm", "length").value == F(text) * MM
    assert read(f"3{mark} mm", "length").value == (3 + F(text)) * MM


@pytest.mark.parametrize(("text", "degrees"), ANGLES)
def test_angles(text: str, degrees: F) -> None:
    # A right angle is half of pi: the definition.
    assert float(read(text, "angle", unit="deg")) == pytest.approx(
        float(degrees) * 3.141592653589793 / 180, rel=1e-15
    )


@pytest.mark.parametrize(
    ("text", "value", "basis"),
    [
        ("100:27 by weight", F(100, 27), "weight"),
        ("100:27 by wt.", F(100, 27), "weight"),
        ("2 to 1 by volume", F(2), "volume"),
        ("2:1 v/v", F(2), "volume"),
        ("2:1 W/W", F(2), "weight"),
        ("5:1 by mass", F(5), "weight"),
        ("5:1", F(5), ""),
    ],
)
def test_a_ratio_keeps_its_basis(text: str, value: F, basis: str) -> None:
    measure = read(text, "ratio")
    assert (measure.value, measure.basis) == (value, basis)


def test_the_text_is_kept_as_typed() -> None:
    assert read("  5/32\u00a0 in ", "length").text == "5/32 in"


def test_less_than_nothing_only_where_the_field_says_so() -> None:
    assert read("-3 mm", "length", negative=True).value == -3 * MM
    assert read("-1 1/4 in - 3 thou", "length", negative=True).value == -F(5, 4) * IN - 3 * THOU
    assert read("-1 ft 2 in", "length", negative=True).value == -14 * IN
    assert read("-3.5", "number", negative=True).value == F(-7, 2)
    with pytest.raises(ShopError, match="less than nothing"):
        read("0.5 mm - 3/16 in", "length")
    with pytest.raises(ShopError, match="less than nothing"):
        read("-3.5", "number")


def test_several_values() -> None:
    found = read_many("31 mm; 1 1/4 in ;3,2", "length", unit="mm")
    assert [m.value for m in found] == [31 * MM, F(5, 4) * IN, F("3.2") * MM]
    assert read_many("31", "length", unit="mm") == (read("31", "length", unit="mm"),)


def test_several_values_say_which_one_was_wrong() -> None:
    with pytest.raises(ShopError, match=r'^width, value 2 of 3: "31 kg" cannot be read'):
        read_many("31; 31 kg; 5", "length", unit="mm", field="width")
    with pytest.raises(ShopError, match=r"value 1 of 2: .*less than nothing"):
        read_many("-3; 2", "length", unit="mm", field="offset")
    assert read_many("-3; 2", "length", unit="mm", negative=True)[0].value == -3 * MM
    with pytest.raises(ShopError, match=r"value 2 of 2: .*empty"):
        read_many("31;", "length", unit="mm", field="width")
    with pytest.raises(ShopError, match=r"^width: .* 2001 characters"):
        read_many("1" * 2001, "length", unit="mm", field="width")
    assert len(read_many("; ".join(["3.25"] * 100), "length", unit="mm")) == 100
    assert len(read_many(("31;" * 667)[:2000], "length", unit="mm")) == 667
    with pytest.raises(ShopError, match="empty"):
        read_many(" " * 65536, "length", unit="mm")


# Number and letter drills: Machinery's Handbook, table of straight shank twist drills; the sizes
# by name are American: #21 0.1590 in, #1 0.2280 in, F 0.2570 in, 5/32 0.1563 in.
DRILLS = {
    "#21": 0.1590 * 0.0254,
    "#1": 0.2280 * 0.0254,
    "F": 0.2570 * 0.0254,
    "5/32": 0.15625 * 0.0254,
    "4.1 mm": 0.0041,
    "16 ga": 0.0508 * 0.0254,
}


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("#21", "#21"),
        ("# 21", "#21"),
        ("No. 21", "#21"),
        ("no 21", "#21"),
        ("No.21", "#21"),
        ("number 21", "#21"),
        ("F", "F"),
        ("f", "F"),
        ("letter F", "F"),
        ("5/32", "5/32"),
        ("5/32 in", "5/32"),
        ("5/32″", "5/32"),
        (".15625 in", "5/32"),
        ("4.1mm", "4.1 mm"),
        ("4,1 mm", "4.1 mm"),
        ("0.257 in", "F"),
        ("159 thou", "#21"),
        ("16 gauge", "16 ga"),
        ("16ga.", "16 ga"),
    ],
)
def test_a_drill_by_name_or_by_size(text: str, name: str) -> None:
    found, metres = read_drill(text, DRILLS)
    assert found == name
    assert metres == DRILLS[name]


def test_a_drill_of_no_listed_size_is_its_own_name() -> None:
    name, metres = read_drill("4.15 mm", DRILLS)
    assert name == "4.15 mm"
    assert metres == pytest.approx(0.00415, rel=1e-15)
    assert read_drill("4.15", DRILLS, unit="mm")[1] == pytest.approx(0.00415, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("21", "#21 or 21 mm"),
        ("#97", "no drill in the list"),
        ("Z", "no drill in the list"),
        ("20 ga", "no drill in the list"),
        ("", "empty"),
        ("0 mm", "a drill has a size"),
        ("4.15", "no unit"),
        ("5 kg", "unit of mass"),
        ("9" * 300, "300 characters"),
        ("5 to 6", "no unit of length"),
    ],
)
def test_a_drill_that_is_refused(text: str, why: str) -> None:
    with pytest.raises(ShopError) as refused:
        read_drill(text, DRILLS, field="bit")
    assert str(refused.value).startswith("bit: ")
    assert why in str(refused.value)


def test_the_example_of_a_drill_field_is_the_one_offered() -> None:
    with pytest.raises(ShopError, match=r"; write for example #30\.$"):
        read_drill("#97", DRILLS, example="#30")
    with pytest.raises(ShopError, match=r"; write for example #21, F, 5/32 or 4\.1 mm\.$"):
        read_drill("#97", DRILLS)


def measure(text: str) -> Measure:
    return read(text, "length", unit="mm")


def test_outside_what_is_likely_is_a_notice() -> None:
    assert check_likely(measure("5 mm"), "length", "1 mm", "12 mm", "pin") is None
    assert check_likely(measure("12 m"), "length", "1 mm", "12 mm", "pin") == (
        "pin: 12 m is more than is likely here, 12 mm (0.012 m) at most; check it before you go on."
    )
    assert check_likely(measure("1/64 in"), "length", "1 mm", None, "pin") == (
        "pin: 1/64 in is less than is likely here, 1 mm (0.039 in) at least; check it before you go on."
    )
    assert check_likely(0.5, "length", "1", "12", "pin", unit="mm") == (
        "pin: 500 mm is more than is likely here, 12 at most; check it before you go on."
    )


def test_outside_what_is_possible_is_refused() -> None:
    check_hard(measure("5 mm"), "length", "1 mm", "12 mm", "pin")
    with pytest.raises(ShopError, match=r"^pin: 12 m is more than can be; give 12 mm \(0.012 m\) at most\.$"):
        check_hard(measure("12 m"), "length", None, "12 mm", "pin")
    with pytest.raises(ShopError, match=r"^pin: 0\.5 is less than can be; give 1 mm at least\.$"):
        check_hard(measure("0.5"), "length", "1 mm", None, "pin")


def test_a_long_text_is_shortened_in_a_notice() -> None:
    notice = check_likely(measure(" + ".join(["12 m"] * 20)), "length", None, "12 mm", "pin")
    assert notice is not None
    assert notice.startswith("pin: 12 m + 12 m + 12 m + 12 m + 12 m + 12 m… is more")


@pytest.mark.parametrize("edge", ["0.5 mm", "12 mm", "5/32 in"])
def test_a_value_at_the_limit_is_inside_it(edge: str) -> None:
    for value in (measure(edge), float(measure(edge))):
        assert check_likely(value, "length", edge, edge, "pin") is None
        check_hard(value, "length", edge, edge, "pin")


def test_limits_may_be_below_nothing() -> None:
    cold = read("-30 °C", "temperature")
    assert check_likely(cold, "temperature", "-20 °C", "40 °C", "air") is not None
    check_hard(-0.001, "length", "-2 mm", None, "gap")


def test_every_kind_has_an_example_that_reads() -> None:
    for kind in KINDS.values():
        assert read(kind.example, kind.name).kind == kind.name


@pytest.mark.parametrize("text", ["#21", "No. 21", "no 7", "number 60", "F", "letter f", " #1 ", "#121"])
def test_what_can_only_be_a_drills_name(text: str) -> None:
    assert is_drill_name(text)


@pytest.mark.parametrize("text", ["21", "5/32", "5/32 in", "", "#", "FF", "3mm", "1725 rpm", "°F"])
def test_what_can_be_something_else_than_a_drills_name(text: str) -> None:
    assert not is_drill_name(text)
