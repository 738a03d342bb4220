"""Solids, arcs and circles against handbook values and against numerical integration."""

from __future__ import annotations

from math import cos, hypot, pi, radians, sin, sqrt

import pytest
from scipy import integrate, optimize

from workshop.trade import geometry as g


def test_handbook_solids() -> None:
    # Machinery's Handbook, 31st ed., pp. 88-93 (published): spherical segment h 50, base 125 mm: printed
    # 372 247, and 372 246.0 by the formula; cone d 6 h 4: 37.70; cylinder d 2.5 h 20: 98.17.
    assert g.cap_volume(125, 50) == pytest.approx(372_247, abs=2)
    assert g.frustum_volume(6, 0, 4) == pytest.approx(37.70, abs=0.005)
    assert g.circle_area(2.5) * 20 == pytest.approx(98.17, abs=0.005)


def test_textbook_and_hand_worked_solids() -> None:
    # A segment 2 high of a sphere 8 across is 41.888 (textbook example, published); a cut cone R 5 r 3
    # h 10 is
    # 513.127 and a cap h 3 of R 5 is 113.097 (worked by hand).
    assert g.cap_volume(2 * sqrt(2 * (8 - 2)), 2) == pytest.approx(41.888, abs=0.0005)
    assert g.frustum_volume(10, 6, 10) == pytest.approx(513.127, abs=0.0005)
    assert g.cap_volume(2 * sqrt(3 * (10 - 3)), 3) == pytest.approx(113.097, abs=0.0005)


def test_frustum_of_a_pyramid() -> None:
    # Machinery's Handbook, 31st ed. (published): frustum of a pyramid with end areas 6 and 1.5, height
    # 4.5: 15.75.
    # Ends that are alike in shape: 3 by 2 and 1.5 by 1.
    assert g.tapered_bar_volume(4.5, 3, 1.5, 2, 1) == pytest.approx(15.75, abs=1e-9)


@pytest.mark.parametrize(
    "bar",
    [(90, 20, 9, 5, 2.5), (90, 13.5, 13.5, 4, 4), (60, 10, 18, 3, 4), (75, 16, 8, 3, 5), (1, 1, 0.1, 1, 0.1)],
)
def test_tapered_tang_by_numerical_integration(bar: tuple[float, ...]) -> None:
    length, height0, height1, thick0, thick1 = bar

    def section(x: float) -> float:
        return (height0 + (height1 - height0) * x / length) * (thick0 + (thick1 - thick0) * x / length)

    volume, _ = integrate.quad(section, 0, length)
    assert g.tapered_bar_volume(*bar) == pytest.approx(volume, rel=1e-10)


# Worked by hand and by another program's integration: holes, radius, pitch, area of the union.
ROWS = [
    (2, 1.0, 1.0, 5.054816), (3, 1.0, 1.5, 8.518154), (5, 2.5, 3.0, 75.810010),
    (5, 2.5, 2.0, 58.541099), (4, 3.0, 1.0, 46.190650), (6, 2.0, 5.0, 75.398224),
]  # fmt: skip


@pytest.mark.parametrize(("holes", "radius", "pitch", "area"), ROWS)
def test_row_of_holes(holes: int, radius: float, pitch: float, area: float) -> None:
    assert g.hole_row_area(holes, 2 * radius, pitch) == pytest.approx(area, abs=1e-6)


@pytest.mark.parametrize(("holes", "radius", "pitch", "area"), ROWS)
def test_row_of_holes_by_numerical_integration(holes: int, radius: float, pitch: float, area: float) -> None:
    # The upper edge of the union is the highest of the circles at each place along the row.
    def half_height(x: float) -> float:
        return max(sqrt(max(0.0, radius**2 - (x - k * pitch) ** 2)) for k in range(holes))

    corners = [k * pitch + side for k in range(holes) for side in (-radius, 0, pitch / 2, radius)]
    half, _ = integrate.quad(
        half_height, -radius, (holes - 1) * pitch + radius, points=sorted(set(corners)), limit=400
    )
    assert 2 * half == pytest.approx(g.hole_row_area(holes, 2 * radius, pitch), rel=1e-6)


def test_arcs() -> None:
    # Worked by hand from R = (c²/4 + s²)/2s and s = R − √(R² − c²/4): s 10 c 50 gives R 36.25, R 100 c
    # 80 gives
    # 8.3485. Machinery's Handbook (published): segment h 50 on 125 has radius 64 as printed, exact 64.0625.
    assert g.radius_of_arc(50, 10) == pytest.approx(36.25, abs=1e-9)
    assert g.rise_of_arc(100, 80) == pytest.approx(8.3485, abs=0.00005)
    assert g.radius_of_arc(125, 50) == pytest.approx(64.0625, abs=1e-9)
    # Machinery's Handbook (published): spherical sector r 3, h 1.5 has the chord 5.196.
    assert g.chord_of_arc(3, 1.5) == pytest.approx(5.196, abs=0.0005)
    # A half circle: the rise is the radius, and the arc takes up half a turn.
    assert g.rise_of_arc(10, 20) == pytest.approx(10)
    assert g.sweep_of_arc(20, 10) == pytest.approx(pi)


@pytest.mark.parametrize(
    ("angle", "packing", "within"),
    [(23 + 41 / 60, 2.0084, 0.00005), (34 + 25 / 60, 2.826, 0.0005), (27, 2.270, 0.0005)],
)
def test_sine_bar(angle: float, packing: float, within: float) -> None:
    # TC 9-524, Fundamentals of Machine Tools: a 5 in sine bar at 23°41′ is packed 2.0084 in (published); the
    # other two are copies (secondary), worked again by hand.
    assert g.sine_bar_packing(5, radians(angle)) == pytest.approx(packing, abs=within)


def test_taper_angle_against_a_shop_text() -> None:
    # Jones, Turning and Boring (published): 3/4 in a foot is 1°47.4′ on each side of the centre line.
    assert g.taper_angle(0.75, 0, 12) == pytest.approx(radians(1 + 47.4 / 60), abs=radians(0.05 / 60))


@pytest.mark.parametrize("point", [(0, 0), (3, 4), (7, 2), (9.9, 0), (0, 13.9), (5, 11), (9, 5.5), (2, 13)])
def test_distance_to_an_ellipse_by_another_search(point: tuple[float, float]) -> None:
    # Checked with scipy's bounded search from many starting places.
    def away(phi: float) -> float:
        return hypot(10 * cos(phi) - point[0], 14 * sin(phi) - point[1])

    fine = {"xatol": 1e-12}
    found = min(
        optimize.minimize_scalar(away, bounds=(k / 10, k / 10 + 0.15), method="bounded", options=fine).fun
        for k in range(63)
    )
    assert g.point_to_ellipse(*point, 10, 14) == pytest.approx(found, abs=1e-7)
