"""Softening a hardened tang at its pin hole: how hot the shoulder gets meanwhile.

The tang is a bar of one section that runs into the ricasso, a bar of another. A length round the
hole is brought evenly from shop air to a target, held there, and left to cool in still air. Only
along the bar does temperature differ; through its thickness it is taken as even, which holds for
tangs of a few millimetres heated for seconds. The flame's own spill beside the heated length is
not counted.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from workshop.trade.conduction import Around, Bar, Course, Flame, Pace, heated
from workshop.trade.steel_heat import EMISSIVITY, STILL_AIR, Material, carbon_steel

JAW_CLING = 1500.0
"""W/m²K between steel and tight copper or aluminium jaws (from memory; depends on pressure)."""

WET_CLING = 1000.0
"""W/m²K from steel to a dripping rag, once above boiling (from memory; the low side)."""

BOILING_K = 373.15

LONGEST_S = 1800.0
"""Longest heating looked for, s."""

QUICKEST_S = 2.0
"""Quickest heating looked for, s."""

FARTHEST_M = 0.2
"""Farthest hole looked for, m."""


@dataclass(frozen=True, slots=True)
class Tang:
    """What is heated, in metres: tang and ricasso sections, how far the tang and blade run."""

    height_m: float
    thickness_m: float
    length_m: float
    ricasso_height_m: float
    ricasso_thickness_m: float
    blade_m: float = 0.12


@dataclass(frozen=True, slots=True)
class Heat:
    """How it is heated: hole centre from the shoulder, heated length, temperatures and times.

    sink: "none", "jaws" (held at shop air) or "wet" (takes heat only above boiling). sink_at_m:
    its near edge from the shoulder, sink_on "ricasso" or "tang"; sink_wide_m along the bar.
    """

    hole_m: float
    heated_m: float
    target_K: float
    rise_s: float
    hold_s: float
    air_K: float
    sink: str = "none"
    sink_on: str = "ricasso"
    sink_at_m: float = 0.0
    sink_wide_m: float = 0.02
    film_W_m2K: float = STILL_AIR
    emissivity: float = EMISSIVITY


@dataclass(frozen=True, slots=True)
class Layout:
    """The cut of tang and blade: the bar, and where along it things are.

    middles_m: each cell's middle from the shoulder, positive up the tang, negative in the ricasso.
    first, last: the heated cells. shoulder: index of the first ricasso cell.
    """

    bar: Bar
    middles_m: tuple[float, ...]
    first: int
    last: int
    shoulder: int


@dataclass(frozen=True, slots=True)
class Creep:
    """What came of it: the shoulder's peak and when, and the hottest each place got."""

    peak_K: float
    peak_s: float
    course: Course
    layout: Layout


def _spread(length_m: float, first_m: float, grow: float) -> list[float]:
    """Widths that start at about first_m, grow outward and fill the length exactly."""
    widths: list[float] = []
    width = first_m
    total = 0.0
    while total < length_m:
        widths.append(width)
        total += width
        width *= grow
    share = length_m / total
    return [w * share for w in widths]


def lay_out(tang: Tang, heat: Heat, fine: float = 1.0, material: Material | None = None) -> Layout:
    """Cut the tang, from its end to the blade's, into cells; `fine` times as many of them."""
    half = heat.heated_m / 2.0
    gap = heat.hole_m - half
    if gap <= 0.0:
        raise ValueError("the heated length reaches over the shoulder")
    cell = min(0.0012, gap / 10.0, heat.heated_m / 4.0) / fine
    grow = 1.0 + 0.15 / fine
    tail = _spread(max(tang.length_m - heat.hole_m - half, 0.002), cell, grow)[::-1]
    hot = _spread(heat.heated_m, cell, 1.0)
    between = _spread(gap, cell, 1.0)
    blade = _spread(tang.blade_m, cell, grow)
    widths = [*tail, *hot, *between, *blade]
    shoulder = len(tail) + len(hot) + len(between)
    tang_section, blade_section = (
        tang.height_m * tang.thickness_m,
        tang.ricasso_height_m * tang.ricasso_thickness_m,
    )
    tang_girth = 2.0 * (tang.height_m + tang.thickness_m)
    blade_girth = 2.0 * (tang.ricasso_height_m + tang.ricasso_thickness_m)
    middles: list[float] = []
    place = sum(widths[:shoulder])
    for width in widths:
        middles.append(place - width / 2.0)
        place -= width
    girths = [tang_girth] * shoulder + [blade_girth] * len(blade)
    bar = Bar(
        tuple(widths),
        tuple([tang_section] * shoulder + [blade_section] * len(blade)),
        tuple(girths),
        material or carbon_steel(),
        _cling(heat, widths, middles, girths),
    )
    return Layout(bar, tuple(middles), len(tail), len(tail) + len(hot), shoulder)


def _cling(
    heat: Heat, widths: Sequence[float], middles: Sequence[float], girths: Sequence[float]
) -> tuple[float, ...]:
    """How hard each cell is held by the sink, W/K; partly covered cells count in part."""
    if heat.sink == "none":
        return ()
    each = JAW_CLING if heat.sink == "jaws" else WET_CLING
    sign = 1.0 if heat.sink_on == "tang" else -1.0
    near, far = sorted((sign * heat.sink_at_m, sign * (heat.sink_at_m + heat.sink_wide_m)))
    return tuple(
        each * girth * max(0.0, min(middle + width / 2, far) - max(middle - width / 2, near))
        for width, middle, girth in zip(widths, middles, girths, strict=True)
    )


def _programme(heat: Heat) -> Callable[[float], float]:
    """The heated length's temperature while the flame is on: a straight rise, then held."""
    air, rise = heat.air_K, heat.target_K - heat.air_K

    def at(time: float) -> float:
        return air + rise * min(1.0, time / heat.rise_s)

    return at


def creep(
    tang: Tang, heat: Heat, fine: float = 1.0, account: bool = False, material: Material | None = None
) -> Creep:
    """Follow the heat until the shoulder has passed its peak.

    Valid for carbon and low-alloy steel, 0 to 900 °C. fine: 2 halves both the cells and the time
    steps, to show that the answer has settled. Raises ValueError when the heated length reaches
    over the shoulder.
    """
    layout = lay_out(tang, heat, fine, material)
    left, right = layout.shoulder - 1, layout.shoulder
    widths, sections = layout.bar.width_m, layout.bar.section_m2
    pull, push = sections[left] / widths[left], sections[right] / widths[right]

    def shoulder(now: Sequence[float]) -> float:
        return (now[left] * pull + now[right] * push) / (pull + push)

    def enough(time: float, watched: float, hottest: float) -> bool:
        return hottest - watched > 0.03 * (hottest - heat.air_K) + 0.5 or time > 4.0 * LONGEST_S

    sink_K = BOILING_K if heat.sink == "wet" else heat.air_K
    around = Around(heat.air_K, heat.film_W_m2K, heat.emissivity, sink_K, heat.sink == "wet")
    kinks = (heat.rise_s, heat.rise_s + heat.hold_s) if heat.hold_s > 0.0 else (heat.rise_s,)
    flame = Flame(layout.first, layout.last, _programme(heat), kinks)
    course = heated(layout.bar, around, flame, shoulder, enough, Pace(fine=fine), account)
    peak_K, peak_s = _top(course.times_s, course.watched_K)
    return Creep(peak_K, peak_s, course, layout)


def _top(times: Sequence[float], values: Sequence[float]) -> tuple[float, float]:
    """The highest value and its time, by a parabola through the highest three."""
    i = max(range(len(values)), key=values.__getitem__)
    if i in (0, len(values) - 1):
        return values[i], times[i]
    before, at, after = times[i - 1] - times[i], 0.0, times[i + 1] - times[i]
    low, high = values[i - 1] - values[i], values[i + 1] - values[i]
    bend = (low / before - high / after) / (before - after)
    slope = low / before - bend * before
    if bend >= 0.0:
        return values[i], times[i]
    shift = min(max(-slope / (2.0 * bend), before), after)
    return values[i] + slope * shift + bend * shift * shift, times[i] + at + shift


def _cross(f: Callable[[float], float], low: float, high: float, close: float) -> float:
    """Where a rising f passes zero between low (f < 0) and high (f > 0), by false position.

    The Illinois rule halves a stuck end's value. Ends when the bracket, or a step, is under `close`.
    """
    f_low, f_high = f(low), f(high)
    if f_low >= 0.0:
        return low
    if f_high <= 0.0:
        return high
    side, last = 0, math.inf
    for _ in range(40):
        x = (low * f_high - high * f_low) / (f_high - f_low)
        value = f(x)
        if abs(x - last) < close or high - low < close or value == 0.0:
            return x
        last = x
        if value < 0.0:
            low, f_low = x, value
            f_high = f_high / 2.0 if side < 0 else f_high
            side = -1
        else:
            high, f_high = x, value
            f_low = f_low / 2.0 if side > 0 else f_low
            side = 1
    return x


def longest_rise(tang: Tang, heat: Heat, limit_K: float) -> float | None:
    """The longest time to heat, s, that keeps the shoulder at or under the limit; within 1 %.

    None when even the quickest looked for (2 s) is too slow; 1800 s, the longest looked for, when
    that still holds.
    """

    def over(log_s: float) -> float:
        return creep(tang, replace(heat, rise_s=math.exp(log_s))).peak_K - limit_K

    low, high = math.log(QUICKEST_S), math.log(LONGEST_S)
    known = math.log(heat.rise_s)
    if low < known < high:
        if over(known) > 0.0:
            high = known
        else:
            low = known
    found = _cross(over, low, high, 0.01)
    if found == math.log(QUICKEST_S) and over(found) > 0.0:
        return None
    return math.exp(found)


def least_distance(tang: Tang, heat: Heat, limit_K: float) -> float | None:
    """The least distance of the hole's centre from the shoulder, m, that keeps the limit.

    Within 0.1 mm. None when even 200 mm is too near. The tang behind the hole keeps its length.
    """
    behind = max(tang.length_m - heat.hole_m, 0.0)

    def under(hole_m: float) -> float:
        moved = replace(tang, length_m=hole_m + behind)
        return limit_K - creep(moved, replace(heat, hole_m=hole_m)).peak_K

    low, high = heat.heated_m / 2.0 + 0.001, FARTHEST_M
    if low < heat.hole_m < high:
        if under(heat.hole_m) < 0.0:
            low, high = heat.hole_m, min(high, 2.0 * heat.hole_m)
        else:
            high = heat.hole_m
    while high < FARTHEST_M and under(high) < 0.0:
        low, high = high, min(FARTHEST_M, 1.6 * high)
    found = _cross(under, low, high, 0.0001)
    return None if found == FARTHEST_M and under(found) < 0.0 else found
