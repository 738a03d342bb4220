"""The present time, asked for here and nowhere else; and times of day as a maker types them."""

from __future__ import annotations

import re
from datetime import UTC, datetime, time, timedelta

from workshop import measure
from workshop.errors import ShopError
from workshop.showable import showable

_OF_DAY = re.compile(r"(?:(today|tomorrow) +)?([0-9]{1,2}):([0-9]{2})", re.IGNORECASE)
_RIGHT = "right would be 07:00, tomorrow 07:00, 2026-03-01T07:00 or +3h"


def now() -> datetime:
    """Return the present in UTC, to the whole second."""
    return datetime.now(UTC).replace(microsecond=0)


def when(text: str, present: datetime) -> datetime:
    """Return the moment that is meant, in UTC.

    "07:00" is the next such time on the shop's wall; "tomorrow 07:00"; ISO 8601 (without an offset: local
    time); "+3h" from now. Raises ShopError for anything else.
    """
    plain = text.strip()
    try:
        if plain.startswith("+"):
            ahead = measure.read(plain[1:], "time", field="--at", example="+3h")
            return present + timedelta(seconds=round(float(ahead)))
        if found := _OF_DAY.fullmatch(plain):
            return _of_day((found[1] or "").lower(), time(int(found[2]), int(found[3])), present)
        return datetime.fromisoformat(plain).astimezone(UTC)
    except (ValueError, OverflowError, OSError):
        raise ShopError(f"--at: '{showable(text, 40)}' is not a time; {_RIGHT}.") from None


def _of_day(day: str, at: time, present: datetime) -> datetime:
    today = present.astimezone().date()
    later = day == "tomorrow"
    moment = datetime.combine(today + timedelta(days=later), at).astimezone()
    if not day and moment <= present:  # a day later by the wall, which summer time may make 23 or 25 hours
        moment = datetime.combine(today + timedelta(days=1), at).astimezone()
    return moment.astimezone(UTC)
