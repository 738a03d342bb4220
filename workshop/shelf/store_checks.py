"""Checks of what may stand at a key of a store, to be put together to the shape of a whole store.

A key that is known to nobody is let be, unless it looks like one that is meant.
"""

from __future__ import annotations

import difflib
import math
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from workshop.shelf.table import Table

Counts = defaultdict[str, Iterator[int]]
"""Numbers the tables under each header over the whole file, to find their lines."""
Check = Callable[[Table, str, Counts], object]
LIKE_ONE_MEANT = 0.8
"""How like a known key (0 to 1) an unknown one is that was surely meant for it."""


@dataclass(frozen=True, slots=True)
class Key:
    """What stands at a key. needed: whether an entry makes no sense without it."""

    check: Check
    needed: bool = False


Shape = Mapping[str, Key]


def check_table(table: Table, shape: Shape, counts: Counts) -> None:
    """Check each key of a table; raises FileFault for the first that cannot be taken."""
    for key, what in shape.items():
        if what.needed or key in table.data:
            what.check(table, key, counts)
    for key in table.data.keys() - shape.keys():
        meant = difflib.get_close_matches(key, shape, n=1, cutoff=LIKE_ONE_MEANT)
        if meant and meant[0] not in table.data:
            raise table.fault(key, "is not a key of this table", f"'{meant[0]}'")


# -- what may stand at a key


def a_text(table: Table, key: str, _: Counts) -> object:
    """Check a text."""
    return table.text(key)


def any_text(table: Table, key: str, _: Counts) -> object:
    """Check a text that may be empty."""
    return table.text(key, "")


def texts(table: Table, key: str, _: Counts) -> object:
    """Check a list of texts."""
    return table.texts(key)


def anything(_table: Table, _key: str, _: Counts) -> object:
    """Take what stands there: something else checks it."""
    return None


def one_of(*options: str) -> Check:
    """Return the check of a text that is one of a few."""
    return lambda table, key, _: table.one_of(key, options)


def number(least: float, most: float) -> Check:
    """Return the check of a number between two bounds."""
    return lambda table, key, _: table.figure(key, least, most)


def measured(kind: str) -> Check:
    """Return the check of a measurement with its unit, as a text."""
    return lambda table, key, _: table.si(key, kind)


def numbers(least: float, most: float, fewest: int, largest: int) -> Check:
    """Return the check of a list of numbers, or of one number where one is enough."""
    right = f"{fewest} to {largest} numbers from {least:g} to {most:g}"

    def check(table: Table, key: str, _: Counts) -> None:
        value = table.data.get(key)
        found = value if isinstance(value, list) else [value] if fewest == 1 else []
        if not fewest <= len(found) <= largest or not all(_is_number(one, least, most) for one in found):
            raise table.fault(key, "cannot be taken", right)

    return check


def rows(least: float, most: float, widths: range) -> Check:
    """Return the check of a list of rows of numbers."""
    right = f"rows of {widths.start} to {widths.stop - 1} numbers, such as [[200, 60, 61], [230, 58, 59]]"

    def check(table: Table, key: str, _: Counts) -> None:
        found = table.data.get(key)
        if not isinstance(found, list) or not found or not all(map(row, found)):
            raise table.fault(key, "cannot be taken", right)

    def row(one: Any) -> bool:
        return isinstance(one, list) and len(one) in widths and all(_is_number(x, least, most) for x in one)

    return check


def _is_number(value: Any, least: float, most: float) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool) and least <= value <= most


def ordered(check: Check) -> Check:
    """Return a check of a pair that also asks the first not to be more than the last."""

    def both(table: Table, key: str, counts: Counts) -> None:
        check(table, key, counts)
        value = table.data[key]
        if isinstance(value, list) and value[0] > value[-1]:
            raise table.fault(key, "has the larger number first", "the smaller one first: [0.8, 0.93]")

    return both


def noted(least: float, most: float, words: Shape) -> Check:
    """Return the check of a number above `least`, or of { value, source, standing }."""
    above = number(math.nextafter(least, most), most)

    def check(table: Table, key: str, counts: Counts) -> None:
        if isinstance(table.data.get(key), Mapping):
            check_table(table.table(key), {"value": Key(above, True), **words}, counts)
        else:
            above(table, key, counts)

    return check


def of_each(one: Check) -> Check:
    """Return the check of a table whose keys are free: names of sources, elements, drills."""

    def check(table: Table, key: str, counts: Counts) -> None:
        inner = table.table(key)
        for name in inner.data:
            one(inner, name, counts)

    return check


def a_table(shape: Shape) -> Check:
    """Return the check of a table inside this one."""
    return lambda table, key, counts: check_table(table.table(key), shape, counts)


def entries(shape: Shape) -> Check:
    """Return the check of a list of tables, at least one, each id of its own where they have ids."""

    def check(table: Table, key: str, counts: Counts) -> None:
        if not table.data.get(key):
            raise table.fault(key, "missing or empty", f"a list of tables, each under [[{key}]]")
        header = f"{table.header}.{key}" if table.header else key
        seen: set[str] = set()
        for one in table.tables(key, counts[header]):
            check_table(one, shape, counts)
            name = one.data.get("id")
            if isinstance(name, str) and name in seen:
                raise one.fault("id", f"'{name}' stands twice", "an id of its own for each entry")
            seen |= {name} if isinstance(name, str) else set()

    return check


def sizes(table: Table, key: str, counts: Counts) -> None:
    """Check the sizes of a series of drills: by name, or a list."""
    if isinstance(table.data.get(key), Mapping):
        of_each(a_text)(table, key, counts)
    else:
        table.texts(key)
