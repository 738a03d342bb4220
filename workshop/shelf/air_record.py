"""The record of the air as it lies on the shelf: read again only when its file changed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from workshop.build.air import Reading
from workshop.errors import ShopError
from workshop.shelf.air_file import OURS, air_bytes, read_air, with_reading
from workshop.shelf.own_file import OwnFile
from workshop.shelf.places import AIR_FILE
from workshop.shelf.stamp import Stamp, stamp
from workshop.shelf.table import parse_toml
from workshop.shelf.unread import Unread


class AirRecord:
    """Reads the record of one shelf; it is asked for at each key, and grows to thousands of readings."""

    def __init__(self, shelf: Path, now: Callable[[], datetime]) -> None:
        """Read nothing yet. now: dates the older texts."""
        self._file = OwnFile(shelf, AIR_FILE, now)
        self.path = self._file.path
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

    def add(self, reading: Reading) -> None:
        """Put a reading into the record, on disk before it returns. Raises FileFault, NotSaved."""

        def with_it(raw: bytes) -> bytes:
            readings, own = self._of(raw)
            return air_bytes(with_reading(readings, reading), own)

        self._file.keep(with_it, lambda raw: air_bytes(*self._of(raw)))

    def join(self, text: bytes, name: str) -> int:
        """Put the readings of another record into this one; return how many there are then.

        Of one moment the reading that is here stands. Raises FileFault, NotSaved.
        """
        theirs = read_air(*parse_toml(text, name))

        def with_them(raw: bytes) -> bytes:
            mine, own = self._of(raw)
            found = {one.at: one for one in (*theirs, *mine)}
            made = tuple(found[at] for at in sorted(found))
            return air_bytes(with_reading(made[:-1], made[-1]) if made else made, own)

        self._file.keep(with_them, lambda raw: air_bytes(*self._of(raw)))
        return len(self.readings())

    def _of(self, raw: bytes) -> tuple[tuple[Reading, ...], Mapping[str, Any]]:
        """Return the readings in a text, and the keys of the maker's own in it."""
        if not raw:
            return (), {}
        data, source = parse_toml(raw, str(self.path))
        return read_air(data, source), {key: one for key, one in data.items() if key not in OURS}

    def _read(self) -> tuple[Reading, ...] | ShopError:
        try:
            return self._of(self._file.raw())[0]
        except ShopError as error:
            return error
