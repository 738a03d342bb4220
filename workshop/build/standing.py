"""Where a blade stands: the state of each step, what it waits for, and the natural next thing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from workshop.build.blade import CLOSED, Blade, State
from workshop.build.clock import Clock, most_urgent
from workshop.build.route import ClockPlan, Entry, Step


class Act(StrEnum):
    """What the one big key does next at a step."""

    GO = "go"
    LOOK = "look"
    START = "start"
    TICK = "tick"
    CLOCK = "clock"
    VALUE = "value"
    WAIT = "wait"
    FINISH = "finish"


@dataclass(frozen=True, slots=True)
class NextThing:
    """The natural next thing: the act, in words for the key line, and what it acts on.

    item: a check's text, a clock plan's id, a value's name, or the step to go to.
    """

    act: Act
    says: str
    item: str = ""


@dataclass(frozen=True, slots=True)
class Waiting:
    """One thing a step waits for: a step that is open (`step`), or a mark of a running clock."""

    says: str
    step: str = ""


def latest_clock(blade: Blade, plan_id: str) -> Clock | None:
    """Return the clock started last from this plan, or None."""
    clocks = [clock for clock in blade.clocks.values() if clock.plan == plan_id]
    return max(clocks, key=lambda clock: clock.started, default=None)


def waits_for(blade: Blade, step: Step, now: datetime) -> Iterator[Waiting]:
    """Yield what must be true before a step can start and is not, in route order.

    A step that the blade's choices leave out holds nothing up, nor does a clock of such a step.
    """
    for needed in blade.route.by_id.values():
        if needed.id not in step.before or not needed.there(blade.choices):
            continue
        if blade.progress(needed.id).state not in CLOSED:
            yield Waiting(f"{needed.id} {needed.title}", needed.id)
    for name in step.after:
        plan_id, _, mark_id = name.partition("/")
        home = blade.route.clock_homes[plan_id]
        if not home.there(blade.choices) or blade.progress(home.id).state is State.LEFT_OUT:
            continue
        clock = latest_clock(blade, plan_id)
        mark = clock.mark(mark_id) if clock else None
        if clock is None:
            yield Waiting(f"the {plan_id} clock, which was not started at {home.id}", home.id)
        elif mark is not None and now < mark.opens and mark.acknowledged is None:
            yield Waiting(f"{clock.title}: {mark.says}")


def state_of(blade: Blade, step: Step, now: datetime) -> State:
    """Return the state of a step as the maker sees it."""
    stored = blade.progress(step.id).state
    if stored is not None:
        return stored
    return State.WAITING if next(waits_for(blade, step, now), None) else State.READY


def states(blade: Blade, now: datetime) -> dict[str, State]:
    """Return the state of every step the blade has, in route order."""
    return {step.id: state_of(blade, step, now) for step in blade.own_steps()}


def in_hand(blade: Blade, now: datetime) -> Step | None:
    """Return the step the maker is at, or None when every step is closed.

    That is one in hand (or whose rest is over), else one to do over, else ready, else resting.
    """
    wanted = (State.IN_HAND, State.DO_OVER, State.READY, State.RESTING, State.WAITING)
    by_state: dict[State, Step] = {}
    for step in blade.own_steps():
        state = state_of(blade, step, now)
        if state is State.RESTING and rest_over(blade, step, now):
            state = State.IN_HAND
        by_state.setdefault(state, step)
    return next((by_state[state] for state in wanted if state in by_state), None)


def rest_over(blade: Blade, step: Step, now: datetime) -> bool:
    """Whether every clock that holds the step has reached the mark that ends its rest."""
    return all(clock.rest_over(now) for clock in blade.step_clocks(step.id))


def unticked(blade: Blade, step: Step) -> list[str]:
    """Return the step's checks that are not ticked yet."""
    ticked = blade.progress(step.id).ticked
    return [check for check in step.checks if check not in ticked]


def unlooked(blade: Blade, step: Step) -> list[str]:
    """Return the lines of the last look that were not said to be true yet."""
    looked = blade.progress(step.id).looked
    return [line for line in step.last_look if line not in looked]


def missing_values(blade: Blade, step: Step) -> list[Entry]:
    """Return the values the step needs and that were not written down at it since it was last begun."""
    begun = blade.progress(step.id).started

    def fresh(name: str) -> bool:
        value = blade.values.get(name)
        if value is None:
            return False
        return value.step != step.id or begun is None or value.at is None or value.at >= begun

    return [entry for entry in step.records if entry.needed and not fresh(entry.name)]


def unstarted_clocks(blade: Blade, step: Step) -> list[ClockPlan]:
    """Return the step's clocks that were not started since it was last begun."""
    begun = blade.progress(step.id).started
    run = {
        clock.plan
        for clock in blade.step_clocks(step.id)
        if begun is None or clock.running or clock.started >= begun
    }
    return [plan for plan in step.clocks if plan.id not in run]


def clock_begin(blade: Blade, plan: ClockPlan, now: datetime) -> datetime:
    """Return when a clock starts unless told otherwise: with the clock it counts from, else now."""
    former = latest_clock(blade, plan.since) if plan.since else None
    return now if former is None else former.started


def clock_store(blade: Blade, plan: ClockPlan) -> str:
    """Return the store entry a clock runs on unless told otherwise: that of the clock it counts from."""
    former = latest_clock(blade, plan.since) if plan.since else None
    return plan.store if former is None or not former.store else former.store


def natural_next(blade: Blade, step: Step, now: datetime) -> NextThing:
    """Return what Space does at this step."""
    state = state_of(blade, step, now)
    if state is State.WAITING:
        return _wait_or_go(next(waits_for(blade, step, now)))
    if state in CLOSED:
        following = in_hand(blade, now)
        if following is None:
            return NextThing(Act.WAIT, "nothing is left to do on this blade")
        return NextThing(Act.GO, f"go to {following.id} {following.title}", following.id)
    if state in (State.READY, State.DO_OVER):
        if state is State.DO_OVER and (first_open := next(waits_for(blade, step, now), None)):
            return _wait_or_go(first_open)
        if step.one_way:
            return NextThing(Act.LOOK, "take the last look")
        return NextThing(Act.START, "start")
    return _next_in_hand(blade, step, now, resting=state is State.RESTING)


def _wait_or_go(first: Waiting) -> NextThing:
    if not first.step:
        return NextThing(Act.WAIT, f"it waits for {first.says}")
    return NextThing(Act.GO, f"go to {first.says}", first.step)


def _next_in_hand(blade: Blade, step: Step, now: datetime, *, resting: bool) -> NextThing:
    again = next_round(blade, step, now)
    if again is not None:
        return again
    if resting and not rest_over(blade, step, now):
        running = most_urgent(blade.step_clocks(step.id), now)
        return NextThing(Act.WAIT, f"{running[0].title if running else 'its clock'} runs")
    left = unticked(blade, step)
    now_true, later = (
        [
            NextThing(Act.TICK, "tick the next check", one)
            for one in left
            if (one in step.after_rest) is rested
        ]
        for rested in (False, True)
    )
    clocks = [
        NextThing(Act.CLOCK, f"start the {plan.title} clock", plan.id)
        for plan in ([] if resting else unstarted_clocks(blade, step))
        if not plan.optional
    ]
    # A hot or sticky step runs its clock from first contact; the checks are ticked when hands are free.
    first_contact = step.hands_full and not step.after_rest
    in_order = [*clocks, *now_true, *later] if first_contact else [*now_true, *clocks, *later]
    if in_order:
        return in_order[0]
    missing = missing_values(blade, step)
    if missing:
        return NextThing(Act.VALUE, f"write down: {missing[0].says}", missing[0].name)
    return NextThing(Act.FINISH, "finish")


def next_round(blade: Blade, step: Step, now: datetime) -> NextThing | None:
    """Return the next round of a series that may begin and is still wanted: the next coat, dip or cycle.

    Wanted are as many as the route says at the least; the maker may start more of his own.
    """
    for plan in step.clocks:
        last = latest_clock(blade, plan.id) if plan.rounds and plan.again else None
        begun = blade.progress(step.id).started
        if last is None or last.step != step.id or (begun is not None and last.started < begun):
            continue
        mark = last.mark(plan.again)
        come = not last.running or mark is None or now >= mark.opens
        if come and 0 < last.round < plan.rounds[0]:
            says = f"start {plan.round} {last.round + 1} of {plan.rounds[-1]}"
            return NextThing(Act.CLOCK, says, plan.id)
    return None
