"""The conduction solver against exact solutions and handbook examples.

Exact forms: Carslaw and Jaeger, Conduction of Heat in Solids, 2.4, 2.5 and 2.9; Incropera,
Fundamentals of Heat and Mass Transfer, 6th ed., Eq. 5.57 to 5.60 and 3.75, 3.80. Tolerances are
wider than the solver needs and no tighter than the printed figures allow.
"""

import math
from itertools import pairwise

import pytest

from workshop.trade.conduction import Around, Bar, Flame, Pace, Stepper, heated
from workshop.trade.steel_heat import plain

STILL = Around(air_K=300.0, film_W_m2K=0.0, emissivity=0.0)


def slab(width_m, cells, material, section=1.0, girth=0.0):
    return Bar((width_m / cells,) * cells, (section,) * cells, (girth,) * cells, material)


def middles(bar):
    place = 0.0
    for width in bar.width_m:
        yield place + width / 2
        place += width


def at_depth(bar, temperatures, depth_m):
    places = list(middles(bar))
    for (a, hot_a), (b, hot_b) in pairwise(zip(places, temperatures, strict=True)):
        if a <= depth_m <= b:
            return hot_a + (hot_b - hot_a) * (depth_m - a) / (b - a)
    raise AssertionError(depth_m)


def growing(total, first, grow=1.05, most=1.0):
    steps, dt = [], first
    while sum(steps) < total:
        steps.append(min(dt, total - sum(steps)) or dt)
        dt = min(dt * grow, most)
        if total - sum(steps) < 1e-9 * total:
            break
    return steps


def stepped(bar, around, steps, **ends):
    stepper = Stepper(bar, around)
    for dt in steps:
        stepper.advance(dt, 0, len(bar.width_m), ends.get("left"), ends.get("right"), ends.get("flow", 0.0))
        stepper.last_dt = dt
    return stepper


def test_surface_step_on_a_half_space_follows_the_error_function():
    # Incropera Eq. 5.57; steel k 45, 7850 kg/m³, 480 J/kgK, a = 1.1943e-5 m²/s.
    bar = slab(0.2, 400, plain(45.0, 7850.0, 480.0))
    alpha = 45.0 / 7850.0 / 480.0
    stepper = stepped(bar, STILL, growing(20.0, 0.001, most=0.3), left=900.0)
    for depth in (0.002, 0.005, 0.01, 0.02, 0.03):
        exact = 900.0 - 600.0 * math.erf(depth / 2 / math.sqrt(alpha * 20.0))
        assert at_depth(bar, stepper.now, depth) == pytest.approx(exact, abs=0.6)


def test_frost_depth_of_the_textbook_example():
    # Incropera 6th ed., Example 5.6: soil k .52, 2050 kg/m³, 1840 J/kgK at 20 °C, surface -15 °C
    # for 60 days, freezing reaches .68 m (exact 0.6766).
    bar = slab(5.0, 500, plain(0.52, 2050.0, 1840.0))
    days = 60 * 86400.0
    around = Around(293.15, 0.0, 0.0)
    stepper = stepped(bar, around, growing(days, 60.0, 1.1, 40000.0), left=258.15)
    depths = list(middles(bar))
    frozen = next(
        a + (b - a) * (273.15 - hot_a) / (hot_b - hot_a)
        for (a, hot_a), (b, hot_b) in pairwise(zip(depths, stepper.now, strict=True))
        if hot_a <= 273.15 < hot_b
    )
    assert frozen == pytest.approx(0.68, abs=0.005)
    assert frozen == pytest.approx(0.6766, abs=0.002)


# Incropera Eq. 5.59, k .72, 1560 kg/m³, 1450 J/kgK under 1e5 W/m²: rise in K at depth, m (computed).
FLUX = (
    (1.0, {0.0: 88.418, 0.001: 11.134, 0.002: 0.435}),
    (5.0, {0.0: 197.71, 0.001: 89.09, 0.002: 32.62}),
    (10.0, {0.0: 279.60, 0.001: 162.39, 0.002: 85.34}),
)


@pytest.mark.parametrize(("seconds", "rises"), FLUX)
def test_steady_flow_into_a_half_space(seconds, rises):
    bar = slab(0.02, 1000, plain(0.72, 1560.0, 1450.0))
    stepper = stepped(bar, STILL, growing(seconds, 0.0005, 1.05, 0.05), flow=1e5)
    for depth, rise in rises.items():
        if depth == 0.0:
            found = stepper.now[0] + 1e5 * bar.width_m[0] / 2 / 0.72
        else:
            found = at_depth(bar, stepper.now, depth)
        assert found - 300.0 == pytest.approx(rise, rel=0.01, abs=0.05)


def test_steady_flow_into_steel():
    # The same solution for steel k 45, 7850, 480: 1 MW/m² for 1 s rises 86.65 K at the surface,
    # 49.37 at 2 mm and 17.32 at 5 mm (computed).
    bar = slab(0.06, 600, plain(45.0, 7850.0, 480.0))
    stepper = stepped(bar, STILL, growing(1.0, 0.0005, 1.05, 0.01), flow=1e6)
    assert stepper.now[0] + 1e6 * bar.width_m[0] / 2 / 45.0 - 300.0 == pytest.approx(86.65, abs=0.3)
    assert at_depth(bar, stepper.now, 0.002) - 300.0 == pytest.approx(49.37, abs=0.3)
    assert at_depth(bar, stepper.now, 0.005) - 300.0 == pytest.approx(17.32, abs=0.3)


def test_ramp_on_a_half_space():
    # Carslaw and Jaeger 2.5: surface at b t gives b t ((1 + 2 n²) erfc n - 2 n exp(-n²) / sqrt(pi)).
    alpha, rate, seconds = 45.0 / 7850.0 / 480.0, 30.0, 20.0
    half = slab(0.25, 500, plain(45.0, 7850.0, 480.0))
    flame = Flame(0, 1, lambda time: 300.0 + rate * time, (seconds,))
    course = heated(half, STILL, flame, lambda now: now[5], lambda *_: True, Pace(fine=2.0))
    for depth in (0.005, 0.01, 0.02, 0.04):
        n = depth / 2 / math.sqrt(alpha * seconds)
        exact = (
            rate * seconds * ((1 + 2 * n * n) * math.erfc(n) - 2 * n * math.exp(-n * n) / math.sqrt(math.pi))
        )
        # The driven cell is hot through its whole width, so its far face is the surface.
        found = at_depth(half, course.last_K, depth + half.width_m[0]) - 300.0
        assert found == pytest.approx(exact, rel=0.01, abs=0.5)


# Incropera 6th ed., Example 3.9: rod 5 mm, h 100, base 100 °C, air 25 °C; heat lost by a very long
# rod. Data from the book; watts 8.3, 5.6, 1.6 from memory, and worked from Eq. 3.80.
RODS = ((398.0, 8.31), (180.0, 5.59), (14.0, 1.56))


@pytest.mark.parametrize(("conductivity", "watts"), RODS)
def test_long_rod_at_steady_state(conductivity, watts):
    length, cells = (0.5, 1000) if conductivity > 100.0 else (0.15, 600)
    section, girth = math.pi * 0.005**2 / 4, math.pi * 0.005
    bar = slab(length, cells, plain(conductivity, 8000.0, 400.0), section, girth)
    around = Around(298.15, 100.0, 0.0)
    stepper = stepped(bar, around, [10.0 * 1.5**i for i in range(25)], left=373.15)
    flow = conductivity * stepper.edge[0] * (373.15 - stepper.now[0])
    assert flow == pytest.approx(watts, abs=0.02)


def test_blade_as_a_fin_with_an_insulated_tip():
    # cosh m(L-x) / cosh mL for 4 x 30 x 150 mm, k 40, h 25 (m 18.819), worked by hand.
    bar = slab(0.15, 300, plain(40.0, 7850.0, 480.0), 0.004 * 0.03, 2 * 0.034)
    around = Around(300.0, 25.0, 0.0)
    stepper = stepped(bar, around, [20.0 * 1.4**i for i in range(25)], left=400.0)
    for place, share in ((0.03, 0.5728), (0.06, 0.3331), (0.09, 0.2023), (0.12, 0.1378), (0.1495, 0.1184)):
        assert (at_depth(bar, stepper.now, place) - 300.0) / 100.0 == pytest.approx(share, abs=0.0005)
