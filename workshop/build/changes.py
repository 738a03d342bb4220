"""Every change to a blade, each a function: the blade, what happened, the present time -> the new blade.

There is no second way to change a blade. Each change adds a line to the log, with its reason if it
went against a rule, and remembers what the touched parts were, so that it can be taken back.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime

from workshop.build import clock as clocks
from workshop.build.blade import CLOSED, Blade, LogEntry, Part, Progress, Slip, State, Value
from workshop.build.clock_changes import answer_mark, missed_windows, settle_marks, start_clock, stop_clock
from workshop.build.ledger import changed, last_said, take_back
from workshop.build.named import hands_off, named, step_named
from workshop.build.route import Route, Step, spoiled_by
from workshop.build.standing import (
    latest_clock,
    missing_values,
    rest_over,
    state_of,
    unlooked,
    unstarted_clocks,
    unticked,
    waits_for,
)
from workshop.errors import ShopError

__all__ = [
    "NeedsReason",
    "answer_mark",
    "do_over",
    "finish",
    "keep_slip",
    "last_said",
    "leave_out",
    "look",
    "new_blade",
    "next_slip_id",
    "note",
    "open_points",
    "spoilt",
    "start_clock",
    "start_step",
    "step_named",
    "stop_clock",
    "take_back",
    "tick",
    "write_down",
]

LONGEST_NOTE = 2000
"""Characters: a page. What is longer belongs into a file beside the blade's."""


class NeedsReason(ShopError):
    """A change goes against a rule: it can be done, with a reason, which is kept."""


def new_blade(
    key: str,
    name: str,
    route: Route,
    kept: str,
    now: datetime,
    *,
    choices: Mapping[str, str] | None = None,
    maker_for: str = "",
    about: str = "",
) -> Blade:
    """Return a blade at the start of a route.

    Raises ShopError for a choice the route does not ask for, or an option it does not offer.
    """
    full = route.defaults()
    for choice_id, option in (choices or {}).items():
        asked = next((choice for choice in route.choices if choice.id == choice_id), None)
        if asked is None:
            known = ", ".join(choice.id for choice in route.choices)
            raise ShopError(f"The route {route.id} has no choice '{choice_id}'; it has: {known}.")
        if option not in asked.options:
            raise ShopError(
                f"{choice_id} = '{option}' is not offered; right would be: {', '.join(asked.options)}."
            )
        full[choice_id] = option
    started = LogEntry(now, "begin", f"{name} begun on the route {route.title}")
    return Blade(key, name, route, kept, now, full, maker_for, about, log=(started,))


def start_step(blade: Blade, step_id: str, now: datetime, why: str = "") -> Blade:
    """Take a step in hand. Needs a reason while it waits, or before its last look is all true."""
    step = step_named(blade, step_id)
    state = state_of(blade, step, now)
    if state in (State.IN_HAND, State.RESTING):
        raise ShopError(f"{step.id} {step.title} is {state} already.")
    if state in CLOSED:
        raise ShopError(f"{step.id} {step.title} is {state}; to do it again, do it over.")
    _asks_reason(
        why, [f"it waits for {waiting.says}" for waiting in waits_for(blade, step, now)], step, "started"
    )
    if step.one_way:
        _asks_reason(
            why, [f"the last look is not all true: {line}" for line in unlooked(blade, step)], step, "started"
        )
    was = blade.progress(step.id)
    begun = replace(was, state=State.IN_HAND, started=now, finished=None, since=now, ticked=(), why="")
    parts: dict[str, Part] = {f"steps/{step.id}": begun, **_awaited(blade, step, now)}
    says = f"{named(step)} started{missed_windows(blade, parts, now)}"
    return changed(blade, now, "start", says, parts, step.id, why)


def _awaited(blade: Blade, step: Step, now: datetime) -> dict[str, Part]:
    """Answer the marks that a step waited for: starting it is what they asked for."""
    parts: dict[str, Part] = {}
    for name in step.after:
        plan_id, _, mark_id = name.partition("/")
        clock = latest_clock(blade, plan_id)
        mark = clock.mark(mark_id) if clock is not None else None
        if clock is not None and mark is not None and mark.opens <= now and mark.acknowledged is None:
            parts[f"clocks/{clock.id}"] = clocks.answered(clock, mark_id, now)
    return parts


def look(blade: Blade, step_id: str, line: str, now: datetime) -> Blade:
    """Say that a line of a one-way step's last look is true."""
    step = step_named(blade, step_id)
    if line not in step.last_look:
        raise ShopError(f"The last look of {named(step)} has no line '{line}'.")
    was = blade.progress(step.id)
    if line in was.looked:
        return blade
    said_true = replace(was, looked=(*was.looked, line))
    return changed(blade, now, "", f"True: {line}", {f"steps/{step.id}": said_true})


def tick(blade: Blade, step_id: str, check: str, now: datetime) -> Blade:
    """Tick one of a step's checks."""
    step = step_named(blade, step_id)
    if check not in step.checks:
        raise ShopError(f"{named(step)} has no check '{check}'.")
    was = blade.progress(step.id)
    if check in was.ticked:
        return blade
    ticked = replace(was, ticked=(*was.ticked, check))
    return changed(blade, now, "", f"Checked: {check}", {f"steps/{step.id}": ticked})


def write_down(blade: Blade, name: str, value: Value, says: str, now: datetime) -> Blade:
    """Keep a measurement; `value` is read already, `says` is what it is called."""
    was = blade.values.get(name)
    before = f" (was {was.text})" if was is not None and was.text != value.text else ""
    line = f"{says}: {value.text}{before}"
    return changed(
        blade, now, "value", line, {f"values/{name}": replace(value, at=now)}, value.step, value.why
    )


def finish(blade: Blade, step_id: str, now: datetime, why: str = "") -> Blade:
    """Finish a step. Needs a reason while a check, a needed value, a clock or a mark is open."""
    step = step_named(blade, step_id)
    was = blade.progress(step.id)
    if was.state not in (State.IN_HAND, State.RESTING):
        state = state_of(blade, step, now)
        raise ShopError(
            f"{named(step)} is {state}; only a step in hand or resting can be finished. Start it first."
        )
    _asks_reason(why, list(open_points(blade, step, now)), step, "finished")
    done = replace(hands_off(was, now), state=State.DONE, finished=now, rounds=was.rounds + 1)
    parts: dict[str, Part] = {f"steps/{step.id}": done}
    for clock in blade.step_clocks(step.id):
        settled = _settled(clock, now) if clock.running else clock
        if settled != clock:
            parts[f"clocks/{clock.id}"] = settled
    missed = missed_windows(blade, parts, now)
    says = f"{named(step)} finished{missed}{settle_marks(blade, step.answers, parts, now)}"
    return changed(blade, now, "finish", says, parts, step.id, why)


def open_points(blade: Blade, step: Step, now: datetime) -> list[str]:
    """Return, in words, what still stands against finishing a step."""
    points = [f"not checked: {check}" for check in unticked(blade, step)]
    points += [f"not written down: {entry.says} ({entry.name})" for entry in missing_values(blade, step)]
    points += [
        f"its {plan.title} clock ({plan.id}) was not started"
        for plan in unstarted_clocks(blade, step)
        if plan.ends
    ]
    if not rest_over(blade, step, now):
        points.append("its clock still runs")
    return points


def leave_out(blade: Blade, step_id: str, now: datetime, why: str) -> Blade:
    """Leave a step out of this blade. Always needs a reason."""
    step = step_named(blade, step_id)
    was = blade.progress(step.id)
    if was.state in CLOSED:
        raise ShopError(f"{named(step)} is {was.state} already.")
    _asks_reason(why, ["a step is left out only with a reason"], step, "left out")
    parts: dict[str, Part] = {
        f"steps/{step.id}": replace(hands_off(was, now), state=State.LEFT_OUT, finished=now, why=why)
    }
    for clock in blade.step_clocks(step.id):
        if clock.running:
            parts[f"clocks/{clock.id}"] = replace(clock, ended=now)
    return changed(
        blade,
        now,
        "leave out",
        f"{named(step)} left out{missed_windows(blade, parts, now)}",
        parts,
        step.id,
        why,
    )


def do_over(blade: Blade, step_id: str, now: datetime, why: str = "") -> Blade:
    """Set a finished step to "do over", and with it every step behind it that this spoils.

    Needs a reason for a one-way step (it cannot be done over in the same piece) and for one not done yet.
    """
    step = step_named(blade, step_id)
    was = blade.progress(step.id)
    if was.state is None or was.state is State.DO_OVER:
        state = state_of(blade, step, now)
        raise ShopError(f"{named(step)} is {state}; only a step that was begun can be done over.")
    against = []
    if step.one_way:
        against.append("there is no way back from it")
    if was.state in (State.IN_HAND, State.RESTING):
        against.append("it is not finished")
    _asks_reason(why, against, step, "done over")
    again = (step.id, *(one.id for one in spoilt(blade, step.id)))
    parts: dict[str, Part] = {}
    for one in again:
        parts[f"steps/{one}"] = _again(blade.progress(one), now)
        for clock in blade.step_clocks(one):
            if clock.running:
                parts[f"clocks/{clock.id}"] = replace(clock, ended=now)
    spoils = f"; it spoils {', '.join(again[1:])}" if len(again) > 1 else ""
    return changed(
        blade,
        now,
        "do over",
        f"{named(step)} to be done over{spoils}{missed_windows(blade, parts, now)}",
        parts,
        step.id,
        why,
    )


def spoilt(blade: Blade, step_id: str) -> tuple[Step, ...]:
    """Return the begun steps of this blade that doing `step_id` over would spoil, in route order."""
    begun = (State.DONE, State.IN_HAND, State.RESTING)
    return tuple(
        blade.route.by_id[one]
        for one in spoiled_by(blade.route, step_id)
        if blade.route.by_id[one].there(blade.choices) and blade.progress(one).state in begun
    )


def keep_slip(blade: Blade, slip: Slip, now: datetime) -> Blade:
    """Keep a worked calculation with the blade, at a step."""
    says = f"Slip {slip.id} kept: {slip.calculator}"
    return changed(blade, now, "slip", says, {f"slips/{slip.id}": slip}, slip.step)


def next_slip_id(blade: Blade) -> str:
    """Return the number the next slip gets."""
    return str(1 + max((int(one) for one in blade.slips if one.isdecimal()), default=0))


def note(blade: Blade, text: str, now: datetime, step_id: str = "") -> Blade:
    """Write one line into the blade's log."""
    if not text.strip():
        raise ShopError("A note needs some words.")
    if len(text) > LONGEST_NOTE:
        raise ShopError(f"A note of {len(text)} letters is too long; right would be {LONGEST_NOTE} at most.")
    return changed(blade, now, "note", text.strip(), {}, step_id)


def _asks_reason(why: str, against: Sequence[str], step: Step, verb: str) -> None:
    if against and not why.strip():
        more = f" (and {len(against) - 1} more)" if len(against) > 1 else ""
        yet = "" if verb == "left out" else " yet"
        raise NeedsReason(f"{named(step)} cannot be {verb}{yet}: {against[0]}{more}. With a reason it can.")


def _again(was: Progress, now: datetime) -> Progress:
    return replace(hands_off(was, now), state=State.DO_OVER, ticked=(), looked=(), why="")


def _settled(clock: clocks.Clock, now: datetime) -> clocks.Clock:
    """Answer the marks that have come: finishing the step is the answer. Later marks stay where they are."""
    marks = tuple(
        replace(mark, acknowledged=now) if mark.opens <= now and mark.acknowledged is None else mark
        for mark in clock.marks
    )
    spent = all(mark.acknowledged is not None for mark in marks)
    return replace(clock, marks=marks, ended=now if spent else clock.ended)
