"""Clocks on a bare terminal: what comes is told as it comes, with a bell, until Ctrl-C."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta

from workshop.build import timekeeping
from workshop.build.blade import Blade
from workshop.build.clock import Clock, Stage, next_moment, stage_of
from workshop.cli import moment
from workshop.cli.clock_text import clock_lines
from workshop.cli.text import say
from workshop.errors import ShopError
from workshop.paper.times import lasting, near
from workshop.shelf import air_feed, air_keeping, anchor_file
from workshop.shelf.shelf import Shelf

TICK_S = 1.0
AGAIN = timedelta(minutes=1)
"""How often what calls is told again, until it is answered."""

Told = dict[tuple[str, str, str], tuple[Stage, datetime]]

_CALLS = (Stage.OPEN, Stage.LAST_CHANCE, Stage.TOO_LATE)


def follow(
    shelf: Shelf,
    present: Callable[[], datetime] = moment.now,
    wait: Callable[[float], None] = time.sleep,
    rounds: int | None = None,
) -> None:
    """Tell what comes on all running clocks, line by line, until interrupted (or for so many rounds)."""
    told: Told = {}
    anchor = anchor_file.present_anchor()
    look_at_air = present()
    say(*clock_lines(_pairs(shelf, present()), present()), "Following; Ctrl-C leaves.")
    while rounds is None or rounds > 0:
        rounds = None if rounds is None else rounds - 1
        now = present()
        look_at_air = _feed(shelf, now, look_at_air)
        for line, rings in news(_pairs(shelf, now), now, shelf.shop().settings.early_s, told):
            say(f"{near(now, now)}  {line}")
            if rings and sys.stdout.isatty():
                print("\a", end="")
        then, anchor = anchor, anchor_file.present_anchor()
        judged = timekeeping.judge(then, anchor)
        if judged.happened is not timekeeping.Happened.STEADY:
            say(f"{near(now, now)}  {judged.says}")
        sys.stdout.flush()
        wait(TICK_S)


def news(
    pairs: list[tuple[Blade, Clock]], now: datetime, early_s: float, told: Told
) -> Iterator[tuple[str, bool]]:
    """Yield what is new since it was told, gravest first: a line, and whether it rings. `told` is kept up."""
    found = []
    for blade, clock in pairs:
        for mark in clock.marks:
            key = (blade.key, clock.id, mark.id)
            stage = stage_of(clock, mark, now, early_s)
            before = told.get(key)
            again = before is not None and stage in _CALLS and now - before[1] >= AGAIN
            if stage in (Stage.AHEAD, Stage.ANSWERED) or (before and before[0] is stage and not again):
                continue
            told[key] = (stage, now)
            late = mark.shuts if stage is Stage.TOO_LATE and mark.shuts else mark.opens
            by = lasting(abs((now - late).total_seconds()))
            when = {
                Stage.SOON: f"in {by}",
                Stage.OPEN: f"since {by}" if now > mark.opens else "now",
                Stage.LAST_CHANCE: f"shuts {near(mark.shuts, now)}" if mark.shuts else "",
                Stage.TOO_LATE: f"{by} late",
            }[stage]
            do = mark.late if stage is Stage.TOO_LATE else mark.do
            words = f"{str(stage).upper():11}  {blade.name}, {clock.title}: {mark.says}, {when}. {do}"
            found.append((mark.harm, words.rstrip(), stage in _CALLS))
    for _, line, rings in sorted(found, key=lambda one: -one[0]):
        yield line, rings


def _pairs(shelf: Shelf, now: datetime) -> list[tuple[Blade, Clock]]:
    air = air_keeping.air_of(shelf)
    good = [timekeeping.rework(blade, air, now) for blade in shelf.blades()[0]]
    order = {one.id + blade.key: (blade, one) for blade in good for one in blade.running()}
    return sorted(
        order.values(),
        key=lambda pair: ((ahead := next_moment(pair[1], now)) is None, ahead.at if ahead else now),
    )


def _feed(shelf: Shelf, now: datetime, due_at: datetime) -> datetime:
    """Read the thermometer when it is time; return when it is time again. A failure is told, not raised."""
    laptop = shelf.laptop()
    if not air_feed.fed(laptop) or now < due_at:
        return due_at
    try:
        read = air_feed.read_feed(laptop)
        if read is not None:
            for blade in air_keeping.keep_reading(shelf, now, *read):
                say(f"{near(now, now)}  the air has moved the marks of {blade.name}")
    except ShopError as error:
        say(f"{near(now, now)}  {error}")
    return now + timedelta(seconds=laptop.air_every_s)
