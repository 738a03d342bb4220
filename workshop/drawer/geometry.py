"""The drawer's geometry: arcs and their wheels, and the wall round a slot."""

from __future__ import annotations

from workshop.drawer.declare import Answer, Calculator, Example, Field, Given, Result, Source
from workshop.drawer.wording import bare, deg, mm, series
from workshop.errors import ShopError
from workshop.trade import layout
from workshop.trade.geometry import chord_of_arc, radius_of_arc, rise_of_arc, sweep_of_arc

SAGITTA = Source("Circle, R = (c²/4 + s²)/2s: Machinery's Handbook, 31st ed., pp. 88-93")
OWN_WHEELS = Source("The nearest wheel is the one whose own rise over the chord differs least", "computed")
CONVEX = Source(
    "Inside an outline that bulges outward, the distance to it is least at a corner of a straight-sided slot",
    "computed",
)
THREE = Source("At least 3 mm of wall round a slot", "common practice")

LEAST_WALL_M = 0.003

BELT = (
    "At the belt: eyes and lungs protected, no gloves, hair and sleeves tied; a small wheel runs hot "
    "and grabs.",
)


def _known_arc(given: Given) -> tuple[float, float, float, tuple[str, ...]]:
    """Return chord, rise and radius (m) from the two that are given, and what had to be assumed."""
    chord, rise, radius = given.maybe("chord"), given.maybe("rise"), given.maybe("radius")
    known = [
        name for name, value in (("chord", chord), ("rise", rise), ("radius", radius)) if value is not None
    ]
    if chord is not None and rise is not None and radius is None:
        return chord, rise, radius_of_arc(chord, rise), ()
    if chord is not None and radius is not None and rise is None:
        return chord, rise_of_arc(radius, chord), radius, ("the shallower of the two arcs over this chord",)
    if rise is not None and radius is not None and chord is None:
        return chord_of_arc(radius, rise), rise, radius, ()
    raise ShopError(
        "an arc is known by exactly two of chord, rise and radius; given: "
        f"{', '.join(known) or 'none of them'}"
    )


def _arc(given: Given) -> Answer:
    chord, rise, radius, assumed = _known_arc(given)
    sweep = sweep_of_arc(chord, rise)
    found: dict[str, float | str] = {"radius": radius, "sweep": sweep, "arc-length": radius * sweep}
    found |= {name: value for name, value in (("chord", chord), ("rise", rise)) if given.maybe(name) is None}
    working = [
        f"R = (c²/4 + s²)/2s = ({bare(chord)}²/4 + {bare(rise)}²) / (2 × {bare(rise)}) = {mm(radius)}",
        f"sweep = 4·atan(2s/c) = {deg(sweep)}; arc = R × sweep = {mm(radius * sweep)}",
    ]
    notices = []
    if rise > chord / 2 * (1 + 1e-9):
        notices.append("The rise is more than half the chord: the arc goes past a half circle and undercuts.")
    wheels = series(given, "wheels")
    wheel = layout.nearest_wheel(chord, rise, wheels)
    if wheel is not None:
        found["wheel"], found["wheel-off"] = wheel.diameter_m, wheel.off_m
        how = "deeper" if wheel.off_m > 0 else "flatter"
        working.append(f"wheel {mm(wheel.diameter_m)} is {mm(abs(wheel.off_m))} {how} at mid-chord")
    elif wheels:
        notices.append(
            "None of the wheels can cut this arc: each is narrower than the chord, or the arc undercuts."
        )
    return Answer(found, tuple(notices), tuple(working), assumed)


ARC = Calculator(
    name="arc",
    title="Arc and wheel",
    purpose="The radius of an arc, its length, and which of your wheels cuts it",
    fields=(
        Field(
            "chord",
            "length",
            "straight from end to end",
            "mm",
            optional=True,
            hard=("0.01 mm", "10 m"),
            likely=("3 mm", "300 mm"),
        ),
        Field(
            "rise",
            "length",
            "how deep it is at mid-chord",
            "mm",
            optional=True,
            hard=("0.0001 mm", "10 m"),
            likely=("0.1 mm", "60 mm"),
        ),
        Field("radius", "length", "instead of one of them", "mm", optional=True, hard=("0.01 mm", "1000 m")),
        Field(
            "wheels",
            "length",
            "the diameters of your own wheels, parted by ;",
            "mm",
            optional=True,
            hard=("1 mm", "2 m"),
            many=True,
        ),
    ),
    results=(
        Result("radius", "length", "the radius", "mm", 2),
        Result("sweep", "angle", "the angle seen from its centre", "deg", 1),
        Result("arc-length", "length", "along the arc", "mm", 2),
        Result("chord", "length", "straight from end to end", "mm", 2),
        Result("rise", "length", "how deep it is at mid-chord", "mm", 3),
        Result("wheel", "length", "the nearest of your wheels, its diameter", "mm", 1),
        Result("wheel-off", "length", "what it cuts deeper at mid-chord, minus for flatter", "mm", 3),
    ),
    work=_arc,
    sources=(SAGITTA, OWN_WHEELS),
    valid="Parts of a circle, exact for every rise; a wheel's own rubber gives a little under pressure",
    example=Example(
        given={"chord": "50 mm", "rise": "10 mm", "wheels": "50 mm; 75 mm; 100 mm"},
        found={"radius": 36.25, "sweep": 87.21, "arc-length": 55.17, "wheel": 75, "wheel-off": -0.451},
        source=Source(
            "By hand: (625 + 100)/20 = 36.25; a 75 mm wheel rises 37.5 − √(37.5² − 25²) = 9.549 mm",
            "computed",
        ),
    ),
    cautions=BELT,
)


def _wall(given: Given) -> Answer:
    form = next((one for one in layout.SECTIONS if one == given.word("form")), None)
    if form is None:
        raise ShopError(f'form is "{given.word("form")}"; it must be one of {", ".join(layout.SECTIONS)}')
    width, height = given.number("handle-width"), given.number("handle-height")
    slot_width, slot_height = given.number("slot-width"), given.number("slot-height")
    right, up = given.number("offset"), given.number("offset-height")
    walls = layout.wall(form, width, height, slot_width, slot_height, right, up)
    station = given.maybe("station")
    at = "" if station is None else f", {mm(station, 1)} from the front"
    found: dict[str, float | str] = {
        "thinnest-wall": walls.thinnest_m,
        "where": f"{walls.where}{at}",
        "left": walls.left_m,
        "right": walls.right_m,
        "spine": walls.spine_m,
        "edge": walls.edge_m,
    }
    notices: tuple[str, ...] = ()
    if walls.thinnest_m < LEAST_WALL_M * (1 - 1e-9):
        notices = (
            f"The thinnest wall is {mm(walls.thinnest_m)}; 3 mm is usual at least, or it cracks in use.",
        )
    working = (
        f"straight across: half of {mm(width)} less half of {mm(slot_width)} and the offset {mm(right)}: "
        f"left {mm(walls.left_m)}, right {mm(walls.right_m)}",
        f"thinnest from a corner of the slot, {mm(slot_width / 2)} and {mm(slot_height / 2)} from its "
        "middle, to the "
        f"{form}: {mm(walls.thinnest_m)}",
    )
    return Answer(found, notices, working, ("the slot's corners are square; rounded ones leave more",))


def _size(name: str, says: str, likely: tuple[str, str], *fills: str) -> Field:
    return Field(name, "length", says, "mm", hard=("0.1 mm", "1 m"), likely=likely, fills_from=fills)


WALL = Calculator(
    name="wall",
    title="Wall round the slot",
    purpose="The thinnest wall between the slot and the outside of the handle at a station",
    fields=(
        _size("handle-width", "the handle across, at the station", ("12 mm", "50 mm"), "handle-width"),
        _size(
            "handle-height",
            "from edge to spine, at the station",
            ("15 mm", "60 mm"),
            "handle-height",
        ),
        _size("slot-width", "the slot across", ("2 mm", "20 mm"), "slot-width"),
        _size("slot-height", "the slot from edge side to spine side", ("5 mm", "40 mm"), "slot-height"),
        Field(
            "offset",
            "length",
            "the slot's middle to the right of the handle's, minus for left",
            "mm",
            default="0 mm",
            hard=("-100 mm", "100 mm"),
            likely=("-3 mm", "3 mm"),
            fills_from=("slot-offset",),
        ),
        Field(
            "offset-height",
            "length",
            "the slot's middle toward the spine, minus for the edge",
            "mm",
            default="0 mm",
            hard=("-100 mm", "100 mm"),
            likely=("-6 mm", "6 mm"),
        ),
        Field(
            "form",
            "choice",
            "the handle's section there",
            default="ellipse",
            choices=("rectangle", "ellipse", "octagon"),
            alike=True,
        ),
        Field(
            "station",
            "length",
            "from the front, for the record",
            "mm",
            optional=True,
            hard=("0 mm", "1 m"),
        ),
    ),
    results=(
        Result("thinnest-wall", "length", "the thinnest wall", "mm", 2),
        Result("where", "text", "where it is"),
        Result("left", "length", "straight across to the left", "mm", 2),
        Result("right", "length", "straight across to the right", "mm", 2),
        Result("spine", "length", "straight up to the spine side", "mm", 2),
        Result("edge", "length", "straight down to the edge side", "mm", 2),
    ),
    work=_wall,
    sources=(CONVEX, THREE),
    valid="Sections of rectangle, ellipse or octagon (marked at 0.293 of each face); at one station",
    example=Example(
        given={
            "handle-width": "20 mm",
            "handle-height": "28 mm",
            "slot-width": "6 mm",
            "slot-height": "14 mm",
            "offset": "1 mm",
            "form": "rectangle",
        },
        found={"thinnest-wall": 6.0, "left": 8.0, "right": 6.0, "spine": 7.0, "edge": 7.0},
        source=Source("By hand: 10 − 3 − 1 = 6 mm to the right, 14 − 7 = 7 mm to the spine", "computed"),
    ),
)

CALCULATORS: tuple[Calculator, ...] = (ARC, WALL)
