"""Saving over a text that a maker laid out by hand: comments stay where they are, and keys in their order.

The text is changed only where the data changed, block by block and line by line. (The library at hand ties a
comment to the table above it, so that an entry taken out or put in would leave the comment at another one.)
"""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import tomli_w

from workshop.shelf.entries import MISSING, mark, same
from workshop.shelf.gate import comments
from workshop.shelf.toml_pieces import (
    Block,
    Item,
    Names,
    Place,
    elements,
    key_text,
    taken_apart,
    value_of,
    written,
)

BOM = b"\xef\xbb\xbf"


def laid_over(raw: bytes, new: bytes) -> bytes:
    """Return the old text with the data of the new one; comments, order, line ends and what is the same stay.

    What cannot be laid over without loss is written anew. A comment whose place is gone, because what it
    stood at has gone, stands on top.
    """
    text, ends = _plain(raw)
    made = _laid(text, new.decode())
    return (BOM if raw.startswith(BOM) else b"") + made.replace("\n", ends).encode()


def is_by_hand(raw: bytes, ours: bytes) -> bool:
    """Whether a text has comments, keys or line ends other than the program's own writing of it has."""
    text, ends = _plain(raw)
    if ends != "\n" or raw.startswith(BOM) or comments(text) != comments(ours.decode()):
        return True
    return bool(_order(tomllib.loads(text)) != _order(tomllib.loads(ours.decode())))


def _plain(raw: bytes) -> tuple[str, str]:
    """Return a text with plain line ends, and the line ends that it has throughout."""
    text = raw.removeprefix(BOM).decode()
    plain = text.replace("\r\n", "\n")
    return plain, "\r\n" if text.count("\n") == text.count("\r\n") > 0 else "\n"


def _order(value: Any) -> Any:
    if isinstance(value, Mapping):
        return [(key, _order(one)) for key, one in value.items()]
    if isinstance(value, list):
        return [_order(one) for one in value]
    return None


def _laid(text: str, new: str) -> str:
    wanted = tomllib.loads(new)
    try:
        blocks = taken_apart(text)
        places = _Places(blocks).of(tomllib.loads(text), wanted)
        for in_order in (_in_their_order(places), places):
            made = "".join(one.text for one in in_order)
            if _says(made, wanted):
                return _with_all(comments(text), made)
    except (ValueError, KeyError, RecursionError):  # a layout that is not understood
        pass
    return _with_all(comments(text), new)


def _says(text: str, wanted: Mapping[str, Any]) -> bool:
    try:
        return same(tomllib.loads(text), wanted)
    except tomllib.TOMLDecodeError:
        return False


def _with_all(had: list[str], made: str) -> str:
    """Return a text with each comment there was: those that are missing gathered on top."""
    left = Counter(comments(made))
    missing = []
    for comment in had:
        if left[comment] > 0:
            left[comment] -= 1
        else:
            missing.append(comment)
    return "\n".join([*missing, made])


# -- which block of the old text becomes which of the new one


@dataclass
class _Placed:
    """A block of the result. number: of the old block that it was, None for a new one."""

    text: str
    number: int | None


class _Places:
    """Finds for each table that is wanted the block it stood in."""

    def __init__(self, blocks: list[Block]) -> None:
        self._blocks = {one.place: (number, one) for number, one in enumerate(blocks)}
        self._found: list[_Placed] = []

    def of(self, old: Mapping[str, Any], wanted: Mapping[str, Any]) -> list[_Placed]:
        """Return the blocks of the result in the order of the data."""
        self._table((), (), old, wanted)
        return self._found

    def _table(
        self, was: Place | None, names: Names, old: Any, new: Mapping[str, Any], listed: bool = False
    ) -> None:
        """Place a table and those below it. was: where it stood, None for a new one."""
        number, block = self._blocks.get(was, (None, None)) if was is not None else (None, None)
        own = {item.names[0] for item in block.items if item.names} if block else set()
        below = {key for key, value in new.items() if key not in own and _is_below(value)}
        flat = {key: value for key, value in new.items() if key not in below}
        if block is not None:
            self._found.append(_Placed(_changed(block, flat), number))
        elif flat or listed or not below:
            self._found.append(_Placed(_made(names, flat, listed), None))
        for key in (one for one in new if one in below):
            value, before = new[key], old.get(key) if isinstance(old, Mapping) else None
            inner = None if was is None else (*was, key)
            if isinstance(value, Mapping):
                self._table(inner, (*names, key), before, value)
                continue
            entries: list[Any] = before if isinstance(before, list) and _listed(before) else []
            for one, place in zip(value, _paired(entries, value), strict=True):
                stood = None if inner is None or place is None else (*inner, place)
                self._table(stood, (*names, key), None if place is None else entries[place], one, True)


def _is_below(value: Any) -> bool:
    """Whether a value stands in a block of its own."""
    return isinstance(value, Mapping) or _listed(value)


def _listed(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(one, Mapping) for one in value)


def _made(names: Names, flat: Mapping[str, Any], listed: bool) -> str:
    head = ".".join(map(key_text, names))
    header = (f"[[{head}]]\n" if listed else f"[{head}]\n") if names else ""
    return f"{header}{tomli_w.dumps(flat)}\n"


def _paired(old: list[Any], new: list[Any]) -> list[int | None]:
    """Return for each entry of a list which of the old ones it was: the same, else the one of its name."""
    found: list[int | None] = [None] * len(new)
    left = dict(enumerate(old))
    for told in (mark, _name):
        spare: dict[str, list[int]] = {}
        for number, entry in left.items():
            spare.setdefault(told(entry), []).append(number)
        for number, entry in enumerate(new):
            if found[number] is None and spare.get(told(entry)):
                found[number] = stood = spare[told(entry)].pop(0)
                del left[stood]
    return found


def _name(entry: Mapping[str, Any]) -> str:
    """Return what an entry is called: by its number or what it is of, as a line of the log by its moment."""
    key = next((key for key in ("id", "of") if key in entry), None)
    return mark([key, entry[key]] if key else [None, entry.get("at"), entry.get("did")])


def _in_their_order(places: list[_Placed]) -> list[_Placed]:
    """Return the blocks as they stood, each new one behind the one that comes before it in the data."""
    kept = sorted((one for one in places if one.number is not None), key=lambda one: one.number or 0)
    after: dict[int, list[_Placed]] = {}
    last = -1
    for one in places:
        if one.number is None:
            after.setdefault(last, []).append(one)
        else:
            last = one.number
    made = list(after.get(-1, ()))
    for one in kept:
        made += [one, *after.get(one.number if one.number is not None else -1, ())]
    return made


# -- the lines of one block


def _changed(block: Block, wanted: Mapping[str, Any]) -> str:
    """Return a block's text with what is wanted in it, touching only the lines that differ."""
    items: list[Item] = []
    last = 0
    for item in block.items:
        value = _at(wanted, item.names) if item.names else None
        if not item.names or same(value, item.value):
            items.append(item)
        elif value is not MISSING:
            items.append(_with_value(item, value))
        last = len(items) if item.names else last
    known = {item.names for item in block.items if item.names}
    if last and not items[last - 1].text.endswith("\n"):
        items[last - 1] = Item(items[last - 1].text + "\n", items[last - 1].names)
    new = [
        Item(f"{'.'.join(map(key_text, names))} = {written(value)}\n", names)
        for names, value in _lacking(wanted, known)
    ]
    return Block(block.place, block.lead, _ended(block.header), [*items[:last], *new, *items[last:]]).text()


def _ended(line: str) -> str:
    return line if not line or line.endswith("\n") else f"{line}\n"


def _at(wanted: Any, names: Names) -> Any:
    for name in names:
        if not isinstance(wanted, Mapping) or name not in wanted:
            return MISSING
        wanted = wanted[name]
    return wanted


def _lacking(wanted: Mapping[str, Any], known: set[Names], below: Names = ()) -> list[tuple[Names, Any]]:
    """Return what is wanted and stands at none of the known keys, dotted where the maker wrote it so."""
    found: list[tuple[Names, Any]] = []
    for key, value in wanted.items():
        names = (*below, key)
        if names in known:
            continue
        dotted = any(one[: len(names)] == names for one in known)
        found += _lacking(value, known, names) if dotted and isinstance(value, Mapping) else [(names, value)]
    return found


def _with_value(item: Item, value: Any) -> Item:
    """Return an item with another value: comments in it stay at what they stood at, or stand above it."""
    parts = value_of(item)
    if "\n" in parts.value and isinstance(item.value, list) and isinstance(value, list):
        text = f"{parts.key}{_array(parts.value, item.value, value)}{parts.after}"
    else:
        text = f"{parts.key}{written(value)}{parts.after}"
    left = Counter(comments(text))
    lost = [one for one in parts.inside if not left[one] or left.subtract([one])]
    return Item("".join(f"{one}\n" for one in lost) + text, item.names)


def _array(text: str, old: list[Any], new: list[Any]) -> str:
    """Return an array over several lines with other elements; those that are the same keep theirs."""
    found, end = elements(text)
    if len(found) != len(old):
        raise ValueError(text)
    places: dict[str, list[int]] = {}
    for number in range(len(old) - 1, -1, -1):
        places.setdefault(mark(old[number]), []).append(number)
    before = next((lead for lead, _, _ in found if "\n" in lead), "\n  ")
    indent = "\n" + before.rpartition("\n")[2]
    lines, at = [], -1
    for one in new:
        ahead = places.get(mark(one), [])
        while ahead and ahead[-1] <= at:  # the nearest is the last
            ahead.pop()
        there = ahead.pop() if ahead else None
        if there is None:
            lines.append(f"{indent}{written(one)},")
        else:
            lead, value, comment = found[there]
            lines.append(f"{lead}{value},{comment}")
            at = there
    return f"[{''.join(lines)}{end if end.strip() or end.startswith(chr(10)) else chr(10)}]"
