"""Hands full: a run through a step's moves, stamped one by one, for real or as a rehearsal."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from workshop.build import clock as clocks
from workshop.build.air import Air
from workshop.build.blade import Blade, Part, Run, Value
from workshop.build.clock_changes import clock_parts
from workshop.build.clock_parts import NEVER, Clock, StoreEntry
from workshop.build.cure_age import marks_at
from workshop.build.ledger import changed
from workshop.build.named import named, step_named
from workshop.build.route import Step
from workshop.errors import ShopError

POT_LIFE_MARK = "pot-life"
HALF = 0.5
"""A rehearsal over this share of the pot life is too long: the real one is always slower."""


@dataclass(frozen=True, slots=True)
class Move:
    """One move of a run: its words, its latest moment (None: none), and when it was done (None: not yet)."""

    says: str
    by: datetime | None = None
    done: datetime | None = None


def start_run(
    blade: Blade,
    step_id: str,
    now: datetime,
    *,
    rehearsal: bool = False,
    plan_id: str = "",
    entry: StoreEntry | None = None,
    air_K: float | None = None,
    humidity: float | None = None,
    air: Air | None = None,
    batch: clocks.Batch = clocks.AS_STORED,
) -> Blade:
    """Start a run at first contact; with plan_id the step's clock starts in the same instant.

    A rehearsal starts no clock. Raises ShopError for a step without moves, or while another run of it is
    not ended.
    """
    step = step_named(blade, step_id)
    if not step.moves:
        raise ShopError(f"{named(step)} has no moves to run through.")
    open_run = running_run(blade, step.id)
    if open_run is not None:
        raise ShopError(f"A run of {named(step)} goes on already; end it first.")
    parts: dict[str, Part] = {}
    if plan_id and not rehearsal:
        parts, _ = clock_parts(
            blade, step, plan_id, now, entry=entry, air_K=air_K, humidity=humidity, air=air, batch=batch
        )
    clock_id = next((name.partition("/")[2] for name in parts if _begins(parts[name], now)), "")
    number = 1 + sum(run.step == step.id for run in blade.runs.values())
    run = Run(f"{step.id}-{number}", step.id, now, rehearsal, clock=clock_id or _step_clock(blade, step))
    what = "Rehearsal" if rehearsal else "First contact"
    return changed(blade, now, "run", f"{what}: {named(step)}", {**parts, f"runs/{run.id}": run}, step.id)


def _begins(part: Part, now: datetime) -> bool:
    return isinstance(part, Clock) and part.running and part.started == now


def _step_clock(blade: Blade, step: Step) -> str:
    """Return the running clock a run without one of its own goes by: an assembly goes by the mix's."""
    pots = [one for one in blade.running() if one.mark(POT_LIFE_MARK) is not None]
    own = [one for one in pots if one.step == step.id] or pots
    return max(own, key=lambda one: one.started).id if own and step.hands_full else ""


def running_run(blade: Blade, step_id: str = "") -> Run | None:
    """Return the run that goes on, of this step or of any."""
    runs = [run for run in blade.runs.values() if run.ended is None and step_id in ("", run.step)]
    return runs[-1] if runs else None


def stamp_move(blade: Blade, run_id: str, now: datetime) -> Blade:
    """Stamp the present move as done and go on to the next. After the last one nothing is left to stamp.

    A move that writes a value down writes the time since an earlier stamp, in tenths of a second; a count
    of the step for the same value ends with it. A rehearsal writes nothing.
    """
    run = _run(blade, run_id)
    step = step_named(blade, run.step)
    if run.ended is not None:
        raise ShopError(f"That run of {named(step)} has ended.")
    if len(run.stamps) >= len(step.moves):
        return blade
    plan = step.moves[len(run.stamps)]
    made = replace(run, stamps=(*run.stamps, (plan.says, now)))
    parts: dict[str, Part] = {f"runs/{run.id}": made}
    if not plan.writes or run.rehearsal:
        return changed(blade, now, "", f"Done: {plan.says}", parts)
    begun = run.stamps[plan.since - 1][1] if plan.since else run.started
    counted = round((now - begun).total_seconds(), 1)
    parts[f"values/{plan.writes}"] = Value(f"{counted:.1f} s", "time", counted, step.id, now)
    for clock in blade.step_clocks(step.id):
        own = step.clock(clock.plan)
        if clock.running and own is not None and own.fills == plan.writes:
            parts[f"clocks/{clock.id}"] = replace(clock, ended=now)
    return changed(blade, now, "value", f"Done: {plan.says}, after {counted:.1f} s", parts, step.id)


def end_run(blade: Blade, run_id: str, now: datetime, note: str = "") -> Blade:
    """End a run, with one line of note if there is one. What was not stamped stays so."""
    run = _run(blade, run_id)
    step = step_named(blade, run.step)
    if run.ended is not None:
        made = replace(run, note=note.strip() or run.note)
        says = f"Noted on the run of {named(step)}: {made.note}"
        return changed(blade, now, "run", says, {f"runs/{run.id}": made}, step.id)
    last = run.stamps[-1][1] if len(run.stamps) == len(step.moves) and run.stamps else now
    made = replace(run, ended=last, note=note.strip())
    what = "Rehearsal" if run.rehearsal else "Run"
    took = _minutes(made.took_s(now))
    left = len(step.moves) - len(run.stamps)
    says = f"{what} of {named(step)}: {took}" + (f", {left} moves not stamped" if left else "")
    says += f". {made.note}" if made.note else ""
    return changed(blade, now, "run", says, {f"runs/{run.id}": made}, step.id)


def moves(blade: Blade, run: Run) -> list[Move]:
    """Return the moves of a run with their latest moments; those that go by the glue move with its clock."""
    step = step_named(blade, run.step)
    clock = blade.clocks.get(run.clock)
    stretch = 1.0 if clock is None or run.rehearsal else clock.pace / clock.quick
    begin = run.started if clock is None or run.rehearsal else clock.started
    done = [at for _, at in run.stamps]
    found = []
    for place, plan in enumerate(step.moves):
        by = None
        if plan.by_s is not None:
            by = (begin if plan.scaled else run.started) + timedelta(
                seconds=round(plan.by_s * (stretch if plan.scaled else 1.0))
            )
        found.append(Move(plan.says, by, done[place] if place < len(done) else None))
    return found


def pot_life_left_s(blade: Blade, run: Run, now: datetime) -> float | None:
    """Return what is left of the pot life (s, below nothing when it is over), None where there is none."""
    clock = blade.clocks.get(run.clock)
    pot = None if clock is None else clock.mark(POT_LIFE_MARK)
    if pot is None or pot.opens >= NEVER:
        return None
    return (pot.opens - now).total_seconds()


def rehearsed_step(blade: Blade, step: Step) -> Step:
    """Return the step whose moves are rehearsed for this one: itself, else the one that follows it.

    The mixing has no moves of its own; what is rehearsed for it is the assembly.
    """
    if step.moves:
        return step
    following = (one for one in blade.own_steps() if step.id in one.before and one.moves)
    return next(following, step)


def last_rehearsal(blade: Blade, step_id: str) -> Run | None:
    """Return the rehearsal of a step that was ended last."""
    done = [one for one in blade.runs.values() if one.step == step_id and one.rehearsal and one.ended]
    return done[-1] if done else None


def rehearsal_says(
    blade: Blade, step_id: str, entry: StoreEntry, air_K: float, now: datetime, pace: float = 1.0
) -> str:
    """Return what must be said of a rehearsal in this air; "" where it took under half the pot life.

    The pot life counted is when it begins to end: the thickening. pace: this maker's own for the adhesive.
    """
    run = last_rehearsal(blade, step_id)
    if run is None:
        return "It was not rehearsed yet."
    pot = marks_at(entry, air_K).get(POT_LIFE_MARK)
    if pot is None:
        return ""
    pot_s, took_s = pot[0] / pace, run.took_s(now)
    if took_s <= HALF * pot_s:
        return ""
    return (
        f"The rehearsal took {_minutes(took_s)}, over half of the pot life of {_minutes(pot_s)} at "
        f"{air_K - 273.15:.0f} °C. Fewer parts at once, a slower glue, or a cooler hour."
    )


def _run(blade: Blade, run_id: str) -> Run:
    run = blade.runs.get(run_id)
    if run is None:
        known = ", ".join(blade.runs) or "none"
        raise ShopError(f"{blade.name} has no run '{run_id}'; it has: {known}.")
    return run


def _minutes(seconds: float) -> str:
    whole = round(seconds)
    return f"{whole} s" if whole < 60 else f"{whole // 60}:{whole % 60:02} min"
