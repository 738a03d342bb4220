"""Temper colours and glows: a colour in degrees or degrees in colours, as the drawer offers them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from workshop.drawer.declare import Answer, Calculator, Example, Field, Given, Result, Source
from workshop.drawer.steels import degrees, step, to_kelvin
from workshop.errors import ShopError
from workshop.showable import showable
from workshop.trade import colours

COLOURS = Source("Colour tables from the store of colours; each is named in the answer", "secondary")
FURNACE = (
    "Hot work: gloves, face shield, no synthetics. Usual cautions; local codes and licensed practice decide."
)


def said(names: tuple[colours.Colour, ...]) -> str:
    """Write names with the source of each."""
    return "; ".join(f"{one.name} ({one.source})" for one in names)


def tables(given: Given, kind: str) -> list[list[colours.Colour]]:
    """Colour tables of one kind, source by source, in kelvin."""
    return [
        [_colour(source, row) for row in source["rows"]]
        for source in given.stores["colours"].get("colour-source", ())
        if source["kind"] == kind
    ]


def _colour(source: Mapping[str, Any], row: Mapping[str, Any]) -> colours.Colour:
    unit = str(source.get("unit", "°C"))
    high = to_kelvin(float(row["high"]), unit) if "high" in row else colours.OPEN_K
    return colours.Colour(
        str(row["name"]),
        str(row["group"]),
        str(source["kind"]),
        to_kelvin(float(row["low"]), unit),
        high,
        str(source.get("title", source.get("id", "your own"))),
    )


NEVER_GATE = (
    "Sources differ by 100 to 200 °C for the name of a glow: never decide a heat treatment by colour alone."
)


def _heat_colour(given: Given) -> Answer:
    kelvin, word = given.maybe("temperature"), given.word("colour")
    if kelvin is None and not word.strip():
        raise ShopError("heat-colour needs a temperature, as 230 °C, or a colour, as dark straw.")
    if kelvin is not None and word.strip():
        raise ShopError("heat-colour takes a temperature or a colour, not both; empty one of them.")
    sources = tables(given, "temper") + tables(given, "glow")
    if kelvin is None:
        rows = colours.named(sources, word)
        if not rows:
            groups = dict.fromkeys(row.group for source in sources for row in source)
            raise ShopError(
                f"colour: {showable(word, 40)!r} is not known; right would be one of: {', '.join(groups)}."
            )
        return _colour_answer(rows, _said_ranges(rows))
    rows = colours.names_at(sources, kelvin)
    if not rows:
        return Answer({"colour": "none: no temper colour and no glow by any source"})
    return _colour_answer(rows, _said_ranges(rows))


def _said_ranges(rows: tuple[colours.Colour, ...]) -> tuple[str, ...]:
    lines = []
    for row in rows:
        heat = degrees(row.low_K)
        if row.high_K == colours.OPEN_K:
            heat += " and hotter"
        elif row.high_K - row.low_K > 1.0:
            heat += f" to {degrees(row.high_K)}"
        lines.append(f"{row.kind} {row.name}: {heat} ({row.source})")
    return tuple(lines)


def _colour_answer(rows: tuple[colours.Colour, ...], working: tuple[str, ...]) -> Answer:
    low, high = colours.span(rows)
    centres = [row.low_K if row.high_K == colours.OPEN_K else (row.low_K + row.high_K) / 2.0 for row in rows]
    spread = max(centres) - min(centres)
    found: dict[str, float | str] = {
        "colour": said(rows),
        "temperature-low": low,
        "temperature-high": high,
        "spread": spread,
    }
    cautions = [f"The sources' middles lie {step(spread)} apart."] if spread >= 20.0 else []
    if any(row.kind == "glow" for row in rows):
        cautions.append(NEVER_GATE)
    else:
        cautions.append(
            "Temper colours creep with time and alloy: these are for clean carbon steel and minutes at heat."
        )
    return Answer(found, tuple(cautions), working, _light(rows))


def _light(rows: tuple[colours.Colour, ...]) -> tuple[str, ...]:
    if any(row.kind == "glow" for row in rows):
        return ("glow seen in a dim shop; daylight hides the first reds",)
    return ("oxide on clean bright steel, seen in good light",)


HEAT_COLOUR = Calculator(
    name="heat-colour",
    title="Heat colours",
    purpose="What a colour stands for in degrees, or a temperature in colours, with how far sources differ",
    fields=(
        Field(
            "temperature",
            "temperature",
            "temperature",
            "°C",
            optional=True,
            hard=("0 °C", "1600 °C"),
            likely=("190 °C", "1300 °C"),
        ),
        Field("colour", "word", "a temper colour or a glow, as dark straw or dull red", optional=True),
    ),
    results=(
        Result("colour", "text", "name, by source"),
        Result("temperature-low", "temperature", "coolest a source gives this name", "°C", 0),
        Result("temperature-high", "temperature", "hottest a source gives this name", "°C", 0),
        Result("spread", "temperature step", "between the sources' middles", "°C", 0),
    ),
    work=_heat_colour,
    sources=(
        Source("Applied Science for Metal Workers; tempering and incandescence", "published"),
        Source(
            "Workshop Technology Part 1, 5th ed. 1972; a boiler book of 1905; The Working of Steel; "
            "all seen in copies",
            "secondary",
        ),
        Source("Which names mean about the same look", "common practice"),
    ),
    valid="Temper colours 200 to 335 °C on clean carbon steel; glows from 426 °C in a dim shop.",
    example=Example(
        {"colour": "dull red"},
        {"temperature-low": 594, "temperature-high": 814},
        Source("read from the three tables: 594 to 814, 699 and 1290 °F", "secondary"),
        within=0.5,
    ),
    stores=("colours",),
    cautions=(FURNACE,),
)

CALCULATORS: tuple[Calculator, ...] = (HEAT_COLOUR,)
