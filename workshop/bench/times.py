"""Times as they are written on the screen: time left, time of day, how long ago; all in the shop's time."""

from __future__ import annotations

from datetime import datetime, timedelta

DAY_S = 86_400
_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def left(seconds: float) -> str:
    """Return a length of time as a clock shows it: "0:31", "45:09", "1:45:09", "2 d 03:10"."""
    whole = max(0, int(seconds))
    days, rest = divmod(whole, DAY_S)
    hours, rest = divmod(rest, 3600)
    minutes, secs = divmod(rest, 60)
    if days:
        return f"{days} d {hours:02}:{minutes:02}"
    if hours:
        return f"{hours}:{minutes:02}:{secs:02}"
    return f"{minutes}:{secs:02}"


def digits(seconds: float) -> str:
    """Return a length of time for large digits: "45:09" under an hour, "1:45" above, "2d 03" in days."""
    whole = max(0, int(seconds))
    if whole < 3600:
        return f"{whole // 60}:{whole % 60:02}"
    if whole < DAY_S:
        return f"{whole // 3600}:{whole // 60 % 60:02}"
    return f"{whole // DAY_S}d {whole // 3600 % 24:02}"


def tenths(seconds: float) -> str:
    """Return a count for large digits, to the tenth of a second."""
    return f"{max(seconds, 0.0):.1f}"


def digits_unit(seconds: float) -> str:
    """Return what the digits of `digits` count, in words."""
    whole = max(0, int(seconds))
    return "min:s" if whole < 3600 else "h:min" if whole < DAY_S else "days, h"


def words(seconds: float) -> str:
    """Return a length of time in words, rounded as one says it: "40 s", "12 min", "3 h 05", "2 days"."""
    whole = max(0, round(seconds))
    if whole < 100:
        return f"{whole} s"
    minutes = round(whole / 60)
    if minutes < 60:
        return f"{minutes} min"
    if whole < 2 * DAY_S:
        return f"{minutes // 60} h {minutes % 60:02}" if minutes % 60 else f"{minutes // 60} h"
    return f"{round(whole / DAY_S)} days"


def clock_time(moment: datetime) -> str:
    """Return the time of day in the shop."""
    return f"{moment.astimezone():%H:%M}"


def day_time(moment: datetime) -> str:
    """Return the day of the week and the time of day."""
    here = moment.astimezone()
    return f"{_DAYS[here.weekday()]} {here:%H:%M}"


def when(moment: datetime, now: datetime) -> str:
    """Return a moment as short as it is clear: today's time, day and time within a week, else the date."""
    here, today = moment.astimezone(), now.astimezone()
    if here.date() == today.date():
        return clock_time(moment)
    if abs(here.date() - today.date()) < timedelta(days=7):
        return day_time(moment)
    return f"{here:%Y-%m-%d %H:%M}"


def seconds(count: float) -> timedelta:
    """Return so many whole seconds as a length of time."""
    return timedelta(seconds=round(count))
