"""The short way to write a part of a knife, and what is made of it.

A part is written in one line, numbers in mm unless a unit stands with them:

    130 x 30>20 x 4>2 wedge carbon-steel    length x height x thickness, ``>`` or ``to`` tapers, front to end
    0: 28 x 20, 50: 32 x 24, 110: 27 x 19 oval black walnut     stations: place: height x thickness
    45 g at -4 mm                           weighed, and where it balances by itself
    45 g long 8 mm                          weighed, its balance at half its length

After the sizes may come the section (bar, oval, octagon or wedge), the material (a name from
the stores, or ``of 1.2 g/cm3``) and ``from -20 mm`` for a part that does not follow the one before.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from workshop import measure
from workshop.drawer.declare import Given
from workshop.drawer.wood import find_entry, name_of, noted
from workshop.errors import ShopError
from workshop.showable import showable
from workshop.trade.balance import FILLS, Solid, Station

LONGEST = 200
LONGEST_M, TALLEST_M = 0.9, 0.3
"""What a part of a knife is at most: along the knife, and in height or thickness."""

OWN_DENSITY = "weigh a piece and write its density, as of 0.8 g/cm3"

_LENGTH = r"[0-9.][0-9.,/ ½¼¾⅛⅜⅝⅞]*(?:(?:mm|cm|thou|inches|inch|in|m|\")(?![a-z]))?"
_TAPERS = r" ?(?:>|to(?![a-z])) ?"
_SIZE = rf"(?:{_LENGTH})(?:{_TAPERS}(?:{_LENGTH}))?"
_SOLID = re.compile(rf"({_LENGTH}) ?x ?({_SIZE}) ?x ?({_SIZE})(.*)", re.IGNORECASE)
_STATION = re.compile(rf"({_LENGTH}) ?: ?({_LENGTH}) ?x ?({_LENGTH})(.*)", re.IGNORECASE)
_WEIGHED = re.compile(
    r"([0-9][0-9.,/ ]* ?(?:g|kg|oz|lb))(?: long (?P<long>[^a-z].*?))?(?: at (?P<at>[^a-z].*))?", re.IGNORECASE
)
_AFTER = re.compile(
    rf" ?(?:(?P<section>{'|'.join(FILLS)})(?![a-z]))? ?(?:of )?(?P<material>.*?)(?: ?\bfrom (?P<place>.+))?",
    re.IGNORECASE,
)
_UNIT = re.compile(r"(mm|cm|thou|inches|inch|in|m|\") ?$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Material:
    """A material with its density and what must be said about it."""

    name: str
    density_kg_m3: float
    note: str
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Part:
    """A part as it was written: either a solid with its material, or weighed.

    solid: from place 0, the blade forward and all else back. place_m: where its own zero
    goes (a solid) or where it balances (weighed), None when it follows the part before.
    """

    label: str
    solid: Solid | None = None
    material: Material | None = None
    mass_kg: float | None = None
    place_m: float | None = None
    length_m: float | None = None


@dataclass(frozen=True, slots=True)
class Usual:
    """What a kind of part is when the line does not say: its section, its material, its direction.

    weighed: whether a refusal also offers to weigh it.
    """

    section: str
    material: str
    example: str
    forward: bool = False
    weighed: bool = True


def material(given: Given, word: str, label: str) -> Material:
    """Return a material by its name in the stores or by its density (``1.2 g/cm3``).

    Raises ShopError for one that is not known, and for one without a density.
    """
    if word[:1].isdigit() or word[:1] == ".":
        density = float(measure.read(word, "density", field=label))
        if not 50 <= density <= 23_000:
            raise ShopError(f"{label}: {word} is no density of a solid; water is 1 g/cm3, steel 7.85")
        return Material(word, density, f"{label}: density as you gave it, {word}")
    metals, woods = given.stores.get("metals", {}), given.stores.get("woods", {})
    entries = [*metals.get("metal", ()), *metals.get("other", ()), *woods.get("wood", ())]
    entry = find_entry(entries, word, f"{label}: material", instead=OWN_DENSITY)
    sources: Mapping[str, Any] = {**metals.get("source", {}), **woods.get("source", {})}
    density_noted = noted(entry, "density", sources)
    name = name_of(entry)
    if density_noted is None:
        raise ShopError(f"{label}: no density is known for {name}; {OWN_DENSITY}")
    note = f"{name}: {density_noted.value:.0f} kg/m³, {density_noted.source} ({density_noted.standing})"
    cautions = (str(entry["hazard"]),) if "hazard" in entry else ()
    return Material(name, density_noted.value, note, cautions)


def _refuse(label: str, text: str, usual: Usual) -> ShopError:
    shown = showable(text, 60)
    return ShopError(
        f'{label}: "{shown}" is not understood; write for example {usual.example}'
        + (", or 45 g at -4 mm" if usual.weighed else "")
    )


def _unit_of(*lengths: str) -> str:
    """Return the unit that stands last in a line: bare numbers before it are in that unit too."""
    for length in reversed(lengths):
        found = _UNIT.search(length)
        if found:
            return found[1]
    return "mm"


def _length(text: str, unit: str, label: str) -> float:
    return float(measure.read(text.strip(), "length", unit=unit, field=label))


def _place(text: str | None, unit: str, label: str) -> float | None:
    if text is None:
        return None
    return float(measure.read(text.strip(), "length", unit=unit, field=label, negative=True))


def read_part(given: Given, text: str, label: str, usual: Usual) -> Part:
    """Return the part that one line describes. Raises ShopError with an example of what would be right."""
    line = " ".join(text.replace("×", "x").split())
    if len(line) > LONGEST:
        raise ShopError(f"{label}: the line is {len(line)} characters long; {LONGEST} are plenty for a part")
    if found := _WEIGHED.fullmatch(line):
        mass = float(measure.read(found[1].strip(), "mass", field=label))
        place, long = _place(found["at"], "mm", label), found["long"]
        length = None if long is None else _length(long, "mm", label)
        if place is None and length is None:
            raise ShopError(
                f"{label}: say where it balances, as in {text.strip()} at -4 mm, or how long it is"
            )
        return Part(label, mass_kg=mass, place_m=place, length_m=length)
    stations, after, unit = _stations(line, label) if ":" in line else _sizes(line, label, text, usual)
    rest = _AFTER.fullmatch(after)
    if rest is None or len(stations) < 2:
        raise _refuse(label, text, usual)
    word = rest["material"].strip() or usual.material
    if not word:
        raise ShopError(f"{label}: say what it is made of, as in {usual.example}")
    _must_be_of_a_knife(stations, label)
    sign = 1.0 if usual.forward else -1.0
    placed = sorted((sign * x, height, thick) for x, height, thick in stations)
    solid = Solid(
        tuple(Station(*each) for each in placed), FILLS[(rest["section"] or usual.section).casefold()]
    )
    return Part(label, solid, material(given, word, label), place_m=_place(rest["place"], unit, label))


def _must_be_of_a_knife(stations: list[tuple[float, float, float]], label: str) -> None:
    """Refuse sizes no knife has: most often a bare number was read in the unit of the one that has one."""
    for far_m, *across in stations:
        for size_m, limit_m in ((far_m, LONGEST_M), *((each, TALLEST_M) for each in across)):
            if size_m > limit_m:
                raise ShopError(
                    f"{label}: {size_m * 1000:.4g} mm is more than a knife has, {limit_m * 1000:g} mm at "
                    "most; a bare number has the unit that stands last, so write each size's own: "
                    "6 mm x 40 mm x 1/2 in"
                )


def _stations(line: str, label: str) -> tuple[list[tuple[float, float, float]], str, str]:
    """Read ``0: 28 x 20, 50: 32 x 24``: the stations, what stands behind them, the unit."""
    pieces: list[str] = []
    for piece in line.split(","):
        if ":" in piece or not pieces:
            pieces.append(piece)
        else:
            pieces[-1] += "," + piece
    matches = [_STATION.fullmatch(piece.strip()) for piece in pieces]
    texts, after = [], ""
    for index, found in enumerate(matches):
        last = index == len(matches) - 1
        if found is None or (found[4].strip() and not last):
            raise ShopError(f"{label}: station {index + 1} is not understood; write for example 50: 32 x 24")
        texts.append((found[1], found[2], found[3]))
        after = found[4]
    unit = _unit_of(*(each for station in texts for each in station))
    read = [(_length(x, unit, label), _length(h, unit, label), _length(t, unit, label)) for x, h, t in texts]
    if any(second[0] <= first[0] for first, second in pairwise(read)):
        raise ShopError(f"{label}: the stations do not follow each other; each lies further on than the last")
    return read, after, unit


def _sizes(
    line: str, label: str, text: str, usual: Usual
) -> tuple[list[tuple[float, float, float]], str, str]:
    """Read ``130 x 30>20 x 4 to 2``: its two ends as stations, what stands behind, the unit."""
    found = _SOLID.fullmatch(line)
    if found is None:
        raise _refuse(label, text, usual)
    tapers = [
        [each.strip() for each in re.split(_TAPERS, found[number], flags=re.IGNORECASE)] for number in (2, 3)
    ]
    unit = _unit_of(found[1], *tapers[0], *tapers[1])
    length = _length(found[1], unit, label)
    (height, *low), (thick, *thin) = ([_length(each, unit, label) for each in taper] for taper in tapers)
    if not length > 0:
        raise ShopError(f"{label}: its length is nothing")
    return (
        [(0.0, height, thick), (length, low[0] if low else height, thin[0] if thin else thick)],
        found[4],
        unit,
    )
