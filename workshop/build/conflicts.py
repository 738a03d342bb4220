"""Work that must not overlap, as the route declares it: said when a step is about to start."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta

from workshop.build.blade import Blade, State
from workshop.build.clock_parts import NEVER, Clock, Mark
from workshop.build.day import wall
from workshop.build.named import named
from workshop.build.route import Step

LOUD = "loud"
"""Work over which no mark is heard."""

POT_LIFE = "pot life"
"""Glue that will not wait: one at a time, and nothing else beside it."""

_HARD = 3
_SHORTEST_S = 600.0


def conflicts(blades: Iterable[Blade], blade: Blade, step: Step, now: datetime) -> list[str]:
    """Return what starting a step now would clash with, one sentence each, the gravest first.

    Compared are what the step brings into the shop (`makes`) with what the running clocks of all blades
    mind, what its own clocks mind with what other steps in hand make, its loud or hands-full time with the
    hard marks that fall into it, and its pot life with any other.
    """
    found: list[tuple[int, str]] = []
    others = list(blades)
    length = timedelta(seconds=max((*step.hands_on_s, _SHORTEST_S)))
    for other in others:
        for clock in other.running():
            if clock.step == step.id and other.key == blade.key:
                continue
            found += _minded(other, clock, step, now)
            if other.key == blade.key and clock.step in step.before:
                continue  # the same cup: what was mixed a step ago is what this step puts together
            found += _hard_marks(other, clock, step, now, length)
            if POT_LIFE in step.makes:
                found += _second_pot(other, clock, now)
        found += _in_hand(other, blade, step, now)
    return [says for _, says in sorted(found, key=lambda one: -one[0])]


def _minded(other: Blade, clock: Clock, step: Step, now: datetime) -> Iterator[tuple[int, str]]:
    for what in clock.minded(now):
        if what in step.makes:
            until = clock.mark(clock.minds_until) if clock.minds_until else None
            end = f" until {until.says} at {wall(until.opens, now)}" if until and until.opens < NEVER else ""
            yield 2, f"{step.title} makes {what}; {other.name}, {clock.title}, must be spared it{end}"


def _hard_marks(
    other: Blade, clock: Clock, step: Step, now: datetime, length: timedelta
) -> Iterator[tuple[int, str]]:
    """Yield the hard marks that would come while nobody hears them or nobody has a hand free."""
    if LOUD not in step.makes and not step.hands_full and POT_LIFE not in step.makes:
        return
    why = "nobody hears it over the noise" if LOUD in step.makes else "your hands are full then"
    for mark in clock.marks:
        if mark.harm < _HARD or mark.acknowledged is not None:
            continue
        for verb, at in _ends(mark):
            if now < at <= now + length:
                yield 3, f"{other.name}, {clock.title}: {mark.says} {verb} at {wall(at, now)}, and {why}"
                break


def _ends(mark: Mark) -> Iterator[tuple[str, datetime]]:
    yield "comes" if mark.shuts is None else "opens", mark.opens
    if mark.shuts is not None:
        yield "shuts", mark.shuts


def _second_pot(other: Blade, clock: Clock, now: datetime) -> Iterator[tuple[int, str]]:
    pot = clock.mark("pot-life")
    end = None if pot is None else pot.shuts or pot.opens
    if end is not None and now < end:
        yield 3, f"{other.name}, {clock.title}, has its pot life until {wall(end, now)}: never two at once"


def _in_hand(other: Blade, blade: Blade, step: Step, now: datetime) -> Iterator[tuple[int, str]]:
    """Yield the steps in hand elsewhere that make what this step's clocks mind."""
    minds = {what for plan in step.clocks for what in plan.minds}
    for doing in other.own_steps():
        if other.key == blade.key and doing.id in (step.id, *step.before):
            continue
        if other.progress(doing.id).state is not State.IN_HAND:
            continue
        for what in doing.makes:
            if what in minds:
                yield 2, f"{other.name}, {named(doing)}, is in hand and makes {what}; {step.title} minds it"
        if POT_LIFE in doing.makes and POT_LIFE in step.makes:
            yield 3, f"{other.name}, {named(doing)}, has glue mixed: never two pot lives at once"
