"""Several changes of one command as one: on disk together, and taken back together."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from dataclasses import replace
from datetime import datetime
from difflib import get_close_matches

from workshop.build.blade import Back, Blade, Part
from workshop.build.ledger import BACKS_KEPT
from workshop.errors import ShopError

Change = Callable[[Blade], Blade]

MANY = 40
"""More names than this are not read in one line."""


def as_one(changes: Iterable[Change], now: datetime) -> Change:
    """Return one change that makes all of these in turn, and that one `back` takes back whole."""
    steps = tuple(changes)

    def together(blade: Blade) -> Blade:
        made = blade
        was: dict[str, Part | None] = {}
        says = ""
        for change in steps:
            after = change(made)
            if after is not made and after.backs:
                last = after.backs[-1]
                was = {**last.was, **was}  # what a part was before the first change of it
                says = last.says
            made = after
        if made is blade:
            return blade
        return replace(made, backs=(*blade.backs, Back(now, says, was))[-BACKS_KEPT:])

    return together


def right(wanted: str, there: Collection[str], where: str = "") -> str:
    """Return what would have been right: the nearest of those there are, else all of them.

    where: how to see them when they are too many for one line.
    """
    near = get_close_matches(wanted.strip().lower(), there, n=3, cutoff=0.7)
    if near:
        return (
            f"'{near[0]}' may be meant" if len(near) == 1 else f"one of these may be meant: {', '.join(near)}"
        )
    if len(there) > MANY:
        return f"there are {len(there)}; {where}" if where else f"there are {len(there)} of them"
    return f"right would be one of: {', '.join(there) or 'none'}"


def pair(text: str, option: str, example: str) -> tuple[str, str]:
    """Return the two sides of NAME=TEXT, or raise ShopError saying what would be right."""
    name, found, value = text.partition("=")
    if not found or not name.strip():
        raise ShopError(f"{option}: '{text[:60]}' is not a name and a value; right would be {example}.")
    return name.strip(), value.strip()
