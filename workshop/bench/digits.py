"""Digits large enough to read across the shop: nine rows (seven of them at least), and a small set of three.

Drawn from a grid of three by five cells a sign. Each cell is scaled up in whole characters, so the large set
needs only the full block; the small set packs two cells into one character with half blocks. Where a console
font lacks the blocks, the same shapes are drawn with #.
"""

from __future__ import annotations

from collections.abc import Mapping

_CELLS: Mapping[str, str] = {
    "0": "###|#.#|#.#|#.#|###",
    "1": ".#.|##.|.#.|.#.|###",
    "2": "###|..#|###|#..|###",
    "3": "###|..#|.##|..#|###",
    "4": "#.#|#.#|###|..#|..#",
    "5": "###|#..|###|..#|###",
    "6": "###|#..|###|#.#|###",
    "7": "###|..#|..#|.#.|.#.",
    "8": "###|#.#|###|#.#|###",
    "9": "###|#.#|###|..#|###",
    ":": ".|#|.|#|.",
    ".": ".|.|.|.|#",
    "-": "...|...|###|...|...",
    "+": "...|.#.|###|.#.|...",
    "d": "..#|..#|###|#.#|###",
    " ": ".|.|.|.|.",
}
SMALL_ROWS = 3
LOCALE_NAMES = ("LC_ALL", "LC_CTYPE", "LANG")
LEAST_ROWS = 7
"""Rows of the large digits at least: what 2 to 3 m ask for."""


def can_show_blocks(environ: Mapping[str, str]) -> bool:
    """Say whether the terminal's locale has the block characters; one that says nothing is taken to."""
    said = next((environ[name] for name in LOCALE_NAMES if environ.get(name)), "")
    return said in ("", "C", "POSIX") or "UTF" in said.upper()


def large(text: str, rows: int = LEAST_ROWS, *, across: int = 3, blocks: bool = True) -> list[str]:
    """Return a time in large digits, `rows` high (7 or more), each cell `across` characters wide.

    text: of 0-9 : . - + d and spaces. blocks: whether the full block can be shown; else # stands for it.
    """
    tall = max(rows, LEAST_ROWS)
    ink = "█" if blocks else "#"
    heights = _shares(tall, 5)
    lines: list[str] = []
    for cell_row, height in enumerate(heights):
        parts = []
        for sign in text:
            cells = _CELLS.get(sign, _CELLS[" "]).split("|")[cell_row]
            parts.append("".join((ink if cell == "#" else " ") * across for cell in cells))
        lines.extend([(" " * max(across - 1, 1)).join(parts)] * height)
    return lines


def large_width(text: str, across: int = 3) -> int:
    """Return how many columns a time takes in large digits."""
    gap = max(across - 1, 1)
    widths = [len(_CELLS.get(sign, _CELLS[" "]).split("|")[0]) * across for sign in text]
    return sum(widths) + gap * max(len(widths) - 1, 0)


def best(text: str, width: int, rows: int, *, blocks: bool = True) -> list[str]:
    """Return a time in the largest digits that fit; [] if even the smallest large ones do not."""
    for across in (4, 3, 2, 1):
        if large_width(text, across) <= width and rows >= LEAST_ROWS:
            tall = min(rows, max(LEAST_ROWS, round(across * 5 * 0.7)))
            return large(text, tall, across=across, blocks=blocks)
    return []


def small(text: str, *, blocks: bool = True) -> list[str]:
    """Return a time in digits of three rows, for a pane. Without half blocks: the plain text, spread out."""
    if not blocks:
        return ["", "  ".join(text), ""]
    lines = ["", "", ""]
    for number, sign in enumerate(text):
        cells = [*_CELLS.get(sign, _CELLS[" "]).split("|"), ""]
        gap = " " if number else ""
        for line in range(SMALL_ROWS):
            upper, lower = cells[2 * line], cells[2 * line + 1] or "." * len(cells[0])
            lines[line] += gap + "".join(map(_half, upper, lower))
    return lines


def _half(upper: str, lower: str) -> str:
    return {"##": "█", "#.": "▀", ".#": "▄"}.get(upper + lower, " ")


def _shares(total: int, parts: int) -> list[int]:
    """Return a height in whole rows shared out evenly: the bars first get what is left over."""
    each, over = divmod(total, parts)
    order = (1, 3, 0, 4, 2)
    heights = [each] * parts
    for place in order[:over]:
        heights[place] += 1
    return heights
