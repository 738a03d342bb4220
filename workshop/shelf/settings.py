"""The maker's settings in the shop's file: hours, night, warning.

All are written by the maker and only read here. A table that is not there means: not set.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import date, time

from workshop.build.day import WEEKDAYS, Hours, Span
from workshop.shelf.table import Table

EARLY_S = 600.0

_SPAN = re.compile(r"(\d{1,2}):(\d{2})\s*(?:to|-|–)\s*(\d{1,2}):(\d{2})$", re.IGNORECASE)
_HOURS_RIGHT = '"08:00 to 18:00", or "off"'


@dataclass(frozen=True)
class Settings:
    """What the maker has set. night_K: the shop's air at night as he expects it. early_s: how long before a
    mark it is called.
    """

    hours: Hours = field(default_factory=Hours)
    night_K: float | None = None
    early_s: float = EARLY_S


def read_settings(top: Table) -> Settings:
    """Return the settings in the shop's file; raises FileFault for what cannot be taken."""
    night, warn = top.table("night"), top.table("warn")
    made = Settings(
        hours=_hours(top.table("hours")),
        night_K=night.si("temperature", "temperature") if "temperature" in night.data else None,
        early_s=warn.si("early", "time", EARLY_S),
    )
    if not 0 <= made.early_s <= 86_400:
        raise warn.fault("early", "is too long", "at most 24 h, such as 10 min")
    for table in (night, warn):
        table.close()
    return made


def _hours(table: Table) -> Hours:
    week: dict[int, Span] = {}
    for number, name in enumerate(WEEKDAYS):
        span = _span(table, name, table.text(name, ""))
        if span is not None:
            week[number] = span
    sleep = _span(table, "sleep", table.text("sleep", ""))
    days = table.table("days")
    exceptions: dict[date, Span | None] = {}
    for name in list(days.data):
        try:
            day = date.fromisoformat(name)
        except ValueError:
            raise days.fault(name, "is not a date", 'a date, such as 2026-12-24 = "off"') from None
        exceptions[day] = _span(days, name, days.text(name))
    table.close()
    return Hours(week, sleep, exceptions)


def _span(table: Table, key: str, text: str) -> Span | None:
    """Return the hours in a text; None for a day off or nothing."""
    plain = text.strip().lower()
    if plain in ("", "off"):
        return None
    found = _SPAN.fullmatch(plain)
    try:
        if found is None:
            raise ValueError
        numbers = [int(one) for one in found.groups()]
        begin, end = time(numbers[0], numbers[1]), _until(numbers[2], numbers[3])
    except ValueError:
        raise table.fault(key, f"'{text[:40]}' is not a stretch of hours", _HOURS_RIGHT) from None
    if begin == end:
        raise table.fault(key, "begins and ends at once", _HOURS_RIGHT)
    return Span(begin, end)


def _until(hour: int, minute: int) -> time:
    """Return the end of a stretch; 24:00 is the last minute of the day."""
    return time(23, 59, 59) if (hour, minute) == (24, 0) else time(hour, minute)
