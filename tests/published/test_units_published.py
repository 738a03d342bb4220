"""The table of units against factors that others have published.

Source: NIST Special Publication 811, 2008 edition, Appendix B.8, "Factors for units listed
alphabetically". The guide prints a factor with seven figures; one in bold is exact. The entry's
name stands in each row as the guide prints it. Rows marked "from memory" were not laid beside
the guide; they are checked against pint as well, in tests/test_units.py.
"""

from decimal import Decimal
from fractions import Fraction

import pytest

from workshop.measure import in_unit, read
from workshop.units import find_unit

# (entry in the guide, our unit, kind, printed factor, exact)
ENTRIES = [
    ("inch (in)", "in", "length", "2.54E-02", True),
    ("mil (0.001 in)", "thou", "length", "2.54E-05", True),
    ("foot (ft)", "ft", "length", "3.048E-01", True),
    ("yard (yd)", "yd", "length", "9.144E-01", True),
    ("micron (µ)", "µm", "length", "1.0E-06", True),
    ("cubic inch (in³)", "in³", "volume", "1.638706E-05", False),
    ("cubic foot (ft³)", "ft³", "volume", "2.831685E-02", False),
    ("square foot (ft²)", "ft²", "area", "9.290304E-02", True),
    ("fluid ounce (U.S.) (fl oz)", "fl oz", "volume", "2.957353E-05", False),
    ("quart (U.S. liquid) (liq qt)", "qt", "volume", "9.463529E-04", False),
    ("gallon (U.S.) (gal)", "gal", "volume", "3.785412E-03", False),
    ("liter (L)", "L", "volume", "1.0E-03", True),
    ("pound (avoirdupois) (lb)", "lb", "mass", "4.535924E-01", False),
    ("ounce (avoirdupois) (oz)", "oz", "mass", "2.834952E-02", False),
    ("grain (gr)", "grain", "mass", "6.479891E-05", True),
    ("pound per cubic foot (lb/ft³)", "lb/ft³", "density", "1.601846E+01", False),
    ("pound per cubic inch (lb/in³)", "lb/in³", "density", "2.767990E+04", False),
    ("minute (min)", "min", "time", "6.0E+01", True),
    ("hour (h)", "h", "time", "3.6E+03", True),
    ("day (d)", "d", "time", "8.64E+04", True),
    ("degree (angle) (°)", "deg", "angle", "1.745329E-02", False),
    ("minute (angle) (′)", "arcmin", "angle", "2.908882E-04", False),
    ("second (angle) (″)", "arcsec", "angle", "4.848137E-06", False),
    ("revolution (r)", "turn", "angle", "6.283185E+00", False),
    ("psi (pound-force per square inch)", "psi", "pressure", "6.894757E+03", False),
    ("bar (bar)", "bar", "pressure", "1.0E+05", True),
    ("inch of mercury, conventional (inHg)", "inHg", "pressure", "3.386389E+03", False),
    ("millimeter of mercury, conventional (mmHg)", "mmHg", "pressure", "1.333224E+02", False),
    ("calorie_th (cal_th), a thousand, per mole", "kcal/mol", "energy per amount", "4.184E+03", True),
    ("degree Fahrenheit, interval", "°F", "temperature step", "5.555556E-01", False),  # from memory
    ("square inch (in²)", "in²", "area", "6.4516E-04", True),  # from memory
    ("foot per minute (ft/min)", "sfpm", "speed", "5.08E-03", True),  # from memory
    ("foot per second (ft/s)", "ft/s", "speed", "3.048E-01", True),  # from memory
    ("inch per second (in/s)", "in/s", "speed", "2.54E-02", True),  # from memory
    ("mile per hour (mi/h)", "mph", "speed", "4.4704E-01", True),  # from memory
    ("kilometer per hour (km/h)", "km/h", "speed", "2.777778E-01", False),  # from memory
]


@pytest.mark.parametrize(("entry", "short", "kind", "printed", "exact"), ENTRIES, ids=[e[0] for e in ENTRIES])
def test_factor_is_the_printed_one(entry: str, short: str, kind: str, printed: str, exact: bool) -> None:
    unit = find_unit(short, kind)
    assert unit is not None, entry
    if exact:
        assert unit.factor == Fraction(printed)
        return
    # Seven figures are printed: half of the last of them is all that may differ.
    half = Fraction(Decimal(1).scaleb(Decimal(printed).adjusted() - 6)) / 2
    assert abs(unit.factor - Fraction(printed)) <= half


# The exact factors of the pound and the cubic inch: NIST SP 811, footnotes to Appendix B.
# The gallon, quart and fluid ounce: NIST Handbook 44, Appendix C (231, 57.75 and 231/128 cubic inches).
def test_exact_factors_of_the_footnotes_and_of_the_handbook() -> None:
    def factor(short: str, kind: str) -> Fraction:
        unit = find_unit(short, kind)
        assert unit is not None
        return unit.factor

    assert factor("lb", "mass") == Fraction("0.45359237")
    assert factor("in³", "volume") == Fraction("1.63870640E-05")
    assert factor("gal", "volume") == 231 * factor("in³", "volume")
    assert factor("qt", "volume") == Fraction("57.75") * factor("in³", "volume")
    assert 128 * factor("fl oz", "volume") == factor("gal", "volume")


# NIST SP 811 Appendix B.8, "degree Fahrenheit (°F)": t/°C = (t/°F - 32)/1.8;
# "degree Celsius (°C)": T/K = t/°C + 273.15.
# Fixed points of the two scales: ice 32 °F and 0 °C, steam 212 °F and 100 °C, and -40 on both.
@pytest.mark.parametrize(
    ("fahrenheit", "celsius"),
    [("32", 0), ("212", 100), ("-40", -40), ("70", Fraction(190, 9)), ("1475", Fraction(14430, 18))],
)
def test_temperature_scales(fahrenheit: str, celsius: Fraction | int) -> None:
    measure = read(f"{fahrenheit} °F", "temperature")
    assert measure.value == Fraction(celsius) + Fraction("273.15")
    assert in_unit(measure.value, "temperature", "°C") == pytest.approx(float(celsius), abs=1e-12)


# NIST Handbook 44, Appendix C: 1 pound is 16 ounces and 7000 grains; 1 foot is 12 inches; 1 yard is 3 feet.
@pytest.mark.parametrize(
    ("many", "one", "kind"),
    [
        ("16 oz", "1 lb", "mass"),
        ("7000 grains", "1 lb", "mass"),
        ("12 in", "1 ft", "length"),
        ("3 ft", "1 yd", "length"),
        ("1000 thou", "1 in", "length"),
        ("60 arcmin", "1 deg", "angle"),
        ("60 min", "1 h", "time"),
        ("7 d", "1 week", "time"),
    ],
)
def test_so_many_make_one(many: str, one: str, kind: str) -> None:
    assert read(many, kind).value == read(one, kind).value
