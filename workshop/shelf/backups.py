"""Older texts of a file: one a day and one a week, made before the day's first change replaces it.

They lie in `backups/KEY/` on the shelf. Seven days and eight weeks are kept; a text that `restore`
or `merge` replaced is put there too, and never thinned.
"""

from __future__ import annotations

import contextlib
import os
import re
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from workshop.errors import ShopError
from workshop.shelf import durable
from workshop.shelf.gate import FileFault, read_plain

FOLDER = "backups"
DAYS, WEEKS = 7, 8
_DAY = re.compile(r"day-\d{4}-\d{2}-\d{2}")
_WEEK = re.compile(r"week-\d{4}-W\d{2}")
_ASIDE = "replaced-"


@dataclass(frozen=True)
class Backup:
    """One older text. name: as `restore --from` takes it, such as "day-2026-03-02"."""

    name: str
    path: Path


def keep(shelf: Path, key: str, raw: bytes, day: date) -> None:
    """Keep a text before the first change of a day and of a week replaces it; thin what is older.

    A disk that has no room for it does not stop the change: the save that follows tells the truth.
    """
    folder = shelf / FOLDER / key
    year, week, _ = day.isocalendar()
    names = (f"day-{day.isoformat()}", f"week-{year:04d}-W{week:02d}")
    with contextlib.suppress(OSError, ShopError):
        for name in names:
            if not (folder / f"{name}.toml").exists():
                make_folder(shelf, folder)
                durable.save(folder / f"{name}.toml", raw, shelf)
                _thin(folder, names)


def _thin(folder: Path, just_made: tuple[str, ...]) -> None:
    for pattern, most, today in ((_DAY, DAYS, just_made[0]), (_WEEK, WEEKS, just_made[1])):
        found = sorted(path for path in folder.glob("*.toml") if pattern.fullmatch(path.stem))
        past = [path for path in found if path.stem <= today]
        ahead = found[len(past) :]  # of a clock that ran ahead: they take no true day's place
        for path in (*past[: max(len(past) - most, 0)], *ahead[: max(len(ahead) - most, 0)]):
            path.unlink(missing_ok=True)


def aside(shelf: Path, key: str, raw: bytes, now: datetime) -> Path:
    """Put a text that is about to be replaced aside for good; raises NotSaved."""
    folder = shelf / FOLDER / key
    make_folder(shelf, folder)
    stem = f"{_ASIDE}{now:%Y-%m-%dT%H%M%S}"
    path, number = folder / f"{stem}.toml", 2
    while path.exists():
        path, number = folder / f"{stem}-{number}.toml", number + 1
    durable.save(path, raw, shelf)
    return path


def take_off(path: Path, raw: bytes) -> str:
    """Take a text off the shelf that is kept elsewhere by now; return why it stays, "" when it is off."""
    try:
        if read_plain(path) != raw:
            return "it was changed meanwhile"
        path.unlink()
    except FileFault as fault:
        return str(fault).removeprefix(f"{path}: ").rstrip(".")
    except OSError as error:
        return error.strerror or str(error)
    return ""


def move_aside(shelf: Path, key: str, path: Path, now: datetime) -> None:
    """Put what stands at a path aside for good, whatever it is: a pipe, a link. Raises NotSaved."""
    folder = shelf / FOLDER / key
    make_folder(shelf, folder)
    try:
        path.rename(folder / f"{_ASIDE}{now:%Y-%m-%dT%H%M%S}-whole.toml")
    except OSError as error:
        raise durable.NotSaved(f"{path} cannot be put aside: {error.strerror or error}.") from error


def fault(shelf: Path) -> str:
    """Return why no older texts can be kept, "" when they can; a change is saved all the same."""
    folder = shelf / FOLDER
    if not os.path.lexists(folder):
        return ""
    if durable.leads_out(folder, shelf):
        return f"{folder} leads out of the shelf; no older texts are kept there."
    if not folder.is_dir() or not os.access(folder, os.R_OK | os.W_OK | os.X_OK):
        return f"{folder} is no folder that can be written; no older texts are kept."
    return ""


def make_folder(shelf: Path, folder: Path) -> None:
    """Make a folder of the shelf, private to its owner; raises NotSaved, also for one that leads out."""
    if durable.leads_out(folder, shelf):
        raise durable.NotSaved(f"{folder} leads out of the shelf; nothing is written there.")
    try:
        durable.make_folders(folder)
    except OSError as error:
        raise durable.NotSaved(f"{folder} cannot be made: {error.strerror or error}.") from error


def listed(shelf: Path, key: str) -> list[Backup]:
    """Return the older texts of a file: days and weeks, the newest first; then what was replaced."""
    folder = shelf / FOLDER / key
    timed = []
    with contextlib.suppress(OSError):
        for path in folder.glob("*.toml"):
            with contextlib.suppress(OSError):
                if path.is_file() and not path.name.startswith("."):
                    regular = not path.stem.startswith(_ASIDE)
                    timed.append((regular, path.stat().st_mtime_ns, path.stem, path))
    return [Backup(stem, path) for _, _, stem, path in sorted(timed, reverse=True)]


def keys(shelf: Path) -> list[str]:
    """Return the keys that have older texts."""
    with contextlib.suppress(OSError):
        return sorted(path.name for path in (shelf / FOLDER).iterdir() if path.is_dir())
    return []
