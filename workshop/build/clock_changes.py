"""The changes to a blade's clocks: starting, answering, stopping, and pressing the witness."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, timedelta

from workshop.build import clock as clocks
from workshop.build import cure_age
from workshop.build.air import Air
from workshop.build.blade import Blade, Part, State, Value
from workshop.build.ledger import changed
from workshop.build.named import clock_named, hands_off, named, step_named
from workshop.build.route import ClockPlan, Step
from workshop.build.standing import clock_begin, latest_clock
from workshop.errors import ShopError


def start_clock(
    blade: Blade,
    step_id: str,
    plan_id: str,
    now: datetime,
    *,
    ago_s: float | None = None,
    entry: clocks.StoreEntry | None = None,
    air_K: float | None = None,
    humidity: float | None = None,
    air: Air | None = None,
    batch: clocks.Batch = clocks.AS_STORED,
) -> Blade:
    """Start one of a step's clocks: some seconds ago, else with the clock it counts from, else now.

    The step rests when the clock has a mark that ends its rest. air_K, humidity: the air at the start;
    air: the record and forecast; batch: how this batch differs from the store's figures. A clock that
    counts from another one ages as that one does. Raises ShopError for an unknown clock, one that a store
    must supply and did not, or a start that lies ahead.
    """
    step = step_named(blade, step_id)
    parts, says = clock_parts(
        blade,
        step,
        plan_id,
        now,
        ago_s=ago_s,
        entry=entry,
        air_K=air_K,
        humidity=humidity,
        air=air,
        batch=batch,
    )
    return changed(blade, now, "clock", says, parts, step.id)


def clock_parts(
    blade: Blade,
    step: Step,
    plan_id: str,
    now: datetime,
    *,
    ago_s: float | None = None,
    entry: clocks.StoreEntry | None = None,
    air_K: float | None = None,
    humidity: float | None = None,
    air: Air | None = None,
    batch: clocks.Batch = clocks.AS_STORED,
) -> tuple[dict[str, Part], str]:
    """Return what starting a clock changes, and says; `start_clock` and a run with the hands full do it."""
    plan = _plan(step, plan_id)
    if ago_s is not None and ago_s < 0:
        raise ShopError("A clock cannot be started ahead of time; right would be 'now' or some minutes ago.")
    if plan.store and entry is None:
        raise ShopError(f"The {plan.title} clock needs an entry of the stores, such as {plan.store}.")
    number = 1 + sum(clock.plan == plan.id for clock in blade.clocks.values())
    begun = clock_begin(blade, plan, now) if ago_s is None else now - timedelta(seconds=round(ago_s))
    former = latest_clock(blade, plan.since) if plan.since else None
    if former is not None and entry is not None and former.store == entry.key and former.started == begun:
        batch = replace(batch, pace=former.quick, kept_K=former.kept_K)
        air_K, humidity = former.air_K, former.humidity
    made = clocks.started(
        plan,
        step.id,
        f"{plan.id}-{number}",
        begun,
        entry,
        air_K,
        air=air,
        humidity=humidity,
        batch=batch,
        now=now,
        round_=next_round(blade, step, plan),
    )
    return _parts_of(blade, step, plan, made, now)


def _parts_of(
    blade: Blade, step: Step, plan: ClockPlan, made: clocks.Clock, now: datetime
) -> tuple[dict[str, Part], str]:
    """Return what a new clock changes: itself, the round before it, what it answers, the step that rests."""
    parts: dict[str, Part] = {f"clocks/{made.id}": made}
    for earlier in blade.step_clocks(step.id):
        if earlier.plan == plan.id and earlier.running:  # the next coat or dip takes over from the last
            parts[f"clocks/{earlier.id}"] = replace(earlier, ended=now)
    also = settle_marks(blade, plan.answers, parts, made.started)
    was = blade.progress(step.id)
    if plan.ends and was.state is State.IN_HAND:
        parts[f"steps/{step.id}"] = replace(hands_off(was, now), state=State.RESTING)
    before_min = round((now - made.started).total_seconds() / 60)
    ago = f", {before_min} min before" if before_min else ""
    round_says = f", {made.round_of}" if made.round_of else ""
    return parts, f"Clock started{ago}: {made.title}{round_says}{also}"


def next_round(blade: Blade, step: Step, plan: ClockPlan) -> int:
    """Return which round of a series would start now: one more than ran since the step was last begun."""
    begun = blade.progress(step.id).started
    earlier = [
        one.round or 1
        for one in blade.step_clocks(step.id)
        if one.plan == plan.id and (begun is None or one.started >= begun or one.running)
    ]
    return 1 + max(earlier, default=0)


def _plan(step: Step, plan_id: str) -> ClockPlan:
    plan = step.clock(plan_id)
    if plan is None:
        offered = ", ".join(one.id for one in step.clocks) or "none"
        raise ShopError(f"{named(step)} has no clock '{plan_id}'; it has: {offered}.")
    return plan


def settle_marks(blade: Blade, names: tuple[str, ...], parts: dict[str, Part], at: datetime) -> str:
    """Answer marks by name ("glue-up/assembly"), come or not: what they ask is done; say what was late."""
    says = ""
    for name in names:
        plan_id, _, mark_id = name.partition("/")
        other = latest_clock(blade, plan_id)
        changing = parts.get(f"clocks/{other.id}") if other is not None else None
        other = changing if isinstance(changing, clocks.Clock) else other  # several marks of one clock add up
        mark = other.mark(mark_id) if other is not None else None
        if other is None or mark is None or not other.running or mark.acknowledged is not None:
            continue
        parts[f"clocks/{other.id}"] = clocks.answered(other, mark_id, at)
        if mark.state(at) == "shut" and mark.shuts is not None:
            late_min = round((at - mark.shuts).total_seconds() / 60)
            says += f"; {mark.says} was {late_min} min late"
    return says


def answer_mark(blade: Blade, clock_id: str, mark_id: str, now: datetime) -> Blade:
    """Acknowledge a mark that has come: it stops calling. That is not yet doing what it asks for."""
    clock = clock_named(blade, clock_id)
    mark = clock.mark(mark_id)
    if mark is None:
        raise ShopError(f"The clock {clock.title} has no mark '{mark_id}'.")
    counted = any(other.counts_from == mark_id for other in clock.marks)
    if mark.opens > now and not counted:  # what others count from may come sooner than was thought
        raise ShopError(f"The mark '{mark.says}' has not come yet.")
    late = " after it had shut" if mark.state(now) == "shut" else ""
    made = clocks.answered(clock, mark_id, now)
    says = f"Answered{late}: {mark.says}, {clock.title}"
    return changed(blade, now, "answer", says, {f"clocks/{clock.id}": made}, clock.step)


def missed_windows(blade: Blade, parts: Mapping[str, Part], now: datetime) -> str:
    """Return, for the log, the windows that had shut before anybody answered them; "" for none."""
    late = [
        mark.says
        for one in parts.values()
        if isinstance(one, clocks.Clock)
        for mark in blade.clocks[one.id].marks
        if mark.acknowledged is None and mark.state(now) == "shut"
    ]
    return f"; missed: {', '.join(late)}" if late else ""


def stop_clock(blade: Blade, clock_id: str, now: datetime, why: str = "") -> Blade:
    """Stop a clock before its last mark; a step that rests on it comes back in hand.

    A count that fills a value of its step writes it down, in tenths of a second.
    """
    clock = clock_named(blade, clock_id)
    if not clock.running:
        raise ShopError(f"The clock {clock.title} has ended already.")
    parts: dict[str, Part] = {f"clocks/{clock.id}": replace(clock, ended=now)}
    was = blade.progress(clock.step)
    others = any(
        other.running and other.ends for other in blade.step_clocks(clock.step) if other.id != clock.id
    )
    if was.state is State.RESTING and not others:
        parts[f"steps/{clock.step}"] = replace(was, state=State.IN_HAND, since=now)
    says = f"Clock stopped: {clock.title}{missed_windows(blade, parts, now)}"
    step = blade.route.by_id.get(clock.step)
    plan = step.clock(clock.plan) if step is not None else None
    if plan is not None and plan.kind == "count":
        counted = f"{clock.elapsed_s(now):.1f} s"
        says += f" at {counted}"
        if plan.fills:
            value = Value(counted, "time", round(clock.elapsed_s(now), 1), clock.step, now)
            parts[f"values/{plan.fills}"] = value
    return changed(blade, now, "stop", says, parts, clock.step, why)


def press_witness(blade: Blade, clock_id: str, state: str, air: Air, now: datetime) -> Blade:
    """Press the witness blob of a clock and say what it does: liquid, stringy, dents, hard.

    The pace of the batch is corrected, and with it every clock of this blade that counts from the same
    mix. Raises ShopError as `cure_age.pressed` does.
    """
    clock = clock_named(blade, clock_id)
    result = cure_age.pressed(clock, air, state, now)
    parts: dict[str, Part] = {f"clocks/{clock.id}": result.clock}
    for other in blade.running():
        same = other.store == clock.store and other.started == clock.started and other.id != clock.id
        if same and cure_age.ages(other) and other.quick != result.clock.quick:
            moved = cure_age.reworked(replace(other, quick=result.clock.quick), air, now)
            parts[f"clocks/{other.id}"] = moved
    return changed(blade, now, "witness", result.says, parts, clock.step)
