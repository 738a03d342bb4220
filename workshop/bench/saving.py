"""How the desk saves: what is on its way to the disk, what the disk refused, and how that is said."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path

from workshop.bench.aside import Aside
from workshop.build.blade import Blade
from workshop.errors import ShopError
from workshop.shelf.places import typed_path
from workshop.shelf.shelf import Shelf
from workshop.shelf.shop_file import Shop
from workshop.shelf.writer import Job, Writer

SHOP = ""
"""Stands for the shop's own file where a blade's key would stand."""

PLACE = "It is tried again by itself; leaving offers another folder."


class Saving:
    """The desk's writer, what is saved aside, and what of both the maker is to be told."""

    def __init__(self, shelf: Shelf, aside: Aside) -> None:
        """Save to a shelf. aside: does what a key does not wait for."""
        self.writer = Writer(shelf)
        self.aside = aside
        self._was_failing = False

    def put(self, key: str, change: Callable[[Blade], Blade], before: Blade) -> tuple[Blade, str]:
        """Return the blade as it is now to be shown, and what is unusual about its saving ("" if nothing).

        Raises ShopError when the change is refused; a change that is only on its way is not shown as done.
        """
        job = self.writer.do(key, change, before)
        if job.made is not None:
            return job.made, ""
        if job.held:
            self._was_failing = True
            return job.change(job.before), f"Kept in memory only: {self.writer.failing} {PLACE}"
        return before, "Saving: the disk is slow. It is shown as done when it is on disk."

    def put_shop(
        self, change: Callable[[Shop], Shop], before: Shop, put: Callable[[], Shop] | None = None
    ) -> tuple[Shop, str]:
        """Do the same with the shop's own file. put: what is done on disk, where that is more than this."""
        job: Job[Shop] = self.writer.do(SHOP, change, before, put)
        if job.made is not None:
            return job.made, ""
        if job.held:
            self._was_failing = True
            return job.change(job.before), f"Kept in memory only: {self.writer.failing} {PLACE}"
        return before, "Saving: the disk is slow."

    def over_disk(self, on_disk: Iterable[Blade], shown: Iterable[Blade]) -> list[Blade]:
        """Return the blades on disk with the changes kept in memory, also of a blade whose file is gone."""
        blades = [self.writer.overlaid(one.key, one) for one in on_disk]
        there = {one.key for one in blades}
        held = self.writer.holds()
        return [*blades, *(one for one in shown if one.key in held and one.key not in there)]

    def landed(self) -> tuple[list[Job[Blade]], str, str]:
        """Return the jobs that ended, what went well in words, and what did not."""
        jobs = self.writer.over()
        wrong = " ".join(str(job.error) for job in jobs if job.error is not None)
        failing = bool(self.writer.failing)
        well = ""
        if self._was_failing and not failing and not self.writer.unsaved():
            well = "The disk takes changes again; everything is on disk."
        self._was_failing = failing
        return [job for job in jobs if isinstance(job.made, Blade)], well, wrong

    def unsaved(self) -> list[str]:
        """Return in words what is not on disk."""
        return [*self.writer.unsaved(), *self.aside.unsaved()]

    def close(self, wait_s: float) -> bool:
        """Wait a last time for what is not on disk; say whether all is."""
        aside = self.aside.close(wait_s)
        return self.writer.close(wait_s) and aside

    def words(self) -> str:
        """Return what stands on every screen while something is not on disk: "" when all is well."""
        count = len(self.unsaved())
        if not count:
            return ""
        changes = "1 change" if count == 1 else f"{count} changes"
        if self.writer.failing:
            return f"NOT SAVED, {changes} in memory only: {self.writer.failing}"
        return f"saving {changes}"

    def elsewhere(self, text: str) -> str:
        """Put the blades that are not saved into another folder; say where they are."""
        if not text.strip():
            raise ShopError("Name a folder, such as one on a memory stick.")
        paths = self.writer.elsewhere(typed_path(text.strip()).absolute())
        return (
            f"Kept in {', '.join(str(path) for path in paths)}. The shelf itself is still tried."
            if paths
            else ""
        )


def last_refuge(writer: Writer, stamp: str) -> list[Path]:
    """Put what is not saved where there may be room, when nobody can be asked: at home, else in passing."""
    import tempfile

    for place in (Path.home(), Path(tempfile.gettempdir())):
        try:
            return writer.elsewhere(place / f"workshop-not-saved-{stamp}")
        except (ShopError, OSError):
            continue
    return []
