"""The step in hand in full: why, before, checks, values, what goes wrong, cautions; in pages where long."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import zip_longest

from workshop import measure
from workshop.bench import looks, times
from workshop.bench.desk import Desk
from workshop.bench.looks import Row
from workshop.bench.pane import Pane
from workshop.bench.startnow import clash_rows
from workshop.build import standing
from workshop.build.blade import Blade, Slip, State, Value
from workshop.build.route import Entry, Step
from workshop.build.values import unlikely
from workshop.shelf import slips
from workshop.showable import showable

NOW = "NOW   "
"""How the check that Space ticks next is marked."""

FEWEST_LINES = 4
"""With fewer lines, while a list or a prompt is open below, there is no turning of pages."""

TWO_COLUMNS = 76
"""From this width on, checks and values stand side by side."""


def card_rows(desk: Desk, width: int) -> list[Row]:
    """Return everything the card of the step looked at says, in full, at a width."""
    blade, step = desk.blade, desk.step
    if blade is None or step is None:
        return [looks.row("No step is looked at.")]
    state = desk.states()[step.id]
    work = _work(desk, blade, step, width)
    why = [*_said("", step.purpose, width), *_way_back(step, width)]
    danger = [
        *_said("goes wrong", step.mistake, width),
        *_said("costs", step.cost, width),
        *(line for one in step.cautions for line in _said("caution", one, width, "warn")),
        *_said("protect", "; ".join(step.protect), width),
    ]
    before = _before(desk, blade, step, width)
    after = [*_spoils(blade, step, width), *_slips(blade, step, width), *_history(blade, step, width)]
    if state in (State.IN_HAND, State.RESTING):
        return [*work, *danger, *why, *before, *after]
    return [*why, *before, *danger, *work, *after]


def pages(lines: list[Row], height: int) -> list[list[Row]]:
    """Return the card's lines cut into pages of a height."""
    room = max(height, 1)
    return [lines[first : first + room] for first in range(0, len(lines), room)] or [[]]


def _page_of_now(all_pages: list[list[Row]]) -> int:
    """Return the page with the check that Space ticks next; the first where there is none."""
    return next(
        (at for at, page in enumerate(all_pages) if any(row and row[0][0].startswith(NOW) for row in page)), 0
    )


def hours(seconds: Iterable[float], words: str) -> str:
    """Return how long a step takes, from the recipe's range: "45 min by hand", "2 to 4 h waiting"."""
    ends = list(dict.fromkeys(times.words(one) for one in seconds))
    if len(ends) == 2 and ends[0] == "24 h" and ends[1].endswith("days"):
        ends[0] = "1 day"
    first, last = (end.split() for end in (ends[0], ends[-1])) if ends else ([], [])
    if len(ends) == 2 and len(first) == len(last) == 2 and first[1].rstrip("s") == last[1].rstrip("s"):
        ends[0] = first[0]
    return f"{' to '.join(ends)} {words}" if ends else ""


def _said(word: str, text: str, width: int, look: str = "plain") -> list[Row]:
    """Return a sentence over its lines, its word in front."""
    if not text:
        return []
    head = f"{word}: " if word else ""
    lines = looks.wrapped(head + showable(text, 1000), width, 2)
    first: Row = ((head, "strong" if look == "plain" else look), (lines[0][len(head) :], "plain"))
    return [first, *(looks.row(line) for line in lines[1:])]


def _way_back(step: Step, width: int) -> list[Row]:
    lines: list[Row] = []
    if step.one_way:
        lines += _said("1way", "no way back from this step in steel, wood or glue.", width, "bad")
    if step.way_back:
        lines += _said("way back", step.way_back, width)
    return lines


def _work(desk: Desk, blade: Blade, step: Step, width: int) -> list[Row]:
    """Return checks and values: side by side where there is room."""
    two = width >= TWO_COLUMNS
    left_width = width * 11 // 20 if two else width
    ticked = blade.progress(step.id).ticked
    checks: list[Row] = []
    following = desk.natural()
    ticking = following.item if following is not None and following.act is standing.Act.TICK else ""
    words = iter((NOW, "next  ") if ticking else ())
    for check in step.checks:
        later = check in step.after_rest and ticking not in step.after_rest
        word = "ticked" if check in ticked else "later " if later else next(words, "check ")
        look = {"ticked": "good", NOW: "strong"}.get(word, "plain")
        first, *more = looks.wrapped(showable(check, 400), left_width - 10)
        checks.append(((f"{word}  ", look), (first, "plain")))
        checks += [looks.row(" " * 8 + line) for line in more]
    value_width = width - left_width - 2 if two else width
    values = [line for entry in step.records for line in _value(desk, blade, step, entry, value_width)]
    values += [
        line
        for plan in standing.unstarted_clocks(blade, step)
        for line in _said("clock", f"{plan.title}, not started (C)", value_width)
    ]
    if not two:
        return [*checks, *values]
    return [
        (*looks.fitted(check, left_width), ("  ", "plain"), *value)
        for check, value in zip_longest(checks, values, fillvalue=())
    ]


def _value(desk: Desk, blade: Blade, step: Step, entry: Entry, width: int) -> list[Row]:
    """Return a value's line: what is written with where it comes from, or what is asked with its limits."""
    value = blade.values.get(entry.name)
    limits = limit_words(entry)
    if value is None:
        need = "needed" if entry.needed else "asked"
        shown = f"{need}: {showable(entry.says, 120)}" + (f" ({limits})" if limits else "")
        return [looks.row(line, "plain") for line in looks.wrapped(shown, width, 2)]
    other = f" (at {value.step})" if value.step and value.step != step.id else ""
    kept = f", kept: {showable(value.why, 120)}" if value.why else ""
    text = showable(value.text, 120) + _other_unit(desk, value)
    lines = looks.wrapped(f"{showable(entry.says, 120)}: {text}{other}{kept}", width, 2)
    rows = [looks.row(line, "strong") for line in lines]
    if value.step == step.id and unlikely(entry, value):
        rows += [looks.row(line, "warn") for line in looks.wrapped(f"  not likely: {limits}", width, 2)]
    return rows


def _other_unit(desk: Desk, value: Value) -> str:
    """Return the value as the maker likes it shown, where it was written in another unit."""
    if value.si is None or value.kind not in ("length", "temperature", "mass"):
        return ""
    shown = measure.show(value.si, value.kind, desk.shop.prefer)
    return "" if value.text.endswith(shown.split()[-1]) else f" = {shown}"


def limit_words(entry: Entry) -> str:
    """Return an entry's likely limits, options or hint, in words."""
    if entry.options:
        return ", ".join(entry.options)
    if entry.least and entry.most:
        return f"{entry.least} to {entry.most}"
    if entry.least or entry.most:
        return f"at least {entry.least}" if entry.least else f"at most {entry.most}"
    return entry.hint or entry.unit


def _before(desk: Desk, blade: Blade, step: Step, width: int) -> list[Row]:
    waits = [waiting.says for waiting in standing.waits_for(blade, step, desk.now())]
    states = desk.states()
    there = [one for one in step.before if one in states]
    done = [one for one in there if states[one] in (State.DONE, State.LEFT_OUT)]
    lines = _said("waits for", "; ".join(waits), width, "warn")
    if states.get(step.id) in (State.READY, State.DO_OVER):
        lines += clash_rows(desk, blade, step, width)
    lines += _said("before it", f"{', '.join(done)} done" if done else "", width)
    lines += _said("needs", "; ".join(step.needs), width)
    times_ = [hours(step.hands_on_s, "by hand"), hours(step.waiting_s, "waiting")]
    long = ", ".join(one for one in times_ if one) + (f" on {step.waiting_on}" if step.waiting_on else "")
    return lines + _said("takes", long, width)


def _spoils(blade: Blade, step: Step, width: int) -> list[Row]:
    there = [blade.route.by_id[one] for one in step.spoils if blade.route.by_id[one].there(blade.choices)]
    return _said("doing it over spoils", ", ".join(f"{one.id} {one.title}" for one in there), width)


def _slips(blade: Blade, step: Step, width: int) -> list[Row]:
    lines: list[Row] = []
    for slip in blade.slips.values():
        if slip.step != step.id:
            continue
        lines += _said(f"slip {slip.id}", slip_words(slip), width)
        for change in slips.stale(slip, blade):
            lines += _said("  stale", f"{change}; work it out again (D).", width, "warn")
    return lines


def slip_words(slip: Slip) -> str:
    """Return what a slip found, in one line."""
    found = ", ".join(
        f"{name} {value if isinstance(value, str) else f'{value:.6g}'} {unit}".strip()
        for name, (value, unit) in slip.found.items()
    )
    return f"{slip.calculator}: {found}"


def _history(blade: Blade, step: Step, width: int) -> list[Row]:
    progress = blade.progress(step.id)
    lines: list[Row] = []
    if progress.rounds > 1:
        lines += _said("done", f"{progress.rounds} times", width)
    for entry in blade.log:
        if entry.step == step.id and entry.did in (
            "start",
            "finish",
            "note",
            "do over",
            "leave out",
            "value",
        ):
            why = f" ({entry.why})" if entry.why else ""
            lines += _said(times.day_time(entry.at), f"{entry.says}{why}", width)
    return lines


class StepCard(Pane):
    """The card of the step looked at, one page at a time."""

    each_minute = True

    page = 0
    _of: tuple[object, ...] = ()

    def rows(self, width: int, height: int) -> list[Row]:
        """Return the heading and one page."""
        step = self.desk.step
        all_pages = pages(card_rows(self.desk, width), height - 1)
        if step is None:
            return [looks.ruled("step", "", width)]
        at, count = self._turned(all_pages, height)
        word = self.desk.states()[step.id].value
        sign = " · 1way" if step.one_way else ""
        head = looks.ruled(f"{step.id}  {showable(step.title, 80)} · {word}{sign}", count, width)
        return [head, *all_pages[at]]

    def _turned(self, all_pages: list[list[Row]], height: int) -> tuple[int, str]:
        """Return which page is shown and how it is counted; what Space does next is never out of sight."""
        if height < FEWEST_LINES:
            return _page_of_now(all_pages), ""
        of = (self.desk.key, self.desk.step_id, self.desk.natural())
        if of != self._of:
            self._of, self.page = of, _page_of_now(all_pages)
        self.page = min(self.page, len(all_pages) - 1)
        return self.page, f"page {self.page + 1} of {len(all_pages)} ←→" if len(all_pages) > 1 else ""

    def turn(self, by: int) -> None:
        """Turn so many pages; it stops at both ends."""
        width, height = self.size
        count = len(pages(card_rows(self.desk, width), height - 1))
        self.page = min(max(self.page + by, 0), count - 1)
        self.show()
