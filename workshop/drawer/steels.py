"""Reading the store of steels: names, compositions, published points and ladders."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from workshop.drawer.declare import Given
from workshop.errors import ShopError
from workshop.showable import showable
from workshop.trade.steel_heat import ZERO_C
from workshop.trade.temper import UNSAID_HOURS, Ladder

Entry = Mapping[str, Any]


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


def find(given: Given, name: str) -> Entry:
    """Return the steel of this designation; ShopError with near names when there is none."""
    steels: list[Entry] = given.stores["steels"].get("steel", [])
    wanted = _plain(name)
    names: dict[str, Entry] = {}
    for entry in steels:
        for known in (entry["id"], entry.get("title", entry["id"]), *entry.get("also", ())):
            names.setdefault(_plain(str(known)), entry)
    if wanted in names:
        return names[wanted]
    near = get_close_matches(wanted, names, n=3, cutoff=0.6)
    choices = dict.fromkeys(str(names[n]["id"]) for n in near) or [str(e["id"]) for e in steels]
    raise ShopError(
        f"steel: {showable(name, 40)!r} is not in the store; right would be one of: {', '.join(choices)}, "
        "or a steel of your own added to the store."
    )


def several(given: Given, text: str) -> tuple[Entry, ...]:
    """Return every steel of a layered bar written ``1084 + 15N20``; ShopError for an unknown one."""
    parts = [part for part in text.replace("/", "+" if "+" in text else "/").split("+") if part.strip()]
    if not parts:
        raise ShopError("steel: it is empty; right would be a designation like 1084, or 1084 + 15N20.")
    return tuple(find(given, part) for part in parts[:8])


def _plain(name: str) -> str:
    return " ".join(name.lower().replace("%", " % ").split())


def ranges(entry: Entry) -> dict[str, tuple[float, float]]:
    """Least and most of each element, percent by weight, by symbol in small letters."""
    return {str(e).lower(): (float(r[0]), float(r[1])) for e, r in entry["composition"].items()}


def middle(entry: Entry) -> dict[str, float]:
    """The middle of each element's range."""
    return {element: (low + high) / 2.0 for element, (low, high) in ranges(entry).items()}


def ladders(entry: Entry) -> tuple[Ladder, ...]:
    """The steel's published tempering ladders, in kelvin."""
    found = []
    for raw in entry.get("ladder", ()):
        unit = str(raw.get("unit", "°C"))
        hardened = raw.get("hardened")
        hours = raw.get("hours", UNSAID_HOURS)
        rows = tuple(sorted((to_kelvin(r[0], unit), float(r[1]), float(r[-1])) for r in raw["rows"]))
        found.append(
            Ladder(
                rows,
                (float(hardened[0]), float(hardened[1])) if hardened else None,
                (float(hours[0]), float(hours[-1])),
                str(raw.get("source", "your own")),
                str(raw.get("standing", "common practice")),
            )
        )
    return tuple(found)


def points(entry: Entry) -> tuple[Point, ...]:
    """The steel's measured critical temperatures, in kelvin."""
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
    """Each published hardening heat in a line."""
    lines = []
    for raw in entry.get("hardening", ()):
        low, high = (to_kelvin(float(raw[k]), str(raw.get("unit", "°C"))) for k in ("low", "high"))
        heat = degrees(low) if high - low < 1.0 else f"{degrees(low)} to {degrees(high)}"
        lines.append(f"{heat}, {raw.get('quench', 'oil')} ({raw.get('source')}; {raw.get('standing')})")
    return tuple(lines)
