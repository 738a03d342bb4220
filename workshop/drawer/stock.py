"""The drawer's stock for a billet: how much raw steel, how long to cut it, and what it averages."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from workshop import measure
from workshop.drawer.declare import Answer, Calculator, Example, Field, Given, Result, Source
from workshop.drawer.wording import mm, percent
from workshop.errors import ShopError
from workshop.showable import showable
from workshop.trade import billet

_LOSSES = Source(
    "Forging to finish loses 20-30 %; welding, scale and trim 25-50 %; carbon falls 0.05-0.10 % in the "
    "welding "
    "heats",
    "common practice",
)
_STEEL = Source("Density of carbon steel 7850 kg/m³, EN 1993-1-2", "published")
FORGE_CAUTIONS = (
    "Face shield, leather, cotton or wool, tinted glasses; ventilate, carbon monoxide alarm; never weld "
    "galvanised bar (zinc fume). Usual cautions; local codes and licensed practice decide.",
)

_BAR = re.compile(
    r"\s*(?P<pieces>[0-9]{1,4})\s*[x×*]\s*"
    r"(?P<thickness>[0-9][0-9.,/ ]{0,12}\s*(?:mm|cm|inches|inch|in|thou|\"))\s*"
    r"(?P<steel>[^=]*?)(?P<given>(?:\s+(?:c|ni)\s*=\s*[0-9.]{1,6}\s*%?)*)\s*",
    re.IGNORECASE,
)
_BAR_FORM = "write pieces x thickness and steel, like 7 x 3.2 mm 1084; 6 x 1.25 mm 15N20"


def read_bars(text: str, steels: Mapping[str, Any]) -> tuple[billet.Bar, ...]:
    """Read the bars of a stack: ``7 x 3.2 mm 1084; 6 x 1.25 mm 15N20``, parts by ``;``.

    A steel's carbon and nickel come from the store (middle of its range), or as written
    after it: ``c=0.84 ni=2``. Raises ShopError with the part that cannot be read.
    """
    parts = [part for part in text.split(";") if part.strip()]
    if not parts or len(parts) > 20:
        raise ShopError(f"bars: {len(parts)} bars; give 1 to 20, {_BAR_FORM}")
    return tuple(_read_bar(part, steels) for part in parts)


def _read_bar(part: str, steels: Mapping[str, Any]) -> billet.Bar:
    found = _BAR.fullmatch(part) if len(part) <= 120 else None
    if found is None:
        raise ShopError(f"bars: '{showable(part.strip(), 40)}' is not a bar; {_BAR_FORM}")
    pieces, steel = int(found["pieces"]), found["steel"].strip()
    thickness_m = float(measure.read(found["thickness"], "length", field="bars"))
    if not steel:
        raise ShopError(f"bars: '{showable(part.strip(), 40)}' names no steel; {_BAR_FORM}")
    if not 1 <= pieces <= 1000 or not 0.0001 <= thickness_m <= 0.2:
        raise ShopError(
            f"bars: '{showable(part.strip(), 40)}' is no stack; give 1 to 1000 pieces of 0.1 to 200 mm, "
            f"{_BAR_FORM}"
        )
    said = {
        name.lower(): _share(value)
        for name, value in re.findall(r"(c|ni)\s*=\s*([0-9.]+)", found["given"], re.I)
    }
    entry = _steel(steels, steel)
    return billet.Bar(
        showable(steel, 40),
        pieces,
        thickness_m,
        said.get("c", _middle(entry, "C")),
        said.get("ni", _middle(entry, "Ni")),
    )


def _share(text: str) -> float:
    share = float(measure.read(text, "share", unit="%", field="bars"))
    if share > 0.3:
        raise ShopError(f"bars: {text} % is past what a blade steel holds; give it in per cent, like c=0.84")
    return share


def _steel(steels: Mapping[str, Any], word: str) -> Mapping[str, Any] | None:
    """Return the store's entry with this designation, title or other name."""
    wanted = word.casefold()
    for entry in steels.get("steel", ()):
        names = (entry["id"], entry.get("title", ""), *entry.get("also", ()))
        if wanted in (str(name).casefold() for name in names):
            return dict(entry)
    return None


def _middle(entry: Mapping[str, Any] | None, element: str) -> float | None:
    """Return the middle of an element's range as a share; 0 where a known steel states none."""
    if entry is None or "composition" not in entry:
        return None
    low_high = entry["composition"].get(element, (0.0, 0.0))
    low, high = (low_high[0], low_high[-1]) if isinstance(low_high, (list, tuple)) else (low_high, low_high)
    return (float(low) + float(high)) / 200


def _finished(given: Given) -> tuple[float, str, tuple[str, ...]]:
    """Return the finished mass, how it was found, and what was left aside."""
    mass_kg, sizes = given.maybe("mass"), [given.maybe(name) for name in ("length", "height", "thickness")]
    if mass_kg is not None:
        aside = any(size is not None for size in sizes)
        note = ("the finished mass goes before length, height and thickness",) if aside else ()
        return mass_kg, f"finished mass as given: {mass_kg * 1000:.1f} g", note
    length_m, height_m, thickness_m = sizes
    if length_m is None or height_m is None or thickness_m is None:
        raise ShopError(
            "mass: give the finished blade's mass, like 185 g, or its length, height and thickness together"
        )
    mass_kg = length_m * height_m * thickness_m * given.number("fill") * billet.STEEL_KG_M3
    line = (
        f"finished: {mm(length_m, 1)} × {mm(height_m, 1)} × {mm(thickness_m)} × "
        f"{percent(given.number('fill'))} "
        f"× 7.85 g/cm³ = {mass_kg * 1000:.1f} g"
    )
    return mass_kg, line, ()


def _stock(given: Given) -> Answer:
    finished_kg, line, assumed = _finished(given)
    grind, weld = given.number("grind-loss"), given.number("weld-loss")
    forged_kg = billet.before_loss(finished_kg, grind)
    billet_kg = billet.before_loss(forged_kg, weld)
    found: dict[str, float | str] = {
        "finished-mass": finished_kg,
        "forged-mass": forged_kg,
        "billet-mass": billet_kg,
    }
    working = [
        line,
        f"forged = {finished_kg * 1000:.1f} g / (1 − {percent(grind)}) = {forged_kg * 1000:.1f} g",
        f"billet = {forged_kg * 1000:.1f} g / (1 − {percent(weld)}) = {billet_kg * 1000:.1f} g",
    ]
    notes: tuple[str, ...] = ()
    if given.word("bars").strip():
        bars = read_bars(given.word("bars"), given.stores.get("steels", {}))
        notes = _add_bars(found, working, bars, billet_kg, given.maybe("width"))
    return Answer(found, working=tuple(working), assumed=(*assumed, *notes))


def _add_bars(
    found: dict[str, float | str],
    working: list[str],
    bars: tuple[billet.Bar, ...],
    billet_kg: float,
    width_m: float | None,
) -> tuple[str, ...]:
    """Add the cut lengths and the mean carbon and nickel of a stack to the answer."""
    if width_m is None:
        raise ShopError("width: bars are given without the width of the pieces; give it, like 38 mm")
    height_m = billet.stack_height(bars)
    cut_m = billet.cut_length(billet_kg, height_m, width_m)
    found["stack-height"] = height_m
    for number, bar in enumerate(bars):
        # Two bars of one steel keep apart: each has its own thickness and its own bar to cut.
        twin = sum(other.steel.casefold() == bar.steel.casefold() for other in bars[:number])
        name = f"{bar.steel} ({twin + 1})" if twin else bar.steel
        found[f"cut-length {name}"] = cut_m
        found[f"from-bar {name}"] = cut_m * bar.pieces
    working.append(
        f"cut each piece = {billet_kg * 1000:.1f} g / (7.85 g/cm³ × {mm(height_m)} × {mm(width_m, 1)}) = "
        f"{mm(cut_m, 1)}"
    )
    notes = []
    carbons = [(bar.height_m, bar.carbon) for bar in bars if bar.carbon is not None]
    if len(carbons) == len(bars):
        carbon = billet.average(carbons)
        found["carbon"] = carbon
        found["carbon-low"] = max(0.0, carbon - billet.CARBON_LOSS[1])
        found["carbon-high"] = max(0.0, carbon - billet.CARBON_LOSS[0])
        sums = " + ".join(f"{share * 100:.3g} × {mm(height, 1)}" for height, share in carbons)
        working.append(f"carbon = ({sums}) / {mm(height_m, 1)} = {carbon * 100:.2f} %")
        found["nickel"] = billet.average([(bar.height_m, bar.nickel or 0.0) for bar in bars])
        notes.append("carbon and nickel at the middle of each steel's range, unless written after it")
    else:
        unknown = ", ".join(bar.steel for bar in bars if bar.carbon is None)
        notes.append(f"no composition is known for {unknown}: write it after the steel, like c=0.84 ni=2")
    return tuple(notes)


def length_field(name: str, says: str, hard: tuple[str, str], **more: Any) -> Field:
    """Declare a length that is in millimetres when written bare."""
    return Field(name, "length", says, unit="mm", hard=hard, **more)


STOCK = Calculator(
    name="stock",
    title="Stock for a billet",
    purpose="How much raw steel a finished blade needs, how long to cut it, and the carbon it averages",
    fields=(
        length_field("length", "finished blade and tang", ("10 mm", "2 m"), optional=True),
        length_field(
            "height", "finished height", ("3 mm", "300 mm"), optional=True, fills_from=("blade-height",)
        ),
        length_field(
            "thickness",
            "finished thickness",
            ("0.5 mm", "30 mm"),
            optional=True,
            fills_from=("ricasso-thickness", "final-thickness"),
        ),
        Field(
            "fill",
            "share",
            "part of length × height × thickness that is steel (a bevelled, tapered blade about half)",
            unit="%",
            default="100 %",
            hard=("10 %", "100 %"),
        ),
        Field(
            "mass",
            "mass",
            "finished blade and tang, instead of its sizes",
            unit="g",
            optional=True,
            hard=("1 g", "20 kg"),
        ),
        Field(
            "grind-loss",
            "share",
            "lost from forging to finish",
            unit="%",
            default="25 %",
            hard=("0 %", "90 %"),
            likely=("20 %", "30 %"),
        ),
        Field(
            "weld-loss",
            "share",
            "lost to welding, scale and trim",
            unit="%",
            default="35 %",
            hard=("0 %", "90 %"),
            likely=("25 %", "50 %"),
        ),
        Field(
            "bars",
            "text",
            "the stack: pieces x thickness and steel, as 7 x 3.2 mm 1084; 6 x 1.25 mm 15N20",
            optional=True,
            alike=True,
        ),
        length_field(
            "width", "width of the pieces", ("5 mm", "300 mm"), optional=True, likely=("20 mm", "60 mm")
        ),
    ),
    results=(
        Result("finished-mass", "mass", "finished blade and tang", unit="g", digits=0),
        Result("forged-mass", "mass", "as forged, before grinding", unit="g", digits=0),
        Result("billet-mass", "mass", "raw stack to begin with", unit="g", digits=0),
        Result("stack-height", "length", "height of the raw stack", unit="mm", digits=1),
        Result("cut-length", "length", "length to cut each piece of", unit="mm", digits=0, family=True),
        Result(
            "from-bar",
            "length",
            "all pieces together, without the saw's kerf, of",
            unit="mm",
            digits=0,
            family=True,
        ),
        Result("carbon", "share", "mean carbon of the stack, before welding", unit="%", digits=2),
        Result("carbon-low", "share", "carbon after the welding heats, at least", unit="%", digits=2),
        Result("carbon-high", "share", "carbon after the welding heats, at most", unit="%", digits=2),
        Result("nickel", "share", "mean nickel of the stack", unit="%", digits=2),
    ),
    work=_stock,
    sources=(_LOSSES, _STEEL, Source("Shares weighted by the thickness of each steel", "computed")),
    valid="a flat stack of pieces of one width and length; losses are the maker's own, these are usual ones",
    example=Example(
        given={
            "mass": "185 g",
            "grind-loss": "25 %",
            "weld-loss": "45 %",
            "bars": "7 x 3.2 mm 1084 c=0.84; 6 x 1.25 mm 15N20 c=0.75 ni=2",
            "width": "38 mm",
        },
        found={"forged-mass": 246.7, "billet-mass": 448.5, "carbon": 0.817},
        source=Source("185 / 0.75 / 0.55; (22.4 × 0.84 + 7.5 × 0.75) / 29.9, by hand", "computed"),
        within=0.06,
    ),
    stores=("steels",),
    cautions=FORGE_CAUTIONS,
)


CALCULATORS: tuple[Calculator, ...] = (STOCK,)
