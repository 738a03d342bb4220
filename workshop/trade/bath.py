"""How much etchant a vessel wants, and how far it rises when the blade goes in."""

from __future__ import annotations

import math
from dataclasses import dataclass

from workshop.errors import ShopError


@dataclass(frozen=True, slots=True)
class Bath:
    """Etchant to pour, its rise with the blade in, and the level before and with the blade."""

    volume_m3: float
    rise_m: float
    level_m: float
    level_in_m: float


def round_area(diameter_m: float) -> float:
    """Return the inside area of a tube."""
    return math.pi * diameter_m**2 / 4


def fits_tube(diameter_m: float, height_m: float, thickness_m: float) -> bool:
    """Tell whether a blade section goes into a tube with its corners free."""
    return math.hypot(height_m, thickness_m) < diameter_m


def fits_box(width_m: float, depth_m: float, height_m: float, thickness_m: float) -> bool:
    """Tell whether a blade section goes square or cornerwise into a rectangular vessel.

    A section p × q goes into a × b (p ≥ q, a ≥ b) when p < a and q < b, or cornerwise when
    q < b and b > (2pqa + (p² − q²)·√(p² + q² − a²)) / (p² + q²).
    """
    a, b = max(width_m, depth_m), min(width_m, depth_m)
    p, q = max(height_m, thickness_m), min(height_m, thickness_m)
    if q >= b:
        return False
    if p < a:
        return True
    return b > (2 * p * q * a + (p * p - q * q) * math.sqrt(p * p + q * q - a * a)) / (p * p + q * q)


def fill(
    area_m2: float, blade_length_m: float, blade_height_m: float, blade_thickness_m: float, cover_m: float
) -> Bath:
    """Return the etchant that covers an upright blade.

    The blade is taken as a full bar, so a little less is displaced than is said and the
    level with the blade in is never under what was asked by more than the bevels' steel.
    cover_m: etchant above the blade and under its point together.
    """
    blade_m2 = blade_height_m * blade_thickness_m
    if blade_m2 >= area_m2:
        raise ShopError(
            f"blade-height, blade-thickness: {blade_height_m * 1000:.4g} × {blade_thickness_m * 1000:.4g} mm "
            "fills the vessel; give a wider one"
        )
    level_in_m = blade_length_m + cover_m
    blade_m3 = blade_m2 * blade_length_m
    volume_m3 = area_m2 * level_in_m - blade_m3
    rise_m = blade_m3 / area_m2
    return Bath(volume_m3, rise_m, level_in_m - rise_m, level_in_m)
