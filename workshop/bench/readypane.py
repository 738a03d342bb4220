"""A run made ready: everything is asked first, the moves have their latest moments; one key begins it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from workshop import measure
from workshop.bench import handsfull, looks, times
from workshop.bench.desk import Desk
from workshop.bench.looks import Row
from workshop.bench.pane import Asked, Done, Pane, Went
from workshop.bench.startnow import StartNow, StartWith, as_started, rehearsal_row
from workshop.build.blade import Blade
from workshop.build.moves import last_rehearsal, moves, start_run
from workshop.build.route import ClockPlan, Step
from workshop.errors import ShopError
from workshop.showable import showable

ASKS = {
    "ready-air": ("The air where this cures, at the start:", "air", "temperature", "°C", "24 °C"),
    "ready-box": ("How warm it is kept, whatever the shop's air does:", "box", "temperature", "°C", "38 °C"),
    "ready-mass": ("What is in the cup:", "mass", "mass", "g", "12 g"),
}


def air_words(desk: Desk, given: StartWith) -> str:
    """Return what the clock starts in, as read or as typed, with the keys that change it."""
    shop = desk.shop
    if given.air:
        air = showable(given.air, 20)
    elif shop.air_K is None:
        air = "not read"
    else:
        old = ", read long ago" if desk.air_is_stale() else ""
        air = measure.write(shop.air_K, "temperature", shop.prefer.temperature, 1) + old
    box = showable(given.box, 20) or "none"
    return f"air (T): {air} · warm box (K): {box} · mix (M): {showable(given.mass, 20) or 'not weighed'}"


def asked(command: str, take: Callable[[StartWith], object], given: StartWith) -> Asked:
    """Return the question for one thing a clock starts with; what is typed is read and taken."""
    says, name, kind, unit, example = ASKS[command]

    def keep(text: str) -> None:
        read = measure.read(text, kind, unit=unit, field=name, example=example)
        take(given.typed(name, measure.write(read.value, kind, read.unit or unit)))

    return Asked(says, keep, hint=f"such as {example}")


def preview_rows(
    desk: Desk, blade: Blade, step: Step, plan: ClockPlan | None, given: StartWith, width: int
) -> list[Row]:
    """Return the moves with their latest moments, if first contact were now."""
    now = desk.now()
    try:
        made = start_run(
            blade,
            step.id,
            now,
            plan_id=plan.id if plan is not None else "",
            entry=given.entry if plan is not None and plan.store else None,
            air_K=None if not given.air else float(measure.read(given.air, "temperature", unit="°C")),
            air=desk.air,
            batch=desk.batch(given.entry, given.box, given.mass),
        )
    except ShopError as error:
        return [looks.row(line, "bad") for line in looks.wrapped(str(error), width)]
    run = list(made.runs.values())[-1]
    rows: list[Row] = []
    for number, move in enumerate(moves(made, run), 1):
        left_s = None if move.by is None else (move.by - run.started).total_seconds()
        by = looks.row("" if left_s is None else f"by {times.left(left_s)}", "strong")
        if left_s is not None and left_s < 0:
            by = looks.row(f"LATE {times.left(-left_s)} already", "bad")
        rows.append(looks.beside(looks.row(f"  {number}  {showable(move.says, 200)}"), by, width))
    return rows


class ReadyPane(Pane):
    """The run of the step looked at, made ready."""

    where = "ready"
    each_minute = True
    at = 0
    given = StartWith()

    def __init__(self, desk: Desk, *, id: str | None = None, classes: str | None = None) -> None:
        """Set the pane up, with nothing given yet."""
        super().__init__(desk, id=id, classes=classes)
        self._start_now = StartNow()

    def opened(self) -> None:
        """Begin with the route's own adhesive, in the shop's air."""
        self.at = 0
        plan = self._plan()
        entries = self.desk.entries_for(plan.id) if plan is not None else []
        self.given = StartWith(entries[0] if entries else None)

    def _plan(self) -> ClockPlan | None:
        blade, step = self.desk.blade, self.desk.step
        return None if blade is None or step is None else handsfull.run_plan(blade, step)

    def rows(self, width: int, height: int) -> list[Row]:
        """Return what is asked, the moves, the windows, and what the rehearsal took."""
        blade, step = self.desk.blade, self.desk.step
        if blade is None or step is None:
            return [looks.row("No step is looked at.")]
        plan, given = self._plan(), self.given
        head = looks.ruled(
            f"GET READY  {step.id} {showable(step.title, 40)}", "nothing has started yet", width
        )
        out: list[Row] = [head]
        for number, one in enumerate(self.desk.entries_for(plan.id) if plan is not None else []):
            mark, look = (">", "here") if number == self.at else (" ", "plain")
            out.append(looks.row(looks.padded(f"{mark} {showable(one.title, 200)}", width), look))
        if plan is not None and plan.store:
            out.append(looks.row(f"  {air_words(self.desk, given)}", "strong"))
            made = as_started(self.desk, plan, given)
            pot = None if made is None else made.mark("pot-life")
            if pot is not None:
                left = times.words((pot.opens - self.desk.now()).total_seconds())
                out.append(looks.row(f"  pot life from first contact: {left}", "strong"))
        out += self._rehearsed(blade, step, width)
        out += [looks.row("moves, by the time elapsed:", "heading")]
        out += preview_rows(self.desk, blade, step, plan, given, width)
        if plan is not None:
            out += [looks.row("if it starts now:", "heading")]
        return [*out, *self._start_now.rows(self.desk, step, plan, given, width)][:height]

    def _rehearsed(self, blade: Blade, step: Step, width: int) -> list[Row]:
        says = rehearsal_row(self.desk, blade, step, self.given.entry)
        last = last_rehearsal(blade, step.id)
        if says:
            return [looks.row(line, "bad") for line in looks.wrapped(f"  rehearsal: {says}", width, 4)]
        if last is None:
            return [looks.row("  rehearsal: none yet (Y runs through it dry)")]
        return [looks.row(f"  rehearsal: {times.left(last.took_s(self.desk.now()))}", "good")]

    def do(self, command: str) -> None:
        """Choose, ask, rehearse, or begin."""
        if command == "ready-leave":
            self.post_message(Went("bench"))
        elif command in ("row-up", "row-down"):
            self._choose(1 if command == "row-down" else -1)
        elif command in ASKS:
            self.post_message(asked(command, self._take, self.given))
        elif command in ("first-contact", "rehearse"):
            handsfull.first_contact(self.desk, self.given, rehearsal=command == "rehearse")
            self.post_message(Went("run"))
        self.post_message(Done())

    def _take(self, given: StartWith) -> None:
        self.given = given

    def _choose(self, by: int) -> None:
        plan = self._plan()
        entries = self.desk.entries_for(plan.id) if plan is not None else []
        if entries:
            self.at = (self.at + by) % len(entries)
            self.given = replace(self.given, entry=entries[self.at])
