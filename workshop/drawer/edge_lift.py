"""The drawer's edge lift: how high to hold the spine on the stone."""

from __future__ import annotations

import math

from workshop.drawer.declare import Answer, Calculator, Example, Field, Given, Result, Source
from workshop.drawer.wording import deg, mm
from workshop.errors import ShopError
from workshop.trade import grind

_LIFT = Source("Sine bar: height = length × sin(angle), TC 9-524 (5 in at 23°41′ is 2.0084 in)", "published")
_ANGLES = Source(
    "Angles a side: kitchen 10-15°, slicer 12°, hunter 17-22°, camp 20-25°, chopper 25-30°", "common practice"
)
_USES = (("kitchen", 10, 15), ("hunter", 17, 22), ("camp", 20, 25), ("chopper", 25, 30))


def _edge_lift(given: Given) -> Answer:
    height_m, angle_rad, lift_m = given.number("height"), given.maybe("angle"), given.maybe("lift")
    if (angle_rad is None) == (lift_m is None):
        raise ShopError("angle, lift: give one of the two, like angle 15 deg, and the other is found")
    if angle_rad is not None:
        lift_m = grind.edge_lift(height_m, angle_rad)
        found: dict[str, float | str] = {"lift": lift_m}
        line = f"lift = {mm(height_m)} × sin {deg(angle_rad)} = {mm(lift_m)}"
    else:
        assert lift_m is not None
        angle_rad = grind.angle_of_lift(height_m, lift_m)
        found = {"angle": angle_rad}
        line = f"angle = asin({mm(lift_m)} / {mm(height_m)}) = {deg(angle_rad)}"
    folds, fold_rad = grind.nearest_fold(angle_rad)
    off = math.degrees(fold_rad - angle_rad)
    beside = "the same" if abs(off) < 0.05 else f"{abs(off):.2f}° {'steeper' if off > 0 else 'flatter'}"
    found["fold"] = (
        f"{folds} fold{'s' if folds > 1 else ''} of a square paper corner: "
        f"{math.degrees(fold_rad):.4g}°, {beside}"
    )
    angle_deg = math.degrees(angle_rad)
    uses = [use for use, low, high in _USES if low - 1e-9 <= angle_deg <= high + 1e-9]
    found["suits"] = ", ".join(uses) or "none of the usual uses"
    return Answer(found, working=(line, f"spine lift at the fold: {mm(height_m * math.sin(fold_rad))}"))


EDGE_LIFT = Calculator(
    name="edge-lift",
    title="Spine lift on the stone",
    purpose="How high to hold the spine for an angle, or what angle a lift gives",
    fields=(
        Field(
            "height",
            "length",
            "edge to spine, at the centre line",
            unit="mm",
            hard=("3 mm", "300 mm"),
            likely=("12 mm", "80 mm"),
            fills_from=("blade-height",),
        ),
        Field(
            "angle",
            "angle",
            "angle a side",
            unit="deg",
            optional=True,
            hard=("1 deg", "89 deg"),
            likely=("8 deg", "35 deg"),
        ),
        Field(
            "lift",
            "length",
            "height of the spine's centre line over the stone",
            unit="mm",
            optional=True,
            hard=("0.1 mm", "300 mm"),
        ),
    ),
    results=(
        Result("lift", "length", "height of the spine's centre line over the stone", unit="mm", digits=1),
        Result("angle", "angle", "angle a side", unit="deg", digits=1),
        Result("fold", "text", "nearest fold of a paper corner, to check by eye"),
        Result("suits", "text", "uses this angle is usual for"),
    ),
    work=_edge_lift,
    sources=(_LIFT, _ANGLES),
    valid="the blade's centre plane lifted from a flat stone; a guide that clamps the flats adds the "
    "bevel's half",
    example=Example(
        given={"height": "30 mm", "angle": "15 deg"},
        found={"lift": 7.76},
        source=Source("30 × sin 15° = 7.765, by hand", "computed"),
        within=0.05,
    ),
    cautions=("Tape the point and the part of the edge not being worked. An edge too hot to touch is soft.",),
)

CALCULATORS: tuple[Calculator, ...] = (EDGE_LIFT,)
