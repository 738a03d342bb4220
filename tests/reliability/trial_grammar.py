"""The file format itself: the public test suite of TOML, read at the gate and laid out anew.

`toml-test.tar.xz` holds the files for TOML 1.0.0 of the toml-test suite, release 2.1.0, as they are, under
the licence that lies inside (MIT). Its few files that name a person or a company were left out.
"""

from __future__ import annotations

import json
import math
import tarfile
import tomllib
from collections.abc import Callable
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

import tomli_w
from trial_ground import Outcome

from workshop.shelf.by_hand import laid_over
from workshop.shelf.gate import FileFault, parsed

SUITE = Path(__file__).resolve().parent / "toml-test.tar.xz"
NO_MEASUREMENT = frozenset(
    {"valid/float/inf-and-nan", "valid/spec-1.0.0/float-2", "valid/comment/after-literal-no-ws"}
)
"""Legal TOML, refused all the same: inf and nan are no measurement of anything."""

_FROM_TEXT: dict[str, Callable[[str], Any]] = {
    "string": str,
    "integer": int,
    "float": float,
    "bool": lambda text: text == "true",
    "datetime": datetime.fromisoformat,
    "datetime-local": datetime.fromisoformat,
    "date-local": date.fromisoformat,
    "time-local": time.fromisoformat,
}


def _suite() -> dict[str, bytes]:
    with tarfile.open(SUITE) as archive:
        return {one.name: file.read() for one in archive if (file := archive.extractfile(one))}


def _expected(tagged: Any) -> Any:
    """Return the value that the suite writes down as type and text."""
    if isinstance(tagged, list):
        return [_expected(one) for one in tagged]
    if set(tagged) == {"type", "value"} and isinstance(tagged["type"], str):
        return _FROM_TEXT[tagged["type"]](tagged["value"])
    return {key: _expected(one) for key, one in tagged.items()}


def _alike(one: Any, other: Any) -> bool:
    """Whether two values are the same and of the same kind: 1 is not true, and not 1.0."""
    if type(one) is not type(other):
        return False
    if isinstance(one, dict):
        return one.keys() == other.keys() and all(_alike(one[key], other[key]) for key in one)
    if isinstance(one, list):
        return len(one) == len(other) and all(map(_alike, one, other))
    return bool(one == other) or (isinstance(one, float) and math.isnan(one) and math.isnan(other))


def _comments(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.lstrip().startswith("#")]


def _saved_anew(text: str, data: dict[str, Any]) -> str:
    """Return what is wrong when a key is added to a text laid out by hand, or nothing."""
    wanted = {**data, "written by the shop": 1}
    made = laid_over(text.encode(), tomli_w.dumps(wanted).encode()).decode()
    if not _alike(tomllib.loads(made), wanted):
        return "the data are others after a key was added"
    lost = [comment for comment in _comments(text) if comment not in made]
    return f"a comment was lost: {lost[0]!r}" if lost else ""


def _reading(name: str, raw: bytes, suite: dict[str, bytes]) -> str:
    """Return what is wrong with how one file of the suite is taken, or nothing."""
    fine = name.startswith("valid/") and name not in NO_MEASUREMENT
    try:
        data, text = parsed(raw, "file")
    except FileFault as refused:
        return f"refused: {refused}" if fine else ""
    if not fine:
        return "read"
    if not _alike(data, _expected(json.loads(suite[f"{name}.json"]))):
        return "read as other values"
    return _saved_anew(text, data)


def grammar(home: Path, count: int = 0) -> Outcome:
    """Each valid text is read as the suite says and keeps its comments; each other one is refused."""
    out = Outcome("TOML by its public test suite")
    suite = _suite()
    for name, raw in suite.items():
        if not name.endswith(".toml"):
            continue
        out.tried += 1
        try:
            wrong = _reading(name.removesuffix(".toml"), raw, suite)
        except Exception as error:  # any other than a sentence is a fault
            wrong = f"{type(error).__name__}: {error}"
        if wrong:
            out.bad.append(f"{name}: {wrong}")
    return out
