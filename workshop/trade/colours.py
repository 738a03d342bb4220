"""What temper colours and glows stand for, kept apart by source: the sources do not agree."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

OPEN_K = 1873.15
"""End of an open last row ("white and hotter"): near where steel melts."""


@dataclass(frozen=True, slots=True)
class Colour:
    """One source's name for one look. group: names of about the same look; kind: temper or glow."""

    name: str
    group: str
    kind: str
    low_K: float
    high_K: float
    source: str


def at(rows: Sequence[Colour], kelvin: float) -> Colour | None:
    """The name one source gives to a temperature: the row that holds it, else the nearest one.

    None outside the source: farther below its first or above its last row than half the way to
    the next.
    """
    ordered = sorted(rows, key=lambda row: row.low_K)
    for row in ordered:
        if row.low_K <= kelvin <= row.high_K:
            return row
    if kelvin < ordered[0].low_K - _reach(ordered, 0, 1) or kelvin > ordered[-1].high_K + _reach(
        ordered, -2, -1
    ):
        return None
    return min(ordered, key=lambda row: min(abs(kelvin - row.low_K), abs(kelvin - row.high_K)))


def _reach(ordered: Sequence[Colour], first: int, second: int) -> float:
    """Half the way between two neighbouring rows."""
    if len(ordered) < 2:
        return 0.0
    return max(0.0, ordered[second].low_K - ordered[first].high_K) / 2.0


def names_at(sources: Sequence[Sequence[Colour]], kelvin: float) -> tuple[Colour, ...]:
    """What each source calls a temperature; sources that say nothing there are left out."""
    return tuple(found for rows in sources if (found := at(rows, kelvin)) is not None)


def named(sources: Sequence[Sequence[Colour]], word: str) -> tuple[Colour, ...]:
    """All rows that a word means: a group's, else those of any name that is or holds the word.

    "dull red" is a group; "full cherry" stands for its group; "cherry" for every cherry. Empty
    when nothing answers.
    """
    said = " ".join(word.lower().replace("grey", "gray").replace("-", " ").split())
    rows = [row for source in sources for row in source]
    wanted = {row.group for row in rows if said in (row.group, row.name)}
    if not wanted and said:
        wanted = {row.group for row in rows if set(said.split()) <= set(f"{row.name} {row.group}".split())}
    return tuple(row for row in rows if row.group in wanted)


def span(rows: Sequence[Colour]) -> tuple[float, float]:
    """Coolest and hottest, K, that the rows stand for."""
    return min(row.low_K for row in rows), max(row.high_K for row in rows)
