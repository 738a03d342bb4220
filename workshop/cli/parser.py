"""What may be typed after `workshop`: the commands, their words, and one sentence when they do not fit."""

from __future__ import annotations

import argparse
import re
from collections.abc import Mapping
from difflib import get_close_matches
from typing import Any, NoReturn

from workshop import __version__
from workshop.cli.shapes import shape
from workshop.errors import ShopError
from workshop.showable import showable

ABOUT = """\
A bench companion for one knifemaker: where every blade stands, every clock,
every number, and the record. Without a command it opens the bench; where there
is no terminal to draw on, it prints the same state as text."""

EXAMPLES = """\
examples:
  workshop                              open the bench
  workshop demo                         look around on a throw-away shelf
  workshop start Heron --route hidden-tang --set steel="one steel"
  workshop steps Heron                  every step, its state and its times
  workshop step Heron A1 start          take a step in hand
  workshop step Heron A1 finish         every check of it holds; it is done
  workshop clock Heron bedding --air 14C --ago 5min
  workshop clocks --at 07:00            as they will stand in the morning
  workshop when H7 --blade Heron        the latest and the best start
  workshop calc pin-drill pin=5/32in clearance=0.003in
  workshop record Heron -o heron.md

Measures carry their unit: 5/32in, 4.1 mm, 14C, 5min. Every command tells more
with --help, the shape of what --json prints among it. Times in it are UTC, as
2026-03-01T07:00:00Z. Exit: 0 done, 2 refused with one line on standard error."""

ACTIONS = ("start", "finish", "leave-out", "do-over")


class Parser(argparse.ArgumentParser):
    """A parser that refuses in one sentence of the shop's own. commands: those below it, by name."""

    def __init__(self, **settings: Any) -> None:
        self.commands: Mapping[str, Parser] = {}
        settings.setdefault("formatter_class", argparse.RawDescriptionHelpFormatter)
        super().__init__(allow_abbrev=False, **settings)

    def error(self, message: str) -> NoReturn:
        """Raise ShopError: what does not fit, and what would be right."""
        raise ShopError(f"{_plain(message, self.prog)}; {self._right()}.")

    def _right(self) -> str:
        usage = " ".join(self.format_usage().split()).removeprefix("usage: ")
        usage = re.sub(r"\[(-h|--help|--shelf DIR|--json)\] ?", "", usage).strip()
        if "{" in usage or self.prog == "workshop":
            return "'workshop --help' lists the commands"
        return f"right would be: {usage}"


def _plain(message: str, prog: str) -> str:
    """Turn the parser's message into the shop's words."""
    if found := re.match(r"argument \S+: invalid choice: '(.*?)' \(", message, re.DOTALL):
        wrong = showable(found[1], 40)
        if prog != "workshop":
            return f"'{wrong}' is not what can be done to a step"
        near = get_close_matches(found[1], COMMANDS, n=1)
        meant = f"; '{near[0]}' may be meant" if near else ""
        return f"There is no command '{wrong}'{meant}"
    if found := re.match(r"the following arguments are required: (.*)", message, re.DOTALL):
        return f"{prog} needs {found[1].replace(', ', ' and ')}"
    if found := re.match(r"unrecognized arguments: (.*)", message, re.DOTALL):
        return f"{prog} does not take '{showable(found[1], 60)}'"
    if found := re.match(r"argument (\S+?):? expected .*", message, re.DOTALL):
        return f"{found[1].rstrip(':').split('/')[-1]} needs something after it"
    return showable(f"{prog}: {message}", 160)


def build() -> Parser:
    """Return the parser of the whole command line."""
    top = Parser(prog="workshop", description=ABOUT, epilog=EXAMPLES)
    top.add_argument("--version", action="version", version=f"workshop {__version__}")
    _shared(top, top=True)
    rooms = top.add_subparsers(
        dest="command", metavar="COMMAND", title="commands", parser_class=Parser, required=False
    )
    for add in (_blades, _steps, _clocks, _clock_plans, _numbers, _files):
        add(rooms)
    top.commands = rooms.choices
    return top


def _shared(parser: argparse.ArgumentParser, *, top: bool = False) -> None:
    """Add what may stand before or after the command."""
    none: Any = None if top else argparse.SUPPRESS
    no: Any = False if top else argparse.SUPPRESS
    parser.add_argument("--shelf", metavar="DIR", default=none, help="the folder with the maker's files")
    parser.add_argument("--json", action="store_true", default=no, help="print data, for another program")


def _command(rooms: Any, name: str, says: str, example: str, **settings: Any) -> Parser:
    made: Parser = rooms.add_parser(
        name,
        help=says,
        description=says[0].upper() + says[1:] + ".",
        epilog=f"examples:\n{example}{shape(name)}",
        **settings,
    )
    _shared(made)
    return made


def _blades(rooms: Any) -> None:
    start = _command(
        rooms,
        "start",
        "start a new blade on a route",
        "  workshop start Heron --route hidden-tang\n"
        '  workshop start Heron --set steel="one steel" --set pin=none',
    )
    start.add_argument("name", metavar="NAME", help="what the blade is called on the rack")
    start.add_argument("--route", metavar="ROUTE", default="hidden-tang", help="the route (hidden-tang)")
    start.add_argument(
        "--set",
        metavar="CHOICE=OPTION",
        action="append",
        default=[],
        help="a choice of the route; may be repeated",
    )
    start.add_argument("--for", dest="maker_for", metavar="WORDS", default="", help="who it is for")
    start.add_argument("--about", metavar="WORDS", default="", help="what it is to be, in a line")
    _command(rooms, "blades", "list all blades: phase, step in hand, next mark", "  workshop blades --json")
    note = _command(
        rooms,
        "note",
        "write a line into a blade's log",
        '  workshop note Heron "small inclusion near the heel"',
    )
    _blade(note)
    note.add_argument("text", metavar="TEXT", nargs="+", help="the line")
    note.add_argument("--step", metavar="STEP", default="", help="the step it belongs to")
    _blade(_command(rooms, "back", "take the last change on a blade back", "  workshop back Heron"))


def _steps(rooms: Any) -> None:
    _blade(
        _command(
            rooms, "steps", "list a blade's steps with states and times", "  workshop steps Heron --json"
        )
    )
    step = _command(
        rooms,
        "step",
        "start, finish, leave out or do over a step",
        "  workshop step Heron A1 start\n  workshop step Heron H6 finish --value pin-hole=4.2mm\n"
        '  workshop step Heron H9 leave-out --why "no spacers after all"\n'
        "  workshop step Heron H7 start --looked      every line of its last look is true\n\n"
        "finish is your word that every check of the step holds; they are ticked with it.",
    )
    _blade(step)
    step.add_argument("step", metavar="STEP", help="its id, such as H7")
    step.add_argument("action", metavar="|".join(ACTIONS), choices=ACTIONS, help="what to do")
    step.add_argument("--why", metavar="TEXT", default="", help="the reason, where it goes against a rule")
    step.add_argument("--looked", action="store_true", help="every line of the last look is true")
    step.add_argument("--unchecked", action="store_true", help="finish with checks left open; takes --why")
    step.add_argument(
        "--value",
        metavar="NAME=TEXT",
        action="append",
        default=[],
        help="a value to write down; may be repeated",
    )
    value = _command(
        rooms,
        "value",
        "write values of a blade down",
        '  workshop value Heron ricasso-thickness=4.75mm\n  workshop value Heron bow=3mm --why "wanted"',
    )
    _blade(value)
    value.add_argument(
        "values", metavar="NAME=TEXT", nargs="+", help="what the route asks for, with its unit"
    )
    value.add_argument("--why", metavar="TEXT", default="", help="the reason, outside the likely limits")
    value.add_argument("--step", metavar="STEP", default="", help="the step, where several ask for it")


def _clocks(rooms: Any) -> None:
    clock = _command(
        rooms,
        "clock",
        "start a clock of a blade's step",
        "  workshop clock Heron bedding --store adhesives/slow --air 14C --ago 5min\n"
        "  workshop clock Heron temper-1",
    )
    _blade(clock)
    clock.add_argument("name", metavar="NAME", help="the clock, as its step names it")
    clock.add_argument(
        "--store", metavar="STORE/ENTRY", default="", help="what is curing, such as adhesives/slow"
    )
    clock.add_argument("--air", metavar="TEMP", default="", help="the shop's temperature, such as 14C")
    clock.add_argument("--ago", metavar="TIME", default="", help="it was started so long ago, such as 5min")
    clock.add_argument("--box", metavar="TEMP", default="", help="it lies in a warm box, such as 38C")
    clock.add_argument("--mass", metavar="MASS", default="", help="what is mixed in the cup, such as 12g")
    clock.add_argument("--thin", action="store_true", help="it is spread thin at once, not left in the cup")
    clock.add_argument("--for", dest="for_", metavar="TIME", default="", help="so long this time: 8min")
    clock.add_argument("--step", metavar="STEP", default="", help="the step, where several have such a clock")
    clocks = _command(
        rooms,
        "clocks",
        "list the clocks of all blades, as they stand or will stand",
        "  workshop clocks\n  workshop clocks --at 07:00\n  workshop clocks --at +3h --json\n"
        "  workshop clocks --follow",
    )
    clocks.add_argument("--at", metavar="TIME", default="", help="07:00, tomorrow 07:00, +3h, or ISO 8601")
    clocks.add_argument("--follow", action="store_true", help="stay and tell what comes, until Ctrl-C")
    answer = _command(
        rooms, "answer", "answer a mark that has come", "  workshop answer Heron bedding-1 pull"
    )
    _blade(answer)
    answer.add_argument("clock", metavar="CLOCK", help="the clock, such as bedding-1 or bedding")
    answer.add_argument(
        "mark", metavar="MARK", nargs="?", default="", help="the mark; without it the gravest due"
    )
    stop = _command(rooms, "stop", "stop a clock before its last mark", "  workshop stop Heron bedding-1")
    _blade(stop)
    stop.add_argument("clock", metavar="CLOCK", help="the clock, such as bedding-1 or bedding")
    stop.add_argument("--why", metavar="TEXT", default="", help="the reason")
    air = _command(rooms, "air", "keep or show the shop's air", "  workshop air 17.5C 61%\n  workshop air")
    air.add_argument("temperature", metavar="TEMP", nargs="?", default="", help="such as 17.5C")
    air.add_argument("humidity", metavar="HUMIDITY", nargs="?", default="", help="such as 61%%")
    air.add_argument("--feed", action="store_true", help="read it from the thermometer set for this laptop")


def _clock_plans(rooms: Any) -> None:
    when = _command(
        rooms,
        "when",
        "say when to start a step, by its windows and your hours",
        "  workshop when H7 --blade Heron\n  workshop when H7 --blade Heron --air 14C --start 17:00",
    )
    when.add_argument("step", metavar="STEP", help="its id, such as H7")
    when.add_argument("--blade", metavar="BLADE", default="", help="the blade; without it any of the route")
    when.add_argument("--route", metavar="ROUTE", default="hidden-tang", help="the route, without a blade")
    when.add_argument("--clock", metavar="NAME", default="", help="the clock, where the step has several")
    when.add_argument("--store", metavar="STORE/ENTRY", default="", help="what cures, such as adhesives/slow")
    when.add_argument("--air", metavar="TEMP", default="", help="the shop's temperature, such as 14C")
    when.add_argument("--start", metavar="TIME", default="", help="if it is started then, such as 17:00")
    witness = _command(
        rooms,
        "witness",
        "say what the witness blob does: the batch's pace is corrected",
        "  workshop witness Heron dents\n  workshop witness Heron stringy glue-up",
    )
    _blade(witness)
    witness.add_argument("state", metavar="STATE", help="liquid, stringy, dents or hard")
    witness.add_argument("clock", metavar="CLOCK", nargs="?", default="", help="the clock, where several run")
    calendar = _command(
        rooms,
        "calendar",
        "write all windows ahead as a calendar file",
        "  workshop calendar -o shop.ics      importing it again updates what changed",
    )
    calendar.add_argument("-o", "--out", metavar="FILE", required=True, help="the file, such as shop.ics")


def _numbers(rooms: Any) -> None:
    calc = _command(
        rooms,
        "calc",
        "work out a number of the job",
        "  workshop calc                              all calculators\n"
        "  workshop calc pin-drill --help             what it asks for, limits, sources\n"
        "  workshop calc pin-drill pin=5/32in clearance=0.003in\n"
        "  workshop calc slot-fill --blade Heron --keep",
        add_help=False,
    )
    calc.add_argument("-h", "--help", action="store_true", help="show this, or what a calculator asks for")
    calc.add_argument("name", metavar="NAME", nargs="?", default="", help="the calculator")
    calc.add_argument("fields", metavar="FIELD=VALUE", nargs="*", default=[], help="what is given")
    calc.add_argument(
        "--blade", metavar="BLADE", default="", help="fill fields from this blade's measurements"
    )
    calc.add_argument("--keep", action="store_true", help="keep it on the blade as a slip")
    calc.add_argument("--step", metavar="STEP", default="", help="the step the slip belongs to")


def _files(rooms: Any) -> None:
    record = _command(
        rooms,
        "record",
        "write the record of a blade, as Markdown",
        "  workshop record Heron\n  workshop record Heron -o heron.md",
    )
    _blade(record)
    record.add_argument("-o", "--out", metavar="FILE", default="", help="write it here")
    check = _command(
        rooms,
        "check",
        "check blade, route and store files",
        "  workshop check my-route.toml stores/adhesives.toml",
    )
    check.add_argument("files", metavar="FILE", nargs="+", help="a blade, route or store file")
    _command(rooms, "where", "say where the files lie", "  workshop where --json")
    _kept(rooms)
    _command(rooms, "demo", "open the bench on a throw-away example shelf", "  workshop demo")


def _kept(rooms: Any) -> None:
    restore = _command(
        rooms,
        "restore",
        "put an older text of a blade, or of shop.toml, back, or list them",
        "  workshop restore Heron --list\n  workshop restore Heron --from day-2026-03-02\n"
        "  workshop restore shop.toml\n\n"
        "Without --from the newest one that can be read is taken.\nWhat stood there is kept.",
    )
    _blade(restore)
    restore.add_argument("--list", action="store_true", help="list the older texts")
    restore.add_argument("--from", dest="which", metavar="WHICH", help="the one to put back")
    merge = _command(
        rooms,
        "merge",
        "put two texts of one blade together, or list what there is to do",
        "  workshop merge\n  workshop merge heron                 with the text kept apart for it\n"
        '  workshop merge heron "heron (copy).toml" --base older.toml\n'
        '  workshop merge air "air (copy).toml"   the readings of both\n\n'
        "Log lines, clocks and slips of both are kept. Where both changed one key, both\n"
        "are shown and nothing is written without --take.",
    )
    merge.add_argument("files", metavar="FILE", nargs="*", help="a blade or a file; the first is written")
    merge.add_argument("--base", metavar="FILE", default="", help="the text that both came from")
    merge.add_argument(
        "--take", metavar="first|second", choices=("first", "second"), help="whose value stands in conflicts"
    )
    merge.add_argument("-o", "--out", metavar="FILE", default="", help="write it here instead")
    pack = _command(
        rooms,
        "pack",
        "put the whole shelf into one file",
        "  workshop pack -o shelf.zip\n\n"
        "Links, pipes and files over 64 MiB do not travel: it names them and ends with 2.",
    )
    pack.add_argument("-o", "--out", metavar="FILE", required=True, help="the file to write")
    unpack = _command(
        rooms,
        "unpack",
        "put a packed shelf on this one; nothing there is written over",
        "  workshop unpack shelf.zip",
    )
    unpack.add_argument("file", metavar="FILE", help="what pack has written")


def _blade(parser: Parser) -> None:
    parser.add_argument("blade", metavar="BLADE", help="its name, or the beginning of it")


COMMANDS = (
    *(
        "start",
        "blades",
        "note",
        "back",
        "steps",
        "step",
        "value",
        "clock",
        "clocks",
        "answer",
        "stop",
        "air",
        "when",
        "witness",
        "calendar",
    ),
    *("calc", "record", "check", "where", "demo"),
    *("restore", "merge", "pack", "unpack"),
)
"""The commands there are; each has a function of the same name in `workshop.cli`."""
