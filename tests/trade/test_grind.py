"""Bevels, hollows, tapers, slots and lifts by geometry worked another way."""

import itertools
import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from workshop.errors import ShopError
from workshop.trade import grind

spines, heights = st.floats(0.002, 0.008), st.floats(0.01, 0.06)


def hollow_or_none(*sizes):
    try:
        return grind.hollow(*sizes)
    except ShopError:
        return None


@given(spine=spines, edge=st.floats(0.0002, 0.0015), height=heights, wheel=st.floats(0.1, 0.5))
def test_the_hollow_is_a_circle_through_edge_and_grind_line(spine, edge, height, wheel):
    assume(edge < spine)
    half = [grind.hollow_half_thickness(spine, edge, height, wheel, height * i / 400) for i in range(401)]
    assert half[0] == pytest.approx(edge / 2, abs=1e-9)
    assert half[-1] == pytest.approx(spine / 2, abs=1e-9)
    # Three points fix a circle: its radius by the triangle's sides must be the wheel's.
    (x1, y1), (x2, y2), (x3, y3) = (0, half[0]), (height / 2, half[200]), (height, half[400])
    a, b, c = math.dist((x1, y1), (x2, y2)), math.dist((x2, y2), (x3, y3)), math.dist((x1, y1), (x3, y3))
    area = abs((x2 - x1) * (y3 - y1) - (x3 - x1) * (y2 - y1)) / 2
    assert a * b * c / (4 * area) == pytest.approx(wheel / 2, rel=1e-3)
    found = hollow_or_none(spine, edge, height, wheel)
    if found is None:
        assert min(half) <= 1e-7
    else:
        assert found.thinnest_m == pytest.approx(2 * min(half), abs=1e-6)


@given(spine=spines, edge=st.floats(0.0002, 0.0015), height=heights, wheel=st.floats(0.1, 0.5))
def test_a_larger_wheel_never_leaves_less(spine, edge, height, wheel):
    assume(edge < spine)
    small, large = (hollow_or_none(spine, edge, height, w) for w in (wheel, wheel * 1.2))
    if small is not None:
        assert large is not None
        assert large.thinnest_m >= small.thinnest_m - 1e-9
        assert large.depth_m <= small.depth_m + 1e-12


def test_a_huge_wheel_is_a_flat_bevel():
    found = grind.hollow(0.004, 0.0006, 0.03, 2000.0)
    assert found.depth_m < 1e-6
    assert found.thinnest_m == pytest.approx(0.0006, abs=1e-6)


@given(spine=spines, edge=st.floats(0.0002, 0.0015), height=heights)
def test_offset_is_what_each_side_falls(spine, edge, height):
    assume(edge < spine)
    assert height * math.tan(grind.half_angle(spine, edge, height)) == pytest.approx((spine - edge) / 2)


@given(
    heel=st.floats(0.002, 0.008),
    tip=st.floats(0.3, 1),
    length=st.floats(0.1, 0.4),
    starts=st.floats(0, 0.03),
    tip_at=st.floats(0, 0.02),
)
def test_a_taper_falls_straight_and_passes_its_tip(heel, tip, length, starts, tip_at):
    def at(x):
        return grind.distal_thickness(heel, tip, length, starts, tip_at, x)

    assert at(0) == at(starts) == heel
    assert at(length - tip_at) == pytest.approx(heel * tip)
    places = [length * i / 20 for i in range(21)]
    assert all(at(a) >= at(b) - 1e-12 for a, b in itertools.pairwise(places))
    middle = (starts + length - tip_at) / 2
    assert at(middle) == pytest.approx(heel * (1 + tip) / 2)


def test_usual_taper_agrees_with_practice():
    # common practice: 25-40 % at 25 mm from the point goes with 60-70 % at the middle
    for tip in (0.25, 0.40):
        length = 0.150
        run_middle = (length - 0.025) / 2
        middle = grind.distal_thickness(0.004, tip, length, 0, 0.025, run_middle) / 0.004
        assert 0.60 - 1e-9 <= middle <= 0.70 + 1e-9


@given(length=st.floats(0.02, 0.5), step=st.floats(0.005, 0.6))
def test_stations_begin_at_the_heel_and_end_at_the_end(length, step):
    places = grind.stations(length, step)
    assert places[0] == 0
    assert places[-1] == pytest.approx(length, abs=2e-6)
    assert all(0 < b - a <= step + 2e-6 for a, b in itertools.pairwise(places))


@given(ricasso=st.floats(0.002, 0.01), tang=st.floats(0.005, 0.04), loss=st.floats(0, 0.0003))
def test_a_slot_only_gets_wider_and_stays_under_the_ricasso(ricasso, tang, loss):
    slot = grind.guard_slot(ricasso, tang, loss)
    widths = [*slot.start_m, slot.last_file_m, *slot.final_m, ricasso - 2 * loss]
    assert all(a < b for a, b in itertools.pairwise(widths))
    assert tang < slot.length_m[0] < slot.length_m[1]


def test_later_loss_makes_the_slot_of_a_thinner_ricasso():
    thick, thin = grind.guard_slot(0.0042, 0.014, 0.0001), grind.guard_slot(0.004, 0.014, 0)
    assert thick.final_m == pytest.approx(thin.final_m)


@given(height=st.floats(0.01, 0.08), angle=st.floats(0.02, 1.5))
def test_lift_and_angle_undo_each_other(height, angle):
    assert grind.angle_of_lift(height, grind.edge_lift(height, angle)) == pytest.approx(angle, rel=1e-6)


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: grind.half_angle(0.004, 0.004, 0.03), "edge"),
        (lambda: grind.hollow(0.004, 0.0006, 0.03, 0.02), "wheel"),
        (lambda: grind.hollow(0.003, 0.0002, 0.06, 0.1), "wheel"),
        (lambda: grind.stations(1.0, 0.001), "step"),
        (lambda: grind.distal_thickness(0.004, 0.3, 0.1, 0.08, 0.03, 0), "starts"),
        (lambda: grind.distal_thickness(0.004, 0.05, 0.1, 0, 0.05, 0), "tip"),
        (lambda: grind.guard_slot(0.004, 0.014, 0.0016), "later-loss"),
        (lambda: grind.guard_slot(0.004, 0.014, 0.003), "later-loss"),
        (lambda: grind.angle_of_lift(0.03, 0.03), "lift"),
    ],
)
def test_refused_by_name(call, field):
    with pytest.raises(ShopError, match=f"^{field}"):
        call()
