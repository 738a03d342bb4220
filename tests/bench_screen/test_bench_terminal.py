"""The real program on a pseudo-terminal: what reaches the terminal, and how it is left behind."""

from __future__ import annotations

import fcntl
import os
import pty
import re
import select
import signal
import struct
import subprocess
import sys
import termios
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

import pytest

from workshop.bench.desk import Desk
from workshop.build.blade import Blade
from workshop.drawer import registry
from workshop.shelf.shelf import Shelf

pytestmark = pytest.mark.screen

PROGRAM = """
import sys
from pathlib import Path
from workshop.bench.app import run
from workshop.drawer.registry import NAMES
from workshop.shelf.shelf import Shelf
sys.exit(run(Shelf(Path(sys.argv[1]), NAMES)))
"""
PATIENCE_S = 30.0
COLOUR = re.compile(rb"\x1b\[(?:[0-9;]*;)?(?:3[0-7]|4[0-7]|9[0-7]|10[0-7]|38|48)(?:;[0-9;]*)?m")
WIDE_COLOUR = re.compile(rb"\x1b\[(?:[0-9;]*;)?(?:38|48|9[0-7]|10[0-7])(?:;[0-9;]*)?m")


class Terminal:
    """The far end of a pseudo-terminal, with all that came through it."""

    def __init__(self, process: subprocess.Popen[bytes], handle: int) -> None:
        self.process, self.handle = process, handle
        self.bytes = b""

    def until(self, wanted: bytes) -> None:
        """Read until something was shown."""
        self._read(lambda: wanted in self.bytes, f"{wanted!r} was not shown")

    def until_gone(self) -> int:
        """Read until the program has ended; return its status."""
        self._read(lambda: self.process.poll() is not None, "the program did not end")
        return self.process.returncode

    def _read(self, enough: object, fault: str) -> None:
        assert callable(enough)
        until = time.monotonic() + PATIENCE_S
        while not enough():
            assert time.monotonic() < until, f"{fault}: {self.bytes[-2000:]!r}"
            if select.select([self.handle], [], [], 0.05)[0]:
                try:
                    self.bytes += os.read(self.handle, 65536)
                except OSError:  # the far end was shut
                    assert self.process.wait(PATIENCE_S) is not None

    def press(self, keys: bytes) -> None:
        os.write(self.handle, keys)


@contextmanager
def on_a_terminal(folder: Path, env: Mapping[str, str]) -> Iterator[Terminal]:
    handle, far = pty.openpty()
    fcntl.ioctl(far, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    kept = {name: value for name, value in os.environ.items() if name not in ("NO_COLOR", "COLORTERM")}
    process = subprocess.Popen(
        [sys.executable, "-c", PROGRAM, str(folder)],
        stdin=far,
        stdout=far,
        stderr=far,
        env={**kept, "TERM": "xterm-256color", **env},
        start_new_session=True,
    )
    os.close(far)
    terminal = Terminal(process, handle)
    try:
        terminal.until(b"what is this")
        yield terminal
    finally:
        process.kill()
        process.wait()
        os.close(handle)


@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGHUP])
def test_a_signal_leaves_the_terminal_as_it_was(shelf: Shelf, blade: Blade, how: signal.Signals) -> None:
    with on_a_terminal(shelf.folder, {}) as terminal:
        os.kill(terminal.process.pid, how)
        assert terminal.until_gone() == 0
    assert terminal.bytes.rfind(b"\x1b[?1049l") > terminal.bytes.rfind(b"\x1b[?1049h")
    assert terminal.bytes.rfind(b"\x1b[?25h") > terminal.bytes.rfind(b"\x1b[?25l")


@pytest.mark.parametrize("keys", [b"q", b"\x03"])
def test_q_and_the_interrupt_key_leave_at_once(shelf: Shelf, blade: Blade, keys: bytes) -> None:
    with on_a_terminal(shelf.folder, {}) as terminal:
        terminal.press(keys)
        assert terminal.until_gone() == 0


def test_a_killed_program_has_lost_nothing_it_had_shown(shelf: Shelf, blade: Blade) -> None:
    with on_a_terminal(shelf.folder, {}) as terminal:
        terminal.press(b" ")
        terminal.until(b"started")
        terminal.process.kill()
        terminal.process.wait()
    kept = Shelf(shelf.folder, registry.NAMES).blade(blade.key)
    assert kept.progress("A1").started is not None


def test_no_color_sends_no_colour(shelf: Shelf, blade: Blade) -> None:
    with on_a_terminal(shelf.folder, {"NO_COLOR": "1"}) as terminal:
        terminal.press(b"r")
        terminal.until(b"rack")
        assert COLOUR.findall(terminal.bytes) == []


def test_an_empty_no_color_does_not_count(shelf: Shelf, blade: Blade) -> None:
    with on_a_terminal(shelf.folder, {"NO_COLOR": ""}) as terminal:
        assert COLOUR.findall(terminal.bytes)


@pytest.mark.parametrize("term", ["linux", "xterm-256color"])
def test_only_the_eight_base_colours_are_sent(shelf: Shelf, blade: Blade, term: str) -> None:
    with on_a_terminal(shelf.folder, {"TERM": term, "COLORTERM": "truecolor"}) as terminal:
        assert COLOUR.findall(terminal.bytes)
        assert WIDE_COLOUR.findall(terminal.bytes) == []


def test_a_mouse_is_not_asked_for(shelf: Shelf, blade: Blade) -> None:
    with on_a_terminal(shelf.folder, {}) as terminal:
        assert b"\x1b[?1000h" not in terminal.bytes
        assert b"\x1b[?1003h" not in terminal.bytes


def test_what_is_poisoned_on_disk_never_reaches_the_terminal_raw(shelf: Shelf, now: datetime) -> None:
    bad = shelf.begin("Her\x1b]0;owned\x07on", "small", now, about="\x9b31m\u202e[@click=app.quit]")
    desk = Desk(shelf, lambda: now)
    desk.open(bad.key)
    desk.note("\x1b[2J\x07")
    with on_a_terminal(shelf.folder, {}) as terminal:
        for key, shown in ((b"r", b"owned"), (b"x", b"Written"), (b"w", b"bench")):
            terminal.press(key)
            terminal.until(shown)
        for raw in (b"\x1b]0;owned", "\x9b31m".encode(), "\u202e".encode(), b"\x1b[2J\x07"):
            assert raw not in terminal.bytes


def test_the_units_library_is_not_loaded_before_the_first_paint(shelf: Shelf, blade: Blade) -> None:
    code = """
import asyncio, sys
from pathlib import Path
from workshop.bench.alarm import Silent
from workshop.bench.app import BenchApp, present
from workshop.bench.desk import Desk
from workshop.drawer.registry import NAMES
from workshop.shelf.shelf import Shelf

async def main():
    desk = Desk(Shelf(Path(sys.argv[1]), NAMES), present)
    desk.read_air("17.5 °C", "61 %")
    desk.open(desk.blades[0].key)
    app = BenchApp(desk, Silent())
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        print("pint" in sys.modules)

asyncio.run(main())
"""
    ran = subprocess.run(
        [sys.executable, "-c", code, str(shelf.folder)], capture_output=True, text=True, check=True
    )
    assert ran.stdout.strip() == "False"
