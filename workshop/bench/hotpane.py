"""Hands full: while a hot or sticky step is in hand, its time in large digits in place of list and clocks."""

from __future__ import annotations

from datetime import datetime

from workshop.bench import digits, looks, times
from workshop.bench.callpane import told_band
from workshop.bench.clockpane import clock_name, line_of, seconds_shown, shown_mark, window_words
from workshop.bench.desk import BladeClock, Desk
from workshop.bench.looks import Row
from workshop.bench.pane import Pane
from workshop.build.clock import next_moment
from workshop.showable import showable

NEAR_S = 2 * 3600
"""A clock of this blade whose next moment is farther off than this is not what the hands wait for."""


def hot_clock(desk: Desk) -> BladeClock | None:
    """Return the clock that matters to the hot step: its own, else one of this blade near its mark."""
    now = desk.now()
    own = [pair for pair in desk.clocks() if pair.blade.key == desk.key]
    found = [pair for pair in own if pair.clock.step == desk.step_id and shown_mark(pair.clock, now)]
    if not found:
        moments = [(pair, next_moment(pair.clock, now)) for pair in own]
        found = [pair for pair, one in moments if one and (one.at - now).total_seconds() < NEAR_S]
    return found[0] if found else None


def hot_rows(desk: Desk, width: int, height: int, blocks: bool = True) -> list[Row]:
    """Return the pane: a heading, large digits, and in words what they count and what comes then."""
    now, step, blade = desk.now(), desk.step, desk.blade
    if step is None or blade is None:
        return []
    run_over = any(
        run.step == step.id and not run.rehearsal and run.ended is not None for run in blade.runs.values()
    )
    promise = "" if run_over else "nothing will ask you anything"  # after a run a line of note is asked for
    head = looks.ruled(f"HANDS FULL  {step.id} {showable(step.title, 40)}", promise, width)
    pair, counting = hot_clock(desk), desk.counting()
    if counting is not None:
        pair, seconds = counting, counting.clock.elapsed_s(desk.exactly())
        words = ["seconds so far", clock_name(counting), "", "Space stops the count"]
    elif pair is None:
        began = blade.progress(step.id).started or now
        seconds = (now - began).total_seconds()
        words = [f"{times.digits_unit(seconds)} in hand", f"since {times.clock_time(began)}"]
    else:
        seconds, words = _counted(pair, now)
    told = told_band(desk, width, blocks)
    rows = max(height - 3 - len(told), digits.LEAST_ROWS)
    counted = times.digits(seconds) if counting is None else times.tenths(seconds)
    shape = digits.best(counted, width * 3 // 5, rows, blocks=blocks)
    wide = max((len(line) for line in shape), default=0)
    words = [line for text in words for line in looks.wrapped(text, width - wide - 5)]
    out: list[Row] = [head, ()]
    for number in range(max(len(shape), len(words))):
        left = shape[number] if number < len(shape) else ""
        word = words[number] if number < len(words) else ""
        out.append(((f"  {left:<{wide}}   ", "digits"), (word, "strong" if number == 0 else "plain")))
    others = [one for one in desk.clocks() if pair is None or one.clock is not pair.clock]
    spare = max(height - len(out) - len(told), 0)
    out += [line_of(one, now, width) for one in others[:spare]]
    return [*out[: height - len(told)], *[()] * (height - len(out) - len(told)), *told]


def _counted(pair: BladeClock, now: datetime) -> tuple[float, list[str]]:
    """Return what a clock's digits count, in seconds, and in words: each to be wrapped beside them."""
    found = shown_mark(pair.clock, now)
    if found is None:
        return 0.0, [clock_name(pair)]
    mark, moment, verb = found
    seconds = seconds_shown(moment, now)
    unit = times.digits_unit(seconds)
    says = showable(mark.says, 80).upper()
    head = {"to": f"{unit} to {says}", "shuts": f"{unit} left: {says}", "since": f"{unit} LATE: {says}"}[verb]
    do = ["", f"do: {showable(mark.do, 300)}"] if mark.do else []
    return seconds, [head, window_words(mark, now), clock_name(pair), *do]


class HotPane(Pane):
    """The time of a hot step, large."""

    def rows(self, width: int, height: int) -> list[Row]:
        """Return what `hot_rows` gives."""
        return hot_rows(self.desk, width, height, self.blocks)
