"""Writing one small file so that a power cut leaves the old one or the new one, whole.

Write beside, flush to disk, change places with the old file, flush the folder. On any error the
old file stays or is put back, the unfinished one is removed, and a sentence says so.
"""

from __future__ import annotations

import contextlib
import errno
import fcntl
import os
import re
import secrets
import stat
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from workshop.errors import ShopError

STRAY = ".unsaved-"
AS_IT_WAS, NOTHING = "The file on disk is as it was.", "Nothing was written."
DAY_S, OTHERS_S = 86_400, 600
LOCK_WAIT_S = 20.0
_LOCK_PAUSE_S = 0.005
_MOST_LOOKS = 20
_LOOK_PAUSE_S = 0.005
_NO_LOCKS = (errno.ENOLCK, errno.ENOSYS, errno.EOPNOTSUPP, errno.EINVAL)
_NO_EXCHANGE = (errno.EINVAL, errno.ENOSYS, errno.EOPNOTSUPP, errno.ENOTSUP)
_AT_FDCWD = -100
_RENAME_EXCHANGE = 2
_OURS = re.compile(rf"{re.escape(STRAY)}.+-[0-9a-f]{{12}}")


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
    Run as root, it keeps the old file's owner and group too, and a new one gets those of its folder.
    Returns what stood there at the very moment of the change, None for no file, so that a caller sees
    whether somebody wrote between its reading and its saving. Raises NotSaved with the reason of the
    system; the old content is then untouched, or put back, unless the error says `there`.
    """
    target = Path(os.path.realpath(path))
    if within is not None and leads_out(target, within):
        raise NotSaved(f"{path} leads out of the shelf; nothing is written there.")
    stray = stray_beside(target)
    exchanged = placed = False
    old: bytes | None = None
    was: os.stat_result | None = None
    try:
        was = _was(target)
        _write_new(stray, data, was)
        try:
            exchanged = was is not None and _exchange(stray, target)
            if not exchanged:
                old = None if was is None else target.read_bytes()
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
        kept = NOTHING if was is None else AS_IT_WAS
        raise NotSaved(f"{path.name} is not saved: {why}. {kept}") from error
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


def stray_beside(target: Path) -> Path:
    """Return a name of our own, beside a file, for what is to take its place."""
    return target.with_name(f"{STRAY}{_cut(target.name)}-{secrets.token_hex(6)}")


def _cut(name: str) -> str:
    """Return the beginning of a name, so that with ours around it it is no longer than a system takes."""
    return os.fsencode(name)[:200].decode(errors="ignore")


def _was(target: Path) -> os.stat_result | None:
    """Return a plain file's mode and owner, None when there is no file; all else is not written over."""
    try:
        info = target.stat()
    except FileNotFoundError:
        return None
    if not stat.S_ISREG(info.st_mode):
        raise OSError(errno.EINVAL, "it is not a plain file")
    return info


def _write_new(path: Path, data: bytes, was: os.stat_result | None) -> None:
    mode = 0o600 if was is None else stat.S_IMODE(was.st_mode)
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC | os.O_NOFOLLOW, mode)
    try:
        try:
            own(handle, path.parent, was)  # before the mode: a change of owner may take bits off it
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


def own(handle: int, folder: Path, was: os.stat_result | None = None) -> None:
    """Give a new file or folder the owner and group of what it replaces, else, as root, of its folder.

    A maker who once ran the program as root is not shut out of the shelf by what that left there.
    What the system does not allow is left.
    """
    if was is None and os.geteuid() != 0:
        return
    with contextlib.suppress(OSError):
        now, like = os.fstat(handle), was or folder.stat()
        if now.st_nlink > 1 and not stat.S_ISDIR(now.st_mode):  # it has a name elsewhere too
            return
        if now.st_gid != like.st_gid:
            os.fchown(handle, -1, like.st_gid)
        if now.st_uid != like.st_uid:
            os.fchown(handle, like.st_uid, -1)


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
            _write_new(stray, old, _was(target))
            stray.replace(target)
        return True
    return False


def _remove(path: Path) -> None:
    with contextlib.suppress(OSError):
        path.unlink(missing_ok=True)


def flush_folder(folder: Path) -> None:
    """Flush a folder's entries to disk, which ends a save; a file system that cannot is not an error."""
    _flush(folder)


def _flush(folder: Path) -> None:
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
    stray = stray_beside(path)
    try:
        handle = os.open(stray, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC | os.O_NOFOLLOW, 0o600)
        with os.fdopen(handle, "wb") as file:
            own(handle, path.parent)
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
        own(handle, path.parent)
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
    return NotSaved(f"{path.name} is not saved: {why}. {AS_IT_WAS if os.path.lexists(path) else NOTHING}")


def make_folders(folder: Path) -> None:
    """Make a folder, and those above it that are not there, private to their owner. Raises OSError."""
    for one in (*reversed(folder.parents), folder):
        if one.is_dir():
            continue
        one.mkdir(mode=0o700, exist_ok=True)
        handle = os.open(one, os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC | os.O_NOFOLLOW)
        try:
            own(handle, one.parent)
        finally:
            os.close(handle)
        with contextlib.suppress(PermissionError):  # a folder that we may write in but not read
            _flush(one.parent)


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


def save_outside(path: Path, data: bytes) -> None:
    """Save a file that the maker asked for somewhere else, and sweep what a killed program left of it."""
    target = Path(os.path.realpath(path))
    sweep_outside(target.parent, target.name)
    save(target, data)


def sweep_outside(folder: Path, name: str, now_s: float | None = None) -> None:
    """Remove what killed programs left in a folder that is not ours, before a file of this name is written.

    Only names as `stray_beside` gives them, plain files, and none that a program at work still holds: one
    that is locked, is of another file and younger than ten minutes, or is younger than a day where the
    file system knows no locks.
    """
    moment = time.time() if now_s is None else now_s
    with contextlib.suppress(OSError):
        for stray in folder.iterdir():
            if _OURS.fullmatch(stray.name):
                same = stray.name[len(STRAY) : -13] == _cut(name)
                with contextlib.suppress(OSError):
                    _sweep_one(stray, moment, 0 if same else OTHERS_S)


def _sweep_one(stray: Path, moment: float, least_s: float) -> None:
    handle = os.open(stray, os.O_RDONLY | os.O_CLOEXEC | os.O_NOFOLLOW | os.O_NONBLOCK)
    try:
        info = os.fstat(handle)
        if not stat.S_ISREG(info.st_mode) or (least_s and moment - info.st_mtime <= least_s):
            return
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return
        except OSError:
            if moment - info.st_mtime <= DAY_S:
                return
        stray.unlink()
    finally:
        os.close(handle)


def hold(handle: int) -> None:
    """Mark an unfinished file as still being written, for `sweep_outside`; the mark goes with the process."""
    with contextlib.suppress(OSError):
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
