"""What feeds the air: a file that a thermometer writes, or a command that says it."""

from __future__ import annotations

from pathlib import Path

from workshop.errors import ShopError
from workshop.shelf.air_file import parse_reading
from workshop.shelf.outside import run_named
from workshop.shelf.settings import Settings
from workshop.showable import showable

MOST_BYTES = 64 * 1024


def fed(settings: Settings) -> bool:
    """Whether the maker has named a file or a command."""
    return bool(settings.air_file or settings.air_command)


def read_feed(settings: Settings) -> tuple[float, float | None] | None:
    """Return the temperature (K) and the humidity (0..1, None: not said) from the feed; None: none is set.

    Raises ShopError with one sentence. Takes up to five seconds: not for the screen's thread.
    """
    if settings.air_command:
        return parse_reading(run_named(settings.air_command, "The thermometer"))
    if not settings.air_file:
        return None
    path = Path(settings.air_file).expanduser()
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
