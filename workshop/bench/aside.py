"""Slow work beside the screen: the air on disk, the witness, a horn, a thermometer. None of it stops a key.

What is quick is done when its key has been answered; what is not goes on aside, and its outcome comes back
through `landed` and `take`, on the screen's thread.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import TypeVar

from workshop.errors import ShopError

Found = TypeVar("Found")


class Aside:
    """Runs work in threads, that of one lane one after another. landed: called, from a thread, at an end."""

    def __init__(self, landed: Callable[[], None] = lambda: None) -> None:
        """Nothing runs yet."""
        self.landed = landed
        self._lanes: dict[str, threading.Lock] = {}
        self._busy: dict[str, int] = {}
        self._over: list[Callable[[], object]] = []
        self._saving: list[str] = []
        self._guard = threading.Condition()

    def busy(self, lane: str) -> bool:
        """Whether work of a lane is still going on."""
        with self._guard:
            return bool(self._busy.get(lane))

    def do(
        self,
        lane: str,
        work: Callable[[], Found],
        then: Callable[[Found], object],
        failed: Callable[[ShopError], object],
        wait_s: float = 0.0,
        *,
        saves: str = "",
    ) -> bool:
        """Do some work aside; say whether it ended within `wait_s`, its outcome then being told already.

        then, failed: called with what it gave or the sentence it was refused with, always on the thread
        that asks (here, or in `take`). saves: what of the maker's is not on disk before it has ended.
        """
        over = threading.Event()
        outcome: list[Callable[[], object]] = []
        with self._guard:
            lock = self._lanes.setdefault(lane, threading.Lock())
            self._busy[lane] = self._busy.get(lane, 0) + 1
            self._saving += [saves] if saves else []

        def run() -> None:
            with lock:
                outcome.append(_outcome(work, then, failed))
            with self._guard:
                self._busy[lane] -= 1
                if saves:
                    self._saving.remove(saves)
                self._over.append(outcome[0])
                over.set()
                self._guard.notify_all()
            self.landed()

        threading.Thread(target=run, name=f"aside-{lane}", daemon=True).start()
        if wait_s <= 0 or not over.wait(wait_s):
            return False
        with self._guard:
            mine = outcome[0] in self._over
            if mine:
                self._over.remove(outcome[0])
        if mine:
            outcome[0]()
        return True

    def unsaved(self) -> list[str]:
        """Return in words what is on its way to the disk."""
        with self._guard:
            return list(self._saving)

    def close(self, wait_s: float) -> bool:
        """Wait a last time for what is on its way to the disk; say whether all of it has ended."""
        with self._guard:
            return self._guard.wait_for(lambda: not self._saving, wait_s)

    def take(self) -> bool:
        """Tell the outcome of all that ended since; say whether anything did."""
        with self._guard:
            found, self._over = self._over, []
        for one in found:
            one()
        return bool(found)


def _outcome(
    work: Callable[[], Found], then: Callable[[Found], object], failed: Callable[[ShopError], object]
) -> Callable[[], object]:
    """Do the work; return what tells its outcome."""
    try:
        found = work()
    except ShopError as error:
        said = error
        return lambda: failed(said)
    except Exception as fault:
        said = ShopError(f"A fault of the program: {type(fault).__name__}: {fault}.")
        return lambda: failed(said)
    return lambda: then(found)
