"""No calculator slows the start: the bench stands before any is imported or any of their stores is read."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from workshop.drawer import registry

START = """
import asyncio, json, sys
from datetime import UTC, datetime
from pathlib import Path

opened = []

def listen(event, args):
    if event == "open" and isinstance(args[0], str) and args[0].endswith(".toml"):
        opened.append(Path(args[0]))

sys.addaudithook(listen)

from textual import events
from workshop.bench import drawerpane
from workshop.bench.alarm import Silent
from workshop.bench.app import BenchApp
from workshop.bench.desk import Desk
from workshop.drawer.registry import NAMES
from workshop.shelf.shelf import Shelf

drawerpane.WARM_AFTER_S = 1e6  # what comes in aside, later, is not the start


def stands():
    return {
        "homes": sorted(name for name in sys.modules if name.startswith("workshop.drawer.")),
        "stores": sorted({path.stem for path in opened if path.parent.name == "stores"}),
    }


async def look():
    shelf = Shelf(Path(sys.argv[1]), NAMES)
    desk = Desk(shelf, lambda: datetime.now(UTC).astimezone())
    desk.open("heron")
    app = BenchApp(desk, Silent())
    async with app.run_test(size=(100, 40)) as pilot:
        await pilot.pause()
        seen = [stands()]
        app.on_key(events.Key("d", "d"))
        await pilot.pause()
        assert app.mode == "drawer", app.mode
        seen.append(stands())
    print("SEEN" + json.dumps(seen))


asyncio.run(look())
"""

ALWAYS = {f"workshop.drawer.{name}" for name in ("registry", "declare", "run")}
CLOCKS = {"adhesives", "oils"}


def seen(folder: Path) -> list[dict[str, set[str]]]:
    """Run the bench in a process of its own; return what had come in at each look."""
    env = {**os.environ, "WORKSHOP_SHELF": str(folder)}
    for code in (
        f"from workshop.cli import main; main(['--shelf', {str(folder)!r}, 'start', 'Heron'])",
        None,
    ):
        made = subprocess.run(
            [sys.executable, "-c", code or START, str(folder)],
            capture_output=True,
            text=True,
            timeout=120,
            env=env,
            check=False,
        )
        assert made.returncode == 0, made.stderr
    line = next(one for one in made.stdout.splitlines() if one.startswith("SEEN"))
    return [{key: set(names) for key, names in one.items()} for one in json.loads(line[4:])]


@pytest.fixture(scope="module")
def looks(tmp_path_factory: pytest.TempPathFactory) -> list[dict[str, set[str]]]:
    return seen(tmp_path_factory.mktemp("shelf"))


def test_the_bench_stands_without_any_calculator(looks: list[dict[str, set[str]]]) -> None:
    homes = {f"workshop.drawer.{home}" for home in registry.HOMES}
    assert not looks[0]["homes"] & homes
    assert looks[0]["homes"] <= ALWAYS


def test_it_stands_without_the_calculators_stores(looks: list[dict[str, set[str]]]) -> None:
    assert looks[0]["stores"] <= CLOCKS


def test_opening_the_drawer_brings_the_calculators_and_still_none_of_their_stores(
    looks: list[dict[str, set[str]]],
) -> None:
    assert {f"workshop.drawer.{home}" for home in registry.HOMES} <= looks[-1]["homes"]
    assert looks[-1]["stores"] <= CLOCKS
