"""Keeping account: every change goes through `changed`, and `take_back` undoes the last one.

A change names the parts it replaces. What they were is remembered with the blade, in its file, so
that it can be taken back after a restart as well.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime

from workshop.build.blade import DRILL, Back, Blade, LogEntry, Part, Value
from workshop.errors import ShopError

BACKS_KEPT = 40
"""How many changes can be taken back."""


def changed(
    blade: Blade,
    now: datetime,
    did: str,
    says: str,
    parts: Mapping[str, Part],
    step_id: str = "",
    why: str = "",
) -> Blade:
    """Return the blade with some parts replaced, a line in its log and the way back remembered.

    did: the kind of change, for the log; "" for one that the step itself shows (a tick) and that
    would only fill the log. says: what was done, in words.
    """
    parts = {name: _with_own_keys(_part(blade, name), part) for name, part in parts.items()}
    was = {name: _part(blade, name) for name in parts}
    entry = (LogEntry(now, did, says, step_id, why.strip()),) if did else ()
    back = Back(now, says, was)
    made = _with_parts(blade, parts)
    return replace(made, log=(*blade.log, *entry), backs=(*blade.backs, back)[-BACKS_KEPT:])


def take_back(blade: Blade, now: datetime) -> Blade:
    """Take the last change back. The log keeps both: what was done and that it was taken back."""
    if not blade.backs:
        raise ShopError(f"There is nothing to take back on {blade.name}.")
    last = blade.backs[-1]
    restored = _with_parts(blade, last.was)
    entry = LogEntry(now, "take back", f"Taken back: {last.says}")
    return replace(restored, backs=blade.backs[:-1], log=(*blade.log, entry))


def last_said(before: Blade, after: Blade) -> str:
    """Return in words what led from one blade to the other: its last change."""
    if len(after.log) > len(before.log):
        return after.log[-1].says
    return after.backs[-1].says if after.backs and after is not before else ""


def _part(blade: Blade, name: str) -> Part | None:
    room, _, key = name.partition("/")
    found: Part | None = getattr(blade, room).get(key)
    return found


def _with_own_keys(was: Part | None, part: Part) -> Part:
    """Return a part with the keys that a maker wrote beside it by hand, where it is written anew."""
    if not isinstance(was, Value) or not isinstance(part, Value) or not was.extra:
        return part
    own = {key: one for key, one in was.extra.items() if key != DRILL}
    return replace(part, extra={**own, **part.extra})


def _with_parts(blade: Blade, parts: Mapping[str, Part | None]) -> Blade:
    rooms: dict[str, dict[str, Part]] = {}
    for name, part in parts.items():
        room, _, key = name.partition("/")
        table = rooms.setdefault(room, dict(getattr(blade, room)))
        if part is None:
            table.pop(key, None)
        else:
            table[key] = part
    return replace(blade, **rooms)  # type: ignore[arg-type]
