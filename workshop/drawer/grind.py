"""The drawer's bevel and distal taper."""

from __future__ import annotations

import math

from workshop.drawer.declare import Answer, Calculator, Example, Field, Given, Result, Source
from workshop.drawer.wording import bare, deg, mm, percent, side_view
from workshop.trade import grind

_PLANE = Source("Plane geometry of a wedge: tan α = (spine − edge) / (2 · height)", "computed")
_SAGITTA = Source(
    "Depth of an arc, s = R − √(R² − c²/4), Machinery's Handbook 31st ed. pp. 88-93", "published"
)
_EDGES = Source(
    "Edge before heat treat 0.75-1.3 mm; before sharpening kitchen 0.1-0.25, hunter 0.25-0.6, "
    "camp 0.5-0.8, chopper 0.8-1.2 mm",
    "common practice",
)
_TAPER = Source(
    "Full at the shoulder, 60-70 % at the middle, 25-40 % at 25 mm from the point; "
    "kitchen 80, 35, 20 %; begins some 25 mm ahead of the ricasso",
    "common practice",
)
GRINDING_CAUTIONS = (
    "Eye and face shield, ears and a dust mask; no loose clothing; catch sparks clear of wood and leather "
    "dust. "
    "Usual cautions: the machine's manual and local codes decide.",
)


SEEN_M = 0.005e-3
"""Half the last digit shown: less is not thinner to anyone."""


def _bevel(given: Given) -> Answer:
    spine_m, edge_m, height_m = given.number("spine"), given.number("edge"), given.number("height")
    wheel_m = given.maybe("wheel")
    angle_rad = grind.half_angle(spine_m, edge_m, height_m)
    offset_m = height_m * math.tan(angle_rad)
    found: dict[str, float | str] = {
        "half-angle": angle_rad,
        "included": 2 * angle_rad,
        "offset": offset_m,
    }
    working = [
        f"half-angle = atan(({mm(spine_m)} − {mm(edge_m)}) / (2 × {mm(height_m)})) = {deg(angle_rad)}",
        f"offset = {mm(height_m)} × tan {deg(angle_rad)} = {mm(offset_m)}",
    ]
    cautions: list[str] = []
    if wheel_m is not None:
        _add_hollow(found, working, cautions, (spine_m, edge_m, height_m, wheel_m))
    return Answer(
        found,
        cautions=tuple(cautions),
        working=tuple(working),
        figure=_section(spine_m, edge_m, height_m, wheel_m),
    )


def _add_hollow(
    found: dict[str, float | str],
    working: list[str],
    cautions: list[str],
    sizes: tuple[float, float, float, float],
) -> None:
    """Add what a wheel leaves to the answer of a flat bevel."""
    spine_m, edge_m, height_m, wheel_m = sizes
    hollow = grind.hollow(spine_m, edge_m, height_m, wheel_m)
    found |= {"hollow": hollow.depth_m, "thinnest": hollow.thinnest_m, "thinnest-at": hollow.at_m}
    face_m = math.hypot(height_m, (spine_m - edge_m) / 2)
    working.append(
        f"hollow = {mm(wheel_m / 2, 1)} − √({bare(wheel_m / 2, 1)}² − {bare(face_m)}² / 4) = "
        f"{mm(hollow.depth_m, 3)}"
    )
    if hollow.thinnest_m < edge_m - SEEN_M:
        cautions.append(
            f"the hollow leaves {mm(hollow.thinnest_m)} at {mm(hollow.at_m, 1)} from the edge, thinner "
            f"than the "
            f"edge ({mm(edge_m)}): a larger wheel or a lower bevel keeps more"
        )


def _section(spine_m: float, edge_m: float, height_m: float, wheel_m: float | None) -> tuple[str, ...]:
    """Draw the cross-section, edge to the left."""

    def half(x_m: float) -> float:
        if wheel_m is None:
            return (edge_m + (spine_m - edge_m) * x_m / height_m) / 2
        return grind.hollow_half_thickness(spine_m, edge_m, height_m, wheel_m, x_m)

    shape = side_view(half, height_m, spine_m)
    left, right = f"edge {mm(edge_m)}", f"spine {mm(spine_m)}"
    foot = f"|{' height ' + mm(height_m, 1) + ' ':-^48}|"
    return (left + right.rjust(50 - len(left)), *shape, foot, "not to scale: the thickness is drawn larger")


BEVEL = Calculator(
    name="bevel",
    title="Bevel angle",
    purpose="The angle to set a jig to, and whether a hollow grind leaves steel enough",
    fields=(
        Field(
            "spine",
            "length",
            "thickness where the bevel begins",
            unit="mm",
            hard=("0.3 mm", "30 mm"),
            likely=("1.5 mm", "8 mm"),
            fills_from=("spine-thickness", "ricasso-thickness"),
        ),
        Field(
            "edge",
            "length",
            "thickness left at the edge",
            unit="mm",
            hard=("0 mm", "20 mm"),
            likely=("0.1 mm", "2.5 mm"),
            fills_from=("edge-thickness",),
        ),
        Field(
            "height",
            "length",
            "height of the bevel, edge to grind line",
            unit="mm",
            hard=("1 mm", "300 mm"),
            likely=("8 mm", "80 mm"),
            fills_from=("blade-height",),
        ),
        Field(
            "wheel",
            "length",
            "diameter of the contact wheel, for a hollow grind",
            unit="mm",
            optional=True,
            hard=("5 mm", "2 m"),
            likely=("200 mm", "350 mm"),
        ),
    ),
    results=(
        Result("half-angle", "angle", "angle of one bevel to the centre plane", unit="deg", digits=2),
        Result("included", "angle", "angle between the two bevels", unit="deg", digits=2),
        Result("offset", "length", "jig offset: what the bevel falls over its height", unit="mm", digits=2),
        Result("hollow", "length", "depth of the hollow under the flat bevel, a side", unit="mm", digits=3),
        Result("thinnest", "length", "thinnest place of the hollow-ground section", unit="mm", digits=2),
        Result("thinnest-at", "length", "where that is, from the edge", unit="mm", digits=1),
    ),
    work=_bevel,
    sources=(_PLANE, _SAGITTA, _EDGES),
    valid="a straight or single-wheel bevel, both sides alike, wheel square to the blade",
    example=Example(
        given={"spine": "4 mm", "edge": "0.6 mm", "height": "30 mm"},
        found={"half-angle": 3.24, "included": 6.49, "offset": 1.70},
        source=Source("atan(3.4 / 60) = 3.243°, by hand", "computed"),
        within=0.006,
    ),
    cautions=GRINDING_CAUTIONS,
)


def _distal(given: Given) -> Answer:
    heel_m, tip, length_m = given.number("heel"), given.number("tip"), given.number("length")
    starts_m, tip_at_m = given.number("starts"), given.number("tip-at")

    def thickness(x_m: float) -> float:
        return grind.distal_thickness(heel_m, tip, length_m, starts_m, tip_at_m, x_m)

    places = grind.stations(length_m, given.number("step"))
    found: dict[str, float | str] = {f"thickness {x * 1000:.4g} mm": thickness(x) for x in places}
    middle_m = thickness(length_m / 2)
    working = (
        f"{mm(heel_m)} falls to {percent(tip)} = {mm(heel_m * tip)} over "
        f"{mm(length_m - starts_m - tip_at_m, 1)}",
        f"middle: {mm(middle_m)}, {percent(middle_m / heel_m)} of the heel",
    )
    shape = side_view(lambda x_m: thickness(x_m) / 2, length_m, heel_m)
    left, right = f"heel {mm(heel_m)}", f"end {mm(thickness(length_m))}"
    foot = f"|{' length ' + mm(length_m, 1) + ' ':-^48}|"
    figure = (left + right.rjust(50 - len(left)), *shape, foot, "not to scale: the thickness is drawn larger")
    return Answer(found, working=working, figure=figure)


DISTAL = Calculator(
    name="distal",
    title="Distal taper",
    purpose="How thick the spine should be at each station, to mark and measure while grinding",
    fields=(
        Field(
            "heel",
            "length",
            "spine thickness at the heel",
            unit="mm",
            hard=("0.5 mm", "30 mm"),
            likely=("1.5 mm", "8 mm"),
            fills_from=("ricasso-thickness", "spine-thickness"),
        ),
        Field(
            "tip",
            "number",
            "part of the heel's thickness that is left at the tip, as 0.3 or 1/3",
            default="0.3",
            hard=("0.01", "1"),
            likely=("0.2", "0.5"),
        ),
        Field(
            "length",
            "length",
            "heel to the end of the taper",
            unit="mm",
            hard=("10 mm", "1.5 m"),
            likely=("50 mm", "400 mm"),
            fills_from=("blade-length",),
        ),
        Field(
            "step", "length", "distance between stations", unit="mm", default="20 mm", hard=("1 mm", "1.5 m")
        ),
        Field(
            "starts",
            "length",
            "how far ahead of the heel the taper begins (some 25 mm is usual)",
            unit="mm",
            default="0 mm",
            hard=("0 mm", "1.5 m"),
        ),
        Field(
            "tip-at",
            "length",
            "how far short of the end the tip is measured (25 mm is usual)",
            unit="mm",
            default="0 mm",
            hard=("0 mm", "1.5 m"),
        ),
    ),
    results=(
        Result("thickness", "length", "spine thickness, by distance from the heel", unit="mm", family=True),
    ),
    work=_distal,
    sources=(Source("Straight line between two thicknesses, by proportion", "computed"), _TAPER),
    valid="a straight taper; swedges and false edges come off it",
    example=Example(
        given={"heel": "4 mm", "tip": "0.3", "length": "150 mm", "step": "50 mm"},
        found={
            "thickness 0 mm": 4.0,
            "thickness 50 mm": 3.07,
            "thickness 100 mm": 2.13,
            "thickness 150 mm": 1.2,
        },
        source=Source("4 − 2.8 × x / 150, by hand", "computed"),
    ),
    cautions=GRINDING_CAUTIONS,
)


CALCULATORS: tuple[Calculator, ...] = (BEVEL, DISTAL)
