"""The laptop's clocks, read together and kept: what tells a sleep, a step and a restart apart."""

from __future__ import annotations

import contextlib
import time
from datetime import UTC, datetime
from pathlib import Path

from workshop.build.timekeeping import Anchor
from workshop.errors import ShopError
from workshop.shelf import durable
from workshop.shelf.places import ANCHOR_FILE
from workshop.shelf.shelf import Shelf
from workshop.shelf.table import Table, parse_toml

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


def keep_anchor(shelf: Shelf, anchor: Anchor) -> None:
    """Put an anchor on disk. Raises NotSaved."""
    text = (
        "# The laptop's clocks when the program last looked, to tell a sleep from a wrong clock.\n"
        f"utc = {anchor.utc.astimezone(UTC).isoformat().replace('+00:00', 'Z')}\n"
        f"boot-seconds = {anchor.boot_s:.3f}\n"
        f"awake-seconds = {anchor.awake_s:.3f}\n"
        f'boot = "{anchor.boot_id}"\n'
    )
    shelf.prepare()
    durable.save(shelf.folder / ANCHOR_FILE, text.encode(), shelf.folder)


def kept_anchor(shelf: Shelf) -> Anchor | None:
    """Return the anchor kept last; None when there is none that can be read."""
    path = shelf.folder / ANCHOR_FILE
    try:
        if not path.exists():
            return None
        table = Table(*parse_toml(shelf.raw_of(path), str(path)))
        return Anchor(
            utc=table.needed_moment("utc"),
            boot_s=_seconds(table, "boot-seconds"),
            awake_s=_seconds(table, "awake-seconds"),
            boot_id=table.text("boot", ""),
        )
    except (ShopError, OSError):  # nothing hangs on it: without an anchor nothing is said
        return None


def _seconds(table: Table, key: str) -> float:
    value = table.data.get(key)
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not 0 <= value < MOST_S:
        raise table.fault(key, "is no number of seconds", "a number")
    return float(value)
