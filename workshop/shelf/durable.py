"""Writing one small file so that a power cut leaves the old one or the new one, whole.

Write beside, flush to disk, change places with the old file, flush the folder. On any error the
old file stays or is put back, the unfinished one is removed, and a sentence says so.
"""

from __future__ import annotations

import contextlib
import errno
import fcntl
import os
import secrets
import stat
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from workshop.errors import ShopError

STRAY = ".unsaved-"
DAY_S = 86_400
LOCK_WAIT_S = 20.0
_LOCK_PAUSE_S = 0.005
_MOST_LOOKS = 20
_LOOK_PAUSE_S = 0.005
_NO_LOCKS = (errno.ENOLCK, errno.ENOSYS, errno.EOPNOTSUPP, errno.EINVAL)
_NO_EXCHANGE = (errno.EINVAL, errno.ENOSYS, errno.EOPNOTSUPP, errno.ENOTSUP)
_AT_FDCWD = -100
_RENAME_EXCHANGE = 2


class NotSaved(ShopError):
    """The disk did not take a change. there: the file may hold the change all the same."""

    def __init__(self, sentence: str, *, there: bool = False) -> None:
        """Say what was not saved and why."""
        super().__init__(sentence)
        self.there = there


def leads_out(path: Path, folder: Path) -> bool:
    """Whether a path, its links followed, lies outside a folder; the path need not be there."""
    return not Path(os.path.realpath(path)).is_relative_to(os.path.realpath(folder))


def save(path: Path, data: bytes, within: Path | None = None) -> bytes | None:
    """Put bytes at a path, durably; a link is followed, and the old file's mode is kept.

    within: the folder that a link must not lead out of, where that is a shelf.
    Returns what stood there at the very moment of the change, None for no file, so that a caller sees
    whether somebody wrote between its reading and its saving. Raises NotSaved with the reason of the
    system; the old content is then untouched, or put back, unless the error says `there`.
    """
    target = Path(os.path.realpath(path))
    if within is not None and leads_out(target, within):
        raise NotSaved(f"{path} leads out of the shelf; nothing is written there.")
    stray = target.with_name(f"{STRAY}{target.name[:100]}-{secrets.token_hex(6)}")
    exchanged = placed = False
    old: bytes | None = None
    try:
        mode = _mode(target)
        _write_new(stray, data, 0o600 if mode is None else mode)
        try:
            exchanged = mode is not None and _exchange(stray, target)
            if not exchanged:
                old = None if mode is None else target.read_bytes()
                stray.replace(target)
            placed = True
            if exchanged:  # what truly stood there at the moment of the change
                old = stray.read_bytes()
            flush_folder(target.parent)
        finally:
            if not placed:
                _remove(stray)
    except OSError as error:
        why = error.strerror or str(error)
        if placed and not _put_back(stray, target, old, data, exchanged=exchanged):
            raise NotSaved(
                f"{path.name}: the disk did not confirm the change: {why}. It may be kept or not.",
                there=True,
            ) from error
        raise NotSaved(f"{path.name} is not saved: {why}. The file on disk is as it was.") from error
    if exchanged and old is not None:
        old = _settled(stray, old)
    _remove(stray)
    return old


def _settled(stray: Path, old: bytes) -> bytes:
    """Return the old file's bytes once nobody writes into it any more.

    An editor that writes in place had it open by its name, and goes on writing into it after the change.
    """
    with contextlib.suppress(OSError):
        for _ in range(_MOST_LOOKS):
            again = stray.read_bytes()
            if again == old and again:
                break
            old = again
            time.sleep(_LOOK_PAUSE_S)  # somebody writes this very moment
    return old


def _mode(target: Path) -> int | None:
    """Return a plain file's mode, None when there is no file; anything else is not written over."""
    try:
        info = target.stat()
    except FileNotFoundError:
        return None
    if not stat.S_ISREG(info.st_mode):
        raise OSError(errno.EINVAL, "it is not a plain file")
    return stat.S_IMODE(info.st_mode)


def _write_new(path: Path, data: bytes, mode: int) -> None:
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC | os.O_NOFOLLOW, mode)
    try:
        try:
            if stat.S_IMODE(os.fstat(handle).st_mode) != mode:
                os.fchmod(handle, mode)
            left = memoryview(data)
            while left:
                left = left[os.write(handle, left) :]
            os.fsync(handle)
        finally:
            os.close(handle)
    except OSError:
        _remove(path)
        raise


def _exchange(one: Path, other: Path) -> bool:
    """Let two files change names in one step; say whether the system can."""
    if not sys.platform.startswith("linux"):
        return False
    try:
        import ctypes  # only a program that saves needs it

        call = getattr(ctypes.CDLL(None, use_errno=True), "renameat2", None)
    except (ImportError, OSError):  # a Python without it, or a disk that refuses even that
        return False
    if call is None:
        return False
    if not call(_AT_FDCWD, os.fsencode(one), _AT_FDCWD, os.fsencode(other), _RENAME_EXCHANGE):
        return True
    code = ctypes.get_errno()
    if code in _NO_EXCHANGE or code == errno.ENOENT:  # the old file went away just now: a plain rename does
        return False
    raise OSError(code, os.strerror(code))


def _put_back(stray: Path, target: Path, old: bytes | None, new: bytes, *, exchanged: bool) -> bool:
    """Undo a change that the disk did not confirm; say whether the old file stands there again."""
    with contextlib.suppress(OSError):
        if exchanged:
            if not _exchange(stray, target):
                return False
            if stray.read_bytes() != new:  # somebody else wrote meanwhile: theirs stays
                _exchange(stray, target)
                return False
            _remove(stray)
        elif target.read_bytes() != new:
            return False
        elif old is None:
            target.unlink()
        else:
            _write_new(stray, old, _mode(target) or 0o600)
            stray.replace(target)
        return True
    return False


def _remove(path: Path) -> None:
    with contextlib.suppress(OSError):
        path.unlink(missing_ok=True)


def flush_folder(folder: Path) -> None:
    """Flush a folder's entries to disk; a file system that cannot is not an error."""
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC)
    try:
        os.fsync(handle)
    except OSError as error:
        if error.errno not in (errno.EINVAL, errno.ENOTSUP):
            raise
    finally:
        os.close(handle)


def jot(path: Path, data: bytes) -> None:
    """Put bytes at a path whole but without waiting for the disk; what cannot be written is left."""
    stray = path.with_name(f"{STRAY}{path.name[:100]}-{secrets.token_hex(6)}")
    try:
        handle = os.open(stray, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC | os.O_NOFOLLOW, 0o600)
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        stray.replace(path)
    except OSError:
        _remove(stray)


@contextlib.contextmanager
def locked(path: Path, wait_s: float = LOCK_WAIT_S) -> Iterator[None]:
    """Hold the shop's lock on a file for one change; it is freed when the process dies.

    Raises NotSaved when another program holds it for longer than `wait_s`.
    """
    lock = path.with_name(f".{path.name}.lock")
    try:
        handle = os.open(lock, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC | os.O_NOFOLLOW | os.O_NONBLOCK, 0o600)
    except OSError as error:
        raise _unlocked(path, error.strerror or str(error)) from error
    try:
        _take(handle, path, wait_s)
        yield
    finally:
        with contextlib.suppress(OSError):
            os.close(handle)


def _take(handle: int, path: Path, wait_s: float) -> None:
    until = time.monotonic() + wait_s
    while True:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            return
        except BlockingIOError:
            if time.monotonic() > until:
                raise _unlocked(path, "another program has been saving it for too long") from None
            time.sleep(_LOCK_PAUSE_S)
        except OSError as error:
            if error.errno in _NO_LOCKS:  # a folder without locks: what comes out at the change still tells
                return
            raise _unlocked(path, error.strerror or str(error)) from error


def _unlocked(path: Path, why: str) -> NotSaved:
    return NotSaved(f"{path.name} is not saved: {why}. The file on disk is as it was.")


def sweep(folder: Path, now_s: float | None = None) -> int:
    """Remove our own unfinished files that are over a day old; return how many."""
    gone = 0
    moment = time.time() if now_s is None else now_s
    for stray in folder.glob(f"{STRAY}*"):
        with contextlib.suppress(OSError):
            if moment - stray.lstat().st_mtime > DAY_S:
                stray.unlink()
                gone += 1
    return gone
