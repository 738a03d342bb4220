"""Older texts of a blade on the command line: listing them, and putting one back."""

from __future__ import annotations

from argparse import Namespace
from datetime import UTC, datetime

from workshop.cli.text import columns, dump, say, utc
from workshop.errors import ShopError
from workshop.paper.times import near
from workshop.shelf import backups, places
from workshop.shelf.shelf import Shelf


def restore(args: Namespace, shelf: Shelf, now: datetime) -> None:
    """List a blade's older texts, or put one in its place; what stood there is kept with them."""
    key = _key(args.blade, shelf)
    older = shelf.older(key)
    if not older:
        raise ShopError(f"There is no older text of {key}; the first is kept before its second change.")
    if args.list:
        _list(key, older, now, as_data=args.json)
        return
    name = args.which.removesuffix(".toml") or next((one.name for one, why in older if not why), "")
    found = next(((one, why) for one, why in older if one.name == name), None)
    if found is None:
        names = ", ".join(one.name for one, _ in older)
        raise ShopError(f"'{name or key}' is no older text that can be read; there are: {names}.")
    if found[1]:
        raise ShopError(f"{name} cannot be read itself: {found[1]}")
    had = shelf.path(key).exists()
    blade = shelf.put_whole(key, shelf.raw_of(found[0].path))
    if args.json:
        dump({"blade": blade.name, "key": key, "from": name})
        return
    say(f"{blade.name} is as it was in {name}, with {len(blade.log)} lines in its log.")
    if had:
        say(f"What stood there is kept: workshop restore {key} --list")


def _key(name: str, shelf: Shelf) -> str:
    """Return the key that is meant, also of a blade whose file is broken or gone."""
    keys = {*shelf.keys(), *backups.keys(shelf.folder)}
    if name in keys:
        return name
    if places.folded(name) in keys:
        return places.folded(name)
    return shelf.find(name).key


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
