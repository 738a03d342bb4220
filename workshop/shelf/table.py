"""Reading a TOML table that a person wrote: every wrong key or value is one clear sentence.

A fault says the file, the line where it can be found, the key, what is wrong and what would be right.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time
from pathlib import Path
from typing import Any

from workshop import measure
from workshop.errors import ShopError
from workshop.shelf.gate import FileFault, parsed, read_plain
from workshop.showable import showable

FIRST_YEAR, LAST_YEAR = 1900, 2400
"""Moments outside these years are a slip of the pen; near the calendar's ends sums of times fail."""

__all__ = ["FileFault", "Source", "Table", "celsius", "parse_toml", "read_toml"]


@dataclass(frozen=True)
class Source:
    """Where a table was read: a name for messages and the text, to find lines in."""

    name: str
    text: str

    def line_of(self, header: str, number: int, key: str) -> int | None:
        """Return the line of `key` below the n-th `[[header]]` (0 for the file's top), or None."""
        lines = self.text.splitlines()
        start = 0
        if header:
            pattern = re.compile(rf"\s*\[\[?\s*{re.escape(header)}\s*\]?\]\s*(#.*)?$")
            heads = [at for at, line in enumerate(lines) if pattern.match(line)]
            if number >= len(heads):
                return None
            start = heads[number]
        wanted = re.compile(rf"\s*{re.escape(key)}\s*=")
        for at in range(start, len(lines)):
            if at > start and lines[at].lstrip().startswith("[") and not lines[at].lstrip().startswith("[["):
                break
            if wanted.match(lines[at]):
                return at + 1
            if at > start and lines[at].lstrip().startswith("[["):
                break
        return start + 1 if header else None


def read_toml(path: Path) -> tuple[dict[str, Any], Source]:
    """Return a file's tables and its source, or raise FileFault: not a plain file, too large, not TOML."""
    return parse_toml(read_plain(path), str(path))


def parse_toml(raw: bytes, name: str) -> tuple[dict[str, Any], Source]:
    """Return the tables of TOML bytes and their source, or raise FileFault with the line and the reason."""
    data, text = parsed(raw, name)
    return data, Source(name, text)


@dataclass
class Table:
    """One table of a file, read key by key; `close` refuses keys that nobody asked for."""

    data: Mapping[str, Any]
    source: Source
    where: str = ""
    header: str = ""
    number: int = 0
    asked: set[str] = field(default_factory=set)

    def fault(self, key: str, wrong: str, right: str) -> FileFault:
        """Return the fault for a key: file, line, key, what is wrong, what would be right."""
        line = self.source.line_of(self.header, self.number, key)
        at = f", line {line}" if line else ""
        inside = f"{self.where}: " if self.where else ""
        return FileFault(f"{self.source.name}{at}: {inside}{key}: {wrong}; right would be {right}.")

    def _take(self, key: str) -> Any:
        self.asked.add(key)
        return self.data.get(key)

    def text(self, key: str, default: str | None = None) -> str:
        """Return a text; without a default it must be there and not empty."""
        value = self._take(key)
        if value is None:
            if default is None:
                raise self.fault(key, "missing", "a text")
            return default
        if not isinstance(value, str) or (default is None and not value.strip()):
            raise self.fault(key, f"is {_seen(value)}", "a text")
        return value

    def texts(self, key: str) -> tuple[str, ...]:
        """Return a list of texts (empty when the key is not there)."""
        value = self._take(key)
        if value is None:
            return ()
        if not isinstance(value, list) or not all(isinstance(one, str) and one.strip() for one in value):
            raise self.fault(key, f"is {_seen(value)}", 'a list of texts, such as ["one", "two"]')
        return tuple(value)

    def flag(self, key: str, default: bool = False) -> bool:
        """Return true or false."""
        value = self._take(key)
        if value is None:
            return default
        if not isinstance(value, bool):
            raise self.fault(key, f"is {_seen(value)}", "true or false")
        return value

    def whole(self, key: str, default: int, least: int = 0, most: int = 10**9) -> int:
        """Return a whole number between two bounds."""
        value = self._take(key)
        if value is None:
            return default
        if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
            raise self.fault(key, f"is {_seen(value)}", f"a whole number from {least} to {most}")
        return value

    def one_of(self, key: str, options: tuple[str, ...], default: str | None = None) -> str:
        """Return a text that is one of a few."""
        value = self.text(key, default)
        if value not in options and value != default:
            raise self.fault(key, f"is '{showable(value, 40)}'", _near(value, options))
        return value

    def si(self, key: str, kind: str, default: float | None = None) -> float:
        """Return a measurement written as text ("22 °C"), in SI units."""
        value = self._take(key)
        if value is None and default is not None:
            return default
        return self.read_si(key, value, kind)

    def read_si(self, key: str, value: Any, kind: str, *, negative: bool = False) -> float:
        """Return the SI number of one measurement of this key."""
        if not isinstance(value, str):
            raise self.fault(
                key,
                "missing" if value is None else f"is {_seen(value)}",
                f"a {kind} with its unit, as a text",
            )
        try:
            return float(measure.read(value, kind, field=key, negative=negative))
        except ShopError as error:
            line = self.source.line_of(self.header, self.number, key)
            at = f", line {line}" if line else ""
            raise FileFault(f"{self.source.name}{at}: {self.where}: {error}") from None

    def figure(self, key: str, least: float, most: float) -> float:
        """Return a number between two bounds; it must be there."""
        value = self._take(key)
        good = isinstance(value, (int, float)) and not isinstance(value, bool) and least <= value <= most
        if not good:
            raise self.fault(key, f"is {_seen(value)}", f"a number from {least:.6g} to {most:g}")
        return float(value)

    def needed_schema(self) -> int:
        """Return the file's schema, a whole number from 1; it must be there."""
        if "schema" not in self.data:
            raise self.fault("schema", "missing", "the line schema = 1 at the top")
        return self.whole("schema", 1, 1)

    def known_schema(self, known: int) -> None:
        """Refuse a file that a later program wrote; one without a schema is of the first."""
        schema = self.whole("schema", 1, 1)
        if schema > known:
            raise self.fault("schema", f"is {schema}, of a newer program", f"up to {known}")

    def seconds(self, key: str, most_s: float = 1e10) -> float | None:
        """Return a number of seconds from 0 to below `most_s`, or None when the key is not there."""
        value = self._take(key)
        if value is None:
            return None
        number = isinstance(value, (int, float)) and not isinstance(value, bool)
        if not number or not 0 <= value < most_s:
            raise self.fault(key, "is not a number of seconds", "a number of seconds, such as 25200.0")
        return float(value)

    def moment(self, key: str) -> datetime | None:
        """Return a moment in UTC, or None when the key is not there."""
        value = self._take(key)
        if value is None:
            return None
        if not isinstance(value, datetime):
            raise self.fault(key, f"is {_seen(value)}", "a moment in UTC, such as 2026-03-01T09:30:00Z")
        if value.tzinfo is None:
            raise self.fault(key, "has no time zone", "a moment in UTC, ending in Z")
        if not FIRST_YEAR <= value.year <= LAST_YEAR:
            raise self.fault(key, f"is in the year {value.year}", f"a year from {FIRST_YEAR} to {LAST_YEAR}")
        return value.astimezone(UTC)

    def needed_moment(self, key: str) -> datetime:
        """Return a moment in UTC that must be there."""
        value = self.moment(key)
        if value is None:
            raise self.fault(key, "missing", "a moment in UTC, such as 2026-03-01T09:30:00Z")
        return value

    def table(self, key: str) -> Table:
        """Return a table inside this one (empty when it is not there)."""
        value = self._take(key)
        if value is None:
            value = {}
        if not isinstance(value, Mapping):
            raise self.fault(key, f"is {_seen(value)}", "a table")
        header = f"{self.header}.{key}" if self.header else key
        return Table(value, self.source, f"{self.where} {key}".strip(), header)

    def tables(self, key: str, counted: Iterator[int] | None = None) -> Iterator[Table]:
        """Yield the tables of a list; `counted` numbers them over the whole file, to find their lines."""
        value = self._take(key)
        if value is None:
            return
        if not isinstance(value, list) or not all(isinstance(one, Mapping) for one in value):
            raise self.fault(key, f"is {_seen(value)}", f"a list of tables, each under [[{key}]]")
        header = f"{self.header}.{key}" if self.header else key
        for place, one in enumerate(value):
            name = one.get("id", one.get("name", place + 1))
            where = f"{self.where} {key} {showable(str(name), 40)}".strip()
            yield Table(one, self.source, where, header, next(counted) if counted else place)

    def rest(self) -> dict[str, Any]:
        """Return what nobody asked for: kept as it is when the file is written again."""
        return {key: value for key, value in self.data.items() if key not in self.asked}

    def close(self) -> None:
        """Refuse the first key that nobody asked for."""
        for key in self.rest():
            raise self.fault(
                showable(key, 40), "is not a key of this table", _near(key, tuple(sorted(self.asked)))
            )


def celsius(air_K: float) -> str:
    """Return a temperature as it is kept in files: "17.5 °C", no figure lost that a thermometer shows."""
    return f"{round(air_K - 273.15, 4):g} °C"


def _seen(value: Any) -> str:
    if value is None:
        return "missing"
    if isinstance(value, (date, time)):
        return str(value)
    if isinstance(value, Mapping):
        return "a table"
    return f"{showable(repr(value), 40)}"


def _near(value: str, options: tuple[str, ...]) -> str:
    close = difflib.get_close_matches(value, options, n=1, cutoff=0.6)
    if close:
        return f"'{close[0]}'"
    return "one of: " + ", ".join(options)
