"""Moving a whole shelf on the command line: into one file, and out of it."""

from __future__ import annotations

import contextlib
from argparse import Namespace
from datetime import datetime

from workshop.cli.text import dump, say
from workshop.errors import ShopError
from workshop.shelf import archive, places
from workshop.shelf import pack as packing
from workshop.shelf.shelf import Shelf
from workshop.showable import showable

_MOST_NAMED = 12


def pack(args: Namespace, shelf: Shelf, now: datetime) -> None:
    """Put the whole shelf into one file."""
    packed = packing.pack(shelf.folder, places.target(args.out, shelf.folder, "shelf.zip"))
    left = [f"{name}: {why}" for name, why in packed.left.items()]
    if args.json:
        dump({"file": args.out, "files": packed.files, "left_out": left})
    else:
        say(f"{packed.files} files of the shelf are in {args.out}.", *(f"Left out: {one}" for one in left))
        say(*(f"Not packed, as its name begins with a dot: {one}" for one in packed.hidden))
    if left:
        raise _lacking(args.out, list(packed.left))


def _lacking(out: str, left: list[str]) -> ShopError:
    """Return what a maker must hear who takes the archive for the whole shelf."""
    names = ", ".join(showable(one, 80) for one in left[:_MOST_NAMED])
    more = f" and {len(left) - _MOST_NAMED} more" if len(left) > _MOST_NAMED else ""
    most = archive.MOST_FILE_BYTES // archive.MIB
    return ShopError(
        f"{out} is written, but it is not the whole shelf: it lacks {names}{more}. Right would be plain "
        f"files of at most {most} MiB with names that any laptop takes; move by hand what cannot be one."
    )


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
    with contextlib.suppress(ShopError, OSError):  # all is unpacked, whatever cannot be read of it now
        say(*(one.says() for one in shelf.blades()[1] if one.kind == "copy"))
