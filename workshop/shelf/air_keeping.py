"""The air and what it moves: readings on disk, all running clocks worked out again, and what was learned.

The one way in which a reading reaches the shelf, from the command line, from the bench or from a feed.
"""

from __future__ import annotations

import contextlib
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

from workshop.build import clock_changes, timekeeping
from workshop.build.air import Air, Reading
from workshop.build.blade import Blade
from workshop.build.clock_parts import Batch, StoreEntry
from workshop.build.cure_age import Learned, learned
from workshop.errors import ShopError
from workshop.shelf import durable
from workshop.shelf.air_file import air_bytes, believed, with_reading
from workshop.shelf.places import AIR_FILE, LEARNED_FILE
from workshop.shelf.shelf import Shelf
from workshop.shelf.table import FileFault, Table, parse_toml
from workshop.shelf.toml_text import block

MOST_BATCHES = 400


def readings_of(shelf: Shelf) -> tuple[Reading, ...]:
    """Return the record of the air, the oldest first. Raises FileFault for a file that cannot be read."""
    return shelf.air_record.readings()


def air_of(shelf: Shelf) -> Air:
    """Return the shop's air: the record, its last reading, and the night and hours of the settings.

    A record that cannot be read counts as none: the clocks then go by the air at their start.
    """
    shop = shelf.shop()
    try:
        readings = list(readings_of(shelf))
    except ShopError:
        readings = []
    if shop.air_K is not None and shop.read_at is not None:
        last = Reading(shop.read_at, shop.air_K, shop.humidity)
        if not readings or readings[-1].at < last.at:
            readings.append(last)
    return Air(tuple(readings), shop.settings.night_K, shop.settings.hours)


def keep_reading(shelf: Shelf, now: datetime, air_K: float, humidity: float | None = None) -> list[Blade]:
    """Put a reading on disk and work all running clocks out again; return the blades that changed.

    Raises NotSaved, ShopError for an air no shop has, or FileFault for a record that cannot be read (it is
    left as it is).
    """
    believed(air_K)
    shelf.prepare()
    path = shelf.folder / AIR_FILE
    with durable.locked(path):
        made = with_reading(readings_of(shelf), Reading(now.astimezone(UTC), air_K, humidity))
        durable.save(path, air_bytes(made), shelf.folder)
    with contextlib.suppress(FileFault):  # a shop's file that cannot be read is left as it is and shown
        shelf.keep_shop(lambda shop: replace(shop, air_K=air_K, humidity=humidity, read_at=now))
    return rework_all(shelf, now)


def rework_all(shelf: Shelf, now: datetime) -> list[Blade]:
    """Work all running clocks out from the air as now known; return the blades whose marks moved.

    For when the air, the expected night or the shop's hours have changed. A blade that nothing moves is
    not written. Raises NotSaved.
    """
    air = air_of(shelf)
    return [
        shelf.change(blade.key, lambda one: timekeeping.rework(one, air, now))
        for blade in shelf.blades()[0]
        if timekeeping.rework(blade, air, now) is not blade
    ]


# -- what batches came to


def _batches(shelf: Shelf) -> list[dict[str, Any]]:
    path = shelf.folder / LEARNED_FILE
    if not path.exists():
        return []
    top = Table(*parse_toml(shelf.raw_of(path), str(path)))
    found = []
    for table in top.tables("batch"):
        value = table.data.get("pace")
        if isinstance(value, bool) or not isinstance(value, (int, float)) or not 0 < value < 100:
            raise table.fault("pace", "is not a pace", "a number above 0, such as 1.2")
        found.append(
            {
                "adhesive": table.text("adhesive"),
                "of": table.text("of"),
                "at": table.needed_moment("at"),
                "pace": float(value),
            }
        )
    return found


def learned_of(shelf: Shelf, entry_key: str) -> Learned:
    """Return what this maker's batches of an adhesive came to; nothing learned when the file is broken."""
    try:
        batches = _batches(shelf)
    except ShopError:
        return Learned()
    own = [one for one in batches if one["adhesive"] == entry_key]
    return learned([one["pace"] for one in sorted(own, key=lambda one: one["at"])])


def batch_for(
    shelf: Shelf,
    entry: StoreEntry,
    *,
    mass_kg: float | None = None,
    thin: bool = False,
    kept_K: float | None = None,
) -> Batch:
    """Return a new batch of an adhesive, at this maker's own pace for it."""
    return Batch(learned_of(shelf, entry.key).pace, mass_kg, thin, kept_K)


def press_witness(shelf: Shelf, key: str, clock_id: str, state: str, now: datetime) -> Blade:
    """Press the witness of a blade's clock: the batch is corrected and what it came to is kept.

    One figure is kept for each mix, the one pressed last. Raises ShopError, NotSaved.
    """
    air = air_of(shelf)
    blade = shelf.change(key, lambda one: clock_changes.press_witness(one, clock_id, state, air, now))
    clock = blade.clocks[clock_id]
    path = shelf.folder / LEARNED_FILE
    mix = f"{blade.key} {clock.started.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}"
    with durable.locked(path):
        try:
            batches = [one for one in _batches(shelf) if one["of"] != mix]
        except FileFault:  # left as it is and shown; the blade has the pace
            return blade
        batches.append({"adhesive": clock.store, "of": mix, "at": now, "pace": clock.quick})
        text = "# How quick each mix was beside its store's figures, by the witness pressed last.\n"
        text += "".join(block(("batch",), one, listed=True) for one in batches[-MOST_BATCHES:])
        durable.save(path, text.encode(), shelf.folder)
    return blade
