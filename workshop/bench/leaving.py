"""Leaving the program: what the disk has not taken is put elsewhere and said on the terminal."""

from __future__ import annotations

import contextlib
import sys

from workshop.bench.desk import Desk, Said, Tone
from workshop.bench.saving import last_refuge
from workshop.errors import ShopError
from workshop.showable import showable

LAST_WAIT_S = 2.0
"""How long leaving waits for a disk that has not taken everything."""


def all_saved(desk: Desk) -> bool:
    """Wait a last moment for the disk; put what is still not on it elsewhere, and say so on the terminal."""
    saving, desk.said = desk.saving, Said()
    saved = saving.close(LAST_WAIT_S)
    with contextlib.suppress(ShopError):  # what ended just now and was refused is still to be told
        desk.landed()
    saved = saved and saving.close(LAST_WAIT_S)
    refused = [desk.said.text] if desk.said.tone is Tone.REFUSED else []
    if saved and not refused:
        return True
    lines = ["Not saved on the shelf:", *saving.unsaved(), *refused]
    if not saved:
        stamp = f"{desk.now():%Y-%m-%dT%H%M%S}"
        lines += [f"Kept in {path}" for path in last_refuge(saving.writer, stamp)]
    with contextlib.suppress(OSError, ValueError):
        sys.stderr.write("".join(f"{showable(line, 400)}\n" for line in lines))
        sys.stderr.flush()
    return False
