"""Writing a measure the way the maker wants to see it; what is written reads back."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from workshop.errors import ShopError
from workshop.units import KINDS, Unit, find_unit, outside_unit

MOST_DECIMALS = 12


def _unit(kind: str, unit: str) -> Unit:
    wanted = unit or KINDS[kind].natural
    if kind == "length" and wanted == "fraction":
        wanted = "in"
    found = find_unit(wanted, kind) or outside_unit(wanted)
    if found is None or found.kind != kind:
        raise ShopError(f"{wanted} is not a unit of {kind}; {KINDS[kind].natural or 'no unit'} is one")
    return found


def _exact(value: float | Fraction) -> Fraction:
    if isinstance(value, float) and not math.isfinite(value):
        raise ShopError(f"{value} is not a number that can be written; a finite one is needed")
    return Fraction(value)


def in_unit(si_value: float | Fraction, kind: str, unit: str) -> float:
    """Return the number of an SI value in a unit ("" for the kind's usual one), for data."""
    return float(_unit(kind, unit).from_si(_exact(si_value)))


def _figures(number: Fraction, digits: int, fixed: bool) -> str:
    """Write a number with so many decimals; unless fixed, a small one gets two figures at least."""
    if not fixed:
        while number and abs(number) < Fraction(10) ** (1 - digits) and digits < MOST_DECIMALS:
            digits += 1
    if abs(number) >= 10**15:
        return f"{float(number):.15g}"
    scaled = round(number * 10**digits)
    sign, scaled = "-" if scaled < 0 else "", abs(scaled)
    whole, part = divmod(scaled, 10**digits)
    text = f"{whole}.{part:0{digits}d}" if digits else str(whole)
    if not fixed and digits:
        text = text.rstrip("0").rstrip(".")
    return sign + text


def _fraction(inches: Fraction, digits: int) -> str:
    """Write inches to the nearest 1/64, and what that leaves out in thou."""
    grid = round(inches * 64)
    error = (inches - Fraction(grid, 64)) * 1000
    thou = _figures(abs(error), digits, fixed=False) if round(abs(error) * 10**digits) else ""
    if not grid:
        return f"{'-' if error < 0 else ''}{thou} thou" if thou else "0 in"
    whole, part = divmod(abs(Fraction(grid, 64)), 1)
    text = " ".join(str(piece) for piece in (int(whole), part) if piece)
    text = f"{'-' if grid < 0 else ''}{text} in"
    return f"{text} {'-' if error < 0 else '+'} {thou} thou" if thou else text


def write(si_value: float | Fraction, kind: str, unit: str, digits: int | None = None) -> str:
    """Return a measure as text in a unit: ``31.75 mm``, ``5/32 in + 0.4 thou``, ``21.5 °C``.

    unit: a short name; ``"fraction"`` for inches to 1/64 with the rest in thou; "" for the
    kind's usual one. digits: so many decimals exactly; without it the unit's usual ones, no
    trailing zeros, and never fewer than two figures. Raises ShopError for what is not finite.
    """
    value = _exact(si_value)
    if kind == "length" and unit == "fraction":
        return _fraction(_unit(kind, "in").from_si(value), 1 if digits is None else digits)
    if kind == "ratio":
        return f"{_figures(value, 4 if digits is None else digits, digits is not None)}:1"
    if kind in ("number", "count", "money", "coefficient"):
        usual = {"number": 4, "count": 0, "money": 2, "coefficient": 6}[kind]
        text = _figures(value, usual if digits is None else digits, digits is not None or kind == "money")
        return f"{text} {unit}".rstrip()
    known = _unit(kind, unit)
    text = _figures(known.from_si(value), known.digits if digits is None else digits, digits is not None)
    return f"{text} {known.short}".rstrip()


@dataclass(frozen=True, slots=True)
class Preference:
    """How a shop likes its measures written."""

    length: str = "mm"
    temperature: str = "°C"
    mass: str = "g"


LOOKS = (Preference(), Preference("in", "°F", "oz"), Preference("fraction", "°F", "oz"))
"""The looks one key goes round: metric, decimal inch, inch fractions."""


def next_preference(prefer: Preference) -> Preference:
    """Return the look after this one."""
    for place, look in enumerate(LOOKS):
        if look == prefer:
            return LOOKS[(place + 1) % len(LOOKS)]
    return LOOKS[0]


def _preferred(kind: str, prefer: Preference) -> str:
    return {
        "length": prefer.length,
        "temperature": prefer.temperature,
        "temperature step": prefer.temperature,
        "mass": prefer.mass,
    }.get(kind, "")


def show(si_value: float | Fraction, kind: str, prefer: Preference, digits: int | None = None) -> str:
    """Return a measure as the shop likes it."""
    return write(si_value, kind, _preferred(kind, prefer), digits)


def both(si_value: float | Fraction, kind: str, prefer: Preference) -> tuple[str, str]:
    """Return a measure as the shop likes it and in the other system ("" where there is none)."""
    metric = prefer.length == "mm"
    other = LOOKS[1] if metric else LOOKS[0]
    first, second = show(si_value, kind, prefer), show(si_value, kind, other)
    return first, "" if first == second else second
