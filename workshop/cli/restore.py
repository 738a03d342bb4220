"""Older texts of a file on the command line: listing them, and putting one back."""

from __future__ import annotations

import os
from argparse import Namespace
from datetime import UTC, datetime

from workshop.cli.text import columns, dump, say, utc
from workshop.errors import ShopError
from workshop.paper.times import near
from workshop.shelf import backups, places
from workshop.shelf.blade_file import SCHEMA
from workshop.shelf.older import OF_THE_SHOP
from workshop.shelf.shelf import Shelf
from workshop.shelf.table import parse_toml
from workshop.showable import showable


def restore(args: Namespace, shelf: Shelf, now: datetime) -> None:
    """List a file's older texts, or put one in its place; what stood there is kept with them."""
    key = _key(args.blade, shelf)
    texts = shelf.older(key)
    if not texts:
        raise ShopError(f"There is no older text of {key}; the first is kept before its second change.")
    if args.list:
        _list(key, texts, now, as_data=args.json)
        return
    _of_this_program(key, shelf)
    text = _chosen(key, args.which, texts)
    had = os.path.lexists(shelf.path(key))
    raw = shelf.raw_of(text.path)
    if key in OF_THE_SHOP:
        shelf.put_own(key, raw)
        name, says = f"{key}.toml", f"{key}.toml is as it was in {text.name}."
    else:
        blade = shelf.put_whole(key, raw)
        name, log = blade.name, len(blade.log)
        says = f"{name} is as it was in {text.name}, with {log} lines in its log."
    if args.json:
        dump({"blade": name, "key": key, "from": text.name})
        return
    say(says)
    if had:
        say(f"What stood there is kept: workshop restore {key} --list")


def _chosen(key: str, which: str | None, texts: list[tuple[backups.Backup, str]]) -> backups.Backup:
    """Return the text that is meant: the newest that can be read where none is named."""
    names = ", ".join(one.name for one, _ in texts)
    if which is None:
        newest = next((one for one, why in texts if not why), None)
        if newest is None:
            raise ShopError(f"No older text of {key} can be read; there are: {names}.")
        return newest
    name = which.removesuffix(".toml")
    found = next(((one, why) for one, why in texts if one.name == name), None)
    if found is None:
        raise ShopError(f"'{showable(which, 60)}' is no older text of {key}; there are: {names}.")
    if found[1]:
        raise ShopError(f"{name} cannot be read itself: {found[1]}")
    return found[0]


def _of_this_program(key: str, shelf: Shelf) -> None:
    """Refuse to put an older text over the file of a newer program, whose changes it does not have."""
    try:
        schema = parse_toml(shelf.raw_of(shelf.path(key)), key)[0].get("schema")
    except (ShopError, OSError):  # broken or gone: that is what an older text is for
        return
    if isinstance(schema, int) and schema > SCHEMA:
        raise ShopError(
            f"{key}.toml was written by a newer program (schema {schema}); nothing is written to it. "
            "Right would be to restore with that program, or to put the file elsewhere first."
        )


def _key(name: str, shelf: Shelf) -> str:
    """Return the key that is meant, also of a blade whose file is broken or gone, or "shop", "air"."""
    keys = {*shelf.keys(), *backups.keys(shelf.folder)} - OF_THE_SHOP.keys()
    plain = name.removesuffix(".toml")
    if plain in OF_THE_SHOP and (plain != name or not _called(plain, shelf)):
        return plain
    if name in keys:
        return name
    if places.folded(name) in keys:
        return places.folded(name)
    return shelf.find(name).key


def _called(name: str, shelf: Shelf) -> bool:
    return any(places.folded(one.name) == name for one in shelf.blades()[0])


def _list(key: str, older: list[tuple[backups.Backup, str]], now: datetime, *, as_data: bool) -> None:
    rows = [(one.name, datetime.fromtimestamp(one.path.stat().st_mtime, UTC), why) for one, why in older]
    if as_data:
        dump(
            {
                "key": key,
                "older": [{"name": name, "kept": utc(at), "fault": why or None} for name, at, why in rows],
            }
        )
        return
    say(f"Older texts of {key}, the newest first:")
    say(*columns(((name, f"kept {near(at, now)}", why or "can be read") for name, at, why in rows), "  "))
    say(f"To put one back: workshop restore {key} --from {rows[0][0]}")
