"""Killed at any moment, a command has either happened whole or not at all, and the next one goes on."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from workshop.build.ledger import last_said
from workshop.cli import main
from workshop.drawer import registry
from workshop.shelf import durable
from workshop.shelf.shelf import Shelf

KILL_AT = """
import os, signal, sys
from pathlib import Path
from workshop.shelf import durable
shelf = Path(os.environ["WORKSHOP_SHELF"])
real = durable.{name}
def fatal(*words, **kinds):
    if shelf not in (words[0], words[0].parent):  # an older text is kept first, in a folder below
        return real(*words, **kinds)
    if not {after}:
        os.kill(os.getpid(), signal.SIGKILL)
    real(*words, **kinds)
    os.kill(os.getpid(), signal.SIGKILL)
durable.{name} = fatal
from workshop.cli import main
sys.exit(main(["step", "Heron", "A1", "start"]))
"""


@pytest.mark.parametrize(
    ("name", "after", "state"),
    [
        ("save", False, None),
        ("_write_new", True, None),
        ("flush_folder", False, "in hand"),
        ("save", True, "in hand"),
    ],
)
def test_killed_around_the_writing(
    shelf: Shelf, now: datetime, name: str, after: bool, state: str | None
) -> None:
    assert main(["--shelf", str(shelf.folder), "start", "Heron", "--route", "small"], now=now) == 0
    made = subprocess.run(
        [sys.executable, "-c", KILL_AT.format(name=name, after=after)],
        env={**os.environ, "WORKSHOP_SHELF": str(shelf.folder)},
        capture_output=True,
        timeout=60,
        check=False,
    )
    assert made.returncode == -signal.SIGKILL
    found = Shelf(shelf.folder, registry.NAMES).find("Heron").progress("A1").state
    assert (found and str(found)) == state
    words = ["A1", "start"] if state is None else ["A1", "finish", "--value", "blade-length=155mm"]
    assert main(["--shelf", str(shelf.folder), "step", "Heron", *words], now=datetime.now(UTC)) == 0


def test_a_refused_write_leaves_the_blade_as_it_was(heron: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(path: Path, data: bytes, mode: int) -> None:
        raise OSError(28, "No space left on device")

    before = Shelf(heron.folder, registry.NAMES).find("Heron")
    monkeypatch.setattr(durable, "_write_new", full)
    assert "No space left" in heron.refused("step", "Heron", "A1", "start")
    after = Shelf(heron.folder, registry.NAMES).find("Heron")
    assert last_said(before, after) == ""
    assert after.progress("A1").state is None
