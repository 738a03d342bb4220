"""The call: a mark has come. The whole screen says so, in words and shape, until it is answered."""

from __future__ import annotations

from datetime import datetime, timedelta

from workshop.bench import digits, looks, times
from workshop.bench.desk import Call, Desk
from workshop.bench.looks import Row
from workshop.bench.pane import Done, Pane
from workshop.showable import showable

HARM_WORDS = {1: "little harm", 2: "costs hours", 3: "can cost the blade or the handle"}
"""What missing a mark costs, by its harm."""


def whose(call: Call) -> str:
    """Return which blade and which of its clocks calls."""
    return f"{showable(call.blade.name, 40)} · {showable(call.clock.title, 60)}"


def length(span: timedelta) -> str:
    """Return a length of time in words that agree with the digits: whole minutes, none begun."""
    seconds = span.total_seconds()
    return times.words(seconds if seconds < 60 else seconds // 60 * 60)


def window_line(call: Call, now: datetime) -> tuple[str, str]:
    """Return in words whether there is still time, and the look of it."""
    mark = call.mark
    came = f"came {times.when(mark.opens, now)}"
    if mark.shuts is None:
        return f"{came}, {length(now - mark.opens)} ago", "strong"
    if now < mark.shuts:
        left = length(mark.shuts - now)
        return (
            f"OPEN since {times.when(mark.opens, now)}, shuts {times.when(mark.shuts, now)}: {left} left",
            "warn",
        )
    gone = length(now - mark.shuts)
    return f"MISSED: {came}, shut {times.when(mark.shuts, now)}, {gone} ago", "bad"


def counted(call: Call, now: datetime) -> str:
    """Return what the digits count: what is left of an open window, else how long ago, with a +."""
    mark = call.mark
    if mark.shuts is not None and now < mark.shuts:
        return times.digits((mark.shuts - now).total_seconds())
    return "+" + times.digits((now - (mark.shuts or mark.opens)).total_seconds())


def band(title: str, now: datetime, width: int, blocks: bool = True) -> Row:
    """Return a full line across the screen whose shape changes each second, a title set into it."""
    ink = "█" if blocks else "#"
    pair = (ink + " ") if now.second % 2 else (" " + ink)
    words = f"  {title}  "
    side = max((width - len(words)) // 2, 0)
    left = (pair * (side // 2 + 1))[:side]
    right = (pair * (width // 2 + 1))[: max(width - side - len(words), 0)]
    return ((left, "alarm"), (looks.clipped(words, width), "alarm"), (right, "alarm"))


def call_rows(desk: Desk, since: datetime, width: int, height: int, blocks: bool = True) -> list[Row]:
    """Return the call: the most harmful mark first, what to do, how late, and what else has come.

    since: when the program was opened; marks that came before it were missed while away.
    """
    calls = desk.calls()
    if not calls:
        return []
    now, first = desk.now(), calls[0]
    away = first.mark.opens < since
    title = "CAME WHILE YOU WERE AWAY" if away else "A MARK HAS COME"
    count = f" · 1 of {len(calls)}, most harmful first" if len(calls) > 1 else ""
    words = _words(first, now, width)
    others = _others(calls[1:], now, width)
    room = height - len(words) - len(others) - 3
    shape = digits.best(counted(first, now), width - 4, room, blocks=blocks)
    top = [band(f"{title}{count}", now, width, blocks), looks.row(f"  {whose(first)}", "strong")]
    big = [looks.row(f"  {line}", "digits") for line in shape]
    if not big and room < digits.LEAST_ROWS:
        others = others[: max(len(others) + room - digits.LEAST_ROWS, 0)]
        room = height - len(words) - len(others) - 3
        big = [looks.row(f"  {line}", "digits") for line in digits.best(counted(first, now), width - 4, room)]
    body = [*top, *big, *words, *others]
    gap = [looks.row("")] * max(height - len(body) - 1, 0)
    return [*[*body, *gap][: height - 1], band(title, now, width, blocks)]


def _words(call: Call, now: datetime, width: int) -> list[Row]:
    mark = call.mark
    window, look = window_line(call, now)
    rows = [looks.row(f"  {showable(mark.says, 100).upper()}", "strong"), looks.row(f"  {window}", look)]
    missed = mark.shuts is not None and now >= mark.shuts
    advice = [("if late", mark.late)] if missed and mark.late else []
    if not missed or not mark.late:
        advice = [("do", mark.do), *([("if late", mark.late)] if mark.late else [])]
    for word, text in advice:
        if text:
            lines = looks.wrapped(f"{word}: {showable(text, 400)}", width - 4, 2)
            rows += [
                looks.row(f"  {line}", "warn" if word == "if late" and missed else "plain") for line in lines
            ]
    rows.append(looks.row(f"  missing it: {HARM_WORDS.get(mark.harm, HARM_WORDS[3])}", "quiet"))
    return rows


def _others(calls: list[Call], now: datetime, width: int) -> list[Row]:
    rows: list[Row] = []
    for one in calls[:4]:
        text = f"  then: {whose(one)}: {showable(one.mark.says, 60)}, {times.when(one.mark.opens, now)}"
        rows.append(looks.row(looks.clipped(text, width)))
    if len(calls) > 4:
        rows.append(looks.row(f"  and {len(calls) - 4} more"))
    return rows


class CallPane(Pane):
    """The call on the screen."""

    where = "call"
    blocks = True

    def __init__(self, desk: Desk, *, id: str | None = None, classes: str | None = None) -> None:
        """Set the pane up; what came before now came while the maker was away."""
        super().__init__(desk, id=id, classes=classes)
        self.since = desk.now()

    def rows(self, width: int, height: int) -> list[Row]:
        """Return what `call_rows` gives."""
        return call_rows(self.desk, self.since, width, height, self.blocks)

    def do(self, command: str) -> None:
        """Answer the mark that is shown."""
        calls = self.desk.calls()
        if command == "answer" and calls:
            self.desk.answer(calls[0])
            self.post_message(Done())
