"""How a piece of text looks: a few names in place of colours, each also plain without colour.

Only the terminal's own sixteen colours are used, so the maker's light or dark terminal stays as it is.
A look never carries meaning alone: beside it stands a word.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from rich.cells import cell_len, set_cell_size
from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip

Piece = tuple[str, str]
"""A text, already showable, and the name of its look."""

Row = tuple[Piece, ...]
"""One line of a pane, from left to right."""

LOOKS: Mapping[str, Style] = {
    "plain": Style(),
    "strong": Style(bold=True),
    "quiet": Style(color="cyan"),
    "heading": Style(color="cyan", bold=True),
    "good": Style(color="green"),
    "warn": Style(color="yellow", bold=True),
    "bad": Style(color="red", bold=True),
    "here": Style(reverse=True),
    "digits": Style(bold=True),
    "alarm": Style(color="red", bold=True, reverse=True),
}
"""The looks there are. here: the line the maker is at. alarm: a mark has been reached."""


def row(text: str, look: str = "plain") -> Row:
    """Return a line of one piece."""
    return ((text, look),)


def width_of(line: Row) -> int:
    """Return how many columns a line takes."""
    return sum(cell_len(text) for text, _ in line)


def clipped(text: str, width: int) -> str:
    """Return a text that fits into so many columns; one that was cut ends in …."""
    if width <= 0:
        return ""
    if cell_len(text) <= width:
        return text
    return set_cell_size(text, width - 1).rstrip() + "…"


def padded(text: str, width: int) -> str:
    """Return a text in exactly so many columns, cut with … or filled with spaces."""
    return set_cell_size(clipped(text, width), width)


def fitted(line: Row, width: int) -> Row:
    """Return a line in exactly so many columns: what is too long is cut, the rest is filled up."""
    out: list[Piece] = []
    left = width
    for text, look in line:
        if left <= 0:
            break
        shown = clipped(text, left)
        out.append((shown, look))
        left -= cell_len(shown)
    if left > 0:
        out.append((" " * left, out[-1][1] if out and out[-1][1] == "here" else "plain"))
    return tuple(out)


def beside(left: Row, right: Row, width: int, gap: str = "  ") -> Row:
    """Return two lines on one: the right one at the right edge, the left one cut if need be."""
    room = max(width - width_of(right) - len(gap), 0)
    return (*fitted(left, room), (gap, "plain"), *right)


def ruled(title: str, note: str, width: int, look: str = "heading") -> Row:
    """Return a heading: the title in a line drawn across, a note near its end."""
    end = f" {note} --" if note else ""
    head = clipped(f"-- {title} ", max(width - cell_len(end), 8))
    return ((head + "-" * max(width - cell_len(head) - cell_len(end), 0) + end, look),)


def wrapped(text: str, width: int, hang: int = 0) -> list[str]:
    """Return a text over as many lines as it needs, those after the first set in by `hang`."""
    lines: list[str] = []
    now = ""
    for word in text.split():
        room = max(width - (hang if lines else 0), 8)
        while cell_len(word) > room:
            if now:
                lines.append(now)
                now = ""
            lines.append(word[:room])
            word = word[room:]
        if not now:
            now = word
        elif cell_len(now) + 1 + cell_len(word) <= room:
            now = f"{now} {word}"
        else:
            lines.append(now)
            now = word
    if now or not lines:
        lines.append(now)
    return [line if number == 0 else " " * hang + line for number, line in enumerate(lines)]


def changed_span(old: Row, new: Row, width: int) -> tuple[int, int]:
    """Return from which column to before which one two lines differ; the whole width for wide letters."""
    cells = [[(letter, look) for text, look in fitted(line, width) for letter in text] for line in (old, new)]
    was, now = cells
    if (
        len(was) != width
        or len(now) != width
        or cell_len("".join(letter for letter, _ in was + now)) != 2 * width
    ):
        return 0, width
    differ = [at for at in range(width) if was[at] != now[at]]
    return (differ[0], differ[-1] + 1) if differ else (0, 0)


def strip(line: Row, width: int) -> Strip:
    """Return a line as the screen takes it, in exactly so many columns."""
    return Strip([Segment(text, LOOKS[look]) for text, look in fitted(line, width)], width)


def plain(lines: Iterable[Row]) -> str:
    """Return lines as text without looks: what a terminal without colour shows."""
    return "\n".join("".join(text for text, _ in line).rstrip() for line in lines)
