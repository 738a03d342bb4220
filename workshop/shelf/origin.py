"""What two texts of one blade came from, found by the ways back that each of them keeps."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from workshop.build.ledger import BACKS_KEPT
from workshop.shelf.entries import (
    BY_ID,
    MISSING,
    Tables,
    alike,
    entries,
    ids,
    known_by,
    listed,
    moment,
)

_IN_TABLES, _IN_LISTS = ("steps", "values"), ("clocks", "slips", "runs")


def unwound(side: Mapping[str, Any], other: Mapping[str, Any]) -> Tables:
    """Return a text as it was before the changes that the other does not have, from its own ways back.

    What this side has taken back and the other still has stands in it again, as it stood there: else the
    older text would bring back what was taken back since.
    """
    made = _rolled_back(side, other)
    undone = _undone(side, other)
    if undone:
        was = _rolled_back(other, side)
        for name in dict.fromkeys(name for back in undone for name in _ways(back)):
            _set(made, name, _get(was, name))
        made["back"] = [*made["back"], *undone]
    return made


def _rolled_back(side: Mapping[str, Any], other: Mapping[str, Any]) -> Tables:
    made: Tables = {key: value for key, value in side.items() if key not in ("log", "back")}
    for room in _IN_TABLES:
        made[room] = dict(_parts(room, made.get(room)))
    for room in _IN_LISTS:
        made[room] = list(_parts(room, made.get(room)).values())
    shared = {known_by(one) for one in (*entries(other, "back"), *_undone(other, side))}
    kept = [one for one in entries(side, "back") if known_by(one) in shared]
    befores = {(name, known_by(part)) for one in kept for name, part in _ways(one).items()}
    later: set[str] = set()
    for back in reversed(entries(side, "back")):
        ways = _ways(back)
        if known_by(back) in shared:
            later.update(ways)
            continue
        for name, part in ways.items():
            # Put together before: the other has changed the same part since, or from the very same state. No
            # way leads back behind that, and what the other has is what it came to.
            both = name in later or (name, known_by(part)) in befores
            _set(made, name, _get(other, name) if both else part)
    logged = {known_by(one) for one in entries(other, "log")}
    made["log"] = [one for one in entries(side, "log") if known_by(one) in logged]
    made["back"] = kept
    return made


def _undone(side: Mapping[str, Any], other: Mapping[str, Any]) -> list[Any]:
    """Return the other's ways back that this side has used: its log says so, the other's does not.

    Only of changes that both had made, which is known by their line in both logs: each side may have made
    the same for itself, and one of them taken its own back.
    """
    theirs = {known_by(one) for one in entries(other, "log")}
    mine = {known_by(one) for one in entries(side, "back")}
    said = [
        one
        for one in entries(side, "log")
        if isinstance(one, Mapping) and one.get("did") == "take back" and known_by(one) not in theirs
    ]
    done = {
        known_by([one.get("at"), one.get("says")]) for one in entries(side, "log") if isinstance(one, Mapping)
    }
    found = []
    for back in reversed(entries(other, "back")):
        if not isinstance(back, Mapping) or known_by(back) in mine:
            continue
        if known_by([back.get("at"), back.get("says")]) not in done:
            continue
        says = f"Taken back: {back.get('says')}"
        line = next(
            (one for one in said if alike(one.get("says"), says) and moment(one) >= moment(back)), None
        )
        if line is not None:
            said.remove(line)
            found.append(back)
    return found[::-1]


def _ways(back: Any) -> dict[str, Any]:
    """Return what the parts that a change touched were before it."""
    if not isinstance(back, Mapping):
        return {}
    gone, was = entries(back, "gone"), back.get("was")
    found: dict[str, Any] = {name: MISSING for name in gone if isinstance(name, str)}
    for room, parts in was.items() if isinstance(was, Mapping) else ():
        found.update({f"{room}/{key}": part for key, part in _parts(room, parts).items()})
    return found


def _parts(room: str, value: Any) -> Mapping[str, Any]:
    if room in _IN_LISTS:
        return ids(value)
    return value if isinstance(value, Mapping) else {}


def _get(tables: Mapping[str, Any], name: str) -> Any:
    room, _, key = name.partition("/")
    return _parts(room, tables.get(room)).get(key, MISSING)


def _set(tables: Tables, name: str, part: Any) -> None:
    room, _, key = name.partition("/")
    if room not in (*_IN_TABLES, *_IN_LISTS):
        return
    parts = {
        one: value for one, value in {**_parts(room, tables[room]), key: part}.items() if value is not MISSING
    }
    tables[room] = list(parts.values()) if room in _IN_LISTS else parts


def common(first: Mapping[str, Any], second: Mapping[str, Any]) -> Tables:
    """Return what two texts of one blade surely came from: where both ways back lead to the same."""
    one, two = unwound(first, second), unwound(second, first)
    made = _agreed(one, two)
    for key in ("log", "back"):
        theirs = {known_by(entry) for entry in two[key]}
        made[key] = [entry for entry in one[key] if known_by(entry) in theirs]
    return made


def _agreed(one: Mapping[str, Any], two: Mapping[str, Any]) -> Tables:
    made: Tables = {}
    for key in one.keys() & two.keys():
        if alike(one[key], two[key]):
            made[key] = one[key]
        elif isinstance(one[key], Mapping) and isinstance(two[key], Mapping):
            made[key] = _agreed(one[key], two[key])
        elif key in BY_ID and listed(one[key]) and listed(two[key]):
            mine, theirs = ids(one[key]), ids(two[key])
            made[key] = [mine[name] for name in mine if name in theirs and alike(mine[name], theirs[name])]
    return made


def lacks(text: Mapping[str, Any], ours: Mapping[str, Any]) -> bool:
    """Whether a file lacks changes that were saved: an older text was put over them.

    A line of the log that was only taken out by hand, or written anew (it keeps its moment), is no such
    thing: its way back is still there, and nothing else came instead.
    """
    log, mine = entries(text, "log"), entries(ours, "log")
    backs, my_backs = entries(text, "back"), entries(ours, "back")
    added = _not_in(log, mine)
    gone = _less_by_moment(_not_in(mine, log), added)
    more = _less_by_moment(added, _not_in(mine, log))
    other_ways = bool(_not_in(backs, my_backs) or _not_in(my_backs, backs))
    return bool(gone and (more or other_ways)) or _newest_gone(my_backs, backs, added)


def _newest_gone(mine: list[Any], backs: list[Any], added: list[Any]) -> bool:
    """Whether the newest way back is missing though nobody used it and it is not too old to be kept."""
    if not mine or not _not_in(mine[-1:], backs):
        return False
    if any(isinstance(one, Mapping) and one.get("did") == "take back" for one in added):
        return False
    pushed_out = len(backs) >= BACKS_KEPT and all(moment(one) >= moment(mine[-1]) for one in backs)
    return not pushed_out


def _not_in(entries: list[Any], others: list[Any]) -> list[Any]:
    there = {known_by(one) for one in others}
    return [one for one in entries if known_by(one) not in there]


def _less_by_moment(entries: list[Any], others: list[Any]) -> list[Any]:
    """Return the entries that have no counterpart of the same moment among the others."""
    spare = [moment(one) for one in others]
    left = []
    for one in entries:
        if moment(one) in spare:
            spare.remove(moment(one))
        else:
            left.append(one)
    return left
