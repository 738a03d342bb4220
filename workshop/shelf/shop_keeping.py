"""The shop's own file under its lock: the same care as for a blade's."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from workshop.errors import ShopError
from workshop.shelf import places
from workshop.shelf.gate import FileFault
from workshop.shelf.laptop_file import not_of_the_shelf
from workshop.shelf.own_file import OwnFile
from workshop.shelf.shop_file import Shop, read_shop, shop_bytes
from workshop.shelf.table import parse_toml
from workshop.shelf.unread import Unread


class ShopKeeping:
    """Reads and changes the shop's file; the last that could be read is remembered."""

    def __init__(self, folder: Path, now: Callable[[], datetime]) -> None:
        """Give the shelf's folder and the clock."""
        self._file = OwnFile(folder, places.SHOP_FILE, now)
        self._known = Shop()

    def shop(self) -> Shop:
        """Return the shop as last kept; as last known when its file cannot be read."""
        with contextlib.suppress(FileFault):
            self._known = self.as_kept()
        return self._known

    def as_kept(self) -> Shop:
        """Return the shop as it is on disk; raises FileFault for a file that cannot be taken."""
        return self._read(self._file.raw())

    def faults(self, laptop: Path | None) -> list[Unread]:
        """Return what of the file is not taken, to be shown. laptop: the file that may name a command."""
        try:
            self.as_kept()
            raw = self._file.raw()
            found = not_of_the_shelf(parse_toml(raw, str(self._file.path))[0]) if raw else []
        except ShopError as error:
            return [Unread("shop", str(error), "own")]
        if not found:
            return []
        verb, home = "are" if len(found) > 1 else "is", str(laptop or places.LAPTOP_FILE)
        why = f"{' and '.join(found)} {verb} not followed on a shelf"
        return [Unread("shop", f"{why}; right would be the same lines in {home}.", "unfollowed")]

    def _read(self, raw: bytes) -> Shop:
        return read_shop(*parse_toml(raw, str(self._file.path))) if raw else Shop()

    def keep(self, change: Callable[[Shop], Shop]) -> Shop:
        """Change the shop, on disk before it returns."""
        made = [self._known]

        def changed(raw: bytes) -> bytes:
            made.append(change(self._read(raw)))
            return shop_bytes(made[-1])

        self._file.keep(changed, lambda raw: shop_bytes(self._read(raw)))
        self._known = made[-1]
        return self._known
