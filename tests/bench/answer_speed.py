"""How long an answer takes from the keystroke to the terminal, in the real program on a pseudo-terminal.

    python tests/bench/answer_speed.py [CALCULATOR …]

Every calculator is opened in the drawer and its own example typed letter by letter; each letter is timed
until the last byte of its frame has come through. The same is done with a bare app that shows what was typed.
Prints median and 99th percentile of both and their ratio, and the slowest calculators. A frame is 1/60 s.
Nothing is asserted: a loaded machine is slow, not wrong.
"""

# ruff: noqa: T201
from __future__ import annotations

import fcntl
import os
import pty
import select
import statistics
import struct
import subprocess
import sys
import tempfile
import termios
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

from workshop.bench.desk import Desk
from workshop.bench.reckoning import Reckoning
from workshop.cli import main as workshop
from workshop.drawer import registry
from workshop.shelf.shelf import Shelf

FRAME_MS = 1000 / 60
FRAME_OVER_S = 0.012
"""A frame is over when nothing came for so long; what comes later is the clock's tick."""

QUIET_S = 0.06
"""So long is waited before the next letter."""

HEAVY = ("tang-heat",)
"""Real computation, with a tenth of a second of its own."""

BENCH = "import sys; from workshop.cli import main; sys.exit(main(sys.argv[1:]))"
BARE = """
from textual.app import App
from textual.widgets import Static

class Bare(App):
    text = ""

    def compose(self):
        yield Static("ready", id="shown", markup=False)

    def on_key(self, event):
        self.text = (self.text + (event.character or ""))[-40:]
        self.query_one("#shown", Static).update("typed " + self.text)

Bare().run()
"""


class Terminal:
    """The near end of a pseudo-terminal."""

    def __init__(self, handle: int) -> None:
        self.handle = handle

    def press(self, keys: bytes, quiet_s: float = QUIET_S) -> float:
        """Send keys; return the ms until the last byte of the frame they brought (0 for none)."""
        began = last = time.perf_counter()
        os.write(self.handle, keys)
        while select.select([self.handle], [], [], FRAME_OVER_S if last > began else 0.5)[0]:
            os.read(self.handle, 1 << 16)
            last = time.perf_counter()
        self.settle(quiet_s)
        return (last - began) * 1000

    def settle(self, quiet_s: float) -> None:
        """Wait until nothing comes for so long."""
        while select.select([self.handle], [], [], quiet_s)[0]:
            os.read(self.handle, 1 << 16)


@contextmanager
def terminal(*command: str) -> Iterator[Terminal]:
    """Start a program on a pseudo-terminal of 100 × 40 and wait until it stands."""
    near, far = pty.openpty()
    fcntl.ioctl(far, termios.TIOCSWINSZ, struct.pack("HHHH", 40, 100, 0, 0))
    env = {**os.environ, "TERM": "xterm-256color"}
    process = subprocess.Popen(
        [sys.executable, "-c", *command], stdin=far, stdout=far, stderr=far, env=env, start_new_session=True
    )
    os.close(far)
    try:
        one = Terminal(near)
        one.settle(3.0)
        yield one
    finally:
        process.kill()
        process.wait()
        os.close(near)


def answers(folder: Path, names: list[str]) -> dict[str, list[float]]:
    """Return, by calculator, the ms of every letter that was typed into a field of it."""
    shelf = Shelf(folder, registry.NAMES)
    desk = Desk(shelf, lambda: datetime.now(UTC).astimezone())
    desk.open("heron")
    times: dict[str, list[float]] = {}
    with terminal(BENCH, "--shelf", str(folder)) as bench:
        for name in names:
            asked = registry.calculator(name)
            at = Reckoning(desk, asked).at
            bench.press(b"d", 0.3)
            bench.press(asked.title.encode(), 0.3)
            bench.press(b"\r", 0.3)
            times[name] = []
            for wanted, field in enumerate(asked.fields):
                text = asked.example.given.get(field.name)
                if text is None or field.kind == "choice":
                    continue
                moves = wanted - at
                bench.press((b"\x1b[B" if moves > 0 else b"\x1b[A") * abs(moves), 0.3)
                at = wanted
                times[name] += [bench.press(letter.encode()) for letter in text]
            bench.press(b"\x1b", 0.3)
            bench.press(b"\x1b", 0.3)
    return times


def bare(letters: int) -> list[float]:
    """Return the ms of every letter that was typed into the bare app."""
    with terminal(BARE) as app:
        return [app.press(b"abcdefgh"[n % 8 : n % 8 + 1]) for n in range(letters)]


def ninety_ninth(times: list[float]) -> float:
    """Return the time that one in a hundred exceeds."""
    return statistics.quantiles(times, n=100)[98]


def main() -> None:
    """Measure and print."""
    names = sys.argv[1:] or list(registry.NAMES)
    with tempfile.TemporaryDirectory() as folder:
        workshop(["--shelf", folder, "start", "Heron"])
        times = answers(Path(folder), names)
    every = [one for some in times.values() for one in some if one]
    light = [one for name, some in times.items() if name not in HEAVY for one in some if one] or every
    plain = bare(200)
    print(f"{len(every)} letters that changed the screen, in {len(times)} calculators")
    for label, some in (("answer", every), (f"less {' '.join(HEAVY)}", light), ("bare app", plain)):
        print(f"{label:15} median {statistics.median(some):6.2f} ms   99th {ninety_ninth(some):6.2f} ms")
    print(
        f"ratio           median {statistics.median(every) / statistics.median(plain):6.2f}      "
        f"99th {ninety_ninth(every) / ninety_ninth(plain):6.2f}      a frame is {FRAME_MS:.1f} ms"
    )
    slow = sorted(times, key=lambda name: -max(times[name], default=0))[:6]
    print("slowest:", ", ".join(f"{name} {max(times[name], default=0):.1f} ms" for name in slow))


if __name__ == "__main__":
    main()
