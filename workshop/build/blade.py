"""A blade: one knife build, everything about it, as frozen data."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from typing import Any

from workshop.build.clock import Clock
from workshop.build.route import Route, Step


class State(StrEnum):
    """Where a step stands. WAITING and READY follow from the others and are never stored."""

    WAITING = "waiting"
    READY = "ready"
    IN_HAND = "in hand"
    RESTING = "resting"
    DONE = "done"
    LEFT_OUT = "left out"
    DO_OVER = "do over"


CLOSED = frozenset({State.DONE, State.LEFT_OUT})
"""States that let the steps behind go on."""


@dataclass(frozen=True, slots=True)
class Progress:
    """What has happened at one step.

    state: None until it is first started or left out. rounds: how often it was finished.
    since: when the hands last took it up; hand_s: seconds by hand before that.
    """

    state: State | None = None
    started: datetime | None = None
    finished: datetime | None = None
    since: datetime | None = None
    hand_s: int = 0
    rounds: int = 0
    ticked: tuple[str, ...] = ()
    looked: tuple[str, ...] = ()
    why: str = ""
    extra: Mapping[str, Any] = field(default_factory=dict)


DRILL = "drill"
"""The key beside a measurement that keeps the name of the drill it was given as; it goes with the number."""


@dataclass(frozen=True, slots=True)
class Value:
    """A measurement of the blade: as written, and as an SI number where it is one.

    why: the reason kept with a value outside its likely limits.
    """

    text: str
    kind: str
    si: float | None = None
    step: str = ""
    at: datetime | None = None
    why: str = ""
    extra: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Slip:
    """One worked calculation kept with a blade. Never recomputed.

    given, assumed: by field, as written. found: by result, (value, unit).
    taken: by field, the name of the blade's measurement it was filled from and its text then.
    """

    id: str
    calculator: str
    step: str
    at: datetime
    given: Mapping[str, str]
    assumed: Mapping[str, str]
    found: Mapping[str, tuple[float | str, str]]
    taken: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    cautions: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    extra: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class LogEntry:
    """One line of the record: when, what was done, in words, and why if against a rule."""

    at: datetime
    did: str
    says: str
    step: str = ""
    why: str = ""
    extra: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Run:
    """One run of a step with the hands full, real or a rehearsal: when each move was done.

    started: first contact. stamps: the move, in the route's words, and when it was done. clock: the
    glue's clock that began with it, "" for none.
    """

    id: str
    step: str
    started: datetime
    rehearsal: bool = False
    stamps: tuple[tuple[str, datetime], ...] = ()
    ended: datetime | None = None
    note: str = ""
    clock: str = ""
    extra: Mapping[str, Any] = field(default_factory=dict)

    def took_s(self, now: datetime) -> float:
        """Return how long it took, or has run so far (s)."""
        return max(0.0, ((self.ended or now) - self.started).total_seconds())


Part = Progress | Value | Clock | Slip | Run
"""What a change can replace: "steps/H7", "values/air", "clocks/bedding-1", "slips/3", "runs/K4-1"."""


@dataclass(frozen=True, slots=True)
class Back:
    """One change that can be taken back: what the touched parts were before (None: not there)."""

    at: datetime
    says: str
    was: Mapping[str, Part | None]


@dataclass(frozen=True)
class Blade:
    """One knife build.

    key: its file's name without the ending. kept: the name of the kept copy of its route.
    backs: the changes that can be taken back, the last one last.
    """

    key: str
    name: str
    route: Route
    kept: str
    started: datetime
    choices: Mapping[str, str]
    maker_for: str = ""
    about: str = ""
    steps: Mapping[str, Progress] = field(default_factory=dict)
    values: Mapping[str, Value] = field(default_factory=dict)
    clocks: Mapping[str, Clock] = field(default_factory=dict)
    slips: Mapping[str, Slip] = field(default_factory=dict)
    runs: Mapping[str, Run] = field(default_factory=dict)
    log: tuple[LogEntry, ...] = ()
    backs: tuple[Back, ...] = ()
    extra: Mapping[str, Any] = field(default_factory=dict)

    def own_steps(self) -> tuple[Step, ...]:
        """Return the steps of the route that this blade's choices leave in."""
        return self.route.steps_for(self.choices)

    def progress(self, step_id: str) -> Progress:
        """Return what has happened at a step (nothing yet: an empty Progress)."""
        return self.steps.get(step_id, Progress())

    def step_clocks(self, step_id: str) -> Iterator[Clock]:
        """Yield the clocks started at a step, oldest first."""
        return (clock for clock in self.clocks.values() if clock.step == step_id)

    def running(self) -> tuple[Clock, ...]:
        """Return the clocks that still count."""
        return tuple(clock for clock in self.clocks.values() if clock.running)
