"""What a start brings in: trade, build and command line load neither the screen nor the units library."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

LOOK = """
import pkgutil, sys
{what}
heavy = sorted(name for name in sys.modules if name.partition(".")[0] in ("textual", "pint", "numpy"))
print("HEAVY", *heavy)
"""

ALL_OF = """
import workshop.{room}
for one in pkgutil.walk_packages(workshop.{room}.__path__, "workshop.{room}."):
    __import__(one.name)
"""

COMMAND = """
from workshop.cli import main
code = main({words})
assert code == 0, code
"""


def heavy(what: str, folder: Path) -> str:
    """Run a program in a process of its own and return what it brought in that is slow to load."""
    made = subprocess.run(
        [sys.executable, "-c", LOOK.format(what=what)],
        capture_output=True,
        text=True,
        timeout=120,
        env={**os.environ, "WORKSHOP_SHELF": str(folder), "TERM": "dumb"},
        check=False,
    )
    assert made.returncode == 0, made.stderr
    return made.stdout.splitlines()[-1]


@pytest.mark.parametrize("room", ["trade", "build", "paper", "shelf", "drawer", "cli"])
def test_a_room_comes_in_light(room: str, tmp_path: Path) -> None:
    assert heavy(ALL_OF.format(room=room), tmp_path) == "HEAVY"


@pytest.mark.parametrize(
    "words",
    [
        [],
        ["start", "Heron"],
        ["blades"],
        ["where"],
        ["calc"],
        ["calc", "pin-drill", "pin=5/32in", "clearance=0.003in"],
    ],
)
def test_a_command_runs_light(words: list[str], tmp_path: Path) -> None:
    assert heavy(COMMAND.format(words=words), tmp_path) == "HEAVY"


def test_something_heavy_would_be_seen(tmp_path: Path) -> None:
    assert "pint" in heavy("import pint", tmp_path)
