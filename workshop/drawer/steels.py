"""Reading the store of steels: names, compositions, published points and ladders."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from workshop.drawer.declare import Given
from workshop.errors import ShopError
from workshop.showable import showable
from workshop.trade.steel_heat import ZERO_C
from workshop.trade.temper import UNSAID_HOURS, Ladder

Entry = Mapping[str, Any]

_BETWEEN = re.compile(r"[+/,;&]|\band\b|\bwith\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Point:
    """Measured critical temperatures of one source, K; ac3 None where it has none."""

    ac1_K: float
    ac3_K: float | None
    source: str
    standing: str


def degrees(kelvin: float) -> str:
    """Write a temperature in both scales, for sentences."""
    celsius = kelvin - ZERO_C
    return f"{celsius:.0f} °C ({celsius * 1.8 + 32:.0f} °F)"


def step(kelvin: float) -> str:
    """Write a difference of temperature in both scales, for sentences."""
    return f"{kelvin:.0f} °C ({kelvin * 1.8:.0f} °F)"


def to_kelvin(value: float, unit: str) -> float:
    """A stored number in °C or °F, in kelvin."""
    return (value - 32.0) / 1.8 + ZERO_C if unit == "°F" else value + ZERO_C


def _names(given: Given) -> dict[str, Entry]:
    """Every steel by each of its names, plainly written."""
    names: dict[str, Entry] = {}
    for entry in given.stores["steels"].get("steel", ()):
        for known in (entry["id"], entry.get("title", entry["id"]), *entry.get("also", ())):
            names.setdefault(_plain(str(known)), entry)
    return names


def find(given: Given, name: str) -> Entry:
    """Return the steel of this designation; ShopError with near names when there is none."""
    names = _names(given)
    wanted = _plain(name)
    if wanted in names:
        return names[wanted]
    near = get_close_matches(wanted, names, n=3, cutoff=0.6)
    choices = dict.fromkeys(str(names[n]["id"]) for n in near) or dict.fromkeys(
        str(entry["id"]) for entry in names.values()
    )
    raise ShopError(
        f"steel: {showable(name, 40)!r} is not in the store; right would be one of: {', '.join(choices)}, "
        "or a steel of your own added to the store."
    )


def several(given: Given, text: str) -> tuple[Entry, ...]:
    """Return every steel of a layered bar written ``1084 + 15N20``; ShopError for an unknown one.

    The whole text is tried as one name first, since some designations hold a stroke (1074/1075).
    """
    parts = [part for part in _BETWEEN.split(text) if part.strip()]
    if not parts or len(text) > 120:
        raise ShopError("steel: right would be a designation like 1084, or two like 1084 + 15N20.")
    known = _names(given)
    if len(parts) == 1 or _plain(text) in known:
        return (find(given, text if _plain(text) in known else parts[0]),)
    return tuple(find(given, part) for part in parts)


def known_or_said(given: Given, text: str) -> tuple[tuple[Entry, ...], tuple[str, ...]]:
    """The steels of a text, or none and the sentence that says why: where the work does without."""
    try:
        return several(given, text), ()
    except ShopError as unknown:
        return (), (str(unknown),)


def _plain(name: str) -> str:
    return " ".join(name.lower().replace("%", " % ").split())


@contextmanager
def _reading(entry: Entry, part: str, right: str) -> Iterator[None]:
    """Turn whatever a maker's own entry lacks into one sentence."""
    try:
        yield
    except (KeyError, TypeError, ValueError, IndexError, AttributeError):
        name = showable(str(entry.get("id", "an entry without an id")), 40)
        raise ShopError(
            f"steels: {name} has no readable {part} in the store; right would be {right}."
        ) from None


def ranges(entry: Entry) -> dict[str, tuple[float, float]]:
    """Least and most of each element, percent by weight, by symbol in small letters.

    A single number counts as both. Raises ShopError for an entry that cannot be read.
    """
    with _reading(entry, "composition", "composition = { C = [0.80, 0.93], Mn = 0.75 }"):
        found = {}
        for element, raw in entry["composition"].items():
            low, high = (raw[0], raw[-1]) if isinstance(raw, (list, tuple)) else (raw, raw)
            if not 0.0 <= float(low) <= float(high) <= 60.0:
                raise ValueError
            found[str(element).lower()] = (float(low), float(high))
        if "c" not in found:
            raise KeyError("C")
        return found


def middle(entry: Entry) -> dict[str, float]:
    """The middle of each element's range."""
    return {element: (low + high) / 2.0 for element, (low, high) in ranges(entry).items()}


def ladders(entry: Entry) -> tuple[Ladder, ...]:
    """The steel's published tempering ladders, in kelvin; ShopError for one that cannot be read."""
    with _reading(entry, "ladder", 'unit = "°C" and rows = [[200, 60, 61], [230, 58, 59]]'):
        return tuple(_ladder(raw) for raw in entry.get("ladder", ()))


def _ladder(raw: Mapping[str, Any]) -> Ladder:
    unit = str(raw.get("unit", "°C"))
    hardened = raw.get("hardened")
    hours = raw.get("hours", UNSAID_HOURS)
    rows = tuple(sorted((to_kelvin(r[0], unit), float(r[1]), float(r[-1])) for r in raw["rows"]))
    if not rows or min(hours[0], hours[-1]) <= 0.0 or any(low > high for _, low, high in rows):
        raise ValueError
    return Ladder(
        rows,
        (float(hardened[0]), float(hardened[-1])) if hardened else None,
        (float(hours[0]), float(hours[-1])),
        str(raw.get("source", "your own")),
        str(raw.get("standing", "common practice")),
    )


def points(entry: Entry) -> tuple[Point, ...]:
    """The steel's measured critical temperatures, in kelvin; ShopError for one that cannot be read."""
    with _reading(entry, "critical point", 'unit = "°C" and ac1 = 740'):
        return tuple(
            Point(
                to_kelvin(float(raw["ac1"]), str(raw.get("unit", "°C"))),
                to_kelvin(float(raw["ac3"]), str(raw.get("unit", "°C"))) if "ac3" in raw else None,
                str(raw.get("source", "your own")),
                str(raw.get("standing", "common practice")),
            )
            for raw in entry.get("critical", ())
        )


def hardening(entry: Entry) -> tuple[str, ...]:
    """Each published hardening heat in a line; ShopError for one that cannot be read."""
    lines = []
    with _reading(entry, "hardening heat", 'unit = "°C", low = 800 and high = 815'):
        for raw in entry.get("hardening", ()):
            low, high = (to_kelvin(float(raw[k]), str(raw.get("unit", "°C"))) for k in ("low", "high"))
            heat = degrees(low) if high - low < 1.0 else f"{degrees(low)} to {degrees(high)}"
            source = f"{raw.get('source', 'your own')}; {raw.get('standing', 'common practice')}"
            lines.append(f"{heat}, {raw.get('quench', 'oil')} ({source})")
    return tuple(lines)
