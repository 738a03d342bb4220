"""The closed grammar of a shop measurement: numbers, units, and sums of them.

The text moves past a reader from left to right, once. Every pattern is matched at one place
and can match in one way only, so that no text can cost time; whatever does not fit raises
`Unread`, which says why and what to write in its place.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from workshop.showable import showable
from workshop.units import KINDS, UNSURE, Unit, find_unit, kinds_of, outside_unit, unit_pattern, units_of

MOST_DIGITS = 30
"""In one number: more than any gauge shows, and few enough that no text can cost time."""
MOST_EXPONENT = 30


# What phones and word processors make of plain characters, read as meant.
MEANT = {
    **{code: code - 0xFEE0 for code in range(0xFF01, 0xFF5F)},
    **dict.fromkeys(
        map(ord, "\t\n\r\u00a0\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a\u202f\u205f\u3000"), " "
    ),
    **dict.fromkeys(map(ord, "\u2212\u2010\u2011\u2012\u2013\u2014\ufe63"), "-"),
    **dict.fromkeys(map(ord, "\u2032\u2018\u2019\u02b9\u02bc\u00b4`"), "'"),
    **dict.fromkeys(map(ord, "\u2033\u201c\u201d\u201e\u02ba\u3003"), '"'),
    **dict.fromkeys(map(ord, "\u00d7\u2715\u2a2f"), "x"),
    **dict.fromkeys(map(ord, "\u2215\u00f7"), "/"),
    **dict.fromkeys(map(ord, "\u00ba\u02da"), "°"),
    ord("\u2236"): ":",
    ord("\u2103"): "°C",
    ord("\u2109"): "°F",
    ord("\u212a"): "K",
    ord("\u03bc"): "µ",
    ord("\u066a"): "%",
}
_VULGAR = {
    mark: Fraction(top, bottom)
    for bottom, tops in (
        (2, {"½": 1}),
        (3, {"⅓": 1, "⅔": 2}),
        (4, {"¼": 1, "¾": 3}),
        (5, {"⅕": 1, "⅖": 2, "⅗": 3, "⅘": 4}),
        (6, {"⅙": 1, "⅚": 5}),
        (7, {"⅐": 1}),
        (8, {"⅛": 1, "⅜": 3, "⅝": 5, "⅞": 7}),
        (9, {"⅑": 1}),
        (10, {"⅒": 1}),
    )
    for mark, top in tops.items()
}
_RAISED = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉", "01234567890123456789")

_MIXED = re.compile(r"([0-9]+)(?: +|-)([0-9]+) ?[/⁄] ?([0-9]+)(?![0-9.,/⁄])")
_FRACTION = re.compile(r"([0-9]+) ?[/⁄] ?([0-9]+)(?![0-9.,/⁄])")
_SIGN = re.compile(r"(?:([0-9]+)(?: ?|-))?([½¼¾⅓⅔⅛⅜⅝⅞⅕⅖⅗⅘⅙⅚⅐⅑⅒]|[⁰¹²³⁴-⁹]+[⁄/][₀-₉]+)")
_DECIMAL = re.compile(r"((?:[0-9]+|(?=[.,][0-9]))(?:[.,][0-9]+)*)(?:[eE]([+-]?[0-9]+)(?![0-9.,]))?")
_LEADING_NUMBER = re.compile(r"[-+]? ?[.,]?[0-9½¼¾⅓⅔⅛⅜⅝⅞⅕⅖⅗⅘⅙⅚⅐⅑⅒⁰¹²³⁴-⁹]")
_WORD = re.compile(r"[A-Za-zµ°%\"'_]+[²³^]?(?:/[A-Za-z0-9²³^]+)*")

_PARTS = (
    ("yd", "ft", "in"),
    ("m", "cm", "mm"),
    ("wk", "d", "h", "min", "s"),
    ("kg", "g", "mg"),
    ("lb", "oz"),
    ("deg", "arcmin", "arcsec"),
)
_BINARY = frozenset({2, 4, 8, 16, 32, 64, 128})


class Unread(Exception):
    """Why a text does not fit the grammar.

    wrong: the piece of the text at fault; rather: what to put in its place, each a way out.
    """

    def __init__(self, why: str, wrong: str = "", rather: tuple[str, ...] = ()) -> None:
        super().__init__(why)
        self.why, self.wrong, self.rather = why, wrong, rather


def _whole(digits: str) -> int:
    if len(digits) > MOST_DIGITS:
        raise Unread(f"a number of {len(digits)} digits is more than can be meant")
    return int(digits)


def _over(above: str, below: str) -> Fraction:
    if not _whole(below):
        raise Unread(f"{above}/{below} divides by nothing")
    return Fraction(_whole(above), _whole(below))


def _decimal(blob: str, exponent: str | None) -> Fraction:
    """Return the number of digits with at most one mark; a mark that could be either is refused."""
    marks = [letter for letter in blob if letter in ".,"]
    if len(set(marks)) == 2:
        point = max(blob.rfind("."), blob.rfind(","))
        meant = re.sub(r"[.,]", "", blob[:point]) + "." + blob[point + 1 :]
        raise Unread(f"which mark in {showable(blob, 24)} is the decimal mark is not certain", blob, (meant,))
    if len(marks) > 1:
        raise Unread(f"{showable(blob, 24)} has {len(marks)} decimal marks")
    if re.fullmatch(r"[1-9][0-9]{0,2},[0-9]{3}", blob):
        thousand, part = blob.replace(",", ""), blob.replace(",", ".")
        raise Unread(f"whether {blob} is {thousand} or {part} is not certain", blob, (thousand, part))
    plain = blob.replace(",", ".")
    if (digits := len(plain.replace(".", ""))) > MOST_DIGITS:
        raise Unread(f"a number of {digits} digits is more than can be meant")
    power = exponent or "0"
    if len(power) > 4 or abs(int(power)) > MOST_EXPONENT:
        raise Unread("a number of that size cannot be meant")
    return Fraction(plain) * Fraction(10) ** int(power)


@dataclass(frozen=True, slots=True)
class Number:
    """A number as written: exact, and whether as a fraction."""

    value: Fraction
    fraction: int
    """The denominator it was written with, 0 for a decimal."""
    text: str


def _noun(kind: str) -> str:
    """Return a kind as it is called in a sentence: a share is a percentage."""
    says = KINDS[kind].says if kind in KINDS else kind
    return says.split(" ", 1)[1] if says.startswith(("a ", "an ")) else says


class Reader:
    """A place in a text, moving to the right only."""

    def __init__(self, text: str, kind: str, outside: bool) -> None:
        self.text, self.kind, self.outside = text, kind, outside
        self.at = 0

    def blank(self) -> None:
        """Move past spaces."""
        while self.text.startswith(" ", self.at):
            self.at += 1

    def done(self) -> bool:
        """Whether nothing but spaces is left."""
        self.blank()
        return self.at >= len(self.text)

    def rest(self) -> str:
        """Return what is left, fit for a sentence."""
        return showable(self.text[self.at :], 24)

    def sign(self) -> str:
        """Read a plus or a minus, "" when neither stands here."""
        self.blank()
        mark = self.text[self.at : self.at + 1]
        if mark not in ("+", "-"):
            return ""
        self.at += 1
        self.blank()
        return mark

    def number(self) -> Number | None:
        """Read one unsigned number, or None when there is none here."""
        text, at = self.text, self.at
        if found := _SIGN.match(text, at):
            whole, mark = found.groups()
            part = _VULGAR.get(mark) or _over(*re.split("[⁄/]", mark.translate(_RAISED)))
            value, bottom = _proper(whole, part), part.denominator
        elif found := _MIXED.match(text, at):
            value, bottom = _proper(found[1], _over(found[2], found[3])), int(found[3])
        elif found := _FRACTION.match(text, at):
            value, bottom = _over(found[1], found[2]), int(found[2])
        elif (found := _DECIMAL.match(text, at)) and found[1]:
            value, bottom = _decimal(found[1], found[2]), 0
        else:
            return None
        self.at = found.end()
        return Number(value, bottom, found[0])

    def unit(self) -> Unit | None:
        """Read the unit that stands here, None when the text goes on without one."""
        self.blank()
        if self.at >= len(self.text) or self.text[self.at] in "+-0123456789.,":
            return None
        found = unit_pattern(self.kind).match(self.text, self.at)
        if found:
            unit = find_unit(found[0].rstrip("."), self.kind)
            if unit:
                self.at = found.end()
                return unit
        word = _WORD.match(self.text, self.at)
        if not word:
            raise Unread(f"{self.rest()} is no part of a measure")
        unit = self._elsewhere(word[0])
        self.at = word.end()
        return unit

    def _elsewhere(self, word: str) -> Unit:
        """Return a unit from outside the table where that is wanted; else say what the word is."""
        if unsure := UNSURE.get((self.kind, word.casefold())):
            raise Unread(unsure[0], word, unsure[1])
        for kind in kinds_of(word):
            raise Unread(f"{showable(word, 24)} is a unit of {_noun(kind)}, not of {_noun(self.kind)}")
        unit = outside_unit(word) if self.outside else None
        if unit and unit.kind == self.kind:
            return unit
        if unit:
            raise Unread(f"{showable(word, 24)} is not a unit of {self.kind}")
        offered = ", ".join(dict.fromkeys(u.short for u in units_of(self.kind)[:6]))
        raise Unread(f"{showable(word, 24)} is no unit of {self.kind} known here ({offered} are)")


def _proper(whole: str | None, part: Fraction) -> Fraction:
    if whole is None:
        return part
    if part >= 1:
        raise Unread("the fraction after a whole number is less than one")
    return _whole(whole) + part


def _follows(before: Unit, unit: Unit) -> bool:
    """Whether the second is a smaller part that is written after the first (ft, in)."""
    for run in _PARTS:
        if before.short in run and unit.short in run:
            return run.index(before.short) < run.index(unit.short)
    return False


def _bare(number: Number, kind: str, unit: str, outside: bool) -> Unit:
    """Return the unit of a number that was written without one."""
    known = find_unit(unit, kind) or (outside_unit(unit) if outside and unit else None)
    if known is not None and known.short == "%" and number.fraction:
        part = number.value
        ways = tuple(f"{float(n):.6g} %" for n in (part, 100 * part))
        raise Unread(f"whether {part} is {ways[0]} or {ways[1]} is not certain", number.text, ways)
    if (
        kind == "length"
        and number.fraction in _BINARY
        and (known is None or known.short not in ("in", "ft", "yd"))
    ):
        # Halves to 128ths of a length are inches on any bench; a millimetre is divided by tens.
        if known is not None and known.short in ("thou", "µm"):
            ways = tuple(f"{number.text} {short}" for short in ("in", known.short))
            raise Unread("a fraction without a unit is not certain here", number.text, ways)
        return units_of("length")[1]
    if known is None:
        offered = ", ".join(dict.fromkeys(u.short for u in units_of(kind)[:6]))
        raise Unread(f"it has no unit ({offered} are some)")
    return known


def _quantity(reader: Reader) -> list[tuple[Number, Unit | None]]:
    """Read one quantity: a number with its unit, and the smaller parts that follow it."""
    parts: list[tuple[Number, Unit | None]] = []
    while True:
        start = reader.at
        number = reader.number()
        if number is None:
            break
        unit = reader.unit()
        if parts:
            before = parts[-1][1]
            if before is not None and unit is None:
                raise Unread(f"{number.text} at its end needs its unit")
            if before is None or unit is None or not _follows(before, unit):
                reader.at = start
                raise Unread(f"{reader.rest()} does not follow what stands before it")
        parts.append((number, unit))
        reader.blank()
    if not parts:
        raise Unread(
            f"a number is missing before {reader.rest()}"
            if reader.rest()
            else "a number is missing at its end"
        )
    return parts


def _terms(reader: Reader) -> list[tuple[str, list[tuple[Number, Unit | None]]]]:
    terms = [(reader.sign(), _quantity(reader))]
    while not reader.done():
        sign = reader.sign()
        if not sign:
            raise Unread(f"{reader.rest()} is no part of a measure")
        terms.append((sign, _quantity(reader)))
    return terms


def read_sum(text: str, kind: str, unit: str, outside: bool) -> tuple[Fraction, str]:
    """Return the SI value of a sum of quantities, and the short name of its first unit."""
    terms = _terms(Reader(text, kind, outside))
    bare = [parts[0][1] is None for _, parts in terms]
    if len(terms) > 1:
        if not KINDS.get(kind, KINDS["length"]).adds:
            raise Unread("it is one value, not a range or a sum")
        if any(bare):
            # "3-4 mm" may be a range, and "1 - 1/4" three quarters or five.
            raise Unread("in a sum each part needs its unit")
    total, first = Fraction(0), ""
    for sign, parts in terms:
        value = Fraction(0)
        for number, own in parts:
            used = own or _bare(number, kind, unit, outside)
            first = first or used.short
            signed = -number.value if sign == "-" else number.value
            value += used.to_si(signed)
        total += value
    return total, first
