"""Writing a measure the way the maker wants to see it; what is written reads back."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from workshop.errors import ShopError
from workshop.units import KINDS, Unit, find_unit, outside_unit

MOST_DECIMALS = 12

_LABELLED: Mapping[str, int] = {"ratio": 4, "number": 4, "count": 0, "money": 2, "coefficient": 6}
"""Kinds whose unit is a label, not a factor; and their usual decimals."""


def _unit(kind: str, unit: str) -> Unit:
    natural = KINDS[kind].natural if kind in KINDS else ""
    wanted = unit or natural
    if kind == "length" and wanted == "fraction":
        wanted = "in"
    found = find_unit(wanted, kind) or outside_unit(wanted)
    if found is None or found.kind != kind:
        raise ShopError(f"{wanted or 'nothing'} is not a unit of {kind}; {natural or 'no unit'} is one.")
    return found


def _exact(value: float | Fraction) -> Fraction:
    if isinstance(value, float) and not math.isfinite(value):
        raise ShopError(f"{value} is not a number that can be written; a finite one is needed.")
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
    if not grid:
        return f"{_figures(error, digits, fixed=False)} thou" if error else "0 in"
    whole, part = divmod(abs(Fraction(grid, 64)), 1)
    text = " ".join(str(piece) for piece in (whole, part) if piece)
    text = f"{'-' if grid < 0 else ''}{text} in"
    thou = _figures(abs(error), digits, fixed=True)
    thou = thou.rstrip("0").rstrip(".") if "." in thou else thou
    return text if thou == "0" else f"{text} {'-' if error < 0 else '+'} {thou} thou"


def _span(seconds: Fraction) -> str:
    """Write a time in its two largest units, as one says it: ``2 d 3 h``, ``1 h 30 min``, ``45 s``."""
    size = abs(seconds)
    sign = "-" if seconds < 0 else ""
    steps = (("d", 86400), ("h", 3600), ("min", 60), ("s", 1))
    for (large, many), (small, few) in pairwise(steps):
        if size >= many:
            whole, rest = divmod(round(size / few), many // few)
            return f"{sign}{whole} {large}" + (f" {rest} {small}" if rest else "")
    return f"{_figures(seconds, 1, fixed=False)} s"


def write(si_value: float | Fraction, kind: str, unit: str, digits: int | None = None) -> str:
    """Return a measure as text in a unit: ``31.75 mm``, ``5/32 in + 0.4 thou``, ``21.5 °C``.

    unit: a short name; ``"fraction"`` for inches to 1/64 with the rest in thou; "" for the
    kind's usual one. digits: so many decimals exactly; without it the unit's usual ones, no
    trailing zeros, and never fewer than two figures. Raises ShopError for what is not finite.
    """
    value = _exact(si_value)
    if kind == "length" and unit == "fraction":
        return _fraction(_unit(kind, "in").from_si(value), 1 if digits is None else digits)
    if kind == "time" and unit == "span":
        return _span(value)
    if kind in _LABELLED:
        usual = _LABELLED[kind] if digits is None else digits
        text = _figures(value, usual, fixed=digits is not None or kind == "money")
        if kind == "ratio":
            return f"{text}:1 {unit}".rstrip()
        return unit + text if unit in ("$", "€", "£", "¥") and unit else f"{text} {unit}".rstrip()
    known = _unit(kind, unit)
    text = _figures(known.from_si(value), known.digits if digits is None else digits, digits is not None)
    return f"{text}°" if known.short == "deg" else f"{text} {known.short}"


def precise(si_value: float | Fraction, kind: str, unit: str, figures: int = 6) -> str:
    """Return a measure in a unit to so many figures, without trailing zeros: ``0.396875 mm``."""
    if kind == "money" or (kind == "length" and unit == "fraction"):
        return write(si_value, kind, unit)
    known = None if kind in _LABELLED else _unit(kind, unit)
    number = known.from_si(_exact(si_value)) if known else _exact(si_value)
    before = math.floor(math.log10(abs(number))) + 1 if number else 1
    digits = min(max(figures - before, known.digits if known else 0, 0), MOST_DECIMALS)
    text = write(si_value, kind, unit, digits)
    body, point, after = text.partition(".")
    if not point:
        return text
    part = after[:digits].rstrip("0")
    return f"{body}{'.' if part else ''}{part}{after[digits:]}"


@dataclass(frozen=True, slots=True)
class Preference:
    """How a shop likes its measures written.

    length: ``"mm"``, ``"in"`` (decimals), ``"fraction"`` (inches to 1/64) or ``"thou"``.
    temperature: ``"°C"`` or ``"°F"``. mass: ``"g"`` or ``"oz"``.
    """

    length: str = "mm"
    temperature: str = "°C"
    mass: str = "g"

    def __post_init__(self) -> None:
        for name, known in _CHOICES.items():
            if getattr(self, name) not in known:
                raise ShopError(
                    f"{name} is written in {', '.join(known)}, not in {getattr(self, name)!s:.20}"
                )


_CHOICES: Mapping[str, tuple[str, ...]] = {
    "length": ("mm", "in", "fraction", "thou"),
    "temperature": ("°C", "°F"),
    "mass": ("g", "oz"),
}

LOOKS = (Preference(), Preference("in", "°F", "oz"), Preference("fraction", "°F", "oz"))
"""The looks one key goes round: metric, decimal inch, inch fractions."""


def next_preference(prefer: Preference) -> Preference:
    """Return the look after this one."""
    for place, look in enumerate(LOOKS):
        if look == prefer:
            return LOOKS[(place + 1) % len(LOOKS)]
    return LOOKS[0]


_INCHES = {"mm²": "in²", "cm²": "in²", "m²": "ft²", "m/s": "ft/min"}
_METRIC = {"in²": "cm²", "ft²": "m²", "ft/min": "m/s"}


def _preferred(kind: str, prefer: Preference, unit: str) -> str:
    """Return the unit in which the shop likes this kind; what it has no liking for stays as it is."""
    if kind in ("area", "speed"):
        wanted = unit or KINDS[kind].natural
        return (_METRIC if prefer.length == "mm" else _INCHES).get(wanted, wanted)
    return {
        "length": prefer.length,
        "temperature": prefer.temperature,
        "temperature step": prefer.temperature,
        "mass": prefer.mass,
        "time": "span",
    }.get(kind, unit)


def _decimals(kind: str, digits: int, unit: str, shown: str) -> int:
    """Return the decimals in the shown unit that keep the fineness of `digits` in another."""
    if kind == "length" and shown == "fraction":
        return 1
    coarser = _unit(kind, shown).factor / _unit(kind, unit).factor
    return max(0, digits + math.ceil(math.log10(coarser) - 0.05))


def show(
    si_value: float | Fraction, kind: str, prefer: Preference, digits: int | None = None, *, unit: str = ""
) -> str:
    """Return a measure as the shop likes it.

    digits: decimals; in the unit that is shown, or, where `unit` names the one they were meant
    for, as many in the shown unit as keep that fineness (2 of a mm are 4 of an inch).
    Kinds on which the shop's liking has no bearing are written in `unit`.
    """
    shown = _preferred(kind, prefer, unit)
    if digits is not None and unit and unit != shown and shown != "span":
        digits = _decimals(kind, digits, unit, shown)
    return write(si_value, kind, shown, digits)


def both(
    si_value: float | Fraction, kind: str, prefer: Preference, digits: int | None = None, *, unit: str = ""
) -> tuple[str, str]:
    """Return a measure as the shop likes it and in the other system ("" where there is none)."""
    other = LOOKS[1] if prefer.length == "mm" else LOOKS[0]
    if kind.startswith("temperature"):
        other = LOOKS[1] if prefer.temperature == "°C" else LOOKS[0]
    if kind == "mass":
        other = LOOKS[1] if prefer.mass == "g" else LOOKS[0]
    first = show(si_value, kind, prefer, digits, unit=unit)
    second = show(si_value, kind, other, digits, unit=unit)
    return first, "" if first == second else second
