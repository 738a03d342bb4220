"""What fifty live clocks cost: processor time over a minute, beside a bare app with one label that ticks.

    python tests/bench/many_clocks.py [SECONDS]

Both run as processes of their own on a pseudo-terminal of 80 by 24, at the same time, so that the machine is
equally busy for all. The bench is opened on ten blades with five running clocks each: at a blade, at the
rack and on the wall. Prints the processor time of each over the stretch (60 s unless told otherwise), and
the ratio.
Nothing is asserted: a loaded machine is slow, not wrong.
"""

# ruff: noqa: T201
from __future__ import annotations

import fcntl
import os
import pty
import select
import struct
import sys
import tempfile
import termios
import time
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

from workshop.build import changes
from workshop.build.blade import Blade
from workshop.drawer.registry import NAMES
from workshop.shelf import air_keeping
from workshop.shelf.shelf import Shelf

CLOCKS = (("E6", "temper-1"), ("H7", "bedding"), ("J2", "oil-coat"), ("K3", "glue-up"), ("K7", "cure"))
BLADES = 10
SETTLE_S = 8.0
"""Until both have started and drawn their first screens."""

BARE = """
from datetime import datetime
from textual.app import App
from textual.widgets import Label

class Bare(App):
    def compose(self):
        yield Label("")
    def on_mount(self):
        self.set_interval(1, self.tick)
    def tick(self):
        self.query_one(Label).update(f"{datetime.now():%H:%M:%S}")

Bare().run()
"""


def shelf_of_clocks(folder: Path, now: datetime) -> Shelf:
    """Make ten blades with five running clocks each, none of which calls yet."""
    shelf = Shelf(folder, NAMES)
    air_keeping.keep_reading(shelf, now, 291.15, 0.6)
    air, entries = air_keeping.air_of(shelf), shelf.clock_entries()
    for number in range(BLADES):
        blade = shelf.begin(f"Blade {number + 1}", "hidden-tang", now)

        def started(one: Blade, number: int = number) -> Blade:
            for place, (step, plan_id) in enumerate(CLOCKS):
                plan = one.route.by_id[step].clock(plan_id)
                assert plan is not None
                entry = entries.get(plan.store)
                ago_s = 3.0 * number + place  # so soon after their start that none calls while it is measured
                one = changes.start_clock(one, step, plan_id, now, ago_s=ago_s, entry=entry, air=air)
            return one

        shelf.change(blade.key, started)
    return shelf


class OnTerminal:
    """A program on a pseudo-terminal of its own, whose output is read and thrown away."""

    def __init__(self, words: Sequence[str]) -> None:
        self.pid, self.terminal = pty.fork()
        if not self.pid:
            os.environ.update(TERM="xterm-256color", COLORTERM="", WORKSHOP_LAPTOP="/dev/null/none.toml")
            os.execv(sys.executable, [sys.executable, *words])
        fcntl.ioctl(self.terminal, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        self.bytes = 0

    def processor_s(self) -> float:
        """Return the processor time it has used so far, its own and the system's for it."""
        fields = Path(f"/proc/{self.pid}/stat").read_text(encoding="ascii").rsplit(")", 1)[1].split()
        return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")

    def type(self, text: bytes) -> None:
        os.write(self.terminal, text)

    def leave(self) -> None:
        os.kill(self.pid, 9)
        os.waitpid(self.pid, 0)
        os.close(self.terminal)


def listen(programs: Sequence[OnTerminal], seconds: float) -> None:
    """Let programs run for so long, reading what they draw."""
    by_terminal = {one.terminal: one for one in programs}
    end = time.monotonic() + seconds
    while (left := end - time.monotonic()) > 0:
        for terminal in select.select(list(by_terminal), [], [], left)[0]:
            by_terminal[terminal].bytes += len(os.read(terminal, 65536))


def main(seconds: float) -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as folder:
        shelf = shelf_of_clocks(Path(folder), datetime.now(UTC).replace(microsecond=0) - timedelta(seconds=1))
        running = sum(len(blade.running()) for blade in shelf.blades()[0])
        bench = ["-m", "workshop", "--shelf", folder]
        programs = {
            "bare app, one label": OnTerminal(["-c", BARE]),
            f"a blade at the bench, {running} clocks": OnTerminal(bench),
            f"the rack, {running} clocks": OnTerminal(bench),
            f"the wall, {running} clocks": OnTerminal(bench),
        }
        every = list(programs.values())
        try:
            listen(every, SETTLE_S)
            for one, key in zip(every[-2:], (b"r", b"w"), strict=True):
                one.type(key)
            listen(every, 2.0)
            before = {name: (one.processor_s(), one.bytes) for name, one in programs.items()}
            listen(every, seconds)
            used = {name: one.processor_s() - before[name][0] for name, one in programs.items()}
            drawn = {name: one.bytes - before[name][1] for name, one in programs.items()}
        finally:
            for one in every:
                one.leave()
    bare = max(next(iter(used.values())), 0.01)
    print(f"processor time over {seconds:g} s, and bytes drawn")
    for name, spent in used.items():
        print(f"  {name:36} {spent:6.2f} s  {spent / bare:5.1f} x  {drawn[name]:8} bytes")


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 60.0)
