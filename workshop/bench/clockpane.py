"""The clocks of all blades: the most urgent in digits with its next marks, the others a line each."""

from __future__ import annotations

from datetime import datetime

from workshop.bench import digits, looks, times
from workshop.bench.curing import air_words, pace_words
from workshop.bench.desk import BladeClock, Desk
from workshop.bench.looks import Row
from workshop.bench.pane import Pane
from workshop.build.clock import Clock, Mark, Stage, due, next_moment, stage_of
from workshop.showable import showable


def shown_mark(clock: Clock, now: datetime) -> tuple[Mark, datetime, str] | None:
    """Return what a clock's digits count: the mark, its moment, and "to", "shuts" or "since".

    An unanswered mark whose window is open counts to its shutting; one that has shut, or an instant that was
    reached, counts up.
    """
    waiting = due(clock, now)
    if waiting:
        mark = waiting[0]
        if mark.shuts is not None and mark.shuts > now:
            return mark, mark.shuts, "shuts"
        return mark, mark.shuts or mark.opens, "since"
    moment = next_moment(clock, now)
    if moment is None:
        return None
    return moment.mark, moment.at, "to" if moment.verb == "opens" else "shuts"


def seconds_shown(moment: datetime, now: datetime) -> float:
    """Return the seconds the digits show, to a moment ahead or since one behind."""
    return abs((moment - now).total_seconds())


def window_words(mark: Mark, now: datetime) -> str:
    """Return when a mark opens and shuts, as far as that still lies ahead or was missed."""
    opens = (
        f"opens {times.when(mark.opens, now)}" if now < mark.opens else f"since {times.when(mark.opens, now)}"
    )
    if mark.shuts is None:
        return opens.replace("opens", "at")
    shuts = "shut" if now >= mark.shuts else "shuts"
    return f"{opens}, {shuts} {times.when(mark.shuts, now)}"


def clock_name(pair: BladeClock) -> str:
    """Return a clock's name with its blade's."""
    return f"{showable(pair.blade.name, 30)} · {showable(pair.clock.title, 60)}"


def line_of(pair: BladeClock, now: datetime, width: int, doing: str = "") -> Row:
    """Return one clock in one line: whose, what is next, and how long that is."""
    whose = f"{showable(pair.blade.name, 30)} · {showable(pair.clock.title, 60).partition(',')[0]}"
    found = shown_mark(pair.clock, now)
    if found is None:
        return looks.beside(looks.row(whose), looks.row("no mark left", "quiet"), width)
    mark, moment, verb = found
    if "stands still" in doing and verb == "to":
        whose_width = max(width - 24, 8)
        return looks.beside(
            looks.row(looks.clipped(whose, whose_width)), looks.row("STANDS STILL: too cold", "bad"), width
        )
    length = times.left(seconds_shown(moment, now))
    head = {"to": "", "shuts": "shuts ", "since": "LATE "}[verb]
    room = width - len(whose) - len(head) - len(length) - 3
    says = f"{looks.clipped(showable(mark.says, 60), room)} " if room >= 6 else ""
    right = f"{says}{head}{length}"
    return looks.beside(looks.row(whose), looks.row(right, "bad" if verb == "since" else "plain"), width)


def _doing_word(pair: BladeClock, doing: str) -> str:
    return (doing or showable(pair.clock.round_of, 30)).upper()


def name_row(pair: BladeClock, doing: str, width: int) -> Row:
    """Return a clock's name, and at the right edge what its joint is doing, its round, or nothing."""
    word, name = _doing_word(pair, doing), looks.row(clock_name(pair), "strong")
    return looks.beside(name, looks.row(word, "strong"), width, " ") if word else name


def name_rows(pair: BladeClock, doing: str, width: int) -> list[Row]:
    """Return the same with nothing cut, over as many lines as it needs."""
    word = _doing_word(pair, doing)
    *more, last = [looks.row(line, "strong") for line in looks.wrapped(clock_name(pair), width)]
    if not word:
        return [*more, last]
    if looks.width_of(last) + len(word) < width:
        return [*more, looks.beside(last, looks.row(word, "strong"), width, " ")]
    return [*more, last, looks.row(f"{word:>{width}}", "strong")]


def last_words(clock: Clock, mark: Mark, now: datetime, early_s: float) -> str:
    """Return the words for a mark at its last chance, else ""."""
    return "LAST CHANCE, " if stage_of(clock, mark, now, early_s) is Stage.LAST_CHANCE else ""


def urgent_rows(
    pair: BladeClock, now: datetime, width: int, blocks: bool = True, doing: str = "", early_s: float = 600.0
) -> list[Row]:
    """Return the most urgent clock: its name, its digits, and beside them what is next and what to do.

    Nothing is cut: names and instructions go on over as many lines as they need.
    """
    return [*name_rows(pair, doing, width), *_counted_rows(pair, now, width, blocks, early_s)]


def _counted_rows(pair: BladeClock, now: datetime, width: int, blocks: bool, early_s: float) -> list[Row]:
    """Return a clock's digits, three rows or more, and below them what to do."""
    lines: list[Row] = []
    found = shown_mark(pair.clock, now)
    if found is None and pair.clock.kind == "count":
        counted = times.digits(pair.clock.elapsed_s(now))
        return [*lines, *(looks.row(line, "digits") for line in digits.small(counted, blocks=blocks))]
    if found is None and not all(mark.opens <= now for mark in pair.clock.marks):
        return [*lines, looks.row("Its marks stand still: too cold to cure.", "bad")]
    if found is None:
        return [*lines, looks.row("No mark is left on it; stop it when you like.")]
    mark, moment, verb = found
    seconds = seconds_shown(moment, now)
    shape = digits.small(times.digits(seconds), blocks=blocks)
    unit = times.digits_unit(seconds)
    says = showable(mark.says, 80)
    head = {
        "to": f"{unit} to {says.upper()}",
        "shuts": f"{last_words(pair.clock, mark, now, early_s)}{unit} left: {says.upper()}",
        "since": f"{unit} LATE: {says}",
    }
    wide = max(len(line) for line in shape)
    room = max(width - wide - 2, 12)
    window = window_words(mark, now)
    words = looks.wrapped(head[verb], room)[:2]
    words += [window] if len(window) <= room else window.split(", ")
    for number in range(max(3, len(words))):
        part = shape[number] if number < 3 else ""
        word = words[number] if number < len(words) else ""
        look = "bad" if verb == "since" and number == 0 else "strong" if number == 0 else "plain"
        lines.append(((f"{part:<{wide}}  ", "digits"), (word, look)))
    if mark.do:
        lines += [looks.row(line) for line in looks.wrapped(f"do: {showable(mark.do, 160)}", width, 2)]
    if verb == "since" and mark.late:
        late = looks.wrapped(f"late: {showable(mark.late, 160)}", width, 2)
        lines += [looks.row(line, "warn") for line in late]
    return lines


def ahead_rows(clock: Clock, now: datetime, width: int) -> list[Row]:
    """Return what else comes on a clock after the mark its digits count to."""
    found = shown_mark(clock, now)
    later = [mark for mark in clock.marks if mark.opens > now and (found is None or mark.id != found[0].id)]
    passed = [mark for mark in clock.marks if mark.opens <= now and (found is None or mark.id != found[0].id)]
    about = [says for says in (air_words(clock, now), pace_words(clock)) if says]
    lines = [looks.row(line) for says in about for line in looks.wrapped(showable(says, 200), width, 2)]
    if passed:
        last = max(passed, key=lambda mark: mark.shuts if mark.shuts and mark.shuts <= now else mark.opens)
        lines.append(looks.row(f"passed {times.when(last.opens, now)}  {showable(last.says, 80)}", "quiet"))
    lines += [looks.row("next on this clock", "heading")] if later else []
    for mark in later:
        if mark.stands_still:
            lines.append(looks.row(f"  stands still  {showable(mark.says, 80)}", "bad"))
            continue
        do = f": {mark.do}" if mark.do else ""
        shuts = f" to {times.when(mark.shuts, now)}" if mark.shuts else ""
        text = f"{times.when(mark.opens, now)}{shuts}  {showable(mark.says + do, 160)}"
        lines += [looks.row(f"  {line}") for line in looks.wrapped(text, width - 2, 2)]
    return lines


def clock_rows(desk: Desk, width: int, height: int, blocks: bool = True) -> list[Row]:
    """Return the pane: heading, the most urgent clock, the others a line each, then what comes after."""
    now = desk.now()
    pairs = desk.clocks()
    count = f"{len(pairs)} running" if pairs else ""
    head = looks.ruled("clocks", count, width)
    if not pairs:
        return [head, looks.row("No clock runs."), *_soonest_words(desk)]
    doing = desk.doing(pairs[0])
    first = urgent_rows(pairs[0], now, width, blocks, doing, desk.shop.settings.early_s)
    caution = showable(pairs[0].clock.caution, 200)
    first += [looks.row(line, "warn") for line in looks.wrapped(caution, width, 2) if caution]
    near = pairs[1 : height + 1]
    others = [line_of(pair, now, width, desk.doing(pair)) for pair in near]
    room = height - 1 - len(first)
    if len(others) > room:
        counted = _counted_rows(pairs[0], now, width, blocks, desk.shop.settings.early_s)
        first, room = [name_row(pairs[0], doing, width), *counted[:3]], height - 5
    if len(others) > room:
        shown = max(room - 1, 0)
        others = [*others[:shown], looks.row(f"and {len(pairs) - 1 - shown} more: W wall, R rack")]
    lines = [head, *first, *others]
    return [*lines, *ahead_rows(pairs[0].clock, now, width)][:height]


def _soonest_words(desk: Desk) -> list[Row]:
    step = desk.step
    if step is None or not step.clocks:
        return []
    return [
        looks.row(f"This step has one: {', '.join(showable(plan.title, 40) for plan in step.clocks)} (C).")
    ]


class ClockPane(Pane):
    """The clocks at the bench."""

    def rows(self, width: int, height: int) -> list[Row]:
        """Return what `clock_rows` gives."""
        return clock_rows(self.desk, width, height, self.blocks)
