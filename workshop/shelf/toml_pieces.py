"""A TOML text taken apart into blocks under their headers and the items in them, and nothing of it lost.

Comments on the lines right above a header are the header's own; all other text stays in the block it is in.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import tomli_w

Names = tuple[str, ...]
Place = tuple[str | int, ...]
"""Where a block stands in the data: names, and numbers in lists: ("clocks", 0, "marks", 2)."""

_STRING = r'"(?:\\.|[^"\\\n])*+"|\'[^\'\n]*+\''
_TOKEN = re.compile(
    rf'"""(?:\\.|[^"\\]|"(?!""))*+"""|\'\'\'(?:[^\']|\'(?!\'\'))*+\'\'\'|{_STRING}|#[^\n]*+|[\[\]{{}},\n]',
    re.DOTALL,
)
_PART = rf"(?:[A-Za-z0-9_-]+|{_STRING})"
_KEY = re.compile(rf"[ \t]*({_PART}(?:[ \t]*\.[ \t]*{_PART})*)[ \t]*=[ \t]*")
_QUIET = re.compile(r"[ \t]*(?:#[^\n]*)?(?:\n|\Z)")
_HEADER = re.compile(r"[ \t]*\[")


@dataclass
class Item:
    """A key with its value, over however many lines, or a line of none (names is empty then)."""

    text: str
    names: Names = ()
    value: Any = None


@dataclass
class Block:
    """A header with the comments right above it and the items below it; the top of a file has no header."""

    place: Place = ()
    lead: str = ""
    header: str = ""
    items: list[Item] = field(default_factory=list)

    def text(self) -> str:
        """Return the block as it is written."""
        return self.lead + self.header + "".join(one.text for one in self.items)


def taken_apart(text: str) -> list[Block]:
    """Return the blocks of a text; raises ValueError for what is no TOML."""
    blocks, counts, at = [Block()], dict[Place, int](), 0
    while at < len(text):
        if quiet := _QUIET.match(text, at):
            blocks[-1].items.append(Item(quiet[0]))
            at = quiet.end()
        elif _HEADER.match(text, at):
            end = text.find("\n", at) + 1 or len(text)
            names, listed = _named(text[at:end])
            blocks.append(Block(_placed(names, listed, counts), _lead(blocks[-1]), text[at:end]))
            at = end
        else:
            end = _end(text, at)
            blocks[-1].items.append(_item(text[at:end]))
            at = end
    return blocks


def _end(text: str, at: int) -> int:
    """Return where the logical line that begins here ends."""
    depth = 0
    for found in _TOKEN.finditer(text, at):
        if found[0] == "\n" and not depth:
            return found.end()
        depth += {"[": 1, "{": 1, "]": -1, "}": -1}.get(found[0], 0)
    return len(text)


def _item(text: str) -> Item:
    key = _KEY.match(text)
    if key is None:
        raise ValueError(text)
    names: Names = ()
    value: Any = tomllib.loads(text)
    for _ in re.findall(_PART, key[1]):
        ((name, value),) = value.items()
        names = (*names, name)
    return Item(text, names, value)


def _named(header: str) -> tuple[Names, bool]:
    value: Any = tomllib.loads(header)
    names: Names = ()
    while value:
        if isinstance(value, list):
            return names, True
        ((name, value),) = value.items()
        names = (*names, name)
    return names, False


def _placed(names: Names, listed: bool, counts: dict[Place, int]) -> Place:
    """Return where a block stands: below the last entry so far of each list on the way."""
    place: Place = ()
    for number, name in enumerate(names):
        place = (*place, name)
        last = number == len(names) - 1
        if last and listed:
            counts[place] = counts.get(place, -1) + 1
        if place in counts and (not last or listed):
            place = (*place, counts[place])
    return place


def _lead(block: Block) -> str:
    """Take the comments right above a header off the block before it."""
    lead = []
    while block.items and not block.items[-1].names and block.items[-1].text.strip():
        lead.append(block.items.pop().text)
    return "".join(reversed(lead))


# -- values


def written(value: Any) -> str:
    """Return a value in one line, as it stands behind a key."""
    if isinstance(value, Mapping):
        inner = ", ".join(f"{key_text(key)} = {written(one)}" for key, one in value.items())
        return f"{{ {inner} }}" if inner else "{}"
    if isinstance(value, list):
        return f"[{', '.join(map(written, value))}]"
    return tomli_w.dumps({"x": value}).removeprefix("x = ").rstrip("\n")


def key_text(name: str) -> str:
    """Return a key as it is written, in quotes where it must be."""
    return name if re.fullmatch(r"[A-Za-z0-9_-]+", name) else written(name)


@dataclass
class Value:
    """An item's text taken apart: the key up to its value, the value, and what follows on its last line.

    inside: the comments in the value, over several lines.
    """

    key: str
    value: str
    after: str
    inside: list[str]


def value_of(item: Item) -> Value:
    """Take an item apart; raises ValueError for one without a value."""
    key = _KEY.match(item.text)
    if key is None:
        raise ValueError(item.text)
    end, depth, inside = len(item.text.rstrip()), 0, []
    for found in _TOKEN.finditer(item.text, key.end()):
        depth += {"[": 1, "{": 1, "]": -1, "}": -1}.get(found[0], 0)
        if found[0].startswith("#"):
            if depth:
                inside.append(found[0].rstrip())
            else:
                end = found.start()
    value = item.text[key.end() : end].rstrip()
    return Value(key[0], value, item.text[key.end() + len(value) :], inside)


def elements(array: str) -> tuple[list[tuple[str, str, str]], str]:
    """Return an array's elements, each as what stands before it, itself and its comment; and the end.

    A comment on the line of an element is its own, behind the comma too.
    """
    inner = array[1:-1]
    found: list[tuple[str, str, str]] = []
    at, depth = 0, 0
    for token in _TOKEN.finditer(inner):
        if token[0] == "," and not depth:
            line = re.compile(r"[ \t]*#[^\n]*").match(inner, token.end())
            end = line.end() if line else token.end()
            found.append(_element(inner[at : token.start()], inner[token.end() : end]))
            at = end
        depth += {"[": 1, "{": 1, "]": -1, "}": -1}.get(token[0], 0)
    rest = inner[at:]
    last = _element(rest, "")
    if not last[1]:
        return found, rest
    own, newline, end_text = last[2].partition("\n")
    return [*found, (last[0], last[1], own)], newline + end_text


def _element(text: str, after: str) -> tuple[str, str, str]:
    """Take an element apart: what stands before its value, the value, and what stands behind."""
    start = 0
    while quiet := re.compile(r"\s+|#[^\n]*").match(text, start):
        start = quiet.end()
    end, depth = len(text), 0
    for token in _TOKEN.finditer(text, start):
        if token[0].startswith("#") and not depth:
            end = token.start()
            break
        depth += {"[": 1, "{": 1, "]": -1, "}": -1}.get(token[0], 0)
    value = text[start:end].rstrip()
    return text[:start], value, text[start + len(value) :].rstrip("\n \t") + after
