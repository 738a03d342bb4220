"""How quick each mix of an adhesive was beside its store's figures, by the witness pressed last."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import tomli_w

from workshop.build.clock_parts import Clock
from workshop.errors import ShopError
from workshop.shelf.own_file import OwnFile
from workshop.shelf.places import LEARNED_FILE
from workshop.shelf.table import Source, Table, parse_toml
from workshop.shelf.toml_text import block
from workshop.shelf.unread import Unread

SCHEMA = 1
MOST_BATCHES = 400
_HEAD = "# How quick each mix was beside its store's figures, by the witness pressed last.\n"
Batch = dict[str, Any]


class LearnedRecord:
    """The file of one shelf."""

    def __init__(self, shelf: Path, now: Callable[[], datetime]) -> None:
        """Read nothing yet. now: dates the older texts."""
        self._file = OwnFile(shelf, LEARNED_FILE, now)

    def paces(self, adhesive: str) -> list[float]:
        """Return what the mixes of an adhesive came to, the oldest first. Raises FileFault."""
        own = [one for one in self._of(self._file.raw())[0] if one["adhesive"] == adhesive]
        return [one["pace"] for one in sorted(own, key=lambda one: one["at"])]

    def keep(self, clock: Clock, of: str, now: datetime) -> None:
        """Keep what a mix came to, in place of what was kept of it before. Raises FileFault, NotSaved."""
        mix = f"{of} {clock.started.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}"

        def with_it(raw: bytes) -> bytes:
            batches, own = self._of(raw)
            former = next((one for one in batches if one["of"] == mix), {})
            batches = [one for one in batches if one is not former]
            batches.append({**former, "adhesive": clock.store, "of": mix, "at": now, "pace": clock.quick})
            return _bytes(batches[-MOST_BATCHES:], own)

        self._file.keep(with_it, lambda raw: _bytes(*self._of(raw)))

    def faults(self) -> list[Unread]:
        """Return why the file cannot be taken, to be shown; nothing when it can."""
        try:
            self._of(self._file.raw())
        except ShopError as error:
            return [Unread(LEARNED_FILE.removesuffix(".toml"), str(error), "own", self._file.path)]
        return []

    def _of(self, raw: bytes) -> tuple[list[Batch], Mapping[str, Any]]:
        return read_learned(*parse_toml(raw, str(self._file.path))) if raw else ([], {})


def read_learned(data: Mapping[str, Any], source: Source) -> tuple[list[Batch], Mapping[str, Any]]:
    """Return the batches in a file, and the keys of the maker's own in it; raises FileFault."""
    top = Table(data, source)
    top.known_schema(SCHEMA)
    return [_batch(one) for one in top.tables("batch")], top.rest()


def _batch(table: Table) -> Batch:
    return {
        "adhesive": table.text("adhesive"),
        "of": table.text("of"),
        "at": table.needed_moment("at"),
        "pace": table.figure("pace", 0.001, 100),
        **table.rest(),
    }


def _bytes(batches: list[Batch], own: Mapping[str, Any]) -> bytes:
    text = "".join(block(("batch",), one, listed=True) for one in batches)
    return (_HEAD + (tomli_w.dumps(own) if own else "") + text).encode()
