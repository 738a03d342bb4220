"""What feeds the air: a file that a thermometer writes, or a command that says it."""

from __future__ import annotations

from workshop.errors import ShopError
from workshop.shelf.air_file import parse_reading
from workshop.shelf.laptop_file import Laptop
from workshop.shelf.outside import run_named
from workshop.shelf.places import typed_path
from workshop.showable import showable

MOST_BYTES = 64 * 1024


def fed(laptop: Laptop) -> bool:
    """Whether the maker has named a file or a command."""
    return bool(laptop.air_file or laptop.air_command)


def read_feed(laptop: Laptop) -> tuple[float, float | None] | None:
    """Return the temperature (K) and the humidity (0..1, None: not said) from the feed; None: none is set.

    Raises ShopError with one sentence. Takes up to five seconds: not for the screen's thread.
    """
    if laptop.air_command:
        return parse_reading(run_named(laptop.air_command, "The thermometer"))
    if not laptop.air_file:
        return None
    path = typed_path(laptop.air_file)
    try:
        if not path.is_file():
            raise ShopError(f"The air cannot be read: {showable(str(path), 80)} is no plain file.")
        with path.open("rb") as file:
            size = path.stat().st_size
            file.seek(max(0, size - MOST_BYTES))
            return parse_reading(file.read(MOST_BYTES).decode("utf-8", "replace"))
    except OSError as error:
        reason = error.strerror or str(error)
        raise ShopError(f"The air cannot be read: {showable(str(path), 80)}: {reason}.") from None
