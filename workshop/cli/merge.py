"""Putting two texts of one blade together on the command line, and showing what is in conflict."""

from __future__ import annotations

from argparse import Namespace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from workshop.build.blade import Blade
from workshop.cli.text import columns, dump, say
from workshop.errors import ShopError
from workshop.shelf import backups, copies, durable, places
from workshop.shelf import merge as merging
from workshop.shelf.blade_file import SCHEMA, schema_of
from workshop.shelf.gate import parsed, read_plain
from workshop.shelf.merge import Conflict, shown
from workshop.shelf.shelf import Shelf
from workshop.shelf.unread import newer_says

TAKE = ("first", "second")


def merge(args: Namespace, shelf: Shelf, now: datetime) -> None:
    """Put two texts of one blade together, or show what there is to be put together."""
    if not args.files:
        _to_do(shelf, as_data=args.json)
        return
    if len(args.files) > 2:
        raise ShopError("merge takes two texts of one blade; right would be: workshop merge FILE FILE.")
    if len(args.files) == 2 and args.files[0] in ("air", places.AIR_FILE):
        _air(args, shelf)
        return
    first = _path(args.files[0], shelf)
    second = _path(args.files[1], shelf) if len(args.files) == 2 else _apart(first, shelf)
    raws = [_read(path, shelf) for path in (first, second)]
    one, two = (parsed(raw, str(path)) for raw, path in zip(raws, (first, second), strict=True))
    _same_blade(first, second, raws, shelf)
    _may_be_written(first, second, shelf, args.out)
    base = parsed(_read(_path(args.base, shelf), shelf), args.base)[0] if args.base else None
    made, conflicts = merging.together(base or merging.common(one[0], two[0]), one[0], two[0])
    if conflicts and not args.take:
        _side_by_side(first, second, conflicts, as_data=args.json)
        many = "1 key was" if len(conflicts) == 1 else f"{len(conflicts)} keys were"
        raise ShopError(
            f"{many} changed on both sides; nothing is written. "
            "Say whose are right with --take first or --take second; the others stay in the log."
        )
    for one_conflict in conflicts:
        _settle(made, one_conflict, args.take, now)
    _write(args, shelf, (first, second), made, (raws[0], raws[1]))
    if args.json:
        dump({"file": str(args.out or first), "conflicts": [_data(one) for one in conflicts]})
        return
    log = len(made.get("log", ()))
    say(f"{first.name} and {second.name} are one: {log} lines in the log.")
    say(*(f"Taken from the {args.take}: {one.says()}" for one in conflicts))


def _to_do(shelf: Shelf, *, as_data: bool) -> None:
    todo = [one for one in shelf.blades()[1] if one.kind in ("copy", "apart")]
    if as_data:
        dump([one.data(shelf.path(one.key)) for one in todo])
        return
    say(*(one.says() for one in todo) if todo else ("Nothing is to be put together.",))


def _path(name: str, shelf: Shelf) -> Path:
    """Return the file that is meant: by a blade's key, a name on the shelf, a path, or a blade's name."""
    if name in set(shelf.keys()):
        return shelf.path(name)
    if name in shelf.lookalikes():  # a line that the rack offers holds wherever it is pasted
        return shelf.folder / name
    path = places.typed_path(name)
    return path if path.is_file() else shelf.path(shelf.find(name).key)


def _read(path: Path, shelf: Shelf) -> bytes:
    """Return a file's bytes; a link that lies on the shelf is not followed out of it."""
    on_shelf = path.absolute().is_relative_to(shelf.folder.absolute())
    return shelf.raw_of(path) if on_shelf else read_plain(path)


def _air(args: Namespace, shelf: Shelf) -> None:
    """Put the readings of a copy of the air's record into it; the copy goes to the backups."""
    if args.out or args.base or args.take:
        raise ShopError(
            "Readings are put together by their moments; right would be: workshop merge air FILE."
        )
    second = _path(args.files[1], shelf)
    raw = _read(second, shelf)
    count = shelf.air_record.join(raw, str(second))
    if places.lies_on(second, shelf.folder):
        backups.aside(shelf.folder, "air", raw, shelf.now())
        _put_away(shelf.air_record.path, second, raw)
    if args.json:
        dump({"file": str(shelf.air_record.path), "readings": count})
        return
    say(f"{places.AIR_FILE} and {second.name} are one: {count} readings.")


def _apart(first: Path, shelf: Shelf) -> Path:
    kept = shelf.kept_apart(first.stem)
    if not kept:
        raise ShopError(f"Nothing is kept apart for {first.stem}; right would be: workshop merge FILE FILE.")
    return kept[0]


def _same_blade(first: Path, second: Path, raws: list[bytes], shelf: Shelf) -> None:
    if first.resolve() == second.resolve():
        raise ShopError(f"{first} is named twice; right would be two texts of one blade.")
    one, two = (_blade(path, raw, shelf) for path, raw in zip((first, second), raws, strict=True))
    for path, blade in ((first, one), (second, two)):
        if schema_of(blade) > SCHEMA:
            raise ShopError(f"{path} {newer_says(blade)}")
    if not copies.same_blade(one, two):
        raise ShopError(
            f"{first.name} and {second.name} are two blades, begun at different moments, on different routes "
            "or by other names; nothing is written."
        )


def _blade(path: Path, raw: bytes, shelf: Shelf) -> Blade:
    """Return the blade in a text, on the route as this shelf keeps it, or the one that the text lies on."""
    try:
        return shelf.read_as(path, raw)
    except ShopError:
        if places.lies_on(path, shelf.folder):
            raise
        return Shelf(path.absolute().parent, shelf.calculators).read_as(path, raw)


def _may_be_written(first: Path, second: Path, shelf: Shelf, out: str) -> None:
    """Refuse to write what is no blade's file, and to put a blade's own file away."""
    if out:
        places.target(out, shelf.folder, "together.toml")
        return
    if first.suffix != ".toml":
        raise ShopError(f"{first} is no blade's file; right would be to name that first, or -o FILE.")
    if second.resolve() in {shelf.path(one.key).resolve() for one in shelf.blades()[0]}:
        raise ShopError(f"{second} is the blade's own file; right would be to name it first, or -o FILE.")


def _side_by_side(first: Path, second: Path, conflicts: list[Conflict], *, as_data: bool) -> None:
    if as_data:
        dump({"conflicts": [_data(one) for one in conflicts]})
        return
    rows = [("", first.name, second.name)]
    rows += [(one.where(), shown(one.first), shown(one.second)) for one in conflicts]
    say(*columns(rows))


def _data(one: Conflict) -> dict[str, Any]:
    return {"key": list(one.path), "first": shown(one.first), "second": shown(one.second)}


def _settle(made: dict[str, Any], conflict: Conflict, take: str, now: datetime) -> None:
    """Put the side that was asked for in its place; the other one is kept in the log, in words."""
    right, other = (conflict.first, conflict.second) if take == "first" else (conflict.second, conflict.first)
    for path, value in conflict.places(take):
        merging.put(made, path, value)
    says = f"Put together: {conflict.where()} is {shown(right)}; the other text had {shown(other)}"
    made["log"] = [*made.get("log", ()), {"at": now.astimezone(UTC), "did": "merge", "says": says}]


def _write(
    args: Namespace,
    shelf: Shelf,
    files: tuple[Path, Path],
    made: dict[str, Any],
    was: tuple[bytes, bytes],
) -> None:
    """Write the result; a text of the shelf that is now part of it is put with the backups first.

    was: both files as they were read.
    """
    (first, second), (raw, other) = files, was
    on_shelf = first.parent.resolve() == shelf.folder.resolve()
    home = shelf if on_shelf else Shelf(first.parent, shelf.calculators)
    if args.out:
        durable.save_outside(places.typed_path(args.out), home.rendered(first.stem, made, raw))
        return
    data = home.rendered(first.stem, made, raw)
    inside = second.resolve().is_relative_to(shelf.folder.resolve())
    if inside:
        backups.aside(shelf.folder, first.stem, other, shelf.now())
    home.put_whole(first.stem, data, raw)
    if inside:
        _put_away(first, second, other)


def _put_away(first: Path, second: Path, raw: bytes) -> None:
    """Take a text off the shelf that is now part of a blade; one that was changed meanwhile stays."""
    why = backups.take_off(second, raw)
    if why:
        raise ShopError(
            f"{first.name} holds both now, but {second.name} stays on the shelf: {why}. Run merge again."
        )
