"""Layout of a handle: properties, another way of working each out, and what is refused."""

from __future__ import annotations

from itertools import pairwise
from math import cos, hypot, pi, radians, sin, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.errors import ShopError
from workshop.trade import layout
from workshop.trade.geometry import (
    chord_of_arc,
    point_to_ellipse,
    radius_of_arc,
    rise_of_arc,
    sweep_of_arc,
    taper_angle,
)

SIZES = st.floats(0.005, 0.2)


@given(SIZES, st.floats(0.01, 0.99))
def test_an_arc_is_the_same_from_any_two_of_its_sizes(chord: float, share: float) -> None:
    rise = share * chord / 2
    radius = radius_of_arc(chord, rise)
    assert rise_of_arc(radius, chord) == pytest.approx(rise, rel=1e-6)
    assert chord_of_arc(radius, rise) == pytest.approx(chord, rel=1e-9)
    assert 2 * radius * sin(sweep_of_arc(chord, rise) / 2) == pytest.approx(chord, rel=1e-9)


def test_past_a_half_circle_the_sweep_goes_on() -> None:
    # A rise of 1.5 R: the chord is √3 R and the arc takes up 240°.
    assert sweep_of_arc(3**0.5, 1.5) == pytest.approx(radians(240))
    assert radius_of_arc(3**0.5, 1.5) == pytest.approx(1)


@given(SIZES, st.floats(0.01, 1), st.lists(SIZES, min_size=1, max_size=8))
def test_the_wheel_is_the_nearest_one(chord: float, share: float, wheels: list[float]) -> None:
    rise = share * chord / 2
    found = layout.nearest_wheel(chord, rise, wheels)
    fitting = [wheel for wheel in wheels if wheel >= chord * (1 - 1e-12)]
    assert (found is None) == (not fitting)
    if found is not None:
        assert found.diameter_m in wheels
        assert all(abs(found.off_m) <= abs(rise_of_arc(wheel / 2, chord) - rise) + 1e-12 for wheel in fitting)


def test_no_wheel_cuts_an_undercut_arc() -> None:
    assert layout.nearest_wheel(0.02, 0.011, [0.02, 0.05]) is None
    assert layout.nearest_wheel(0.02, 0.010, [0.02, 0.05]) == layout.Wheel(0.02, pytest.approx(0))


@given(SIZES, SIZES, SIZES, st.floats(0.002, 0.2))
def test_stations_run_from_front_to_end(front: float, end: float, length: float, step: float) -> None:
    found = layout.stations(front, end, length, step)
    assert found[0] == (0, front)
    assert found[-1] == (pytest.approx(length, abs=2e-7), pytest.approx(end, abs=1e-6))
    assert all(before[0] < after[0] for before, after in pairwise(found))
    # Each side's angle is that of the whole.
    angle = taper_angle(front, end, length)
    for place, width in found:
        assert width == pytest.approx(front - 2 * place * tan(angle), abs=1e-9)


@given(SIZES)
def test_on_a_square_the_octagon_is_regular(side: float) -> None:
    found = layout.octagon(side, side)
    flats = (found.flat_width_m, found.flat_height_m, found.flat_corner_m)
    assert flats == pytest.approx([side * tan(pi / 8)] * 3)
    # Across the corner flats it is as wide as across the others.
    assert side * 2**0.5 - 2 * found.off_corner_m == pytest.approx(side)


@given(SIZES, SIZES)
def test_the_octagon_uses_up_each_face(width: float, height: float) -> None:
    found = layout.octagon(width, height)
    assert found.flat_width_m + 2 * found.mark_width_m == pytest.approx(width)
    assert found.flat_height_m + 2 * found.mark_height_m == pytest.approx(height)
    # Twice the corner triangle's area, worked both ways.
    assert found.off_corner_m * found.flat_corner_m == pytest.approx(found.mark_width_m * found.mark_height_m)


@given(SIZES, SIZES, st.floats(0, 44))
def test_squaring_by_out_and_by_angle_agree(width: float, length: float, angle: float) -> None:
    by_angle = layout.square_up(width, length, angle_rad=radians(angle))
    by_out = layout.square_up(width, length, out_m=by_angle.removed_m)
    assert by_out.angle_rad == pytest.approx(by_angle.angle_rad, abs=1e-12)
    assert by_out.packing_m == pytest.approx(by_angle.packing_m)


Sizes = tuple[layout.Section, float, float, float, float, float, float]
# The largest slot, pushed 2 mm both ways, has its corner 8.5 mm from the middle: inside any section of 18 mm.
WALLS = st.tuples(
    st.sampled_from(layout.SECTIONS), st.floats(18, 40), st.floats(18, 40), st.floats(2, 8), st.floats(2, 8),
    st.floats(-2, 2), st.floats(-2, 2),
)  # fmt: skip


@given(WALLS)
def test_walls_left_and_right_change_places_with_the_offset(
    sizes: Sizes,
) -> None:
    section, width, height, slot_w, slot_h, right, up = sizes
    one = layout.wall(section, width, height, slot_w, slot_h, right, up)
    other = layout.wall(section, width, height, slot_w, slot_h, -right, -up)
    assert one.thinnest_m == pytest.approx(other.thinnest_m, rel=1e-6)
    assert (one.left_m, one.spine_m) == (pytest.approx(other.right_m), pytest.approx(other.edge_m))
    assert one.thinnest_m <= min(one.left_m, one.right_m, one.spine_m, one.edge_m) + 1e-9


@given(WALLS)
def test_walls_by_walking_round_the_outline(
    sizes: Sizes,
) -> None:
    section, width, height, slot_w, slot_h, right, up = sizes
    found = layout.wall(section, width, height, slot_w, slot_h, right, up)
    a, b = width / 2, height / 2
    if section == "ellipse":
        outline = [(a * cos(2 * pi * k / 4000), b * sin(2 * pi * k / 4000)) for k in range(4000)]
    else:
        cut = layout.CORNER if section == "octagon" else 0.0
        c, d = a * (1 - 2 * cut), b * (1 - 2 * cut)
        corners = [(a, -d), (a, d), (c, b), (-c, b), (-a, d), (-a, -d), (-c, -b), (c, -b)]
        outline = [
            (x0 + (x1 - x0) * k / 500, y0 + (y1 - y0) * k / 500)
            for (x0, y0), (x1, y1) in zip(corners, corners[1:] + corners[:1], strict=True)
            for k in range(500)
        ]

    def to_slot(x: float, y: float) -> float:
        return hypot(max(0.0, abs(x - right) - slot_w / 2), max(0.0, abs(y - up) - slot_h / 2))

    assert found.thinnest_m == pytest.approx(min(to_slot(x, y) for x, y in outline), abs=0.01)


def test_where_the_thinnest_wall_is() -> None:
    assert layout.wall("ellipse", 20, 28, 6, 14).where == "alike at all four corners of the slot"
    assert layout.wall("rectangle", 20, 28, 6, 14, 1).where == "right side, at both corners of the slot"
    assert layout.wall("rectangle", 40, 28, 6, 14, 0, -1).where == "edge side, at both corners of the slot"
    assert layout.wall("ellipse", 20, 28, 6, 14, -1, 2).where == "the slot's spine left corner"


def test_the_middle_of_an_ellipse_is_half_its_width_from_it() -> None:
    assert point_to_ellipse(0, 0, 10, 14) == pytest.approx(10)
    assert point_to_ellipse(0, 0, 14, 10) == pytest.approx(10)
    assert point_to_ellipse(10, 0, 10, 14) == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(
    ("made", "says"),
    [
        (lambda: radius_of_arc(0, 1), "chord is"),
        (lambda: radius_of_arc(1, -1), "rise is"),
        (lambda: rise_of_arc(1, 2.1), "longest is its diameter"),
        (lambda: chord_of_arc(1, 2), "less than its diameter"),
        (lambda: layout.nearest_wheel(1, 0.1, [0]), "wheels is"),
        (lambda: layout.stations(1, 1, 1, 0.0001), "larger step"),
        (lambda: layout.stations(1, 1, 1, 0), "step is"),
        (lambda: layout.octagon(0, 1), "width is"),
        (lambda: layout.square_up(1, 1), "exactly|one of out"),
        (lambda: layout.square_up(1, 1, 0.1, 0.1), "one of out"),
        (lambda: layout.square_up(1, 1, 1.1), "45"),
        (lambda: layout.square_up(1, 1, -0.1), "45"),
        (lambda: layout.wall("ellipse", 20, 28, 19, 14), "breaks out"),
        (lambda: layout.wall("rectangle", 20, 28, 6, 14, 8), "spine right, edge right"),
        (lambda: layout.wall("octagon", 20, 28, 14, 22), "breaks out"),
        (lambda: layout.wall("ellipse", 20, 28, 0, 14), "slot-width is"),
    ],
)
def test_what_cannot_be_is_refused(made: object, says: str) -> None:
    assert callable(made)
    with pytest.raises(ShopError, match=says):
        made()
