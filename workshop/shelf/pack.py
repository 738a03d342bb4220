"""A shelf in one file, to move it to another laptop whole: a plain zip with a list of checksums.

Unpacking trusts nothing: the whole archive is checked (`archive.py`), and where each file is to go, before
anything is written; every file is written by the shelf itself, so that no archive can make a link, a device
or a file outside the folder.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import stat
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO

from workshop.errors import ShopError
from workshop.shelf import archive as archives
from workshop.shelf import durable, places
from workshop.shelf.archive import FORM, LIST, MIB, Archive, Names
from workshop.shelf.backups import make_folder
from workshop.shelf.gate import FileFault, read_plain

_OWN_HIDDEN = (".written", durable.STRAY)
"""What the program itself keeps under hidden names, beside its locks; another laptop has no use for it."""

_FIRST = "kept/"
"""The routes: without its own a blade cannot be read."""

_BLOCK = 4096


@dataclass
class Packed:
    """What became of the files of a shelf: left, by name, says why a file is not in the archive."""

    files: int = 0
    left: dict[str, str] = field(default_factory=dict)
    hidden: list[str] = field(default_factory=list)


@dataclass
class Unpacked:
    """What became of the files of an archive."""

    written: list[str] = field(default_factory=list)
    same: list[str] = field(default_factory=list)
    beside: list[tuple[str, str]] = field(default_factory=list)


# -- packing


def pack(shelf: Path, out: Path) -> Packed:
    """Write a shelf's files into one archive, durably; say how many, and what was left out and why.

    What a killed one left beside it is swept first. Raises NotSaved, and ShopError for a shelf that no
    archive can hold; what stood at `out` is then as it was, unless the error says `there`.
    """
    if places.lies_on(out, shelf):
        raise ShopError(f"{out} lies on the shelf itself; right would be a file elsewhere.")
    out = Path(os.path.realpath(out))
    if os.path.lexists(out) and not out.is_file():
        raise ShopError(f"{out} is not a plain file; right would be a new file, or an older archive.")
    durable.sweep_outside(out.parent, out.name)
    packed = Packed()
    stray = durable.stray_beside(out)
    try:
        was = out.stat() if out.exists() else None
        with _new(stray, was) as file:
            _fill(file, shelf, packed)
            file.flush()
            os.fsync(file.fileno())
        stray.replace(out)
    except OSError as error:
        kept = durable.AS_IT_WAS if os.path.lexists(out) else durable.NOTHING
        raise durable.NotSaved(f"{out} is not written: {error.strerror or error}. {kept}") from error
    finally:
        with contextlib.suppress(OSError):
            stray.unlink(missing_ok=True)
    try:
        durable.flush_folder(out.parent)
    except OSError as error:
        why = error.strerror or str(error)
        raise durable.NotSaved(
            f"{out}: the disk did not confirm it: {why}. It may be kept or not.", there=True
        ) from error
    return packed


def _new(path: Path, was: os.stat_result | None) -> IO[bytes]:
    mode = 0o600 if was is None else stat.S_IMODE(was.st_mode)
    handle = os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC | os.O_NOFOLLOW, mode)
    durable.hold(handle)
    durable.own(handle, path.parent, was)
    return os.fdopen(handle, "w+b")


def _fill(file: IO[bytes], shelf: Path, packed: Packed) -> None:
    sums: dict[str, str] = {}
    names = Names()
    names.add(LIST)
    room = [archives.MOST_BYTES, archives.MOST_DIRECTORY_BYTES - archives.ENTRY_BYTES - len(LIST)]
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, path in _files(shelf, packed):
            if fault := archives.fault_of(name) or names.add(name):
                packed.left[name] = fault
                continue
            try:
                raw = read_plain(path, archives.MOST_FILE_BYTES)
            except FileFault as fault_there:
                packed.left[name] = str(fault_there).removeprefix(f"{path}: ").rstrip(".")
                continue
            room[0] -= len(raw)
            room[1] -= archives.ENTRY_BYTES + len(name.encode())
            sums[name] = hashlib.sha256(raw).hexdigest()
            if len(sums) > archives.MOST_FILES or min(room) < 0:
                raise _too_much(shelf)
            archive.writestr(_member(name), raw)
        listing = json.dumps({"form": FORM, "sha256": sums}, indent=1, sort_keys=True)
        if len(listing) > min(archives.MOST_LIST_BYTES, room[0]):
            raise _too_much(shelf)
        if not sums and not packed.left:
            raise ShopError(f"The shelf {shelf} has nothing on it to pack.")
        archive.writestr(_member(LIST), listing)
    packed.files = len(sums)


def _too_much(shelf: Path) -> ShopError:
    most = f"{archives.MOST_FILES} files and {archives.MOST_BYTES // MIB} MiB"
    return ShopError(
        f"The shelf {shelf} holds more than an archive may: {most}; right would be a smaller one."
    )


def _member(name: str) -> zipfile.ZipInfo:
    """Return a member without a date, so that the same shelf makes the same archive."""
    member = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
    member.external_attr = 0o600 << 16
    member.compress_type = zipfile.ZIP_DEFLATED
    return member


def _files(shelf: Path, packed: Packed, below: tuple[str, ...] = ()) -> Iterator[tuple[str, Path]]:
    """Yield the plain files of a shelf; links, pipes and hidden files (locks, strays) are left out."""
    try:
        with os.scandir(shelf.joinpath(*below)) as looked:
            found = list(looked)
    except OSError as error:
        why = f"cannot be read: {error.strerror or error}"
        if not below and isinstance(error, FileNotFoundError):
            raise ShopError(f"There is no shelf {shelf} to pack.") from None
        if not below:
            raise ShopError(f"The shelf {shelf} {why}.") from None
        packed.left["/".join(below)] = why
        return
    # Of two that differ only in case the one in small letters comes first: the program's own files are.
    for entry in sorted(found, key=lambda one: (one.name != places.folded(one.name), one.name)):
        parts = (*below, entry.name)
        name = "/".join(parts)
        if entry.name.startswith("."):
            if not entry.name.startswith(_OWN_HIDDEN) and not entry.name.endswith(".lock"):
                packed.hidden.append(name)
        elif entry.is_dir(follow_symlinks=False):
            if len(parts) < archives.DEEPEST:
                yield from _files(shelf, packed, parts)
            else:
                packed.left[name] = "lies too deep"
        elif entry.is_file(follow_symlinks=False):
            yield name, Path(entry.path)
        else:
            packed.left[name] = "is a link, a pipe or a device"


# -- unpacking


def unpack(file: Path, shelf: Path) -> Unpacked:
    """Put an archive's files on a shelf; nothing that is there is written over.

    A file that is there already and differs is put beside: a blade as a copy that `merge` takes, anything
    else under `unpacked/`. Raises FileFault for an archive that is not whole, or that has no place on the
    shelf, before anything is written; NotSaved, saying how much is there, for a disk that refuses half way.
    """
    done = Unpacked()
    with Archive(file) as archive:
        try:
            plan = _planned(archive, shelf, done)
            _room(archive, shelf)
        except OSError as error:
            why = error.strerror or str(error)
            raise ShopError(f"The shelf {shelf} cannot be used: {why}; nothing is unpacked.") from None
        try:
            make_folder(shelf, shelf)
            for name, path in plan:
                _place(shelf, name, path, archive.read(name), done)
        except ShopError as error:
            raise durable.NotSaved(f"{_half_way(str(error), done, len(archive.sums))}") from error
    return done


def _half_way(why: str, done: Unpacked, count: int) -> str:
    why = why.removesuffix(durable.NOTHING).removesuffix(" nothing is unpacked.").rstrip(" ;.")
    put = len(done.written) + len(done.beside)
    some = f"{put + len(done.same)} of {count} files are on the shelf" if put else "Nothing is unpacked"
    return f"{why}. {some}; once that is mended, run it again."


def _planned(archive: Archive, shelf: Path, done: Unpacked) -> list[tuple[str, Path]]:
    """Return where each file is to go that is not there already, the routes first; nothing is written."""
    taken = Names()
    for name in archive.sums:
        taken.add(name)
    ways: set[Path] = set()
    plan = []
    for name in sorted(archive.sums, key=lambda one: (not one.startswith(_FIRST), one)):
        path = shelf.joinpath(*name.split("/"))
        _check_way(shelf, path.parent, ways)
        if os.path.lexists(path):
            if _holds(path, archive.sums[name]):
                done.same.append(name)
                continue
            path = _beside(shelf, name, taken)
            _check_way(shelf, path.parent, ways)
        plan.append((name, path))
    return plan


def _check_way(shelf: Path, folder: Path, ways: set[Path]) -> None:
    """Refuse a folder that leads out of the shelf, or has a file in its way. ways: those that are good."""
    if folder in ways:
        return
    if durable.leads_out(folder, shelf):
        raise FileFault(f"{folder} leads out of the shelf; nothing is unpacked.")
    for one in (folder, *folder.parents):
        if os.path.lexists(one) and not one.is_dir():
            raise FileFault(f"{one} is a file where a folder is needed; nothing is unpacked.")
        if one == shelf:
            break
    ways.add(folder)


def _room(archive: Archive, shelf: Path) -> None:
    """Refuse an archive that the disk has no room for: half a shelf is worse than none."""
    there = next((one for one in (shelf, *shelf.parents) if one.is_dir()), shelf)
    needs = archive.bytes + len(archive.sums) * _BLOCK
    with contextlib.suppress(OSError):
        disk = os.statvfs(there)
        free = disk.f_bavail * disk.f_frsize
        if needs > free:
            raise durable.NotSaved(
                f"The files take {-(-needs // MIB)} MiB and the disk of {shelf} has {free // MIB} MiB free; "
                "nothing is unpacked."
            )


def _holds(path: Path, digest: str) -> bool:
    if path.is_symlink():
        return False
    try:
        return hashlib.sha256(read_plain(path, archives.MOST_FILE_BYTES)).hexdigest() == digest
    except FileFault:
        return False


def _place(shelf: Path, name: str, path: Path, raw: bytes, done: Unpacked) -> None:
    make_folder(shelf, path.parent)
    if os.path.lexists(path):  # somebody made it meanwhile
        path = _beside(shelf, name, Names())
        make_folder(shelf, path.parent)
    theirs = durable.save(path, raw, shelf)
    if theirs is not None and theirs != raw:  # in this very moment: theirs stays
        durable.save(path, theirs, shelf)
        path = _beside(shelf, name, Names())
        make_folder(shelf, path.parent)
        durable.save(path, raw, shelf)
    if path == shelf.joinpath(*name.split("/")):
        done.written.append(name)
    else:
        done.beside.append((name, str(path.relative_to(shelf))))


def _beside(shelf: Path, name: str, taken: Names) -> Path:
    """Return a free name for a file that differs from the one there: a blade beside it, others apart."""
    blade = "/" not in name and name.endswith(".toml") and name != places.SHOP_FILE
    above, slash, last = name.rpartition("/")
    stem, suffix = Path(last).stem, Path(last).suffix
    number = 1
    while True:
        mark = " (unpacked)" if number == 1 else f" (unpacked {number})"
        for home in ("" if blade else "unpacked/", f"unpacked-{number}/"):  # a file may be called "unpacked"
            free = f"{home}{above}{slash}{stem}{mark}{suffix}"
            path = shelf.joinpath(*free.split("/"))
            way = shelf / home
            if os.path.lexists(path) or (os.path.lexists(way) and not way.is_dir()):
                continue
            if not taken.add(free):
                return path
        number += 1
