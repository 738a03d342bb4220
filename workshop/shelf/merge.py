"""Putting two texts of one blade together, key by key: nothing is dropped, a true conflict is named.

Works on the plain tables of the files. Lists whose entries have a name of their own (log, clocks,
slips, runs, marks) are united; what both sides changed differently is a conflict: the first side's
value stands in the result, both are told. For one part (a value, a step, a clock) one conflict is told,
the one that the maker made; the rest of that part stands with it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from workshop.build.ledger import BACKS_KEPT
from workshop.shelf import origin
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
from workshop.shelf.own_numbers import own_numbers

Path = tuple[str, ...]
UNITED = frozenset({"log", "back"})
SUMMED = "by-hand-seconds"
WORDS = {"steps": ("checked", "true"), "clocks": ("minds",)}
"""Lists that are sets of words by their meaning. Any other list is one value: a pair, a row of lines."""

PARTS = ("values", "steps", "clocks", "slips", "runs")
LEADS = ("is", "state", "why", "found", "given", "moves", "note")
"""What the maker changed, first things first; the rest of a part follows from it."""

OWN = {
    "steps": (*WORDS["steps"], SUMMED),
    "clocks": (*WORDS["clocks"], "pressed", "answered", "ended"),
    "runs": ("ended",),
}
"""Keys that are put together on their own, whichever side the rest of their part is taken from."""

EARLIER, LATER = ("started", "ended", "answered"), ("finished", "since", "at")


@dataclass(frozen=True)
class Conflict:
    """What both sides changed, each in its own way.

    rest: the other places of the same part, each with the first's and the second's value: they follow the
    side that is taken.
    """

    path: Path
    first: Any
    second: Any
    rest: tuple[tuple[Path, Any, Any], ...] = ()

    def where(self) -> str:
        """Return the place in words: "values blade-length is"."""
        return " ".join(self.path)

    def says(self) -> str:
        """Return both values side by side, in words."""
        return f"{self.where()}: {shown(self.first)} against {shown(self.second)}"

    def places(self, side: str) -> Iterator[tuple[Path, Any]]:
        """Yield each place and its value on the "first" or the "second" side."""
        for path, first, second in ((self.path, self.first, self.second), *self.rest):
            yield path, first if side == "first" else second


def shown(value: Any) -> str:
    """Return a value of a file in words."""
    if value is MISSING:
        return "not there"
    if isinstance(value, Mapping):  # a whole part: by what the maker would know it
        return shown(
            next((value[key] for key in (*LEADS, "title", "says", "calculator") if key in value), "there")
        )
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
    base, second = own_numbers(base, first, second)
    joining = _Joining(sums=not (_within(base, first, second) or _within(base, second, first)))
    made = joining.tables(MISSING if base is None else base, first, second, ())
    for key in (*PARTS, *UNITED):
        if not made.get(key) and first.get(key) != made.get(key):  # an empty room is none
            made.pop(key, None)
    return made, joining.conflicts


def common(first: Mapping[str, Any], second: Mapping[str, Any]) -> Tables:
    """Return what two texts of one blade surely came from: where both ways back lead to the same.

    Clocks, slips and runs go by the numbers they get when both are put together.
    """
    return origin.common(first, own_numbers(None, first, second)[1])


def put(tables: Any, path: Path, value: Any) -> None:
    """Put a value at a place of a file's tables; MISSING takes away what is there."""
    for part in path[:-1]:
        if isinstance(tables, list):
            tables = next(one for one in tables if str(one.get("id")) == part)
        else:
            tables = tables[part]
    last = path[-1]
    if isinstance(tables, list):
        place = next((n for n, one in enumerate(tables) if str(one.get("id")) == last), len(tables))
        tables[place : place + 1] = [] if value is MISSING else [value]
    elif value is MISSING:
        tables.pop(last, None)
    else:
        tables[last] = value


def _within(base: Any, less: Mapping[str, Any], more: Mapping[str, Any]) -> bool:
    """Whether all that was done in one text is in the other too: it was put together with it before."""
    had = base if isinstance(base, Mapping) else {}
    done = [
        {known_by(one) for key in ("log", "back") for one in entries(text, key)} for text in (had, less, more)
    ]
    own = done[1] - done[0]
    return bool(own) and own <= done[2]


class _Joining:
    """One putting together. sums: whether times by hand add up: neither side has those of the other yet."""

    def __init__(self, *, sums: bool) -> None:
        self.sums = sums
        self.conflicts: list[Conflict] = []

    def tables(self, base: Any, one: Mapping[str, Any], two: Mapping[str, Any], path: Path) -> Tables:
        known = isinstance(base, Mapping)
        made: Tables = {}
        for key in dict.fromkeys((*one, *two)):
            was = base.get(key, MISSING) if known else MISSING
            sides = (one.get(key, MISSING), two.get(key, MISSING))
            value = self.value(was, *sides, (*path, key), known=known)
            if value is not MISSING:
                made[key] = value
        return made

    def value(self, base: Any, one: Any, two: Any, path: Path, *, known: bool) -> Any:
        if alike(one, two):
            return one
        key = path[-1]
        if key in UNITED and len(path) == 1:
            return _united(key, base, one, two)
        if known and alike(base, one):
            return two
        if known and alike(base, two):
            return one
        if path[0] in PARTS and len(path) == 3:
            found = self._own_value(base, one, two, path[0], key)
            if found is not None:
                return found
        if key in BY_ID and listed(one) and listed(two):
            return self._by_id(base, one, two, path)
        if isinstance(one, Mapping) and isinstance(two, Mapping):
            if path[0] in PARTS and len(path) == 2:
                return self._part(base if known else MISSING, one, two, path)
            return self.tables(base if known else MISSING, one, two, path)
        if not known and (one is MISSING or two is MISSING):
            return two if one is MISSING else one
        self.conflicts.append(Conflict(path, one, two))
        return two if one is MISSING else one

    def _own_value(self, base: Any, one: Any, two: Any, room: str, key: str) -> Any:
        """Return what a key comes to whose two values can always be put together, or None."""
        if key in WORDS.get(room, ()) and all(value is MISSING or _words(value) for value in (one, two)):
            return _words_of(base, one, two)
        if room == "clocks" and key == "pressed" and listed(one) and listed(two):
            return _united(key, base, one, two)
        if room == "steps" and key == SUMMED and all(type(value) is int for value in (one, two)):
            return one + two - base if self.sums and type(base) is int else max(one, two)
        return None

    def _by_id(self, base: Any, one: list[Any], two: list[Any], path: Path) -> list[Any]:
        was, left, right = ids(base), ids(one), ids(two)
        made = []
        for key in dict.fromkeys((*left, *right)):
            sides = (left.get(key, MISSING), right.get(key, MISSING))
            value = self.value(was.get(key, MISSING), *sides, (*path, key), known=isinstance(base, list))
            if value is not MISSING:
                made.append(value)
        return made

    def _part(self, base: Any, one: Mapping[str, Any], two: Mapping[str, Any], path: Path) -> Tables:
        """Return one part of both; what the maker changed on both sides is one conflict, the rest follows."""
        inner = _Joining(sums=self.sums)
        made = inner.tables(base, one, two, path)
        newer = one if moment(one) >= moment(two) else two
        left, settled = [], []
        for each in inner.conflicts:
            value = _bookkept(each, path[0], newer)
            left.append(each) if value is None else settled.append((each.path, value))
        lead = min(left, key=_rank, default=None)
        if lead is None:
            for place, value in settled:
                put(made, place[2:], value)
            return made
        rest = tuple(each for each in _leaves(one, two, path) if each[0] != lead.path)
        self.conflicts.append(Conflict(lead.path, lead.first, lead.second, rest))
        for place, first, second in rest:
            put(made, place[2:], second if lead.first is MISSING else first)
        for place, value in settled:
            if place[-1] in OWN.get(path[0], ()):
                put(made, place[2:], value)
        return made


def _rank(conflict: Conflict) -> int:
    key = conflict.path[-1]
    return LEADS.index(key) if key in LEADS else len(LEADS)


def _bookkept(conflict: Conflict, room: str, newer: Mapping[str, Any]) -> Any:
    """Return what stands where the program alone wrote on both sides when a thing was done, or None.

    Both say the same was done, so there is nothing for the maker to say: it was begun or answered at the
    earlier moment and finished at the later one. A value stands as it was written down last.
    """
    key, sides = conflict.path[-1], (conflict.first, conflict.second)
    if room == "slips":
        return None
    if room == "values" and key in ("at", "step"):
        return newer.get(key, MISSING)
    if key in (*EARLIER, *LATER):
        there = [one for one in sides if isinstance(one, datetime) and one.tzinfo]
        if there and all(one is MISSING or one in there for one in sides):
            return min(there) if key in EARLIER else max(there)
    if room == "steps" and key == "rounds" and all(type(one) is int for one in sides):
        return max(sides)
    return None


def _leaves(one: Any, two: Any, path: Path) -> Iterator[tuple[Path, Any, Any]]:
    """Yield each place in which the two sides of a part differ, but for keys put together on their own."""
    if alike(one, two) or path[-1] in OWN.get(path[0], ()):
        return
    if path[-1] in BY_ID and listed(one) and listed(two):
        one, two = ids(one), ids(two)
    if isinstance(one, Mapping) and isinstance(two, Mapping):
        for key in dict.fromkeys((*one, *two)):
            yield from _leaves(one.get(key, MISSING), two.get(key, MISSING), (*path, key))
    else:
        yield path, one, two


def _words(value: Any) -> bool:
    return isinstance(value, list) and all(isinstance(one, str) for one in value)


def _words_of(base: Any, one: Any, two: Any) -> Any:
    """Return what either side has; a word that one side took away and that both had is gone."""
    one, two, had = (value if _words(value) else [] for value in (one, two, base))
    gone = set(had) - set(one) | set(had) - set(two)
    return [word for word in dict.fromkeys((*one, *two)) if word not in gone] or MISSING


def _united(key: str, base: Any, one: Any, two: Any) -> list[Any]:
    """Return all entries of both lists, each as often as the side that has it oftenest, by time."""
    one, two = (value if isinstance(value, list) else [] for value in (one, two))
    spare: dict[str, int] = {}
    for entry in one:
        spare[known_by(entry)] = spare.get(known_by(entry), 0) + 1
    made = list(one)
    for entry in two:
        if spare.get(known_by(entry), 0) > 0:
            spare[known_by(entry)] -= 1
        else:
            made.append(entry)
    made.sort(key=moment)  # stable: entries of one second stay as each side had them
    return _ways_back(base, one, two, made) if key == "back" else made


def _ways_back(base: Any, one: list[Any], two: list[Any], made: list[Any]) -> list[Any]:
    """A way back that one side has used, or pushed out by newer ones, is no way back any more."""
    had = {known_by(entry) for entry in base} if isinstance(base, list) else set()
    gone = had - {known_by(entry) for entry in one} | had - {known_by(entry) for entry in two}
    return [entry for entry in made if known_by(entry) not in gone][-BACKS_KEPT:]
