"""What two texts of one blade came from, by the ways back in them; and whether one lacks what another has."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from workshop.shelf.alike import MISSING, Tables, ids, listed, mark, moment, same
from workshop.shelf.own_numbers import own_numbers

BACKS_KEPT = 40
TABLES, LISTS = ("steps", "values"), ("clocks", "slips", "runs")
"""The rooms of a blade's file whose parts have a key, and those whose parts have an id."""


def unwound(side: Mapping[str, Any], other: Mapping[str, Any]) -> Tables:
    """Return a text as it was before the changes that the other does not have, from its own ways back.

    A part that a later change touched, one which the other has as well, stays as that left it.
    """
    made: Tables = {key: value for key, value in side.items() if key not in ("log", "back")}
    rooms: dict[str, Tables] = {room: _table(made, room) for room in TABLES}
    rooms |= {room: ids(made.get(room)) for room in LISTS}
    had = {mark(one) for one in (*_entries(other, "back"), *taken_back(side, other))}
    backs: list[Any] = []
    later: set[str] = set()
    for back in reversed(_entries(side, "back")):
        if mark(back) in had:
            backs.insert(0, back)
            later |= _parts(back).keys()
            continue
        for name, was in _parts(back).items():
            if name not in later:
                _set(rooms, name, was)
    made |= {room: rooms[room] if room in TABLES else list(rooms[room].values()) for room in rooms}
    logged = {mark(one) for one in _entries(other, "log")}
    made["log"] = [one for one in _entries(side, "log") if mark(one) in logged]
    made["back"] = backs
    return {
        key: value for key, value in made.items() if value not in ({}, [])
    }  # as a file that never had them


def taken_back(side: Mapping[str, Any], other: Mapping[str, Any]) -> list[Any]:
    """Return the ways back in one text that the other has used: both had the change, and one undid it.

    A change that has a line in the log was in both if both have that line. A tick has none: it counts as
    taken back, since a check that is asked for once more does no harm.
    """
    there = {mark(one) for one in _entries(other, "back")}
    lines, theirs = ({_line(one) for one in _entries(text, "log")} for text in (side, other))
    logged = {mark(one) for one in _entries(side, "log")}
    undone = [
        one.get("says")
        for one in _entries(other, "log")
        if isinstance(one, Mapping) and one.get("did") == "take back" and mark(one) not in logged
    ]
    found = []
    for back in reversed(_entries(side, "back")):
        says = f"Taken back: {back.get('says')}" if isinstance(back, Mapping) else ""
        both = _line(back) in theirs or _line(back) not in lines
        if mark(back) not in there and both and says in undone:
            undone.remove(says)
            found.append(back)
    return found


def _line(entry: Any) -> str:
    """Return what a way back and its line in the log have in common: when, and what in words."""
    return mark([moment(entry), entry.get("says") if isinstance(entry, Mapping) else None])


def _parts(back: Any) -> dict[str, Any]:
    """Return what a change touched, by "room/key", as it was before; MISSING for what was not there."""
    found: dict[str, Any] = dict.fromkeys(map(str, _entries(back, "gone")), MISSING)
    for room, parts in _table(back, "was").items():
        keyed = parts if room in TABLES and isinstance(parts, Mapping) else ids(parts)
        found |= {f"{room}/{key}": part for key, part in keyed.items()}
    return found


def _set(rooms: dict[str, Tables], name: str, part: Any) -> None:
    room, _, key = name.partition("/")
    if room in rooms and part is MISSING:
        rooms[room].pop(key, None)
    elif room in rooms:
        rooms[room][key] = part


def common(first: Mapping[str, Any], second: Mapping[str, Any]) -> Tables:
    """Return what two texts of one blade surely came from: where both ways back lead to the same.

    What one of them took back was there: as the other still has it.
    """
    second = own_numbers(None, first, second)[1]
    sides = (unwound(first, second), unwound(second, first))
    made = _agreed(*sides)
    shared = {mark(one) for one in _entries(first, "back")} & {mark(one) for one in _entries(second, "back")}
    backs = [one for one in _entries(first, "back") if mark(one) in shared]
    for side, other, was in ((first, second, sides[0]), (second, first, sides[1])):
        undone = taken_back(side, other)
        backs += undone
        for name in {name for back in undone for name in _parts(back)}:
            room, _, key = name.partition("/")
            if room in TABLES and key in _table(was, room):
                made[room] = {**_table(made, room), key: _table(was, room)[key]}
            elif room in LISTS and key in ids(was.get(room)):
                made[room] = list({**ids(made.get(room)), key: ids(was[room])[key]}.values())
    return {**made, "back": backs}


def _agreed(one: Mapping[str, Any], two: Mapping[str, Any]) -> Tables:
    made: Tables = {}
    for key in one.keys() & two.keys():
        if same(one[key], two[key]):
            made[key] = one[key]
        elif isinstance(one[key], Mapping) and isinstance(two[key], Mapping):
            made[key] = _agreed(one[key], two[key])
        elif key in (*LISTS, "marks") and listed(one[key]) and listed(two[key]):
            mine, theirs = ids(one[key]), ids(two[key])
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
    gone = _less_bymoment(_not_in(mine, log), added)
    more = _less_bymoment(added, _not_in(mine, log))
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


def _entries(text: Any, key: str) -> list[Any]:
    """Return a list of a text, to be changed; an empty one for anything else that stands there."""
    found = text.get(key) if isinstance(text, Mapping) else None
    return list(found) if isinstance(found, list) else []


def _table(text: Any, key: str) -> Tables:
    """Return a table of a text, to be changed; an empty one for anything else that stands there."""
    found = text.get(key) if isinstance(text, Mapping) else None
    return dict(found) if isinstance(found, Mapping) else {}


def _not_in(entries: list[Any], others: list[Any]) -> list[Any]:
    there = {mark(one) for one in others}
    return [one for one in entries if mark(one) not in there]


def _less_bymoment(entries: list[Any], others: list[Any]) -> list[Any]:
    """Return the entries that have no counterpart of the same moment among the others."""
    spare = [moment(one) for one in others]
    left = []
    for one in entries:
        if moment(one) in spare:
            spare.remove(moment(one))
        else:
            left.append(one)
    return left
