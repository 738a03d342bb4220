"""The drawer's billet: drawing out, the pattern's cut and the feather's start."""

from __future__ import annotations

import re

from workshop.drawer.declare import Answer, Calculator, Example, Field, Given, Result, Source
from workshop.drawer.stock import FORGE_CAUTIONS, length_field
from workshop.drawer.wording import mm, percent
from workshop.errors import ShopError
from workshop.showable import showable
from workshop.trade import billet

_VOLUME = Source("Volume kept: length × width × height stays, less scale", "computed")
_SCALE = Source("Scale takes some 5 % in a round of drawing out, 1-2 % a welding heat", "common practice")
_CUT = Source(
    "Cut at three times the finished thickness, or at twice and a grinding allowance; 1/4 to 1/3 deep a "
    "face, "
    "pitch 6-13 mm, groove 3 mm, faces staggered by half a pitch",
    "common practice",
)
_FEATHER = Source(
    "Layers wanted an inch × drawn length / height at the split: by its units, layers an inch of height",
    "common practice",
)


def _draw_out(given: Given) -> Answer:
    length_m, width_m, height_m = (given.number(name) for name in ("length", "width", "height"))
    to_width_m, to_height_m = given.number("to-width"), given.number("to-height")
    loss, piece_m = given.number("scale-loss"), given.maybe("piece")
    ratio = billet.section_ratio(width_m, height_m, to_width_m, to_height_m)
    drawn_m = billet.drawn_length(length_m, ratio, loss)
    found: dict[str, float | str] = {"length": drawn_m, "ratio": ratio}
    working = [
        f"ratio = ({mm(width_m, 1)} × {mm(height_m, 1)}) / ({mm(to_width_m, 1)} × {mm(to_height_m, 1)}) = "
        f"{ratio:.2f}",
        f"length = {mm(length_m, 1)} × {ratio:.3f} × (1 − {percent(loss)}) = {mm(drawn_m, 1)}",
    ]
    cautions: tuple[str, ...] = ()
    if piece_m is not None:
        pieces = billet.whole_pieces(drawn_m, piece_m)
        found |= {"pieces": pieces, "left-over": max(0.0, drawn_m - pieces * piece_m)}
        working.append(
            f"{mm(drawn_m, 1)} / {mm(piece_m, 1)} = {drawn_m / piece_m:.2f}, so {pieces} whole pieces"
        )
        if pieces < 2:
            cautions = (
                f"{pieces} piece of {mm(piece_m, 1)}: too short to restack; draw it thinner or cut shorter",
            )
    return Answer(found, cautions=cautions, working=tuple(working))


DRAW_OUT = Calculator(
    name="draw-out",
    title="Drawing out",
    purpose="How long the bar gets, and how many pieces it gives for the next restack",
    fields=(
        length_field("length", "length now", ("5 mm", "5 m"), fills_from=("billet-length",)),
        length_field("width", "width now", ("3 mm", "500 mm"), fills_from=("billet-width",)),
        length_field("height", "height now", ("1 mm", "500 mm"), fills_from=("billet-height",)),
        length_field("to-width", "width wanted", ("2 mm", "500 mm")),
        length_field("to-height", "height wanted", ("0.5 mm", "500 mm")),
        Field(
            "scale-loss",
            "share",
            "lost as scale in the round",
            unit="%",
            default="5 %",
            hard=("0 %", "90 %"),
            likely=("0 %", "10 %"),
        ),
        length_field("piece", "length of a piece for the restack", ("5 mm", "5 m"), optional=True),
    ),
    results=(
        Result("length", "length", "length after drawing out", unit="mm", digits=0),
        Result("ratio", "number", "times the section shrinks (draw ratio)", digits=2),
        Result("pieces", "count", "whole pieces for the restack", digits=0),
        Result("left-over", "length", "left over after the whole pieces", unit="mm", digits=0),
    ),
    work=_draw_out,
    sources=(_VOLUME, _SCALE),
    valid="a bar of even rectangular section, ends square; saw kerf and cropped ends come off it",
    example=Example(
        given={
            "length": "110 mm",
            "width": "45 mm",
            "height": "40 mm",
            "to-width": "35 mm",
            "to-height": "12 mm",
            "scale-loss": "0 %",
            "piece": "100 mm",
        },
        found={"length": 471.4, "ratio": 4.286, "pieces": 4},
        source=Source("110 × 1800 / 420, by hand", "computed"),
        within=0.05,
    ),
    cautions=FORGE_CAUTIONS,
)


def _pattern_cut(given: Given) -> Answer:
    final_m, allowance_m = given.number("final-thickness"), given.maybe("allowance")
    depth, pitch_m, groove_m = given.number("depth"), given.number("pitch"), given.number("groove-width")
    cut = billet.pattern_cut(final_m, allowance_m, depth, pitch_m, groove_m)
    hair = 1e-9
    if not cut.fails:
        says = "no"
    elif cut.one_face_m < final_m - hair:
        says = f"yes: one face's cut alone leaves {mm(cut.one_face_m)} of the {mm(final_m)} wanted"
    else:
        says = (
            f"yes: where cuts of the two faces overlap, {mm(cut.left_m)} is left of the {mm(final_m)} wanted"
        )
    cautions = []
    if not cut.fails and cut.left_m < final_m - hair:
        cautions.append(
            f"two cuts over one another would leave {mm(cut.left_m)}: keep the faces staggered by half a "
            f"pitch"
        )
    if given.word("kind") == "raindrop":
        cautions.append("a wide cone: walls that are too steep fold in and leave cold shuts")
    by = f"3 × {mm(final_m)}" if allowance_m is None else f"2 × {mm(final_m)} + {mm(allowance_m)}"
    return Answer(
        {
            "cut-thickness": cut.thickness_m,
            "depth": cut.depth_m,
            "left": cut.left_m,
            "overlap": "yes" if cut.meet else "no",
            "fails": says,
        },
        cautions=tuple(cautions),
        working=(
            f"cut at {by} = {mm(cut.thickness_m)}",
            f"depth a face = {depth:.4g} × {mm(cut.thickness_m)} = {mm(cut.depth_m)}",
            f"left under both = {mm(cut.thickness_m)} − 2 × {mm(cut.depth_m)} = {mm(cut.left_m)}",
            f"faces half a pitch apart, {mm(pitch_m / 2)}; a cut is {mm(groove_m)} wide",
        ),
    )


PATTERN_CUT = Calculator(
    name="pattern-cut",
    title="Ladder or raindrop cut",
    purpose="How thick to leave the bar for the cut, how deep to go, and whether the blade keeps its "
    "thickness",
    fields=(
        length_field(
            "final-thickness",
            "thickness of the finished blade",
            ("0.5 mm", "50 mm"),
            likely=("1.5 mm", "8 mm"),
            fills_from=("final-thickness", "ricasso-thickness"),
        ),
        length_field(
            "allowance",
            "grinding allowance: when given, cut at twice the finished thickness and this",
            ("0 mm", "20 mm"),
            optional=True,
            likely=("0.5 mm", "3 mm"),
        ),
        Field(
            "depth",
            "number",
            "part of the thickness cut from each face, as 1/4 or 0.3",
            default="1/4",
            hard=("0.02", "0.49"),
            likely=("0.25", "0.334"),
        ),
        length_field(
            "pitch",
            "from cut to cut on one face",
            ("2 mm", "100 mm"),
            default="10 mm",
            likely=("6 mm", "13 mm"),
        ),
        length_field(
            "groove-width", "width of a groove, or of a drop at the face", ("0.5 mm", "50 mm"), default="3 mm"
        ),
        Field("kind", "choice", "grooves or drops", default="ladder", choices=("ladder", "raindrop")),
    ),
    results=(
        Result("cut-thickness", "length", "thickness to forge to before the cut", unit="mm", digits=2),
        Result("depth", "length", "depth of the cut, a face", unit="mm", digits=2),
        Result("left", "length", "left where cuts of both faces meet", unit="mm", digits=2),
        Result("overlap", "text", "whether cuts of the two faces overlap"),
        Result("fails", "text", "whether the finished thickness is lost"),
    ),
    work=_pattern_cut,
    sources=(_CUT,),
    valid="cuts of even depth on both faces, staggered by half a pitch, forged flat afterwards",
    example=Example(
        given={"final-thickness": "4 mm"},
        found={"cut-thickness": 12.0, "depth": 3.0, "left": 6.0, "fails": "no"},
        source=Source("3 × 4, a quarter of 12, 12 − 2 × 3, by hand", "computed"),
        within=0.001,
    ),
    cautions=(
        "The cut is final: a groove too deep leaves the blade thinner than planned. Clamp the bar, no "
        "gloves at "
        "the drill; eyes and ears at the grinder.",
    ),
)

_DENSITY = re.compile(
    r"(?P<n>[0-9]{1,6}(?:[.,][0-9]{1,4})?)\s*(?:(?:/|per)\s*(?P<unit>inch|in|cm|mm|m|\"))?", re.I
)
_PER_M = {"in": 1 / 0.0254, "inch": 1 / 0.0254, '"': 1 / 0.0254, "cm": 100.0, "mm": 1000.0, "m": 1.0}


def read_layer_density(text: str) -> float:
    """Read layers per length: ``50/in``, ``20 per cm``; a bare number is per inch. Returned per metre."""
    found = _DENSITY.fullmatch(text.strip()) if len(text) <= 60 else None
    if found is None:
        raise ShopError(
            f"density: '{showable(text.strip(), 40)}' is not layers per length; write 50/in or 20/cm"
        )
    per_m = float(found["n"].replace(",", ".")) * _PER_M[(found["unit"] or "in").lower()]
    if not 10 <= per_m <= 100_000:
        raise ShopError(
            f"density: '{showable(text.strip(), 40)}' is outside 1 layer in 100 mm to 100 in 1 mm; "
            "write it like 50/in"
        )
    return per_m


def _feather(given: Given) -> Answer:
    per_m = read_layer_density(given.word("density"))
    drawn_m, height_m = given.number("drawn-length"), given.number("split-height")
    dense_m, whole = billet.feather_stack(per_m, drawn_m, height_m)
    an_inch, start = per_m * 0.0254, dense_m * 0.0254
    inches, high = drawn_m / 0.0254, height_m / 0.0254
    return Answer(
        {"start": start, "stack": whole},
        cautions=(
            "start is layers in each inch of the billet's height at the split, as the shop rule counts; "
            "the whole stack holds stack layers",
        ),
        working=(
            f"start = {an_inch:.4g} an inch × {inches:.2f} in / {high:.2f} in = {start:.1f} an inch",
            f"stack = {start:.1f} an inch × {high:.2f} in = {whole}",
        ),
    )


FEATHER = Calculator(
    name="feather",
    title="Feather's start",
    purpose="How many layers the tall stack wants for the fineness you want along the blade",
    fields=(
        Field(
            "density", "text", "layers wanted along the blade, as 50/in or 20/cm (a bare number: per inch)"
        ),
        length_field("drawn-length", "length after drawing out", ("10 mm", "3 m"), likely=("100 mm", "1 m")),
        length_field(
            "split-height",
            "height of the billet at the split",
            ("5 mm", "500 mm"),
            likely=("40 mm", "150 mm"),
            fills_from=("billet-height",),
        ),
    ),
    results=(
        Result("start", "number", "layers to start with, in each inch of height at the split", digits=0),
        Result("stack", "count", "layers in the whole height of the stack", digits=0),
    ),
    work=_feather,
    sources=(_FEATHER,),
    valid="layers standing up, split lengthways and drawn out evenly",
    example=Example(
        given={"density": "50/in", "drawn-length": "12 in", "split-height": "3 in"},
        found={"start": 200, "stack": 600},
        source=Source("50 × 12 / 3, a worked case; 200 an inch over 3 in is 600", "common practice"),
        within=0.001,
    ),
    cautions=(
        "Mark the axis before the heat: layers cannot be seen when glowing, and a cut on the wrong axis "
        "is final.",
        *FORGE_CAUTIONS,
    ),
)

CALCULATORS: tuple[Calculator, ...] = (DRAW_OUT, PATTERN_CUT, FEATHER)
