"""The maker's day: when the shop is open, when he sleeps, days off and single days that differ.

Times of day are the shop's own wall; moments are UTC and become local time only to be compared with
them, so that a change of summer time moves the wall and never a moment.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


@dataclass(frozen=True, slots=True)
class Span:
    """From one time of day to another; to_ before from_ runs past midnight."""

    from_: time
    to_: time

    def holds(self, at: time) -> bool:
        """Whether a time of day lies in the span."""
        if self.from_ <= self.to_:
            return self.from_ <= at < self.to_
        return at >= self.from_ or at < self.to_


@dataclass(frozen=True)
class Hours:
    """The maker's day. Nothing set: the shop counts as always open, and nobody sleeps.

    week: shop hours by weekday (0 Monday … 6 Sunday); a day that is not there is a day off, unless
    no day is there at all. sleep: every night. exceptions: a date and its hours, None for a day off.
    """

    week: Mapping[int, Span] = field(default_factory=dict)
    sleep: Span | None = None
    exceptions: Mapping[date, Span | None] = field(default_factory=dict)

    @property
    def known(self) -> bool:
        """Whether the maker has set any shop hours."""
        return bool(self.week) or any(self.exceptions.values())

    def on(self, day: date) -> Span | None:
        """Return the shop hours of a date, or None when the shop stays shut."""
        if day in self.exceptions:
            return self.exceptions[day]
        return self.week.get(day.weekday())

    def open(self, at: datetime) -> bool:
        """Whether the shop is open at a moment (always, when no hours are set)."""
        if not self.known:
            return True
        here = at.astimezone()
        today, before = self.on(here.date()), self.on(here.date() - timedelta(days=1))
        wall = here.time().replace(tzinfo=None)
        if today is not None and today.from_ <= wall and (wall < today.to_ or not _same_day(today)):
            return True
        return before is not None and not _same_day(before) and wall < before.to_

    def awake(self, at: datetime) -> bool:
        """Whether the maker is awake at a moment."""
        return self.sleep is None or not self.sleep.holds(at.astimezone().time().replace(tzinfo=None))

    def there(self, at: datetime) -> bool:
        """Whether somebody is in the shop and awake."""
        return self.open(at) and self.awake(at)

    def edges(self, start: datetime, end: datetime) -> Iterator[datetime]:
        """Yield, in order, the moments between two at which the shop opens or shuts or the maker turns in."""
        found: set[datetime] = set()
        day, last = start.astimezone().date() - timedelta(days=1), end.astimezone().date()
        while day <= last:
            for span in (self.on(day), self.sleep):
                if span is not None:
                    found.add(at_wall(day, span.from_))
                    found.add(at_wall(day if _same_day(span) else day + timedelta(days=1), span.to_))
            day += timedelta(days=1)
        yield from sorted(moment for moment in found if start < moment < end)


def _same_day(span: Span) -> bool:
    return span.from_ <= span.to_


def at_wall(day: date, wall: time) -> datetime:
    """Return the moment in UTC at which the shop's wall shows a date and a time of day."""
    return datetime.combine(day, wall).astimezone().astimezone(UTC)


def wall(at: datetime, now: datetime) -> str:
    """Return a moment by the shop's wall: "21:40" today, "Tue 21:40" within a week, else the date."""
    here, today = at.astimezone(), now.astimezone()
    if here.date() == today.date():
        return f"{here:%H:%M}"
    if abs((here.date() - today.date()).days) < 7:
        return f"{WEEKDAYS[here.weekday()][:3].capitalize()} {here:%H:%M}"
    return f"{here:%Y-%m-%d %H:%M}"
