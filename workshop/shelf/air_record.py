"""The record of the air as it lies on the shelf: read again only when its file changed."""

from __future__ import annotations

from pathlib import Path

from workshop.build.air import Reading
from workshop.errors import ShopError
from workshop.shelf.air_file import read_air
from workshop.shelf.keeping import read_inside
from workshop.shelf.places import AIR_FILE
from workshop.shelf.stamp import Stamp, stamp
from workshop.shelf.table import parse_toml
from workshop.shelf.unread import Unread


class AirRecord:
    """Reads the record of one shelf; it is asked for at each key, and grows to thousands of readings."""

    def __init__(self, shelf: Path) -> None:
        """Read nothing yet."""
        self._shelf = shelf
        self.path = shelf / AIR_FILE
        self._known: tuple[Stamp | None, tuple[Reading, ...] | ShopError] | None = None

    def readings(self) -> tuple[Reading, ...]:
        """Return the readings, the oldest first. Raises FileFault for a file that cannot be taken."""
        now = stamp(self.path)
        if now is None and not self.path.is_symlink():
            return ()
        if self._known is None or self._known[0] != now:
            self._known = (now, self._read())
        found = self._known[1]
        if isinstance(found, ShopError):
            raise found
        return found

    def last(self) -> Reading | None:
        """Return the newest reading; None where there is none that can be read."""
        try:
            return next(reversed(self.readings()), None)
        except ShopError:
            return None

    def faults(self) -> list[Unread]:
        """Return why the record cannot be taken, to be shown; nothing when it can."""
        try:
            self.readings()
        except ShopError as error:
            return [Unread(AIR_FILE.removesuffix(".toml"), str(error), "own", self.path)]
        return []

    def _read(self) -> tuple[Reading, ...] | ShopError:
        try:
            return read_air(*parse_toml(read_inside(self._shelf, self.path), str(self.path)))
        except ShopError as error:
            return error
