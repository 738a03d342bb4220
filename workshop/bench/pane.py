"""What every pane of the bench is, and what it can say to the screen around it.

A pane is given the desk and nothing else. It draws itself as rows of text (a plain function of the desk and
of its size, so that it is tested without a screen); only the rows that changed go to the terminal.
What the maker presses comes in as the id of a command of the table in `workshop.bench.commands`; letters
that are typed into a line of the pane come in one by one. Messages go up:

    Done            something was changed on disk: every pane reads the desk again
    Went(where)     show another place: "bench", "rack", "start", "wall", "drawer", "lastlook"
    Asked(...)      have one line typed; `then` is called with it and may raise ShopError
    Tried(act)      do `act("")`; if it needs a reason, ask for one and do `act(reason)`

`do`, `typed` and the callbacks may raise ShopError: the screen shows its sentence, nothing is lost.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual.geometry import Region
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from workshop.bench import looks
from workshop.bench.desk import Desk
from workshop.bench.looks import Row


class Done(Message):
    """Something was changed: every pane reads the desk again."""


class Went(Message):
    """The maker goes to another place of the program."""

    def __init__(self, where: str) -> None:
        """Name the place, one of the `where` of the table of commands."""
        self.where = where
        super().__init__()


class Asked(Message):
    """One line is needed from the maker."""

    def __init__(
        self,
        says: str,
        then: Callable[[str], object],
        *,
        start: str = "",
        hint: str = "",
        options: tuple[str, ...] = (),
        if_empty: str = "",
    ) -> None:
        """Say what is asked; `then` takes the line when it is confirmed.

        start: what stands in the field at first. hint: limits, an example. options: the words it may be,
        chosen with the arrow keys or typed. if_empty: what is said when the line is left empty.
        """
        self.says = says
        self.then = then
        self.start = start
        self.hint = hint
        self.options = options
        self.if_empty = if_empty
        super().__init__()


class Tried(Message):
    """An act that may go against a rule: then a reason is asked for, and it is done with that."""

    def __init__(self, act: Callable[[str], object]) -> None:
        """Give the act; it takes the reason, "" at first."""
        self.act = act
        super().__init__()


class Pane(Widget, can_focus=False):
    """A part of the screen that draws itself as rows of text."""

    blocks = True
    """Whether digits are drawn with block characters; else with #."""

    each_minute: ClassVar[bool] = False
    """Whether it shows nothing that changes between whole minutes but by a change of the desk."""

    pressed = ""
    """The key that gave the command the pane is doing."""

    where: ClassVar[str] = ""
    """The place this pane stands for in the table of commands; "" for a pane that takes no keys."""

    def __init__(self, desk: Desk, *, id: str | None = None, classes: str | None = None) -> None:
        """Set the pane up; nothing is read or drawn yet."""
        super().__init__(id=id, classes=classes)
        self.desk = desk
        self._drawn: list[Row] = []

    # -- what a pane gives

    def rows(self, width: int, height: int) -> list[Row]:
        """Return what the pane shows at this size, from the top; it may be fewer lines than `height`."""
        raise NotImplementedError

    def opened(self) -> None:
        """Get ready: the maker has just come here."""

    def do(self, command: str) -> None:
        """Do a command of the table, by its id. May raise ShopError."""

    def typing(self) -> bool:
        """Whether letters, Space and Backspace now go into a line of this pane, before any command."""
        return False

    def typed(self, key: str, character: str | None) -> bool:
        """Take a key that was typed into a line; say whether it was used. May raise ShopError."""
        return False

    def pasted(self, text: str) -> None:
        """Take a text that was pasted into a line."""

    # -- drawing

    def show(self) -> None:
        """Read the desk again and refresh what changed of each row, nothing else."""
        width, height = self.size
        if not width or not height or not self.display:
            return
        new = self.rows(width, height)[:height]
        old, self._drawn = self._drawn, new
        changed = []
        for y in range(max(len(old), len(new))):
            was, now = (lines[y] if y < len(lines) else () for lines in (old, new))
            if was != now:
                first, end = looks.changed_span(was, now, width)
                changed.append(Region(first, y, end - first, 1))
        if changed:
            self.refresh(*changed)

    def tick(self) -> None:
        """A whole second has begun and something runs."""
        self.show()

    def on_resize(self) -> None:
        """Draw anew at the new size."""
        self._drawn = []
        self.show()
        self.refresh()

    def render_line(self, y: int) -> Strip:
        """Return one row as it was drawn last."""
        line = self._drawn[y] if y < len(self._drawn) else ()
        return looks.strip(line, self.size.width)
