"""Tempering: time against temperature, and hardness from published ladders.

The parameter is Hollomon and Jaffe's (1945), P = T (C + log10 t), T in K. The same C with hours,
with minutes and with seconds is not the same parameter: here t is in hours and C is 20.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

C_HOURS = 20.0
"""The constant that goes with hours (secondary); with minutes it would be 18.22, with seconds 16.44."""

READING_HRC = 1.0
"""A single printed hardness is taken as good to one point either way (common practice)."""

WIDEST_GAP_K = 120.0
"""Farther apart than this, nothing is read between two rows of a ladder."""

UNSAID_HOURS = (1.0, 2.0)
"""Tempering time of a ladder that does not say (common practice)."""


@dataclass(frozen=True, slots=True)
class Ladder:
    """One source's hardness after tempering.

    rows: temperature K, least HRC, most HRC, rising in temperature. hardened: least and most
    before tempering, where known. hours: what the source tempered for, least and most.
    """

    rows: tuple[tuple[float, float, float], ...]
    hardened: tuple[float, float] | None
    hours: tuple[float, float]
    source: str
    standing: str


@dataclass(frozen=True, slots=True)
class Reading:
    """What one ladder says: least and most HRC, or None and why."""

    ladder: Ladder
    band: tuple[float, float] | None
    why: str = ""


def parameter(temperature_K: float, hours: float, constant: float = C_HOURS) -> float:
    """Time-temperature parameter in thousands: T (C + log10 t) / 1000, t in hours, T in K."""
    return temperature_K * (constant + math.log10(hours)) / 1000.0


def equal_temperature(
    temperature_K: float, hours: float, other_hours: float = 1.0, constant: float = C_HOURS
) -> float:
    """Temperature, K, that does in `other_hours` what `temperature_K` does in `hours`."""
    return temperature_K * (constant + math.log10(hours)) / (constant + math.log10(other_hours))


def _widened(low: float, high: float) -> tuple[float, float]:
    return (low - READING_HRC, high + READING_HRC) if high - low < 0.01 else (low, high)


def at(ladder: Ladder, temperature_K: float) -> Reading:
    """Read one ladder at the temperature of its own time, straight between its rows.

    Below its first row the answer lies between that row and the hardness before tempering; above
    its last, and in a gap wider than 120 K, there is none.
    """
    rows = ladder.rows
    if temperature_K > rows[-1][0] + 0.01:
        return Reading(ladder, None, "hotter than its last row")
    if temperature_K < rows[0][0]:
        if ladder.hardened is None:
            return Reading(ladder, None, "cooler than its first row")
        low = _widened(*rows[0][1:])[0]
        return Reading(ladder, (low, max(low, _widened(*ladder.hardened)[1])))
    for (t0, low0, high0), (t1, low1, high1) in pairwise(rows):
        if temperature_K <= t1:
            close = min(temperature_K - t0, t1 - temperature_K) < 0.5
            if t1 - t0 > WIDEST_GAP_K and not close:
                return Reading(ladder, None, "its rows lie too far apart there")
            share = (temperature_K - t0) / (t1 - t0)
            if t1 - t0 > WIDEST_GAP_K:
                share = round(share)
            return Reading(ladder, _widened(low0 + share * (low1 - low0), high0 + share * (high1 - high0)))
    return Reading(ladder, _widened(*rows[-1][1:]))


def after(ladder: Ladder, temperature_K: float, hours: float) -> Reading:
    """Read one ladder for a temper of so many hours in all, carried over to the ladder's own time.

    Where the ladder's time is a range, both ends are read and the answer holds both.
    """
    bands = []
    why = ""
    for own in sorted(set(ladder.hours)):
        reading = at(ladder, equal_temperature(temperature_K, hours, own))
        if reading.band is None:
            why = reading.why
        else:
            bands.append(reading.band)
    if not bands:
        return Reading(ladder, None, why)
    return Reading(ladder, (min(b[0] for b in bands), max(b[1] for b in bands)))


def hardness(
    ladders: Sequence[Ladder], temperature_K: float, hours: float
) -> tuple[tuple[float, float] | None, tuple[Reading, ...]]:
    """Least and most HRC over all ladders (None where none answers), and each ladder's reading."""
    readings = tuple(after(ladder, temperature_K, hours) for ladder in ladders)
    bands = [r.band for r in readings if r.band is not None]
    if not bands:
        return None, readings
    return (min(b[0] for b in bands), max(b[1] for b in bands)), readings


def temperatures_for(
    ladders: Sequence[Ladder], wanted_HRC: float, hours: float
) -> tuple[float | None, float] | None:
    """Coolest and hottest temper, K, at which some ladder has the wanted hardness in its band.

    Searched in whole kelvin from 80 to 700 °C between the ladders' rows. Where the hardness lies
    only between a ladder's first row and the quench, the coolest is None and the hottest is that
    first row: no source says how much cooler. None when no ladder reaches it.
    """
    found = [
        float(kelvin) for kelvin in range(353, 974) if _reached(ladders, wanted_HRC, float(kelvin), hours)
    ]
    if found:
        return found[0], found[-1]
    tops = [
        equal_temperature(ladder.rows[0][0], ladder.hours[0], hours)
        for ladder in ladders
        if ladder.hardened is not None
        and _widened(*ladder.rows[0][1:])[0] <= wanted_HRC <= _widened(*ladder.hardened)[1]
    ]
    return (None, max(tops)) if tops else None


def _reached(ladders: Sequence[Ladder], wanted_HRC: float, kelvin: float, hours: float) -> bool:
    """Whether some ladder, between its own rows, holds the wanted hardness at this temper."""
    for ladder in ladders:
        if equal_temperature(kelvin, hours, max(ladder.hours)) < ladder.rows[0][0]:
            continue
        band = after(ladder, kelvin, hours).band
        if band is not None and band[0] <= wanted_HRC <= band[1]:
            return True
    return False
