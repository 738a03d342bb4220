"""The real program in real time: stopped and continued, and killed; the marks on disk stay true."""

from __future__ import annotations

import json
import os
import select
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from workshop.shelf.shelf import Shelf

PATIENCE_S = 30.0


def typed(folder: Path, *words: str) -> str:
    done = subprocess.run(
        [sys.executable, "-m", "workshop", "--shelf", str(folder), *words],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


class Following:
    """`workshop clocks --follow` as a process of its own."""

    def __init__(self, folder: Path) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-m", "workshop", "--shelf", str(folder), "clocks", "--follow"],
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            env={**os.environ, "PYTHONUNBUFFERED": "1"},
        )
        self.said = ""

    def hear(self, words: str, patience_s: float = PATIENCE_S) -> bool:
        """Listen until it has said something; False when it did not in time."""
        assert self.process.stdout is not None
        end = time.monotonic() + patience_s
        while words not in self.said:
            left = end - time.monotonic()
            if left <= 0:
                return False
            ready, _, _ = select.select([self.process.stdout], [], [], left)
            if ready:
                data = os.read(self.process.stdout.fileno(), 65536)
                if not data:
                    return words in self.said
                self.said += data.decode("utf-8", "replace")
        return True

    def leave(self) -> None:
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGCONT)
            self.process.kill()
        self.process.wait()
        if self.process.stdout is not None:
            self.process.stdout.close()


@pytest.fixture
def folder(shelf: Shelf) -> Path:
    """A shelf with a blade and no clock yet."""
    typed(shelf.folder, "start", "Heron", "--route", "small")
    return shelf.folder


def drying(folder: Path, left_s: int) -> None:
    """Start a clock of two hours of which only some seconds are left."""
    typed(folder, "clock", "Heron", "drying", "--ago", f"{7200 - left_s}s")


@pytest.fixture
def following(folder: Path) -> Iterator[Following]:
    made = Following(folder)
    yield made
    made.leave()


def end_of(folder: Path) -> Any:
    data = json.loads(typed(folder, "clocks", "--json"))
    return data["clocks"][0]["marks"]


def test_a_process_that_was_stopped_tells_what_came_meanwhile(folder: Path, following: Following) -> None:
    assert following.hear("Following")
    following.process.send_signal(signal.SIGSTOP)
    drying(folder, left_s=1)
    before = end_of(folder)
    assert not following.hear("NOW", patience_s=2.5)  # the mark comes now, and nobody hears it
    following.process.send_signal(signal.SIGCONT)
    assert following.hear("NOW")
    told = next(line for line in following.said.splitlines() if "NOW" in line)
    assert "time is up, since" in told
    assert following.said.count("NOW") == 1
    assert [mark["opens"] for mark in end_of(folder)] == [mark["opens"] for mark in before]


def test_a_process_that_was_killed_has_lost_nothing(folder: Path, following: Following) -> None:
    assert following.hear("Following")
    drying(folder, left_s=3)
    before = end_of(folder)
    following.process.kill()
    following.process.wait()
    again = Following(folder)
    try:
        assert again.hear("NOW")
        assert again.hear("time is up")
    finally:
        again.leave()
    assert [mark["opens"] for mark in end_of(folder)] == [mark["opens"] for mark in before]
