"""What the tables of each store may hold: a maker's own store is checked whole when it is read.

A value of the wrong kind would else be met by a calculator in the middle of the work, and a unit that is
spelt wrongly would quietly be taken for the usual one.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from itertools import count
from typing import Any

from workshop.shelf.store_checks import (
    Counts,
    Key,
    Shape,
    a_table,
    a_text,
    any_text,
    anything,
    check_table,
    entries,
    measured,
    noted,
    number,
    numbers,
    of_each,
    one_of,
    ordered,
    rows,
    sizes,
    texts,
)
from workshop.shelf.table import Source, Table

SCHEMA = 1
STANDINGS = ("published", "secondary", "computed", "common practice", "from memory")
_ID, _UNIT = Key(a_text, True), Key(one_of("°C", "°F"), True)
_WORDS: Shape = {
    "title": Key(a_text),
    "source": Key(a_text),
    "standing": Key(one_of(*STANDINGS)),
    "note": Key(a_text),
    "notes": Key(texts),
    "hazard": Key(a_text),
    "also": Key(texts),
}
_TITLED: Shape = {**_WORDS, "title": Key(a_text, True)}
_TOLD: Shape = {**_TITLED, "source": Key(a_text, True), "standing": Key(one_of(*STANDINGS), True)}
_NAMED: Shape = {"id": _ID, "name": Key(a_text), **_WORDS}
_TOP: Shape = {"schema": Key(anything), "title": Key(a_text)}
_SOURCES = Key(of_each(a_text))
_DEGREES = Key(number(-100, 3500), True)
_CLOCK: Shape = {  # their clocks' side is checked by what reads them
    **dict.fromkeys(("reference", "floor", "ceiling", "activation", "halving"), Key(anything)),
    **dict.fromkeys(("damp", "cup", "cup-least", "thin-times", "witness", "mark"), Key(anything)),
    "id": _ID,
    **_WORDS,
}
_PAIR = Key(measured("density"))
_WOOD: Shape = {
    **_NAMED,
    "tangential": Key(noted(0, 0.02, _WORDS)),
    "radial": Key(noted(0, 0.02, _WORDS)),
    "shrinkage-tangential": Key(noted(0, 40, _WORDS)),
    "shrinkage-radial": Key(noted(0, 40, _WORDS)),
    "density": Key(noted(20, 3000, _WORDS)),
}
_METAL: Shape = {**_NAMED, "density": Key(noted(50, 23_000, _WORDS))}
_HEAT: Shape = {**_WORDS, "unit": _UNIT}
_STEEL: Shape = {
    "id": _ID,
    **_WORDS,
    "family": Key(a_text),
    "composition": Key(of_each(ordered(numbers(0, 60, 1, 2)))),
    "hardening": Key(entries({**_HEAT, "low": _DEGREES, "high": _DEGREES, "quench": Key(a_text)})),
    "ladder": Key(
        entries(
            {
                **_HEAT,
                "rows": Key(rows(-100, 3500, range(2, 4)), True),
                "hardened": Key(ordered(numbers(0, 75, 1, 2))),
                "hours": Key(ordered(numbers(0.01, 1000, 1, 2))),
            }
        )
    ),
    "critical": Key(entries({**_HEAT, "ac1": _DEGREES, "ac3": Key(number(-100, 3500))})),
}
_COLOUR: Shape = {
    "name": Key(a_text, True),
    "group": Key(a_text, True),
    "low": _DEGREES,
    "high": Key(number(-100, 3500)),
}
_SPEED: Shape = {
    **_WORDS,
    "tool": Key(a_text, True),
    "low": Key(measured("speed")),
    "high": Key(measured("speed")),
    "turns-low": Key(measured("turning speed")),
    "turns-high": Key(measured("turning speed")),
}


def _speeds(table: Table, key: str, counts: Counts) -> None:
    """Check the speeds for a metal: each of its rim, or of its turns, with both ends."""
    entries(_SPEED)(table, key, counts)
    for place, one in enumerate(table.data[key]):
        if not ({"low", "high"} <= one.keys() or {"turns-low", "turns-high"} <= one.keys()):
            raise table.fault(key, f"number {place + 1} has no two ends", "low and high, or turns-low and …")


def _ferric(table: Table, key: str, counts: Counts) -> None:
    """Check the densities: a row has a share, then one for each temperature."""
    a_table(_FERRIC)(table, key, counts)
    inner = table.table(key)
    wide = len(inner.data["temperatures"]) + 1
    if any(len(row) != wide for row in inner.data["rows"]):
        raise inner.fault("rows", "are not as wide as there are temperatures", f"rows of {wide} numbers")


def _water(table: Table, key: str, counts: Counts) -> None:
    """Check water's densities: one for each temperature."""
    a_table(_WATER)(table, key, counts)
    inner = table.table(key)
    if len(inner.data["temperatures"]) != len(inner.data["densities"]):
        raise inner.fault("densities", "are not as many as the temperatures", "a density for each of them")


_BELT: Shape = {
    **_WORDS,
    "use": Key(a_text, True),
    "low": Key(measured("speed"), True),
    "high": Key(measured("speed"), True),
}
_BATH: Shape = {
    "id": _ID,
    **_TOLD,
    "note": Key(a_text, True),
    "parts": Key(ordered(numbers(0, 100, 2, 2)), True),
    "minutes": Key(ordered(numbers(0, 10_000, 2, 2)), True),
}
_HEATS = Key(numbers(-20, 200, 2, 50), True)
_FERRIC: Shape = {
    **_WORDS,
    "unit": Key(one_of("kg/l"), True),
    "temperature-unit": _UNIT,
    "temperatures": _HEATS,
    "rows": Key(rows(0, 100, range(2, 51)), True),
    "suspect": Key(texts),
}
_WATER: Shape = {
    **_WORDS,
    "unit": Key(one_of("kg/l"), True),
    "temperature-unit": _UNIT,
    "temperatures": _HEATS,
    "densities": Key(numbers(0.5, 2, 2, 50), True),
}
_BAUME: Shape = {
    **_WORDS,
    "modulus": Key(number(100, 200), True),
    "reference": Key(measured("temperature"), True),
    "water-at-reference": Key(number(0.9, 1.1), True),
    "others": Key(texts),
}
STORES: Mapping[str, Shape] = {
    "woods": {"source": _SOURCES, "wood": Key(entries(_WOOD))},
    "metals": {"source": _SOURCES, "metal": Key(entries(_METAL)), "other": Key(entries(_METAL))},
    "steels": {"steel": Key(entries(_STEEL))},
    "colours": {
        "colour-source": Key(
            entries(
                {
                    "id": _ID,
                    **_WORDS,
                    "kind": Key(one_of("temper", "glow"), True),
                    "unit": _UNIT,
                    "rows": Key(entries(_COLOUR), True),
                }
            )
        )
    },
    "abrasives": {
        "scale": Key(entries({"id": _ID, **_WORDS})),
        "paper": Key(
            entries(
                {
                    **_WORDS,
                    "scale": Key(a_text, True),
                    "grade": Key(a_text, True),
                    "grain": Key(number(0.01, 9_999), True),
                    "other-grain": Key(number(0.01, 9_999)),
                }
            )
        ),
    },
    "drills": {
        "series": Key(
            entries(
                {
                    **_WORDS,
                    "id": Key(a_text),
                    "set": Key(one_of("inch", "metric"), True),
                    "unit": Key(one_of("in", "mm"), True),
                    "before": Key(any_text),
                    "sizes": Key(sizes, True),
                }
            )
        )
    },
    "cutting": {
        "tool": Key(entries({"id": _ID, **_TOLD, "factor": Key(number(0.1, 20), True)})),
        "metal": Key(entries({"id": _ID, **_TITLED, "speed": Key(_speeds, True)})),
        "belt": Key(entries(_BELT)),
    },
    "etchants": {
        "ferric-chloride": Key(_ferric),
        "water": Key(_water),
        "baume": Key(a_table(_BAUME)),
        "bath": Key(entries(_BATH)),
    },
    "adhesives": {
        "adhesive": Key(
            entries(
                {
                    **_CLOCK,
                    "warning": Key(a_text),
                    "ratio": Key(measured("ratio")),
                    "ratio-by": Key(one_of("weight", "volume")),
                    "ratio-standing": Key(one_of(*STANDINGS)),
                    "density-resin": _PAIR,
                    "density-hardener": _PAIR,
                }
            )
        )
    },
    "oils": {"oil": Key(entries(_CLOCK))},
}
"""The stores there are, by name, and what stands at the top of each."""


def check_tables(name: str, data: Mapping[str, Any], source: Source) -> None:
    """Check all that a store holds; raises FileFault with the line for the first that cannot be taken."""
    top = Table(data, source)
    if name not in STORES:
        raise top.fault(name, "is no store that anything reads", f"one of: {', '.join(sorted(STORES))}")
    top.known_schema(SCHEMA)
    check_table(top, {**_TOP, **STORES[name]}, defaultdict(count))


def stores_like(data: Mapping[str, Any]) -> list[str]:
    """Return the stores whose tables a file has, whatever the file is called."""
    return [name for name, shape in STORES.items() if data.keys() & (shape.keys() - {"source"})]
