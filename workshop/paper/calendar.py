"""All windows ahead as a calendar: RFC 5545 events with alarms, the same identifier for the same mark.

Importing it again updates what is there. Written with the `icalendar` library, loaded only here.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from hashlib import sha256

from workshop.build.blade import Blade
from workshop.build.clock import Clock, Mark
from workshop.showable import showable

INSTANT = timedelta(minutes=15)
"""How long an event is that stands for an instant: a mark without an end."""


def calendar_of(blades: Iterable[Blade], now: datetime, early_s: float = 600.0) -> tuple[bytes, int]:
    """Return the calendar of all marks ahead or open and not answered, and how many events it has.

    Each event rings before it opens (early_s), and again before a window that must not be missed shuts.
    What stands still in the cold has no time and is left out.
    """
    from icalendar import Calendar

    calendar = Calendar()
    calendar.add("prodid", "-//workshop//clocks//EN")
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", "PUBLISH")
    events = 0
    for blade in blades:
        for clock in blade.running():
            for mark in clock.marks:
                if mark.acknowledged is None and not mark.stands_still and _end(mark) > now:
                    calendar.add_component(_event(blade, clock, mark, now, early_s))
                    events += 1
    return calendar.to_ical(), events


def uid(blade: Blade, clock: Clock, mark: Mark) -> str:
    """Return the identifier of a mark, the same however often it is written and however it moves."""
    text = "\n".join((blade.key, blade.started.astimezone(UTC).isoformat(), clock.id, mark.id))
    return f"{sha256(text.encode()).hexdigest()[:32]}@workshop"


def _end(mark: Mark) -> datetime:
    return mark.shuts or mark.opens + INSTANT


def _event(blade: Blade, clock: Clock, mark: Mark, now: datetime, early_s: float):  # type: ignore[no-untyped-def]
    from icalendar import Event

    event = Event()
    event.add("uid", uid(blade, clock, mark))
    event.add("dtstamp", now.astimezone(UTC))
    event.add("last-modified", now.astimezone(UTC))
    # seconds since the clock began: a later writing has a higher number, as RFC 5545 wants it
    event.add("sequence", max(0, round((now - clock.started).total_seconds())))
    event.add("dtstart", mark.opens.astimezone(UTC))
    event.add("dtend", max(_end(mark), mark.opens + timedelta(seconds=1)).astimezone(UTC))
    event.add("summary", showable(f"{blade.name}: {mark.says}", 200))
    late = f"Too late: {mark.late}" if mark.late else ""
    lines = [f"{clock.title}, {clock.step}", mark.do, late]
    event.add("description", "\n".join(showable(line, 500) for line in lines if line))
    event.add("transp", "TRANSPARENT")
    words = showable(f"{blade.name}: {mark.says}", 200)
    event.add_component(_alarm(words, "START", early_s))
    if mark.shuts is not None and mark.harm >= 2:
        window_s = (mark.shuts - mark.opens).total_seconds()
        event.add_component(_alarm(f"Last chance. {words}", "END", min(early_s, window_s / 4)))
    return event


def _alarm(words: str, related: str, before_s: float):  # type: ignore[no-untyped-def]
    from icalendar import Alarm

    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", words)
    alarm.add("trigger", -timedelta(seconds=round(before_s)), parameters={"RELATED": related})
    return alarm
