"""Leaving the program: what the disk has not taken is put elsewhere and said on the terminal."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Callable
from datetime import datetime

from workshop.bench.saving import last_refuge
from workshop.shelf.writer import Writer
from workshop.showable import showable

LAST_WAIT_S = 2.0
"""How long leaving waits for a disk that has not taken everything."""


def all_saved(writer: Writer, now: Callable[[], datetime]) -> bool:
    """Wait a last moment for the disk; put what is still not on it elsewhere, and say so on the terminal."""
    if writer.close(LAST_WAIT_S):
        return True
    lines = ["Not saved on the shelf:", *writer.unsaved()]
    lines += [f"Kept in {path}" for path in last_refuge(writer, f"{now():%Y-%m-%dT%H%M%S}")]
    with contextlib.suppress(OSError, ValueError):
        sys.stderr.write("".join(f"{showable(line, 400)}\n" for line in lines))
        sys.stderr.flush()
    return False
