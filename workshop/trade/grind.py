"""Bevels, tapers, the guard's slot and the lift of the spine on the stone."""

from __future__ import annotations

import math
from dataclasses import dataclass

from workshop.errors import ShopError

FOLDS_DEG = (45.0, 22.5, 11.25)
"""Angles of a square corner of paper folded once, twice and three times."""


def _mm(value_m: float) -> str:
    return f"{value_m * 1000:.4g} mm"


def half_angle(spine_m: float, edge_m: float, height_m: float) -> float:
    """Return the angle of one bevel to the blade's centre plane, in radians.

    tan α = (spine − edge) / (2 · height). Refuses an edge as thick as the spine.
    """
    if edge_m >= spine_m:
        raise ShopError(
            f"edge: {_mm(edge_m)} is not thinner than the spine ({_mm(spine_m)}); give it thinner"
        )
    return math.atan2(spine_m - edge_m, 2 * height_m)


@dataclass(frozen=True, slots=True)
class Hollow:
    """A bevel ground on a wheel: how deep it is below the flat, the thinnest place and where that is."""

    depth_m: float
    thinnest_m: float
    at_m: float
    """Distance of the thinnest place from the edge."""


class _Arc:
    """The wheel's arc through the edge corner and the grind line, seen in cross-section.

    x runs from the edge to the spine, y from the blade's centre plane outward.
    """

    def __init__(self, spine_m: float, edge_m: float, height_m: float, wheel_m: float):
        rise = (spine_m - edge_m) / 2
        chord = math.hypot(height_m, rise)
        self.radius = wheel_m / 2
        if chord > wheel_m:
            raise ShopError(
                f"wheel: {_mm(wheel_m)} cannot grind a bevel {_mm(chord)} wide; "
                "give a larger wheel, like 250 mm"
            )
        self.stand = math.sqrt(self.radius**2 - chord**2 / 4)
        self.x = height_m / 2 - self.stand * rise / chord
        self.y = (spine_m + edge_m) / 4 + self.stand * height_m / chord

    def half_thickness(self, x_m: float) -> float:
        """Steel on one side of the centre plane, this far from the edge."""
        return self.y - math.sqrt(self.radius**2 - (x_m - self.x) ** 2)


def hollow_half_thickness(
    spine_m: float, edge_m: float, height_m: float, wheel_m: float, x_m: float
) -> float:
    """Return half the blade's thickness this far from the edge on a hollow bevel."""
    return _Arc(spine_m, edge_m, height_m, wheel_m).half_thickness(x_m)


def hollow(spine_m: float, edge_m: float, height_m: float, wheel_m: float) -> Hollow:
    """Return the hollow left by a wheel of this diameter, exactly (no small-sag shortcut).

    Refuses a wheel smaller than the bevel is wide, and a hollow that would meet the one
    from the other side.
    """
    arc = _Arc(spine_m, edge_m, height_m, wheel_m)
    at_m = min(max(arc.x, 0.0), height_m)
    thinnest_m = 2 * arc.half_thickness(at_m)
    if thinnest_m <= 0:
        raise ShopError(
            f"wheel: on a {_mm(wheel_m)} wheel the two hollows meet {_mm(at_m)} from the edge; "
            "give a larger wheel, a lower bevel or a thicker edge"
        )
    return Hollow(arc.radius - arc.stand, thinnest_m, at_m)


def stations(length_m: float, step_m: float, most: int = 200) -> tuple[float, ...]:
    """Return the places from 0 to the length by steps, the far end always among them."""
    whole = math.floor(length_m / step_m + 1e-9)
    if whole > most:
        raise ShopError(
            f"step: {_mm(step_m)} makes {whole} stations on {_mm(length_m)}; give a longer step, like 20 mm"
        )
    places = [index * step_m for index in range(whole + 1)]
    if length_m - places[-1] > 1e-6:
        places.append(length_m)
    return tuple(places)


def distal_thickness(
    heel_m: float, tip_share: float, length_m: float, starts_m: float, tip_at_m: float, x_m: float
) -> float:
    """Return the spine's thickness this far from the heel.

    Full to `starts_m`, then straight to `tip_share` of the heel at `tip_at_m` short of the
    end, and on at the same slope. Refuses a taper with no length, or one that runs out
    before the end.
    """
    run_m = length_m - tip_at_m - starts_m
    if run_m <= 0:
        raise ShopError(
            f"starts, tip-at: {_mm(starts_m)} and {_mm(tip_at_m)} leave no length of the {_mm(length_m)} "
            "to taper; give them shorter"
        )
    slope = heel_m * (1 - tip_share) / run_m
    if heel_m - slope * (length_m - starts_m) <= 0:
        raise ShopError(
            f"tip: {tip_share * 100:.4g} % left {_mm(tip_at_m)} from the end runs out to nothing before the "
            "end; give a larger share, like 30 %"
        )
    return heel_m - slope * max(0.0, x_m - starts_m)


@dataclass(frozen=True, slots=True)
class Slot:
    """Widths and length of a guard's slot, each as (least, most)."""

    start_m: tuple[float, float]
    last_file_m: float
    final_m: tuple[float, float]
    length_m: tuple[float, float]


def guard_slot(ricasso_m: float, tang_height_m: float, later_loss_m: float) -> Slot:
    """Return what to file the slot to, step by step (common practice).

    later_loss_m: what each side of the ricasso will still lose; the slot is then made for
    the thinner ricasso. Start 1.0 to 0.8 mm under, last file strokes 0.05 mm under, pressed
    fit 0.03 to 0.01 mm under; 0.05 to 0.1 mm longer than the tang is high.
    """
    to_fit_m = ricasso_m - 2 * later_loss_m
    if to_fit_m <= 0.001:
        raise ShopError(
            f"later-loss: {_mm(later_loss_m)} a side leaves {_mm(max(to_fit_m, 0.0))} of a {_mm(ricasso_m)} "
            "ricasso; over 1 mm must be left to start a slot"
        )
    return Slot(
        (to_fit_m - 0.0010, to_fit_m - 0.0008),
        to_fit_m - 0.00005,
        (to_fit_m - 0.00003, to_fit_m - 0.00001),
        (tang_height_m + 0.00005, tang_height_m + 0.0001),
    )


def edge_lift(height_m: float, angle_rad: float) -> float:
    """Return how high the spine stands off the stone: height × sin(angle)."""
    return height_m * math.sin(angle_rad)


def angle_of_lift(height_m: float, lift_m: float) -> float:
    """Return the angle on the stone, in radians; refuses a lift not under the blade's height."""
    if lift_m >= height_m:
        raise ShopError(
            f"lift: {_mm(lift_m)} is not under the blade's height ({_mm(height_m)}); "
            "give it smaller, like 8 mm"
        )
    return math.asin(lift_m / height_m)


def nearest_fold(angle_rad: float) -> tuple[int, float]:
    """Return how many folds of a square paper corner come nearest, and their angle in radians."""
    wanted = math.degrees(angle_rad)
    folds = min(range(len(FOLDS_DEG)), key=lambda index: abs(FOLDS_DEG[index] - wanted))
    return folds + 1, math.radians(FOLDS_DEG[folds])
