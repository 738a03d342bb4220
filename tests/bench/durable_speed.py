"""How long one change takes to be safe on disk, beside a bare write, flush and rename of the same bytes.

    python tests/bench/durable_speed.py [FOLDER]

Prints the median of each and their ratio, for a young blade and for one with a whole route behind it.
"""

from __future__ import annotations

import os
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent.parent))

from workshop.build import changes
from workshop.cli.demo import make_demo
from workshop.drawer.registry import NAMES
from workshop.shelf import durable
from workshop.shelf.shelf import Shelf

ROUNDS = 200


def bare(path: Path, data: bytes) -> None:
    """Write beside, flush, rename: what any careful program does, and nothing more."""
    beside = path.with_suffix(".new")
    handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    os.write(handle, data)
    os.fsync(handle)
    os.close(handle)
    beside.replace(path)


def median_ms(work: Callable[[int], object], rounds: int = ROUNDS) -> float:
    times = []
    for number in range(rounds):
        start = time.perf_counter()
        work(number)
        times.append((time.perf_counter() - start) * 1000)
    return statistics.median(times)


def measured(shelf: Shelf, key: str, folder: Path) -> tuple[int, float, float, float]:
    now = datetime.now(UTC).replace(microsecond=0)
    step = shelf.blade(key).own_steps()[0].id

    def change(number: int) -> None:
        shelf.change(
            key, lambda one: changes.note(one, f"line {number}", now + timedelta(seconds=number), step)
        )

    change(-1)
    whole = median_ms(change)
    data = shelf.path(key).read_bytes()
    other = folder / "other.toml"
    other.write_bytes(data)
    return (
        len(data),
        median_ms(lambda _: bare(other, data)),
        median_ms(lambda _: durable.save(other, data)),
        whole,
    )


def main() -> None:
    home = sys.argv[1] if len(sys.argv) > 1 else None
    with tempfile.TemporaryDirectory(dir=home) as name:
        folder = Path(name)
        shelf = Shelf(make_demo(folder / "shelf", datetime.now(UTC).replace(microsecond=0)), NAMES)
        young = shelf.begin("Young", "hidden-tang", datetime.now(UTC).replace(microsecond=0))
        sys.stdout.write("blade      bytes     bare ms   save ms  ratio   change ms  ratio\n")
        for key in (young.key, shelf.blades()[0][0].key):
            size, plain, saved, whole = measured(shelf, key, folder)
            sys.stdout.write(
                f"{key:<10} {size:>6} {plain:>11.2f} {saved:>9.2f} {saved / plain:>6.1f} "
                f"{whole:>11.2f} {whole / plain:>6.1f}\n"
            )


if __name__ == "__main__":
    main()
