"""What runs and what calls: worked out when a blade changes or a mark's next stage comes, not each second.

A mark has four stages that the maker is to notice: soon (the early warning), now, last chance, too late. Each
calls until it is seen. An early warning or a last chance that was seen stays quiet until the next stage; that
is kept in memory only, so a program that starts again calls again.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta

from workshop.bench.said import BladeClock, Call, hands_on
from workshop.build import clock
from workshop.build.blade import Blade, State
from workshop.build.clock import NEVER, Clock, Mark, Stage, stage_of
from workshop.build.route import Step

EARLY_HARM = 2
"""Marks whose missing costs less than hours are called when they come, without an early warning."""

CALLING = (Stage.LAST_CHANCE, Stage.OPEN, Stage.TOO_LATE)
"""Stages that call, those in which most can still be saved first; the early warning comes after them."""

FAR = timedelta(days=36_500)


def turns(one: Clock, mark: Mark, early_s: float) -> Iterator[datetime]:
    """Yield the moments at which a mark's stage changes (see `stage_of`, whose rule this follows)."""
    if mark.acknowledged is not None:
        return
    yield mark.opens
    whole_s = (min(mark.opens, NEVER) - one.started).total_seconds()
    yield mark.opens - timedelta(seconds=min(early_s, whole_s / 4))
    if mark.shuts is not None:
        yield mark.shuts
        window_s = (mark.shuts - mark.opens).total_seconds()
        yield mark.shuts - timedelta(seconds=min(max(early_s, 1.0), window_s / 4))


class Watch:
    """The running clocks and the calls, for a set of blades and a moment."""

    def __init__(self) -> None:
        """Nothing is known yet."""
        self._blades: Sequence[Blade] = ()
        self._early_s = 0.0
        self._from: datetime | None = None
        self._until: datetime | None = None
        self._clocks: list[BladeClock] = []
        self._calls: list[Call] = []
        self._hot: list[tuple[Blade, Step]] = []
        self._seen: dict[tuple[str, str, str], Stage] = {}
        self.turn = 0
        """Counts each time that something was worked out anew."""

    def look(self, blades: Sequence[Blade], now: datetime, early_s: float) -> None:
        """Work out anew what has changed; nothing while no blade changed and no stage turned."""
        same = blades is self._blades and early_s == self._early_s
        if same and self._from is not None and self._until is not None and self._from <= now < self._until:
            return
        if blades is not self._blades:
            self._hot = [pair for blade in blades for pair in _hot_steps(blade)]
        self._blades, self._early_s = blades, early_s
        pairs = [BladeClock(blade, one) for blade in blades for one in blade.running()]
        self._clocks = sorted(pairs, key=lambda pair: clock.urgency(pair.clock, now))
        self._calls = sorted(self._calling(now), key=_gravest_first)
        moments = (
            at for pair in pairs for mark in pair.clock.marks for at in turns(pair.clock, mark, early_s)
        )
        self._from = now
        self._until = min((at for at in moments if at > now), default=now + FAR)
        self.turn += 1

    def _calling(self, now: datetime) -> Iterator[Call]:
        for pair in self._clocks:
            for mark in pair.clock.marks:
                stage = stage_of(pair.clock, mark, now, self._early_s)
                wanted = stage in CALLING or (stage is Stage.SOON and mark.harm >= EARLY_HARM)
                seen = self._seen.get((pair.blade.key, pair.clock.id, mark.id))
                if wanted and seen is not stage:
                    yield Call(pair.blade, pair.clock, mark, stage)

    def clocks(self) -> list[BladeClock]:
        """Return the running clocks, the most urgent first."""
        return self._clocks

    def calls(self) -> list[Call]:
        """Return what calls: come marks most harmful first, then what comes soon."""
        return self._calls

    def seen(self, call: Call) -> None:
        """Let a call be quiet until its mark's next stage."""
        self._seen[(call.blade.key, call.clock.id, call.mark.id)] = call.stage
        self._calls = [one for one in self._calls if one is not call]
        self.turn += 1

    def hands_full(self, now: datetime) -> bool:
        """Whether a hot or sticky step is in hand on any blade, or a run goes on."""
        return any(hands_on(blade, step, now) for blade, step in self._hot) or any(
            run.ended is None for blade in self._blades for run in blade.runs.values()
        )


def _hot_steps(blade: Blade) -> Iterator[tuple[Blade, Step]]:
    for step_id, progress in blade.steps.items():
        step = blade.route.by_id.get(step_id)
        if step is not None and step.hands_full and progress.state in (State.IN_HAND, State.RESTING):
            yield blade, step


def _gravest_first(call: Call) -> tuple[bool, int, int, datetime]:
    soon = call.stage is Stage.SOON
    return (soon, -call.mark.harm, 9 if soon else CALLING.index(call.stage), call.mark.opens)
