"""One line that is typed: its text, where the next letter goes, and the keys that edit it. No screen."""

from __future__ import annotations

from dataclasses import dataclass, replace

from workshop.bench.looks import Row
from workshop.showable import showable

LONGEST = 400
"""Characters a line can hold; more is cut off."""


@dataclass(frozen=True, slots=True)
class Line:
    """A line being typed. at: before which character the next letter goes."""

    text: str = ""
    at: int = 0

    @classmethod
    def of(cls, text: str) -> Line:
        """Return a line that holds a text, ready to be typed on at its end."""
        return cls(text, len(text))

    def key(self, key: str, character: str | None) -> Line | None:
        """Return the line after a key, or None for a key that edits nothing."""
        moved = {"left": self.at - 1, "right": self.at + 1, "home": 0, "end": len(self.text)}
        if key in moved:
            return replace(self, at=min(max(moved[key], 0), len(self.text)))
        if key == "backspace":
            return Line(self.text[: max(self.at - 1, 0)] + self.text[self.at :], max(self.at - 1, 0))
        if key == "delete":
            return replace(self, text=self.text[: self.at] + self.text[self.at + 1 :])
        if character is not None and character.isprintable():
            return self.put(character)
        return None

    def put(self, text: str) -> Line:
        """Return the line with a text put in; a text of several lines becomes one."""
        flat = " ".join(text.split("\n")).replace("\r", "").replace("\t", " ")
        room = LONGEST - len(self.text)
        flat = "".join(letter for letter in flat if letter.isprintable())[:room]
        return Line(self.text[: self.at] + flat + self.text[self.at :], self.at + len(flat))

    def row(self, width: int) -> Row:
        """Return the line as shown, with the place of the next letter marked; it slides if it is long."""
        shown = showable(self.text, LONGEST) + " "
        first = max(0, self.at - width + 1)
        before, mark, after = shown[first : self.at], shown[self.at : self.at + 1], shown[self.at + 1 :]
        rest = after[: max(width - len(before) - 1, 0)]
        return ((before, "strong"), (mark or " ", "here"), (rest, "strong"))
