"""Drawing the heat along a tang against its limit, in characters."""

from __future__ import annotations

from workshop.trade.steel_heat import ZERO_C
from workshop.trade.tang_heat import Creep, Heat

WIDE, HIGH = 56, 9


def hottest_at(result: Creep, place_m: float) -> float:
    """The hottest one place got, K, straight between the cells' middles; ends carried on."""
    middles, hottest = result.layout.middles_m, result.course.hottest_K
    for a, b, hot_a, hot_b in zip(middles, middles[1:], hottest, hottest[1:], strict=False):
        if b <= place_m <= a:
            return hot_b + (hot_a - hot_b) * (place_m - b) / (a - b)
    return hottest[0] if place_m > middles[0] else hottest[-1]


def figure(result: Creep, heat: Heat, limit_K: float) -> tuple[str, ...]:
    """The hottest each place got, against the limit; the tang to the right of the shoulder."""
    left_m, right_m = -0.25 * heat.hole_m, heat.hole_m + heat.heated_m / 2.0 + 0.005
    low, high = heat.air_K, max(heat.target_K, limit_K)
    columns = WIDE - 5
    pitch = (right_m - left_m) / (columns - 1)
    curve = [_row(hottest_at(result, left_m + i * pitch), low, high) for i in range(columns)]
    limit_row, shoulder = _row(limit_K, low, high), round(-left_m / pitch)
    lines = []
    for row in range(HIGH, -1, -1):
        scale = {HIGH: high, limit_row: limit_K, 0: low}.get(row)
        label = f"{scale - ZERO_C:4.0f} " if scale is not None else "     "
        marks = [
            "*" if curve[i] == row else "-" if row == limit_row else "|" if i == shoulder else " "
            for i in range(columns)
        ]
        lines.append((label + "".join(marks)).rstrip())
    foot = [" "] * columns
    for place, text in ((0.0, "shoulder"), (heat.hole_m, f"hole {heat.hole_m * 1000:.0f} mm")):
        start = min(max(round((place - left_m) / pitch) - len(text) // 2, 0), columns - len(text))
        foot[start : start + len(text)] = text
    lines.append("  °C " + "".join(foot).rstrip())
    return tuple(lines)


def _row(kelvin: float, low: float, high: float) -> int:
    return min(HIGH, max(0, round((kelvin - low) / (high - low) * HIGH)))
