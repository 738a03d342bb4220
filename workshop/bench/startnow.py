"""If a step's clock started now: where each mark falls in the maker's day, and what it clashes with."""

from __future__ import annotations

from dataclasses import dataclass, replace

from workshop import measure
from workshop.bench import looks, times
from workshop.bench.desk import Desk, temperature
from workshop.bench.looks import Row
from workshop.build import standing
from workshop.build.blade import Blade
from workshop.build.clock import Clock, StoreEntry, started
from workshop.build.conflicts import conflicts
from workshop.build.day_plan import DayPlan, plan_against_day
from workshop.build.moves import rehearsal_says
from workshop.build.route import ClockPlan, Step
from workshop.errors import ShopError
from workshop.shelf import air_keeping
from workshop.showable import showable

OUTSIDE = {"asleep": "YOU SLEEP", "shop shut": "SHOP SHUT", "stands still": "TOO COLD"}
"""What is said of a mark that the maker would miss."""


@dataclass(frozen=True, slots=True)
class StartWith:
    """What a clock would start with: the adhesive or oil, and as typed: air, warm box, mix, how long ago."""

    entry: StoreEntry | None = None
    air: str = ""
    box: str = ""
    mass: str = ""
    ago: str = ""

    def typed(self, name: str, text: str) -> StartWith:
        """Return it with one of its lines as typed."""
        return replace(self, **{name: text})  # type: ignore[arg-type]


def as_started(desk: Desk, plan: ClockPlan, given: StartWith) -> Clock | None:
    """Return the clock as it would run if it were started with this, or None if that cannot be read."""
    blade, entry = desk.blade, given.entry
    if blade is None or (plan.store and entry is None):
        return None
    try:
        air_K = temperature(given.air, "air")
        ago_s = float(measure.read(given.ago, "time", unit="min")) if given.ago.strip() else None
        batch = desk.batch(entry, given.box, given.mass)
    except ShopError:
        return None
    now = desk.now()
    begun = standing.clock_begin(blade, plan, now) if ago_s is None else now - times.seconds(ago_s)
    return started(plan, desk.step_id or "", plan.id, begun, entry, air_K, air=desk.air, batch=batch, now=now)


def day_plan(desk: Desk, plan: ClockPlan, given: StartWith) -> DayPlan | None:
    """Return the windows against the maker's hours, or None where he has set none, or it began before."""
    hours = desk.shop.settings.hours
    if given.ago or (plan.store and given.entry is None) or not (hours.known or hours.sleep):
        return None
    if desk.blade is not None and standing.clock_begin(desk.blade, plan, desk.now()) != desk.now():
        return None
    try:
        batch = desk.batch(given.entry, given.box, given.mass)
        air_K = temperature(given.air, "air")
    except ShopError:
        return None
    return plan_against_day(plan, given.entry, desk.air, hours, desk.now(), air_K=air_K, batch=batch)


def mark_rows(desk: Desk, made: Clock, width: int, against: DayPlan | None = None) -> list[Row]:
    """Return the marks of a clock with the times they open and shut, which of them would be missed, why."""
    now = desk.now()
    missed = {} if against is None else {one.mark.id: OUTSIDE[str(one.verdict)] for one in against.missed}
    lines: list[Row] = []
    for mark in made.marks:
        if mark.stands_still:
            when = "stands still: too cold"
        else:
            shuts = f" to {times.when(mark.shuts, now)}" if mark.shuts else ""
            when = f"{times.when(mark.opens, now)}{shuts}"
        word = missed.get(mark.id, "")
        text = f"  {when}  {mark.says}" + (f": {mark.do}" if mark.do else "")
        line = looks.row(showable(text, 300))
        lines.append(
            looks.beside(line, looks.row(word, "bad"), width)
            if word
            else looks.row(looks.clipped(showable(text, 300), width))
        )
    if made.caution:
        lines += [looks.row(line, "warn") for line in looks.wrapped(showable(made.caution, 300), width)]
    return lines


def day_rows(against: DayPlan | None, width: int) -> list[Row]:
    """Return what a start now would miss of the maker's day, and the better starts."""
    if against is None:
        return []
    look = "bad" if against.missed else "plain"
    lines = [line for says in against.says for line in looks.wrapped(showable(f"day: {says}", 300), width, 2)]
    return [looks.row(line, look) for line in lines]


def pace_words(desk: Desk, entry: StoreEntry | None) -> str:
    """Return what this maker's own batches of an adhesive came to, "" for none."""
    return "" if entry is None else air_keeping.learned_of(desk.shelf, entry.key).says


def clash_rows(desk: Desk, blade: Blade, step: Step, width: int) -> list[Row]:
    """Return what starting the step now would clash with on any blade, the gravest first."""
    out: list[Row] = []
    for says in conflicts(desk.blades, blade, step, desk.now()):
        lines = looks.wrapped(f"clash: {showable(says, 300)}", width, 2)
        out += [looks.row(line, "bad") for line in lines]
    return out


def rehearsal_row(desk: Desk, blade: Blade, step: Step, entry: StoreEntry | None) -> str:
    """Return what must be said of the step's rehearsal in today's air; "" where all is well."""
    if not step.moves:
        return ""
    clock = next((one for one in blade.running() if one.mark("pot-life") is not None), None)
    key = entry.key if entry is not None else clock.store if clock is not None else ""
    known = desk.shelf.clock_entries().get(key)
    last = desk.air.last(desk.now())
    if known is None or last is None:
        return ""
    batch = air_keeping.batch_for(desk.shelf, known)
    return rehearsal_says(blade, step.id, known, last.air_K, desk.now(), batch.pace)


class StartNow:
    """Rows of all that, worked out once a minute and whenever what it rests on changes."""

    def __init__(self) -> None:
        """Nothing is worked out yet."""
        self._key: object = None
        self._rows: list[Row] = []

    def rows(self, desk: Desk, step: Step, plan: ClockPlan | None, given: StartWith, width: int) -> list[Row]:
        """Return the marks if it started now, the day, and the clashes."""
        blade = desk.blade
        if blade is None:
            return []
        minute = desk.now().replace(second=0)
        key = (desk.turn(), blade.key, step.id, plan and plan.id, given, id(desk.air), minute, width)
        if key != self._key:
            self._key = key
            self._rows = self._worked(desk, blade, step, plan, given, width)
        return self._rows

    def _worked(
        self, desk: Desk, blade: Blade, step: Step, plan: ClockPlan | None, given: StartWith, width: int
    ) -> list[Row]:
        against = None if plan is None else day_plan(desk, plan, given)
        out = [*day_rows(against, width), *clash_rows(desk, blade, step, width)]
        made = None if plan is None else as_started(desk, plan, given)
        if made is not None:
            out += mark_rows(desk, made, width, against)
        own = pace_words(desk, given.entry)
        if own:
            out += [looks.row(line) for line in looks.wrapped(f"yours: {own}", width, 2)]
        return out
