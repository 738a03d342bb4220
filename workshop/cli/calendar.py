"""The calendar on the command line: all windows ahead as a file for the maker's own calendar."""

from __future__ import annotations

from argparse import Namespace
from datetime import datetime

from workshop.build import timekeeping
from workshop.cli.text import dump, say
from workshop.paper.calendar import calendar_of
from workshop.shelf import air_keeping, durable, places
from workshop.shelf.shelf import Shelf


def calendar(args: Namespace, shelf: Shelf, now: datetime) -> None:
    """Write all windows ahead as a calendar file."""
    out = places.target(args.out, shelf.folder, "shop.ics")
    air = air_keeping.air_of(shelf)
    good, bad = shelf.blades()
    blades = [timekeeping.rework(blade, air, now) for blade in good]
    data, events = calendar_of(blades, now, shelf.shop().settings.early_s)
    durable.save_outside(out, data)
    if args.json:
        dump({"file": str(out), "events": events})
        return
    say(f"{events} windows ahead are in {args.out}; import it into your calendar, again after a change.")
    say(*(one.says() for one in bad))
