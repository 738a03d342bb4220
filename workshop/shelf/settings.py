"""The maker's settings in the shop's file: hours, night, warning, horn, and what feeds the air.

All are written by the maker and only read here. A table that is not there means: not set.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import date, time

from workshop.build.day import WEEKDAYS, Hours, Span
from workshop.shelf.table import Table

EARLY_S = 600.0
EVERY_S = 300.0
MOST_WORDS = 32

_SPAN = re.compile(r"(\d{1,2}):(\d{2})\s*(?:to|-|–)\s*(\d{1,2}):(\d{2})$", re.IGNORECASE)
_HOURS_RIGHT = '"08:00 to 18:00", or "off"'


@dataclass(frozen=True)
class Settings:
    """What the maker has set. night_K: the shop's air at night as he expects it. early_s: how long before a
    mark it is called. horn: a command and its words, run when a mark calls. air_file, air_command: what a
    thermometer writes or says; air_every_s: how often it is looked at.
    """

    hours: Hours = field(default_factory=Hours)
    night_K: float | None = None
    early_s: float = EARLY_S
    horn: tuple[str, ...] = ()
    air_file: str = ""
    air_command: tuple[str, ...] = ()
    air_every_s: float = EVERY_S


def read_settings(top: Table, air: Table) -> Settings:
    """Return the settings in the shop's file; raises FileFault for what cannot be taken."""
    night, warn, horn = top.table("night"), top.table("warn"), top.table("horn")
    made = Settings(
        hours=_hours(top.table("hours")),
        night_K=night.si("temperature", "temperature") if "temperature" in night.data else None,
        early_s=warn.si("early", "time", EARLY_S),
        horn=_command(horn, "command"),
        air_file=air.text("file", ""),
        air_command=_command(air, "command"),
        air_every_s=air.si("every", "time", EVERY_S),
    )
    if made.air_file and made.air_command:
        raise air.fault("command", "stands beside a file", "one of the two")
    if not 10 <= made.air_every_s <= 86_400:
        raise air.fault("every", "is too short or too long", "from 10 s to 24 h, such as 5 min")
    if not 0 <= made.early_s <= 86_400:
        raise warn.fault("early", "is too long", "at most 24 h, such as 10 min")
    for table in (night, warn, horn):
        table.close()
    return made


def _command(table: Table, key: str) -> tuple[str, ...]:
    words = table.texts(key)
    if len(words) > MOST_WORDS or any("\0" in word for word in words):
        raise table.fault(key, "is not a command", 'a list of words, such as ["/usr/bin/aplay", "horn.wav"]')
    return words


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
