"""Whether two values of a file are the same, and entries of its lists by their ids and moments."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import UTC, date, datetime, time
from typing import Any

Tables = dict[str, Any]
MISSING: Any = object()
"""Stands for a key that one side does not have."""


def same(one: Any, two: Any) -> bool:
    """Whether two values are the same, also in kind: 1 is not true here, moments count in UTC."""
    if one is MISSING or two is MISSING:
        return one is two
    return mark(one) == mark(two)


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
    """Return the tables of a list by their ids; nothing for what is no list of tables."""
    return {str(one.get("id")): one for one in entries} if listed(entries) else {}


def moment(entry: Any) -> datetime:
    """Return when an entry was made; the first moment there is where it does not say."""
    at = entry.get("at") if isinstance(entry, Mapping) else None
    return at if isinstance(at, datetime) and at.tzinfo else datetime.min.replace(tzinfo=UTC)
