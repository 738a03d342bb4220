"""Clocks: named, running times of one blade's step, with marks that are instants or windows.

Everything is kept as moments in UTC, worked out when the clock starts. So a closed lid, a flat battery
or a change of summer time moves nothing: how long is left is always the difference between a moment on
disk and the present. What cures or dries also keeps each mark's age and the rule it ages by, so that
`workshop.build.cure_age` can work the moments ahead out again when the air has changed.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Literal

from workshop.build.air import Air, Reading, steady
from workshop.build.clock_parts import (
    AS_STORED,
    NEVER,
    Batch,
    BlobState,
    Clock,
    Mark,
    MarkState,
    Press,
    StoreEntry,
)
from workshop.build.route import ClockPlan, MarkPlan
from workshop.trade import cure

__all__ = [
    "AS_STORED",
    "NEVER",
    "Batch",
    "BlobState",
    "Clock",
    "Mark",
    "MarkState",
    "NextMoment",
    "Press",
    "Stage",
    "StoreEntry",
    "air_caution",
    "answered",
    "due",
    "marks_for",
    "moment_of",
    "most_urgent",
    "next_moment",
    "pace",
    "planned_marks",
    "stage_of",
    "started",
    "urgency",
]


_TOO_FAR_S = 3e9
"""A century: as good as never."""


@dataclass(frozen=True, slots=True)
class NextMoment:
    """The next thing that happens on a clock: a mark opens or shuts."""

    mark: Mark
    verb: Literal["opens", "shuts"]
    at: datetime


def pace(entry: StoreEntry, air_K: float, humidity: float | None = None) -> tuple[float, str]:
    """Return by how much an entry's times stretch in this air, and a caution or "".

    Below the floor its age stands still: the stretch returned is then that at the floor, for showing
    only. Above the ceiling the times are those at the ceiling.
    """
    held = min(max(air_K, entry.floor_K), entry.ceiling_K)
    return 1 / cure.rate(held, entry.rule, humidity), air_caution(entry.rule, air_K)


def air_caution(rule: cure.CureRule, air_K: float) -> str:
    """Return what must be said of an air too cold or too hot for what ages in it, or ""."""
    air_C, floor_C, ceiling_C = (kelvin - 273.15 for kelvin in (air_K, rule.floor_K, rule.ceiling_K))
    if air_K < rule.floor_K:
        return (
            f"{air_C:.0f} °C is below the floor of {floor_C:.0f} °C: its age stands still, it does not cure "
            "until it is warmer. Warm the work."
        )
    if air_K > rule.ceiling_K:
        return f"{air_C:.0f} °C is above {ceiling_C:.0f} °C: the cup can run away. Cool it."
    return ""


def planned_marks(plan: ClockPlan, entry: StoreEntry | None) -> tuple[MarkPlan, ...]:
    """Return the marks a clock will have: the entry's chosen ones and the plan's own, by time."""
    chosen = () if entry is None else entry.marks
    if plan.chosen:
        chosen = tuple(mark for mark in chosen if mark.id in plan.chosen)
    return tuple(sorted((*chosen, *plan.marks), key=lambda mark: mark.opens_s))


def moment_of(rates: cure.RateRecord, started: datetime, age_s: float, no_later: bool = False) -> datetime:
    """Return when an age is reached; from `NEVER` on, in the order of the ages, when it is not.

    no_later: at the label's time at the latest.
    """
    after_s = cure.time_of(rates, age_s)
    if no_later:
        after_s = age_s if after_s is None else min(after_s, age_s)
    if after_s is None or after_s > _TOO_FAR_S:
        return NEVER + timedelta(seconds=round(age_s))
    return started + timedelta(seconds=round(after_s))


def started(
    plan: ClockPlan,
    step_id: str,
    clock_id: str,
    at: datetime,
    entry: StoreEntry | None = None,
    air_K: float | None = None,
    *,
    air: Air | None = None,
    humidity: float | None = None,
    batch: Batch = AS_STORED,
    now: datetime | None = None,
    round_: int = 1,
) -> Clock:
    """Return a clock that began at `at`; an entry's marks are ages, reached sooner or later by the air.

    air_K, humidity: the air at the start; air: the record and forecast, without which the air stays as it
    was at the start. now: when this is worked out, where that is not the start. A clock with no mark left
    is a mistake of the recipe's reader, not of the maker, and cannot come here.
    """
    title = plan.title if entry is None else f"{plan.title}, {entry.title[:1].lower()}{entry.title[1:]}"
    made = Clock(
        id=clock_id,
        plan=plan.id,
        title=title,
        step=step_id,
        kind=plan.kind,
        started=at,
        marks=(),
        ends=plan.ends,
        round=round_ if plan.rounds else 0,
        rounds=plan.rounds,
        round_says=plan.round if plan.rounds else "",
        again=plan.again,
        minds=plan.minds,
        minds_until=plan.minds_until,
    )
    if entry is None:
        return replace(made, marks=marks_for(plan, None, at, [(0.0, 1.0)], batch))
    known = None if air_K is None else Reading(at, air_K, humidity)
    record = steady(air_K, humidity, at) if air is None else air
    return _ageing_clock(made, plan, entry, known, record, batch, now or at)


def _ageing_clock(
    made: Clock,
    plan: ClockPlan,
    entry: StoreEntry,
    begin: Reading | None,
    record: Air,
    batch: Batch,
    now: datetime,
) -> Clock:
    """Return a new clock with what its glue or oil brings: rule, air at the start, marks by age, cautions."""
    at = made.started
    if batch.kept_K is not None:
        begin, record = Reading(at, batch.kept_K), steady(batch.kept_K, None, at)
    if begin is None:
        spell = next(iter(record.spells(at, now, None)), None)
        begin = None if spell is None else Reading(at, spell.air_K, spell.humidity)
    stretch, caution = (1.0, "") if begin is None else pace(entry, begin.air_K, begin.humidity)
    cup_caution = _cup_caution(entry, batch)
    return replace(
        made,
        marks=marks_for(plan, entry, at, record.rates(entry.rule, at, now, begin, batch.pace), batch),
        store=entry.key,
        air_K=None if begin is None else begin.air_K,
        humidity=None if begin is None else begin.humidity,
        kept_K=batch.kept_K,
        pace=stretch,
        caution=" ".join(one for one in (caution, cup_caution) if one),
        cup_caution=cup_caution,
        rule=entry.rule,
        quick=batch.pace,
        blob=entry.witness,
    )


def marks_for(
    plan: ClockPlan, entry: StoreEntry | None, at: datetime, rates: cure.RateRecord, batch: Batch
) -> tuple[Mark, ...]:
    """Return the marks a clock would have if it began at `at` and aged at these rates, by time."""
    from_store = set() if entry is None else {mark.id for mark in entry.marks}
    own = [mark.opens_s for mark in plan.marks if mark.id == plan.ends] or [
        mark.opens_s for mark in plan.marks
    ]
    length_s = max(own, default=0.0)
    longer = batch.for_s / length_s if batch.for_s and length_s else 1.0
    made: dict[str, Mark] = {}
    for mark in planned_marks(plan, entry):
        if mark.counts_from:
            continue
        if mark.id in from_store:
            made[mark.id] = _ageing(mark, at, rates, 1.0 if entry is None else cup_share(entry, mark, batch))
        else:
            shuts = None if mark.shuts_s is None else at + timedelta(seconds=round(mark.shuts_s * longer))
            made[mark.id] = _mark(mark, at + timedelta(seconds=round(mark.opens_s * longer)), shuts)
    for mark in plan.marks:
        if mark.counts_from:
            base = made[mark.counts_from]
            made[mark.id] = _counting(
                replace(
                    _mark(mark, at, None),
                    counts_from=mark.counts_from,
                    after_s=mark.opens_s,
                    shuts_after_s=mark.shuts_s,
                ),
                base.shuts or base.opens,
            )
    return tuple(sorted(made.values(), key=lambda one: one.opens))


def _mark(mark: MarkPlan, opens: datetime, shuts: datetime | None) -> Mark:
    return Mark(mark.id, mark.says, opens, shuts, mark.do, mark.late, mark.harm)


def _ageing(mark: MarkPlan, at: datetime, rates: cure.RateRecord, share: float) -> Mark:
    opens_s = round(mark.opens_s * share, 1)
    shuts_s = None if mark.shuts_s is None else round(mark.shuts_s * share, 1)
    shuts = None if shuts_s is None else moment_of(rates, at, shuts_s, mark.no_later)
    made = _mark(mark, moment_of(rates, at, opens_s, mark.no_later), shuts)
    return replace(made, age_opens_s=opens_s, age_shuts_s=shuts_s, no_later=mark.no_later)


def cup_share(entry: StoreEntry, mark: MarkPlan, batch: Batch) -> float:
    """Return what is left of a mark in the cup: less in a large cup, more where it is spread thin."""
    if not mark.cup:
        return 1.0
    if batch.thin:
        return entry.thin_times
    if entry.cup_kg is None or batch.mass_kg is None or batch.mass_kg <= entry.cup_kg:
        return 1.0
    return max(entry.cup_kg / batch.mass_kg, entry.cup_least)


def _cup_caution(entry: StoreEntry, batch: Batch) -> str:
    if batch.thin or entry.cup_kg is None or batch.mass_kg is None:
        return ""
    if batch.mass_kg * entry.cup_least > entry.cup_kg * 1.001:
        most_g, mass_g = 1000 * entry.cup_kg / entry.cup_least, 1000 * batch.mass_kg
        return (
            f"{mass_g:.0f} g in one cup is more than the {most_g:.0f} g its pot life is known for: it may "
            "set sooner and run hot. Two cups, or spread it."
        )
    return ""


def _counting(mark: Mark, base: datetime) -> Mark:
    """Return a mark that counts from another one's moment."""
    opens = base + timedelta(seconds=round(mark.after_s or 0.0))
    shuts = None if mark.shuts_after_s is None else base + timedelta(seconds=round(mark.shuts_after_s))
    return replace(mark, opens=opens, shuts=shuts)


def next_moment(clock: Clock, now: datetime) -> NextMoment | None:
    """Return what comes next on a clock, or None when nothing more will happen."""
    ahead: list[NextMoment] = []
    for mark in clock.marks:
        if mark.stands_still or mark.acknowledged is not None:
            continue
        if mark.opens > now:
            ahead.append(NextMoment(mark, "opens", mark.opens))
        if mark.shuts is not None and now < mark.shuts < NEVER:
            ahead.append(NextMoment(mark, "shuts", mark.shuts))
    return min(ahead, key=lambda moment: moment.at, default=None)


def due(clock: Clock, now: datetime) -> tuple[Mark, ...]:
    """Return the marks that have come and that nobody has answered yet, most harmful first."""
    if not clock.running:
        return ()
    reached = (mark for mark in clock.marks if mark.opens <= now and mark.acknowledged is None)
    return tuple(sorted(reached, key=lambda mark: (-mark.harm, mark.opens)))


def urgency(clock: Clock, now: datetime) -> tuple[int, datetime]:
    """Return a sort key: unanswered marks first, then by the next moment, spent clocks last."""
    waiting = due(clock, now)
    if waiting:
        return (0, waiting[0].opens)
    moment = next_moment(clock, now)
    return (1, moment.at) if moment else (2, clock.started)


def most_urgent(clocks: Iterable[Clock], now: datetime) -> list[Clock]:
    """Return the running clocks, the most urgent first."""
    return sorted((clock for clock in clocks if clock.running), key=lambda clock: urgency(clock, now))


def answered(clock: Clock, mark_id: str, now: datetime) -> Clock:
    """Return the clock with a mark answered; it has ended when that was its last one.

    What counts from this mark and has not come yet counts from now on.
    """
    marks = [replace(mark, acknowledged=now) if mark.id == mark_id else mark for mark in clock.marks]
    bases = {mark_id: now}
    for place, mark in enumerate(marks):  # marks stand by time, so what counts from one comes after it
        if mark.counts_from in bases and mark.acknowledged is None and mark.opens > now:
            marks[place] = _counting(mark, bases[mark.counts_from])
            bases[mark.id] = marks[place].shuts or marks[place].opens
    spent = all(mark.acknowledged is not None for mark in marks)
    in_order = tuple(sorted(marks, key=lambda one: one.opens))
    return replace(clock, marks=in_order, ended=now if spent else clock.ended)


class Stage(StrEnum):
    """How near a mark is, each with a word of its own."""

    AHEAD = "ahead"
    SOON = "soon"
    OPEN = "now"
    LAST_CHANCE = "last chance"
    TOO_LATE = "too late"
    ANSWERED = "answered"


def stage_of(clock: Clock, mark: Mark, now: datetime, early_s: float = 600.0) -> Stage:
    """Return how near a mark is. early_s: how long before it opens it is "soon".

    For a short clock the early warning is at most a quarter of the way to the mark; the last chance is the
    last quarter of a window, at most `early_s` long.
    """
    if mark.acknowledged is not None:
        return Stage.ANSWERED
    if now < mark.opens:
        whole_s = (min(mark.opens, NEVER) - clock.started).total_seconds()
        left_s = (mark.opens - now).total_seconds()
        return Stage.SOON if left_s <= min(early_s, whole_s / 4) else Stage.AHEAD
    if mark.shuts is None:
        return Stage.OPEN
    if now >= mark.shuts:
        return Stage.TOO_LATE
    window_s = (mark.shuts - mark.opens).total_seconds()
    left_s = (mark.shuts - now).total_seconds()
    return Stage.LAST_CHANCE if left_s <= min(max(early_s, 1.0), window_s / 4) else Stage.OPEN
