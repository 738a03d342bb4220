"""The laptop's clocks, read together and kept: what tells a sleep, a step and a restart apart.

They are kept beside the laptop's own file, not on the shelf: a shelf goes to another laptop in an archive or
is kept alike between two, and the clocks of one say nothing about the other's.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import time
from datetime import UTC, datetime
from pathlib import Path

from workshop.build.timekeeping import Anchor
from workshop.errors import ShopError
from workshop.shelf import durable
from workshop.shelf.places import ANCHOR_FILE
from workshop.shelf.shelf import Shelf
from workshop.shelf.table import Table, read_toml

MOST_S = 10 * 366 * 86_400
"""No laptop runs for ten years without a start."""

_BOOT_ID = Path("/proc/sys/kernel/random/boot_id")


def present_anchor(now: datetime | None = None) -> Anchor:
    """Return the laptop's clocks as they are. now: the wall's, where it was just read."""
    boot_s = _clock("CLOCK_BOOTTIME")
    awake_s = time.monotonic()
    return Anchor(
        utc=now or datetime.now(UTC),
        boot_s=awake_s if boot_s is None else boot_s,
        awake_s=awake_s,
        boot_id=_boot_id(),
    )


def _clock(name: str) -> float | None:
    number = getattr(time, name, None)
    return None if number is None else time.clock_gettime(number)


def _boot_id() -> str:
    """Return what changes at each start of the machine; "" where the system does not tell."""
    with contextlib.suppress(OSError):
        return _BOOT_ID.read_text(encoding="ascii").strip()
    return ""


def anchor_path(shelf: Shelf) -> Path | None:
    """Return where this laptop keeps its clocks for a shelf; None for one it keeps nothing for.

    A file for each shelf: a jump that was answered at one is still to be asked about at another.
    """
    laptop = shelf.laptop_path
    if laptop is None or not durable.leads_out(laptop, shelf.folder):
        return None
    mark = hashlib.sha256(os.fsencode(os.path.realpath(shelf.folder))).hexdigest()[:12]
    return laptop.with_name(f"clocks-{mark}.toml")


def keep_anchor(shelf: Shelf, anchor: Anchor) -> None:
    """Put an anchor on disk. Raises NotSaved."""
    path = anchor_path(shelf)
    if path is None:
        return
    text = (
        "# The laptop's clocks when the program last looked, to tell a sleep from a wrong clock.\n"
        f"utc = {anchor.utc.astimezone(UTC).isoformat().replace('+00:00', 'Z')}\n"
        f"boot-seconds = {anchor.boot_s:.3f}\n"
        f"awake-seconds = {anchor.awake_s:.3f}\n"
        f'boot = "{anchor.boot_id}"\n'
    )
    with contextlib.suppress(OSError):  # what is wrong with the folder, saving says
        durable.make_folders(path.parent)
        durable.sweep(path.parent)
        (shelf.folder / ANCHOR_FILE).unlink(missing_ok=True)
    durable.save(path, text.encode())


def kept_anchor(shelf: Shelf) -> Anchor | None:
    """Return the anchor kept last; None when there is none that can be read."""
    path = anchor_path(shelf)
    try:
        if path is None or not path.exists():
            return None
        table = Table(*read_toml(path))
        boot_s, awake_s = (table.seconds(key, MOST_S) for key in ("boot-seconds", "awake-seconds"))
        if boot_s is None or awake_s is None:
            return None
        return Anchor(table.needed_moment("utc"), boot_s, awake_s, table.text("boot", ""))
    except (ShopError, OSError):  # nothing hangs on it: without an anchor nothing is said
        return None
