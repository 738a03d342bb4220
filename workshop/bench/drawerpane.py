"""The drawer: the calculators, those of the step first; one open at a time, answering at each letter."""

from __future__ import annotations

from workshop.bench import looks
from workshop.bench.answer import reckoning_rows
from workshop.bench.desk import Desk
from workshop.bench.line import Line
from workshop.bench.looks import Row
from workshop.bench.pane import Done, Pane, Went
from workshop.bench.reckoning import Reckoning
from workshop.build.blade import Blade
from workshop.drawer.declare import Calculator
from workshop.drawer.run import Worked
from workshop.shelf import slips

SEARCH_AFTER_S = 0.4
"""A slower search begins when nothing was typed for so long."""


WARM_AFTER_S = 1.0
"""So long after the first paint the calculators are loaded aside, so that the drawer opens at once."""


def matching(calculators: list[Calculator], sought: str) -> list[Calculator]:
    """Return the calculators in whose name, title or purpose every sought word occurs, best first."""
    words = sought.casefold().split()

    def place(one: Calculator) -> int:
        begins = [one.name, *one.name.split("-"), *one.title.casefold().split()]
        return 0 if all(any(part.startswith(word) for part in begins) for word in words) else 1

    found = [
        one
        for one in calculators
        if all(word in f"{one.name} {one.title} {one.purpose}".casefold() for word in words)
    ]
    return sorted(found, key=place) if words else found


def slip_note(blade: Blade | None, name: str) -> str:
    """Return which of the blade's slips come from a calculator, and whether the last one still holds."""
    kept = [slip for slip in blade.slips.values() if slip.calculator == name] if blade is not None else []
    if not kept or blade is None:
        return ""
    stale = " STALE" if slips.stale(kept[-1], blade) else ""
    return f" slip {kept[-1].id}{stale}"


def list_rows(
    desk: Desk, found: list[Calculator], at: int, sought: Line, width: int, height: int
) -> list[Row]:
    """Return the list of calculators round the marked one, under what is sought."""
    first_ones = desk.step.calculators if desk.step is not None else ()
    head = looks.ruled("drawer", f"{len(found)} calculators", width)
    say = "find: " if sought.text else "type to find, Enter opens, Esc or Backspace shuts: "
    lines: list[Row] = [head, ((say, "plain"), *sought.row(max(width - len(say), 8)))]
    if not found:
        return [*lines, looks.row("None has that; Backspace takes a letter back.", "warn")]
    marked = found[min(at, len(found) - 1)]
    foot = [looks.row(line, "quiet") for line in looks.wrapped(marked.purpose, width)] if height > 6 else []
    room = max(height - 2 - len(foot), 1)
    first = min(max(at - room // 2, 0), max(len(found) - room, 0))
    name_width = min(max(len(one.title) for one in found) + 2, width // 2)
    for number, one in enumerate(found[first : first + room], first):
        here = number == at
        sign = "step " if one.name in first_ones else "     "
        title = looks.padded(f"{'>' if here else ' '} {sign}{one.title}", name_width + 6)
        note = slip_note(desk.blade, one.name)
        purpose = looks.padded(one.purpose, max(width - name_width - 7 - len(note), 0))
        look = "here" if here else "strong" if sign.strip() else "plain"
        lines.append(((title, look), (" " + purpose, "here" if here else "plain"), (note, "good")))
    gap = [looks.row("")] * (room - len(lines) + 2)
    return [*lines, *gap, *foot][:height]


class DrawerPane(Pane):
    """The drawer on the screen."""

    where = "drawer"

    def __init__(self, desk: Desk, *, id: str | None = None, classes: str | None = None) -> None:
        """Set the drawer up, shut."""
        super().__init__(desk, id=id, classes=classes)
        self.sought = Line()
        self.at = 0
        self.open_one: Reckoning | None = None
        self._all: list[Calculator] = []
        self._kept: dict[tuple[str | None, str], Reckoning] = {}
        self._asked_turn = 0

    def on_mount(self) -> None:
        """Load the calculators aside, a little later."""
        self.set_timer(
            WARM_AFTER_S, lambda: self.run_worker(self.desk.calculators, thread=True, group="warm")
        )

    def opened(self) -> None:
        """Read which calculators there are; the step's come first."""
        self._all = self.desk.calculators()
        self.sought, self.at, self.open_one = Line(), 0, None

    def listed(self) -> list[Calculator]:
        """Return the calculators that are listed now."""
        return matching(self._all, self.sought.text)

    # -- drawing

    def rows(self, width: int, height: int) -> list[Row]:
        """Return the open calculator, else the list."""
        if self.open_one is not None:
            return reckoning_rows(self.open_one, width, height)
        return list_rows(self.desk, self.listed(), self.at, self.sought, width, height)

    def show(self) -> None:
        """Work out again what the blade or the air changed, then draw."""
        if self.display and self.open_one is not None:
            self.open_one.freshen()
            self._search_soon()
        super().show()

    # -- the slower search, aside

    def _search_soon(self) -> None:
        one = self.open_one
        if one is not None and one.searching and one.turn != self._asked_turn:
            turn = self._asked_turn = one.turn
            self.set_timer(SEARCH_AFTER_S, lambda: self._search(one, turn))

    def _search(self, one: Reckoning, turn: int) -> None:
        if one is self.open_one and one.turn == turn:
            self.run_worker(lambda: self._searched(one, turn), thread=True, exclusive=True, group="search")

    def _searched(self, one: Reckoning, turn: int) -> None:
        found = one.search()
        self.app.call_from_thread(self._take_over, one, turn, found)

    def _take_over(self, one: Reckoning, turn: int, found: Worked | None) -> None:
        one.found(turn, found)
        self.show()

    # -- keys

    def typing(self) -> bool:
        """Take letters in the list (to find) and in a field; not on the line that keeps the slip."""
        return self.open_one is None or self.open_one.field is not None

    def typed(self, key: str, character: str | None) -> bool:
        """Edit the field, or what is sought; Backspace with nothing sought shuts the drawer."""
        if self.open_one is not None:
            return self.open_one.key(key, character)
        if key == "backspace" and not self.sought.text:
            self.post_message(Went("back"))
            return True
        if key == "space" and not self.sought.text:
            return True
        line = self.sought.key(key, character)
        if line is None:
            return False
        if line.text != self.sought.text:
            self.at = 0
        self.sought = line
        return True

    def pasted(self, text: str) -> None:
        """Put a pasted text into the field, or into what is sought."""
        if self.open_one is not None:
            self.open_one.paste(text)
        else:
            self.sought = self.sought.put(text)
        self.show()

    def do(self, command: str) -> None:
        """Open, move, turn, keep, or shut."""
        if command == "drawer-leave":
            self._shut()
        elif self.open_one is not None:
            self._do_open(self.open_one, command)
        elif command in ("row-up", "row-down", "page-on", "page-back"):
            self._move(command)
        elif command == "drawer-take" and self.listed():
            self._open(self.listed()[self.at])
        self.show()

    def _do_open(self, one: Reckoning, command: str) -> None:
        if command in ("row-up", "row-down"):
            one.move(1 if command == "row-down" else -1)
        elif command in ("page-on", "page-back"):
            one.page += 1 if command == "page-on" else -1
        elif command == "drawer-take" and one.field is not None:
            one.move(1)
        elif command in ("drawer-take", "keep-slip"):
            one.keep()
            self.post_message(Done())

    def _open(self, calculator: Calculator) -> None:
        key = (self.desk.key, calculator.name)
        if key not in self._kept:
            self._kept[key] = Reckoning(self.desk, calculator)
        self.open_one = self._kept[key]
        self.open_one.page = 0

    def _shut(self) -> None:
        if self.open_one is None:
            self.post_message(Went("back"))
        self.open_one = None

    def _move(self, command: str) -> None:
        by = {"row-up": -1, "row-down": 1, "page-back": 2 - self.size.height, "page-on": self.size.height - 2}
        self.at = min(max(self.at + by[command], 0), max(len(self.listed()) - 1, 0))
