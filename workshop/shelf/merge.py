"""Putting two texts of one blade together, key by key: nothing is dropped, a true conflict is named.

Works on the plain tables of the files. Lists whose entries have a name of their own (log, clocks,
slips, marks) are united; a key that both sides changed differently is a conflict: the first side's
value stands in the result, both are told.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from workshop.shelf.alike import MISSING, Tables, ids, listed, mark, moment, same
from workshop.shelf.came_from import BACKS_KEPT
from workshop.shelf.own_numbers import own_numbers

BY_ID = frozenset({"clocks", "slips", "runs", "marks"})
UNITED = frozenset({"log", "back"})
WORDS = frozenset({"checked", "true", "minds"})
"""Lists of words that are sets: what either side has is there."""
SUMMED = "by-hand-seconds"
FIRST_OF_BOTH = frozenset({"ended", "answered"})
"""Ended or answered on both sides, it was so from the earlier moment on."""
STANDS = ("state", "started", "finished", "since", "why")
"""Where a step stands: what belongs together, so that half of each side makes no step that never was."""


@dataclass(frozen=True)
class Conflict:
    """A key that both sides changed, each in its own way.

    also: other keys of the same table that go with it to the one side or the other, by name, as on each.
    """

    path: tuple[str, ...]
    first: Any
    second: Any
    also: Mapping[str, tuple[Any, Any]] = field(default_factory=dict)

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
    if isinstance(value, Mapping) and "is" in value:
        return shown(value["is"])
    return f"'{value}'" if isinstance(value, str) else str(value)


def together(
    base: Mapping[str, Any] | None, first: Mapping[str, Any], second: Mapping[str, Any]
) -> tuple[Tables, list[Conflict]]:
    """Return both sides in one, and what is in true conflict (there the first side's value stands).

    base: what both came from, as far as it is known. Without it a key that only one side has is kept,
    and any key in which they differ is a conflict.
    """
    base, second = own_numbers(base, first, second)
    conflicts: list[Conflict] = []
    made: Tables = _tables(MISSING if base is None else base, first, second, (), conflicts)
    return made, conflicts


def _tables(
    base: Any, one: Mapping[str, Any], two: Mapping[str, Any], path: tuple[str, ...], out: list[Conflict]
) -> Tables:
    known = isinstance(base, Mapping)
    made: Tables = {}
    derived = _derived(path, one, two)
    for key in dict.fromkeys((*one, *two)):
        was = base.get(key, MISSING) if known else MISSING
        mine, theirs = one.get(key, MISSING), two.get(key, MISSING)
        value = _value(was, mine, theirs, (*path, key), [] if key in derived else out, known=known)
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
    if key in BY_ID and listed(one) and listed(two):
        return _by_id(base, one, two, path, out)
    if isinstance(one, Mapping) and isinstance(two, Mapping):
        if len(path) == 2 and path[0] == "values":
            return _measured(one, two, path, out)
        if len(path) == 2 and path[0] == "steps":
            return _step(base if known else MISSING, one, two, path, out)
        return _tables(base if known else MISSING, one, two, path, out)
    if key in WORDS and _words(one) and _words(two):
        return _words_of(base, one, two)
    if not known and (one is MISSING or two is MISSING):
        return two if one is MISSING else one
    if key == SUMMED and all(type(value) is int for value in (one, two)):
        return one + two - base if type(base) is int else max(one, two)
    if key in FIRST_OF_BOTH and isinstance(one, datetime) and isinstance(two, datetime):
        return min(one, two)
    out.append(Conflict(path, one, two))
    return two if one is MISSING else one


def _measured(
    one: Mapping[str, Any], two: Mapping[str, Any], path: tuple[str, ...], out: list[Conflict]
) -> Mapping[str, Any]:
    """Return a measurement whole, as one side has it: number, drill's name and reason go together."""
    told = [{key: side[key] for key in side if key not in ("at", "step")} for side in (one, two)]
    if same(*told):
        return max(one, two, key=moment)
    out.append(Conflict(path, one, two))
    return one


def _step(
    base: Any, one: Mapping[str, Any], two: Mapping[str, Any], path: tuple[str, ...], out: list[Conflict]
) -> Tables:
    """Return a step: where it stands as one side has it, the rest key by key."""

    def split(side: Any) -> tuple[Any, Any]:
        if not isinstance(side, Mapping):
            return MISSING, MISSING
        stands = {key: value for key, value in side.items() if key in STANDS}
        return stands, {key: value for key, value in side.items() if key not in STANDS}

    (was, of_base), (mine, of_one), (theirs, of_two) = split(base), split(one), split(two)
    return {**_stand(was, mine, theirs, path, out), **_tables(of_base, of_one, of_two, path, out)}


def _stand(base: Any, one: Tables, two: Tables, path: tuple[str, ...], out: list[Conflict]) -> Tables:
    """Return where a step stands: as the side that changed it has it, or the first, the other being told."""
    unchanged = {} if base is MISSING else base
    if same(one, two) or same(unchanged, two):
        return one
    if same(unchanged, one):
        return two
    main = "state" if one.get("state") != two.get("state") else "why"
    if one.get(main) == two.get(main):
        return {**two, **one, **_moments(one, two)}
    sides = {key: (one.get(key, MISSING), two.get(key, MISSING)) for key in STANDS}
    first, second = sides.pop(main)
    out.append(Conflict((*path, main), first, second, sides))
    return one


def _moments(one: Tables, two: Tables) -> Tables:
    """Return the span of a step that both sides have begun or finished."""
    made: Tables = {}
    for key, pick in (("started", min), ("finished", max), ("since", max)):
        both = [side[key] for side in (one, two) if isinstance(side.get(key), datetime)]
        if both:
            made[key] = pick(both)
    return made


def _derived(path: tuple[str, ...], one: Mapping[str, Any], two: Mapping[str, Any]) -> frozenset[str]:
    """Return the keys of a curing clock that are worked out anew from the air: no change of a maker's."""
    if path[:1] != ("clocks",):
        return frozenset()
    if len(path) == 4 and path[2] == "marks" and all("age-opens-seconds" in side for side in (one, two)):
        return frozenset({"opens", "shuts"})
    cures = len(path) == 2 and all("rule" in side for side in (one, two))
    return frozenset({"pace", "caution"}) if cures else frozenset()


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
    return sorted(made, key=moment)  # stable: entries of one second stay as each side had them


def _ways_back(base: Any, one: list[Any], two: list[Any], made: list[Any]) -> list[Any]:
    """A way back that one side has used, or pushed out by newer ones, is no way back any more."""
    had = {mark(entry) for entry in base} if isinstance(base, list) else set()
    gone = had - {mark(entry) for entry in one} | had - {mark(entry) for entry in two}
    return [entry for entry in made if mark(entry) not in gone][-BACKS_KEPT:]


def _by_id(
    base: Any, one: list[Any], two: list[Any], path: tuple[str, ...], out: list[Conflict]
) -> list[Any]:
    was, left, right = ids(base), ids(one), ids(two)
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
