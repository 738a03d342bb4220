"""Working a calculator out: what was typed, taken from the blade or assumed, to an answer with its data.

The order in which a field is filled: what the maker typed, else the blade's own measurement, else
the default. Only the last counts as assumed.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from workshop import measure
from workshop.drawer.declare import Answer, Calculator, Field, Given, Known, Quantity, Result
from workshop.errors import ShopError
from workshop.showable import showable

PLAIN_KINDS = ("choice", "word", "text")
LONGEST = 1000
"""Characters in one field: room for a long list of parts, and no more."""

StoreReader = Callable[[str], Mapping[str, Any]]


@dataclass(frozen=True, slots=True)
class Taken:
    """A field's text that was not typed now, and where it comes from (a measurement's name)."""

    text: str
    where: str


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the answer. value: in `unit`, as data. text: as shown, where the number does not say it."""

    name: str
    says: str
    value: float | str
    unit: str
    kind: str = ""
    si: float | None = None
    digits: int = 2
    text: str = ""

    def shown(self, prefer: measure.Preference | None = None) -> str:
        """Return the value as text, in its own unit or as the maker likes it."""
        if self.si is None:
            return self.text or f"{self.value} {self.unit}".strip()
        if prefer is not None:
            return measure.show(self.si, self.kind, prefer, self.digits, unit=self.unit)
        return measure.write(self.si, self.kind, self.unit, self.digits)


@dataclass(frozen=True, slots=True)
class Worked:
    """A calculator worked out: texts by field, rows by result, and what must be said with it."""

    calculator: Calculator
    given: Mapping[str, str]
    assumed: Mapping[str, str]
    taken: Mapping[str, Taken]
    rows: tuple[Row, ...]
    answer: Answer
    notices: tuple[str, ...] = ()
    read: Mapping[str, Known] = field(default_factory=dict)

    def shown(self) -> list[Row]:
        """Return the rows that a maker reads; the others only say the same to another program."""
        return [row for row in self.rows if not result_named(self.calculator, row.name).data_only]

    def data(self) -> dict[str, Any]:
        """Return the one object that the command line prints."""
        return {
            "calculator": self.calculator.name,
            "given": {name: self._datum(name, text) for name, text in self.given.items()},
            "assumed": {name: self._datum(name, text) for name, text in self.assumed.items()},
            "found": {row.name: {"value": row.value, "unit": row.unit} for row in self.rows},
            "cautions": [
                *self.notices,
                *self.answer.assumed,  # what was taken for granted without being a field's value
                *self.answer.cautions,
                *self.calculator.cautions,
            ],
            "sources": [f"{source.text} ({source.standing})" for source in self.calculator.sources],
        }

    def _datum(self, name: str, text: str) -> dict[str, Any]:
        asked = next(one for one in self.calculator.fields if one.name == name)
        known = self.read.get(name)
        if isinstance(known, float) and asked.kind not in PLAIN_KINDS:
            kind = "length" if asked.kind == "drill" else asked.kind
            return {"value": _number(known, kind, asked.unit), "unit": asked.unit}
        return {"value": text, "unit": ""}


def work_out(
    calculator: Calculator,
    typed: Mapping[str, str],
    stores: StoreReader,
    *,
    taken: Mapping[str, Taken] | None = None,
    now: float | None = None,
    later: bool = False,
) -> Worked:
    """Work a calculator out.

    typed: by field, as typed; empty texts count as not typed. taken: by field, what the blade knows.
    now: seconds since 1970 UTC. later: also do the slow search of a calculator that has one.
    Raises ShopError with one sentence for a field that is missing, cannot be read, or cannot be.
    """
    given, assumed, used = _filled(calculator, typed, taken or {})
    handed = {name: stores(name) for name in calculator.stores}
    values, notices = _read_all(calculator, {**assumed, **given}, handed, typed)
    ready = Given(values, handed, now)
    answer = calculator.work(ready)
    if later and calculator.later is not None:
        more = calculator.later(ready)
        answer = Answer(
            {**answer.found, **more.found},
            (*answer.cautions, *more.cautions),
            (*answer.working, *more.working),
            (*answer.assumed, *more.assumed),
            more.figure or answer.figure,
        )
    rows = tuple(_row(calculator, name, value) for name, value in answer.found.items())
    return Worked(calculator, given, assumed, used, rows, answer, notices, values)


def _filled(
    calculator: Calculator, typed: Mapping[str, str], taken: Mapping[str, Taken]
) -> tuple[dict[str, str], dict[str, str], dict[str, Taken]]:
    """Return by field the texts that are given, those assumed, and which of the given the blade filled."""
    by_name = {one.name: one for one in calculator.fields}
    for name in typed:
        if name not in by_name:
            raise ShopError(f"{calculator.name} has no field '{name}'; it has: {', '.join(by_name)}.")
    given: dict[str, str] = {}
    assumed: dict[str, str] = {}
    used: dict[str, Taken] = {}
    for one in calculator.fields:
        text = _clean(one.name, typed.get(one.name, ""))
        filled = taken.get(one.name)
        if text:
            given[one.name] = text
        elif filled is not None:
            given[one.name] = filled.text
            used[one.name] = filled
        elif one.default is not None:
            assumed[one.name] = one.default
        elif not one.optional:
            raise ShopError(
                f"{calculator.name} needs {one.name} ({one.says}), such as {_example(calculator, one)}."
            )
    return given, assumed, used


def _clean(name: str, text: str) -> str:
    """Refuse what no field of a calculator can mean, so that no sentence repeats it."""
    if len(text) > LONGEST:
        raise ShopError(f"{name}: {len(text)} characters are too long; right would be {LONGEST} at most.")
    plain = "".join(" " if letter.isspace() else letter for letter in text)
    if showable(plain, limit=LONGEST) != plain:
        raise ShopError(
            f"{name}: '{showable(text, 40)}' holds signs that do not belong in a field; type it again."
        )
    return text.strip()


def _read_all(
    calculator: Calculator,
    texts: Mapping[str, str],
    handed: Mapping[str, Mapping[str, Any]],
    typed: Mapping[str, str],
) -> tuple[dict[str, Known], tuple[str, ...]]:
    values: dict[str, Known] = dict.fromkeys(one.name for one in calculator.fields)
    notices: list[str] = []
    for one in calculator.fields:
        text = texts.get(one.name)
        if text is None:
            continue
        if one.many:
            values[one.name] = tuple(
                _read(one, part.strip(), handed, notices) for part in text.split(";") if part.strip()
            )
        else:
            values[one.name] = _read(one, text, handed, notices)
        _keep_basis(calculator, one, text, typed, values)
    return values, tuple(notices)


def _read(asked: Field, text: str, handed: Mapping[str, Mapping[str, Any]], notices: list[str]) -> Known:
    if asked.kind == "choice":
        for option in asked.choices:
            if text.casefold() == option.casefold():
                return option
        raise ShopError(
            f"{asked.name}: '{text[:40]}' is not offered; right would be one of: {', '.join(asked.choices)}."
        )
    if asked.kind in PLAIN_KINDS:
        return text
    if asked.kind == "drill":
        kind = "length"
        measured: measure.Measure | float = _read_drill(asked, text, handed)
    else:
        negative = bool(asked.hard[0] and asked.hard[0].startswith("-"))
        kind = asked.kind
        measured = measure.read(text, kind, unit=asked.unit, field=asked.name, negative=negative)
    if not math.isfinite(float(measured)):
        raise ShopError(f"{asked.name}: '{text[:40]}' is too large for a shop.")
    measure.check_hard(measured, kind, *asked.hard, asked.name, unit=asked.unit)
    notice = measure.check_likely(measured, kind, *asked.likely, asked.name, unit=asked.unit)
    if notice:
        notices.append(notice)
    return float(measured)


def _read_drill(asked: Field, text: str, handed: Mapping[str, Mapping[str, Any]]) -> float:
    from workshop.trade import drills  # loaded only for a calculator that asks for a drill

    sizes = drills.sizes(handed["drills"]) if "drills" in handed else {}
    return measure.read_drill(text, sizes, unit=asked.unit, field=asked.name)[1]


def _keep_basis(
    calculator: Calculator, asked: Field, text: str, typed: Mapping[str, str], values: dict[str, Known]
) -> None:
    """A ratio written "100:27 by weight" says its basis itself, unless the maker typed another."""
    if asked.kind != "ratio":
        return
    basis = measure.read(text, "ratio", field=asked.name).basis
    other = next((one for one in calculator.fields if one.name == f"{asked.name}-by"), None)
    if basis and other is not None and not typed.get(other.name, "").strip():
        values[other.name] = basis


def _row(calculator: Calculator, name: str, value: float | str | Quantity) -> Row:
    result = result_named(calculator, name)
    says = f"{result.says} {name[len(result.name) :].strip()}".strip() if result.family else result.says
    if isinstance(value, str):
        return Row(name, says, value, "", result.kind)
    if isinstance(value, Quantity):
        return Row(name, says, value.value, value.unit, result.kind, text=value.text)
    measured = result.kind in measure.KINDS
    return Row(
        name,
        says,
        _number(value, result.kind, result.unit),
        result.unit,
        result.kind,
        value if measured else None,
        result.digits,
    )


def result_named(calculator: Calculator, name: str) -> Result:
    """Return the declaration of a result, also of one of a family ("width 40 mm")."""
    for result in calculator.results:
        if result.name == name or (result.family and name.startswith(f"{result.name} ")):
            return result
    raise LookupError(f"{calculator.name} gives '{name}', which it does not declare")


def _number(si: float, kind: str, unit: str) -> float:
    """Return an SI value in a unit, less the last digits that only floats know."""
    known = measure.KINDS.get(kind)
    value = measure.in_unit(si, kind, unit) if known is not None and known.natural else si
    return float(f"{value:.12g}")


def _example(calculator: Calculator, asked: Field) -> str:
    return (
        calculator.example.given.get(asked.name)
        or asked.default
        or (asked.choices[0] if asked.choices else "a value")
    )


def taken_from(calculator: Calculator, values: Mapping[str, str]) -> dict[str, Taken]:
    """Return what a blade's measurements fill: by field, the text of the first one that is known."""
    found: dict[str, Taken] = {}
    for one in calculator.fields:
        name = next((name for name in one.fills_from if name in values), None)
        if name is not None:
            found[one.name] = Taken(values[name], name)
    return found
