"""Laying out a handle: wheels for arcs, tapers, octagons, squaring a block, the wall round a slot.

Lengths in metres, angles in radians.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, sqrt, tan
from typing import Literal

from workshop.errors import ShopError
from workshop.trade.geometry import (
    angle_of_out,
    at_station,
    must_be_more_than_nothing,
    point_to_ellipse,
    rise_of_arc,
    say_length,
    sine_bar_packing,
)

CORNER = 1 - 1 / sqrt(2)
"""The mark of a regular octagon from the corner of its square, in sides: 0.2929, the trade's 0.293."""

MOST_STATIONS = 100

Section = Literal["rectangle", "ellipse", "octagon"]
SECTIONS: tuple[Section, ...] = ("rectangle", "ellipse", "octagon")


@dataclass(frozen=True, slots=True)
class Wheel:
    """A contact wheel beside an arc. off_m: wheel's rise less the arc's at mid-chord; minus is flatter."""

    diameter_m: float
    off_m: float


def nearest_wheel(chord_m: float, rise_m: float, diameters_m: Sequence[float]) -> Wheel | None:
    """Return the wheel whose arc over the same chord comes nearest at mid-chord.

    None when no wheel is as wide as the chord, or the arc is past a half circle, which no wheel's
    side can grind. Raises ShopError for a wheel of nothing.
    """
    must_be_more_than_nothing(chord=chord_m, rise=rise_m)
    for diameter in diameters_m:
        must_be_more_than_nothing(wheels=diameter)
    fitting = [diameter for diameter in diameters_m if diameter >= chord_m * (1 - 1e-12)]
    if rise_m > chord_m / 2 * (1 + 1e-9) or not fitting:
        return None
    wheels = [Wheel(diameter, rise_of_arc(diameter / 2, chord_m) - rise_m) for diameter in fitting]
    return min(wheels, key=lambda wheel: (abs(wheel.off_m), wheel.diameter_m))


def stations(front_m: float, end_m: float, length_m: float, step_m: float) -> tuple[tuple[float, float], ...]:
    """Return the stations of a straight taper: from the front (m) and the width there (m).

    Every step from the front on, and the end. Raises ShopError for sizes of nothing or over 100 stations.
    """
    must_be_more_than_nothing(front=front_m, end=end_m, length=length_m, step=step_m)
    if length_m / step_m > MOST_STATIONS:
        raise ShopError(
            f"step {say_length(step_m)} gives more than {MOST_STATIONS} stations over "
            f"{say_length(length_m)}; "
            "give a larger step"
        )
    whole = int(length_m / step_m * (1 + 1e-12))
    places = [step_m * count for count in range(whole + 1)]
    if length_m - places[-1] > 1e-7:
        places.append(length_m)
    return tuple((place, at_station(front_m, end_m, length_m, place)) for place in places)


@dataclass(frozen=True, slots=True)
class Octagon:
    """An octagon laid out on a squared block (m).

    mark_width, mark_height: from the corner, along the face that is as wide as the width, the height.
    flat_width, flat_height: what is left of those faces. flat_corner: the new faces. off_corner: how far
    the corner goes down, square to its new face.
    """

    mark_width_m: float
    mark_height_m: float
    flat_width_m: float
    flat_height_m: float
    flat_corner_m: float
    off_corner_m: float


def octagon(width_m: float, height_m: float) -> Octagon:
    """Return the layout of an octagon on a block of this width and height.

    Each face is marked 1 − 1/√2 of its own width from both corners: on a square this is the regular
    octagon, eight flats alike and corners of 45°; on any other block it is that octagon stretched.
    Raises ShopError for sizes of nothing.
    """
    must_be_more_than_nothing(width=width_m, height=height_m)
    across, up = CORNER * width_m, CORNER * height_m
    corner = hypot(across, up)
    return Octagon(across, up, width_m - 2 * across, height_m - 2 * up, corner, across * up / corner)


@dataclass(frozen=True, slots=True)
class SquareUp:
    """How a face is brought square. packing_m: under the low end of a block lying on its length.

    removed_m: the most that comes off, at the corner that stands proud.
    """

    angle_rad: float
    packing_m: float
    removed_m: float


def square_up(
    width_m: float, length_m: float, out_m: float | None = None, angle_rad: float | None = None
) -> SquareUp:
    """Return the angle, packing and removal that bring a face square.

    width_m: along the face, from the corner where the square touches to the far one. out_m: the gap at
    the far corner; or angle_rad, 0 to 45°. length_m: the block's length on the table, packed at one end.
    tan A = out/width; packing = length · sin A (the sine bar); removed = width · tan A.
    Raises ShopError unless exactly one of out and angle is given, and within 45°.
    """
    must_be_more_than_nothing(width=width_m, length=length_m)
    if (out_m is None) == (angle_rad is None):
        raise ShopError(
            "give one of out (at the far corner) or angle, and not both; the one follows the other"
        )
    angle = angle_of_out(width_m, out_m) if out_m is not None else angle_rad
    if angle is None or not 0 <= angle <= 0.7854:
        raise ShopError(
            "the face would be more than 45° out, or less than nothing; give how far it is from square"
        )
    return SquareUp(angle, sine_bar_packing(length_m, angle), width_m * tan(angle))


@dataclass(frozen=True, slots=True)
class Wall:
    """The walls round a slot (m). thinnest: the least, at a corner of the slot.

    where: the side, or the corner, it is at. The others are straight across, from the middle of the sides.
    """

    thinnest_m: float
    where: str
    left_m: float
    right_m: float
    spine_m: float
    edge_m: float


def _inside(section: Section, x: float, y: float, a: float, b: float) -> float:
    """Return how far a point is inside a section of half width a and half height b; minus when it is "
    "outside."""
    if section == "ellipse":
        if (x / a) ** 2 + (y / b) ** 2 > 1:
            return -1.0
        return point_to_ellipse(x, y, a, b)
    x, y = abs(x), abs(y)
    straight = min(a - x, b - y)
    if section == "rectangle":
        return straight
    across, up = CORNER * 2 * a, CORNER * 2 * b
    # The corner's face runs from (a, b − up) to (a − across, b).
    slant = (up * (a - x) + across * (b - up - y)) / hypot(across, up)
    return min(straight, slant)


def _reach(section: Section, level: float, along: float, crosswise: float) -> float:
    """Return how far a section reaches from its middle along one axis, `level` off it on the other."""
    if section == "ellipse":
        return along * sqrt(max(0.0, 1 - (level / crosswise) ** 2))
    if section == "rectangle":
        return along
    slope = max(0.0, abs(level) - crosswise * (1 - 2 * CORNER)) / (2 * CORNER * crosswise)
    return along * (1 - 2 * CORNER * slope)


def _where(corners: Sequence[str]) -> str:
    """Return in words where corners named like "spine right" are: a corner, a side, or all round."""
    if len(corners) == 4:
        return "alike at all four corners of the slot"
    shared = set(corners[0].split()).intersection(*(corner.split() for corner in corners))
    if len(corners) > 1 and len(shared) == 1:
        return f"{shared.pop()} side, at both corners of the slot"
    return " and ".join(f"the slot's {corner} corner" for corner in corners)


def _breaks_out(corners: list[str], width_m: float, height_m: float) -> ShopError:
    return ShopError(
        f"the slot breaks out of the handle at its corner ({', '.join(corners)}); the handle is "
        f"{say_length(width_m)} by {say_length(height_m)} there, so give a smaller slot, less offset or a "
        "larger handle"
    )


def wall(
    section: Section,
    width_m: float,
    height_m: float,
    slot_width_m: float,
    slot_height_m: float,
    right_m: float = 0.0,
    up_m: float = 0.0,
) -> Wall:
    """Return the walls between a slot with square corners and the outside of the handle, at one station.

    right_m, up_m: the slot's middle off the section's, to the right and toward the spine. All three sections
    bulge outward, and so the thinnest wall is at a corner of the slot: the distance to such an outline is
    least at a corner of any straight-sided thing inside it. Raises ShopError for a slot that breaks out.
    """
    must_be_more_than_nothing(
        handle_width=width_m, handle_height=height_m, slot_width=slot_width_m, slot_height=slot_height_m
    )
    a, b, half, tall = width_m / 2, height_m / 2, slot_width_m / 2, slot_height_m / 2
    corners = {
        f"{'spine' if up > 0 else 'edge'} {'right' if side > 0 else 'left'}": _inside(
            section, right_m + side * half, up_m + up * tall, a, b
        )
        for up in (1, -1)
        for side in (-1, 1)
    }
    thinnest = min(corners.values())
    if thinnest <= 0:
        raise _breaks_out([name for name, value in corners.items() if value <= 0], width_m, height_m)
    where = _where([name for name, value in corners.items() if value - thinnest < 1e-7])
    across, along = _reach(section, up_m, a, b), _reach(section, right_m, b, a)
    return Wall(
        thinnest,
        where,
        across - half + right_m,
        across - half - right_m,
        along - tall - up_m,
        along - tall + up_m,
    )
