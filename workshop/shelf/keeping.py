"""The files of the blades under their locks: each change on disk, and what others wrote meanwhile kept.

Others are a second window, another laptop on the same folder, and a maker with an editor, who takes no
lock. Two things tell of them: what comes out when a new file takes the old one's place, and the text that
was written last, of which a copy lies in `.written/`. What they changed and what we changed is put together
key by key; where both changed the same key, the file keeps theirs, and our whole text goes to `conflicts/`.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from workshop.errors import ShopError
from workshop.shelf import backups, durable, merge, origin
from workshop.shelf.gate import MOST_BYTES, FileFault, parsed, read_plain

CONFLICTS = "conflicts"
WRITTEN = ".written"
MOST_ROUNDS = 50
Render = Callable[[str, dict[str, Any], bytes], bytes]
"""From a key, tables and the text they are laid over, to a file's bytes; raises ShopError."""


class Keeping:
    """Reads and writes blade files on a shelf folder."""

    def __init__(self, folder: Path, render: Render, now: Callable[[], datetime]) -> None:
        """Give the shelf's folder, how tables become a blade's file, and the clock."""
        self.folder = folder
        self.now = now
        self._render = render
        self._swept = False

    def path(self, key: str) -> Path:
        """Return the path of a blade's file."""
        return self.folder / f"{key}.toml"

    def raw(self, key: str) -> bytes:
        """Return a blade file's bytes; raises FileFault for one that is no plain file of this shelf."""
        return read_inside(self.folder, self.path(key))

    def sweep_once(self) -> None:
        """Remove unfinished files of days past from all folders of the shelf, once for each program."""
        if not self._swept:
            self._swept = True
            rooms = (backups.FOLDER, CONFLICTS)
            inner = [one for room in rooms for one in (self.folder / room).glob("*") if one.is_dir()]
            for folder in (self.folder, self.folder / "kept", self.folder / WRITTEN, *inner):
                if not durable.leads_out(folder, self.folder):
                    durable.sweep(folder)

    def put(self, key: str, base: bytes, data: bytes) -> bytes:
        """Save a blade that was read as `base`; return what then stands in the file. Raises NotSaved.

        Under its lock only. The day's and the week's older text is kept first. Raises ShopError for a text
        too large to be read again.
        """
        if len(data) > MOST_BYTES:
            raise ShopError(
                f"{key}.toml would be larger than 1 MiB and could not be read again; nothing is changed."
            )
        backups.keep(self.folder, key, base, self.now().astimezone().date())
        for _ in range(MOST_ROUNDS):
            out = durable.save(self.path(key), data, self.folder)
            if out is None or out == base:
                break
            try:
                joined = self._joined(key, base, ours=data, theirs=out)
            except durable.NotSaved:  # no room to keep both: theirs stays, ours was not shown as done yet
                durable.save(self.path(key), out, self.folder)
                raise
            if joined == data:
                break
            base, data = data, joined
        self.remember(key, data)
        return data

    def remember(self, key: str, data: bytes) -> None:
        """Keep a copy of what was written last, to notice when an older text is put over it."""
        with contextlib.suppress(OSError, durable.NotSaved):
            backups.make_folder(self.folder, self.folder / WRITTEN)
            durable.jot(self.folder / WRITTEN / f"{key}.toml", data)

    def last_text(self, key: str) -> list[backups.Backup]:
        """Return the text that was written last, called "last"; nothing when there is none."""
        path = self.folder / WRITTEN / f"{key}.toml"
        return [backups.Backup("last", path)] if path.is_file() else []

    def lost(self, key: str, raw: bytes) -> bytes | None:
        """Return what was written last if this text lacks changes of it, else None."""
        try:
            last = read_inside(self.folder, self.folder / WRITTEN / f"{key}.toml")
            if last == raw:
                return None
            return last if origin.lacks(parsed(raw, key)[0], parsed(last, key)[0]) else None
        except ShopError:  # nothing was written yet, or one of them cannot be read
            return None

    def mended(self, key: str, raw: bytes) -> bytes:
        """Return a file's bytes, with what an older text saved over it had lost put back. Under its lock."""
        last = self.lost(key, raw)
        if last is None:
            return raw
        theirs, ours = parsed(raw, key)[0], parsed(last, key)[0]
        joined = self._together(key, origin.unwound(ours, theirs), ours, theirs, (last, raw))
        return self.put(key, raw, joined)

    def _joined(self, key: str, base: bytes, *, ours: bytes, theirs: bytes) -> bytes:
        """Put together what we have just written and what somebody else wrote in the same moment."""
        try:
            had, mine, other = (parsed(raw, f"{key}.toml")[0] for raw in (base, ours, theirs))
            if origin.lacks(other, had):  # older than what we read: what it lacks, nobody has taken away
                had = origin.unwound(mine, other)
            return self._together(key, had, mine, other, (ours, theirs))
        except FileFault:
            self.apart(key, theirs, ["a text that cannot be read was saved in the same moment"])
            return ours

    def _together(
        self,
        key: str,
        base: dict[str, Any],
        ours: dict[str, Any],
        theirs: dict[str, Any],
        texts: tuple[bytes, bytes],
    ) -> bytes:
        made, conflicts = merge.together(base, theirs, ours)
        if conflicts:
            says = [one.says() for one in conflicts]
            self.apart(key, texts[0], says)
            made["log"] = [*made.get("log", ()), _met(self.now(), says)]
        try:
            return self._render(key, made, texts[1])
        except ShopError as error:  # theirs makes no blade: it stays as it is, ours is kept apart
            self.apart(key, texts[0], [f"the other text cannot be taken: {error}"])
            return texts[1]

    def put_over(self, key: str, data: bytes) -> bytes | None:
        """Put a whole text over a file; what stood there goes to the backups for good. Raises NotSaved.

        Returns what an editor saved after that, in this very moment, for the caller to keep; else None.
        """
        aside = self._put_aside(key)
        out = durable.save(self.path(key), data, self.folder)
        return None if out == aside else out

    def _put_aside(self, key: str) -> bytes | None:
        """Put what stands in a file's place with the backups; return its bytes, if it has any to read."""
        if not os.path.lexists(self.path(key)):
            return None
        try:
            raw = self.raw(key)
        except FileFault:  # too large, a pipe, a link that leads out
            backups.move_aside(self.folder, key, self.path(key), self.now())
            return None
        backups.aside(self.folder, key, raw, self.now())
        return raw

    # -- what is kept apart

    def apart(self, key: str, text: bytes, says: list[str]) -> Path:
        """Keep a whole text beside the blade, with what it is about in comments on top. Raises NotSaved."""
        folder = self.folder / CONFLICTS / key
        backups.make_folder(self.folder, folder)
        head = "".join(
            f"# {_one_line(line)}\n" for line in ["the file of the blade against this text:", *says]
        )
        stem = f"{self.now().astimezone(UTC):%Y-%m-%dT%H%M%S}"
        path, number = folder / f"{stem}.toml", 2
        while path.exists():
            path, number = folder / f"{stem}-{number}.toml", number + 1
        durable.save(path, head.encode() + text.removeprefix(b"\xef\xbb\xbf"), self.folder)
        return path

    def kept_apart(self, key: str) -> list[Path]:
        """Return the texts that are kept apart for a blade, the oldest first."""
        with contextlib.suppress(OSError):
            return sorted((self.folder / CONFLICTS / key).glob("*.toml"))
        return []


def read_inside(shelf: Path, path: Path) -> bytes:
    """Return the bytes of a plain file of the shelf; a link that leads out of the shelf is not followed."""
    if durable.leads_out(path, shelf):
        raise FileFault(f"{path}: is a link that leads out of the shelf; right would be the file itself.")
    return read_plain(path)


def _met(now: datetime, says: list[str]) -> dict[str, Any]:
    more = f" (and {len(says) - 1} more)" if len(says) > 1 else ""
    return {"at": now, "did": "merge", "says": f"Two changes met; both are kept: {says[0]}{more}"}


def _one_line(text: str) -> str:
    return "".join(letter if letter.isprintable() else " " for letter in text)[:400]
