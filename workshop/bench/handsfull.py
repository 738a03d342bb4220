"""Runs with the hands full, at the desk: made ready, begun at first contact, stamped, ended; rehearsals."""

from __future__ import annotations

from workshop.bench.desk import Desk, temperature
from workshop.bench.said import Said
from workshop.bench.startnow import StartWith
from workshop.build import changes, moves, standing
from workshop.build.blade import Blade, Run, State
from workshop.build.route import ClockPlan, Step
from workshop.build.standing import Act, NextThing
from workshop.errors import ShopError


def going(desk: Desk) -> tuple[Blade, Run] | None:
    """Return the run that goes on and its blade, that of the blade in hand first."""
    for blade in sorted(desk.blades, key=lambda one: one.key != desk.key):
        run = moves.running_run(blade)
        if run is not None:
            return blade, run
    return None


def has_run(blade: Blade, step: Step) -> bool:
    """Whether a step had its real run since it was last begun."""
    begun = blade.progress(step.id).started
    runs = [run for run in blade.runs.values() if run.step == step.id and not run.rehearsal]
    return any(begun is None or run.started >= begun for run in runs)


def run_plan(blade: Blade, step: Step) -> ClockPlan | None:
    """Return the clock that starts at first contact: what cures first, then any other but a count."""
    plans = [plan for plan in standing.unstarted_clocks(blade, step) if plan.kind != "count"]
    plans = plans or [plan for plan in step.clocks if plan.rounds]  # the next dip of a series
    return min(plans, key=lambda plan: not plan.store, default=None)


def wants_run(desk: Desk) -> bool:
    """Whether the natural next thing at the step looked at is to make its run ready."""
    blade, step = desk.blade, desk.step
    if blade is None or step is None or not step.moves or has_run(blade, step):
        return False
    if len(standing.unstarted_clocks(blade, step)) < len(step.clocks):
        return False  # the maker has begun without one
    return desk.states().get(step.id) is State.IN_HAND


def natural(desk: Desk) -> NextThing | None:
    """Return what Space does at the step looked at: the run before its clocks; no count after it."""
    blade, step, following = desk.blade, desk.step, desk.natural()
    if blade is None or step is None or following is None or not step.moves:
        return following
    if wants_run(desk):
        return NextThing(Act.CLOCK, "get the run ready", "")
    plan = step.clock(following.item) if following.act is Act.CLOCK else None
    if plan is None or plan.kind != "count" or not has_run(blade, step):
        return following
    for check in standing.unticked(blade, step):
        return NextThing(Act.TICK, "tick the next check", check)
    for entry in standing.missing_values(blade, step):
        return NextThing(Act.VALUE, f"write down: {entry.says}", entry.name)
    return NextThing(Act.FINISH, "finish")


def first_contact(desk: Desk, given: StartWith, *, rehearsal: bool = False) -> None:
    """Begin the run of the step looked at, with its clock; a rehearsal begins none. Raises ShopError."""
    blade, step = desk.blade, desk.step
    if blade is None or step is None:
        raise ShopError("No step is looked at; open a blade from the rack.")
    state = desk.states()[step.id]
    if not rehearsal and state not in (State.IN_HAND, State.RESTING):
        raise ShopError(f"{step.id} {step.title} is {state}; start it first (Space at the bench).")
    plan = None if rehearsal else run_plan(blade, step)
    if plan is not None and plan.store and given.entry is None:
        raise ShopError(f"The {plan.title} clock needs an adhesive; choose one with the arrows.")
    batch = desk.batch(given.entry, given.box, given.mass)
    air_K, air, now = temperature(given.air, "air"), desk.air, desk.now()
    desk.do(
        lambda one: moves.start_run(
            one,
            step.id,
            now,
            rehearsal=rehearsal,
            plan_id=plan.id if plan is not None else "",
            entry=given.entry if plan is not None and plan.store else None,
            air_K=air_K,
            air=air,
            batch=batch,
        )
    )


def stamp(desk: Desk) -> bool:
    """Stamp the present move; after the last one end the run. Say whether the run has ended."""
    found = going(desk)
    if found is None:
        return True
    blade, run = found
    plans = changes.step_named(blade, run.step).moves
    if len(run.stamps) >= len(plans):
        end(desk)
        return True
    now = desk.exactly() if any(plan.writes for plan in plans) else desk.now()
    desk.put(blade.key, lambda one: moves.stamp_move(one, run.id, now))
    return False


def stamp_back(desk: Desk) -> None:
    """Take the last stamp back; what was before the run stays."""
    found = going(desk)
    if found is None or not found[1].stamps:
        raise ShopError("No move is stamped yet; E ends the run.")
    now = desk.now()
    desk.put(found[0].key, lambda one: changes.take_back(one, now))


def end(desk: Desk) -> None:
    """End the run that goes on."""
    found = going(desk)
    if found is None:
        return
    blade, run = found
    now = desk.now()
    desk.put(blade.key, lambda one: moves.end_run(one, run.id, now))


def note(desk: Desk, key: str, run_id: str, text: str) -> None:
    """Put one line of note with a run that has ended."""
    now = desk.now()
    desk.put(key, lambda one: moves.end_run(one, run_id, now, text))


def ended_words(desk: Desk, key: str, run_id: str) -> Said:
    """Return in words what a run that has ended came to."""
    blade = next((one for one in desk.blades if one.key == key), None)
    says = [entry.says for entry in blade.log if entry.did == "run"] if blade is not None else []
    return Said(says[-1] if says else "")
