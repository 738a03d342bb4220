"""The last look: what must be true before a step with no way back."""

from __future__ import annotations

from workshop.bench import handsfull, looks
from workshop.bench.desk import Desk
from workshop.bench.looks import Row
from workshop.bench.pane import Done, Pane, Tried, Went
from workshop.bench.startnow import StartNow, StartWith, rehearsal_row
from workshop.bench.stepcard import slip_words
from workshop.build.blade import Blade
from workshop.build.route import Step
from workshop.shelf import slips
from workshop.showable import showable


def line_rows(text: str, number: int, true: bool, here: bool, width: int) -> list[Row]:
    """Return one line of the last look: whether it is true, in words, its number, its text."""
    word = "TRUE " if true else "true?"
    head = f"{'>' if here else ' '} {word} {number:>3}  "
    look = "here" if here else "good" if true else "strong"
    lines = looks.wrapped(showable(text, 400), width - len(head))
    return [
        ((head, look), (looks.padded(lines[0], width - len(head)), "here" if here else "plain")),
        *(looks.row(" " * len(head) + line) for line in lines[1:]),
    ]


def beside_rows(desk: Desk, blade: Blade, step: Step, width: int, start_now: StartNow) -> list[Row]:
    """Return what is read beside the lines: slips, the clocks' windows if started now, cautions."""
    out: list[Row] = []
    for slip in blade.slips.values():
        if slip.step == step.id:
            out += _said(f"slip {slip.id}", slip_words(slip), width)
            for change in slips.stale(slip, blade):
                out += _said("  stale", change, width, "warn")
    plan = handsfull.run_plan(blade, step)
    entries = desk.entries_for(plan.id) if plan is not None else []
    entry = entries[0] if entries else None
    out += _said("rehearsal", rehearsal_row(desk, blade, step, entry), width, "bad")
    if plan is not None:
        name = plan.title if entry is None else f"{plan.title}, {entry.title}"
        out.append(looks.row(f"if the clock starts now: {showable(name, 80)}", "strong"))
    out += start_now.rows(desk, step, plan, StartWith(entry), width)
    for caution in (*step.cautions, blade.route.caution):
        out += _said("caution", caution, width, "warn")
    return out


def _said(word: str, text: str, width: int, look: str = "strong") -> list[Row]:
    if not text:
        return []
    head = f"{word}: "
    lines = looks.wrapped(head + showable(text, 600), width, 2)
    return [((head, look), (lines[0][len(head) :], "plain")), *(looks.row(line) for line in lines[1:])]


class LastLook(Pane):
    """The last look of the step looked at."""

    each_minute = True

    where = "lastlook"
    at = 0
    page = 0

    def __init__(self, desk: Desk, *, id: str | None = None, classes: str | None = None) -> None:
        """Set the pane up."""
        super().__init__(desk, id=id, classes=classes)
        self._start_now = StartNow()

    def opened(self) -> None:
        """Begin at the first line that is not said to be true yet."""
        self._to_first_open()

    def looked(self) -> tuple[str, ...]:
        """Return the lines said to be true so far."""
        blade, step = self.desk.blade, self.desk.step
        return () if blade is None or step is None else blade.progress(step.id).looked

    def all_true(self) -> bool:
        """Whether every line is said to be true."""
        step = self.desk.step
        return step is not None and all(line in self.looked() for line in step.last_look)

    def space_words(self) -> str:
        """Return what Space does here."""
        step = self.desk.step
        if step is None:
            return ""
        if self.all_true():
            full = " HANDS FULL: nothing will ask you anything" if step.hands_full else ""
            if step.moves:
                full = " and get its run ready"
            return f"all true: start {step.id}{full}"
        return f"line {self.at + 1} is true, next"

    def rows(self, width: int, height: int) -> list[Row]:
        """Return the page with the line the maker is at, or the page turned to."""
        blade, step = self.desk.blade, self.desk.step
        if blade is None or step is None:
            return [looks.row("No step is looked at.")]
        lines, homes = self._lines(blade, step, width)
        room = max(height - 1, 1)
        count = (len(lines) + room - 1) // room
        if self.page < 0:  # follow the line the maker is at
            self.page = homes[self.at] // room if homes else 0
        self.page = min(self.page, max(count - 1, 0))
        turned = f"page {self.page + 1} of {count} ←→ · " if count > 1 else ""
        head = looks.ruled(
            f"LAST LOOK  {step.id} {showable(step.title, 60)}",
            f"{turned}no way back after this",
            width,
            "bad",
        )
        return [head, *lines[self.page * room : (self.page + 1) * room]]

    def _lines(self, blade: Blade, step: Step, width: int) -> tuple[list[Row], list[int]]:
        looked = self.looked()
        lines: list[Row] = []
        homes: list[int] = []
        for number, text in enumerate(step.last_look):
            homes.append(len(lines))
            lines += line_rows(text, number + 1, text in looked, number == self.at, width)
        return [*lines, (), *beside_rows(self.desk, blade, step, width, self._start_now)], homes

    def do(self, command: str) -> None:
        """Say a line is true, start, move, turn, or leave."""
        step = self.desk.step
        if step is None or command == "look-leave":
            self.post_message(Went("bench"))
        elif command == "true-next":
            self._true_next(step)
        elif command == "go-anyway":
            self.post_message(Tried(self._start))
        elif command in ("line-up", "line-down") and step.last_look:
            self.at = min(max(self.at + (1 if command == "line-down" else -1), 0), len(step.last_look) - 1)
            self.page = -1
        elif command in ("page-on", "page-back"):
            self.page = max(self.page + (1 if command == "page-on" else -1), 0)

    def _true_next(self, step: Step) -> None:
        if self.all_true():
            self.post_message(Tried(self._start))
            return
        line = step.last_look[min(self.at, len(step.last_look) - 1)]
        if line not in self.looked():
            self.desk.look(line)
        self._to_first_open()
        self.post_message(Done())

    def _start(self, why: str) -> None:
        self.desk.start(why)
        self.post_message(Went("bench"))
        if handsfull.wants_run(self.desk):
            self.post_message(Went("ready"))

    def _to_first_open(self) -> None:
        step, looked = self.desk.step, self.looked()
        lines = step.last_look if step is not None else ()
        self.at = next(
            (number for number, line in enumerate(lines) if line not in looked), max(len(lines) - 1, 0)
        )
        self.page = -1

    def show(self) -> None:
        """Stay within the lines there are, then draw."""
        step = self.desk.step
        self.at = min(self.at, max(len(step.last_look) - 1, 0)) if step else 0
        super().show()
