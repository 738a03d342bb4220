"""The seat at the desk: the blades, the one in hand, the step looked at, and each change of it put on disk.

State flows down from it, what the maker does comes up to it. Each thing the maker does is one change
of `workshop.build.changes`, put on disk by the shelf before the desk tells the panes.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import TypeVar

from workshop.bench.aside import Aside
from workshop.bench.said import Said, Tone
from workshop.bench.saving import SHOP, Saving
from workshop.build import changes, standing, timekeeping
from workshop.build.air import Air
from workshop.build.blade import Blade, State
from workshop.build.route import Step
from workshop.build.standing import Act, NextThing
from workshop.build.values import read_entry
from workshop.errors import ShopError
from workshop.shelf import air_keeping, writer
from workshop.shelf.places import AIR_FILE
from workshop.shelf.shelf import SHOP_FILE, Shelf, Unread
from workshop.shelf.shop_file import Shop

Change = Callable[[Blade], Blade]
Found = TypeVar("Found")
OF_THE_SHOP = (SHOP_FILE.removesuffix(".toml"), AIR_FILE.removesuffix(".toml"))
"""The files that say what the air is and when the maker is there."""


LOOKALIKES = "/"
"""Stands for the files that look like a blade's where a blade's key would stand; no key has such a name."""


class Seat:
    """The maker's place: the blades, the one in hand, the step looked at, and what is done at a step."""

    def __init__(self, shelf: Shelf, now: Callable[[], datetime]) -> None:
        """Sit down at a shelf. `now` gives the present, in UTC, whole seconds."""
        self.shelf = shelf
        self.now = now
        self.said = Said()
        self.blades: list[Blade] = []
        self.unread: list[Unread] = []
        self.key: str | None = None
        self.step_id: str | None = None
        self.shop = Shop()
        self.aside = Aside()
        self.saving = Saving(shelf, self.aside)
        self._stamps: Mapping[str, object] | None = None
        self._states: tuple[Blade, int, dict[str, State]] | None = None
        self._air: Air | None = None
        self._as_read: set[str] = set()
        self.refresh()

    # -- reading

    def refresh(self) -> bool:
        """Read what changed on disk since the last look; say whether anything did."""
        keys = self.shelf.keys()
        stamps: dict[str, object] = {key: self.shelf.stamp(key) for key in (*keys, *OF_THE_SHOP)}
        stamps[LOOKALIKES] = self.shelf.lookalikes()
        if stamps == self._stamps:
            return False
        if self._stamps is not None:
            self._mend([key for key in keys if stamps[key] != self._stamps.get(key)])
            stamps.update({key: self.shelf.stamp(key) for key in keys})
        if self._stamps is None or any(stamps[key] != self._stamps.get(key) for key in OF_THE_SHOP):
            self._air = None
        self._stamps = stamps
        on_disk, self.unread = self.shelf.blades()
        broken = {one.key for one in self.unread if one.kind == "broken"}
        # The clocks of a blade whose file breaks go on; it comes back when its file can be read again.
        last = [one for one in self.blades if one.key in broken]
        self._as_read = {one.key for one in last}
        self.blades = self.saving.over_disk([*on_disk, *last], self.blades)
        try:
            self.shop = self.saving.writer.overlaid(SHOP, self.shelf.shop())
        except ShopError as error:  # a slip of the pen in the shop's file: what was known of it stays
            self.said = Said(str(error), Tone.REFUSED)
        self._tell_of_the_blade_in_hand()
        return True

    def _tell_of_the_blade_in_hand(self) -> None:
        why = next((one.why for one in self.unread if one.key == self.key), "Its file is gone.")
        if self.key is not None and self.blade is None:
            self.said = Said(f"The blade in hand cannot be read any more. {why}", Tone.REFUSED)
            self.key = self.step_id = None
        elif self.key in self._as_read:
            self.said = Said(f"Its file cannot be read; here is what was read last. {why}", Tone.REFUSED)

    def _mend(self, keys: list[str]) -> None:
        """Put back what an older text, saved over a file, has lost: aside, for it writes to the disk."""

        def mend() -> None:
            for key in keys:
                self.shelf.mend(key)

        if keys:
            self.aside.do("mend", mend, lambda _: None, lambda _: None, writer.PATIENCE_S)

    @property
    def blade(self) -> Blade | None:
        """The blade in hand, or None at the rack."""
        return next((one for one in self.blades if one.key == self.key), None)

    @property
    def step(self) -> Step | None:
        """The step looked at."""
        blade = self.blade
        return None if blade is None or self.step_id is None else blade.route.by_id.get(self.step_id)

    @property
    def air(self) -> Air:
        """The record of the shop's air, and what the night is expected to be."""
        if self._air is None:
            self._air = air_keeping.air_of(self.shelf)
        return self._air

    def states(self) -> dict[str, State]:
        """Return the state of each step of the blade in hand."""
        blade, now = self.blade, self.now()
        if blade is None:
            return {}
        come = sum(mark.opens <= now for one in blade.clocks.values() for mark in one.marks)
        if self._states is None or self._states[0] is not blade or self._states[1] != come:
            self._states = (blade, come, standing.states(blade, now))
        return self._states[2]

    def natural(self) -> NextThing | None:
        """Return what Space does at the step looked at."""
        if self.blade is None or self.step is None:
            return None
        return standing.natural_next(self.blade, self.step, self.now())

    # -- moving

    def open(self, key: str) -> None:
        """Take a blade to the bench, at the step it is at."""
        self.key = key
        blade = self.blade
        if blade is None:
            self.key = None
            return
        at = standing.in_hand(blade, self.now()) or (blade.own_steps()[-1] if blade.own_steps() else None)
        self.step_id = at.id if at else None
        self.said = Said()

    def go(self, step_id: str) -> None:
        """Look at a step of the blade in hand."""
        if self.blade is not None:
            self.step_id = changes.step_named(self.blade, step_id).id

    def move(self, by: int) -> None:
        """Look at the step so many places further on or back; it stops at both ends."""
        if self.blade is None:
            return
        ids = [step.id for step in self.blade.own_steps()]
        at = ids.index(self.step_id) if self.step_id in ids else 0
        self.step_id = ids[min(max(at + by, 0), len(ids) - 1)]

    # -- doing

    def do(self, change: Change, said: str = "") -> Blade:
        """Put one change of the blade in hand on disk, then take it over.

        Raises ShopError, and then everything is as it was.
        """
        if self.key is None:
            raise ShopError("No blade is in hand; open one from the rack.")
        return self.put(self.key, change, said)

    def put(self, key: str, change: Change, said: str = "") -> Blade:
        """Put one change of any blade on disk, then take it over. Raises ShopError."""
        before = next((one for one in self.blades if one.key == key), None)
        if before is None:
            raise ShopError(f"The blade {key} is not there any more.")
        changed, mind = self.saving.put(key, change, before)
        self._take_over(changed)
        text = said or changes.last_said(before, changed)
        self.said = Said(f"{text}. {mind}" if text else mind, Tone.NOTICE) if mind else Said(text)
        return changed

    def _take_over(self, blade: Blade) -> None:
        self.blades = [blade if one.key == blade.key else one for one in self.blades]
        self._stamps = {**(self._stamps or {}), blade.key: self.shelf.stamp(blade.key)}

    def landed(self) -> None:
        """Take over what came on disk, or was refused, after its key was answered."""
        jobs, well, wrong = self.saving.landed()
        for job in jobs:
            if job.made is not None:
                self._take_over(self.saving.writer.overlaid(job.key, job.made))
                well = well or changes.last_said(job.before, job.made)
        if wrong or well:
            self.said = Said(wrong or well, Tone.REFUSED if wrong else Tone.DONE)

    def save_aside(
        self,
        work: Callable[[], Found],
        then: Callable[[Found], object],
        saves: str,
        *,
        lane: str = "shelf",
        wait_s: float | None = None,
    ) -> None:
        """Save something that is no change of one blade: on disk at once, or said when it is there.

        saves: what it is, in words; wait_s: how long its key waits, where that is longer than for a change.
        Raises ShopError for what is refused at once; what is refused later, the message says.
        """
        refused: list[ShopError] = []

        def failed(error: ShopError) -> None:
            refused.append(error)
            self.said = Said(str(error), Tone.REFUSED)

        wait_s = writer.PATIENCE_S if wait_s is None else wait_s
        if not self.aside.do(lane, work, then, failed, wait_s, saves=saves):
            self.said = Said(f"Saving {saves}: the disk is slow.", Tone.NOTICE)
        if refused:
            raise refused[0]

    def do_next(self, why: str = "") -> NextThing | None:
        """Do the natural next thing where it needs no more words: start, tick, finish, go on.

        LOOK, CLOCK and VALUE are returned for the screen to ask what they need; WAIT says why.
        """
        next_thing, step = self.natural(), self.step
        if next_thing is None or step is None:
            return None
        now = self.now()
        if next_thing.act is Act.GO:
            self.go(next_thing.item)
        elif next_thing.act is Act.START:
            self.do(lambda blade: changes.start_step(blade, step.id, now, why))
        elif next_thing.act is Act.TICK:
            self.do(lambda blade: changes.tick(blade, step.id, next_thing.item, now))
        elif next_thing.act is Act.FINISH:
            self.finish(why)
        elif next_thing.act is Act.WAIT:
            self.said = Said(f"{next_thing.says}. Nothing to do here until then.", Tone.NOTICE)
        return next_thing

    def start(self, why: str = "") -> None:
        """Start the step looked at."""
        step = self._step()
        self.do(lambda blade: changes.start_step(blade, step.id, self.now(), why))

    def look(self, line: str) -> None:
        """Say that a line of the last look is true."""
        step = self._step()
        self.do(lambda blade: changes.look(blade, step.id, line, self.now()))

    def tick(self, check: str) -> None:
        """Tick a check of the step looked at."""
        step = self._step()
        self.do(lambda blade: changes.tick(blade, step.id, check, self.now()))

    def finish(self, why: str = "") -> None:
        """Finish the step looked at and go on to what comes next."""
        step = self._step()
        blade = self.do(lambda one: changes.finish(one, step.id, self.now(), why))
        following = standing.in_hand(blade, self.now())
        if following is not None:
            self.step_id = following.id

    def leave_out(self, why: str) -> None:
        """Leave the step looked at out of this blade."""
        step = self._step()
        self.do(lambda blade: changes.leave_out(blade, step.id, self.now(), why))

    def spoilt(self) -> tuple[Step, ...]:
        """Return the steps that doing the one looked at over would spoil."""
        return () if self.blade is None or self.step is None else changes.spoilt(self.blade, self.step.id)

    def do_over(self, why: str = "") -> None:
        """Set the step looked at, and what it spoils, to do over."""
        step = self._step()
        self.do(lambda blade: changes.do_over(blade, step.id, self.now(), why))

    def take_back(self) -> None:
        """Take the last change of the blade in hand back."""
        now, air = self.now(), self.air
        self.do(lambda blade: timekeeping.rework(changes.take_back(blade, now), air, now), "Taken back")

    def note(self, text: str) -> None:
        """Write one line into the log, at the step looked at."""
        self.do(lambda blade: changes.note(blade, text, self.now(), self.step_id or ""))

    def write_down(self, name: str, text: str, why: str = "") -> None:
        """Keep a measurement of the step looked at; outside its limits it needs a reason."""
        step = self._step()
        entry = step.entry(name)
        if entry is None:
            raise ShopError(f"{step.id} {step.title} asks for no '{name}'.")
        value = read_entry(entry, text, step.id, why, self.shelf.drills)
        self.do(lambda blade: changes.write_down(blade, name, value, entry.says, self.now()))

    def _step(self) -> Step:
        if self.step is None:
            raise ShopError("No step is in hand; open a blade from the rack.")
        return self.step
