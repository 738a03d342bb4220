"""The writer: one thread that puts changes on disk, in order, so that a slow disk never stops the screen.

A change is done when it is on disk. The maker waits for it a moment, as for any ordinary disk; where that
is not enough the screen lives on, says that it is saving, and takes no further change until this one is
done. When the disk refuses, the changes stay in memory, in order, and are tried again after growing pauses.
"""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Generic, TypeVar

from workshop.build.blade import Blade
from workshop.build.ledger import last_said
from workshop.errors import ShopError
from workshop.shelf.durable import NotSaved
from workshop.shelf.shelf import Shelf
from workshop.shelf.shop_file import Shop

PATIENCE_S = 0.15
"""How long a key waits for its change to be on disk."""

PAUSES_S = (1.0, 2.0, 4.0, 8.0, 15.0, 30.0)
"""Between one try and the next while the disk refuses."""

What = TypeVar("What", Blade, Shop)


@dataclass(eq=False)
class Job(Generic[What]):
    """One change on its way to the disk. made: what it made, once on disk; error: why it was refused.

    put: what puts it there, where that is more than the change of the one file.
    """

    key: str
    change: Callable[[What], What]
    before: What
    says: str = ""
    made: What | None = None
    error: ShopError | None = None
    held: bool = False
    put: Callable[[], What] | None = None
    over: threading.Event = field(default_factory=threading.Event)

    @property
    def done(self) -> bool:
        """Whether it is on disk."""
        return self.made is not None


class Writer:
    """Puts changes on disk one after another. landed: called, from its thread, when something was tried."""

    def __init__(
        self,
        shelf: Shelf,
        *,
        patience_s: float | None = None,
        pauses_s: Sequence[float] = PAUSES_S,
        landed: Callable[[], None] = lambda: None,
    ) -> None:
        """Give the shelf; no thread is started before the first change."""
        self.shelf = shelf
        self.landed = landed
        self.failing = ""
        self._patience_s = PATIENCE_S if patience_s is None else patience_s
        self._pauses_s = tuple(pauses_s)
        self._turn = threading.Condition()
        self._jobs: list[Job[Any]] = []
        self._over: list[Job[Any]] = []
        self._tries = 0
        self._now = False
        self._thread: threading.Thread | None = None

    # -- asked from the screen's thread

    @property
    def saving(self) -> bool:
        """Whether a change is on its way and the disk has not refused it."""
        with self._turn:
            return bool(self._jobs) and not self.failing

    def do(
        self,
        key: str,
        change: Callable[[What], What],
        before: What,
        put: Callable[[], What] | None = None,
    ) -> Job[What]:
        """Put one change on disk, or on its way there. key: the blade's, "" for the shop; put: see `Job`.

        Returns the job: done; or on its way; or held in memory because the disk refuses (`held`).
        Raises ShopError when the change itself is refused, or while the one before is still on its way.
        """
        job: Job[What] = Job(key, change, before, put=put)
        with self._turn:
            if self._jobs and not self.failing:
                self._turn.wait_for(lambda: not self._jobs or bool(self.failing), self._patience_s)
                if self._jobs and not self.failing:
                    raise ShopError("The disk is slow: the change before this one is still being saved.")
            if self._jobs:
                job.before = self.overlaid(key, before)
                self._hold(job)
                self._jobs.append(job)
                self._soon()
                return job
            self._jobs.append(job)
            self._soon()
            self._turn.wait_for(lambda: job.over.is_set() or bool(self.failing), self._patience_s)
            if job in self._over:
                self._over.remove(job)
            if job.error is not None:
                raise job.error
            if job.over.is_set() or not self.failing:
                return job
            try:
                self._hold(job)
            except ShopError:  # the change itself is refused: nothing to keep
                self._jobs.remove(job)
                self.failing = ""
                raise
            return job

    def _hold(self, job: Job[Any]) -> None:
        """Make a change in memory; raises ShopError when it is refused."""
        after = job.change(job.before)
        job.says = last_said(job.before, after) if isinstance(after, Blade) else "the shop's air and looks"
        job.held = True

    def overlaid(self, key: str, on_disk: What) -> What:
        """Return what a blade (or the shop) is with the changes kept in memory; itself if none is."""
        made = on_disk
        with self._turn:
            for job in self._jobs:
                if job.key == key and job.held:
                    try:
                        made = job.change(made)
                    except ShopError:  # it does not fit what was changed meanwhile: told when it is tried
                        continue
        return made

    def unsaved(self) -> list[str]:
        """Return in words what is not on disk, oldest first."""
        with self._turn:
            return [
                f"{job.before.name}: {job.says or 'a change that is being saved'}"
                if isinstance(job.before, Blade)
                else job.says or "the shop's air and looks"
                for job in self._jobs
            ]

    def holds(self) -> set[str]:
        """Return the keys of the blades that have changes in memory only."""
        with self._turn:
            return {job.key for job in self._jobs if job.held}

    def over(self) -> list[Job[Any]]:
        """Return the jobs that came to an end since this was asked last."""
        with self._turn:
            found, self._over = self._over, []
        return found

    def close(self, wait_s: float) -> bool:
        """Wait a last time for what is not on disk; say whether all is."""
        with self._turn:
            if self._jobs:
                self._now = True
                self._turn.notify_all()
                tries = self._tries
                self._turn.wait_for(lambda: not self._jobs or self._tries > tries, wait_s)
            return not self._jobs

    def elsewhere(self, folder: Path) -> list[Path]:
        """Put the blades with changes that are not on disk whole into another folder. Raises NotSaved."""
        with self._turn:
            self._hold_all()  # also what a slow disk has not taken yet
            keys = dict.fromkeys(job.key for job in self._jobs if isinstance(job.before, Blade))
            blades = [self.overlaid(key, self._first(key)) for key in keys]
        return [self.shelf.put_elsewhere(blade, folder) for blade in blades]

    def _first(self, key: str) -> Blade:
        before: Blade = next(job.before for job in self._jobs if job.key == key)
        return before

    # -- the thread

    def _soon(self) -> None:
        if self._thread is None or not self._thread.is_alive():
            self._thread = threading.Thread(target=self._work, name="writer", daemon=True)
            self._thread.start()
        self._turn.notify_all()

    def _work(self) -> None:
        while True:
            with self._turn:
                self._turn.wait_for(lambda: bool(self._jobs))
                if self.failing:
                    pause = self._pauses_s[min(self._tries, len(self._pauses_s)) - 1]
                    self._turn.wait_for(lambda: self._now, pause)
                self._now = False
                job = self._jobs[0] if self._jobs else None
            if job is not None:
                self._try(job)
                with contextlib.suppress(Exception):  # a screen that is gone needs no telling
                    self.landed()

    def _try(self, job: Job[Any]) -> None:
        made: Blade | Shop | None = None
        error: ShopError | None = None
        try:
            if job.put is not None:
                made = job.put()
            elif isinstance(job.before, Blade):
                made = self.shelf.change(job.key, job.change)
            else:
                made = self.shelf.keep_shop(job.change)
        except NotSaved as refusal:
            self._refused(str(refusal))
            return
        except ShopError as refusal:
            error = refusal
        except Exception as fault:
            error = ShopError(f"A fault of the program: {type(fault).__name__}: {fault}.")
        if error is not None and job.held:
            error = self._kept_apart(job, error)
            if error is None:
                return
        with self._turn:
            self._tries, self.failing = 0, ""
            if job in self._jobs:
                self._jobs.remove(job)
                self._over.append(job)
            job.made, job.error = made, error
            job.over.set()
            self._turn.notify_all()

    def _refused(self, why: str) -> None:
        with self._turn:
            self._tries += 1
            self.failing = why
            self._hold_all()
            self._turn.notify_all()

    def _hold_all(self) -> None:
        """Keep in memory what is still on its way."""
        for job in self._jobs:
            if not job.held:
                with contextlib.suppress(ShopError):
                    self._hold(job)

    def _kept_apart(self, job: Job[Any], error: ShopError) -> ShopError | None:
        """Keep what fits no longer beside the blade; None when not even that worked."""
        if not isinstance(job.before, Blade):
            return error
        try:
            path = self.shelf.rescue(self.overlaid(job.key, self._first(job.key)), str(error))
        except ShopError as refusal:
            self._refused(str(refusal))
            return None
        return ShopError(f"{error} The blade with this change is kept in {path}.")
