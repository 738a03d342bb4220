"""The table of units, held equal to pint's unit by unit; and pint itself, asked by name alone."""

import subprocess
import sys
from fractions import Fraction
from typing import Any

import pint
import pytest

from workshop import units
from workshop.units import KINDS, find_unit, kinds_of, outside_unit, unit_pattern, units_of

# Our unit, and the same thing in pint's names. Turning speed and hardness are not pint's to know:
# its rpm turns radians, and it has no Rockwell scale.
PINT = {
    "length": {
        **{u: u for u in ("mm", "in", "thou", "ft", "m", "cm", "yd")},
        "µm": "micrometer",
    },
    "area": {"mm²": "mm**2", "cm²": "cm**2", "m²": "m**2", "in²": "inch**2", "ft²": "foot**2"},
    "volume": {
        "ml": "milliliter",
        "l": "liter",
        "mm³": "mm**3",
        "cm³": "cm**3",
        "m³": "m**3",
        "in³": "inch**3",
        "ft³": "foot**3",
        "US fl oz": "fluid_ounce",
        "US qt": "quart",
        "US gal": "gallon",
    },
    "mass": {u: u for u in ("g", "kg", "mg", "oz", "lb", "grain")},
    "density": {
        "g/cm³": "g/cm**3",
        "kg/m³": "kg/m**3",
        "lb/ft³": "lb/foot**3",
        "lb/in³": "lb/inch**3",
    },
    "temperature step": {"°C": "delta_degC", "°F": "delta_degF", "K": "kelvin"},
    "time": {"s": "second", "min": "minute", "h": "hour", "d": "day", "wk": "week"},
    "angle": {
        "deg": "degree",
        "arcmin": "arcminute",
        "arcsec": "arcsecond",
        "rad": "radian",
        "turn": "turn",
    },
    "speed": {
        "m/s": "m/s",
        "mm/s": "mm/s",
        "m/min": "m/minute",
        "ft/min": "foot/minute",
        "ft/s": "foot/s",
        "in/s": "inch/s",
        "in/min": "inch/minute",
        "km/h": "km/hour",
        "mph": "mile/hour",
    },
    "frequency": {"Hz": "hertz", "kHz": "kilohertz"},
    "humidity": {"%": "percent"},
    "share": {"%": "percent"},
    "pressure": {
        **{u: u for u in ("MPa", "Pa", "hPa", "kPa", "GPa", "bar", "psi", "mmHg", "inHg")},
    },
    "energy per amount": {
        "kJ/mol": "kilojoule/mole",
        "J/mol": "joule/mole",
        "kcal/mol": "kilocalorie/mole",
    },
}
OURS = {"temperature", "turning speed", "hardness"}


@pytest.fixture(scope="module")
def registry() -> Any:
    return pint.UnitRegistry(non_int_type=Fraction)


def test_every_unit_of_the_table_is_compared() -> None:
    ours = {(u.kind, u.short) for kind in KINDS for u in units_of(kind) if kind not in OURS}
    theirs = {(kind, short) for kind, row in PINT.items() for short in row}
    assert ours == theirs


@pytest.mark.parametrize(
    ("kind", "short", "name"),
    [(kind, short, name) for kind, row in PINT.items() for short, name in row.items()],
)
def test_factor_equals_pint(registry: Any, kind: str, short: str, name: str) -> None:
    unit = find_unit(short, kind)
    assert unit is not None
    one = registry.Quantity(Fraction(1), registry.Unit(name)).to_root_units()
    # pint's root units have the gram where SI has the kilogram.
    gram = Fraction(1, 1000) ** int(one.dimensionality.get("[mass]", 0))
    theirs = Fraction(one.magnitude) * gram
    if kind == "angle":
        assert abs(unit.factor / theirs - 1) < Fraction(1, 10**40)
    else:
        assert unit.factor == theirs


@pytest.mark.parametrize("number", [-40, 0, 32, 70, 212, 1475.5])
@pytest.mark.parametrize(("short", "name"), [("°C", "degC"), ("°F", "degF"), ("K", "kelvin")])
def test_temperature_equals_pint(number: float, short: str, name: str) -> None:
    unit = find_unit(short, "temperature")
    assert unit is not None
    theirs = pint.UnitRegistry(cache_folder=None).Quantity(number, name).to("kelvin").magnitude
    assert float(unit.to_si(Fraction(number))) == pytest.approx(theirs, rel=1e-14)


def test_turning_speed_is_in_turns_not_radians(registry: Any) -> None:
    ours = find_unit("rpm", "turning speed")
    assert ours is not None
    assert ours.factor == Fraction(1, 60)
    theirs = Fraction(registry.Quantity(Fraction(1), registry.Unit("rpm")).to_base_units().magnitude)
    assert abs(theirs - 2 * units.PI * ours.factor) < Fraction(1, 10**40)


def test_every_spelling_is_found_and_matches_whole() -> None:
    for kind in KINDS:
        for unit in units_of(kind):
            for word in (unit.short, *unit.spellings):
                assert find_unit(word, kind) is unit, word
                found = unit_pattern(kind).match(word)
                assert found is not None, word
                assert found[0] == word


def test_no_spelling_means_two_units_of_a_kind() -> None:
    for kind in KINDS:
        words = [w.casefold() for u in units_of(kind) for w in {u.short.casefold(), *u.spellings}]
        assert len(words) == len(set(words)), kind


@pytest.mark.parametrize(
    ("word", "short"), [("IN", "in"), ("Mm", "mm"), ("INCH", "in"), ("Thou", "thou"), ("KG", None)]
)
def test_capitals_are_forgiven(word: str, short: str | None) -> None:
    found = find_unit(word, "length")
    assert (found.short if found else None) == short


def test_but_not_where_they_change_the_meaning() -> None:
    assert find_unit("MPa", "pressure") is not None
    assert find_unit("mPa", "pressure") is None
    assert find_unit("Mpa", "pressure") is None


def test_kinds_of_a_word() -> None:
    assert kinds_of("mm") == ("length",)
    assert kinds_of("m") == ("length", "time")
    assert kinds_of("C") == ("temperature", "temperature step")
    assert kinds_of("bananas") == ()


def test_to_and_from_si_undo_each_other() -> None:
    for kind in KINDS:
        for unit in units_of(kind):
            for number in (Fraction(0), Fraction(5, 32), Fraction(-40), Fraction(10**9, 7)):
                assert unit.from_si(unit.to_si(number)) == number


@pytest.mark.parametrize(
    ("name", "kind", "factor"),
    [
        # NIST SP 811 Appendix B.8: mile 1.609 344 E+03 m, nautical mile 1.852 E+03 m, standard atmosphere
        # 1.013 25 E+05 Pa, metric carat 2.0 E-04 kg; all exact.
        ("mile", "length", Fraction("1609.344")),
        ("nautical_mile", "length", Fraction(1852)),
        ("atmosphere", "pressure", Fraction(101325)),
        ("carat", "mass", Fraction(2, 10000)),
        ("joule", "length^2 mass^1 time^-2", Fraction(1)),
    ],
)
def test_a_unit_outside_the_table_is_asked_by_name(name: str, kind: str, factor: Fraction) -> None:
    unit = outside_unit(name)
    assert unit is not None
    assert (unit.kind, unit.factor) == (kind, factor)


@pytest.mark.parametrize(
    "name",
    [
        *("", "bananas", "nan", "inf", "pi", "radian", "degC", "dB", "mm**2", "9**9**9"),
        *("mm*mm", "m/s", "1", "_", "m m", "__class__"),
        "a" * 31,  # one longer than any name of a unit
    ],
)
def test_what_is_no_plain_unit_is_none(name: str) -> None:
    assert outside_unit(name) is None


def test_an_expression_never_reaches_the_library(monkeypatch: pytest.MonkeyPatch) -> None:
    def never() -> Any:
        raise AssertionError("the library was asked")

    monkeypatch.setattr(units, "_registry", never)
    for name in ("9**9**9", "mm*mm", "m/s", "(mm)", "1 mm", "mm ", "m^2", "__import__('os')"):
        assert outside_unit(name) is None


def test_importing_brings_in_no_heavy_library() -> None:
    heavy = "{'pint','textual','rich','tomllib','numpy'}"
    code = f"import sys, workshop.measure; print(sorted({heavy} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_reading_what_the_table_knows_asks_no_library() -> None:
    code = (
        "import sys\nfrom workshop.measure import read, write\n"
        "from workshop.errors import ShopError\n"
        "read('5/32 in', 'length'); read('70 F', 'temperature'); write(1.0, 'mass', 'oz')\n"
        "try: read('5 bananas', 'length', unit='mm')\n"
        "except ShopError: pass\n"
        "print('pint' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
