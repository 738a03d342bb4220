"""The whole command line by somebody who is not root: on a shelf of theirs, and on two that are not."""

from __future__ import annotations

import json
import os
import shutil
import stat
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from trial_ground import ENV, HOUSE, NotHere, Outcome, needs

NOBODY = 65534
READING = (
    ("blades",),
    ("steps", "Heron"),
    ("clocks",),
    ("calendar", "-o", "AWAY/shop.ics"),
    ("record", "Heron", "-o", "AWAY/heron.md"),
    ("check", "SHELF/heron.toml"),
    ("where",),
    ("restore", "Heron", "--list"),
    ("merge",),
    ("pack", "-o", "AWAY/shelf.zip"),
)
WRITING = (
    ("start", "Wren", "--route", "small"),
    ("note", "Heron", "hello"),
    ("back", "Heron"),
    ("step", "Heron", "A1", "start"),
    ("value", "Heron", "blade-length=155mm"),
    ("air", "19C", "50%"),
    ("calc", "pin-drill", "pin=5/32in", "clearance=0.003in", "--blade", "Heron", "--keep"),
    ("restore", "Heron"),
    ("merge", "Heron", "heron (copy)"),
    ("unpack", "AWAY/more.zip"),
)
BEGUN = (("start", "Heron", "--route", "small"), ("note", "Heron", "one"), ("note", "Heron", "two"))

TYPIST = """
import contextlib, io, json, os, sys
from workshop.cli import main
user, *lines = json.loads(sys.stdin.read())
def typed(line):
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = main(line)
    return [code, err.getvalue()]
for line in lines.pop(0):  # once as root elsewhere: what is loaded late may lie where only root may read
    typed(line)
if user:
    os.setgroups([]); os.setgid(user); os.setuid(user)
print(json.dumps([typed(line) for line in lines[0]]))
"""


def typed(user: int, shelf: Path, away: Path, lines: Any, first: Any = ()) -> list[list[Any]]:
    """Type command lines in one process as a user; return code and standard error of each."""

    def full(line: tuple[str, ...], where: Path) -> list[str]:
        return [
            "--shelf",
            str(where),
            *(one.replace("AWAY", str(away)).replace("SHELF", str(where)) for one in line),
        ]

    words = [
        user,
        [full(line, away.parent / "scratch") for line in first],
        [full(line, shelf) for line in lines],
    ]
    done = subprocess.run(
        [sys.executable, "-c", TYPIST],
        input=json.dumps(words),
        capture_output=True,
        text=True,
        env={**ENV, "WORKSHOP_LAPTOP": str(away / "laptop.toml")},
        cwd=HOUSE,
        check=False,
    )
    if done.returncode:
        raise AssertionError(done.stderr[-400:])
    return list(json.loads(done.stdout))


def state(folder: Path) -> dict[str, tuple[int, int, bytes]]:
    """Return all that is in a folder, with mode and owner."""
    found = {}
    for path in (folder, *folder.rglob("*")):
        info = path.lstat()
        raw = path.read_bytes() if stat.S_ISREG(info.st_mode) else b""
        found[str(path.relative_to(folder))] = (stat.S_IMODE(info.st_mode), info.st_uid, raw)
    return found


def rights(home: Path, count: int = 0) -> Outcome:
    """As nobody: on a shelf of its own, one that it may only read, and one that it may not even read."""
    needs("setpriv", root=True)
    look = ["setpriv", "--reuid", str(NOBODY), "--clear-groups", "ls", str(HOUSE / "recipes" / "routes")]
    if subprocess.run(look, capture_output=True, check=False).returncode:
        raise NotHere("this checkout lies where only root may read")
    out = Outcome("the whole command line by a user who is not root: own, readable, closed")
    with tempfile.TemporaryDirectory() as open_to_all:
        Path(open_to_all).chmod(0o755)
        _tried(Path(open_to_all), out)
    return out


def _tried(home: Path, out: Outcome) -> None:
    mine, away = home / "mine", home / "away"
    for folder in (mine, away):
        folder.mkdir()
        os.chown(folder, NOBODY, NOBODY)
    own = mine / "deep" / "shelf"
    route = (HOUSE / "tests" / "shelf" / "golden" / "route-1.toml").read_bytes()
    for folder in (own, home / "scratch"):
        (folder / "routes").mkdir(parents=True)
        (folder / "routes" / "small.toml").write_bytes(route)
    for path in (mine / "deep", *(mine / "deep").rglob("*")):
        os.chown(path, NOBODY, NOBODY)
    lines = (*BEGUN, *READING, *WRITING[:-2])
    said = typed(NOBODY, own, away, lines, (*BEGUN, *READING, *WRITING))
    out.tried += len(lines)
    out.bad += [
        f"own shelf: {line}: {code} {err}" for line, (code, err) in zip(lines, said, strict=True) if code
    ]
    out.bad += [
        f"{name} is {mode:o} of {user}" for name, (mode, user, _) in state(own).items() if user != NOBODY
    ]
    for name, closed in (("readable", False), ("closed", True)):
        shelf = home / name
        shutil.copytree(own, shelf)
        shutil.copy(shelf / "heron.toml", shelf / "heron (copy).toml")
        shutil.copy(away / "shelf.zip", away / "more.zip")
        for path in (shelf, *shelf.rglob("*")):
            path.chmod((0o700 if path.is_dir() else 0o600) if closed else (0o755 if path.is_dir() else 0o644))
        (shelf / "wren.toml").unlink()
        out.bad += [f"{name} shelf: {wrong}" for wrong in _refused(shelf, away, closed=closed)]
        out.tried += len(READING) + len(WRITING)


def _refused(shelf: Path, away: Path, *, closed: bool) -> Iterator[str]:
    before = state(shelf)
    lines = (*READING, *WRITING)
    for line, (code, err) in zip(lines, typed(NOBODY, shelf, away, lines, (*READING, *WRITING)), strict=True):
        may = line in READING and not closed
        if code != (0 if may else 2) or (
            code == 2 and (err.count("\n") != 1 or "fault of the program" in err)
        ):
            yield f"{line}: {code} {err}"
        if closed and "ermission denied" not in err:
            yield f"{line}: the reason is not said: {err}"
    if state(shelf) != before:
        yield "it was changed"
