"""Surface speeds of wheels, belts and drills."""

from __future__ import annotations

import math
from collections.abc import Iterable

from workshop.errors import ShopError


def surface_speed(diameter_m: float, turns_per_s: float) -> float:
    """Return the speed of the rim in m/s: π · diameter · turns."""
    return math.pi * diameter_m * turns_per_s


def turning_speed(speed_m_s: float, diameter_m: float) -> float:
    """Return the turns a second that give this surface speed."""
    if diameter_m <= 0:
        raise ShopError("diameter: a drill or wheel needs a size over nothing, like 3.2 mm")
    return speed_m_s / (math.pi * diameter_m)


def motor_turns(rated_turns_per_s: float, hertz: float, rated_hertz: float) -> float:
    """Return the motor's turns at another frequency; they follow the frequency."""
    return rated_turns_per_s * hertz / rated_hertz


def hertz_for(turns_per_s: float, rated_turns_per_s: float, rated_hertz: float) -> float:
    """Return the frequency that turns the motor this fast."""
    return rated_hertz * turns_per_s / rated_turns_per_s


def spread(speeds: Iterable[tuple[float, float]]) -> tuple[float, float]:
    """Return the least and the most of several sources' speeds, each given as (low, high)."""
    pairs = list(speeds)
    return min(low for low, _ in pairs), max(high for _, high in pairs)
