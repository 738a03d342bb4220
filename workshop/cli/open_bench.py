"""Opening the bench; or, where there is no terminal to draw on, saying the same state as text."""

from __future__ import annotations

import os
import sys
import tempfile
from argparse import Namespace
from datetime import datetime
from pathlib import Path

from workshop.build import clock as clocks_of
from workshop.build import standing
from workshop.build.blade import Blade
from workshop.build.standing import Act
from workshop.cli.blades import blade_data, rack_lines
from workshop.cli.clock_text import clock_data, clock_lines
from workshop.cli.clocks import air_line
from workshop.cli.text import dump, say
from workshop.drawer.registry import NAMES
from workshop.shelf.shelf import Shelf


def bench(args: Namespace, shelf: Shelf, now: datetime) -> int:
    """Open the bench on a shelf, or print its state."""
    if args.json or not can_draw():
        state(shelf, now, as_data=args.json)
        return 0
    from workshop.bench.app import run  # the screen is loaded only when it is opened

    return int(run(shelf))


def demo(args: Namespace, shelf: Shelf, now: datetime) -> int:
    """Open the bench on an example shelf in a folder that is removed afterwards."""
    from workshop.cli.demo import make_demo

    with tempfile.TemporaryDirectory(prefix="workshop-demo-") as folder:
        return bench(args, Shelf(make_demo(Path(folder), now), NAMES), now)


def can_draw() -> bool:
    """Whether there is a terminal to draw on: one that can place text, and all three ways lead to it.

    The screen is drawn on standard error, so that must be the terminal too.
    """
    ways = (sys.stdin, sys.stdout, sys.stderr)
    return all(way.isatty() for way in ways) and os.environ.get("TERM", "") not in ("", "dumb")


def state(shelf: Shelf, now: datetime, *, as_data: bool) -> None:
    """Print what the bench would show: blades, steps in hand, clocks, the shop's air."""
    good, bad = shelf.blades()
    pairs = [(blade, one) for blade in good for one in blade.running()]
    pairs.sort(key=lambda pair: clocks_of.urgency(pair[1], now))
    if as_data:
        dump(
            {
                "blades": [blade_data(blade, now) for blade in good],
                "clocks": [clock_data(blade, one, now) for blade, one in pairs],
                "unread": [one.data(shelf.path(one.key)) for one in bad],
            }
        )
        return
    say("Blades", *(f"  {line}" for line in rack_lines(good, now)))
    say(*(f"  {one.says()}" for one in bad))
    say("", "Steps in hand")
    lines = [line for blade in good for line in _in_hand_lines(blade, now)]
    say(*(lines or ["  none"]))
    say("", "Clocks", *(f"  {line}" for line in clock_lines(pairs, now)), "", air_line(shelf.shop(), now))


def _in_hand_lines(blade: Blade, now: datetime) -> list[str]:
    step = standing.in_hand(blade, now)
    if step is None:
        return []
    state = standing.state_of(blade, step, now)
    lines = [f"  {blade.name}  {step.id} {step.title} ({state})"]
    following = standing.natural_next(blade, step, now)
    item = f": {following.item}" if following.act in (Act.TICK, Act.VALUE, Act.CLOCK) else ""
    return [*lines, f"    next: {following.says}{item}"]
