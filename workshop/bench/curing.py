"""What the joint is doing: liquid, thickening, stringy, rubber, hard, full; and what the air has done to it.

The stages are ages of the store's own marks and of its witness. When each begins is worked out when the clock
or the air has changed, so that nothing is integrated each second.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from workshop.bench import times
from workshop.bench.said import BladeClock
from workshop.build.air import Air
from workshop.build.clock import Clock, StoreEntry, moment_of
from workshop.build.cure_age import ages, rates

MOVED_S, MOVED_SHARE = 600.0, 0.1
"""A mark moved by less than this, or by less than this share of its time, is not worth a line."""

STAGES = (("thickening", "pot-life"), ("hard", "unclamp"), ("full", "full"))
"""Stages that begin at a mark of the store."""

OF_THE_BLOB = {"stringy": "stringy", "dents": "rubber", "hard": "hard"}
"""Stages that begin where a witness blob begins to do something."""


def stage_ages(clock: Clock, entry: StoreEntry | None) -> list[tuple[float, str]]:
    """Return the ages (s) at which each stage of a joint begins, and its word; [] for what has none."""
    found: dict[str, float] = {"liquid": 0.0}
    if not clock.blob:
        return []
    plans = () if entry is None else entry.marks
    opens = {mark.id: mark.opens_s for mark in plans}
    opens.update({mark.id: mark.age_opens_s for mark in clock.marks if mark.age_opens_s is not None})
    for word, mark_id in STAGES:
        if mark_id in opens:
            found[word] = opens[mark_id]
    for one in clock.blob:
        if one.id in OF_THE_BLOB:
            found[OF_THE_BLOB[one.id]] = one.from_s
    order = ("liquid", "thickening", "stringy", "rubber", "hard", "full")
    least, out = 0.0, []
    for word in order:
        if word in found:
            least = max(least, found[word])
            out.append((least, word))
    return out


@dataclass(frozen=True, slots=True)
class _Known:
    clock: Clock
    air: Air
    begins: list[datetime]
    words: list[str]
    still: list[tuple[datetime, bool]]


class Curing:
    """The stage of each curing clock, worked out once for each clock and air."""

    def __init__(self) -> None:
        """Nothing is worked out yet."""
        self._known: dict[tuple[str, str], _Known] = {}

    def _look(self, pair: BladeClock, air: Air, entries: Mapping[str, StoreEntry], now: datetime) -> _Known:
        key = (pair.blade.key, pair.clock.id)
        known = self._known.get(key)
        if known is None or known.clock is not pair.clock or known.air is not air:
            known = self._known[key] = _worked(pair.clock, air, entries, now)
        return known

    def words(self, pair: BladeClock, air: Air, entries: Mapping[str, StoreEntry], now: datetime) -> str:
        """Return what the joint is doing now, and whether its age stands still; "" for what is no glue."""
        if not pair.clock.blob and not ages(pair.clock):
            return ""
        known = self._look(pair, air, entries, now)
        place = bisect_right(known.begins, now) - 1
        word = known.words[place] if place >= 0 else ""
        stretch = bisect_right([since for since, _ in known.still], now) - 1
        if stretch >= 0 and known.still[stretch][1] and word != "full":
            return f"{word}, stands still: too cold".lstrip(", ")
        return word


def _worked(clock: Clock, air: Air, entries: Mapping[str, StoreEntry], now: datetime) -> _Known:
    found = rates(clock, air, now)
    stages = stage_ages(clock, entries.get(clock.store))
    begins = [moment_of(found, clock.started, age) for age, _ in stages]
    still = [(clock.started + timedelta(seconds=since), speed == 0) for since, speed in found]
    return _Known(clock, air, begins, [word for _, word in stages], still)


def air_words(clock: Clock, now: datetime) -> str:
    """Return by how much the air since the start, and the night ahead, moved the next mark; "" for little."""
    if not ages(clock):
        return ""
    for mark in clock.marks:
        if mark.opens <= now or mark.age_opens_s is None or mark.no_later or mark.stands_still:
            continue
        whole_s = mark.age_opens_s * clock.pace / clock.quick
        by_s = (mark.opens - clock.started).total_seconds() - whole_s
        if abs(by_s) < max(MOVED_S, MOVED_SHARE * whole_s):
            return ""
        way = "later: colder" if by_s > 0 else "sooner: warmer"
        return f"{mark.says} {times.words(abs(by_s))} {way} than at its start"
    return ""


def pace_words(clock: Clock) -> str:
    """Return how quick this batch is beside the store's figures, "" where it is as the store says."""
    if abs(clock.quick - 1) < 0.01:
        return ""
    by = "by its witness" if clock.presses else "by your last batches"
    return f"{clock.quick:.2f} times as quick as the store says, {by}"
