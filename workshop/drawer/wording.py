"""Small helpers for the lines a calculator shows under its answer."""

from __future__ import annotations

import math
from collections.abc import Callable

from workshop.drawer.declare import Given


def plain(word: str) -> str:
    """Return a name as it is compared: case, commas, hyphens and extra spaces do not matter."""
    return " ".join(word.lower().replace(",", " ").replace("-", " ").replace("_", " ").split())


def mm(value_m: float, digits: int = 2) -> str:
    """Write a length in millimetres for a working line."""
    return f"{value_m * 1000:.{digits}f} mm"


def bare(value_m: float, digits: int = 2) -> str:
    """Write a length's millimetres without their unit, for inside a formula."""
    return f"{value_m * 1000:.{digits}f}"


def deg(angle_rad: float) -> str:
    """Write an angle in degrees for a working line."""
    return f"{math.degrees(angle_rad):.2f}°"


def percent(share: float) -> str:
    """Write a share in per cent for a working line."""
    return f"{share * 100:.4g} %"


def series(given: Given, name: str) -> tuple[float, ...]:
    """Return the numbers of a field that may be given once or several times, empty when not given."""
    value = given.values.get(name)
    if value is None:
        return ()
    if isinstance(value, tuple):
        return tuple(float(each) for each in value)
    return (given.number(name),)


def side_view(
    half_thickness: Callable[[float], float], length_m: float, most_m: float, columns: int = 50, rows: int = 7
) -> tuple[str, ...]:
    """Draw a section filled with ``#``: length to the right, thickness (exaggerated) up and down.

    half_thickness: at a place from 0 to the length. rows: odd, the middle one is the centre plane.
    """
    middle = rows // 2
    halves = [half_thickness(length_m * (column + 0.5) / columns) for column in range(columns)]
    lines = []
    for row in range(rows):
        reach_m = abs(row - middle) / (middle + 0.5) * most_m / 2
        lines.append("".join("#" if half_m > reach_m else " " for half_m in halves).rstrip() or " ")
    return tuple(lines)
