"""What stands in place of list and clocks when a mark has come while the hands are full: told, not asked."""

from __future__ import annotations

from workshop.bench import digits, looks, times
from workshop.bench.desk import Call, Desk
from workshop.bench.looks import Row
from workshop.bench.pane import Pane
from workshop.build.clock import Stage
from workshop.showable import showable


def late_words(call: Call, desk: Desk) -> str:
    """Return since when a mark has been there, and whether its window is still open."""
    now, mark = desk.now(), call.mark
    if call.stage is Stage.SOON:
        return f"comes {times.when(mark.opens, now)}, in {times.words((mark.opens - now).total_seconds())}"
    since = f"came {times.when(mark.opens, now)}, {times.words((now - mark.opens).total_seconds())} ago"
    if mark.shuts is None:
        return since
    verb = "shut" if now >= mark.shuts else "shuts"
    return f"{since}; {verb} {times.when(mark.shuts, now)}"


def banner_rows(desk: Desk, width: int, height: int, blocks: bool = True) -> list[Row]:
    """Return the most harmful mark in words across the whole width, the time since in large digits."""
    calls = desk.calls()
    if not calls:
        return []
    first = calls[0]
    whose = f"{showable(first.blade.name, 30)} · {showable(first.clock.title, 60)}"
    stages = {Stage.SOON: "SOON: ", Stage.LAST_CHANCE: "LAST CHANCE: ", Stage.TOO_LATE: "TOO LATE: "}
    title = f" {stages.get(first.stage, '')}{showable(first.mark.says, 60).upper()}  {whose}"
    out: list[Row] = [looks.row(looks.padded(title, width), "alarm")]
    since = abs((desk.now() - first.mark.opens).total_seconds())
    sign = "-" if first.stage is Stage.SOON else "+"
    shape = digits.best(
        f"{sign}{times.digits(since)}", width // 2, max(digits.LEAST_ROWS, height - 3), blocks=blocks
    )
    wide = max((len(line) for line in shape), default=0)
    words = [
        late_words(first, desk),
        *(
            looks.wrapped(f"do: {showable(first.mark.do, 300)}", max(width - wide - 4, 20))
            if first.mark.do
            else []
        ),
        *(
            looks.wrapped(f"late: {showable(first.mark.late, 300)}", max(width - wide - 4, 20))
            if first.mark.late
            else []
        ),
        *(f"also: {showable(one.blade.name, 20)} · {showable(one.mark.says, 60)}" for one in calls[1:3]),
    ]
    for number in range(max(len(shape), min(len(words), height - 2))):
        left = shape[number] if number < len(shape) else ""
        word = words[number] if number < len(words) else ""
        out.append(((f"  {left:<{wide}}  ", "digits"), (word, "strong" if number == 0 else "plain")))
    tail = " told, not asked: Enter says it was seen, or it waits until the hands are free"
    return [*out[: height - 1], looks.row(looks.padded(tail, width), "alarm")]


class Banner(Pane):
    """The banner at the bench."""

    def rows(self, width: int, height: int) -> list[Row]:
        """Return what `banner_rows` gives."""
        return banner_rows(self.desk, width, height, self.blocks)
