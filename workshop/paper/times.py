"""Times in words: how long something lasts, and when it was by the shop's own wall."""

from __future__ import annotations

from datetime import datetime, timedelta

MINUTE_S = 60
HOUR_S = 3600
DAY_S = 86_400


def lasting(seconds: float) -> str:
    """Return a length of time in its two largest parts: "45 s", "12 min", "3 h 20 min", "2 d 4 h"."""
    whole = round(abs(seconds))
    if whole < MINUTE_S:
        return f"{whole} s"
    if whole < HOUR_S:
        minutes, rest = divmod(whole, MINUTE_S)
        return f"{minutes} min" if minutes >= 10 or not rest else f"{minutes} min {rest} s"
    if whole < DAY_S:
        hours, rest = divmod(round(whole / MINUTE_S), 60)
        return f"{hours} h {rest} min" if rest else f"{hours} h"
    days, rest = divmod(round(whole / HOUR_S), 24)
    return f"{days} d {rest} h" if rest else f"{days} d"


def stamp(at: datetime) -> str:
    """Return a moment as local time with its offset: "2026-03-01 09:30 +01:00"."""
    here = at.astimezone()
    offset = here.strftime("%z")
    return f"{here:%Y-%m-%d %H:%M} {offset[:3]}:{offset[3:5]}"


def near(at: datetime, now: datetime) -> str:
    """Return a moment as one would say it in the shop: "21:40", "tomorrow 03:00", "2026-03-01 09:30"."""
    here, today = at.astimezone(), now.astimezone().date()
    names = {today: "", today + timedelta(days=1): "tomorrow ", today - timedelta(days=1): "yesterday "}
    return f"{names.get(here.date(), f'{here:%Y-%m-%d} ')}{here:%H:%M}"
