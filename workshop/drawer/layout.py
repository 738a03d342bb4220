"""The drawer's layout lines: tapers with their stations, octagons, and squaring a block."""

from __future__ import annotations

from math import degrees

from workshop.drawer.declare import Answer, Calculator, Example, Field, Given, Result, Source
from workshop.drawer.wording import bare, deg, mm, side_view
from workshop.trade import layout
from workshop.trade.geometry import taper_angle

STRAIGHT = Source("Straight lines: each side's angle is atan((front − end)/(2·length))", "computed")
TAPER_TEXT = Source("Jones, Turning and Boring: 3/4 in a foot is 1°47.4′ each side")
OCTAGON = Source("Regular octagon: the corner is 1 − 1/√2 = 0.2929 of the side", "computed")
MARKS = Source("Octagon marks are set at 0.293 of the side from each corner", "common practice")
SINE_BAR = Source("Sine bar, h = L sin A: TC 9-524, Fundamentals of Machine Tools")

DISC = (
    "At the disc or belt: eyes and lungs protected, hair and sleeves tied, the table close to the "
    "disc, and work on "
    "the side that runs down onto the table.",
)


def _station_name(place_m: float) -> str:
    return f"width {place_m * 1000:.6g} mm"


def _taper(given: Given) -> Answer:
    front, end, length = given.number("front"), given.number("end"), given.number("length")
    found: dict[str, float | str] = {}
    stations = layout.stations(front, end, length, given.number("step"))
    angle = taper_angle(front, end, length)
    found["angle"] = angle
    found.update({_station_name(place): width for place, width in stations})
    working = (f"angle = atan(({mm(front)} − {mm(end)}) / (2 × {mm(length)})) = {deg(angle)} each side",)
    cautions = ("It widens toward the end: the angle is less than nothing.",) if end > front else ()
    return Answer(found, cautions, working, figure=_taper_figure(front, end, length, stations))


def _taper_figure(
    front_m: float, end_m: float, length_m: float, stations: tuple[tuple[float, float], ...]
) -> tuple[str, ...]:
    """Draw the taper from above with its stations; most of what both ends share is left out, so that "
    "it shows."""
    columns, shared = 50, 0.6 * min(front_m, end_m)
    body = side_view(
        lambda place: (front_m + (end_m - front_m) * place / length_m - shared) / 2,
        length_m,
        max(front_m, end_m) - shared,
        columns,
        rows=9,
    )
    ruler = [" "] * columns
    for place, _ in stations:
        ruler[min(columns - 1, round(place / length_m * (columns - 1)))] = "|"
    ends = f"{front_m * 1000:.4g} mm"
    last = f"{end_m * 1000:.4g} mm"
    return (*body, "".join(ruler), f"{ends}{last:>{max(1, columns - len(ends))}}")


TAPER = Calculator(
    name="taper",
    title="Taper",
    purpose="The angle of each side of a straight taper, and its width at every station",
    fields=(
        Field(
            "front",
            "length",
            "how wide it is at the front",
            "mm",
            hard=("0.01 mm", "10 m"),
            likely=("1 mm", "80 mm"),
            fills_from=("handle-width",),
        ),
        Field(
            "end",
            "length",
            "how wide it is at the end",
            "mm",
            hard=("0.01 mm", "10 m"),
            likely=("1 mm", "80 mm"),
        ),
        Field(
            "length",
            "length",
            "how long the taper is",
            "mm",
            hard=("0.1 mm", "10 m"),
            likely=("20 mm", "400 mm"),
            fills_from=("handle-length",),
        ),
        Field("step", "length", "from station to station", "mm", default="20 mm", hard=("0.1 mm", "10 m")),
    ),
    results=(
        Result("angle", "angle", "each side to the centre line", "deg", 2),
        Result("width", "length", "how wide it is at", "mm", 2, family=True),
    ),
    work=_taper,
    sources=(STRAIGHT, TAPER_TEXT),
    valid="Straight tapers, alike on both sides, of any size",
    example=Example(
        given={"front": "24 mm", "end": "18 mm", "length": "60 mm", "step": "20 mm"},
        found={"angle": 2.86, "width 0 mm": 24, "width 20 mm": 22, "width 40 mm": 20, "width 60 mm": 18},
        source=Source("By hand: 6 mm over 60 mm is 2 mm a station, and atan(3/60) = 2.862°", "computed"),
    ),
    cautions=DISC,
)


def _octagon(given: Given) -> Answer:
    width, height = given.number("width"), given.number("height")
    laid = layout.octagon(width, height)
    found: dict[str, float | str] = {
        "corner-mark width": laid.mark_width_m,
        "corner-mark height": laid.mark_height_m,
        "flats width": laid.flat_width_m,
        "flats height": laid.flat_height_m,
        "flats corner": laid.flat_corner_m,
        "off-corner": laid.off_corner_m,
    }
    working = (
        f"corner mark = (1 − 1/√2) × face: 0.2929 × {mm(width)} = {mm(laid.mark_width_m)}; "
        f"0.2929 × {mm(height)} = {mm(laid.mark_height_m)}",
        f"corner flat = √({bare(laid.mark_width_m)}² + {bare(laid.mark_height_m)}²) = "
        f"{mm(laid.flat_corner_m)}",
        f"off the corner = {mm(laid.mark_width_m)} × {mm(laid.mark_height_m)} / {mm(laid.flat_corner_m)} = "
        f"{mm(laid.off_corner_m)}",
    )
    assumed = ("each face is marked in its own proportion",) if abs(width - height) > 1e-9 else ()
    return Answer(found, (), working, assumed, _octagon_figure(width, height, laid))


def _octagon_figure(width_m: float, height_m: float, laid: layout.Octagon) -> tuple[str, ...]:
    """Draw the section: the marks of the width along the top, of the height down the side."""
    rows, columns = 9, 26
    if width_m > height_m:
        rows = max(5, round(9 * height_m / width_m))
    else:
        columns = max(12, round(26 * width_m / height_m))
    deep, slant = max(1, round(rows * layout.CORNER)), round(columns * layout.CORNER)
    lines = [" " * slant + "_" * (columns - 2 * slant)]
    for row in range(rows):
        from_end = min(row, rows - 1 - row)
        inset = round(slant * max(0.0, deep - from_end - 0.5) / deep)
        left, right = ("|", "|") if from_end >= deep else (("/", "\\") if row < rows / 2 else ("\\", "/"))
        inside = [" "] * (columns - 2 * inset - 2)
        if row == rows - 1:
            for place in range(max(0, slant - inset - 1), min(len(inside), columns - slant - inset - 1)):
                inside[place] = "_"
        lines.append(" " * inset + left + "".join(inside) + right)
    middle = 1 + rows // 2
    lines[middle] += f"  height {height_m * 1000:.4g}, mark {laid.mark_height_m * 1000:.2f}"
    lines.append(f"width {width_m * 1000:.4g}, mark {laid.mark_width_m * 1000:.2f} from each corner (mm)")
    return tuple(lines)


OCTAGON_CALCULATOR = Calculator(
    name="octagon",
    title="Octagon",
    purpose="Where to mark each face of a squared block for an octagon, and how far the corners go down",
    fields=(
        Field(
            "width",
            "length",
            "the block across",
            "mm",
            hard=("0.1 mm", "1 m"),
            likely=("8 mm", "60 mm"),
            fills_from=("handle-width", "block-width"),
        ),
        Field(
            "height",
            "length",
            "the block from edge side to spine side",
            "mm",
            hard=("0.1 mm", "1 m"),
            likely=("8 mm", "60 mm"),
            fills_from=("handle-height", "block-height"),
        ),
    ),
    results=(
        Result(
            "corner-mark", "length", "mark from each corner, on the face as wide as the", "mm", 2, family=True
        ),
        Result("flats", "length", "the flat that is left, or new, on the", "mm", 2, family=True),
        Result("off-corner", "length", "how far each corner goes down, square to its new face", "mm", 2),
    ),
    work=_octagon,
    sources=(OCTAGON, MARKS),
    valid="Squared blocks; a regular octagon on a square, the same octagon stretched on any other",
    example=Example(
        given={"width": "24 mm", "height": "24 mm"},
        found={
            "corner-mark width": 7.03,
            "corner-mark height": 7.03,
            "flats width": 9.94,
            "flats corner": 9.94,
            "off-corner": 4.97,
        },
        source=Source(
            "By hand: 24 × (1 − 0.70711) = 7.029; 24 × 0.41421 = 9.941; half of that is 4.971", "computed"
        ),
    ),
    cautions=DISC,
)


def _square_up(given: Given) -> Answer:
    width, length, out = given.number("width"), given.number("length"), given.maybe("out")
    squared = layout.square_up(width, length, out, given.maybe("angle"))
    found: dict[str, float | str] = {
        "angle": squared.angle_rad,
        "packing": squared.packing_m,
        "removed": squared.removed_m,
    }
    working = (
        f"angle = atan(out / width) = {degrees(squared.angle_rad):.3f}°",
        f"packing = length × sin(angle) = {mm(length)} × sin({degrees(squared.angle_rad):.3f}°) = "
        f"{mm(squared.packing_m, 3)}",
        f"removed = width × tan(angle) = {mm(squared.removed_m, 3)} at the proud corner, nothing at "
        "the other",
    )
    cautions: tuple[str, ...] = ()
    if 0 < squared.packing_m < 0.00005:
        cautions = (
            "The packing is thinner than a sheet of paper (about 0.1 mm): take it off by hand "
            "on a flat plate.",
        )
    return Answer(found, cautions, working)


SQUARE_UP = Calculator(
    name="square-up",
    title="Squaring a block",
    purpose="What to pack under a block to bring a face square, and what comes off",
    fields=(
        Field(
            "width",
            "length",
            "along the face, from the corner that touches to the far one",
            "mm",
            hard=("0.1 mm", "1 m"),
            likely=("8 mm", "80 mm"),
            fills_from=("block-width",),
        ),
        Field(
            "length",
            "length",
            "the block's length that lies on the table",
            "mm",
            hard=("0.1 mm", "1 m"),
            likely=("30 mm", "200 mm"),
            fills_from=("block-length",),
        ),
        Field(
            "out",
            "length",
            "the gap at the far corner",
            "mm",
            optional=True,
            hard=("0 mm", "1 m"),
            likely=(None, "3 mm"),
        ),
        Field(
            "angle",
            "angle",
            "or how far from square, as an angle",
            "deg",
            optional=True,
            hard=("0 deg", "45 deg"),
        ),
    ),
    results=(
        Result("angle", "angle", "how far it is from square", "deg", 3),
        Result("packing", "length", "packing under the end of the block, over its length", "mm", 3),
        Result("removed", "length", "the most that comes off, at the proud corner", "mm", 3),
    ),
    work=_square_up,
    sources=(SINE_BAR, Source("Right triangle: tan A = out/width", "computed")),
    valid="0 to 45°; the block rests along its whole length, so that the packing tilts it as a sine bar",
    example=Example(
        given={"width": "40 mm", "length": "120 mm", "out": "0.4 mm"},
        found={"angle": 0.573, "packing": 1.2, "removed": 0.4},
        source=Source("By hand: 0.4/40 = 0.01, 0.573°; 120 × 0.01 = 1.2 mm to a ten-thousandth", "computed"),
        within=0.001,
    ),
    cautions=DISC,
)

CALCULATORS: tuple[Calculator, ...] = (TAPER, OCTAGON_CALCULATOR, SQUARE_UP)
