"""Killed at any moment, cut off from power at any moment, four at once: what was shown as done is there."""

from __future__ import annotations

import filecmp
import os
import random
import shutil
import signal
import subprocess
import threading
import time
import tomllib
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any

from trial_ground import NOW, Bench, NotHere, Outcome, fresh, mounted, needs, new_shelf, note, says, strays

from workshop.bench.desk import Desk, Tone
from workshop.build import changes
from workshop.drawer import registry
from workshop.shelf import durable
from workshop.shelf.shelf import Shelf


def session(folder: Path, number: int, shown: Callable[[str], None]) -> None:
    """A maker who writes notes at the desk for ever; each is told when the desk shows it as done."""
    desk = Desk(Shelf(folder, registry.NAMES), lambda: NOW)
    desk.open("heron")
    count = 0
    while True:
        count += 1
        text = f"n{number}-{count}"
        desk.note(text)
        if desk.said.tone is Tone.DONE and desk.said.text == text:
            shown(text)


def killed_session(folder: Path, number: int, after_s: float) -> list[str]:
    """Run a session in a process of its own, kill it at a moment; return what it had shown as done."""
    near, far = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.close(near)
            session(folder, number, lambda text: os.write(far, f"{text}\n".encode()) and None)
        finally:
            os._exit(1)
    os.close(far)
    heard = b""
    with os.fdopen(near, "rb", buffering=0) as pipe:
        heard += pipe.read(1)  # it is at work
        threading.Event().wait(after_s)
        os.kill(child, signal.SIGKILL)
        while piece := pipe.read(65536):
            heard += piece
    os.waitpid(child, 0)
    return heard.decode().rpartition("\n")[0].split("\n")


def kill_loop(home: Path, kills: int) -> Outcome:
    """SIGKILL at random moments of a session at the desk."""
    out = Outcome(f"{kills} × SIGKILL at a random moment of a session at the desk")
    folder = home / "shelf"
    new_shelf(folder)
    chance = random.Random(11)
    changes = 0
    for number in range(kills):
        done = killed_session(folder, number, chance.uniform(0, 0.02))
        changes += len(done)
        out.tried += 1
        try:
            kept = says(folder)
            fresh(folder)
        except Exception as error:
            out.bad.append(f"kill {number}: torn: {error}")
            break
        lost = [text for text in done if kept.count(text) != 1]
        out.bad += [
            f"kill {number}: {text} was shown as done and is there {kept.count(text)} times" for text in lost
        ]
        if number % 20 == 19:  # a log of thousands of lines only makes the trial slow
            for path in folder.rglob("*"):
                if path.is_file() and "routes" not in path.parts:
                    path.unlink()
            shutil.rmtree(folder)
            new_shelf(folder)
    left = len(strays(folder))
    for stray in folder.rglob(".unsaved-*"):
        os.utime(stray, (1, 1))
    for path in (folder, folder / ".written", folder / "backups" / "heron"):
        if path.is_dir():
            durable.sweep(path)
    if strays(folder):
        out.bad.append("strays are not swept")
    out.note = f"{changes} changes shown as done; {left} strays at the end, swept"
    return out


def kill_screen(home: Path, kills: int) -> Outcome:
    """SIGKILL at random moments of the real bench on a pseudo-terminal, while it is typed on."""
    out = Outcome(f"{kills} × SIGKILL of the bench on a pseudo-terminal")
    folder = home / "shelf"
    new_shelf(folder)
    chance = random.Random(5)
    for number in range(kills):
        bench = Bench(folder)
        bench.until("what is this")
        done = []
        until = time.monotonic() + chance.uniform(0.2, 1.0)
        count = 0
        while time.monotonic() < until:
            count += 1
            text = f"k{number}-{count}."
            bench.note(text)
            if bench.until(f"done: {text}"):
                done.append(text)
        bench.mark()
        bench.press("mlast\r")
        bench.read(chance.uniform(0, 0.03))
        bench.end()
        out.tried += 1
        kept = says(folder)
        fresh(folder)
        out.bad += [f"kill {number}: {text} is lost" for text in done if kept.count(text) != 1]
    return out


# -- power


def power_cuts(home: Path, cuts: int, options: str = "") -> Outcome:
    """A file system in a file, copied while it is mounted and written to: what a cut then leaves."""
    needs("mkfs.ext4", "mount", root=True)
    named = options or "defaults"
    out = Outcome(f"{cuts} power cuts on ext4 ({named})")
    home.mkdir(parents=True, exist_ok=True)
    image, copy = home / "disk.img", home / "cut.img"
    with image.open("wb") as file:
        file.truncate(24 * 1024 * 1024)
    subprocess.run(["mkfs.ext4", "-q", "-F", str(image)], check=True, capture_output=True)
    mount = ",".join(["loop", *([options] if options else [])])
    chance = random.Random(3)
    shown = 0
    with mounted(home / "at", "-o", mount, str(image)):
        folder = home / "at" / "shelf"
        shelf = new_shelf(folder)
        desk = Desk(shelf, lambda: NOW)
        desk.open("heron")
        for cut in range(cuts):
            done = []
            for number in range(chance.randint(1, 4)):
                text = f"c{cut}-{number}"
                desk.note(text)
                if desk.said.text == text:
                    done.append(text)
            busy = _kept_writing(folder, chance.uniform(0, 0.01)) if cut % 2 else 0
            _cut(image, copy)
            if busy:
                os.kill(busy, signal.SIGKILL)
                os.waitpid(busy, 0)
            shown += len(done)
            out.tried += 1
            out.bad += [f"cut {cut}: {wrong}" for wrong in _after_cut(home, copy, done)]
    out.note = f"{shown} changes shown as done before the cut"
    return out


def _kept_writing(folder: Path, after_s: float) -> int:
    """Start a process that saves for ever, and stop it in its tracks in the middle of that."""
    child = os.fork()
    if child == 0:
        try:
            other = Shelf(folder, registry.NAMES)
            while True:
                other.change("heron", note("busy"))
        finally:
            os._exit(1)
    threading.Event().wait(after_s)
    os.kill(child, signal.SIGSTOP)
    os.waitpid(child, os.WUNTRACED)
    return child


def _cut(image: Path, copy: Path) -> None:
    """Copy a disk as it is at one moment: until two copies in a row are the same."""
    shutil.copyfile(image, copy)
    for _ in range(20):
        again = copy.with_suffix(".again")
        shutil.copyfile(image, again)
        same = filecmp.cmp(copy, again, shallow=False)
        again.replace(copy)
        if same:
            return


def _after_cut(home: Path, image: Path, done: list[str]) -> list[str]:
    with mounted(home / "after", "-o", "loop", str(image)):
        folder = home / "after" / "shelf"
        try:
            kept = says(folder)
            fresh(folder)
        except Exception as error:
            return [f"torn: {error}"]
        return [f"{text} was shown as done and is lost" for text in done if text not in kept]


def power_naive(home: Path, cuts: int) -> Outcome:
    """The same for a saver that writes beside and renames without flushing: it must lose something."""
    needs("mkfs.ext4", "mount", root=True)
    out = Outcome("control: write and rename without flushing, power cut")
    home.mkdir(parents=True, exist_ok=True)
    image, copy = home / "disk.img", home / "cut.img"
    with image.open("wb") as file:
        file.truncate(24 * 1024 * 1024)
    subprocess.run(["mkfs.ext4", "-q", "-F", str(image)], check=True, capture_output=True)
    lost = 0
    with mounted(home / "at", "-o", "loop,noauto_da_alloc", str(image)):
        path = home / "at" / "file"
        for cut in range(cuts):
            beside = path.with_suffix(".new")
            beside.write_text(f"{cut}\n" * 300)
            beside.replace(path)
            shutil.copyfile(image, copy)
            out.tried += 1
            with mounted(home / "after", "-o", "loop", str(copy)):
                kept = home / "after" / "file"
                lost += not kept.exists() or kept.read_text() != f"{cut}\n" * 300
    out.note = f"lost {lost} times"
    if not lost:
        out.bad.append("the harness does not catch a writer that does not flush")
    return out


# -- four at once


def four_at_once(home: Path, each: int) -> Outcome:
    """Two programs and two editors on one blade. The editors take turns, as one maker's would."""
    out = Outcome(f"4 processes × {each} changes on one blade, half by editors that know no lock")
    folder = home / "shelf"
    new_shelf(folder)
    children = []
    for number in range(4):
        child = os.fork()
        if child == 0:
            code = 1
            try:
                work: Callable[[Path, int, int], Any] = _programs if number % 2 else _editors
                work(folder, number, each)
                code = 0
            finally:
                os._exit(code)
        children.append(child)
    codes = [os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children]
    if any(codes):
        out.bad.append(f"a process failed: {codes}")
    Shelf(folder, registry.NAMES).mend("heron")
    kept = says(folder)
    apart = "".join(path.read_text() for path in (folder / "conflicts").rglob("*.toml"))
    beside = 0
    for number in range(4):
        for count in range(each):
            text = f"p{number}-{count}"
            out.tried += 1
            if kept.count(text) == 1:
                continue
            if kept.count(text) == 0 and f'"{text}"' in apart:
                beside += 1
            else:
                out.bad.append(f"{text} is there {kept.count(text)} times")
    shown = [one.kind for one in Shelf(folder, registry.NAMES).blades()[1]]
    if apart and "apart" not in shown:
        out.bad.append("what is kept apart is not shown")
    fresh(folder)
    out.note = f"{out.tried - beside - len(out.bad)} in the file, {beside} in a shown conflict"
    return out


def _programs(folder: Path, number: int, each: int) -> None:
    shelf = Shelf(folder, registry.NAMES)
    for count in range(each):
        at = NOW + timedelta(hours=1 + number, seconds=count)
        shelf.change("heron", lambda one, says=f"p{number}-{count}", at=at: changes.note(one, says, at))


def _editors(folder: Path, number: int, each: int) -> None:
    """Read the text, add a line to its log, write it beside and rename: no lock, no second look."""
    path = folder / "heron.toml"
    with (folder.parent / "editors").open("w") as turn:
        import fcntl

        for count in range(each):
            fcntl.flock(turn, fcntl.LOCK_EX)
            text = path.read_text()
            at = (NOW + timedelta(hours=1 + number, seconds=count)).isoformat()
            line = f'[[log]]\nat = {at}\ndid = "note"\nsays = "p{number}-{count}"\n\n'
            place = text.find("[[back]]")
            made = text + line if place < 0 else text[:place] + line + text[place:]
            tomllib.loads(made)
            for _ in range(20 if count % 2 else 0):  # every other time the text grows old before it is saved
                threading.Event().wait(0.001)
                if path.read_text() != text:
                    break
            beside = folder.parent / f"edited-{number}"
            beside.write_text(made)
            beside.replace(path)
            Shelf(folder, registry.NAMES).mend("heron") if count % 10 == 9 else None
            fcntl.flock(turn, fcntl.LOCK_UN)


__all__ = ["NotHere", "four_at_once", "kill_loop", "kill_screen", "power_cuts", "power_naive"]
