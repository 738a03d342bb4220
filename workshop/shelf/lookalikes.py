"""Texts of a blade under names that are not read as one: `heron.toml (conflicted copy)`, `heron.TOML`.

Tools that keep two laptops alike, and editors, leave them beside the blade's file, each with a name of its
own.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterable
from pathlib import Path

from workshop.build.blade import Blade
from workshop.errors import ShopError
from workshop.shelf import copies, places
from workshop.shelf.keeping import read_inside
from workshop.shelf.stamp import Stamp, stamp
from workshop.shelf.unread import Unread

_LEFT_BY_AN_EDITOR = re.compile(r".*\.toml(~|\.(bak|old|orig|save|tmp|sw[a-z])|\.~\d+~)", re.IGNORECASE)
Read = Callable[[Path, bytes], Blade]
"""From a path and its bytes to the blade that they are; raises ShopError for what is none."""


class Lookalikes:
    """Finds them in a shelf's folder; each is read again only when it changed."""

    def __init__(self, folder: Path, read: Read) -> None:
        """Read nothing yet."""
        self._folder = folder
        self._read = read
        self._known: dict[str, tuple[Stamp | None, Blade | str]] = {}

    def told(self, own: Iterable[Blade]) -> list[Unread]:
        """Return what of them is to be told, beside the blades that are read."""
        known, blades = {}, list(own)
        found = []
        for name in self.names():
            path = self._folder / name
            now = stamp(path)
            had = self._known.get(name)
            known[name] = had if had is not None and had[0] == now else (now, self._of(path))
            told = _told(path, known[name][1], blades)
            found += [told] if told is not None else []
        self._known = known
        return found

    def names(self) -> list[str]:
        """Return the names in the folder that look like a blade's file and are not read as one."""
        try:
            names = os.listdir(self._folder)  # noqa: PTH208
        except OSError:  # which reading the blades says
            return []
        return sorted(
            name
            for name in names
            if ".toml" in name.lower() and not name.endswith(".toml") and not name.startswith(".")
        )

    def _of(self, path: Path) -> Blade | str:
        try:
            return self._read(path, read_inside(self._folder, path))
        except ShopError as error:
            return str(error)


def _told(path: Path, found: Blade | str, own: list[Blade]) -> Unread | None:
    left = _LEFT_BY_AN_EDITOR.fullmatch(path.name) is not None
    if isinstance(found, str):
        return None if left else Unread(path.name, found, "broken", path)
    home = next((one for one in own if copies.same_blade(one, found)), None)
    if home is None:
        right = f"{places.file_key(found.name, {one.key for one in own})}.toml"
        why = f"is the text of {found.name}, but under a name that is not read; right would be {right}"
        return Unread(path.name, why, "copy", path)
    if left and all(line in home.log for line in found.log):  # how that editor keeps what it saved over
        return None
    return Unread(path.name, copies.says(path.name, home.key), "copy", path)
