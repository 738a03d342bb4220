"""Putting two texts of one blade together, key by key: nothing is dropped, a true conflict is named.

Works on the plain tables of the files. Lists whose entries have a name of their own (log, clocks,
slips, marks) are united; a key that both sides changed differently is a conflict: the first side's
value stands in the result, both are told.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from typing import Any

Tables = dict[str, Any]
MISSING: Any = object()
"""Stands for a key that one side does not have."""

BY_ID = frozenset({"clocks", "slips", "marks"})
UNITED = frozenset({"log", "back"})
SUMMED = "by-hand-seconds"
BACKS_KEPT = 40


@dataclass(frozen=True)
class Conflict:
    """A key that both sides changed, each in its own way."""

    path: tuple[str, ...]
    first: Any
    second: Any

    def where(self) -> str:
        """Return the place in words: "values blade-length is"."""
        return " ".join(self.path)

    def says(self) -> str:
        """Return both values side by side, in words."""
        return f"{self.where()}: {shown(self.first)} against {shown(self.second)}"


def shown(value: Any) -> str:
    """Return a value of a file in words."""
    if value is MISSING:
        return "not there"
    if isinstance(value, datetime):
        return value.isoformat()
    return f"'{value}'" if isinstance(value, str) else str(value)


def together(
    base: Mapping[str, Any] | None, first: Mapping[str, Any], second: Mapping[str, Any]
) -> tuple[Tables, list[Conflict]]:
    """Return both sides in one, and what is in true conflict (there the first side's value stands).

    base: what both came from, as far as it is known. Without it a key that only one side has is kept,
    and any key in which they differ is a conflict.
    """
    first, second = _own_ids(base, first, second)
    conflicts: list[Conflict] = []
    made: Tables = _tables(MISSING if base is None else base, first, second, (), conflicts)
    return made, conflicts


def _tables(
    base: Any, one: Mapping[str, Any], two: Mapping[str, Any], path: tuple[str, ...], out: list[Conflict]
) -> Tables:
    known = isinstance(base, Mapping)
    made: Tables = {}
    for key in dict.fromkeys((*one, *two)):
        was = base.get(key, MISSING) if known else MISSING
        value = _value(was, one.get(key, MISSING), two.get(key, MISSING), (*path, key), out, known=known)
        if value is not MISSING:
            made[key] = value
    return made


def _value(base: Any, one: Any, two: Any, path: tuple[str, ...], out: list[Conflict], *, known: bool) -> Any:
    if same(one, two):
        return one
    key = path[-1]
    if key in UNITED and len(path) == 1:
        return _united(key, base, one, two)
    if known:
        if same(base, one):
            return two
        if same(base, two):
            return one
    if key in BY_ID and _listed(one) and _listed(two):
        return _by_id(base, one, two, path, out)
    if isinstance(one, Mapping) and isinstance(two, Mapping):
        return _tables(base if known else MISSING, one, two, path, out)
    if _words(one) and _words(two):
        return _words_of(base, one, two)
    if not known and (one is MISSING or two is MISSING):
        return two if one is MISSING else one
    if key == SUMMED and all(type(value) is int for value in (one, two)):
        return one + two - base if type(base) is int else max(one, two)
    out.append(Conflict(path, one, two))
    return two if one is MISSING else one


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


def _listed(value: Any) -> bool:
    return isinstance(value, list) and all(isinstance(one, Mapping) for one in value)


def _words(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(one, str) for one in value)


def _words_of(base: Any, one: list[str], two: list[str]) -> list[str]:
    """Return what either side has; a word that one side took away and that both had is gone."""
    had = set(base) if _words(base) else set()
    gone = had - set(one) | had - set(two)
    return [word for word in dict.fromkeys((*one, *two)) if word not in gone]


def _united(key: str, base: Any, one: Any, two: Any) -> list[Any]:
    """Return all entries of both lists, each as often as the side that has it oftenest, by time."""
    one, two = (value if isinstance(value, list) else [] for value in (one, two))
    spare: dict[str, int] = {}
    for entry in one:
        spare[mark(entry)] = spare.get(mark(entry), 0) + 1
    made = list(one)
    for entry in two:
        if spare.get(mark(entry), 0) > 0:
            spare[mark(entry)] -= 1
        else:
            made.append(entry)
    if key == "back":
        made = _ways_back(base, one, two, made)
    return sorted(made, key=_moment)  # stable: entries of one second stay as each side had them


def _ways_back(base: Any, one: list[Any], two: list[Any], made: list[Any]) -> list[Any]:
    """A way back that one side has used, or pushed out by newer ones, is no way back any more."""
    had = {mark(entry) for entry in base} if isinstance(base, list) else set()
    gone = had - {mark(entry) for entry in one} | had - {mark(entry) for entry in two}
    return [entry for entry in made if mark(entry) not in gone][-BACKS_KEPT:]


def _moment(entry: Any) -> datetime:
    at = entry.get("at") if isinstance(entry, Mapping) else None
    return at if isinstance(at, datetime) and at.tzinfo else datetime.min.replace(tzinfo=UTC)


def _ids(entries: Any) -> dict[str, Any]:
    return {str(one.get("id")): one for one in entries} if _listed(entries) else {}


def _by_id(
    base: Any, one: list[Any], two: list[Any], path: tuple[str, ...], out: list[Conflict]
) -> list[Any]:
    was, left, right = _ids(base), _ids(one), _ids(two)
    known = isinstance(base, list)
    made = []
    for key in dict.fromkeys((*left, *right)):
        value = _value(
            was.get(key, MISSING),
            left.get(key, MISSING),
            right.get(key, MISSING),
            (*path, key),
            out,
            known=known,
        )
        if value is not MISSING:
            made.append(value)
    return made


# -- clocks and slips that two laptops began under the same number


def _own_ids(
    base: Mapping[str, Any] | None, first: Mapping[str, Any], second: Mapping[str, Any]
) -> tuple[Mapping[str, Any], Mapping[str, Any]]:
    """Give the second side's clocks and slips numbers of their own where both began different ones."""
    for room, born in (("clocks", ("started", "clock", "step")), ("slips", ("at", "calculator"))):
        mine, theirs = _ids(first.get(room)), _ids(second.get(room))
        kept = _ids((base or {}).get(room))
        taken = {*mine, *theirs}
        renamed: dict[str, str] = {}
        for key in mine.keys() & theirs.keys():
            if key in kept or _birth(mine[key], born) == _birth(theirs[key], born):
                continue
            renamed[key] = _free(key, taken)
            taken.add(renamed[key])
        if renamed:
            second = _renamed(second, room, renamed)
    return first, second


def _birth(entry: Mapping[str, Any], keys: Iterable[str]) -> str:
    return mark([entry.get(key) for key in keys])


def _free(key: str, taken: set[str]) -> str:
    stem, dash, number = key.rpartition("-")
    start = int(number) if number.isdecimal() and len(number) < 9 else 1
    head = f"{stem}{dash}" if number.isdecimal() else f"{key}-"
    while f"{head}{start}" in taken:
        start += 1
    return f"{head}{start}"


def _renamed(side: Mapping[str, Any], room: str, names: Mapping[str, str]) -> Tables:
    def entries(found: Any) -> Any:
        if not _listed(found):
            return found
        return [{**one, "id": names.get(str(one.get("id")), one.get("id"))} for one in found]

    def back(one: Any) -> Any:
        if not isinstance(one, Mapping):
            return one
        made = dict(one)
        if isinstance(one.get("gone"), list):
            paths = {f"{room}/{old}": f"{room}/{new}" for old, new in names.items()}
            made["gone"] = [paths.get(name, name) if isinstance(name, str) else name for name in one["gone"]]
        if isinstance(one.get("was"), Mapping) and room in one["was"]:
            made["was"] = {**one["was"], room: entries(one["was"][room])}
        return made

    made = {**side, room: entries(side.get(room))}
    if isinstance(side.get("back"), list):
        made["back"] = [back(one) for one in side["back"]]
    return made


# -- what both came from


def unwound(side: Mapping[str, Any], other: Mapping[str, Any]) -> Tables:
    """Return a text as it was before the changes that the other does not have, from its own ways back."""
    made: Tables = {key: value for key, value in side.items() if key not in ("log", "back")}
    for room in ("steps", "values"):
        made[room] = dict(made.get(room) or {})
    ids = {room: _ids(made.get(room)) for room in ("clocks", "slips")}
    others = {mark(one) for one in other.get("back") or ()}
    backs = list(side.get("back") or ())
    while backs and mark(backs[-1]) not in others:
        last = backs.pop()
        for name in last.get("gone") or ():
            room, _, key = name.partition("/")
            (made[room] if room in ("steps", "values") else ids.get(room, {})).pop(key, None)
        for room, parts in (last.get("was") or {}).items():
            if room in ids:
                ids[room].update(_ids(parts))
            elif room in ("steps", "values"):
                made[room].update(parts)
    for room, entries in ids.items():
        made[room] = list(entries.values())
    logged = {mark(one) for one in other.get("log") or ()}
    made["log"] = [one for one in side.get("log") or () if mark(one) in logged]
    made["back"] = backs
    return made


def common(first: Mapping[str, Any], second: Mapping[str, Any]) -> Tables:
    """Return what two texts of one blade surely came from: where both ways back lead to the same."""
    return _agreed(unwound(first, second), unwound(second, first))


def _agreed(one: Mapping[str, Any], two: Mapping[str, Any]) -> Tables:
    made: Tables = {}
    for key in one.keys() & two.keys():
        if same(one[key], two[key]):
            made[key] = one[key]
        elif isinstance(one[key], Mapping) and isinstance(two[key], Mapping):
            made[key] = _agreed(one[key], two[key])
        elif key in BY_ID and _listed(one[key]) and _listed(two[key]):
            mine, theirs = _ids(one[key]), _ids(two[key])
            made[key] = [mine[name] for name in mine if name in theirs and same(mine[name], theirs[name])]
    return made


def lacks(text: Mapping[str, Any], ours: Mapping[str, Any]) -> bool:
    """Whether a file lacks changes that were saved: an older text was put over them.

    A line of the log that was only taken out by hand, or written anew (it keeps its moment), is no such
    thing: its way back is still there, and nothing else came instead.
    """
    log, mine = _entries(text, "log"), _entries(ours, "log")
    backs, my_backs = _entries(text, "back"), _entries(ours, "back")
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
    pushed_out = len(backs) >= BACKS_KEPT and all(_moment(one) >= _moment(mine[-1]) for one in backs)
    return not pushed_out


def _entries(text: Mapping[str, Any], key: str) -> list[Any]:
    found = text.get(key)
    return found if isinstance(found, list) else []


def _not_in(entries: list[Any], others: list[Any]) -> list[Any]:
    there = {mark(one) for one in others}
    return [one for one in entries if mark(one) not in there]


def _less_by_moment(entries: list[Any], others: list[Any]) -> list[Any]:
    """Return the entries that have no counterpart of the same moment among the others."""
    spare = [_moment(one) for one in others]
    left = []
    for one in entries:
        if _moment(one) in spare:
            spare.remove(_moment(one))
        else:
            left.append(one)
    return left
