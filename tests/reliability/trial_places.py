"""Bad places for a shelf: full, read-only, gone, closed to us; and clocks that are wrong."""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
import tempfile
from datetime import timedelta
from pathlib import Path

from trial_ground import (
    ENV,
    GOLDEN,
    HOUSE,
    NOW,
    Bench,
    Outcome,
    fresh,
    mounted,
    needs,
    new_shelf,
    note,
    says,
    workshop,
)

from workshop.bench.desk import Desk
from workshop.drawer import registry
from workshop.errors import ShopError
from workshop.shelf.shelf import Shelf

ZONES = (
    "UTC",
    "Pacific/Kiritimati",
    "Pacific/Pago_Pago",
    "Asia/Kathmandu",
    "America/St_Johns",
    "Australia/Lord_Howe",
)


def full_disk(home: Path, count: int = 0) -> Outcome:
    """A file system of 64 KiB: the bench says it is full, goes on in memory, and saves when there is room."""
    needs("mount", root=True)
    out = Outcome("64 KiB file system, full")
    with mounted(home / "small", "-t", "tmpfs", "-o", "size=64k", "none"):
        folder = home / "small" / "shelf"
        shelf = new_shelf(folder)
        desk = Desk(shelf, lambda: NOW)
        desk.open("heron")
        desk.note("while there is room")
        if desk.saving.words():
            out.bad.append(f"there is no room for one knife: {desk.saving.words()}")
        filler = home / "small" / "filler"
        with contextlib.suppress(OSError), filler.open("wb", buffering=0) as file:
            while True:
                file.write(b"0" * 512)
        before = (folder / "heron.toml").read_bytes()
        for number in range(10):
            desk.note(f"full {number}")
            out.tried += 1
        if not desk.saving.words().startswith("NOT SAVED, 10 changes"):
            out.bad.append(f"the desk does not say that it is full: {desk.saving.words()!r}")
        if (folder / "heron.toml").read_bytes() != before:
            out.bad.append("the file changed while the disk was full")
        said = workshop(folder, "note", "heron", "no room")
        if said.returncode != 2 or b"is not saved" not in said.stderr:
            out.bad.append(f"the command line does not refuse: {said.returncode} {said.stderr!r}")
        filler.unlink()
        if not any(desk.saving.writer.close(1.0) for _ in range(60)):
            out.bad.append("it is not saved when there is room again")
        kept = says(folder)
        out.bad += [f"full {number} is lost" for number in range(10) if kept.count(f"full {number}") != 1]
    return out


def read_only(home: Path, count: int = 0) -> Outcome:
    """A mount that is read-only: everything is shown, nothing is written, each change is refused in words."""
    needs("mount", root=True)
    out = Outcome("read-only mount")
    new_shelf(home / "real")
    with mounted(home / "ro", "--bind", str(home / "real")):
        subprocess.run(["mount", "-o", "remount,ro,bind", str(home / "ro")], check=True)
        for words, code in (
            (("blades",), 0),
            (("steps", "heron"), 0),
            (("record", "heron"), 0),
            (("note", "heron", "x"), 2),
            (("start", "Wren", "--route", "small"), 2),
            (("air", "17C"), 2),
            (("restore", "heron"), 2),
        ):
            done = workshop(home / "ro", *words)
            out.tried += 1
            if done.returncode != code or (code and done.stderr.count(b"\n") != 1):
                out.bad.append(f"{words[0]}: {done.returncode} {done.stderr[-200:]!r}")
        bench = Bench(home / "ro")
        bench.until("what is this")
        bench.note("only in memory")
        out.tried += 1
        if bench.until("NOT SAVED") != "NOT SAVED":
            out.bad.append("the bench does not say that nothing is saved")
        bench.mark()
        bench.press("q")
        if not bench.until("not everything is on disk"):
            out.bad.append("the bench leaves without saying what is unsaved")
        bench.press("\x03")
        bench.until("Not saved on the shelf")
        bench.quiet()
        if bench.process.wait(30) != 1:
            out.bad.append("leaving with unsaved changes ends like leaving without")
        for one in Path.home().glob("workshop-not-saved-*"):
            if "only in memory" in (one / "heron.toml").read_text():
                for path in sorted(one.rglob("*"), reverse=True):
                    path.rmdir() if path.is_dir() else path.unlink()
                one.rmdir()
        bench.end()
    return out


def gone_and_closed(home: Path, count: int = 0) -> Outcome:
    """The folder goes away while the bench is open, and comes back; another user may not read it."""
    out = Outcome("folder removed, folder unreadable")
    folder = home / "shelf"
    shelf = new_shelf(folder)
    desk = Desk(shelf, lambda: NOW)
    desk.open("heron")
    folder.rename(home / "away")
    desk.note("while it is away")
    out.tried += 1
    if not desk.saving.words().startswith("NOT SAVED"):
        out.bad.append("a folder that went away is not said")
    try:
        desk.refresh()
        out.bad.append("a folder that went away is read as an empty shelf")
    except ShopError:
        pass
    if desk.blade is None:
        out.bad.append("the blade in hand is gone with its folder")
    (home / "away").rename(folder)
    if not any(desk.saving.writer.close(1.0) for _ in range(60)):
        out.bad.append("it is not saved when the folder is back")
    if says(folder).count("while it is away") != 1:
        out.bad.append("the change made meanwhile is lost")
    out.tried += 1
    if os.geteuid() == 0:
        out.bad += _as_nobody(folder)
        out.tried += 2
    return out


def _as_nobody(folder: Path) -> list[str]:
    """Look at a shelf of mode 0700 as somebody else; then write one whose file may be read only."""
    code = (
        "import sys; from pathlib import Path; from workshop.shelf.shelf import Shelf; "
        "from workshop.drawer.registry import NAMES; s = Shelf(Path(sys.argv[1]), NAMES)\n"
        "import os; os.setgid(65534); os.setuid(65534)\n"
        "from workshop.build import changes; from workshop.errors import ShopError\n"
        "try:\n    found = s.blades()[0]\n"
        "    s.change('heron', lambda b: changes.note(b, 'x', b.started)); print('written')\n"
        "except ShopError as e: print('refused', e)\n"
    )
    wrong = []
    folder.chmod(0o700)
    with tempfile.TemporaryDirectory() as open_to_all:
        Path(open_to_all).chmod(0o755)
        readable = new_shelf(Path(open_to_all) / "shelf").folder
        for path in (readable, *readable.rglob("*")):
            path.chmod(0o755 if path.is_dir() else 0o644)
        for place, word in ((folder, "cannot be read"), (readable, "is not saved")):
            done = subprocess.run(
                [sys.executable, "-c", code, str(place)],
                capture_output=True,
                text=True,
                env=ENV,
                cwd=HOUSE,
                check=False,
            )
            if not done.stdout.startswith("refused") or word not in done.stdout:
                wrong.append(f"as nobody on {place.name}: {done.stdout} {done.stderr[-200:]}")
    return wrong


def wrong_clocks(home: Path, count: int = 0) -> Outcome:
    """A clock begun in the future, a file of another century, a laptop of another time zone."""
    out = Outcome("clocks from the future, other time zones")
    folder = home / "shelf"
    new_shelf(folder)
    blade = (GOLDEN / "blade-1.toml").read_text()
    (folder / "kept" / "small-1.toml").write_bytes((GOLDEN / "route-1.toml").read_bytes())
    texts = {"now": blade}
    for years in (5, 300):
        texts[f"in {years} years"] = blade.replace("2026-03-02", f"{2026 + years}-03-02")
    seen = set()
    for name, text in texts.items():
        (folder / "heron.toml").write_text(text)
        before = (folder / "heron.toml").read_bytes()
        for zone in ZONES[:2] if count else ZONES:
            for words in (
                ("blades",),
                ("clocks",),
                ("steps", "heron"),
                ("record", "heron"),
                ("clocks", "--json"),
            ):
                done = workshop(folder, *words, TZ=zone)
                out.tried += 1
                if done.returncode or b"Traceback" in done.stderr:
                    out.bad.append(f"{name}, {zone}, {words}: {done.stderr[-200:]!r}")
                if words[-1] == "--json" and name == "now":
                    seen.add(b"\n".join(line for line in done.stdout.splitlines() if b"2026-03-02" in line))
        if (folder / "heron.toml").read_bytes() != before:
            out.bad.append(f"{name}: reading wrote to the file")
    if len(seen) != 1:
        out.bad.append("the moments of a clock are other ones in another time zone")
    return out


def two_windows(home: Path, count: int = 0) -> Outcome:
    """Two benches and the command line on one shelf: each sees what the others did, none undoes it."""
    out = Outcome("two windows and the command line on one blade")
    folder = home / "shelf"
    new_shelf(folder)
    desks = [Desk(Shelf(folder, registry.NAMES), lambda: NOW + timedelta(seconds=1)) for _ in range(2)]
    for desk in desks:
        desk.open("heron")
    for number in range(count or 20):
        desks[number % 2].note(f"w{number}")
        out.tried += 1
        if number % 5 == 4:
            Shelf(folder, registry.NAMES).change("heron", note(f"c{number}"))
            out.tried += 1
    for desk in desks:
        desk.refresh()
        there = {line.says for line in desk.blade.log} if desk.blade else set()
        out.bad += [f"w{number} is not seen" for number in range(count or 20) if f"w{number}" not in there]
    fresh(folder)
    return out
