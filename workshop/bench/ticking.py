"""The tick: one timer, set each time to the next whole second, or the next whole minute when nothing runs."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any, Protocol

MINUTE_S = 60.0
TENTH_S = 0.1
LATE_S = 0.01
"""Past the boundary by so much, so that a timer that fires a hair early still shows the new second."""


class HasTimer(Protocol):
    """What can call something after a time."""

    def set_timer(self, delay: float, callback: Callable[[], Any]) -> Any:
        """Call `callback` once after `delay` seconds; the answer can be stopped."""


def until_next(moment_s: float, each_s: float) -> float:
    """Return how long it is from a moment to the next whole `each_s`, a hair past it."""
    return each_s - moment_s % each_s + LATE_S


class Ticking:
    """Calls `tick` at each whole second while something runs, else at each whole minute."""

    def __init__(
        self,
        timers: HasTimer,
        tick: Callable[[], None],
        runs: Callable[[], bool],
        wall_s: Callable[[], float] = time.time,
        counts: Callable[[], bool] = lambda: False,
    ) -> None:
        """Give what sets timers, what to call, whether something runs, the wall clock, what counts tenths."""
        self._counts = counts
        self._timers = timers
        self._tick = tick
        self._runs = runs
        self._wall_s = wall_s
        self._timer: Any = None
        self._over = False
        self.each_s = MINUTE_S

    def start(self) -> None:
        """Set the timer anew: something may have begun or ended to run."""
        each_s = self._each()
        if self._timer is not None and each_s == self.each_s:
            return
        self._set(each_s)

    def stop(self) -> None:
        """Set no timer any more; one that is just coming calls nothing."""
        self._over = True
        self._drop()

    def _drop(self) -> None:
        if self._timer is not None:
            self._timer.stop()
            self._timer = None

    def _set(self, each_s: float) -> None:
        self._drop()
        self.each_s = each_s
        self._timer = self._timers.set_timer(until_next(self._wall_s(), each_s), self._fire)

    def _fire(self) -> None:
        self._timer = None
        if self._over:
            return
        self._tick()
        self._set(self._each())

    def _each(self) -> float:
        if self._counts():
            return TENTH_S
        return 1.0 if self._runs() else MINUTE_S
