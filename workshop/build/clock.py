"""Clocks: named, running times of one blade's step, with marks that are instants or windows.

Everything is kept as moments in UTC, worked out once when the clock starts. So a closed lid,
a flat battery or a change of summer time moves nothing: how long is left is always the
difference between a moment on disk and the present.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any, Literal

from workshop.build.route import ClockPlan, MarkPlan
from workshop.trade import cure

MarkState = Literal["ahead", "open", "reached", "shut"]


@dataclass(frozen=True, slots=True)
class Mark:
    """An instant (no `shuts`) or a window on a clock, and what the maker does or sees then."""

    id: str
    says: str
    opens: datetime
    shuts: datetime | None = None
    do: str = ""
    late: str = ""
    harm: int = 1
    acknowledged: datetime | None = None
    extra: Mapping[str, Any] = field(default_factory=dict)

    def state(self, now: datetime) -> MarkState:
        """Say where this mark stands: ahead, open (its window runs), reached (an instant), shut."""
        if now < self.opens:
            return "ahead"
        if self.shuts is None:
            return "reached"
        return "open" if now < self.shuts else "shut"


@dataclass(frozen=True, slots=True)
class StoreEntry:
    """An adhesive or oil of the stores: its marks at a reference temperature.

    reference_K, floor_K, ceiling_K: kelvin; halving_K: the marks take twice as long for each of these colder.
    """

    store: str
    id: str
    title: str
    marks: tuple[MarkPlan, ...]
    reference_K: float
    floor_K: float
    ceiling_K: float
    halving_K: float = 10.0
    note: str = ""

    @property
    def key(self) -> str:
        """How this entry is named in routes and on the command line: "adhesives/slow"."""
        return f"{self.store}/{self.id}"


@dataclass(frozen=True, slots=True)
class Clock:
    """A clock of one blade. ended: when it was stopped or its last mark answered, else None."""

    id: str
    plan: str
    title: str
    step: str
    kind: str
    started: datetime
    marks: tuple[Mark, ...]
    ends: str = ""
    store: str = ""
    air_K: float | None = None
    pace: float = 1.0
    caution: str = ""
    ended: datetime | None = None
    extra: Mapping[str, Any] = field(default_factory=dict)

    @property
    def running(self) -> bool:
        """Whether the clock still counts."""
        return self.ended is None

    def mark(self, mark_id: str) -> Mark | None:
        """Return one of the clock's marks."""
        return next((mark for mark in self.marks if mark.id == mark_id), None)

    def rest_over(self, now: datetime) -> bool:
        """Whether the mark that ends the step's rest has come (or there is none)."""
        mark = self.mark(self.ends) if self.ends else None
        return not self.running or mark is None or now >= mark.opens


@dataclass(frozen=True, slots=True)
class NextMoment:
    """The next thing that happens on a clock: a mark opens or shuts."""

    mark: Mark
    verb: Literal["opens", "shuts"]
    at: datetime


def pace(entry: StoreEntry, air_K: float) -> tuple[float, str]:
    """Return by how much an entry's times stretch at this temperature, and a caution or "".

    Below the floor nothing cures in useful time: the times are then those at the floor and the
    caution says to warm the work. Above the ceiling the times are those at the ceiling.
    """
    held = min(max(air_K, entry.floor_K), entry.ceiling_K)
    stretch = cure.scale(held, entry.reference_K, entry.halving_K)
    air_C, floor_C, ceiling_C = air_K - 273.15, entry.floor_K - 273.15, entry.ceiling_K - 273.15
    if air_K < entry.floor_K:
        return stretch, (
            f"{air_C:.0f} °C is below the floor of {floor_C:.0f} °C: it does not cure in useful time. "
            f"Warm the work; the times shown are for {floor_C:.0f} °C."
        )
    if air_K > entry.ceiling_K:
        return stretch, f"{air_C:.0f} °C is above {ceiling_C:.0f} °C: the cup can run away. Cool it."
    return stretch, ""


def planned_marks(plan: ClockPlan, entry: StoreEntry | None) -> tuple[MarkPlan, ...]:
    """Return the marks a clock will have: the entry's chosen ones and the plan's own, by time."""
    chosen = () if entry is None else entry.marks
    if plan.chosen:
        chosen = tuple(mark for mark in chosen if mark.id in plan.chosen)
    return tuple(sorted((*chosen, *plan.marks), key=lambda mark: mark.opens_s))


def started(
    plan: ClockPlan,
    step_id: str,
    clock_id: str,
    at: datetime,
    entry: StoreEntry | None = None,
    air_K: float | None = None,
) -> Clock:
    """Return a clock that began at `at`; an entry's marks stretch with the shop's temperature.

    A clock with no mark left (an unknown entry's marks) is a mistake of the recipe's reader, not
    of the maker, and cannot come here: the recipe is checked when it is read.
    """
    stretch, caution = (1.0, "") if entry is None or air_K is None else pace(entry, air_K)
    from_store = {mark.id for mark in entry.marks} if entry is not None else set()

    def moment(mark: MarkPlan, seconds: float) -> datetime:
        return at + timedelta(seconds=round(seconds * (stretch if mark.id in from_store else 1.0)))

    marks = tuple(
        Mark(
            id=mark.id,
            says=mark.says,
            opens=moment(mark, mark.opens_s),
            shuts=None if mark.shuts_s is None else moment(mark, mark.shuts_s),
            do=mark.do,
            late=mark.late,
            harm=mark.harm,
        )
        for mark in planned_marks(plan, entry)
    )
    title = plan.title if entry is None else f"{plan.title}, {entry.title[:1].lower()}{entry.title[1:]}"
    return Clock(
        id=clock_id,
        plan=plan.id,
        title=title,
        step=step_id,
        kind=plan.kind,
        started=at,
        marks=marks,
        ends=plan.ends,
        store="" if entry is None else entry.key,
        air_K=air_K if entry is not None else None,
        pace=stretch,
        caution=caution,
    )


def next_moment(clock: Clock, now: datetime) -> NextMoment | None:
    """Return what comes next on a clock, or None when nothing more will happen."""
    ahead: list[NextMoment] = []
    for mark in clock.marks:
        if mark.opens > now:
            ahead.append(NextMoment(mark, "opens", mark.opens))
        if mark.shuts is not None and mark.shuts > now:
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
    """Return the clock with a mark answered; it has ended when that was its last one."""
    marks = tuple(replace(mark, acknowledged=now) if mark.id == mark_id else mark for mark in clock.marks)
    spent = all(mark.acknowledged is not None for mark in marks)
    return replace(clock, marks=marks, ended=now if spent else clock.ended)
