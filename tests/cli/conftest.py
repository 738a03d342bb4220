"""A shelf folder with a small route of its own, and a way to type a command line at a moment."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from workshop.cli import main
from workshop.shelf.shelf import Shelf


@dataclass
class Said:
    code: int
    out: str
    err: str

    def data(self) -> Any:
        return json.loads(self.out)


class Typist:
    """Types command lines at a moment that moves on by a minute each time."""

    def __init__(self, folder: Path, now: datetime, capsys: pytest.CaptureFixture[str]) -> None:
        self.folder = folder
        self.now = now
        self.capsys = capsys

    def __call__(self, *words: str, after: timedelta = timedelta(minutes=1)) -> Said:
        self.now += after
        self.capsys.readouterr()
        code = main(["--shelf", str(self.folder), *words], now=self.now)
        heard = self.capsys.readouterr()
        return Said(code, heard.out, heard.err)

    def well(self, *words: str, after: timedelta = timedelta(minutes=1)) -> Said:
        said = self(*words, after=after)
        assert said.code == 0, said.err
        assert said.err == ""
        return said

    def refused(self, *words: str) -> str:
        """Type what must be refused: 2, one line on standard error, nothing on disk changed."""
        before = files(self.folder)
        said = self(*words)
        assert said.code == 2, said
        assert said.err.count("\n") == 1, said.err
        assert "Traceback" not in said.err
        assert files(self.folder) == before
        return said.err


def files(folder: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and not path.name.endswith(".lock")
    }


@pytest.fixture
def workshop(shelf: Shelf, now: datetime, capsys: pytest.CaptureFixture[str]) -> Typist:
    return Typist(shelf.folder, now, capsys)


@pytest.fixture
def heron(workshop: Typist) -> Typist:
    workshop.well("start", "Heron", "--route", "small")
    return workshop


@pytest.fixture
def typist(capsys: pytest.CaptureFixture[str]) -> Callable[[Path, datetime], Typist]:
    return lambda folder, moment: Typist(folder, moment, capsys)
