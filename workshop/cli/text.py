"""What the command line prints: lines, tables and data, with nothing in them that misleads a terminal."""

from __future__ import annotations

import json
import sys
import unicodedata
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from typing import Any

from workshop.showable import showable

LONGEST_LINE = 4000


def say(*lines: str) -> None:
    """Print lines; what came from a file or a keyboard is made safe to show."""
    for line in lines:
        print(showable(line, LONGEST_LINE))


def columns(rows: Iterable[Sequence[str]], indent: str = "") -> list[str]:
    """Return rows as lines with their columns under one another; the last column runs free."""
    safe = [[showable(cell, LONGEST_LINE) for cell in row] for row in rows]
    widest: list[int] = []
    for row in safe:
        for place, cell in enumerate(row[:-1]):
            if place == len(widest):
                widest.append(0)
            widest[place] = max(widest[place], _cells(cell))
    return [
        indent
        + "  ".join(
            [*(cell + " " * (widest[place] - _cells(cell)) for place, cell in enumerate(row[:-1])), *row[-1:]]
        ).rstrip()
        for row in safe
    ]


def dump(data: Any) -> None:
    """Print data as one JSON document, readable, and exact for a program that reads it."""
    plain = "utf" in (getattr(sys.stdout, "encoding", None) or "").lower()
    text = json.dumps(data, indent=2, ensure_ascii=not plain, allow_nan=False)
    print(
        "".join(
            letter if letter == "\n" or showable(letter) == letter else _escaped(letter) for letter in text
        )
    )


def utc(at: datetime | None) -> str | None:
    """Return a moment for data: ISO 8601 in UTC, or None."""
    return None if at is None else at.astimezone(UTC).isoformat().replace("+00:00", "Z")


def _escaped(letter: str) -> str:
    return json.dumps(letter)[1:-1]


def _cells(text: str) -> int:
    return sum(
        0 if unicodedata.combining(letter) else 2 if unicodedata.east_asian_width(letter) in "WF" else 1
        for letter in text
    )
