"""A shelf in one file, to move it to another laptop whole: a plain zip with a list of checksums.

Unpacking trusts nothing: each name is checked, each size is bounded, each checksum is compared before
anything is written, and every file is written by the shelf itself, so that no archive can make a link,
a device or a file outside the folder.
"""

from __future__ import annotations

import hashlib
import json
import lzma
import os
import re
import stat
import struct
import unicodedata
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from workshop.errors import ShopError
from workshop.shelf import durable, places
from workshop.shelf.backups import make_folder
from workshop.shelf.gate import FileFault, read_plain
from workshop.showable import showable

LIST = "checksums.json"
FORM = "workshop shelf 1"
MOST_FILES = 20_000
MOST_FILE_BYTES = 64 * 1024 * 1024
MOST_BYTES = 1024 * 1024 * 1024
DEEPEST = 8
_FIRST = "kept/"
"""The routes: without its own a blade cannot be read."""

_DAMAGED = (
    *(zipfile.BadZipFile, zipfile.LargeZipFile, zlib.error, lzma.LZMAError, struct.error),
    *(EOFError, NotImplementedError, RuntimeError, ValueError, OverflowError),
)
_PLAIN = re.compile(r"[^\x00-\x1f\x7f<>:\"|?*\\/]{1,200}")


@dataclass
class Unpacked:
    """What became of the files of an archive."""

    written: list[str] = field(default_factory=list)
    same: list[str] = field(default_factory=list)
    beside: list[tuple[str, str]] = field(default_factory=list)


# -- packing


def pack(shelf: Path, out: Path) -> tuple[int, list[str]]:
    """Write a shelf's files into one archive, durably; return how many, and what was left out and why."""
    out = Path(os.path.realpath(out))
    if out.is_relative_to(os.path.realpath(shelf)):
        raise ShopError(f"{out} lies on the shelf itself; right would be a file elsewhere.")
    if os.path.lexists(out) and not out.is_file():
        raise ShopError(f"{out} is not a plain file; right would be a new file, or an older archive.")
    sums: dict[str, str] = {}
    taken = {places.folded(LIST)}
    left: list[str] = []
    stray = out.with_name(f"{durable.STRAY}{out.name[:100]}-{os.getpid()}")
    try:
        with _new(stray) as file, zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
            for name, path in _files(shelf, left):
                if places.folded(name) in taken:
                    left.append(f"{name}: differs only in case from another, or is called as the list is.")
                    continue
                if len(taken) > MOST_FILES:
                    raise ShopError(f"{shelf} has over {MOST_FILES} files; right would be fewer.")
                taken.add(places.folded(name))
                try:
                    raw = read_plain(path, MOST_FILE_BYTES)
                except FileFault as fault:
                    left.append(str(fault))
                    continue
                sums[name] = hashlib.sha256(raw).hexdigest()
                archive.writestr(_member(name), raw)
            listing = {"form": FORM, "sha256": sums}
            archive.writestr(_member(LIST), json.dumps(listing, indent=1, sort_keys=True))
        _settle(stray, out)
    except ShopError:
        stray.unlink(missing_ok=True)
        raise
    except OSError as error:
        stray.unlink(missing_ok=True)
        raise durable.NotSaved(f"{out} is not written: {error.strerror or error}.") from error
    return len(sums), left


def _new(path: Path) -> Any:
    handle = os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC | os.O_NOFOLLOW, 0o600)
    return os.fdopen(handle, "w+b")


def _settle(stray: Path, out: Path) -> None:
    with stray.open("rb") as file:
        os.fsync(file.fileno())
    stray.replace(out)
    durable.flush_folder(out.parent)


def _member(name: str) -> zipfile.ZipInfo:
    """Return a member without a date, so that the same shelf makes the same archive."""
    member = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
    member.external_attr = 0o600 << 16
    member.compress_type = zipfile.ZIP_DEFLATED
    return member


def _files(shelf: Path, left: list[str], below: tuple[str, ...] = ()) -> Iterator[tuple[str, Path]]:
    """Yield the plain files of a shelf; links, pipes and hidden files (locks, strays) are left out."""
    # Of two that differ only in case the one in small letters comes first: the program's own files are.
    found = os.scandir(shelf.joinpath(*below))
    for entry in sorted(found, key=lambda one: (one.name != places.folded(one.name), one.name)):
        parts = (*below, entry.name)
        if entry.name.startswith("."):
            continue
        if entry.is_dir(follow_symlinks=False):
            yield from _files(shelf, left, parts)
        elif entry.is_file(follow_symlinks=False) and _fault_of("/".join(parts)) == "":
            yield "/".join(parts), Path(entry.path)
        else:
            left.append(f"{'/'.join(parts)}: not a plain file, or a name that does not travel.")


# -- unpacking


def unpack(file: Path, shelf: Path) -> Unpacked:
    """Put an archive's files on a shelf; nothing that is there is written over.

    A file that is there already and differs is put beside: a blade as a copy that `merge` takes, anything
    else under `unpacked/`. Raises FileFault for an archive
    that is not whole, before anything is written.
    """
    done, sums = Unpacked(), dict[str, str]()
    try:
        if not stat.S_ISREG(file.stat().st_mode):
            raise FileFault(f"{file}: not a plain file; right would be an archive of a shelf.")
        with zipfile.ZipFile(file) as archive:
            members = _checked(archive, file)
            sums = _listed(archive, members, file)
            for name, digest in sums.items():
                if hashlib.sha256(_read(archive, members[name], file)).hexdigest() != digest:
                    raise FileFault(f"{file}: {showable(name, 80)} is damaged; nothing is unpacked.")
            make_folder(shelf, shelf)
            for name in sorted(sums, key=lambda one: (not one.startswith(_FIRST), one)):
                _place(shelf, name, _read(archive, members[name], file), done)
            return done
    except durable.NotSaved as error:
        some = f"{len(done.written)} of {len(sums)} files are on the shelf" if done.written else "Nothing is"
        raise durable.NotSaved(f"{error} {some}; with room made, run it again.") from error
    except _DAMAGED as error:
        why = showable(str(error) or type(error).__name__, 120)
        raise FileFault(f"{file}: not an archive of a shelf, or damaged: {why}.") from None
    except OSError as error:
        raise FileFault(f"{file}: cannot be read: {error.strerror or error}.") from None


def _checked(archive: zipfile.ZipFile, file: Path) -> dict[str, zipfile.ZipInfo]:
    """Return the members by name; refuse a name, a kind or a size that has no place on a shelf."""
    members: dict[str, zipfile.ZipInfo] = {}
    folded: set[str] = set()
    total = 0
    if len(archive.infolist()) > MOST_FILES:
        raise FileFault(f"{file}: over {MOST_FILES} files; nothing is unpacked.")
    for member in archive.infolist():
        name = member.filename
        kind = stat.S_IFMT(member.external_attr >> 16)
        fault = _fault_of(name)
        if kind not in (0, stat.S_IFREG):
            fault = "is a link, a device or a folder"
        if places.folded(name) in folded:
            fault = "stands twice"
        if member.file_size > MOST_FILE_BYTES:
            fault = f"is larger than {MOST_FILE_BYTES // 1024 // 1024} MiB"
        total += member.file_size
        if fault or total > MOST_BYTES:
            what = fault or "makes the whole larger than 1 GiB"
            raise FileFault(f"{file}: '{showable(name, 80)}' {what}; nothing is unpacked.")
        members[name] = member
        folded.add(places.folded(name))
    return members


def _fault_of(name: str) -> str:
    """Return what is wrong with a member's name, or ""."""
    parts = name.split("/")
    if len(parts) > DEEPEST:
        return "lies too deep"
    for part in parts:
        if not _PLAIN.fullmatch(part) or part.startswith(".") or part != part.strip() or part.endswith("."):
            return "is no name for a file of a shelf"
        if places.is_device(part) or unicodedata.normalize("NFC", part) != part or not _encodes(part):
            return "is no name for a file of a shelf"
        if showable(part, 400) != part:
            return "is a name that would not show as it is"
    return ""


def _encodes(part: str) -> bool:
    try:
        return len(part.encode("utf-8")) <= 240
    except UnicodeEncodeError:
        return False


def _listed(archive: zipfile.ZipFile, members: dict[str, zipfile.ZipInfo], file: Path) -> dict[str, str]:
    """Return the checksums by name; each member must have one and each must have its member."""
    if LIST not in members:
        raise FileFault(f"{file}: not an archive of a shelf: it has no {LIST}.")
    try:
        listing = json.loads(_read(archive, members[LIST], file))
        sums = listing["sha256"]
        fine = listing["form"] == FORM and all(
            isinstance(one, str) and isinstance(digest, str) for one, digest in sums.items()
        )
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        fine, sums = False, {}
    if not fine:
        raise FileFault(f"{file}: its {LIST} is not one that this program reads.")
    if {*sums, LIST} != set(members):
        raise FileFault(f"{file}: its files are not those in its {LIST}; nothing is unpacked.")
    return dict(sums)


def _read(archive: zipfile.ZipFile, member: zipfile.ZipInfo, file: Path) -> bytes:
    """Return a member's bytes, never more than its bound, whatever the archive says of its size."""
    with archive.open(member) as stream:
        raw = stream.read(MOST_FILE_BYTES + 1)
    if len(raw) != member.file_size:
        raise FileFault(f"{file}: '{showable(member.filename, 80)}' is not as large as it says.")
    return raw


def _place(shelf: Path, name: str, raw: bytes, done: Unpacked) -> None:
    path = shelf.joinpath(*name.split("/"))
    make_folder(shelf, path.parent)
    if not os.path.lexists(path):
        durable.save(path, raw, shelf)
        done.written.append(name)
        return
    if not path.is_symlink() and path.is_file() and path.read_bytes() == raw:
        done.same.append(name)
        return
    beside = _beside(shelf, name)
    make_folder(shelf, beside.parent)
    durable.save(beside, raw, shelf)
    done.beside.append((name, str(beside.relative_to(shelf))))


def _beside(shelf: Path, name: str) -> Path:
    """Return a free name for a file that differs from the one there: a blade beside it, others apart."""
    home = shelf if "/" not in name and name.endswith(".toml") and name != "shop.toml" else shelf / "unpacked"
    path = home.joinpath(*name.split("/"))
    number = 1
    while True:
        mark = " (unpacked)" if number == 1 else f" (unpacked {number})"
        free = path.with_name(f"{path.stem}{mark}{path.suffix}")
        if not os.path.lexists(free):
            return free
        number += 1
