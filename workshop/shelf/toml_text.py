"""Writing TOML in blocks, one block for each table, always laid out in the same way.

A blade grows to some hundred tables and is saved at every key, so each table's text is made
once and kept as long as the table is the same object; only new blocks are made and checked.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from typing import Any

import tomli_w

from workshop.errors import ShopError

Path = tuple[str, ...]


def block(path: Path, data: Mapping[str, Any], *, listed: bool = False) -> str:
    """Return one table as TOML under its header, with its own tables below it; "" path for the top.

    listed: the table is one of a list, under a double-bracketed header. The text is read back and
    compared; raises ShopError when something in it cannot be written without loss.
    """
    tidy = full(data)
    text = _block(path, tidy, listed)
    meant: Any = tidy
    for place, name in enumerate(reversed(path)):
        meant = {name: [meant] if listed and place == 0 else meant}
    try:
        same = tomllib.loads(text) == meant
    except (tomllib.TOMLDecodeError, RecursionError):
        same = False
    if not same:
        raise ShopError(
            f"{'.'.join(path) or 'the file'} cannot be written as TOML without loss; nothing is changed."
        )
    return text


def _block(path: Path, data: Mapping[str, Any], listed: bool) -> str:
    flat, tables, lists = {}, {}, {}
    for key, value in data.items():
        if isinstance(value, Mapping):
            tables[key] = value
        elif _is_tables(value):
            lists[key] = value
        else:
            flat[key] = value
    header = ".".join(map(_key, path))
    text = ""
    if flat or listed or not (tables or lists):  # a table that only holds tables needs no header of its own
        text = (f"[[{header}]]\n" if listed else f"[{header}]\n") if path else ""
        text += tomli_w.dumps(flat) + "\n"
    text += "".join(_block((*path, key), table, False) for key, table in tables.items())
    return text + "".join(_block((*path, key), one, True) for key, many in lists.items() for one in many)


def _is_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(one, Mapping) for one in value)


def _key(name: str) -> str:
    if name and name.isascii() and name.replace("-", "").replace("_", "").isalnum():
        return name
    return tomli_w.dumps({name: 1}).rsplit(" = ", 1)[0]


def full(value: Any) -> Any:
    """Drop what is empty, so that the file shows only what is there; moments become UTC."""
    if isinstance(value, Mapping):
        inner = {key: full(one) for key, one in value.items()}
        return {
            key: one
            for key, one in inner.items()
            if one is not None and one != "" and one != [] and one != {}
        }
    if isinstance(value, Sequence) and not isinstance(value, str):
        return [full(one) for one in value]
    if isinstance(value, datetime):
        return value.astimezone(UTC)
    return value
