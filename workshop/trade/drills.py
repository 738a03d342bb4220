"""Twist drills: the sizes a shop can have, and which one a pin wants.

The sizes are handed in as the parsed store (recipes/stores/drills.toml), so that a maker's
own list of drills replaces the whole one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Any

from workshop.errors import ShopError
from workshop.trade.geometry import INCH_M, must_be_more_than_nothing, say_length

_UNITS_M = {"in": Fraction(254, 10000), "mm": Fraction(1, 1000)}
_NEAR_M = 1e-9
"""Drills are made to hundredths of a millimetre; a millionth of one is only rounding."""

PEENED_LEAST, PEENED_MOST = 1.25, 1.5
"""A tang's hole for a peened pin, in pin diameters (common practice)."""


@dataclass(frozen=True, slots=True)
class Drill:
    """One size. names: all its names, in the order of the series (E and 1/4 in are one size)."""

    size_m: float
    names: tuple[str, ...]
    set: str

    @property
    def name(self) -> str:
        """All its names in one text: ``"#20"``, ``"E or 1/4 in"``."""
        return " or ".join(self.names)


@dataclass(frozen=True, slots=True)
class PinDrill:
    """The drill for a pin's hole, its neighbours, and what each leaves around the pin (m)."""

    drill: Drill
    clearance_m: float
    under: Drill | None
    under_clearance_m: float | None
    over: Drill | None
    over_clearance_m: float | None
    tang_least_m: float
    tang_most_m: float


@lru_cache(maxsize=1024)
def _size(text: str, unit: str) -> Fraction:
    """Return a size in metres. Remembered, because all of them are read again at every keystroke."""
    # A long exponent would fill the memory; a size has few digits.
    if len(text) > 12 or "e" in text.lower() or Fraction(text) <= 0:
        raise ValueError(text)
    return Fraction(text) * _UNITS_M[unit]


def _named_sizes(series: Mapping[str, Any]) -> list[tuple[str, Fraction]]:
    unit = str(series.get("unit", "in"))
    if unit not in _UNITS_M:
        raise ShopError(
            f'drills: series "{series.get("id", "")}" has the unit "{unit}"; it must be "in" or "mm"'
        )
    sizes = series.get("sizes", {})
    before = str(series.get("before", ""))
    if isinstance(sizes, Mapping):
        named = [(f"{before}{name}", str(size)) for name, size in sizes.items()]
    else:
        named = [(f"{size} {unit}", str(size)) for size in sizes]
    found = []
    for name, size in named:
        try:
            found.append((name, _size(size, unit)))
        except (ValueError, ZeroDivisionError):
            raise ShopError(
                f'drills: size "{size}" of "{name}" is no size; write it like "0.161" or "5/32"'
            ) from None
    return found


def sizes(store: Mapping[str, Any]) -> dict[str, float]:
    """Return every drill of the store by name, in metres: ``"#20"``, ``"F"``, ``"5/32 in"``, ``"4.1 mm"``.

    Raises ShopError for a size that cannot be read.
    """
    return {name: float(size) for series in store.get("series", ()) for name, size in _named_sizes(series)}


def rack(store: Mapping[str, Any], set_name: str = "inch") -> tuple[Drill, ...]:
    """Return the drills of a set, smallest first, each size once with all its names.

    set_name: ``"inch"`` (numbers, letters and 64ths), ``"metric"`` or ``"all"``.
    Raises ShopError for a set with no drill in it.
    """
    gathered: dict[Fraction, list[tuple[str, str]]] = {}
    for series in store.get("series", ()):
        if set_name in ("all", series.get("set", "inch")):
            for name, size in _named_sizes(series):
                gathered.setdefault(size, []).append((name, str(series.get("set", "inch"))))
    if not gathered:
        raise ShopError(f'drills: no drill in the set "{set_name}"; the sets are inch, metric and all')
    return tuple(
        Drill(float(size), tuple(name for name, _ in gathered[size]), gathered[size][0][1])
        for size in sorted(gathered)
    )


def _fits(size_m: float, wanted_m: float) -> bool:
    return size_m >= wanted_m - _NEAR_M


def for_pin(drills: Sequence[Drill], pin_m: float, clearance_m: float) -> PinDrill:
    """Return the smallest drill that leaves at least the wanted clearance on the pin's diameter.

    drills: smallest first. pin_m over 0; clearance_m 0 or more. Drills cut a little over their
    size in wood, so the true gap is rarely smaller than said.
    Raises ShopError when no drill is large enough or a size makes no sense.
    """
    must_be_more_than_nothing(pin=pin_m)
    if clearance_m < 0:
        raise ShopError(
            f"clearance is {say_length(clearance_m)}; a pin does not go into a hole smaller than itself, "
            "so it must be nothing or more"
        )
    place = next((i for i, drill in enumerate(drills) if _fits(drill.size_m, pin_m + clearance_m)), None)
    if place is None:
        raise ShopError(
            f"no drill in the set is large enough for a pin of {say_length(pin_m)} with "
            f"{say_length(clearance_m)} clearance; the largest is {say_size(drills[-1])}"
        )
    drill = drills[place]
    under = drills[place - 1] if place else None
    over = drills[place + 1] if place + 1 < len(drills) else None
    return PinDrill(
        drill,
        drill.size_m - pin_m,
        under,
        under.size_m - pin_m if under else None,
        over,
        over.size_m - pin_m if over else None,
        PEENED_LEAST * pin_m,
        PEENED_MOST * pin_m,
    )


def between(drills: Sequence[Drill], least_m: float, most_m: float) -> tuple[Drill, ...]:
    """Return the drills from `least_m` to `most_m`, both ends included."""
    return tuple(d for d in drills if least_m - _NEAR_M <= d.size_m <= most_m + _NEAR_M)


def say_size(drill: Drill) -> str:
    """Return a drill's name with its size: ``"#21, 0.159 in"``; a metric drill's name is its size."""
    if drill.set == "metric":
        return drill.name
    return f"{drill.name}, {drill.size_m / INCH_M:.4g} in"


def say_gap(drill: Drill, gap_m: float) -> str:
    """Return a clearance with its sign, in thou for an inch drill and in mm for a metric one."""
    if drill.set == "metric":
        return f"{gap_m * 1000:+.3f} mm"
    return f"{gap_m / INCH_M * 1000:+.2f} thou"
