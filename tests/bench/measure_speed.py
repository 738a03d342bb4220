"""How long it takes to read a measure, to refuse one, and to load what does it.

    python tests/bench/measure_speed.py

Prints milliseconds (the best of several goes) and how many times longer the worst text of
64 KiB takes than a plain one. Nothing is asserted: a loaded machine is slow, not wrong.
"""

# ruff: noqa: T201
from __future__ import annotations

import contextlib
import subprocess
import sys
import time

from workshop.errors import ShopError
from workshop.measure import KINDS, read, write

PLAIN = ("5/32", "1 1/4 in", "25.4mm + 3 thou", "3,2 mm", "2' 3 1/2\"")
SHAPES = (
    "9",
    "(",
    "1/",
    "1 ",
    "½",
    "a",
    "\x00",
    "1+",
    "1,",
    "1'",
    "1x",
    "1:",
    "1 to ",
    "²",
    "1 in ",
    " ",
    "\ud800",
)
LARGE = 65536


def best(text: str, kind: str, goes: int) -> float:
    """Return the least time in ms that reading or refusing the text takes."""
    found = float("inf")
    for _ in range(goes):
        start = time.perf_counter()
        with contextlib.suppress(ShopError):
            read(text, kind, unit=KINDS[kind].natural)
        found = min(found, time.perf_counter() - start)
    return found * 1000


def loading() -> float:
    """Return how many ms a fresh interpreter takes longer with the module than without it."""
    times = []
    for code in ("pass", "import workshop.measure"):
        goes = []
        for _ in range(7):
            start = time.perf_counter()
            subprocess.run([sys.executable, "-c", code], check=True)
            goes.append(time.perf_counter() - start)
        times.append(min(goes))
    return (times[1] - times[0]) * 1000


def main() -> None:
    """Measure and print."""
    plain = max(best(text, "length", 200) for text in PLAIN)
    worst, where = 0.0, ""
    for kind in KINDS:
        for shape in SHAPES:
            for length in (200, LARGE):
                taken = best((shape * length)[:length], kind, 3)
                if taken > worst:
                    worst, where = taken, f"{kind}, {length} characters of {shape!a}"
    start = time.perf_counter()
    for _ in range(1000):
        write(0.0396875, "length", "fraction")
    print(f"slowest plain text   {plain:8.3f} ms")
    print(f"slowest text at all  {worst:8.3f} ms   ({where}; {worst / plain:.1f} times a plain one)")
    print(f"writing a fraction   {time.perf_counter() - start:8.3f} ms")
    print(f"loading the module   {loading():8.1f} ms")


if __name__ == "__main__":
    main()
