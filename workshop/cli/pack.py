"""Moving a whole shelf on the command line: into one file, and out of it."""

from __future__ import annotations

from argparse import Namespace
from datetime import datetime

from workshop.cli.text import dump, say
from workshop.errors import ShopError
from workshop.shelf import pack as packing
from workshop.shelf import places
from workshop.shelf.shelf import Shelf


def pack(args: Namespace, shelf: Shelf, now: datetime) -> None:
    """Put the whole shelf into one file."""
    if not shelf.folder.is_dir():
        raise ShopError(f"There is no shelf {shelf.folder} to pack.")
    out = places.typed_path(args.out)
    if out.is_dir():
        raise ShopError(f"{args.out} is a folder; right would be a file, such as {out / 'shelf.zip'}.")
    count, left = packing.pack(shelf.folder, out)
    if args.json:
        dump({"file": args.out, "files": count, "left_out": left})
        return
    say(f"{count} files of the shelf are in {args.out}.", *(f"Left out: {one}" for one in left))


def unpack(args: Namespace, shelf: Shelf, now: datetime) -> None:
    """Put what is in such a file on the shelf; nothing there is written over."""
    done = packing.unpack(places.typed_path(args.file), shelf.folder)
    if args.json:
        beside = [{"file": name, "put_at": at} for name, at in done.beside]
        dump({"written": done.written, "same": done.same, "beside": beside})
        return
    say(f"{len(done.written)} files put on the shelf {shelf.folder}, {len(done.same)} were there already.")
    for name, at in done.beside:
        say(f"{name} is there and differs; the one unpacked is {at}")
    copies = [one for one in shelf.blades()[1] if one.kind == "copy"]
    say(*(one.says() for one in copies))
