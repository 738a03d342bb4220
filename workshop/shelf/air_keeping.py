"""The air and what it moves: readings on disk, all running clocks worked out again, and what was learned.

The one way in which a reading reaches the shelf, from the command line, from the bench or from a feed.
"""

from __future__ import annotations

import contextlib
from dataclasses import replace
from datetime import UTC, datetime

from workshop.build import clock_changes, timekeeping
from workshop.build.air import Air, Reading
from workshop.build.blade import Blade
from workshop.build.clock_parts import Batch, StoreEntry
from workshop.build.cure_age import Learned, learned
from workshop.errors import ShopError
from workshop.shelf.air_file import believed
from workshop.shelf.shelf import Shelf
from workshop.shelf.table import FileFault

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
    shelf.air_record.add(Reading(now.astimezone(UTC), air_K, humidity))
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


def learned_of(shelf: Shelf, entry_key: str) -> Learned:
    """Return what this maker's batches of an adhesive came to; nothing learned when the file is broken."""
    try:
        return learned(shelf.learned_record.paces(entry_key))
    except ShopError:
        return Learned()


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
    with contextlib.suppress(FileFault):  # left as it is and shown; the blade has the pace
        shelf.learned_record.keep(clock, blade.key, now)
    return blade
