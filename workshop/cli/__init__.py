"""The front door: `workshop`, its commands, and one clear line when something does not fit."""

from __future__ import annotations

import contextlib
import os
import sys
from argparse import Namespace
from collections.abc import Callable, Sequence
from datetime import datetime
from importlib import import_module

from workshop.cli import moment
from workshop.cli.parser import COMMANDS, Parser, build
from workshop.errors import ShopError
from workshop.showable import showable

FINE, REFUSED, OWN_FAULT, INTERRUPTED = 0, 2, 1, 130

_HOMES = {
    **dict.fromkeys(("start", "blades", "note", "back"), "blades"),
    **dict.fromkeys(("steps", "step", "value"), "steps"),
    **dict.fromkeys(("clock", "clocks", "answer", "stop", "air", "witness"), "clocks"),
    "when": "when",
    "calendar": "calendar",
    "calc": "calc",
    **dict.fromkeys(("record", "check", "where"), "files"),
    **dict.fromkeys(("demo", "bench"), "open_bench"),
    **dict.fromkeys(("pack", "unpack"), "pack"),
    **{name: name for name in ("restore", "merge")},
}


def main(argv: Sequence[str] | None = None, *, now: datetime | None = None) -> int:
    """Run one command line and return its exit code.

    0 when done, 2 with one line on standard error for anything a user can put right, 130 when interrupted.
    now: the present, in UTC; asked for when not given.
    """
    try:
        try:
            code = _run(list(sys.argv[1:] if argv is None else argv), now or moment.now())
        except SystemExit as leave:  # --help and --version have printed what was asked for
            code = leave.code if isinstance(leave.code, int) else FINE
        sys.stdout.flush()
        return code
    except ShopError as error:
        return _refuse(_with_option(error), REFUSED)
    except BrokenPipeError:
        _let_go()
        return FINE
    except KeyboardInterrupt:
        return INTERRUPTED
    except OSError as error:
        name = f" {error.filename}" if error.filename else ""
        code = _refuse(f"The system refused{name}: {error.strerror or error}.", REFUSED)
        _let_go()
        return code
    except Exception as error:
        return _refuse(f"A fault of the program, not yours: {type(error).__name__}: {error}.", OWN_FAULT)


def _run(argv: list[str], now: datetime) -> int:
    for word in argv:
        if any(0xD800 <= ord(letter) <= 0xDFFF for letter in word):
            raise ShopError(f"'{showable(word, 40)}' is not UTF-8 text; right would be text in UTF-8.")
        if "\0" in word:
            raise ShopError(f"'{showable(word, 40)}' holds a sign that no name or value has; type it again.")
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
    parser = build()
    args = _parsed(parser, argv)
    if args.command == "calc" and args.help and not args.name:
        parser.commands["calc"].print_help()
        return FINE
    return _command(args.command or "bench")(args, now)


def _parsed(parser: Parser, argv: list[str]) -> Namespace:
    """Return what was typed; fields of a calculation may stand after an option as well as before it."""
    args, rest = parser.parse_known_args(argv)
    if rest and args.command == "calc" and args.name and not any(word.startswith("-") for word in rest):
        args.fields = [*args.fields, *rest]
    elif rest:
        parser.error(f"unrecognized arguments: {' '.join(rest)}")
    return args


def _command(name: str) -> Callable[[Namespace, datetime], int]:
    """Return a command's function; its module is loaded only now."""
    module = import_module(f"workshop.cli.{_HOMES[name]}")
    work = getattr(module, name)

    def run(args: Namespace, now: datetime) -> int:
        from workshop.drawer.registry import NAMES
        from workshop.shelf.places import laptop_file, shelf_folder
        from workshop.shelf.shelf import Shelf

        code = work(args, Shelf(shelf_folder(args.shelf), NAMES, laptop=laptop_file()), now)
        return FINE if code is None else int(code)

    return run


def _with_option(error: ShopError) -> str:
    from workshop.build.changes import NeedsReason

    return f'{error} Give it with --why "…".' if isinstance(error, NeedsReason) else str(error)


def _refuse(sentence: str, code: int) -> int:
    """Print one line on standard error; a closed one is no reason for more noise."""
    try:
        sys.stdout.flush()
    except OSError:
        _let_go()
    with contextlib.suppress(OSError):
        print(showable(" ".join(sentence.split()), 2000), file=sys.stderr, flush=True)
    return code


def _let_go() -> None:
    """Point standard output at nothing, so that leaving does not trip over a closed pipe."""
    with contextlib.suppress(OSError, ValueError):
        nothing = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nothing, sys.stdout.fileno())
        os.close(nothing)


__all__ = ["COMMANDS", "main"]
