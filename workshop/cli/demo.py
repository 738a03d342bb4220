"""An example shelf to look around in: four blades at different stages, two clocks running.

One is about to be bedded in a glue whose pull window would fall in the night.

Nothing here is stored ready-made: the blades are walked there by the same changes that a maker's keys
make, at moments counted back from the present, so that what the demo shows is what the program does.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, datetime, time, timedelta
from pathlib import Path

from workshop import measure
from workshop.build import changes, clock, moves, standing
from workshop.build.air import Reading
from workshop.build.route import Entry, Step
from workshop.build.values import read_entry
from workshop.cli.demo_plans import AIR, EARLY, HOURS, HUMIDITY, NIGHT, PLANS, Plan, Running
from workshop.cli.together import Change
from workshop.drawer.registry import NAMES, calculator
from workshop.drawer.run import work_out
from workshop.errors import ShopError
from workshop.shelf import durable, slips
from workshop.shelf.air_file import air_bytes
from workshop.shelf.air_keeping import rework_all
from workshop.shelf.places import AIR_FILE
from workshop.shelf.shelf import Shelf
from workshop.shelf.store_file import find_entry

ROUTE = "hidden-tang"
MORNING = time(7, 40)
READ = timedelta(minutes=35)
"""How long ago the air was read."""

WARM_H = 16
"""For how many hours the shop has been warm."""

BREATH = timedelta(minutes=4)
"""Between putting one thing down and taking the next up."""


def make_demo(folder: Path, now: datetime) -> Path:
    """Build the example shelf in an empty folder, as it stands at `now`, and return the folder."""
    present = now.astimezone(UTC).replace(microsecond=0)
    shelf = Shelf(folder, NAMES)
    shelf.prepare()
    durable.save(folder / AIR_FILE, air_bytes(_air(present)))
    for plan in PLANS:
        _Walk(shelf, plan, present).go()
    shelf.keep_shop(
        lambda shop: replace(
            shop,
            air_K=float(measure.read(AIR, "temperature")),
            humidity=float(measure.read(HUMIDITY, "humidity")),
            read_at=present - READ,
            extra={"hours": HOURS, "night": {"temperature": NIGHT}, "warn": {"early": EARLY}},
        )
    )
    rework_all(shelf, present)
    return folder


def _air(present: datetime) -> list[Reading]:
    """Return the air of the last two days as a thermometer would have fed it, each hour."""
    air_K, night_K = (float(measure.read(text, "temperature")) for text in (AIR, NIGHT))
    damp = float(measure.read(HUMIDITY, "humidity"))
    last = present - READ
    hours = range(WARM_H + 24, -1, -1)
    return [
        Reading(last - timedelta(hours=hour), air_K if hour <= WARM_H else night_K, damp) for hour in hours
    ]


def _morning(now: datetime, days: int) -> datetime:
    """Return the hour work began some days ago, by the shop's wall."""
    day = now.astimezone().date() - timedelta(days=days)
    return datetime.combine(day, MORNING).astimezone().astimezone(UTC)


class _Walk:
    """One blade being walked along its route; `at` is the moment it has come to."""

    def __init__(self, shelf: Shelf, plan: Plan, now: datetime) -> None:
        self.shelf = shelf
        self.plan = plan
        self.now = now
        self.at = _morning(now, plan.stretches[0].days)
        self.blade = shelf.begin(
            plan.name, ROUTE, self.at, choices=plan.choices, maker_for=plan.maker_for, about=plan.about
        )

    def go(self) -> None:
        """Walk all stretches, and leave the last clock running."""
        ids = [step.id for step in self.blade.own_steps()]
        for stretch in self.plan.stretches:
            start = _morning(self.now, stretch.days) if stretch.before is None else self.now - stretch.before
            self.at = max(self.at, start)
            for step_id in ids[ids.index(stretch.first) : ids.index(stretch.last) + 1]:
                self.step(self.blade.route.by_id[step_id])
        if self.plan.rehearsed is not None:
            self.rehearse(*self.plan.rehearsed)
        if self.plan.running is not None:
            self.leave_running(self.plan.running)
        self.shelf.change(self.blade.key, lambda _: self.blade)

    def change(self, change: Change) -> None:
        """Make one change. Hundreds of them go to disk together: this is not work that could be lost."""
        self.blade = change(self.blade)

    def step(self, step: Step) -> None:
        """Do a step from its last look to its end, with what the plan says of it."""
        self.at += BREATH
        reason = self.plan.left_out.get(step.id)
        if reason is not None:
            self.change(lambda blade: changes.leave_out(blade, step.id, self.at, reason))
            return
        self.through(step)
        again = self.plan.redone.get(step.id)
        if again is not None:
            self.at += BREATH
            self.change(lambda blade: changes.do_over(blade, step.id, self.at, again))
            self.at += BREATH
            self.through(step)
        noted = self.plan.notes.get(step.id)
        if noted is not None:
            self.change(lambda blade: changes.note(blade, noted, self.at, step.id))

    def through(self, step: Step) -> None:
        """Take a step in hand, wait for what must be waited for, and finish it."""
        self.begin(step)
        self.at += timedelta(seconds=round(step.hands_on_s[0] if step.hands_on_s else 300))
        self.tick(step)
        for plan in standing.unstarted_clocks(self.blade, step):
            if plan.ends and not plan.store:
                self.change(_clocking(step, plan.id, self.at))
        for one in self.blade.step_clocks(step.id):
            mark = one.mark(one.ends) if one.running else None
            if mark is not None:
                self.at = max(self.at, mark.opens + timedelta(minutes=1))
        self.change(lambda blade: changes.finish(blade, step.id, self.at))
        self.let_cool(step)

    def let_cool(self, step: Step) -> None:
        """Wait for what still cools after a step, and answer it."""
        for one in self.blade.step_clocks(step.id):
            for mark in one.marks if one.running and one.kind == "temper" else ():
                if mark.acknowledged is None:
                    self.at = max(self.at, mark.opens + timedelta(minutes=1))
                    self.change(_answering(one.id, mark.id, self.at))

    def begin(self, step: Step) -> None:
        """Look where there is no way back, start, and write down and work out what the plan knows."""
        for line in standing.unlooked(self.blade, step) if step.one_way else []:
            self.change(_looking(step, line, self.at))
        self.change(lambda blade: changes.start_step(blade, step.id, self.at))
        for entry in step.records:
            text = self.plan.values.get(entry.name) or (_fallback(entry) if entry.needed else "")
            if text:
                self.change(_writing(step, entry, text, self.plan.whys.get(entry.name, ""), self.at))
        if step.id in self.plan.slips:
            self.keep_slip(step, *self.plan.slips[step.id])

    def tick(self, step: Step) -> None:
        """Tick every check of a step."""
        for check in standing.unticked(self.blade, step):
            self.change(_ticking(step, check, self.at))

    def keep_slip(self, step: Step, name: str, typed: Mapping[str, str]) -> None:
        """Work a calculator out from the blade's measurements and keep the slip."""
        asked = calculator(name)
        taken = slips.fills(asked, self.blade)
        worked = work_out(asked, typed, self.shelf.store, taken=taken, now=self.at.timestamp(), later=True)
        number = changes.next_slip_id(self.blade)
        slip = slips.slip_of(worked, number, step.id, self.at)
        self.change(lambda blade: changes.keep_slip(blade, slip, self.at))

    def rehearse(self, step_id: str, before: timedelta, took: timedelta) -> None:
        """Run through a step's moves dry."""
        step = self.blade.route.by_id[step_id]
        begun = max(self.now - before, self.at + BREATH)
        self.change(lambda blade: moves.start_run(blade, step_id, begun, rehearsal=True))
        run = moves.running_run(self.blade, step_id)
        if run is None:
            raise ShopError(f"The step {step_id} was not rehearsed.")
        for number in range(1, len(step.moves) + 1):
            self.change(_stamping(run.id, begun + took * number / len(step.moves)))
        self.change(lambda blade: moves.end_run(blade, run.id, begun + took, "block fouls the guard"))

    def leave_running(self, wanted: Running) -> None:
        """Take a step in hand and start its clock, so long ago that a mark of it opens soon."""
        step = self.blade.route.by_id[wanted.step]
        plan = step.clock(wanted.clock)
        if plan is None:
            raise ShopError(f"The step {step.id} has no clock '{wanted.clock}' to leave running.")
        entry = find_entry(self.shelf.clock_entries(), plan.store) if plan.store else None
        air_K = float(measure.read(AIR, "temperature")) if entry is not None else None
        mark = clock.started(plan, step.id, plan.id, self.now, entry, air_K).mark(wanted.mark)
        if mark is None:
            raise ShopError(f"The clock {plan.title} has no mark '{wanted.mark}' to wait for.")
        since = self.now - (mark.opens - self.now) + wanted.ahead
        self.at = since - timedelta(minutes=14)
        self.begin(step)
        self.at = since
        self.tick(step)
        self.change(
            lambda blade: changes.start_clock(blade, step.id, plan.id, since, entry=entry, air_K=air_K)
        )
        for one in self.blade.step_clocks(step.id):
            for passed in one.marks if one.running else ():
                if passed.opens + BREATH < self.now:
                    self.change(_answering(one.id, passed.id, passed.opens + BREATH))


def _stamping(run_id: str, at: datetime) -> Change:
    return lambda blade: moves.stamp_move(blade, run_id, at.replace(microsecond=0))


def _looking(step: Step, line: str, at: datetime) -> Change:
    return lambda blade: changes.look(blade, step.id, line, at)


def _ticking(step: Step, check: str, at: datetime) -> Change:
    return lambda blade: changes.tick(blade, step.id, check, at)


def _clocking(step: Step, plan_id: str, at: datetime) -> Change:
    return lambda blade: changes.start_clock(blade, step.id, plan_id, at)


def _answering(clock_id: str, mark_id: str, at: datetime) -> Change:
    return lambda blade: changes.answer_mark(blade, clock_id, mark_id, at)


def _writing(step: Step, entry: Entry, text: str, why: str, at: datetime) -> Change:
    return lambda blade: changes.write_down(
        blade, entry.name, read_entry(entry, text, step.id, why), entry.says, at
    )


def _fallback(entry: Entry) -> str:
    return entry.options[0] if entry.options else entry.least or entry.most or "as drawn"
