"""The section of a handle: how far round it is, and how much wood stands in it.

Sizes m, areas m². Height runs from the back to the edge side, width across.
"""

from __future__ import annotations

from math import hypot, pi, sqrt

from workshop.errors import ShopError

REGULAR_CORNER = 1.0 / (2.0 + sqrt(2.0))
"""How much of a face a corner takes off when the octagon is regular."""

GIRTHS_IN_USE_M = (0.085, 0.110)
"""The girths most handles have (common practice)."""

HANDS = (
    (0.075, 0.0825, 0.028, 0.020),
    (0.0825, 0.0905, 0.030, 0.022),
    (0.0905, 0.098, 0.032, 0.024),
)
"""Palm from and to, and the oval, height and width, that fits it (common practice)."""

GLOVE_M = {"none": 0.0, "thin": 0.003, "thick": 0.005}
"""What a glove adds to the girth (common practice, 3 to 5 mm)."""

HEIGHT_TO_WIDTH = (1.25, 1.4)
"""How much higher than wide a handle is, so that it does not turn in the hand (common practice)."""


def _positive(**sizes_m: float) -> None:
    for name, size in sizes_m.items():
        if not size > 0:
            raise ShopError(f"{name} is {1000 * size:.4g} mm; it must be more than nothing")


def ellipse_girth(height_m: float, width_m: float) -> float:
    """Return the way round an ellipse of this height and width (m).

    P = 4a·E(e), the complete elliptic integral, by the arithmetic-geometric mean: exact to
    the last digits, also for a very flat one. Source: Abramowitz and Stegun 17.6.

    >>> round(1000 * ellipse_girth(0.032, 0.024), 1)
    88.4
    """
    _positive(height=height_m, width=width_m)
    long, short = max(height_m, width_m) / 2, min(height_m, width_m) / 2
    total, weight = long * long - (long * long - short * short) / 2, 1.0
    while long - short > 1e-15 * long:
        gap = (long - short) / 2
        long, short = (long + short) / 2, sqrt(long * short)
        total -= weight * gap * gap
        weight *= 2
    return 2 * pi * total / long


def ellipse_area(height_m: float, width_m: float) -> float:
    """Return the area of an ellipse (m²): π·h·w/4."""
    return pi * height_m * width_m / 4


def egg_girth(height_m: float, width_m: float, widest: float) -> float:
    """Return the way round an egg: two half-ellipses that meet where it is widest (m).

    widest: where that is, as a share of the height from the back (0 to 1). Its area is that
    of an ellipse of the same height and width, wherever the widest place is.
    """
    if not 0 < widest < 1:
        raise ShopError(f"widest is {widest:.0%} of the height from the back; it lies between 0 % and 100 %")
    return sum(ellipse_girth(2 * share * height_m, width_m) / 2 for share in (widest, 1 - widest))


def octagon_corners(height_m: float, width_m: float, corner_m: float | None) -> tuple[float, float]:
    """Return how much a corner takes off the high face and off the wide face (m).

    None: each face loses the same share, 1/(2 + √2), as in the regular octagon; otherwise both
    lose `corner_m`, a corner of 45°. Raises ShopError when nothing of a face is left.
    """
    _positive(height=height_m, width=width_m)
    if corner_m is None:
        return REGULAR_CORNER * height_m, REGULAR_CORNER * width_m
    if not 0 <= corner_m < min(height_m, width_m) / 2:
        raise ShopError(
            f"corner is {1000 * corner_m:.4g} mm; it must be less than half of the narrower face, "
            f"{500 * min(height_m, width_m):.4g} mm"
        )
    return corner_m, corner_m


def octagon(height_m: float, width_m: float, corner_m: float | None) -> tuple[float, float]:
    """Return girth (m) and area (m²) of an octagon: a rectangle less its four corners."""
    high, wide = octagon_corners(height_m, width_m, corner_m)
    girth = 2 * (height_m - 2 * high) + 2 * (width_m - 2 * wide) + 4 * hypot(high, wide)
    return girth, height_m * width_m - 2 * high * wide


def rectangle(height_m: float, width_m: float, radius_m: float) -> tuple[float, float]:
    """Return girth (m) and area (m²) of a rectangle with rounded corners.

    Raises ShopError for a radius over half the narrower side.
    """
    _positive(height=height_m, width=width_m)
    if not 0 <= radius_m <= min(height_m, width_m) / 2 * (1 + 1e-9):
        raise ShopError(
            f"radius is {1000 * radius_m:.4g} mm; it must be at most half of the narrower side, "
            f"{500 * min(height_m, width_m):.4g} mm"
        )
    girth = 2 * (height_m + width_m) - (8 - 2 * pi) * radius_m
    return girth, height_m * width_m - (4 - pi) * radius_m**2


def advised_oval(palm_m: float) -> tuple[float, float] | None:
    """Return height and width (m) of the oval advised for a palm, None outside the table.

    Common practice, no source; palms from 75 to 98 mm across the knuckles.
    """
    for least, most, height_m, width_m in HANDS:
        if least <= palm_m < most or palm_m == most == HANDS[-1][1]:
            return height_m, width_m
    return None
