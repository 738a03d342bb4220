"""The call: a mark comes soon, has come, is at its last chance or too late. The whole screen says so.

Each of the four has words and a shape of its own: how dense its bands are and how many, and for the last two
the whole screen turns light and dark each second. It stays until it is seen.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from workshop.bench import digits, looks, times
from workshop.bench.desk import Call, Desk
from workshop.bench.looks import Row
from workshop.bench.pane import Done, Pane
from workshop.build.clock import Stage
from workshop.showable import showable

HARM_WORDS = {1: "little harm", 2: "costs hours", 3: "can cost the blade or the handle"}
"""What missing a mark costs, by its harm."""

TITLES = {
    Stage.SOON: "EARLY WARNING: COMES SOON",
    Stage.OPEN: "A MARK HAS COME",
    Stage.LAST_CHANCE: "LAST CHANCE",
    Stage.TOO_LATE: "TOO LATE",
}
AWAY = "CAME WHILE YOU WERE AWAY"

SHAPES = {
    Stage.SOON: ("-   ", "  - "),
    Stage.OPEN: ("█ ", " █"),
    Stage.LAST_CHANCE: ("██  ", "  ██"),
    Stage.TOO_LATE: ("███ ", " ███"),
}
"""What the bands are made of, in even and odd seconds."""

BANDS = {Stage.SOON: (1, 0), Stage.OPEN: (1, 1), Stage.LAST_CHANCE: (2, 1), Stage.TOO_LATE: (2, 2)}
"""How many bands there are above and below."""

TURNING = (Stage.LAST_CHANCE, Stage.TOO_LATE)
"""Stages at which the whole screen turns light and dark."""


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
    if call.stage is Stage.SOON:
        return f"comes {times.when(mark.opens, now)}, in {length(mark.opens - now)}", "strong"
    came = f"came {times.when(mark.opens, now)}"
    if mark.shuts is None:
        return f"{came}, {length(now - mark.opens)} ago", "strong"
    if now < mark.shuts:
        left = length(mark.shuts - now)
        return (
            f"OPEN since {times.when(mark.opens, now)}, shuts {times.when(mark.shuts, now)}: {left} left",
            "bad" if call.stage is Stage.LAST_CHANCE else "warn",
        )
    gone = length(now - mark.shuts)
    return f"MISSED: {came}, shut {times.when(mark.shuts, now)}, {gone} ago", "bad"


def counted(call: Call, now: datetime) -> str:
    """Return what the digits count: what is left to it or of its window, else how late it is, with a +."""
    mark = call.mark
    if call.stage is Stage.SOON:
        return times.digits((mark.opens - now).total_seconds())
    if mark.shuts is not None and now < mark.shuts:
        return times.digits((mark.shuts - now).total_seconds())
    return "+" + times.digits((now - (mark.shuts or mark.opens)).total_seconds())


def band(title: str, now: datetime, width: int, blocks: bool = True, stage: Stage = Stage.OPEN) -> Row:
    """Return a full line across the screen whose shape changes each second, a title set into it."""
    pair = SHAPES.get(stage, SHAPES[Stage.OPEN])[now.second % 2].replace("█", "█" if blocks else "#")
    words = f"  {title}  " if title else ""
    side = max((width - len(words)) // 2, 0)
    left = (pair * (side // 2 + 1))[:side]
    right = (pair * (width // 2 + 1))[: max(width - side - len(words), 0)]
    look = "strong" if stage is Stage.SOON else "alarm"
    return ((left, look), (looks.clipped(words, width), look), (right, look))


def call_rows(
    desk: Desk, since: datetime, width: int, height: int, blocks: bool = True, away_says: str = ""
) -> list[Row]:
    """Return the call: the most harmful mark first, what to do, how late, and what else has come.

    since: when the program was opened, or the laptop woke; marks that came before it were missed while away,
    which away_says tells the reason of.
    """
    calls = desk.calls()
    if not calls:
        return []
    now, first = desk.now(), calls[0]
    away = first.mark.opens < since
    title = TITLES.get(first.stage, TITLES[Stage.OPEN])
    if away:
        title = f"{title} · {AWAY}" if first.stage in TURNING else AWAY
    above, below = BANDS.get(first.stage, (1, 1))
    count = f" · 1 of {len(calls)}, most harmful first" if len(calls) > 1 else ""
    top = [band(f"{title}{count}", now, width, blocks, first.stage)]
    top += [band("", now, width, blocks, first.stage)] * (above - 1)
    if away and away_says:
        top.append(looks.row(f"  {showable(away_says, 200)}", "quiet"))
    top.append(looks.row(f"  {whose(first)}", "strong"))
    words, others = _words(first, now, width), _others(calls[1:], now, width)
    fixed = len(top) + below + 1
    room = height - len(words) - len(others) - fixed
    if room < digits.LEAST_ROWS:
        others = others[: max(len(others) + room - digits.LEAST_ROWS, 0)]
        room = height - len(words) - len(others) - fixed
    big = [
        looks.row(f"  {line}", "digits")
        for line in digits.best(counted(first, now), width - 4, room, blocks=blocks)
    ]
    body = [*top, *big, *words, *others]
    gap = [looks.row("")] * max(height - len(body) - below, 0)
    foot = [band(title if number == 0 else "", now, width, blocks, first.stage) for number in range(below)]
    rows = [*[*body, *gap][: max(height - below, 0)], *foot][:height]
    return _turned(rows, width) if first.stage in TURNING and now.second % 2 else rows


def _turned(rows: list[Row], width: int) -> list[Row]:
    """Return rows dark on light, the bands light on dark."""
    return [
        tuple((text, "strong" if look == "alarm" else "here") for text, look in looks.fitted(line, width))
        for line in rows
    ]


def _words(call: Call, now: datetime, width: int) -> list[Row]:
    mark = call.mark
    window, look = window_line(call, now)
    rows = [looks.row(f"  {showable(mark.says, 100).upper()}", "strong"), looks.row(f"  {window}", look)]
    missed = mark.shuts is not None and now >= mark.shuts
    word = "then" if call.stage is Stage.SOON else "do"
    advice = [("if late", mark.late)] if missed and mark.late else []
    if not missed or not mark.late:
        advice = [(word, mark.do), *([("if late", mark.late)] if mark.late else [])]
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
        text = f"  and: {whose(one)}: {showable(one.mark.says, 60)}, {times.when(one.mark.opens, now)}"
        late = {Stage.TOO_LATE: "TOO LATE", Stage.LAST_CHANCE: "LAST CHANCE", Stage.SOON: "soon"}
        word = late.get(one.stage, "")
        rows.append(looks.beside(looks.row(text), looks.row(word, "bad"), width) if word else looks.row(text))
    if len(calls) > 4:
        rows.append(looks.row(f"  and {len(calls) - 4} more"))
    return rows


def told_band(desk: Desk, width: int, blocks: bool = True) -> list[Row]:
    """Return the line that tells of a mark while the hands are full, in the shape of its stage."""
    calls = desk.calls()
    if not calls:
        return []
    first = calls[0]
    more = f" (+{len(calls) - 1})" if len(calls) > 1 else ""
    word = {Stage.SOON: "SOON", Stage.LAST_CHANCE: "LAST CHANCE", Stage.TOO_LATE: "TOO LATE"}
    says = (
        f"{word.get(first.stage, 'MARK')} {first.blade.name} · {first.mark.says}, "
        f"{times.when(first.mark.opens, desk.now())}{more} · told, not asked"
    )
    return [band(showable(says, max(width - 6, 10)), desk.now(), width, blocks, first.stage)]


class CallPane(Pane):
    """The call on the screen."""

    where = "call"
    blocks = True

    def __init__(self, desk: Desk, *, id: str | None = None, classes: str | None = None) -> None:
        """Set the pane up; what came before now came while the maker was away."""
        super().__init__(desk, id=id, classes=classes)
        self.since = desk.now()
        self.away_says = ""

    def rows(self, width: int, height: int) -> list[Row]:
        """Return what `call_rows` gives."""
        return call_rows(self.desk, self.since, width, height, self.blocks, self.away_says)

    def do(self, command: str) -> None:
        """Answer the mark that is shown, or let it call again at its next stage."""
        calls = self.desk.calls()
        acts = {"answer": self.desk.seen, "done": self.desk.answer, "later": self.desk.later}
        if calls and command in acts:
            acts[command](calls[0])
            self.post_message(Done())
