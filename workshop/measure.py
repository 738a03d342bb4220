"""Reading what a maker types, by a closed grammar, exactly; or refusing it in one sentence.

Everything that is typed into a field or after a command goes through `read`. The text is
never worked out as an expression: it is matched, piece by piece, against the few forms that a
shop writes (``1 1/4 in``, ``5/32in + 4 thou``, ``1 lb 3 oz``, ``1:30``, ``100:27 by weight``), with
whole numbers all the way, and whatever does not fit is refused. Writing is in `workshop.writing`
and is offered from here as well; the table of units is in `workshop.units`.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import NoReturn

from workshop.errors import ShopError
from workshop.grammar import MEANT, Reader, Unread, read_sum
from workshop.showable import showable
from workshop.units import KINDS, Unit, find_unit, kinds_of, outside_unit
from workshop.writing import Preference, both, in_unit, next_preference, precise, show, write

__all__ = [
    "KINDS",
    "Measure",
    "Preference",
    "Unit",
    "both",
    "check_hard",
    "check_likely",
    "find_unit",
    "in_unit",
    "kinds_of",
    "next_preference",
    "outside_unit",
    "precise",
    "read",
    "read_drill",
    "read_many",
    "show",
    "write",
]

LONGEST = 200
"""Characters; nothing a maker measures is longer, and a longer text is refused unread."""
MOST_OF_MANY = 2000
"""Characters in a series of measures, each of them no longer than LONGEST."""


_PAST_MEANING = 10**100
"""A product of numbers may pass any of them; well inside what a float can hold."""


@dataclass(frozen=True, slots=True)
class Measure:
    """A measure as it was read: exact SI value, kind, the unit and the text it was written in.

    basis: ``"weight"`` or ``"volume"`` where a ratio says so, else empty.
    """

    value: Fraction
    kind: str
    unit: str
    text: str
    basis: str = ""

    def __float__(self) -> float:
        return float(self.value)


_CLOCK = re.compile(r"([0-9]{1,4}):([0-5][0-9])(?::([0-5][0-9]))?")
_HOURS = re.compile(r"([0-9]{1,4}) ?[hH] ?([0-5][0-9])")
_RATIO = re.compile(
    r"(?P<a>[0-9., ½¼¾⅓⅔⅛⅜⅝⅞/]{1,40}?) ?(?P<mark>:|/|\bto\b) ?(?P<b>[0-9., ½¼¾⅓⅔⅛⅜⅝⅞/]{1,40}?)"
    r"(?: ?(?:by )?(?P<basis>weight|wt|mass|volume|vol|w/w|v/v)\.?)?",
    re.IGNORECASE,
)
_MONEY = re.compile(
    r"(?P<before>[$€£¥]|[A-Z]{3}(?![A-Za-z]))? ?(?P<n>[0-9.,]{1,40}) ?(?P<after>[$€£¥]|[A-Z]{3})?"
)
_HAS_UNIT = re.compile(r"[A-Za-zµ'\"]")
_CURRENCIES = frozenset({"$", "€", "£", "¥"}) | frozenset(
    {"AUD", "CAD", "CHF", "CZK", "DKK", "EUR", "GBP", "JPY", "NOK", "NZD", "PLN", "SEK", "USD", "ZAR"}
)


Reading = tuple[Fraction, str, str]
"""SI value, short name of the unit it was written in, basis of a ratio."""


def _says(kind: str) -> str:
    return KINDS[kind].says if kind in KINDS else "a measure"


def _refuse(field: str, text: str, kind: str, unread: Unread, example: str) -> NoReturn:
    """Raise the one exception with its one sentence: where, what was typed, why, what would do."""
    plain = text[:LONGEST].translate(MEANT).strip(" ")
    ways = [plain.replace(unread.wrong, way, 1).replace("  ", " ") for way in unread.rather]
    known = example or (KINDS[kind].example if kind in KINDS else "")
    rather = showable(" or ".join(ways), 60) or known
    advice = f"; write for example {rather}" if rather else ""
    shown = showable(text[:LONGEST].strip(), 40)
    raise ShopError(f'{field}: "{shown}" cannot be read as {_says(kind)}: {unread.why}{advice}.')


def _read_time(text: str, unit: str, outside: bool) -> Reading:
    if found := _CLOCK.fullmatch(text):
        return Fraction(int(found[1]) * 3600 + int(found[2]) * 60 + int(found[3] or 0)), "h", ""
    if found := _HOURS.fullmatch(text):
        return Fraction(int(found[1]) * 3600 + int(found[2]) * 60), "h", ""
    if ":" in text:
        why = "minutes and seconds are written with two figures each, up to 59"
        raise Unread(why, text, ("1:30", "1:30:00"))
    return (*read_sum(text, "time", unit, outside), "")


def _plain(text: str) -> Fraction:
    """Return the one unsigned number that a text is."""
    reader = Reader(text, "number", False)
    reader.blank()
    number = reader.number()
    if number is None or not reader.done():
        raise Unread(f"{reader.rest() or 'nothing'} is not a number")
    return number.value


def _read_ratio(text: str, unit: str, outside: bool) -> Reading:
    found = _RATIO.fullmatch(text)
    if not found:
        raise Unread("a ratio is two numbers with : or to between them")
    if found["mark"] == "/" and "/" in found["a"] + found["b"]:
        raise Unread("which / stands between its two numbers is not certain")
    first, second = _plain(found["a"]), _plain(found["b"])
    if not first or not second:
        raise Unread("neither number of a ratio can be nothing")
    word = (found["basis"] or "").casefold()
    basis = "" if not word else "volume" if word[0] == "v" else "weight"
    return first / second, "", basis


def _read_money(text: str, unit: str, outside: bool) -> Reading:
    found = _MONEY.fullmatch(text)
    if not found:
        raise Unread("it is not one amount")
    marks = {mark for mark in (found["before"], found["after"]) if mark}
    if unknown := marks - _CURRENCIES:
        raise Unread(f"{unknown.pop()} is no currency known here")
    if len(marks | ({unit} if unit else set())) > 1:
        raise Unread(
            "it names two currencies" if len(marks) > 1 else f"it is not in {unit}, as this field is"
        )
    return _plain(found["n"]), next(iter(marks), unit), ""


def _read_number(text: str, unit: str, outside: bool) -> Reading:
    """Read a plain number or a product of plain numbers (``15 x 4``); its label may follow."""
    reader = Reader(text, "number", False)
    sign = reader.sign()
    rest = text[reader.at :]
    for label in (unit, unit.removesuffix("s")):
        if label and rest.casefold().endswith(label.casefold()):
            rest = rest[: -len(label)]
            break
    factors = [_plain(factor) for factor in rest.split("x")]
    if len(factors) > 1 and not all(factors):
        raise Unread("a part of a product cannot be nothing")
    value = math.prod(factors, start=Fraction(-1 if sign == "-" else 1))
    return value, unit, ""


def _read_count(text: str, unit: str, outside: bool) -> Reading:
    value, label, basis = _read_number(text, unit, outside)
    if value.denominator != 1:
        raise Unread("there are no parts of one")
    return value, label, basis


def _read_coefficient(text: str, unit: str, outside: bool) -> Reading:
    return _read_number(re.sub(r" ?(?:per|/) ?%$", "", text), "", outside)


def _read_hardness(text: str, unit: str, outside: bool) -> Reading:
    if text[:3].upper() == "HRC":
        text = text[3:].lstrip() + " HRC"
    return (*read_sum(text, "hardness", unit, outside), "")


def _product(kind: str, sides: int) -> Callable[[str, str, bool], Reading]:
    """Return the reader of an area or a volume: with its own unit, or as lengths with x between."""

    def reading(text: str, unit: str, outside: bool) -> Reading:
        lengths = text.split("x")
        if len(lengths) == 1:
            return (*read_sum(text, kind, unit, outside), "")
        if len(lengths) != sides:
            raise Unread(f"it takes {sides} lengths, not {len(lengths)}")
        value, last = read_sum(lengths[-1].strip(), "length", "", outside)
        for length in lengths[:-1]:
            side, used = read_sum(length.strip(), "length", last, outside)
            if used != last and not _HAS_UNIT.search(length):
                raise Unread(
                    f"whether {showable(length.strip(), 24)} is in {used} or in {last} is not certain"
                )
            value *= side
        return value, unit, ""

    return reading


_FORMS: Mapping[str, Callable[[str, str, bool], Reading]] = {
    "time": _read_time,
    "ratio": _read_ratio,
    "money": _read_money,
    "number": _read_number,
    "count": _read_count,
    "coefficient": _read_coefficient,
    "hardness": _read_hardness,
    "area": _product("area", 2),
    "volume": _product("volume", 3),
}


def read(
    text: str,
    kind: str,
    *,
    unit: str = "",
    field: str = "value",
    example: str = "",
    negative: bool = False,
    outside: bool = False,
) -> Measure:
    """Return what a maker typed as an exact measure in SI.

    kind: one of `KINDS`. unit: what a bare number is in; without one a bare number is refused
    where the kind has units (fractions of a length are inches all the same). field, example:
    named in the sentence of a refusal. negative: whether less than nothing can be meant here.
    outside: whether a unit that is not in the table may be asked of the units library.
    Raises ShopError with one sentence for anything else; never returns a value in doubt.
    """
    if len(text) > LONGEST and not text.isspace():
        _refuse(field, text, kind, Unread(f"it is {len(text)} characters long"), example)
    plain = text[:LONGEST].translate(MEANT).strip(" ")
    try:
        if not plain:
            raise Unread("it is empty")
        reading = _FORMS.get(kind)
        if reading:
            value, used, basis = reading(plain, unit, outside)
        else:
            value, used = read_sum(plain, kind, unit, outside)
            basis = ""
        _sane(value, kind, negative)
    except Unread as unread:
        _refuse(field, text, kind, unread, example)
    return Measure(value, kind, used, " ".join(text.split()), basis)


def _sane(value: Fraction, kind: str, negative: bool) -> None:
    if value and not Fraction(1, _PAST_MEANING) < abs(value) < _PAST_MEANING:
        raise Unread("a number of that size cannot be meant")
    if kind == "temperature" and value < 0:
        raise Unread("it is below absolute zero")
    if value < 0 and not negative and kind in KINDS and not KINDS[kind].signed:
        raise Unread("it is less than nothing")
    if kind == "humidity" and value > 1:
        raise Unread("air holds no more than 100 %")


def read_many(
    text: str, kind: str, *, unit: str = "", field: str = "value", example: str = "", negative: bool = False
) -> tuple[Measure, ...]:
    """Return several measures typed with ``;`` between them, each read as `read` reads one."""
    if len(text) > MOST_OF_MANY and not text.isspace():
        _refuse(field, text, kind, Unread(f"it is {len(text)} characters long"), example)
    pieces = text[:MOST_OF_MANY].split(";")
    one = len(pieces) == 1
    return tuple(
        read(
            piece,
            kind,
            unit=unit,
            field=field if one else f"{field}, value {place} of {len(pieces)}",
            example=example,
            negative=negative,
        )
        for place, piece in enumerate(pieces, start=1)
    )


def _beyond(
    value: Measure | float, kind: str, limits: tuple[str | None, str | None], field: str, unit: str
) -> tuple[str, str, str] | None:
    """Return what was given, "more" or "less", and the limit it is past; None inside the limits."""
    given = value.value if isinstance(value, Measure) else Fraction(value)
    own = value.unit if isinstance(value, Measure) else unit
    typed = showable(value.text, 40) if isinstance(value, Measure) else write(given, kind, unit)
    for text, past in zip(limits, ("less", "more"), strict=True):
        if text is None:
            continue
        limit = read(text, kind, unit=unit, field=f"limit of {field}", negative=True)
        # A float that stands at the limit is not past it, whatever its last bit.
        edge = limit.value if isinstance(value, Measure) else Fraction(float(limit.value))
        if given < edge if past == "less" else given > edge:
            theirs = write(limit.value, kind, own)
            same = limit.unit == own or kind in ("ratio", "money")
            return typed, past, text if same else f"{text} ({theirs})"
    return None


def check_likely(
    value: Measure | float, kind: str, least: str | None, most: str | None, field: str, *, unit: str = ""
) -> str | None:
    """Return a notice when a measure is outside what is likely for its field, else None.

    least, most: limits as a maker would write them, None for none; unit: what a bare limit is in.
    """
    if found := _beyond(value, kind, (least, most), field, unit):
        typed, past, limit = found
        edge = "least" if past == "less" else "most"
        return (
            f"{field}: {typed} is {past} than is likely here, {limit} at {edge}; check it before you go on."
        )
    return None


def check_hard(
    value: Measure | float, kind: str, least: str | None, most: str | None, field: str, *, unit: str = ""
) -> None:
    """Raise ShopError when a measure is outside what is possible for its field."""
    if found := _beyond(value, kind, (least, most), field, unit):
        typed, past, limit = found
        edge = "least" if past == "less" else "most"
        raise ShopError(f"{field}: {typed} is {past} than can be; give {limit} at {edge}.")


def _drill_name(text: str) -> str:
    """Return a drill's name in one spelling: "No. 21", "no 21" and "#21" are "#21"."""
    plain = re.sub(r" +", "", text.translate(MEANT)).casefold()
    plain = re.sub(r"^(?:no\.?|number|nr\.?|#)(?=[0-9])", "#", plain)
    plain = re.sub(r"^letter(?=[a-z]$)", "", plain)
    return re.sub(r"(?<=[0-9])(?:gauge|gage|ga\.?)$", "ga", plain)


def is_drill_name(text: str) -> bool:
    """Whether a text can only be a drill's name: "#21", "No. 21", "F". A bare number is a length."""
    return re.fullmatch(r"#[0-9]+|[a-z]", _drill_name(text[:LONGEST].strip())) is not None


def read_drill(
    text: str, sizes: Mapping[str, float], *, unit: str = "", field: str = "drill", example: str = ""
) -> tuple[str, float]:
    """Return a drill's name and its diameter in metres, from a name or from any length.

    sizes: diameters in metres by name ("#21", "F", "5/32", "4.1 mm"). A bare whole number that
    is a number drill as well as a length is refused. A length with no drill of that size gives
    the text as the name. unit: what a bare decimal is in. Raises ShopError.
    """
    example = example or "#21, F, 5/32 or 4.1 mm"
    if len(text) > LONGEST and not text.isspace():
        _refuse(field, text, "length", Unread(f"it is {len(text)} characters long"), example)
    wanted = _drill_name(text)
    names = {_drill_name(name): name for name in sizes}
    if wanted in names:
        return names[wanted], sizes[names[wanted]]
    if re.fullmatch(r"#[0-9]+|[a-z]|[0-9]+ga", wanted):
        raise ShopError(
            f'{field}: "{showable(text, 40)}" is no drill in the list; write for example {example}.'
        )
    if f"#{wanted}" in names:
        why = f"whether drill #{wanted} or a size is meant is not certain"
        ways = (f"#{wanted}", f"{wanted} {unit or 'mm'}")
        _refuse(field, text, "length", Unread(why, wanted, ways), example)
    size = read(text, "length", unit=unit, field=field, example=example)
    for name, metres in sizes.items():
        if abs(metres - float(size)) < 5e-8:
            return name, metres
    if not size.value:
        _refuse(field, text, "length", Unread("a drill has a size"), example)
    return showable(size.text, 40), float(size)
