"""The tables of a blade's file compared entry by entry: when two of them are the same."""

from __future__ import annotations

import json
import unicodedata
from collections.abc import Mapping
from datetime import UTC, date, datetime, time
from typing import Any

Tables = dict[str, Any]
MISSING: Any = object()
"""Stands for a key that one side does not have."""

BY_ID = frozenset({"clocks", "slips", "runs", "marks"})
"""Lists whose entries have a name of their own."""


def same(one: Any, two: Any) -> bool:
    """Whether two values are the same, also in kind: 1 is not true here, moments count in UTC."""
    if one is MISSING or two is MISSING:
        return one is two
    return mark(one) == mark(two)


def alike(one: Any, two: Any) -> bool:
    """Whether two values are the same, however é is spelt: some systems spell a whole file the other way."""
    if one is MISSING or two is MISSING:
        return one is two
    return known_by(one) == known_by(two)


def known_by(value: Any) -> str:
    """Return a text that is the same for what is alike: to count the entries of two files by."""
    return unicodedata.normalize("NFC", json.dumps(value, sort_keys=True, default=_plain, ensure_ascii=False))


def mark(value: Any) -> str:
    """Return a text that is the same for the same content: to compare and to count entries by."""
    return json.dumps(value, sort_keys=True, default=_plain, ensure_ascii=True)


def _plain(value: Any) -> str:
    if isinstance(value, datetime):
        return (value.astimezone(UTC) if value.tzinfo else value).isoformat()
    if isinstance(value, (date, time)):
        return value.isoformat()
    return repr(value)


def listed(value: Any) -> bool:
    """Whether a value is a list of tables."""
    return isinstance(value, list) and all(isinstance(one, Mapping) for one in value)


def ids(entries: Any) -> dict[str, Any]:
    """Return a list's entries by their own names."""
    return {str(one.get("id")): one for one in entries} if listed(entries) else {}


def moment(entry: Any) -> datetime:
    """Return when an entry was made; one without a moment is older than all."""
    at = entry.get("at") if isinstance(entry, Mapping) else None
    return at if isinstance(at, datetime) and at.tzinfo else datetime.min.replace(tzinfo=UTC)


def entries(text: Mapping[str, Any], key: str) -> list[Any]:
    """Return a list of a file; an empty one for what is no list."""
    found = text.get(key)
    return found if isinstance(found, list) else []
