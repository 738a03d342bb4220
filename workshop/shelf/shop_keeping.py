"""The shop's own file under its lock: the same care as for a blade's."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from workshop.errors import ShopError
from workshop.shelf import backups, by_hand, durable, places
from workshop.shelf.gate import FileFault
from workshop.shelf.keeping import read_inside
from workshop.shelf.laptop_file import not_of_the_shelf
from workshop.shelf.shop_file import Shop, read_shop, shop_bytes
from workshop.shelf.table import parse_toml
from workshop.shelf.unread import Unread

MOST_ROUNDS = 20


class ShopKeeping:
    """Reads and changes the shop's file; the last that could be read is remembered."""

    def __init__(self, folder: Path, path: Path, now: Callable[[], datetime]) -> None:
        """Give the shelf's folder, the shop's file in it, and the clock."""
        self.folder = folder
        self.path = path
        self.now = now
        self._known = Shop()

    def shop(self) -> Shop:
        """Return the shop as last kept; as last known when its file cannot be read."""
        with contextlib.suppress(FileFault):
            self._known = self.as_kept()
        return self._known

    def as_kept(self) -> Shop:
        """Return the shop as it is on disk; raises FileFault for a file that cannot be taken."""
        return self._read(self._raw())

    def faults(self, laptop: Path | None) -> list[Unread]:
        """Return what of the file is not taken, to be shown. laptop: the file that may name a command."""
        try:
            self.as_kept()
            raw = self._raw()
            found = not_of_the_shelf(parse_toml(raw, str(self.path))[0]) if raw else []
        except ShopError as error:
            return [Unread("shop", str(error), "own")]
        if not found:
            return []
        verb, home = "are" if len(found) > 1 else "is", str(laptop or places.LAPTOP_FILE)
        why = f"{' and '.join(found)} {verb} not followed on a shelf"
        return [Unread("shop", f"{why}; right would be the same lines in {home}.", "unfollowed")]

    def _raw(self) -> bytes:
        if not self.path.exists() and not self.path.is_symlink():
            return b""
        return read_inside(self.folder, self.path)

    def _read(self, raw: bytes) -> Shop:
        return read_shop(*parse_toml(raw, str(self.path))) if raw else Shop()

    def keep(self, change: Callable[[Shop], Shop]) -> Shop:
        """Change the shop, on disk before it returns; what an editor saved meanwhile is changed instead."""
        with durable.locked(self.path):
            raw = self._raw()
            for _ in range(MOST_ROUNDS):
                shop = change(self._read(raw))
                data = shop_bytes(shop)
                if raw:
                    data = by_hand.laid_over(raw, data)
                    backups.keep(self.folder, "shop", raw, self.now().astimezone().date())
                out = durable.save(self.path, data, self.folder) or b""
                if out == raw:
                    break
                raw = self._put_back(out, data)
        self._known = shop
        return shop

    def _put_back(self, text: bytes, ours: bytes) -> bytes:
        """Put an editor's text back that was saved in the same moment, to be changed in its turn.

        Returns what then stands there: an editor may have saved once more just now.
        """
        for _ in range(MOST_ROUNDS):
            out = durable.save(self.path, text, self.folder)
            if out is None or out == ours:
                break
            text, ours = out, text
        self._read(text)
        return text
