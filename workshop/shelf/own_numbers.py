"""Clocks, slips and runs that two laptops began under one number: each keeps a number of its own."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from workshop.shelf.entries import Tables, ids, listed, mark


def own_numbers(
    base: Mapping[str, Any] | None, first: Mapping[str, Any], second: Mapping[str, Any]
) -> tuple[Mapping[str, Any] | None, Mapping[str, Any]]:
    """Return base and second with the first side's numbers for the same clocks, slips and runs.

    What the first side has not gets a number of its own where its number is another's there.
    """
    for room, born in BORN.items():
        mine = ids(first.get(room))
        second = _renamed(second, room, _numbers(mine, ids(second.get(room)), born))
        if base is not None:
            both = {**ids(second.get(room)), **mine}
            base = _renamed(base, room, _numbers(both, ids(base.get(room)), born))
    return base, second


def _numbers(mine: Tables, theirs: Tables, born: Callable[[Mapping[str, Any]], str]) -> dict[str, str]:
    """Return the numbers that entries of theirs get: that of the same entry of mine, or a free one."""
    known: dict[str, list[str]] = {}
    for key, one in mine.items():
        known.setdefault(born(one), []).append(key)
    names = {key: known[born(one)].pop(0) for key, one in theirs.items() if known.get(born(one))}
    taken = {*mine, *theirs}
    for key in sorted(theirs.keys() - names.keys()):
        if key in mine or key in names.values():
            names[key] = _free(key, taken)
            taken.add(names[key])
    return {key: name for key, name in names.items() if key != name}


def _born(*keys: str) -> Callable[[Mapping[str, Any]], str]:
    return lambda entry: mark([entry.get(key) for key in keys])


BORN: Mapping[str, Callable[[Mapping[str, Any]], str]] = {
    "clocks": _born("started", "clock", "step"),
    "slips": _born("at", "calculator"),
    "runs": _born("started", "step"),
}
"""By list, what tells one entry from another of the same number."""


def _free(key: str, taken: set[str]) -> str:
    stem, dash, number = key.rpartition("-")
    start = int(number) if number.isdecimal() and len(number) < 9 else 1
    head = f"{stem}{dash}" if number.isdecimal() else f"{key}-"
    while f"{head}{start}" in taken:
        start += 1
    return f"{head}{start}"


def _renamed(side: Mapping[str, Any], room: str, names: Mapping[str, str]) -> Mapping[str, Any]:
    if not names:
        return side

    def entries(found: Any) -> Any:
        if not listed(found):
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
    if room == "clocks" and listed(side.get("runs")):  # a run says with which clock it began
        made["runs"] = [
            {**one, "clock": names.get(str(one.get("clock")), one.get("clock"))} if "clock" in one else one
            for one in side["runs"]
        ]
    if isinstance(side.get("back"), list):
        made["back"] = [back(one) for one in side["back"]]
    return made
