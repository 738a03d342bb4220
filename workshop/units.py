"""The shop's own units: an exact table that loads in no time.

Every factor is a `Fraction`, so that nothing is lost before a number meets a float. Sources:
NIST SP 811 (2008) Appendix B.8 for inch, foot, pound, ounce, grain, degree and the rest; the
US gallon is 231 cubic inches by definition (NIST Handbook 44, Appendix C). A unit that is not
in the table is asked of pint by its name alone, never by an expression, and only by a caller
that says so: pint takes longer to load than a maker should wait for a typing mistake.
"""

from __future__ import annotations

import re
import threading
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType
from typing import Any

PI = Fraction("3.1415926535897932384626433832795028841971693993751")
"""To 50 figures: an angle's degree has no exact fraction of a radian, and this is past any float."""

_INCH = Fraction(254, 10000)
_FOOT = 12 * _INCH
_POUND = Fraction(45359237, 10**8)
_OUNCE = _POUND / 16
_GALLON = 231 * _INCH**3
_POUND_FORCE = _POUND * Fraction(980665, 10**5)
_MERCURY = Fraction(133322387415, 10**9)


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of measure: what it is called, its SI unit, and an entry that would work.

    natural: the unit it is written in when nobody says otherwise. signed: whether a negative
    can be meant without the field saying so. adds: whether two of them can be added up.
    """

    name: str
    says: str
    si: str
    natural: str
    example: str
    signed: bool = False
    adds: bool = True


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: SI value = (number + offset) * factor; digits: decimals usually written."""

    short: str
    kind: str
    factor: Fraction
    spellings: tuple[str, ...] = ()
    digits: int = 2
    offset: Fraction = Fraction(0)

    def to_si(self, number: Fraction) -> Fraction:
        """Return the SI value of a number written in this unit."""
        return (number + self.offset) * self.factor

    def from_si(self, value: Fraction) -> Fraction:
        """Return the number in this unit of an SI value."""
        return value / self.factor - self.offset


_KINDS = (
    Kind("length", "a length", "m", "mm", "5/32 in"),
    Kind("area", "an area", "m²", "cm²", "12 cm²"),
    Kind("volume", "a volume", "m³", "ml", "30 ml"),
    Kind("mass", "a mass", "kg", "g", "12 g"),
    Kind("density", "a density", "kg/m³", "g/cm³", "1.18 g/cm³"),
    Kind("temperature", "a temperature", "K", "°C", "21 °C", signed=True, adds=False),
    Kind("temperature step", "a difference of temperature", "K", "°C", "10 °C", signed=True),
    Kind("time", "a time", "s", "min", "1 h 30 min"),
    Kind("angle", "an angle", "rad", "deg", "20 deg"),
    Kind("speed", "a speed", "m/s", "m/s", "18 m/s"),
    Kind("turning speed", "a turning speed", "rev/s", "rpm", "1725 rpm"),
    Kind("frequency", "a frequency", "Hz", "Hz", "440 Hz"),
    Kind("humidity", "a relative humidity", "", "%", "45 %", adds=False),
    Kind("share", "a percentage", "", "%", "62 %"),
    Kind("ratio", "a ratio of two numbers", "", "", "2:1", adds=False),
    Kind("number", "a number", "", "", "3.5"),
    Kind("count", "a whole number", "", "", "12"),
    Kind("money", "an amount of money", "", "", "12.50"),
    Kind("hardness", "a hardness", "HRC", "HRC", "60 HRC", adds=False),
    Kind("pressure", "a pressure", "Pa", "MPa", "20 MPa"),
    Kind("energy per amount", "an energy per amount of substance", "J/mol", "kJ/mol", "84 kJ/mol"),
    Kind("coefficient", "a coefficient per 1 % of moisture", "", "", "0.0018"),
)

KINDS: Mapping[str, Kind] = MappingProxyType({kind.name: kind for kind in _KINDS})
"""The kinds of measure, by name."""

_ONE = Fraction(1)
_TABLE = (
    Unit("mm", "length", Fraction(1, 1000), ("millimeter", "millimeters", "millimetre", "millimetres")),
    Unit("in", "length", _INCH, ("inch", "inches", '"', "''"), 3),
    Unit("thou", "length", _INCH / 1000, ("thousandth", "thousandths"), 1),
    Unit("ft", "length", _FOOT, ("foot", "feet", "'"), 3),
    Unit("m", "length", _ONE, ("meter", "meters", "metre", "metres"), 3),
    Unit("cm", "length", Fraction(1, 100), ("centimeter", "centimeters", "centimetre", "centimetres")),
    Unit(
        "µm", "length", Fraction(1, 10**6), ("um", "μm", "micron", "microns", "micrometer", "micrometre"), 1
    ),
    Unit("yd", "length", 3 * _FOOT, ("yard", "yards"), 3),
    Unit("mm²", "area", Fraction(1, 10**6), ("mm2", "mm^2", "sq mm")),
    Unit("cm²", "area", Fraction(1, 10**4), ("cm2", "cm^2", "sq cm")),
    Unit("m²", "area", _ONE, ("m2", "m^2", "sq m"), 4),
    Unit("in²", "area", _INCH**2, ("in2", "in^2", "sq in", "square inch", "square inches"), 3),
    Unit("ft²", "area", _FOOT**2, ("ft2", "ft^2", "sq ft", "square foot", "square feet"), 3),
    Unit("ml", "volume", Fraction(1, 10**6), ("milliliter", "milliliters", "millilitre", "millilitres"), 1),
    Unit("l", "volume", Fraction(1, 1000), ("liter", "liters", "litre", "litres"), 3),
    Unit("mm³", "volume", Fraction(1, 10**9), ("mm3", "mm^3", "cu mm")),
    Unit("cm³", "volume", Fraction(1, 10**6), ("cm3", "cm^3", "cc", "cu cm")),
    Unit("m³", "volume", _ONE, ("m3", "m^3", "cu m"), 6),
    Unit("in³", "volume", _INCH**3, ("in3", "in^3", "cu in", "cubic inch", "cubic inches"), 3),
    Unit("ft³", "volume", _FOOT**3, ("ft3", "ft^3", "cu ft", "cubic foot", "cubic feet"), 4),
    Unit("US fl oz", "volume", _GALLON / 128, ("fl oz", "floz"), 2),
    Unit("US qt", "volume", _GALLON / 4, ("qt", "quart", "quarts"), 3),
    Unit("US gal", "volume", _GALLON, ("gal", "gallon", "gallons"), 3),
    Unit("g", "mass", Fraction(1, 1000), ("gram", "grams", "gramme", "grammes")),
    Unit("kg", "mass", _ONE, ("kilo", "kilos", "kilogram", "kilograms"), 3),
    Unit("mg", "mass", Fraction(1, 10**6), ("milligram", "milligrams"), 0),
    Unit("oz", "mass", _OUNCE, ("ounce", "ounces"), 3),
    Unit("lb", "mass", _POUND, ("lbs", "pound", "pounds"), 3),
    Unit("grain", "mass", _POUND / 7000, ("grains",), 1),
    Unit("g/cm³", "density", Fraction(1000), ("g/cm3", "g/cm^3", "g/cc", "g/ml"), 3),
    Unit("kg/m³", "density", _ONE, ("kg/m3", "kg/m^3"), 1),
    Unit("lb/ft³", "density", _POUND / _FOOT**3, ("lb/ft3", "lb/ft^3", "lb/cu ft"), 2),
    Unit("lb/in³", "density", _POUND / _INCH**3, ("lb/in3", "lb/in^3", "lb/cu in"), 4),
    Unit("°C", "temperature", _ONE, ("c", "deg c", "celsius"), 1, Fraction(27315, 100)),
    Unit("°F", "temperature", Fraction(5, 9), ("f", "deg f", "fahrenheit"), 1, Fraction(45967, 100)),
    Unit("K", "temperature", _ONE, ("kelvin",), 2),
    Unit("°C", "temperature step", _ONE, ("c", "deg c", "celsius"), 1),
    Unit("°F", "temperature step", Fraction(5, 9), ("f", "deg f", "fahrenheit"), 1),
    Unit("K", "temperature step", _ONE, ("kelvin",), 2),
    Unit("s", "time", _ONE, ("sec", "secs", "second", "seconds"), 1),
    Unit("min", "time", Fraction(60), ("m", "mins", "minute", "minutes"), 1),
    Unit("h", "time", Fraction(3600), ("hr", "hrs", "hour", "hours"), 2),
    Unit("d", "time", Fraction(86400), ("day", "days"), 2),
    Unit("wk", "time", Fraction(604800), ("w", "wks", "week", "weeks"), 2),
    Unit("deg", "angle", PI / 180, ("°", "degree", "degrees"), 1),
    Unit("arcmin", "angle", PI / 10800, ("'",), 1),
    Unit("arcsec", "angle", PI / 648000, ('"', "''"), 0),
    Unit("rad", "angle", _ONE, ("radian", "radians"), 4),
    Unit("turn", "angle", 2 * PI, ("turns",), 4),
    Unit("m/s", "speed", _ONE, ("m/sec", "meters per second", "metres per second"), 2),
    Unit("mm/s", "speed", Fraction(1, 1000), ("mm/sec",), 2),
    Unit("m/min", "speed", Fraction(1, 60), (), 1),
    Unit("ft/min", "speed", _FOOT / 60, ("sfpm", "sfm", "fpm", "feet per minute"), 0),
    Unit("ft/s", "speed", _FOOT, ("ft/sec", "fps"), 2),
    Unit("in/s", "speed", _INCH, ("in/sec", "ips"), 2),
    Unit("in/min", "speed", _INCH / 60, ("ipm",), 2),
    Unit("km/h", "speed", Fraction(10, 36), ("kph",), 1),
    Unit("mph", "speed", 5280 * _FOOT / 3600, ("miles per hour",), 1),
    Unit("rpm", "turning speed", Fraction(1, 60), ("rev/min", "r/min", "1/min"), 0),
    Unit("rev/s", "turning speed", _ONE, ("rps", "r/s", "rev/sec"), 2),
    Unit("Hz", "frequency", _ONE, ("hertz", "1/s"), 1),
    Unit("kHz", "frequency", Fraction(1000), ("kilohertz",), 3),
    Unit("%", "humidity", Fraction(1, 100), ("% rh", "%rh", "rh", "percent", "per cent", "pct"), 1),
    Unit("%", "share", Fraction(1, 100), ("percent", "per cent", "pct"), 2),
    Unit("HRC", "hardness", _ONE, ("rc", "rockwell c"), 1),
    Unit("MPa", "pressure", Fraction(10**6), ("megapascal",), 2),
    Unit("Pa", "pressure", _ONE, ("pascal",), 0),
    Unit("hPa", "pressure", Fraction(100), ("mbar", "millibar"), 1),
    Unit("kPa", "pressure", Fraction(1000), ("kilopascal",), 2),
    Unit("GPa", "pressure", Fraction(10**9), ("gigapascal", "kn/mm²"), 2),
    Unit("bar", "pressure", Fraction(10**5), (), 3),
    Unit("psi", "pressure", _POUND_FORCE / _INCH**2, ("lbf/in²", "lb/in²", "lbf/in2"), 1),
    Unit("inHg", "pressure", _MERCURY * 254 / 10, ("in hg",), 2),
    Unit("mmHg", "pressure", _MERCURY, ("mm hg", "torr"), 1),
    Unit("kJ/mol", "energy per amount", Fraction(1000), (), 2),
    Unit("J/mol", "energy per amount", _ONE, (), 0),
    Unit("kcal/mol", "energy per amount", Fraction(4184), (), 2),
)

_MIL = "mil is a thousandth of an inch to some makers and a millimetre to others"
_SCALE = ("degrees of which scale is not certain", ("°C", "°F"))

UNSURE: Mapping[tuple[str, str], tuple[str, tuple[str, ...]]] = MappingProxyType(
    {
        ("length", "mil"): (_MIL, (" thou", " mm")),
        ("length", "mils"): (_MIL, (" thou", " mm")),
        ("mass", "gr"): ("gr is a grain to some makers and a gram to others", (" grain", " g")),
        ("pressure", "mpa"): ("only with a capital M and a capital P is it certain", ("MPa",)),
        **{
            (kind, word): _SCALE
            for kind in ("temperature", "temperature step")
            for word in ("°", "deg", "degree", "degrees")
        },
    }
)
"""Words refused because two makers mean two things by them: why, and what each could write."""


def _tidy(word: str) -> str:
    return re.sub(r"\s+", "", word).casefold()


def _spelled(unit: Unit) -> Iterator[str]:
    yield unit.short
    yield from unit.spellings


@lru_cache(maxsize=1)
def _by_kind() -> Mapping[str, Mapping[str, Unit]]:
    found: dict[str, dict[str, Unit]] = {name: {} for name in KINDS}
    for unit in _TABLE:
        for word in _spelled(unit):
            # Capitals are forgiven wherever they cannot change the meaning; MPa and mPa can.
            key = word if word == "MPa" else _tidy(word)
            found[unit.kind][key] = unit
    return found


def units_of(kind: str) -> tuple[Unit, ...]:
    """Return the table's units of a kind, the usual ones first."""
    return tuple(unit for unit in _TABLE if unit.kind == kind)


def find_unit(word: str, kind: str) -> Unit | None:
    """Return the table's unit that is spelled so for this kind, or None."""
    words = _by_kind().get(kind, {})
    plain = re.sub(r"\s+", "", word)
    return words.get(plain) or words.get(plain.casefold())


def kinds_of(word: str) -> tuple[str, ...]:
    """Return the kinds that have a unit spelled so, the commoner kinds first."""
    return tuple(kind for kind in KINDS if find_unit(word, kind))


@lru_cache(maxsize=64)
def unit_pattern(kind: str) -> re.Pattern[str]:
    """Return the pattern that matches any spelling of the kind's units, longest first.

    A spelling that ends in a letter must not run on into more letters, and may carry the full
    stop of an abbreviation (``in.``); nothing in it can be matched in two ways.
    """
    parts = []
    for word in sorted({w for u in units_of(kind) for w in _spelled(u)}, key=lambda w: (-len(w), w)):
        body = re.escape(word).replace("\\ ", " *").replace("/", " */ *")
        if len(word) > 1:
            body = body.replace("°", "° *")
        if word[-1].isalpha():
            body += r"\.?(?![A-Za-zµ²³^/.])"
        elif word[-1] in "23":
            body += r"(?![0-9.,/])"
        parts.append(body)
    return re.compile("|".join(parts) or r"(?!)", re.IGNORECASE)


_LOCK = threading.Lock()
_OUTSIDE: list[Any] = []
_NAME = re.compile(r"[A-Za-zµ]{1,30}(?:_[A-Za-z]{1,20}){0,3}")

_DIMENSIONS: Mapping[str, str] = MappingProxyType(
    {
        "length^1": "length",
        "length^2": "area",
        "length^3": "volume",
        "mass^1": "mass",
        "length^-3 mass^1": "density",
        "time^1": "time",
        "length^1 time^-1": "speed",
        "time^-1": "frequency",
        "length^-1 mass^1 time^-2": "pressure",
    }
)


def _dimension(powers: Mapping[str, Any]) -> str:
    """Return a dimension in words of our own, so that no version of pint can change them."""
    return " ".join(f"{name.strip('[]')}^{Fraction(power)}" for name, power in sorted(powers.items()))


def _registry() -> Any:
    """Return the one registry of units, built at the first question and never before."""
    with _LOCK:
        if not _OUTSIDE:
            import pint

            _OUTSIDE.append(pint.UnitRegistry(non_int_type=Fraction))
        return _OUTSIDE[0]


@lru_cache(maxsize=256)
def outside_unit(name: str) -> Unit | None:
    """Return a unit that is not in the table, asked of pint by its bare name, or None.

    A name of letters only can hold no expression. Units without a plain factor (decibels,
    other temperature scales) and numbers that pint keeps as units (pi) are refused.
    """
    if not _NAME.fullmatch(name):
        return None
    registry = _registry()
    try:
        one = registry.Quantity(Fraction(1), registry.Unit(name))
        if not one._is_multiplicative or one.dimensionless:
            return None
        factor = Fraction(one.to_base_units().magnitude)
        dimension = _dimension(dict(one.dimensionality))
    except Exception:
        # Whatever the library stumbles on, the answer here is the same: not a unit we can use.
        return None
    return Unit(name, _DIMENSIONS.get(dimension, dimension), factor, (), 3)
