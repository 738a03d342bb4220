"""The table of faults in DEVELOPERS.md names tests that are there."""

from __future__ import annotations

import re
from pathlib import Path

HOUSE = Path(__file__).resolve().parent.parent.parent


def cited() -> list[tuple[str, str]]:
    """Return the tests that the table names, each by its file and how its name begins."""
    found = []
    for line in (HOUSE / "DEVELOPERS.md").read_text(encoding="utf-8").splitlines():
        file = ""
        for name in re.findall(r"`([^`]+)`", line) if line.startswith("|") else ():
            if match := re.fullmatch(r"(?:tests/\w+/)?(test_\w+\.py)(?:::(\w+)(…?))?", name):
                file = match[1]
                found.append((file, (match[2] or "") + (match[3] or "")))
            elif file and (match := re.fullmatch(r"…_?(\w+)(…?)", name)):
                found.append((file, f"…{match[1]}"))
    return found


def test_each_test_that_the_table_of_faults_names_is_there() -> None:
    tests = {path.name: path.read_text(encoding="utf-8") for path in (HOUSE / "tests").rglob("test_*.py")}
    assert len(cited()) > 60
    missing = []
    for file, name in cited():
        names = re.findall(r"def (test_\w+)\(", tests.get(file, ""))
        part = name.strip("…")
        if file not in tests or not any(
            (part in one) if name.startswith("…") else one.startswith(part) for one in names
        ):
            missing.append(f"{file}::{name}")
    assert missing == []
