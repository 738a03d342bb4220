"""Restore, merge, pack, unpack, record with every call on their files failing: all or nothing, truly said."""

from __future__ import annotations

import hashlib
import io
import json
import re
import shutil
import signal
import subprocess
import sys
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any

from trial_faults import CALLS, FAULTS, injected, touching
from trial_ground import ENV, NOW, Outcome, fresh, needs, new_shelf, note, strays, workshop

from workshop.drawer import registry
from workshop.shelf import pack
from workshop.shelf.shelf import Shelf

MORE_CALLS = f"{CALLS},fchown,statfs,readlink,lseek,pwrite64,ftruncate"
LOOKING = ("newfstatat", "fstat", "lseek", "getdents64", "readlink", "statfs")
LOOKING_FAULTS = ("EIO", "EACCES", "EMFILE")
"""Calls that only look are many: each is tried once, with one of these in turn."""

UNSURE = b"may be kept or not"
LACKS = b"is written, but it is not the whole shelf"
NAIVE_PACK = """
import sys, zipfile, hashlib, json
from pathlib import Path
shelf, out = map(Path, sys.argv[1:])
sums = {}
with zipfile.ZipFile(out, "w") as made:
    for path in sorted(shelf.rglob("*.toml")):
        name, raw = str(path.relative_to(shelf)), path.read_bytes()
        if not name.startswith("."):
            made.writestr(name, raw)
            sums[name] = hashlib.sha256(raw).hexdigest()
    made.writestr("checksums.json", json.dumps({"form": "workshop shelf 1", "sha256": sums}))
print("packed")
"""
"""A packer as one writes it without a thought: the harness must catch it."""


@dataclass(frozen=True)
class Ended:
    """How a command ended. killed: it did not say anything."""

    code: int
    out: bytes
    err: bytes

    @property
    def killed(self) -> bool:
        return self.code < 0 or self.code == 128 + signal.SIGKILL


@dataclass(frozen=True)
class Case:
    """A command: its world (a folder with `shelf` and `away`), its words, and what is wrong with its end."""

    what: str
    make: Callable[[Path], None]
    words: tuple[str, ...]
    judged: Callable[[Path, Path, Ended], Iterator[str]]
    """From the world as it was, the world as it is, and how it ended; yields what is wrong."""


def files(folder: Path) -> dict[str, bytes]:
    """Return the files of a shelf that are no program's own (locks, strays, last texts)."""
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and not any(part.startswith(".") for part in path.relative_to(folder).parts)
    }


def sweep(case: Case, home: Path, most: int = 0, line: list[str] | None = None) -> Outcome:
    """Run a command under strace once for each call on its files and each fault."""
    needs("strace")
    out = Outcome(f"{case.what}: every call on its files × every fault")
    model, world, log = home / "model", home / "world", home / "log"
    home.mkdir(parents=True, exist_ok=True)
    (model / "away").mkdir(parents=True)
    case.make(model)

    def run(*before: str) -> Ended:
        shutil.rmtree(world, ignore_errors=True)
        shutil.copytree(model, world, symlinks=True)
        words = [word.replace("WORLD", str(world)) for word in line or case.words]
        if line:
            done: Any = subprocess.run([*before, *words], env=ENV, capture_output=True, check=False)
        else:
            done = workshop(world / "shelf", *words, before=before)
        return Ended(done.returncode, done.stdout, done.stderr)

    run("strace", "-y", "-o", str(log), "-e", f"trace={MORE_CALLS}")
    for call, number, fault in chosen(touching(log.read_text(errors="replace"), world), most):
        ended = run("strace", "-o", "/dev/null", "-e", f"trace={call}", "-e", injected(call, number, fault))
        out.tried += 1
        where = f"{call} {number} {fault}: ended with {ended.code}"
        try:
            out.bad += [f"{where}: {wrong}" for wrong in (*plain(ended), *case.judged(model, world, ended))]
        except Exception as error:
            out.bad.append(
                f"{where}: cannot be judged: {type(error).__name__}: {error}; {ended.err[-200:]!r}"
            )
        if call != "unlink" and not ended.killed and strays(world):
            out.bad.append(f"{where}: left behind: {strays(world)}")
    return out


def chosen(calls: list[tuple[str, int]], most: int) -> list[tuple[str, int, str]]:
    """Return calls and faults, all of them or an even choice."""
    every = [
        (call, number, fault)
        for call, number in calls
        for fault in ((LOOKING_FAULTS[number % len(LOOKING_FAULTS)],) if call in LOOKING else FAULTS)
    ]
    return every[:: max(1, len(every) // most)] if most else every


def plain(ended: Ended) -> Iterator[str]:
    """Yield what is wrong with an end whatever the command was."""
    if ended.killed:
        return
    if ended.code not in (0, 2) or b"Traceback" in ended.err:
        yield f"not one clear sentence: {ended.err[-300:]!r}"
    if ended.code == 2 and ended.err.count(b"\n") != 1:
        yield f"not one line: {ended.err[-300:]!r}"


# -- one blade: restore and merge


def _two_texts(model: Path) -> None:
    shelf = new_shelf(model / "shelf")
    shelf.change("heron", note("first"))
    shelf.change("heron", note("second"))


def _copy_too(model: Path) -> None:
    shelf = new_shelf(model / "shelf")
    shelf.change("heron", note("first"))
    copy = model / "shelf" / "heron (copy).toml"
    shutil.copy(model / "shelf" / "heron.toml", copy)
    shelf.change("heron", note("ours"))
    shelf.change("heron (copy)", note("theirs"))


def _restored(was: Path, now: Path, ended: Ended) -> Iterator[str]:
    before, after = files(was / "shelf"), files(now / "shelf")
    named = re.search(rb"as it was in ([\w-]+)", ended.out)
    text = next(raw for name, raw in before.items() if name.startswith("backups/heron/day-"))
    if named and named[1] == b"last":  # the file itself could not be read just then
        text = (was / "shelf" / ".written" / "heron.toml").read_bytes()
    yield from _one_or_other(before, after, text, ended)


def _merged(was: Path, now: Path, ended: Ended) -> Iterator[str]:
    before, after = files(was / "shelf"), files(now / "shelf")
    copy = "heron (copy).toml"
    log = [one.says for one in fresh(now / "shelf").log]
    both = "ours" in log and "theirs" in log
    text = after["heron.toml"] if both else b"\0"
    yield from _one_or_other(before, after, text, ended)
    if before[copy] not in after.values():
        yield "the copy's text is lost"
    if not both and copy not in after:
        yield "the copy is put away though it is not part of the blade"
    if ended.code == 0 and copy in after:
        yield "said done, and the copy is still there"
    again = workshop(now / "shelf", "merge", "heron", copy[:-5]) if copy in after else None
    if again is not None and (
        again.returncode or "theirs" not in [one.says for one in fresh(now / "shelf").log]
    ):
        yield f"it cannot be done again: {again.stderr[-200:]!r}"


def _one_or_other(
    before: dict[str, bytes], after: dict[str, bytes], text: bytes, ended: Ended
) -> Iterator[str]:
    had, has = before["heron.toml"], after.get("heron.toml")
    if has not in (had, text):
        yield "the file is neither the old text nor the new one"
    if not any(had in raw for raw in after.values()):
        yield "the old text is lost"
    if ended.code == 0 and has != text:
        yield "said done, and the file is not so"
    if ended.code == 2 and has != had and UNSURE not in ended.err and b"holds both now" not in ended.err:
        yield f"said refused, and the file is changed: {ended.err!r}"


# -- the whole shelf: pack and unpack; and a record


def _packed_before(model: Path) -> None:
    _two_texts(model)
    workshop(model / "shelf", "pack", "-o", str(model / "away" / "shelf.zip"))
    Shelf(model / "shelf", registry.NAMES, lambda: NOW + timedelta(days=1)).change("heron", note("third"))


def _packed(was: Path, now: Path, ended: Ended) -> Iterator[str]:
    shelf = files(was / "shelf")
    if files(now / "shelf") != shelf:
        yield "packing changed the shelf"
    old, new = ((one / "away" / "shelf.zip").read_bytes() for one in (was, now))
    with zipfile.ZipFile(io.BytesIO(new)) as archive:
        held = {name: archive.read(name) for name in archive.namelist()}
    sums = json.loads(held.pop("checksums.json"))["sha256"]
    if {name: hashlib.sha256(raw).hexdigest() for name, raw in held.items()} != sums:
        yield "the archive is torn"
    if new == old:
        if ended.code == 0 or (ended.code == 2 and LACKS in ended.err):
            yield "said to be written, and it is the old one"
        return
    if not held.items() <= shelf.items():
        yield "the archive is not of this shelf"
    lacks = shelf.keys() - held.keys()
    if ended.code == 0 and lacks:
        yield f"said done, and it lacks {lacks}"
    if ended.code == 2 and not lacks and UNSURE not in ended.err:
        yield f"said refused, and it is written: {ended.err!r}"
    folders = {"/".join(name.split("/")[:count]) for name in lacks for count in range(1, 5)}
    if (
        ended.code == 2
        and lacks
        and (LACKS not in ended.err or not any(one.encode() in ended.err for one in folders))
    ):
        yield f"it lacks {lacks}, and says {ended.err!r}"


def _only_packed(model: Path) -> None:
    _two_texts(model)
    workshop(model / "shelf", "pack", "-o", str(model / "away" / "shelf.zip"))
    (model / "shelf").rename(model / "first")


def _unpacked(was: Path, now: Path, ended: Ended) -> Iterator[str]:
    whole, shelf = files(was / "first"), now / "shelf"
    there = files(shelf) if shelf.is_dir() else {}
    if not there.items() <= whole.items():
        yield "a file is torn, or not from the archive"
    if ended.code == 0 and there != whole:
        yield f"said done, and it lacks {whole.keys() - there.keys()}"
    if ended.code == 2:
        said = re.search(rb"(\d+) of (\d+) files are on the shelf", ended.err)
        count = int(said[1]) if said else 0
        unsure = UNSURE in ended.err
        if not count <= len(there) <= count + unsure:
            yield f"{len(there)} files are there, and it says {ended.err!r}"
        if not said and b"othing" not in ended.err and b"cannot be read" not in ended.err:
            yield f"it does not say that nothing is there: {ended.err!r}"
    pack.unpack(now / "away" / "shelf.zip", shelf)
    if files(shelf) != whole:
        yield "run again it does not go on"


def _recorded_before(model: Path) -> None:
    _two_texts(model)
    (model / "away" / "heron.md").write_bytes(b"an older record\n")


def _recorded(was: Path, now: Path, ended: Ended) -> Iterator[str]:
    old, new = ((one / "away" / "heron.md").read_bytes() for one in (was, now))
    if new != old and not (new.startswith(b"# Heron\n") and b"second" in new and new.endswith(b"\n")):
        yield "the record is torn"
    if ended.code == 0 and new == old:
        yield "said done, and it is the old one"
    if ended.code == 2 and new != old and UNSURE not in ended.err:
        yield f"said refused, and it is written: {ended.err!r}"
    if files(now / "shelf") != files(was / "shelf"):
        yield "a record changed the shelf"


OUT = "WORLD/away/shelf.zip"
CASES = {
    "restore": Case("restore", _two_texts, ("restore", "heron"), _restored),
    "merge": Case("merge", _copy_too, ("merge", "heron", "heron (copy)"), _merged),
    "pack": Case("pack", _packed_before, ("pack", "-o", OUT), _packed),
    "unpack": Case("unpack", _only_packed, ("unpack", OUT), _unpacked),
    "record": Case("record", _recorded_before, ("record", "heron", "-o", "WORLD/away/heron.md"), _recorded),
}


def sweep_naive(home: Path, most: int = 0) -> Outcome:
    """The same sweep over a packer that writes in place: it must be caught."""
    line = [sys.executable, "-c", NAIVE_PACK, "WORLD/shelf", OUT]
    swept = sweep(CASES["pack"], home, most, line)
    out = Outcome("control: a plain packer under the same faults is caught", swept.tried)
    caught = [one for one in swept.bad if "cannot be judged" in one or "torn" in one or "old one" in one]
    out.note = f"caught {len(caught)} times"
    if not caught:
        out.bad.append("the harness does not catch a packer that writes in place")
    return out
