"""What a change is about: a step or a clock by its name, and the hands taken off a step."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from workshop.build.blade import Blade, Progress
from workshop.build.clock_parts import Clock
from workshop.build.route import Step
from workshop.errors import ShopError


def step_named(blade: Blade, step_id: str) -> Step:
    """Return a step of this blade by its id (any case), or raise ShopError with the ids near it."""
    wanted = step_id.strip().upper()
    step = blade.route.by_id.get(wanted)
    if step is None:
        same = [one.id for one in blade.own_steps() if one.id[:1] == wanted[:1]]
        ids = ", ".join(same or [one.id for one in blade.own_steps()])
        raise ShopError(f"{blade.name} has no step '{step_id}'; right would be one of: {ids}.")
    if not step.there(blade.choices):
        chosen = ", ".join(f"{name} is '{blade.choices.get(name, '')}'" for name in step.when)
        raise ShopError(f"{step.id} {step.title} is not part of {blade.name}: {chosen}.")
    return step


def clock_named(blade: Blade, clock_id: str) -> Clock:
    """Return a clock of this blade by its id, or raise ShopError with the ids there are."""
    clock = blade.clocks.get(clock_id)
    if clock is None:
        known = ", ".join(blade.clocks) or "none"
        raise ShopError(f"{blade.name} has no clock '{clock_id}'; it has: {known}.")
    return clock


def named(step: Step) -> str:
    """Return a step as it is called in a sentence."""
    return f"{step.id} {step.title}"


def hands_off(was: Progress, now: datetime) -> Progress:
    """Stop counting the time by hand."""
    if was.since is None:
        return was
    return replace(was, since=None, hand_s=was.hand_s + max(0, round((now - was.since).total_seconds())))


def hands_on_s(was: Progress, now: datetime) -> float:
    """Return the time by hand at a step so far (s), counting up while it is in hand."""
    running = 0.0 if was.since is None else max(0.0, (now - was.since).total_seconds())
    return was.hand_s + running
