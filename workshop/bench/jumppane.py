"""The laptop's clock has jumped: in words what happened, and one key each for which clock was right."""

from __future__ import annotations

from workshop.bench import looks, times
from workshop.bench.desk import Desk
from workshop.bench.jumps import Jumps
from workshop.bench.looks import Row
from workshop.bench.pane import Done, Pane
from workshop.showable import showable

MOST = 5
"""Clocks that are shown as examples of what the answer means."""


def jump_rows(desk: Desk, jumps: Jumps, width: int) -> list[Row]:
    """Return what happened, what each answer means, and how the next marks would then stand."""
    if jumps.pending is None:
        return [looks.row("The laptop's clock has not jumped.")]
    judged, then = jumps.pending
    now = desk.now()
    out: list[Row] = [
        looks.ruled("THE LAPTOP'S CLOCK HAS JUMPED", "nothing is moved before you say", width, "bad"),
        (),
        *(looks.row(line, "strong") for line in looks.wrapped(showable(judged.says, 300), width)),
        (),
        looks.row(f"  it was, when last looked at     {times.day_time(then.utc)}"),
        looks.row(f"  it is now                       {times.day_time(now)}", "strong"),
        (),
        (
            (" N  ", "strong"),
            ("it is right as it is NOW: clocks that were started by the wrong one are set right", "plain"),
        ),
    ]
    if jumps.started_before():
        out.append(
            (
                (" S  ", "strong"),
                ("right now, and wrong only SINCE THE LAPTOP WAS STARTED: older clocks stay", "plain"),
            )
        )
    out += [
        (
            (" B  ", "strong"),
            ("it was right BEFORE: marks go on by the old one; put the laptop's clock right", "plain"),
        ),
        (),
    ]
    return [*out, *_begun_rows(desk, width)]


def _begun_rows(desk: Desk, width: int) -> list[Row]:
    """Return which clocks the answer is about, and when they were started by the clock there was."""
    rows = []
    for pair in desk.clocks()[:MOST]:
        name = showable(f"{pair.blade.name} · {pair.clock.title}", 60)
        when = times.when(pair.clock.started, desk.now())
        rows.append(looks.row(looks.clipped(f"  {name}: started {when} by its clock", width)))
    return rows


class JumpPane(Pane):
    """The question on the screen."""

    where = "jump"
    jumps: Jumps | None = None

    def rows(self, width: int, height: int) -> list[Row]:
        """Return what `jump_rows` gives."""
        return [] if self.jumps is None else jump_rows(self.desk, self.jumps, width)[:height]

    def do(self, command: str) -> None:
        """Take the maker's word for it."""
        if self.jumps is not None:
            if command == "clock-before":
                self.jumps.right_before()
            else:
                recent = command == "clock-recent" and self.jumps.started_before()
                self.jumps.right_now(only_since_start=recent)
        self.post_message(Done())
