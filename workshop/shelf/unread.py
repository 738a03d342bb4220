"""A file of the shelf that is not taken as a blade, and why: shown, left as it is."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from workshop.build.blade import Blade
from workshop.shelf.blade_file import schema_of


@dataclass(frozen=True)
class Unread:
    """A file that is not taken as a blade: left as it is and shown with the reason.

    kind: "broken", "newer" (shown, not changed), "copy" of a blade, "apart" (a conflict kept beside),
    "lost" (an older text was saved over it), "own" (a route, a store, the shop's or the laptop's file; the
    program's own stands in for it), "unfollowed" (settings that a shelf has no say in), or "backups" (no
    older texts can be kept).
    path: the file, where it is not the one that the key has on the shelf.
    """

    key: str
    why: str
    kind: str = "broken"
    path: Path | None = None

    def says(self) -> str:
        """Return in words what is the matter with it."""
        start = {"broken": "cannot be read and is left as it is: ", "own": "is left out: "}.get(self.kind, "")
        return f"{self.key}: {start}{self.why}"

    def data(self, path: Path) -> dict[str, str]:
        """Return the same as data; path: the file that the key has on the shelf."""
        return {"file": str(self.path or path), "why": self.why, "kind": self.kind}


def newer_says(blade: Blade) -> str:
    """Return what is to be said of a blade whose file a later program wrote."""
    schema = schema_of(blade)
    return f"was written by a newer program (schema {schema}); it is shown and nothing is written to it."
