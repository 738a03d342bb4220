"""Saving over a text that a maker laid out by hand: comments stay, and keys stay in their order.

The text is changed only where the data changed. The library for it is loaded only for such a file.
"""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Mapping, MutableMapping
from typing import Any

from workshop.shelf.alike import mark, same
from workshop.shelf.gate import comments


def laid_over(text: str, new: str) -> str:
    """Return the old text with the data of the new one; comments, order and unchanged keys stay as they are.

    What cannot be laid over without loss is written anew. A comment whose place is gone, because what it
    stood at has gone, stands on top.
    """
    import tomlkit

    wanted = tomllib.loads(new)
    try:
        document = tomlkit.parse(text)
        _follow(document, tomllib.loads(text), wanted, tomlkit)
        made = document.as_string()
        if same(tomllib.loads(made), wanted):
            return _with_all(comments(text), made)
    except (tomllib.TOMLDecodeError, tomlkit.exceptions.TOMLKitError, ValueError, KeyError, RecursionError):
        pass
    return _with_all(comments(text), new)


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


def is_by_hand(text: str, ours: str) -> bool:
    """Whether a text has comments, or its keys in another order than the program's own writing has."""
    return bool(comments(text)) or _order(tomllib.loads(text)) != _order(tomllib.loads(ours))


def _order(value: Any) -> Any:
    if isinstance(value, Mapping):
        return [(key, _order(one)) for key, one in value.items()]
    if isinstance(value, list):
        return [_order(one) for one in value]
    return None


def _follow(at: MutableMapping[str, Any], old: Mapping[str, Any], new: Mapping[str, Any], kit: Any) -> None:
    """Make a table say what the new one says, touching only what differs."""
    for key in old:
        if key not in new:
            del at[key]
    for key, value in new.items():
        if key not in old:
            at[key] = _item(value, kit)
        elif same(old[key], value):
            continue
        elif isinstance(value, Mapping) and isinstance(old[key], Mapping):
            _follow(at[key], old[key], value, kit)
        elif _listed(value) and _listed(old[key]):
            _follow_list(at[key], old[key], value, kit)
        elif isinstance(at[key], kit.items.Item) and not isinstance(value, (Mapping, list)):
            item = _item(value, kit)
            item.trivia.comment_ws, item.trivia.comment = _comment(at[key])
            at[key] = item
        else:
            at[key] = _item(value, kit)


def _comment(item: Any) -> tuple[str, str]:
    return item.trivia.comment_ws, item.trivia.comment


def _follow_list(at: Any, old: list[Any], new: list[Any], kit: Any) -> None:
    """Make a list of tables say what the new one says: the entries that are the same stay."""
    marks = [mark(one) for one in new]
    place = 0
    while place < len(old) and len(at) > 0:  # entries that fell off the front
        if len(old) - place <= len(new) and _names(old[place]) == _names(new[0]):
            break
        if mark(old[place]) in marks:
            break
        del at[0]
        place += 1
    rest = old[place:]
    for number, (one, wanted) in enumerate(zip(rest, new, strict=False)):
        if not same(one, wanted):
            _follow(at[number], one, wanted, kit)
    for _ in range(len(rest) - len(new)):
        del at[len(at) - 1]
    for wanted in new[len(rest) :]:
        at.append(_entry(wanted, kit))


def _names(entry: Mapping[str, Any]) -> str:
    return mark([entry.get("id"), entry.get("at")])


def _listed(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(one, Mapping) for one in value)


def _table(value: Mapping[str, Any], kit: Any) -> Any:
    table = kit.table()
    for key, one in value.items():
        table[key] = _item(one, kit)
    return table


def _entry(value: Mapping[str, Any], kit: Any) -> Any:
    """Return a table of a list, with an empty line behind it as everywhere in the file."""
    table = _table(value, kit)
    table.add(kit.nl())
    return table


def _item(value: Any, kit: Any) -> Any:
    if isinstance(value, Mapping):
        return _table(value, kit)
    if _listed(value):
        entries = kit.aot()
        for one in value:
            entries.append(_entry(one, kit))
        return entries
    return kit.item(value)
