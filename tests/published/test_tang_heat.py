"""Heat creep in a tang: against an independent integration, and the books of heat.

The same physical model is written again here on a plain even grid with numpy and given to
scipy's integrator; the two share no code but the numbers of EN 1993-1-2 (each typed in anew).
"""

from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from workshop.trade.tang_heat import Heat, Tang, creep

C = 273.15
TANG = Tang(0.018, 0.004, 0.090, 0.030, 0.0045, 0.12)
CASES = {
    "usual": Heat(0.030, 0.012, 650 + C, 20.0, 5.0, 20 + C),
    "slow": Heat(0.030, 0.012, 650 + C, 120.0, 20.0, 20 + C),
    "quick, no hold": Heat(0.030, 0.012, 700 + C, 3.0, 0.0, 5 + C),
    "through the peak of the specific heat": Heat(0.034, 0.012, 780 + C, 30.0, 10.0, 20 + C),
    "jaws on the ricasso": Heat(0.024, 0.012, 650 + C, 40.0, 5.0, 20 + C, "jaws", "ricasso", 0.004, 0.02),
    "wet rag on the tang": Heat(0.040, 0.012, 650 + C, 60.0, 20.0, 20 + C, "wet", "tang", 0.004, 0.012),
}


def specific_heat(t):
    """EN 1993-1-2, 3.4.1.2, t in °C."""
    return np.select(
        [t < 600, t < 735, t < 900],
        [
            425 + 0.773 * t - 1.69e-3 * t**2 + 2.22e-6 * t**3,
            666 + 13002 / np.where(t < 735, 738 - t, 1.0),
            545 + 17820 / np.where(t >= 735, t - 731, 1.0),
        ],
        650.0,
    )


def by_scipy(tang, heat, cell=0.0005):
    """Peak at the shoulder, °C, with cells of one width and scipy's stiff integrator."""
    blade, whole = round(tang.blade_m / cell), round(tang.length_m / cell)
    count = blade + whole
    place = (np.arange(count) + 0.5) * cell - tang.blade_m  # from the shoulder, up the tang
    on_tang = place > 0
    section = np.where(
        on_tang, tang.height_m * tang.thickness_m, tang.ricasso_height_m * tang.ricasso_thickness_m
    )
    girth = 2 * np.where(
        on_tang, tang.height_m + tang.thickness_m, tang.ricasso_height_m + tang.ricasso_thickness_m
    )
    hot = np.abs(place - heat.hole_m) < heat.heated_m / 2
    resist = cell / 2 / section
    joint = 1 / (resist[:-1] + resist[1:])
    # The heated length is at its temperature out to its very edge: half a cell nearer.
    edge = hot[:-1] != hot[1:]
    sign = 1 if heat.sink_on == "tang" else -1
    sunk = (sign * place > heat.sink_at_m) & (sign * place < heat.sink_at_m + heat.sink_wide_m)
    cling = {"none": 0.0, "jaws": 1500.0, "wet": 1000.0}[heat.sink] * sunk
    air = heat.air_K - C

    def rate(time, t, driven):
        if driven:
            t = np.where(hot, air + (heat.target_K - C - air) * min(1.0, time / heat.rise_s), t)
        k = 54 - 0.0333 * (t[:-1] + t[1:]) / 2
        flow = np.where(edge & driven, k / np.where(hot[:-1], resist[1:], resist[:-1]), k * joint) * (
            t[1:] - t[:-1]
        )
        gain = np.zeros(count)
        gain[:-1] += flow
        gain[1:] -= flow
        lost = 10 * (t - air) + 0.8 * 5.670374419e-8 * ((t + C) ** 4 - (air + C) ** 4)
        lost += np.where(t > 100, cling * (t - 100), 0.0) if heat.sink == "wet" else cling * (t - air)
        change = (gain - girth * cell * lost) / (7850 * specific_heat(t) * section * cell)
        return np.where(hot, 0.0, change) if driven else change

    temperatures, peak = np.full(count, air), -1.0
    stops = [0.0, heat.rise_s, heat.rise_s + heat.hold_s, heat.rise_s + heat.hold_s + 240.0]
    for start, end in pairwise(stops):
        if end <= start:
            continue
        driven = start < heat.rise_s + heat.hold_s
        done = solve_ivp(
            rate, (start, end), temperatures, "LSODA", args=(driven,), rtol=1e-6, atol=1e-5,
            lband=1, uband=1, max_step=2.0,
        )  # fmt: skip
        pull, push = section[blade], section[blade - 1]
        peak = max(peak, float(((done.y[blade] * pull + done.y[blade - 1] * push) / (pull + push)).max()))
        temperatures = done.y[:, -1]
        if driven:
            temperatures[hot] = air + (heat.target_K - C - air) * min(1.0, end / heat.rise_s)
    return peak


@pytest.mark.parametrize("case", CASES)
def test_within_one_percent_of_an_independent_integration(case):
    heat = CASES[case]
    mine = creep(TANG, heat).peak_K - C
    theirs = by_scipy(TANG, heat)
    assert mine == pytest.approx(theirs, abs=0.01 * (theirs - heat.air_K + C))


@pytest.mark.parametrize("case", CASES)
def test_heat_given_is_heat_stored_and_lost(case):
    course = creep(TANG, CASES[case], account=True).course
    assert course.given_J > 100.0
    assert course.stored_J + course.lost_J == pytest.approx(course.given_J, rel=0.005)


@pytest.mark.parametrize("case", CASES)
def test_halving_lengths_and_steps_changes_little(case):
    once, twice, four = (creep(TANG, CASES[case], fine).peak_K for fine in (1.0, 2.0, 4.0))
    assert abs(once - twice) < 1.0
    assert abs(once - four) < 1.0
    assert abs(twice - four) <= max(abs(once - four), 0.05)


def test_how_far_heat_creeps():
    # Common practice, no source: creep length about sqrt(12 mm²/s x time), its warm edge twice
    # that: after 60 s from a hole 27 mm beyond the heat, the shoulder is plainly warm; at 3 times
    # that length it is not.
    near = creep(TANG, Heat(0.033, 0.012, 650 + C, 60.0, 0.0, 20 + C)).course
    far = creep(Tang(0.018, 0.004, 0.15, 0.03, 0.0045), Heat(0.087, 0.012, 650 + C, 60.0, 0.0, 20 + C)).course
    at_off = [i for i, time in enumerate(near.times_s) if time <= 60.0 + 1e-6][-1]
    far_off = [i for i, time in enumerate(far.times_s) if time <= 60.0 + 1e-6][-1]
    assert near.watched_K[at_off] - C > 60.0
    assert far.watched_K[far_off] - C < 30.0


def test_a_quick_heat_creeps_less_than_a_slow_one():
    # Common practice, no source: quick heat from a large torch creeps less than slow heat from a
    # small one.
    quick, slow = (
        creep(TANG, Heat(0.030, 0.012, 650 + C, rise, 5.0, 20 + C)).peak_K for rise in (10.0, 90.0)
    )
    assert slow > quick + 30.0
