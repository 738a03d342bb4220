"""Writing one small file so that a power cut leaves the old one or the new one, whole.

Write beside, flush to disk, rename, flush the folder. On any error the temporary file is
removed, the old file stays, and a sentence says so.
"""

from __future__ import annotations

import contextlib
import errno
import fcntl
import os
import secrets
import stat
import time
from collections.abc import Iterator
from pathlib import Path

from workshop.errors import ShopError

STRAY = ".unsaved-"
DAY_S = 86_400


class NotSaved(ShopError):
    """The disk did not take a change; the old file is as it was."""


def save(path: Path, data: bytes) -> None:
    """Put bytes at a path, durably. A link is followed, and the old file's mode is kept.

    Raises NotSaved with the reason of the system; the old content is then untouched.
    """
    target = Path(os.path.realpath(path))
    stray = target.with_name(f"{STRAY}{target.name}-{secrets.token_hex(6)}")
    try:
        mode = stat.S_IMODE(target.stat().st_mode) if target.exists() else 0o600
        _write_new(stray, data, mode)
        try:
            stray.replace(target)
        except OSError:
            stray.unlink(missing_ok=True)
            raise
        flush_folder(target.parent)
    except OSError as error:
        raise NotSaved(
            f"{path.name} is not saved: {error.strerror or error}. The file on disk is as it was."
        ) from error


def _write_new(path: Path, data: bytes, mode: int) -> None:
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC | os.O_NOFOLLOW, mode)
    try:
        try:
            left = memoryview(data)
            while left:
                left = left[os.write(handle, left) :]
            os.fsync(handle)
        finally:
            os.close(handle)
    except OSError:
        path.unlink(missing_ok=True)
        raise


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


@contextlib.contextmanager
def locked(path: Path) -> Iterator[None]:
    """Hold the shop's lock on a file for one change; it is freed when the process dies."""
    lock = path.with_name(f".{path.name}.lock")
    try:
        handle = os.open(lock, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
    except OSError as error:
        raise NotSaved(
            f"{path.name} is not saved: {error.strerror or error}. The file on disk is as it was."
        ) from error
    try:
        fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)


def sweep(folder: Path, now_s: float | None = None) -> int:
    """Remove our own unfinished files that are over a day old; return how many."""
    gone = 0
    moment = time.time() if now_s is None else now_s
    for stray in folder.glob(f"{STRAY}*"):
        with contextlib.suppress(OSError):
            if moment - stray.stat().st_mtime > DAY_S:
                stray.unlink()
                gone += 1
    return gone
