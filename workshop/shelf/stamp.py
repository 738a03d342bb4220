"""What tells that a file was written, or another put in its place, without reading it."""

from __future__ import annotations

from pathlib import Path

Stamp = tuple[int, int, int, int]


def stamp(path: Path) -> Stamp | None:
    """Return what changes when a file changes; None where there is none that can be reached."""
    try:
        info = path.stat()
    except OSError:
        return None
    return (info.st_mtime_ns, info.st_ctime_ns, info.st_size, info.st_ino)
