"""Convert: one measure in another unit, with the nearest 64th of an inch for a length."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from workshop.drawer.declare import Answer, Calculator, Example, Field, Given, Quantity, Result, Source
from workshop.errors import ShopError
from workshop.measure import (
    KINDS,
    Measure,
    find_unit,
    in_unit,
    is_drill_name,
    kinds_of,
    outside_unit,
    precise,
    read,
    read_drill,
    write,
)
from workshop.showable import showable

_STEP = " step"
_BARE = {
    "length": ("in", ("in", "ft", "yd", "thou", "fraction"), "mm"),
    "temperature": ("°F", ("°F",), "°C"),
    "temperature step": ("°F", ("°F",), "°C"),
    "mass": ("oz", ("oz", "lb", "grain"), "g"),
    "humidity": ("%", (), "%"),
    "share": ("%", (), "%"),
    "hardness": ("HRC", (), "HRC"),
}
"""What a number without a unit is in, by kind: usually; and when the wanted unit is one of these."""


def _targets(to: str) -> list[tuple[str, str]]:
    """Return the kinds and units that the wanted unit's name can mean, the commonest first."""
    plain = " ".join(to.split())
    if plain in ("fraction", "ratio", "number", "count", "money"):
        return [("length", plain)] if plain == "fraction" else [(plain, "")]
    if plain.endswith(_STEP):
        step = find_unit(plain.removesuffix(_STEP), "temperature step")
        return [("temperature step", step.short)] if step else []
    known = [(kind, unit.short) for kind in kinds_of(plain) if (unit := find_unit(plain, kind))]
    outside = None if known else outside_unit(plain)
    return [(outside.kind, plain)] if outside else known


def _bare_unit(kind: str, short: str, stated: str) -> str:
    if stated:
        return stated
    usual, if_one_of, otherwise = _BARE.get(kind, ("", (), ""))
    return otherwise if short in if_one_of else usual


def _read_for(text: str, to: str, stated: str) -> tuple[Measure, str]:
    """Return the measure that the text is, of a kind that the wanted unit measures."""
    refused: ShopError | None = None
    for kind, short in _targets(to):
        if stated and not (find_unit(stated, kind) or outside_unit(stated)):
            raise ShopError(f'from: "{showable(stated, 24)}" is no unit known here; write for example in.')
        try:
            bare = _bare_unit(kind, short, stated)
            return read(text, kind, unit=bare, field="value", negative=True, outside=True), short
        except ShopError as error:
            refused = refused or error
    if refused:
        raise refused
    raise ShopError(
        f'to: "{showable(to, 24)}" is no unit known here; write for example mm, °F, oz or ft/min.'
    )


def _drill_as_length(text: str, drills: Mapping[str, Any]) -> str:
    """Return the size in inches that a drill's name stands for, and any other text as it is."""
    if not is_drill_name(text):
        return text
    from workshop.trade.drills import sizes  # only for a name: a measure is converted without the list

    return precise(read_drill(text, sizes(drills), field="value")[1], "length", "in")


def _unit_was_assumed(measure: Measure, stated: str) -> bool:
    """Whether the unit was not in the text: a bare number or a bare fraction."""
    if stated or measure.kind not in _BARE or measure.unit == "%" or measure.kind == "hardness":
        return False
    return not any(letter.isalpha() or letter in "\"'″′“”’°" for letter in measure.text)


def convert(given: Given) -> Answer:
    """Return a measure in the wanted unit; for a length the nearest 1/64 in and its error too.

    Raises ShopError when the text is no measure, the unit is unknown, or the two do not match.
    """
    stated = given.word("from")
    typed, to = given.word("value"), given.word("to")
    text = _drill_as_length(typed, given.stores["drills"]) if "length" in dict(_targets(to)) else typed
    measure, short = _read_for(text, to, stated)
    kind, exact = measure.kind, measure.value
    label = measure.unit if kind == "money" else measure.basis and f"by {measure.basis}"
    wanted = precise(exact, kind, label if kind in ("money", "ratio") else short)
    found: dict[str, float | str | Quantity] = {
        "value": Quantity(_number(measure, short), _label(kind, short), wanted)
    }
    if kind == "length":
        nearest = Fraction(round(exact / _SIXTY_FOURTH)) * _SIXTY_FOURTH
        found["fraction"] = write(nearest, "length", "fraction")
        found["error"] = float(exact - nearest)
    assumed = (f"{measure.text} carries no unit and was taken as {measure.text} {measure.unit}",)
    si = KINDS[kind].si if kind in KINDS else ""
    middle = f" = {precise(exact, kind, si, 9)}" if si and find_unit(si, kind) and si != short else ""
    drill = "" if text == typed else f"{showable(typed, 40)} = "
    return Answer(
        found=found,
        working=(f"{drill}{measure.text}{middle} = {wanted}",),
        assumed=assumed if _unit_was_assumed(measure, stated) else (),
    )


_SIXTY_FOURTH = Fraction(254, 10000) / 64


def _label(kind: str, short: str) -> str:
    """Return the unit that the number is in; inches for a fraction, none for what only counts."""
    if kind in ("ratio", "number", "count", "money"):
        return ""
    return "in" if short == "fraction" else short


def _number(measure: Measure, short: str) -> float:
    if measure.kind in ("ratio", "number", "count", "money"):
        return float(measure)
    return in_unit(measure.value, measure.kind, short)


CALCULATOR = Calculator(
    name="convert",
    title="Convert a measure",
    purpose="One measure in another unit, and a length to the nearest 64th with its error",
    fields=(
        Field(
            "value",
            "text",
            "what to convert, as you would write it: 1 1/4 in, 25.4mm + 3 thou, 1 lb 3 oz, 70 F, 100:27, #21",
        ),
        Field("to", "word", "the unit wanted: mm, in, fraction, thou, °C, °C step, oz, ft/min, ratio"),
        Field("from", "word", "what a number without a unit is in", optional=True),
    ),
    results=(
        Result("value", "text", "the measure in the unit wanted"),
        Result("fraction", "text", "the nearest 64th of an inch"),
        Result("error", "length", "how much longer (or, with a minus, shorter) it is than that", "thou", 1),
    ),
    work=convert,
    sources=(
        Source("NIST Special Publication 811 (2008), Appendix B.8: factors for units listed alphabetically"),
        Source("NIST Handbook 44, Appendix C: the US gallon is 231 cubic inches"),
        Source("ASME B94.11M-1993 twist drills, as given in Machinery's Handbook p. 827"),
    ),
    stores=("drills",),
    valid="Any measure of the shop; temperatures down to absolute zero. °C step and °F step are differences.",
    example=Example(
        given={"value": "1 1/4 in", "to": "mm"},
        found={"value": 31.75, "fraction": "1 1/4 in", "error": 0.0},
        source=Source("NIST Special Publication 811 (2008), Appendix B.8: 1 inch is 25.4 mm exactly"),
        within=1e-9,
    ),
)

CALCULATORS = (CALCULATOR,)
