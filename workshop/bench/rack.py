"""The rack: all blades at a glance, each with where it stands and which mark comes next."""

from __future__ import annotations

from datetime import datetime

from workshop.bench import looks, times
from workshop.bench.clockpane import seconds_shown, shown_mark
from workshop.bench.desk import BladeClock, Desk
from workshop.bench.looks import Piece, Row
from workshop.bench.pane import Pane, Went
from workshop.bench.steplist import STATE_LOOKS, state_word
from workshop.build import standing
from workshop.build.blade import CLOSED, Blade, State
from workshop.build.clock import most_urgent
from workshop.build.route import Step
from workshop.showable import showable

BLADE_ROWS = 2
MOST_UNREAD_ROWS = 8
"""Lines a blade takes on the rack."""

Place = tuple[Step | None, State | None]
"""The step a blade is at and its state; nothing when all its steps are closed."""


class Places:
    """Where each blade stands, worked out again only when the blade changed or a mark of it came."""

    def __init__(self) -> None:
        """Start with nothing known."""
        self._known: dict[str, tuple[Blade, int, Place]] = {}

    def of(self, blade: Blade, now: datetime) -> Place:
        """Return the step a blade is at and its state."""
        come = sum(mark.opens <= now for clock in blade.clocks.values() for mark in clock.marks)
        known = self._known.get(blade.key)
        if known is not None and known[0] is blade and known[1] == come:
            return known[2]
        step = standing.in_hand(blade, now)
        place: Place = (step, None if step is None else standing.state_of(blade, step, now))
        self._known[blade.key] = (blade, come, place)
        return place


def count_words(blade: Blade) -> str:
    """Return how many of a blade's steps are closed, in words."""
    own = blade.own_steps()
    closed = sum(blade.progress(step.id).state in CLOSED for step in own)
    return "all done" if closed == len(own) else f"{closed} of {len(own)} done"


def mark_piece(blade: Blade, now: datetime, width: int) -> Piece:
    """Return what comes next on a blade's most urgent clock, and how long that is."""
    running = most_urgent(blade.running(), now)
    if not running:
        return ("", "plain")
    pair = BladeClock(blade, running[0])
    more = f" (+{len(running) - 1})" if len(running) > 1 else ""
    found = shown_mark(pair.clock, now)
    if found is None:
        return (f"{looks.clipped(showable(pair.clock.title, 40), width - len(more))}{more}", "quiet")
    mark, moment, verb = found
    length = times.left(seconds_shown(moment, now))
    word = {"to": "in", "shuts": "shuts in", "since": "LATE"}[verb]
    tail = f" {word} {length}{more}"
    says = looks.clipped(showable(mark.says, 60), max(width - len(tail), 8))
    return (says + tail, "bad" if verb == "since" else "strong" if verb == "shuts" else "plain")


def blade_rows(
    blade: Blade, place: Place, here: bool, now: datetime, width: int, name_width: int
) -> list[Row]:
    """Return a blade's two lines: name, what it is, how far; then the step it is at and its next mark."""
    name = looks.padded(f"{'>' if here else ' '} {showable(blade.name, 60)}", name_width)
    count = count_words(blade)
    about = looks.padded(showable(blade.about, 120), max(width - name_width - len(count) - 2, 0))
    look = "here" if here else "strong"
    first: Row = (
        (name, look),
        (" " + about, "here" if here else "plain"),
        (" " + count, "here" if here else "plain"),
    )
    step, state = place
    mark, mark_look = mark_piece(blade, now, width // 2)
    indent = " " * (name_width + 1)
    if step is None or state is None:
        at: Row = ((indent, "plain"), ("every step is closed", "good"))
    else:
        at = (
            (indent, "plain"),
            (f"{state_word(state)} ", STATE_LOOKS[state]),
            (f"{step.id} {showable(step.title, 80)}", "plain"),
        )
    return [first, looks.beside(at, ((mark, mark_look),), width) if mark else at]


def detail_rows(blade: Blade, now: datetime, width: int, height: int) -> list[Row]:
    """Return more about one blade: who it is for, its choices, as much of its log's end as there is room."""
    chosen = "; ".join(f"{choice.ask}: {blade.choices.get(choice.id, '')}" for choice in blade.route.choices)
    begun = f"begun {times.when(blade.started, now)} on the route {blade.route.title}"
    texts = [f"for {blade.maker_for}; {begun}" if blade.maker_for else begun, chosen]
    lines = [line for text in texts for line in looks.wrapped(showable(text, 600), width, 2)]
    log = blade.log[::-1][: max(height - len(lines), 0)]
    lines += [f"{times.when(entry.at, now)}  {showable(entry.says, 300)}" for entry in log]
    return [looks.row(looks.clipped(line, width)) for line in lines]


def rack_rows(desk: Desk, at: str | None, width: int, height: int, places: Places | None = None) -> list[Row]:
    """Return the rack: heading, blades round the marked one, files that cannot be read, more on that one."""
    now = desk.now()
    where = places or Places()
    running = len(desk.clocks())
    clocks = f"{running} clock{'s' if running != 1 else ''} running" if running else "no clock runs"
    blades = f"{len(desk.blades)} blade{'s' if len(desk.blades) != 1 else ''}"
    head = looks.ruled("the rack", f"{blades}, {clocks}", width)
    if not desk.blades:
        empty = [looks.row(""), looks.row("No blade yet. N begins one.", "strong")]
        return [head, *empty, *_unread_rows(desk, width)][:height]
    name_width = min(max(len(showable(one.name, 60)) for one in desk.blades) + 2, width // 3)
    marked = next((n for n, one in enumerate(desk.blades) if one.key == at), 0)
    unread = _unread_rows(desk, width)
    room = max((height - 1 - len(unread)) // BLADE_ROWS, 1)
    first = min(max(marked - room // 2, 0), max(len(desk.blades) - room, 0))
    shown = desk.blades[first : first + room]
    lines = [head]
    for number, blade in enumerate(shown, first):
        lines += blade_rows(blade, where.of(blade, now), number == marked, now, width, name_width)
    lines += unread
    left = height - len(lines) - 2
    if left >= 2:
        title = showable(desk.blades[marked].name, 60)
        more = detail_rows(desk.blades[marked], now, width, left)
        lines += [looks.row(""), looks.ruled(title, "", width), *more]
    return lines[:height]


def _unread_rows(desk: Desk, width: int) -> list[Row]:
    """Return what is the matter with files; many of them leave the blades their room."""
    rows: list[Row] = []
    for number, one in enumerate(desk.unread):
        lines = looks.wrapped(showable(one.says(), 400), width, 2)
        if number and len(rows) + len(lines) >= MOST_UNREAD_ROWS:
            left = len(desk.unread) - number
            more = f"and {left} more; on the command line 'workshop' names them all."
            return [*rows, looks.row(more, "bad")]
        rows += [looks.row(line, "bad") for line in lines]
    return rows


class Rack(Pane):
    """The rack on the screen."""

    where = "rack"
    at: str | None = None
    """The key of the marked blade."""

    def __init__(self, desk: Desk, *, id: str | None = None, classes: str | None = None) -> None:
        """Set the pane up."""
        super().__init__(desk, id=id, classes=classes)
        self._places = Places()

    def opened(self) -> None:
        """Mark the blade in hand, else the first one."""
        self.at = self.desk.key if self.desk.key is not None else self.at

    def rows(self, width: int, height: int) -> list[Row]:
        """Return what `rack_rows` gives."""
        return rack_rows(self.desk, self.at, width, height, self._places)

    def do(self, command: str) -> None:
        """Move the mark, take a blade to the bench, begin a new one, or go back."""
        marked = self._marked()
        if command == "open":
            if marked is None:
                self.post_message(Went("start"))
                return
            self.desk.open(marked.key)
            self.post_message(Went("bench"))
        elif command == "new":
            self.post_message(Went("start"))
        elif command in ("row-up", "row-down"):
            self._move(1 if command == "row-down" else -1)
        elif command in ("page-up", "page-down"):
            page = max((self.size.height - 1) // BLADE_ROWS, 1)
            self._move(page if command == "page-down" else -page)

    def _marked(self) -> Blade | None:
        blades = self.desk.blades
        return next((one for one in blades if one.key == self.at), blades[0] if blades else None)

    def _move(self, by: int) -> None:
        keys = [one.key for one in self.desk.blades]
        if keys:
            now = keys.index(self.at) if self.at in keys else 0
            self.at = keys[min(max(now + by, 0), len(keys) - 1)]
            self.show()
