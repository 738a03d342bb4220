"""How a calculator is declared.

One declaration serves the drawer pane, the command line, the help, the slip kept on a
blade and the record. Text stays as the maker wrote it until `drawer.run` reads it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

Standing = Literal["published", "secondary", "common practice", "computed", "from memory"]
"""How far a source can be trusted; shown beside it, never hidden."""

Known = float | str | tuple[Any, ...] | None
"""A field's value inside a calculator: SI number, chosen word, or a series of either."""

Limits = tuple[str | None, str | None]
"""Least and most, as a maker would write them (``"0.5 mm"``); None for no limit."""


@dataclass(frozen=True, slots=True)
class Source:
    """Where a formula, a value or a rule comes from, and how well that is known."""

    text: str
    standing: Standing = "published"


@dataclass(frozen=True, slots=True)
class Field:
    """One thing a calculator asks for.

    kind: a kind of measure (see `workshop.measure`), or ``"choice"`` (one of `choices`),
        ``"word"`` (free text: a species, a store entry), ``"drill"`` (a drill's size or name),
        or ``"text"`` (a little language of the calculator's own, which it reads itself).
    unit: what a bare number is in, and how the answer shows this field.
    default: as a maker would type it; taken, and shown as assumed, when nothing is given.
    optional: may stay empty; the calculator then sees None.
    hard: outside these it is refused (physics, or the source's stated range).
    likely: outside these it is answered with a standing notice.
    fills_from: names of the blade's measurements that fill it; the first one known is taken.
    alike: part of what makes a use "the same again" (species, adhesive, metal).
    many: may be given as several values separated by ``;``; the calculator sees a tuple.
    """

    name: str
    kind: str
    says: str
    unit: str = ""
    default: str | None = None
    optional: bool = False
    choices: tuple[str, ...] = ()
    hard: Limits = (None, None)
    likely: Limits = (None, None)
    fills_from: tuple[str, ...] = ()
    alike: bool = False
    many: bool = False


@dataclass(frozen=True, slots=True)
class Result:
    """One thing a calculator finds.

    unit: in which it is shown and given as data. digits: how many decimals in that unit
    the sources justify. family: one of several with the same beginning, one a station;
    the calculator names them ``"width 40 mm"`` and so on. data_only: for another program; what a maker
    reads of it stands in another result.
    """

    name: str
    kind: str
    says: str
    unit: str = ""
    digits: int = 2
    family: bool = False
    data_only: bool = False


@dataclass(frozen=True, slots=True)
class Given:
    """What a calculator's function is handed: values by field, and the stores it declared."""

    values: Mapping[str, Known]
    stores: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    now: float | None = None
    """Seconds since 1970 UTC, only for calculators that answer with times of day."""

    def number(self, name: str) -> float:
        """Return the SI number of a field that is known to be given."""
        value = self.values[name]
        if not isinstance(value, (int, float)):
            raise TypeError(f"{name} is {value!r}, not a number")
        return float(value)

    def maybe(self, name: str) -> float | None:
        """Return the SI number of an optional field, or None."""
        return None if self.values.get(name) is None else self.number(name)

    def word(self, name: str) -> str:
        """Return the word of a choice or text field ("" when it stayed empty)."""
        value = self.values.get(name)
        return "" if value is None else str(value)


@dataclass(frozen=True, slots=True)
class Quantity:
    """A found number whose unit is only known when it is worked (a conversion's)."""

    value: float
    unit: str
    text: str


@dataclass(frozen=True, slots=True)
class Answer:
    """What a calculator's function gives back.

    found: by result name, SI numbers, text, or numbers in a unit of their own; what does not apply
        is left out.
    cautions: standing notices (outside the likely range, below a floor).
    working: the formula with the numbers put in, so that it can be checked at the bench.
    assumed: what the calculator itself had to assume, in words.
    figure: a small drawing in characters, at most 60 wide and 12 high, or none.
    """

    found: Mapping[str, float | str | Quantity]
    cautions: tuple[str, ...] = ()
    working: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    figure: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Example:
    """A worked example that is shown in the help and runs as a test.

    given: as a maker would type it. found: by result, the expected value in the result's
    unit (number, compared within `within`) or text (compared whole).
    """

    given: Mapping[str, str]
    found: Mapping[str, float | str]
    source: Source
    within: float = 0.01


@dataclass(frozen=True, slots=True)
class Calculator:
    """A calculator: everything about it in one place.

    name: as typed (``pin-drill``). title: as read. purpose: one line, why a maker opens it.
    valid: the range for which the sources hold, in words. stores: names of the stores its
    function reads. cautions: shown whenever it is used. later: a slower search whose answer
    follows the first one; the screen asks for it aside.
    """

    name: str
    title: str
    purpose: str
    fields: tuple[Field, ...]
    results: tuple[Result, ...]
    work: Callable[[Given], Answer]
    sources: tuple[Source, ...]
    valid: str
    example: Example
    stores: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    needs_now: bool = False
    later: Callable[[Given], Answer] | None = None
