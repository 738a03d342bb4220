"""An archive of a shelf as it is read: everything in it is bounded and checked before it is believed.

A zip may say of itself whatever it likes: millions of members, any size, a list without end. So its
directory is bounded before the zip reader gets it, its list of checksums before the JSON reader does, and
each member as it is read.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import io
import json
import os
import re
import stat
import struct
import unicodedata
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path

from workshop.shelf import places
from workshop.shelf.gate import FileFault
from workshop.showable import showable

LIST = "checksums.json"
FORM = "workshop shelf 1"
MIB = 1024 * 1024
MOST_FILES = 20_000
MOST_FILE_BYTES = 64 * MIB
MOST_BYTES = 1024 * MIB
MOST_LIST_BYTES = 8 * MIB
MOST_DIRECTORY_BYTES = 8 * MIB
ENTRY_BYTES = 46
"""What a member takes in a zip's directory beside its name."""

DEEPEST = 8
_METHODS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
"""Others take memory by what they say of themselves, before a byte is out."""

_DAMAGED = (
    *(zipfile.BadZipFile, zipfile.LargeZipFile, zlib.error, struct.error, EOFError, NotImplementedError),
    *(RuntimeError, ValueError, OverflowError),
)
_PLAIN = re.compile(r"[^\x00-\x1f\x7f<>:\"|?*\\/]{1,200}")
_ENTRY = b"PK\x01\x02"
_STRING = re.compile(rb'"[^"\\]*+(?:\\.[^"\\]*+)*+"')
_BONES = re.compile(rb"\{(?::,)?:\{(?::,)*+:?\}(?:,:)?\}")
"""What is left of a list without its strings and spaces: two tables, and nothing else to be built."""


class Names:
    """Names that can lie in one folder on any laptop: none twice, none a file and a folder at once."""

    def __init__(self) -> None:
        self._files: set[str] = set()
        self._folders: dict[str, str] = {}

    def add(self, name: str) -> str:
        """Take a name in and return "", or return what is wrong with it beside those there are."""
        key, parts = places.folded(name), name.split("/")
        above = {"/".join(parts[:count]) for count in range(1, len(parts))}
        if key in self._files:
            return "stands twice, or differs only in case or spelling from another"
        if key in self._folders:
            return "is a file where others need a folder"
        for folder in above:
            folded = places.folded(folder)
            if folded in self._files:
                return "needs a folder where another is a file"
            if self._folders.get(folded, folder) != folder:
                return "lies in a folder whose name differs only in case or spelling from another"
        self._files.add(key)
        self._folders.update((places.folded(folder), folder) for folder in above)
        return ""


def fault_of(name: str) -> str:
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


class _Flood(ValueError):
    """More than a shelf has: one of the ways to be damaged."""


class _Careful(io.BufferedReader):
    """An archive's file; while the zip reader looks for its directory it gets no more than a shelf has."""

    opening = True
    fault: OSError | None = None
    """What the disk refused: the zip reader takes that for the mark of what is no zip."""

    def seek(self, offset: int, whence: int = 0, /) -> int:
        try:
            return super().seek(offset, whence)
        except OSError as error:
            if error.errno != errno.EINVAL:  # before the beginning of a small file
                self.fault = error
            raise

    def read(self, size: int | None = -1, /) -> bytes:
        try:
            return self._bounded(size) if self.opening else super().read(size)
        except OSError as error:
            self.fault = error
            raise

    def _bounded(self, size: int | None) -> bytes:
        most = MOST_DIRECTORY_BYTES + 1
        data = super().read(most if size is None or size < 0 else min(size, most))
        if len(data) == most or data.count(_ENTRY) > MOST_FILES + 1:
            raise _Flood(f"over {MOST_FILES} files, or names without end")
        return data


class Archive:
    """An archive that has been checked; `sums` are its files' names, each with its checksum.

    Raises FileFault for one that is not whole, or is no archive of a shelf.
    """

    def __init__(self, file: Path) -> None:
        """Open a file and check all that it says of itself, then all that is in it."""
        self._file = file
        self._raw: _Careful | None = None
        with self._guarded(), contextlib.ExitStack() as opened:
            handle = os.open(file, os.O_RDONLY | os.O_NONBLOCK | os.O_CLOEXEC)
            self._raw = opened.enter_context(_Careful(io.FileIO(handle)))
            if not stat.S_ISREG(os.fstat(handle).st_mode):
                raise FileFault(f"{file}: not a plain file; right would be an archive of a shelf.")
            self._zip = opened.enter_context(zipfile.ZipFile(self._raw))
            self._raw.opening = False
            self._members = self._checked()
            self.sums = self._listed()
            self.bytes = sum(self._members[name].file_size for name in self.sums)
            for name in self.sums:
                self.read(name)
            self._open = opened.pop_all()

    def __enter__(self) -> Archive:
        return self

    def __exit__(self, *_: object) -> None:
        with contextlib.suppress(OSError):  # it was only read
            self._open.close()

    @contextlib.contextmanager
    def _guarded(self) -> Iterator[None]:
        """Say in a sentence what the disk or the zip reader says."""
        try:
            yield
        except OSError as error:
            raise self._unread(error) from None
        except _DAMAGED as error:
            if self._raw is not None and self._raw.fault is not None:
                raise self._unread(self._raw.fault) from None
            why = showable(str(error) or type(error).__name__, 120).rstrip(".")
            raise FileFault(
                f"{self._file}: not an archive of a shelf, or damaged: {why}; nothing is unpacked."
            ) from None

    def _unread(self, error: OSError) -> FileFault:
        why = error.strerror or str(error)
        return FileFault(f"{self._file}: cannot be read: {why}; nothing is unpacked.")

    def _checked(self) -> dict[str, zipfile.ZipInfo]:
        """Return the members by name; refuse a name, a kind or a size that has no place on a shelf."""
        members: dict[str, zipfile.ZipInfo] = {}
        names = Names()
        total = 0
        if len(self._zip.infolist()) > MOST_FILES + 1:
            raise FileFault(f"{self._file}: over {MOST_FILES} files; nothing is unpacked.")
        for member in self._zip.infolist():
            total += member.file_size
            fault = _fault_in(member) or names.add(member.filename)
            if fault or total > MOST_BYTES:
                what = fault or f"makes the whole larger than {MOST_BYTES // MIB} MiB"
                raise FileFault(
                    f"{self._file}: '{showable(member.filename, 80)}' {what}; nothing is unpacked."
                )
            members[member.filename] = member
        return members

    def _listed(self) -> dict[str, str]:
        """Return the checksums by name; each member must have one and each must have its member."""
        if LIST not in self._members:
            raise FileFault(
                f"{self._file}: not an archive of a shelf: it has no {LIST}; nothing is unpacked."
            )
        if self._members[LIST].file_size > MOST_LIST_BYTES:
            most = MOST_LIST_BYTES // MIB
            raise FileFault(f"{self._file}: its {LIST} is larger than {most} MiB; nothing is unpacked.")
        sums = _read_list(self._bytes(LIST))
        if sums is None:
            raise FileFault(
                f"{self._file}: its {LIST} is not one that this program reads; nothing is unpacked."
            )
        if {*sums, LIST} != set(self._members):
            raise FileFault(f"{self._file}: its files are not those in its {LIST}; nothing is unpacked.")
        return sums

    def read(self, name: str) -> bytes:
        """Return a file's bytes, compared with its checksum."""
        raw = self._bytes(name)
        if hashlib.sha256(raw).hexdigest() != self.sums[name]:
            raise FileFault(f"{self._file}: {showable(name, 80)} is damaged; nothing is unpacked.")
        return raw

    def _bytes(self, name: str) -> bytes:
        """Return a member's bytes, never more than its bound, whatever the archive says of its size."""
        member = self._members[name]
        with self._guarded(), self._zip.open(member) as stream:
            raw = stream.read(member.file_size + 1)
        if len(raw) != member.file_size:
            raise FileFault(
                f"{self._file}: '{showable(name, 80)}' is not as large as it says; nothing is unpacked."
            )
        return raw


def _fault_in(member: zipfile.ZipInfo) -> str:
    """Return what is wrong with a member by what the directory says of it, or ""."""
    if stat.S_IFMT(member.external_attr >> 16) not in (0, stat.S_IFREG):
        return "is a link, a device or a folder"
    if member.file_size > MOST_FILE_BYTES:
        return f"is larger than {MOST_FILE_BYTES // MIB} MiB"
    if member.flag_bits & 1 or member.compress_type not in _METHODS:
        return "is packed in a way that is not read here"
    return fault_of(member.filename)


def _read_list(raw: bytes) -> dict[str, str] | None:
    """Return the checksums in a list, None for what is none; it is parsed only if it is small and plain."""
    if raw.count(b'"') > 4 * MOST_FILES + 16:
        return None
    if not _BONES.fullmatch(_STRING.sub(b"", raw).translate(None, b" \t\r\n")):
        return None
    try:
        listing = json.loads(raw)
    except (ValueError, RecursionError):
        return None
    sums = listing.get("sha256")
    return sums if listing.get("form") == FORM and isinstance(sums, dict) else None
