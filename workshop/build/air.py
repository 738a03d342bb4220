"""The shop's air: a record of readings, what it was between them, and what it will likely be.

Between two readings the air goes straight from one to the other. After the last one it is as last
read; where the maker expects a night temperature it is that while the shop is shut.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from itertools import pairwise
from math import ceil

from workshop.build.day import Hours
from workshop.trade import cure

AHEAD = timedelta(days=45)
"""How far shop days and nights are followed one by one; after that the air stays as it then is."""

LONG_GAP = timedelta(hours=2)
"""A night between two readings further apart than this is as the maker expects it, not a straight line."""

_STEP_S, _STEP_K = 1800.0, 0.5
_MOST_STEPS = 96


@dataclass(frozen=True, slots=True)
class Reading:
    """The air as read once. humidity: 0 to 1, None when it was not read."""

    at: datetime
    air_K: float
    humidity: float | None = None


@dataclass(frozen=True, slots=True)
class Spell:
    """A stretch of time with one air."""

    start: datetime
    air_K: float
    humidity: float | None = None


@dataclass(frozen=True)
class Air:
    """The record of readings, oldest first, and what the maker expects of the night."""

    readings: Sequence[Reading] = ()
    night_K: float | None = None
    hours: Hours = field(default_factory=Hours)

    def last(self, now: datetime) -> Reading | None:
        """Return the reading that is valid at a moment: the last one not after it, or None."""
        place = bisect_right(self.readings, now, key=lambda one: one.at)
        return self.readings[place - 1] if place else None

    def at(self, moment: datetime) -> Reading | None:
        """Return the air at a moment, by the record or the forecast; None when nothing was read."""
        if not self.readings:
            return None
        first, last = self.readings[0].at, self.readings[-1].at
        spells = list(self.spells(min(moment, first), max(moment, last), None))
        found = next((one for one in reversed(spells) if one.start <= moment), spells[0])
        return Reading(moment, found.air_K, found.humidity)

    def spells(self, start: datetime, now: datetime, first: Reading | None) -> Iterator[Spell]:
        """Yield what the air was from a start on, and will be; the last spell has no end.

        first: the air as known at the start, where that is better than the record. Readings after `now`
        are not believed: a clock was set back. Nothing is yielded when nothing is known.
        """
        known = [one for one in self.readings if start < one.at <= now]
        begin = first or self._between(start, now)
        if begin is None and known:
            begin = known[0]  # the first reading after the start is a better guess than the label's warmth
        if begin is None:
            return
        knots = [replace(begin, at=start), *known]
        for one, other in pairwise(knots):
            yield from self._across(one, other)
        yield from self._ahead(knots)

    def _between(self, at: datetime, now: datetime) -> Reading | None:
        """Return the air at a moment inside the record: on the line between its neighbours."""
        place = bisect_right(self.readings, at, key=lambda one: one.at)
        if not place:
            return None
        before = self.readings[place - 1]
        after = (
            self.readings[place] if place < len(self.readings) and self.readings[place].at <= now else None
        )
        if after is None or after.at - before.at > LONG_GAP:
            return self._shut(replace(before, at=at)) if at - before.at > LONG_GAP else replace(before, at=at)
        share = (at - before.at) / (after.at - before.at)
        air_K = before.air_K + share * (after.air_K - before.air_K)
        return Reading(at, air_K, _line(before.humidity, after.humidity, share))

    def _shut(self, reading: Reading) -> Reading:
        """Return the reading as it is expected at its moment: the night's while the shop is shut."""
        if self.night_K is None or not self.hours.known or self.hours.open(reading.at):
            return reading
        return replace(reading, air_K=self.night_K)

    def _across(self, one: Reading, other: Reading) -> Iterator[Spell]:
        """Yield the air between two readings, in steps short enough for the rate to be its middle's."""
        gap_s = (other.at - one.at).total_seconds()
        if gap_s <= 0:
            return
        nights = self.night_K is not None and self.hours.known and other.at - one.at > LONG_GAP
        steps = min(_MOST_STEPS, max(1, ceil(abs(other.air_K - one.air_K) / _STEP_K)))
        if nights or other.humidity != one.humidity:
            steps = min(_MOST_STEPS, max(steps, ceil(gap_s / _STEP_S)))
        cuts = [one.at + timedelta(seconds=gap_s * place / steps) for place in range(steps)]
        if nights:
            cuts = sorted({*cuts, *self.hours.edges(one.at, other.at)})
        for begin, end in zip(cuts, [*cuts[1:], other.at], strict=True):
            middle = begin + (end - begin) / 2
            share = (middle - one.at).total_seconds() / gap_s
            humidity = _line(one.humidity, other.humidity, share)
            straight = Reading(middle, one.air_K + share * (other.air_K - one.air_K), humidity)
            shown = self._shut(straight) if nights else straight
            yield Spell(begin, shown.air_K, humidity)

    def _ahead(self, knots: Sequence[Reading]) -> Iterator[Spell]:
        """Yield the forecast after the last reading."""
        last = knots[-1]
        yield Spell(last.at, last.air_K, last.humidity)
        if self.night_K is None or not self.hours.known:
            return
        by_day = [one for one in (*self.readings, *knots) if one.at <= last.at and self.hours.open(one.at)]
        day_K = max(by_day, key=lambda one: one.at).air_K if by_day else last.air_K
        is_open = self.hours.open(last.at)
        for edge in self.hours.edges(last.at, last.at + AHEAD):
            if self.hours.open(edge) != is_open:
                is_open = not is_open
                yield Spell(edge, day_K if is_open else self.night_K, last.humidity)

    def coldest(self, now: datetime, until: datetime) -> Reading | None:
        """Return the coldest air expected between now and a moment, or None when nothing is known."""
        spells = [one for one in self.spells(now, now, None) if one.start < until]
        found = min(spells, key=lambda one: one.air_K, default=None)
        return None if found is None else Reading(found.start, found.air_K, found.humidity)

    def rates(
        self, rule: cure.CureRule, start: datetime, now: datetime, first: Reading | None, pace: float = 1.0
    ) -> list[tuple[float, float]]:
        """Return the rates of ageing since a start, past and expected; the label's when nothing is known.

        pace: how many times as quick as its rule this batch was found to be.
        """
        found: list[tuple[float, float]] = []
        for spell in self.spells(start, now, first):
            speed = pace * cure.rate(spell.air_K, rule, spell.humidity)
            if not found or speed != found[-1][1]:
                found.append(((spell.start - start).total_seconds(), speed))
        return found or [(0.0, pace)]


def _line(one: float | None, other: float | None, share: float) -> float | None:
    if one is None or other is None:
        return other if one is None else one
    return one + share * (other - one)


def steady(air_K: float | None, humidity: float | None, at: datetime) -> Air:
    """Return an air that stays as it is; nothing is known of it for None."""
    return Air(() if air_K is None else (Reading(at, air_K, humidity),))
