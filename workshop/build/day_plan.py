"""A clock against the maker's day: where its windows would fall, and when to start so that they fit."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum
from math import inf

from workshop.build.air import Air, Reading, steady
from workshop.build.clock import marks_for
from workshop.build.clock_parts import AS_STORED, Batch, Mark, StoreEntry
from workshop.build.day import Hours, wall
from workshop.build.route import ClockPlan
from workshop.trade import cure

ENOUGH = timedelta(minutes=20)
"""A window is met when the maker has so much of it while he is there, or all of a shorter one."""

LOOK_AHEAD = timedelta(days=7)
_STEP = timedelta(minutes=10)


class Verdict(StrEnum):
    """How a mark meets the maker's day."""

    INSIDE = "inside"
    PARTLY = "partly"
    ASLEEP = "asleep"
    SHUT = "shop shut"
    STANDS = "stands still"
    ANY_TIME = "any time"


@dataclass(frozen=True, slots=True)
class Fall:
    """Where one mark would fall. there: the first stretch of its window in which the maker is there."""

    mark: Mark
    verdict: Verdict
    there: tuple[datetime, datetime] | None = None

    @property
    def missed(self) -> bool:
        """Whether the maker would not be there for it."""
        return self.verdict in (Verdict.ASLEEP, Verdict.SHUT, Verdict.STANDS)


@dataclass(frozen=True, slots=True)
class DayPlan:
    """A clock if it were started at a moment, and the starts that suit the day.

    earliest, latest: the next stretch of starts at which every window is met, within one day; None when no
    start within a week does. best: the start in it that leaves the maker the most of the windows; where
    there is none, the one that misses the least, None when he is never there.
    """

    start: datetime
    falls: tuple[Fall, ...]
    earliest: datetime | None
    latest: datetime | None
    best: datetime | None
    says: tuple[str, ...]

    @property
    def missed(self) -> tuple[Fall, ...]:
        """The windows that would be missed."""
        return tuple(fall for fall in self.falls if fall.missed)


def plan_against_day(
    plan: ClockPlan,
    entry: StoreEntry | None,
    air: Air,
    hours: Hours,
    now: datetime,
    *,
    start: datetime | None = None,
    air_K: float | None = None,
    batch: Batch = AS_STORED,
) -> DayPlan:
    """Return where a clock's marks would fall if it were started now (or at `start`), and better starts.

    air_K: the shop's air as it is now, where that was not read. The windows that matter are those whose
    missing costs hours or a handle (harm 2 and 3); starts are looked for while the maker is there.
    """
    begin = start or now
    forecast = _forecast(entry, air, now, air_K, batch)

    def falls_at(at: datetime) -> tuple[Fall, ...]:
        marks = marks_for(plan, entry, at, _from(forecast, (at - now).total_seconds()), batch)
        return tuple(_fall(mark, hours) for mark in marks)

    falls = falls_at(begin)
    earliest, latest, best = _starts(falls_at, hours, now)
    made = DayPlan(begin, falls, earliest, latest, best, ())
    return replace(made, says=_says(made, now))


def _forecast(
    entry: StoreEntry | None, air: Air, now: datetime, air_K: float | None, batch: Batch
) -> cure.RateRecord:
    """Return the rates of ageing from now on."""
    if entry is None:
        return [(0.0, 1.0)]
    first = None
    if batch.kept_K is not None:
        air, first = steady(batch.kept_K, None, now), Reading(now, batch.kept_K)
    elif air_K is not None:
        last = air.last(now)
        first = Reading(now, air_K, last.humidity if last else None)
        air = replace(air, readings=(*(one for one in air.readings if one.at < now), first))
    return air.rates(entry.rule, now, now, first, batch.pace)


def _from(rates: cure.RateRecord, offset_s: float) -> list[tuple[float, float]]:
    """Return rates counted from a later start."""
    before = [speed for since, speed in rates if since <= offset_s]
    later = [(since - offset_s, speed) for since, speed in rates if since > offset_s]
    return [(0.0, before[-1] if before else rates[0][1]), *later]


def _fall(mark: Mark, hours: Hours) -> Fall:
    if mark.shuts is None or mark.harm < 2:
        return Fall(mark, Verdict.STANDS if mark.stands_still else Verdict.ANY_TIME)
    if mark.stands_still:
        return Fall(mark, Verdict.STANDS)
    whole = mark.shuts - mark.opens
    stretches = list(_there(hours, mark.opens, min(mark.shuts, mark.opens + LOOK_AHEAD)))
    met = sum((end - begin for begin, end in stretches), timedelta())
    if met >= whole:
        return Fall(mark, Verdict.INSIDE, (mark.opens, mark.shuts))
    long_enough = [one for one in stretches if one[1] - one[0] >= min(ENOUGH, whole)]
    if long_enough:
        return Fall(mark, Verdict.PARTLY, long_enough[0])
    middle = mark.opens + whole / 2
    return Fall(mark, Verdict.SHUT if hours.awake(middle) else Verdict.ASLEEP)


def _there(hours: Hours, start: datetime, end: datetime) -> Iterator[tuple[datetime, datetime]]:
    """Yield the stretches between two moments in which the maker is in the shop and awake."""
    begin: datetime | None = start if hours.there(start) else None
    for edge in hours.edges(start, end):
        here = hours.there(edge)
        if begin is not None and not here:
            yield begin, edge
            begin = None
        elif begin is None and here:
            begin = edge
    if begin is not None and end > begin:
        yield begin, end


def _starts(
    falls_at: Callable[[datetime], tuple[Fall, ...]], hours: Hours, now: datetime
) -> tuple[datetime | None, datetime | None, datetime | None]:
    """Return the next stretch of starts at which every window is met, its first and last, and the best."""
    earliest = latest = best = None
    most = (-inf, -inf)
    at, end = now, now + LOOK_AHEAD
    while at < end:
        there = hours.there(at)
        falls = falls_at(at) if there else ()
        lost = sum(fall.mark.harm for fall in falls if fall.missed)
        if latest is not None and (not there or lost):
            break
        if there:
            worth = (-float(lost), sum(_worth(fall) for fall in falls))
            earliest, latest = (earliest, latest) if lost else (earliest or at, at)
            if worth > (most[0], most[1] + 1e-9):
                best, most = at, worth
        at = _next_round(at)
    while latest is not None:  # to the minute
        later = latest + timedelta(minutes=1)
        if (
            later >= _next_round(latest)
            or not hours.there(later)
            or any(one.missed for one in falls_at(later))
        ):
            break
        latest = later
    return earliest, latest, best


def _next_round(at: datetime) -> datetime:
    """Return the next full ten minutes."""
    return at.replace(second=0, microsecond=0, minute=at.minute // 10 * 10) + _STEP


def _worth(fall: Fall) -> float:
    """Return how much of a window the maker would have, from 0 to 1, the harmful ones counting more."""
    if fall.there is None or fall.mark.shuts is None:
        return 0.0
    share = (fall.there[1] - fall.there[0]) / max(fall.mark.shuts - fall.mark.opens, timedelta(seconds=1))
    return fall.mark.harm * share


def _says(plan: DayPlan, now: datetime) -> tuple[str, ...]:
    """Return in words what a start would miss, and what to do about it."""
    lines = []
    for fall in plan.falls:
        mark = fall.mark
        if fall.verdict is Verdict.STANDS and mark.harm >= 2:
            lines.append(f"{mark.says}: does not come while it is so cold")
        elif fall.missed and mark.shuts is not None:
            why = "you sleep" if fall.verdict is Verdict.ASLEEP else "the shop is shut"
            lines.append(f"{mark.says}: {wall(mark.opens, now)} to {wall(mark.shuts, now)}, while {why}")
        elif fall.verdict is Verdict.PARTLY and fall.there is not None and mark.shuts is not None:
            window = f"{wall(mark.opens, now)} to {wall(mark.shuts, now)}"
            begin, end = (wall(one, now) for one in fall.there)
            lines.append(f"{mark.says}: {window}, you are there {begin} to {end}")
    if plan.earliest is None or plan.latest is None:
        if plan.missed:
            least = f"; the least is missed from {wall(plan.best, now)}" if plan.best else ""
            lines.append(f"no start within a week puts every window inside your hours{least}")
    elif plan.missed:
        span = f"{wall(plan.earliest, now)} and {wall(plan.latest, now)}"
        lines.append(f"start between {span}, best at {wall(plan.best or plan.latest, now)}")
    elif plan.latest > plan.start:
        lines.append(f"latest start: {wall(plan.latest, now)}")
    return tuple(lines)
