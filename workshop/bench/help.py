"""What is this: every key and what it does, drawn from the table of commands; and the program's own words."""

from __future__ import annotations

from collections.abc import Sequence

from workshop import measure
from workshop.bench import looks, times
from workshop.bench.commands import PLACES, TABLE, Command, at_place, key_name
from workshop.bench.desk import Desk
from workshop.bench.looks import Row
from workshop.bench.pane import Pane, Went
from workshop.build.day import WEEKDAYS
from workshop.shelf.shelf import SHOP_FILE
from workshop.showable import showable

WORDS: tuple[tuple[str, str], ...] = (
    ("waiting", "something before this step is open, or a mark has not come"),
    ("ready", "everything before it is done: it can be started"),
    ("IN HAND", "started and not finished"),
    ("RESTING", "its clock runs; the hands are free"),
    ("do over", "it was done, and what was done since has spoilt it"),
    ("1way", "no way back from it in steel, wood or glue: a last look comes first"),
    ("slip", "one worked calculation, kept with the blade at its step"),
    ("stale", "a measurement the slip was worked from has changed since"),
    ("witness", "a blob from the same cup: pressed, it says how far the glue in the joint is"),
    ("run", "the moves of a step with the hands full, stamped one after another"),
    ("mark", "a moment or a window on a clock: what is done or seen then"),
)


def setting_rows(desk: Desk, width: int) -> list[Row]:
    """Return what the maker has set by hand for shop and laptop, where that is, and how each is written."""
    kept, prefer = desk.shop.settings, desk.shop.prefer
    laptop = desk.shelf.laptop()
    hours = kept.hours
    week = [
        f"{WEEKDAYS[day][:3].capitalize()} {span.from_:%H:%M} to {span.to_:%H:%M}"
        for day, span in sorted(hours.week.items())
    ]
    sleep = f"; sleep {hours.sleep.from_:%H:%M} to {hours.sleep.to_:%H:%M}" if hours.sleep else ""
    night = "not set" if kept.night_K is None else measure.show(kept.night_K, "temperature", prefer)
    feed = laptop.air_file or " ".join(laptop.air_command) or "typed by hand (T)"
    out = [looks.row("Settings, in plain text to be changed with any editor", "heading")]
    for left, right in (
        ("the shop's file", str(desk.shelf.folder / SHOP_FILE)),
        ("[hours]", (", ".join(week) or "not set: no window is too late") + sleep),
        ("[night] temperature", night),
        ("[warn] early", f"{times.words(kept.early_s)} before a mark"),
        ("this laptop's file", str(desk.shelf.laptop_path or "none for this shelf")),
        ("[horn] command", showable(" ".join(laptop.horn), 200) or "none: the terminal's bell only"),
        ("[air] file or command", showable(feed, 200)),
    ):
        out += _pair(left, right, width)
    return out


def help_rows(
    width: int, first: str, table: Sequence[Command] = TABLE, settings: Sequence[Row] = ()
) -> list[Row]:
    """Return all of the help at a width, the place the maker comes from first."""
    out: list[Row] = []
    for place in sorted(PLACES, key=lambda name: name != first):
        out.append(looks.row(f"Keys {PLACES[place]}", "heading"))
        for command in at_place(place, table):
            keys = " or ".join(key_name(key) for key in command.keys)
            out += _pair(keys, command.says, width)
    out.append(looks.row("Words", "heading"))
    for word, says in WORDS:
        out += _pair(word, says, width)
    out += settings
    out += [
        looks.row(
            "Every change is on disk before the screen shows it. Numbers are shown with where they come"
        ),
        looks.row("from; your label, local rules and licensed practice go before anything written here."),
    ]
    return out


def markdown(table: Sequence[Command] = TABLE) -> str:
    """Return the table of commands as Markdown, for the documentation."""
    lines = ["| where | keys | what it does |", "|---|---|---|"]
    for place, says in PLACES.items():
        for command in at_place(place, table):
            keys = " or ".join(key_name(key) for key in command.keys)
            lines.append(f"| {says} | {keys} | {command.says} |")
    return "\n".join(lines) + "\n"


def _pair(left: str, right: str, width: int) -> list[Row]:
    lines = looks.wrapped(right, max(width - 26, 20))
    return [
        ((looks.padded(f"  {left}", 25) + " ", "strong"), (lines[0], "plain")),
        *(looks.row(" " * 26 + line) for line in lines[1:]),
    ]


class Help(Pane):
    """The help, page by page."""

    each_minute = True

    where = "help"
    came_from = "bench"
    page = 0
    table: Sequence[Command] = TABLE

    def opened(self) -> None:
        """Begin at the first page."""
        self.page = 0

    def rows(self, width: int, height: int) -> list[Row]:
        """Return one page."""
        lines = help_rows(width, self.came_from, self.table, setting_rows(self.desk, width))
        room = max(height - 1, 1)
        count = (len(lines) + room - 1) // room
        self.page = min(self.page, count - 1)
        head = looks.ruled("what is this", f"page {self.page + 1} of {count}", width)
        return [head, *lines[self.page * room : (self.page + 1) * room]]

    def do(self, command: str) -> None:
        """Turn a page or shut the help."""
        if command == "help-leave":
            self.post_message(Went("back"))
        elif command in ("page-on", "page-back"):
            self.page = max(self.page + (1 if command == "page-on" else -1), 0)
