"""The wall view: up to three of the most urgent clocks, in digits to be read from across the shop."""

from __future__ import annotations

from datetime import datetime
from itertools import zip_longest

from workshop.bench import digits, looks, times
from workshop.bench.clockpane import clock_name, last_words, name_row, seconds_shown, shown_mark
from workshop.bench.desk import BladeClock, Desk
from workshop.bench.looks import Row
from workshop.bench.pane import Pane
from workshop.showable import showable

MOST = 3
"""Clocks on the wall at most: more cannot be read from across the shop."""

WORD_ROWS = 2
"""Lines of words a clock takes beside its digits."""

LEAST = digits.LEAST_ROWS + WORD_ROWS


def mark_words(pair: BladeClock, now: datetime, early_s: float = 600.0) -> tuple[str, str, float]:
    """Return what a clock's digits count in words, how that is meant (a look), and its seconds."""
    found = shown_mark(pair.clock, now)
    if found is None:
        if pair.clock.kind == "count":
            return "min:s so far", "strong", pair.clock.elapsed_s(now)
        if any(mark.stands_still for mark in pair.clock.marks):
            return "its marks stand still: too cold to cure", "bad", 0.0
        return "no mark left", "quiet", 0.0
    mark, moment, verb = found
    seconds = seconds_shown(moment, now)
    unit, says = times.digits_unit(seconds), showable(mark.says, 80)
    at = times.when(moment, now)
    if verb == "to":
        return f"{unit} to {says.upper()}, {at}", "strong", seconds
    if verb == "shuts":
        last = last_words(pair.clock, mark, now, early_s)
        return f"{last}{unit} left: {says.upper()}, shuts {at}", "bad" if last else "warn", seconds
    return f"{unit} LATE: {says.upper()}, since {at}", "bad", seconds


def block_rows(desk: Desk, pair: BladeClock, width: int, height: int, blocks: bool = True) -> list[Row]:
    """Return one clock: whose it is, its digits as large as fit, and what they count; `height` rows."""
    now = desk.now()
    words, look, seconds = mark_words(pair, now, desk.shop.settings.early_s)
    counted = times.digits(seconds) if seconds or shown_mark(pair.clock, now) else "-"
    shape = digits.best(counted, width, max(height - WORD_ROWS, digits.LEAST_ROWS), blocks=blocks)
    if not shape:
        shape = [counted]
    out: list[Row] = [name_row(pair, desk.doing(pair), width)]
    out += [looks.row(line, "digits") for line in shape]
    out.append(looks.row(looks.clipped(words, width), look))
    return [*out, *[looks.row("")] * (height - len(out))][:height]


def wall_rows(desk: Desk, width: int, height: int, blocks: bool = True) -> list[Row]:
    """Return the wall view: under each other where there is room, else the first over the other two."""
    pairs = desk.clocks()
    shown = pairs[:MOST]
    if not shown:
        return [looks.row(""), looks.row("No clock runs.", "strong")]
    more = len(pairs) - len(shown)
    foot = [looks.row(f"and {more} more clock{'s' if more > 1 else ''} (R rack)")] if more else []
    room = height - len(foot)
    if room // len(shown) >= LEAST or len(shown) == 1:
        each = room // len(shown)
        out = [line for pair in shown for line in block_rows(desk, pair, width, each, blocks)]
    elif room >= 2 * LEAST and len(shown) > 1:
        half = (width - 2) // 2
        first = block_rows(desk, shown[0], width, room - LEAST, blocks)
        beside = [block_rows(desk, pair, half, LEAST, blocks) for pair in shown[1:]]
        left, right = beside[0], beside[1] if len(beside) > 1 else []
        out = first + [
            (*looks.fitted(one, half), ("  ", "plain"), *other)
            for one, other in zip_longest(left, right, fillvalue=())
        ]
    else:
        return wall_rows_few(desk, shown, width, height, blocks)
    return [*out, *[looks.row("")] * (room - len(out)), *foot][:height]


def wall_rows_few(
    desk: Desk, shown: list[BladeClock], width: int, height: int, blocks: bool = True
) -> list[Row]:
    """Return the wall view of a low screen: the most urgent clock in digits, the others in a line each."""
    others: list[Row] = []
    now = desk.now()
    for pair in shown[1:]:
        words, look, seconds = mark_words(pair, now)
        text = f"{clock_name(pair)}  {times.digits(seconds)} {words}"
        others.append(looks.row(looks.clipped(text, width), look))
    first = block_rows(desk, shown[0], width, max(height - len(others), LEAST), blocks)
    return [*first, *others][:height]


class Wall(Pane):
    """The wall view on the screen."""

    where = "wall"
    blocks = True

    def rows(self, width: int, height: int) -> list[Row]:
        """Return what `wall_rows` gives."""
        return wall_rows(self.desk, width, height, self.blocks)
