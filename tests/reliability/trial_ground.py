"""What the trials stand on: a shelf, the real command line, the real bench on a terminal, an outcome."""

from __future__ import annotations

import atexit
import fcntl
import os
import pty
import re
import select
import shutil
import signal
import struct
import subprocess
import sys
import tempfile
import termios
import time
import tomllib
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from workshop.build import changes
from workshop.build.blade import Blade
from workshop.drawer import registry
from workshop.shelf.shelf import Shelf

GOLDEN = Path(__file__).resolve().parent.parent / "shelf" / "golden"
HOUSE = Path(__file__).resolve().parent.parent.parent
NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
ENV = {**os.environ, "PYTHONDONTWRITEBYTECODE": "1", "PYTHONHASHSEED": "0", "TERM": "xterm-256color"}
ENV["PYTHONPATH"] = str(HOUSE)
LAPTOP = Path(tempfile.gettempdir()) / f"trial-laptop-{os.getpid()}"
"""What stands beside the laptop on which it is tried: nothing of whoever runs it."""
ENV["WORKSHOP_LAPTOP"] = str(LAPTOP / "laptop.toml")
atexit.register(shutil.rmtree, LAPTOP, ignore_errors=True)
PATIENCE_S = 40.0


class NotHere(Exception):
    """The machine lacks what the trial needs."""


@dataclass
class Outcome:
    """What was tried, how often, and what went wrong: a line each."""

    what: str
    tried: int = 0
    bad: list[str] = field(default_factory=list)
    note: str = ""


def needs(*tools: str, root: bool = False) -> None:
    """Raise NotHere when a tool is missing, or the rights of root are."""
    if not sys.platform.startswith("linux"):
        raise NotHere("this trial is for Linux")
    for tool in tools:
        if shutil.which(tool) is None:
            raise NotHere(f"{tool} is not installed")
    if root and os.geteuid() != 0:
        raise NotHere("only root can mount and change the user")


def new_shelf(folder: Path, name: str = "Heron") -> Shelf:
    """Return a shelf with a small route and one blade on it."""
    (folder / "routes").mkdir(parents=True)
    (folder / "routes" / "small.toml").write_bytes((GOLDEN / "route-1.toml").read_bytes())
    shelf = Shelf(folder, registry.NAMES)
    shelf.begin(name, "small", NOW, about="155 mm hunter, walnut")
    return shelf


def fresh(folder: Path) -> Blade:
    """Return the blade as another program reads it."""
    return Shelf(folder, registry.NAMES).blade("heron")


def says(folder: Path) -> list[str]:
    """Return the lines of the log in the file, read by the TOML reader alone."""
    return [one["says"] for one in tomllib.loads((folder / "heron.toml").read_text())["log"]]


def note(text: str) -> Callable[[Blade], Blade]:
    return lambda one: changes.note(one, text, NOW)


def strays(folder: Path) -> list[str]:
    return [str(path) for path in folder.rglob(".unsaved-*")]


def workshop(folder: Path, *words: str, before: Sequence[str] = (), **env: str) -> Any:
    """Run the real command line; `before` stands in front of it (strace and its words)."""
    line = [*before, sys.executable, "-m", "workshop", "--shelf", str(folder), *words]
    return subprocess.run(line, capture_output=True, env={**ENV, **env}, timeout=120, check=False)


@contextmanager
def mounted(at: Path, *words: str) -> Iterator[None]:
    """Mount something for a while; NotHere when the machine does not let us."""
    at.mkdir(parents=True, exist_ok=True)
    done = subprocess.run(["mount", *words, str(at)], capture_output=True, check=False)
    if done.returncode:
        raise NotHere(f"mount {' '.join(words[:3])}: {done.stderr.decode(errors='replace').strip()}")
    try:
        yield
    finally:
        subprocess.run(["umount", str(at)], capture_output=True, check=False)


ANSI = re.compile(rb"\x1b(?:\[[0-9;?<>=]*[ -/]*[@-~]|\][^\x07\x1b]*(?:\x07|\x1b\\)|[@-_])")


class Bench:
    """The real program on a pseudo-terminal of 24 rows and 80 columns."""

    def __init__(self, folder: Path, *words: str, rows: int = 24, columns: int = 80, **env: str) -> None:
        self.handle, far = pty.openpty()
        fcntl.ioctl(far, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
        line = [sys.executable, "-m", "workshop", "--shelf", str(folder), *words]
        self.process = subprocess.Popen(
            line, stdin=far, stdout=far, stderr=far, env={**ENV, **env}, start_new_session=True
        )
        os.close(far)
        self.raw = b""
        self.seen = 0

    def press(self, keys: str) -> None:
        os.write(self.handle, keys.encode())

    def words(self) -> str:
        """Return what was shown since `mark`, without what moves and colours it."""
        return ANSI.sub(b"", self.raw[self.seen :]).decode("utf-8", "replace")

    def mark(self) -> None:
        self.seen = len(self.raw)

    def until(self, *wanted: str, patience_s: float = PATIENCE_S) -> str:
        """Read until one of these was shown, or the program ended (""); return which."""
        until = time.monotonic() + patience_s
        while time.monotonic() < until:
            shown = self.words()
            for one in wanted:
                if one in shown:
                    return one
            if not self.read(0.05) and self.process.poll() is not None:
                return ""
        raise AssertionError(f"{wanted} was not shown: {self.words()[-600:]!r}")

    def read(self, wait_s: float) -> bool:
        if select.select([self.handle], [], [], wait_s)[0]:
            try:
                self.raw += os.read(self.handle, 65536)
                return True
            except OSError:  # the far end was shut
                return False
        return False

    def quiet(self, wait_s: float = 0.3) -> None:
        """Read until nothing more comes for a while."""
        for _ in range(200):
            if not self.read(wait_s):
                return

    def note(self, text: str) -> None:
        """Type a note; whether it was kept is to be read from the screen."""
        self.mark()
        self.press("m")
        self.until("A note at", patience_s=PATIENCE_S)
        self.mark()
        self.press(f"{text}\r")

    def alive(self) -> bool:
        return self.process.poll() is None

    def end(self) -> None:
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGKILL)
        self.process.wait()
        os.close(self.handle)
