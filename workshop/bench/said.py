"""What the desk tells the panes: a sentence, a clock and its blade, a mark that calls, full hands."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from workshop.build.blade import Blade, State
from workshop.build.clock import Clock, Mark, Stage
from workshop.build.route import Step


class Tone(StrEnum):
    """How a sentence to the maker is meant; shown as a word, not only as a colour."""

    DONE = "done"
    REFUSED = "no"
    NOTICE = "mind"


@dataclass(frozen=True, slots=True)
class Said:
    """The last sentence to the maker."""

    text: str = ""
    tone: Tone = Tone.DONE


@dataclass(frozen=True, slots=True)
class BladeClock:
    """A running clock and whose it is."""

    blade: Blade
    clock: Clock


@dataclass(frozen=True, slots=True)
class Call:
    """A mark that has come, or comes soon, and that nobody has answered."""

    blade: Blade
    clock: Clock
    mark: Mark
    stage: Stage = Stage.OPEN


def hands_on(blade: Blade, step: Step, now: datetime) -> bool:
    """Whether a step is hot or sticky and the hands are on it now.

    A step that rests on its clock keeps them full too (a soak, a dip, a cooling); glue, for its pot life.
    """
    state = blade.progress(step.id).state
    if not step.hands_full or state not in (State.IN_HAND, State.RESTING):
        return False
    if state is State.IN_HAND:
        return True
    pot = [one.mark("pot-life") for one in blade.step_clocks(step.id) if one.running]
    return all(mark is None or now < mark.opens for mark in pot)
