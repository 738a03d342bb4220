"""The record of the shop's air: one file, a line a reading, thinned as it grows old.

Written as ``readings = [[2026-03-01T09:00:00Z, "17.5 °C", "61 %"], …]``, the oldest first.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime, timedelta
from typing import Any

import tomli_w

from workshop import measure
from workshop.build.air import Reading
from workshop.errors import ShopError
from workshop.shelf.table import Source, Table

SCHEMA = 1
OURS = ("schema", "readings")
FRESH = timedelta(days=2)
OLDEST = timedelta(days=120)
MOST = 8000
"""Readings kept at most: at 50 bytes each well below what a file may have."""

_SAME_K, _SAME_SHARE, _SAME_FOR = 0.25, 0.03, timedelta(minutes=30)
_HOUR = timedelta(hours=1)


def read_air(data: Mapping[str, Any], source: Source) -> tuple[Reading, ...]:
    """Return the readings in a file, the oldest first; raises FileFault for what cannot be taken."""
    top = Table(data, source)
    top.known_schema(SCHEMA)
    rows = top.data.get("readings", [])
    top.asked.add("readings")
    if not isinstance(rows, list):
        raise top.fault("readings", "is not a list", _RIGHT)
    found = {}
    for row in rows:
        one = _reading(top, row)
        found[one.at] = one
    return tuple(found[at] for at in sorted(found))


_RIGHT = 'a moment and the air, such as [2026-03-01T09:00:00Z, "17.5 °C", "61 %"]'


def _reading(top: Table, row: Any) -> Reading:
    if not isinstance(row, list) or len(row) not in (2, 3) or not isinstance(row[0], datetime):
        raise top.fault("readings", "has a line that is no reading", _RIGHT)
    if row[0].tzinfo is None:
        raise top.fault("readings", "has a moment without a time zone", _RIGHT)
    air_K = top.read_si("readings", row[1], "temperature")
    humidity = top.read_si("readings", row[2], "humidity") if len(row) == 3 else None
    return Reading(row[0].astimezone(UTC), air_K, humidity)


def air_bytes(readings: Sequence[Reading], own: Mapping[str, Any] | None = None) -> bytes:
    """Return the record as TOML, one line a reading. own: keys of the maker's own, kept behind it."""
    lines = ["# The shop's air as it was read, the oldest first.", f"schema = {SCHEMA}", "readings = ["]
    for one in readings:
        damp = "" if one.humidity is None else f', "{round(one.humidity * 100, 1):g} %"'
        at = one.at.astimezone(UTC).isoformat().replace("+00:00", "Z")
        lines.append(f'  [{at}, "{round(one.air_K - 273.15, 2):g} °C"{damp}],')
    return ("\n".join([*lines, "]"]) + "\n" + tomli_w.dumps(own or {})).encode()


def with_reading(readings: Sequence[Reading], new: Reading) -> tuple[Reading, ...]:
    """Return the record with a reading more; thinned: of what stays the same, one each half hour.

    A reading that says the same as the last two, within half an hour, takes the place of the last one. Past
    two days one an hour stays, past four months none.
    """
    kept = [one for one in readings if one.at != new.at]
    kept.append(new)
    kept.sort(key=lambda one: one.at)
    place = kept.index(new)
    before = kept[max(0, place - 2) : place]
    if len(before) == 2 and all(_same(one, new) for one in before) and new.at - before[0].at < _SAME_FOR:
        del kept[place - 1]
    return _thinned(kept, new.at)


def _same(one: Reading, other: Reading) -> bool:
    near = abs(one.air_K - other.air_K) <= _SAME_K
    if one.humidity is None or other.humidity is None:
        return near and one.humidity is other.humidity
    return near and abs(one.humidity - other.humidity) <= _SAME_SHARE


def _thinned(readings: Sequence[Reading], now: datetime) -> tuple[Reading, ...]:
    found: list[Reading] = []
    for one in readings:
        if one.at < now - OLDEST:
            continue
        if found and one.at < now - FRESH and one.at - found[-1].at < _HOUR:
            continue
        found.append(one)
    return tuple(found[-MOST:])


COLDEST_K, HOTTEST_K = 233.15, 343.15
"""No shop is colder or hotter; a thermometer that fails often says -127 or 85 °C."""


def believed(air_K: float) -> float:
    """Return a temperature of the shop's air, or raise ShopError for one that no shop has."""
    if not COLDEST_K <= air_K <= HOTTEST_K:
        raise ShopError(
            f"air is {air_K - 273.15:.0f} °C, as no shop has; right would be -40 to 70 °C, like 17.5C."
        )
    return air_K


def parse_reading(text: str) -> tuple[float, float | None]:
    """Return the temperature (K) and the humidity in the last line of what a thermometer wrote or said.

    "17.5C 61%", "17.5 °C, 61 %", "17.5 61" (°C and %), or a temperature alone. Raises ShopError.
    """
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    line = lines[-1] if lines else ""
    words = line.replace(",", " ").replace(";", " ").split()
    joined: list[str] = []
    for word in words:
        if joined and word[:1] in "°CFK%" and not word[:1].isdigit():
            joined[-1] += word
        else:
            joined.append(word)
    first = joined[0] if joined else ""
    air_K = float(
        measure.read(first, "temperature", unit="°C", field="air", example="17.5C 61%", negative=True)
    )
    believed(air_K)
    if len(joined) < 2:
        return air_K, None
    return air_K, float(measure.read(joined[1], "humidity", unit="%", field="humidity", example="61%"))
