"""A file of the shop itself, changed under its lock with the same care as a blade's."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from workshop.shelf import backups, by_hand, durable
from workshop.shelf.gate import FileFault
from workshop.shelf.keeping import read_inside

MOST_ROUNDS = 20
Text = Callable[[bytes], bytes]


class OwnFile:
    """One of the shop's files on a shelf: its settings, the record of its air, what it learned."""

    def __init__(self, folder: Path, name: str, now: Callable[[], datetime]) -> None:
        """Give the shelf's folder, the file's name in it, and the clock, which dates the older texts."""
        self.path = folder / name
        self._folder = folder
        self._now = now

    def raw(self) -> bytes:
        """Return the file's bytes, none where there is no file; raises FileFault."""
        try:
            self.path.lstat()
        except FileNotFoundError:
            return b""
        except OSError as error:
            raise FileFault(f"{self.path}: cannot be read: {error.strerror or error}.") from None
        return read_inside(self._folder, self.path)

    def keep(self, change: Text, plain: Text) -> None:
        """Change the file, on disk before it returns; what an editor saved meanwhile is changed instead.

        change: from the text there is to the one to be; plain: to how the program itself would write what is
        there, to see what was laid out by hand. Both raise FileFault for a text that cannot be taken: it is
        left as it is. Raises NotSaved.
        """
        with durable.locked(self.path):
            raw = self.raw()
            for _ in range(MOST_ROUNDS):
                data = change(raw)
                if raw and by_hand.is_by_hand(raw, plain(raw)):
                    data = by_hand.laid_over(raw, data)
                if raw:
                    backups.keep(self._folder, self.path.stem, raw, self._now().astimezone().date())
                out = durable.save(self.path, data, self._folder) or b""
                if out == raw:
                    break
                raw = self._put_back(out, data)

    def _put_back(self, text: bytes, ours: bytes) -> bytes:
        """Put an editor's text back that was saved in the same moment, to be changed in its turn.

        Returns what then stands there: an editor may have saved once more just now.
        """
        for _ in range(MOST_ROUNDS):
            out = durable.save(self.path, text, self._folder)
            if out is None or out == ours:
                break
            text, ours = out, text
        return text
