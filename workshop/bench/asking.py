"""What asks the maker for something: a line to type, a list to choose from. One at a time."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from textual.message import Message

from workshop.bench import looks
from workshop.bench.line import Line
from workshop.bench.looks import Row
from workshop.bench.pane import Asked, Done, Pane
from workshop.bench.said import Said, Tone
from workshop.errors import ShopError
from workshop.showable import showable

MOST_NUMBERED = 9
"""A list of no more lines has a digit for each."""


class Asking(Pane):
    """A pane that is there only while it asks, as high as it needs to be."""

    open = False
    most_rows = 12

    def all_rows(self, width: int) -> list[Row]:
        """Return everything the pane shows at a width."""
        raise NotImplementedError

    def rows(self, width: int, height: int) -> list[Row]:
        """Return what is shown; the last lines stay in sight when there is not room for all."""
        lines = self.all_rows(width)
        return lines if len(lines) <= height else [lines[0], *lines[len(lines) - height + 1 :]]

    def shut(self) -> None:
        """Ask no longer."""
        self.open = False
        self.display = False
        self.post_message(Shut())

    def show(self) -> None:
        """Take the height that is needed, then draw."""
        self.display = self.open
        if not self.open:
            return
        needed = min(len(self.all_rows(self.app.size.width)), self.most_rows)
        if self.styles.height is None or self.styles.height.value != needed:
            self.styles.height = needed
        super().show()


class Shut(Message):
    """A pane asks no longer."""


class Field(Asking):
    """One line to be typed. Enter keeps it, an empty line changes nothing, Escape leaves it too."""

    where = "field"
    asked: Asked | None = None
    line = Line()

    def ask(self, asked: Asked) -> None:
        """Ask for a line."""
        self.asked = asked
        self.line = Line.of(asked.start)
        self.open = True
        self.show()

    def all_rows(self, width: int) -> list[Row]:
        """Return the question, its hint and the line as typed so far."""
        asked = self.asked
        if asked is None:
            return []
        lines = [looks.ruled("type a line", "Enter keeps it · empty or Esc: not now", width)]
        lines += [looks.row(line, "strong") for line in looks.wrapped(showable(asked.says, 600), width)]
        if asked.hint:
            lines += [looks.row(line) for line in looks.wrapped(showable(asked.hint, 400), width)]
        if asked.options:
            lines += [
                looks.row(line) for line in looks.wrapped(f"one of: {', '.join(asked.options)} (↑↓)", width)
            ]
        return [*lines, (("> ", "strong"), *self.line.row(width - 3))]

    def typing(self) -> bool:
        """Take every letter."""
        return True

    def typed(self, key: str, character: str | None) -> bool:
        """Edit the line."""
        line = self.line.key(key, character)
        if line is None:
            return False
        self.line = line
        return True

    def pasted(self, text: str) -> None:
        """Put a pasted text into the line."""
        self.line = self.line.put(text)

    def do(self, command: str) -> None:
        """Keep the line, leave it, or step through its options."""
        asked = self.asked
        if asked is None:
            return
        if command == "field-leave":
            self.shut()
        elif command in ("option-on", "option-back") and asked.options:
            self._option(asked.options, 1 if command == "option-on" else -1)
        elif command == "keep":
            self._keep(asked)

    def _keep(self, asked: Asked) -> None:
        text = self.line.text.strip()
        if not text:
            if asked.if_empty:
                self.desk.said = Said(asked.if_empty, Tone.NOTICE)
            self.shut()
            return
        self.open = False  # `then` may ask for the next line, which opens it again
        try:
            asked.then(text)
        except ShopError:
            self.open = True
            raise
        if not self.open:
            self.shut()
        self.post_message(Done())

    def _option(self, options: tuple[str, ...], by: int) -> None:
        at = options.index(self.line.text) if self.line.text in options else (-1 if by > 0 else 0)
        self.line = Line.of(options[(at + by) % len(options)])


@dataclass(frozen=True, slots=True)
class Option:
    """One line to choose, and what is done when it is taken."""

    says: str
    act: Callable[[], object]


class Choose(Asking):
    """A short list: a digit takes a line, or the arrows mark it and Space or Enter takes it; X leaves it."""

    where = "choose"
    title = ""
    lines: tuple[str, ...] = ()
    options: tuple[Option, ...] = ()
    at = 0

    def offer(self, title: str, options: tuple[Option, ...], lines: tuple[str, ...] = ()) -> None:
        """Offer some lines to choose from. lines: what should be read first."""
        self.title, self.options, self.lines, self.at = title, options, lines, 0
        self.open = True
        self.show()

    def all_rows(self, width: int) -> list[Row]:
        """Return the heading, what should be read first, and the lines to choose from."""
        out = [looks.ruled(showable(self.title, 100), "X not now", width)]
        for text in self.lines:
            out += [looks.row(line) for line in looks.wrapped(showable(text, 600), width, 2)]
        room = max(self.most_rows - len(out), 2)
        first = min(max(self.at - room // 2, 0), max(len(self.options) - room, 0))
        for number, option in list(enumerate(self.options))[first : first + room]:
            mark, look = (">", "here") if number == self.at else (" ", "plain")
            key = f"{number + 1} " if len(self.options) <= MOST_NUMBERED else ""
            out.append(looks.row(looks.padded(f"{mark} {key}{showable(option.says, 200)}", width), look))
        return out

    def do(self, command: str) -> None:
        """Move the mark, take the line, or leave it."""
        if command == "choose-leave":
            self.shut()
        elif command in ("row-up", "row-down"):
            self.at = (self.at + (1 if command == "row-down" else -1)) % max(len(self.options), 1)
        elif command == "pick" and self.pressed.isdigit():
            if int(self.pressed) <= len(self.options) <= MOST_NUMBERED:
                self.at = int(self.pressed) - 1
                self.do("take")
        elif command == "take" and self.options:
            self.shut()
            self.options[self.at].act()
