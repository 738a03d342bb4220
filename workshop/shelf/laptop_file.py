"""What stands beside this laptop: a horn or lamp, a thermometer. Kept outside the shelf.

They run a command or read a file anywhere. A shelf can come from another laptop, out of an archive or through
a folder kept alike; so nothing that lies on it can name a command, and this file alone can.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from workshop.shelf.durable import leads_out
from workshop.shelf.stamp import Stamp, stamp
from workshop.shelf.table import FileFault, Source, Table, read_toml
from workshop.shelf.unread import Unread

SCHEMA = 1
EVERY_S = 300.0
MOST_WORDS = 32
OF_AIR = ("file", "command", "every")


@dataclass(frozen=True)
class Laptop:
    """What the maker has set for this laptop.

    horn: a command and its words, run when a mark calls. air_file, air_command: what a thermometer writes or
    says; air_every_s: how often it is looked at, 10 s to 24 h.
    """

    horn: tuple[str, ...] = ()
    air_file: str = ""
    air_command: tuple[str, ...] = ()
    air_every_s: float = EVERY_S


def read_laptop(data: Mapping[str, Any], source: Source) -> Laptop:
    """Return what is set in the laptop's file; raises FileFault for what cannot be taken."""
    top = Table(data, source)
    top.known_schema(SCHEMA)
    horn, air = top.table("horn"), top.table("air")
    made = Laptop(
        horn=_command(horn, "command"),
        air_file=air.text("file", ""),
        air_command=_command(air, "command"),
        air_every_s=air.si("every", "time", EVERY_S),
    )
    if made.air_file and made.air_command:
        raise air.fault("command", "stands beside a file", "one of the two")
    if not 10 <= made.air_every_s <= 86_400:
        raise air.fault("every", "is too short or too long", "from 10 s to 24 h, such as 5 min")
    for table in (horn, air, top):
        table.close()
    return made


def _command(table: Table, key: str) -> tuple[str, ...]:
    words = table.texts(key)
    if len(words) > MOST_WORDS or any("\0" in word for word in words):
        raise table.fault(key, "is not a command", 'a list of words, such as ["/usr/bin/aplay", "horn.wav"]')
    return words


def not_of_the_shelf(shop: Mapping[str, Any]) -> list[str]:
    """Return what stands in a shop's file and is not followed there, in words: "[horn]", "[air] file"."""
    air = shop.get("air")
    found = [f"[air] {name}" for name in OF_AIR if isinstance(air, Mapping) and name in air]
    return ["[horn]", *found] if "horn" in shop else found


class LaptopSettings:
    """The laptop's file, read again when it changed; the last that could be read is remembered."""

    def __init__(self, path: Path | None, shelf: Path) -> None:
        """Give the file's path; None: nothing stands beside this shelf (a throw-away one)."""
        self.path = path
        self._shelf = shelf
        self._stamp: Stamp | None = None
        self._known = Laptop()
        self._fault = ""

    def now(self) -> Laptop:
        """Return what is set now; as last known when the file cannot be taken."""
        found = stamp(self.path) if self.path is not None else None
        if found and self.path is not None and not leads_out(self.path, self._shelf):
            self._known = Laptop()
            self._fault = f"{self.path} lies on the shelf and is not followed; right would be another place."
            return self._known
        if self.path is None or found == self._stamp:
            return self._known
        try:
            self._known = read_laptop(*read_toml(self.path)) if found else Laptop()
            self._fault = ""
        except FileFault as fault:
            self._fault = str(fault)
        self._stamp = found
        return self._known

    def faults(self) -> list[Unread]:
        """Return what cannot be taken of the file, to be shown."""
        self.now()
        return [Unread("laptop", self._fault, "own", self.path)] if self._fault else []
