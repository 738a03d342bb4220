"""The gate before a file is read: plain, small, shallow, whole text. What passes cannot hurt the reader."""

from __future__ import annotations

import errno
import math
import os
import re
import stat
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from workshop.errors import ShopError
from workshop.showable import showable

MOST_BYTES = 1024 * 1024
DEEPEST = 64
LARGEST = 2**63
"""TOML 1.0.0 asks for whole numbers up to here; a larger one overflows where a float is wanted."""

MOST_PARTS = 64
"""The most parts of a dotted key: thousands of them take the TOML reader seconds."""

_STRING = r'"(?:\\.|[^"\\\n])*+"|\'[^\'\n]*+\''
_PART = re.compile(rf"[\w-]++|{_STRING}")
_DOTTED = rf"(?:{_PART.pattern})(?:[ \t]*+\.[ \t]*+(?:{_PART.pattern}))++"
_PIECE = re.compile(rf'"""|\'\'\'|(?P<dotted>{_DOTTED})|{_STRING}|#[^\n]*+|[\[\]{{}}]')
_INSIDE_TRIPLE = {
    '"""': re.compile(r'(?:\\.|[^"\\]|"(?!""))*+"""', re.DOTALL),
    "'''": re.compile(r"(?:[^']|'(?!''))*+'''", re.DOTALL),
}
_ENDLESS = re.compile(r"^[^#\n]*[=\[,{]\s*[+-]?(?:inf|nan)\b", re.MULTILINE)
_NEWER = re.compile(r"\\[ex]|\{[^}\n]*$|,\s*\}", re.MULTILINE)


class FileFault(ShopError):
    """A file that cannot be taken as it is."""


def read_plain(path: Path, most: int = MOST_BYTES) -> bytes:
    """Return a plain file's bytes; raises FileFault for a pipe, a device, a folder or a too large file."""
    try:
        handle = os.open(path, os.O_RDONLY | os.O_NONBLOCK | os.O_CLOEXEC | getattr(os, "O_NOCTTY", 0))
        with os.fdopen(handle, "rb") as file:
            if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
                raise FileFault(f"{path}: not a plain file; right would be a TOML file.")
            raw = file.read(most + 1)
    except OSError as error:
        if error.errno in (errno.ENXIO, errno.EISDIR, errno.ENODEV):
            raise FileFault(f"{path}: not a plain file; right would be a TOML file.") from None
        raise FileFault(f"{path}: cannot be read: {error.strerror or error}.") from None
    if len(raw) > most:
        raise FileFault(f"{path}: larger than {most // 1024 // 1024} MiB; a file of the shop is far smaller.")
    return raw


def parsed(raw: bytes, name: str) -> tuple[dict[str, Any], str]:
    """Return the tables of TOML bytes and their text, or raise FileFault with the line and the reason."""
    try:
        text = raw.removeprefix(b"\xef\xbb\xbf").decode("utf-8")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise FileFault(f"{name}, line {line}: not UTF-8 text; save the file as UTF-8.") from None
    _shallow(text, name)
    try:
        data = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, ValueError, RecursionError, OverflowError) as error:
        reason = showable(str(error) or type(error).__name__, limit=160)
        hint = _hint(text, reason)
        raise FileFault(f"{name}: not TOML 1.0: {reason}{hint}.") from None
    _finite(data, name, text, ())
    return data, text


def _hint(text: str, reason: str) -> str:
    """Say when the line the reader stopped at looks like the later TOML 1.1."""
    found = re.search(r"line (\d+)", reason)
    if not found:
        return ""
    lines = text.splitlines()
    number = int(found[1])
    line = lines[number - 1] if 0 < number <= len(lines) else ""
    return "; the line looks like TOML 1.1, which is not read" if _NEWER.search(line) else ""


def _pieces(text: str) -> Iterator[re.Match[str]]:
    """Yield strings, comments, brackets and dotted keys; strings over several lines are passed over."""
    at = 0
    while found := _PIECE.search(text, at):
        piece, at = found[0], found.end()
        if piece in _INSIDE_TRIPLE:
            end = _INSIDE_TRIPLE[piece].match(text, at)
            if end is None:  # not closed: the reader says so with the line
                return
            at = end.end()
        else:
            yield found


def comments(text: str) -> list[str]:
    """Return the comments of a text, in order; a # inside a string is none."""
    if "#" not in text:
        return []
    return [found[0].rstrip() for found in _pieces(text) if found[0][0] == "#"]


def _shallow(text: str, name: str) -> None:
    """Refuse what would take the reader long: deep brackets and very long dotted keys, outside strings."""
    depth = 0
    for found in _pieces(text):
        piece, at = found[0], found.end()
        if piece in ("[", "{"):
            depth += 1
            if depth > DEEPEST:
                raise FileFault(
                    f"{name}, line {_line(text, at)}: brackets over {DEEPEST} deep; "
                    f"right would be at most {DEEPEST}."
                )
        elif piece in ("]", "}"):
            depth = max(0, depth - 1)
        elif found["dotted"] and piece.count(".") >= MOST_PARTS and len(_PART.findall(piece)) > MOST_PARTS:
            raise FileFault(
                f"{name}, line {_line(text, at)}: a key of over {MOST_PARTS} parts; "
                "a key here has at most four."
            )


def _line(text: str, at: int) -> int:
    return text.count("\n", 0, at) + 1


def _finite(value: Any, name: str, text: str, path: tuple[str, ...]) -> None:
    """Refuse nan and inf, which are no measurement of anything, and tables inside tables without end."""
    if isinstance(value, float) and not math.isfinite(value):
        found = _ENDLESS.search(text)
        line = f", line {_line(text, found.end())}" if found else ""
        where = showable(".".join(path), 80)
        raise FileFault(f"{name}{line}: {where}: is {value}; right would be a number.")
    if isinstance(value, int) and abs(value) > LARGEST:
        where = showable(".".join(path), 80)
        raise FileFault(f"{name}: {where}: is too large; right would be a smaller number.")
    if len(path) > DEEPEST:
        raise FileFault(f"{name}: tables over {DEEPEST} deep; right would be at most {DEEPEST}.")
    if isinstance(value, Mapping):
        for key, one in value.items():
            _finite(one, name, text, (*path, key))
    elif isinstance(value, list):
        for one in value:
            _finite(one, name, text, path)
