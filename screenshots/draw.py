"""Draw every picture in this folder anew: python screenshots/draw.py [folder]

The program itself is run without a terminal, on the example shelf at a fixed time, and driven by keys.
Each picture is what a terminal of that size would show.
"""

from __future__ import annotations

import asyncio
import os
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from html import escape
from pathlib import Path

from rich.cells import cell_len
from rich.style import Style
from textual.strip import Strip

from workshop.bench.alarm import Silent
from workshop.bench.app import BenchApp
from workshop.bench.desk import Desk
from workshop.cli.demo import make_demo
from workshop.drawer.registry import NAMES
from workshop.shelf.shelf import Shelf

HERE = Path(__file__).resolve().parent
SIZES = ((80, 24), (120, 40))
AT = datetime(2026, 3, 3, 16, 42, tzinfo=UTC)
CELL_W, CELL_H, EDGE = 9, 19, 14
PAPER, INK = "#15171a", "#d8d5cc"
COLOURS = {"red": "#e2705c", "green": "#8fb573", "yellow": "#dcb45a", "cyan": "#7fb2b5"}


@dataclass(frozen=True)
class Picture:
    """One picture: the blade at the bench, the step looked at, the keys pressed, how much later."""

    name: str
    title: str
    blade: str
    keys: Sequence[str] = ()
    step: str = ""
    later: timedelta = timedelta()


PICTURES = (
    Picture("bench", "The bench: Heron's tang lies in its bed, the pull comes next", "heron"),
    Picture("rack", "The rack: every blade at a glance", "heron", ["r"]),
    Picture(
        "drawer",
        "The drawer: glue for the slot, filled from the blade",
        "heron",
        ["d", *"slot", "enter"],
    ),
    Picture("lastlook", "The last look before a step with no way back", "dipper", ["space", "space"]),
    Picture("wall", "The wall view: clocks to be read from across the shop", "heron", ["w"]),
    Picture("call", "A mark has come: the whole screen says so", "heron", later=timedelta(hours=3)),
    Picture(
        "handsfull",
        "Hands full: the run of a bed, stamped by one key",
        "dipper",
        ["space"] * 11,
        later=timedelta(minutes=9),
    ),
    Picture("ready", "A run made ready: everything is asked before the glue is mixed", "dipper", ["p"]),
    Picture("early", "An early warning before a mark comes", "heron", later=timedelta(minutes=16)),
    Picture("start", "Beginning a blade", "heron", ["r", "n", *"Dunlin", "down", "down", "down", "down"]),
)


class Present:
    """The present, moved on by hand."""

    def __init__(self) -> None:
        self.at = AT

    def __call__(self) -> datetime:
        return self.at


async def drawn(picture: Picture, folder: Path, size: tuple[int, int]) -> list[Strip]:
    """Return the lines of one picture, from a fresh copy of the example shelf."""
    present = Present()
    desk = Desk(Shelf(folder, NAMES), present)
    desk.open(picture.blade)
    if picture.step:
        desk.go(picture.step)
    app = BenchApp(desk, Silent())
    async with app.run_test(size=size) as pilot:
        for key in picture.keys:
            await pilot.press(key)
        await pilot.pause()
        present.at += picture.later
        app.tick()
        await pilot.pause()
        return app.screen._compositor.render_strips()


def svg(strips: Sequence[Strip], title: str, size: tuple[int, int]) -> str:
    """Return lines of the screen as a picture: every piece of text on the grid of its cells."""
    columns, rows = size
    width, height = columns * CELL_W + 2 * EDGE, rows * CELL_H + 2 * EDGE
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" '
        f'width="{width}" height="{height}" role="img">',
        f"<title>{escape(title)}</title>",
        f'<rect width="{width}" height="{height}" rx="6" fill="{PAPER}"/>',
        '<g font-family="monospace" font-size="15" xml:space="preserve">',
    ]
    for y, strip in enumerate(strips):
        x = 0
        for text, style, _ in strip:
            out += _piece(text, style or Style(), EDGE + x * CELL_W, EDGE + y * CELL_H)
            x += cell_len(text)
    return "\n".join([*out, "</g>", "</svg>", ""])


def _piece(text: str, style: Style, x: int, y: int) -> list[str]:
    """Return one piece of text, its ground first where it has one of its own."""
    ink = COLOURS.get(style.color.name if style.color else "", INK)
    width = cell_len(text) * CELL_W
    if text and not text.strip(" █▀▄"):  # blocks are drawn, so that no font leaves gaps between them
        return [*_ground(style, ink, x, y, width), *_blocks(text, PAPER if style.reverse else ink, x, y)]
    shown = text.rstrip()
    lead = len(shown) - len(shown.lstrip())
    words = shown.strip()
    if not words:
        return _ground(style, ink, x, y, width)
    weight = ' font-weight="bold"' if style.bold else ""
    length = cell_len(words) * CELL_W
    return [
        *_ground(style, ink, x, y, width),
        f'<text x="{x + lead * CELL_W}" y="{y + CELL_H - 5}" textLength="{length}" '
        f'fill="{PAPER if style.reverse else ink}"{weight}>{escape(words)}</text>',
    ]


def _ground(style: Style, ink: str, x: int, y: int, width: int) -> list[str]:
    return (
        [f'<rect x="{x}" y="{y}" width="{width}" height="{CELL_H}" fill="{ink}"/>'] if style.reverse else []
    )


def _blocks(text: str, ink: str, x: int, y: int) -> list[str]:
    half = CELL_H / 2
    parts = {"█": (0.0, float(CELL_H)), "▀": (0.0, half), "▄": (half, half)}
    out = []
    at = 0
    while at < len(text):
        run = at
        while run < len(text) and text[run] == text[at]:
            run += 1
        if text[at] in parts:
            top, tall = parts[text[at]]
            out.append(
                f'<rect x="{x + at * CELL_W}" y="{y + top:g}" width="{(run - at) * CELL_W}" '
                f'height="{tall:g}" fill="{ink}"/>'
            )
        at = run
    return out


def draw(folder: Path, pictures: Sequence[Picture] = PICTURES) -> list[Path]:
    """Draw pictures into a folder at each size; return the files."""
    os.environ["TZ"] = "UTC"
    time.tzset()
    made = []
    for picture in pictures:
        for size in SIZES:
            with tempfile.TemporaryDirectory() as shelf:
                strips = asyncio.run(drawn(picture, make_demo(Path(shelf), AT), size))
            path = folder / f"{picture.name}-{size[0]}x{size[1]}.svg"
            path.write_text(svg(strips, picture.title, size), encoding="utf-8")
            made.append(path)
    return made


def main() -> None:
    """Draw all pictures, here or in the folder named."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else HERE
    for path in draw(folder):
        print(path)


if __name__ == "__main__":
    main()
