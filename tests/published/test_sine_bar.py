"""The sine bar and bevel angles against published values.

Sources: TC 9-524 (5 in at 23°41′ is 2.0084 in), two sine-bar values seen in a copy
(secondary), Jones, Turning and Boring (3/4 in a foot leans each side 1°47.4′), and worked
half angles (common practice, given to 0.1°).
"""

import math

import pytest

from workshop.trade import grind

INCH = 0.0254


@pytest.mark.parametrize(
    ("length_in", "degrees", "minutes", "height_in", "within"),
    [
        (5, 23, 41, 2.0084, 0.00005),  # published: TC 9-524
        (5, 34, 25, 2.826, 0.0005),  # secondary
        (5, 27, 0, 2.270, 0.0005),  # secondary
    ],
)
def test_sine_bar(length_in, degrees, minutes, height_in, within):
    angle = math.radians(degrees + minutes / 60)
    assert grind.edge_lift(length_in * INCH, angle) / INCH == pytest.approx(height_in, abs=within)
    found = math.degrees(grind.angle_of_lift(length_in * INCH, height_in * INCH))
    assert found == pytest.approx(degrees + minutes / 60, abs=0.02)


def test_taper_a_foot():
    # published: 3/4 in a foot leans each side 1°47.4′ from the centre line, and disks of 1.25
    # and 1.5 in that touch both sides stand 4.002 in apart (centres)
    half = grind.half_angle(1.75 * INCH, 1.0 * INCH, 12 * INCH)
    assert math.degrees(half) * 60 == pytest.approx(107.4, abs=0.06)
    assert (1.5 - 1.25) / 2 / math.sin(half) == pytest.approx(4.002, abs=0.0005)


@pytest.mark.parametrize(
    ("spine_mm", "edge_mm", "height_mm", "half_deg"),
    [(4, 0.6, 30, 3.2), (5, 0.7, 32, 3.8), (2.5, 0.3, 48, 1.3)],  # common practice, one decimal
)
def test_half_angles(spine_mm, edge_mm, height_mm, half_deg):
    found = math.degrees(grind.half_angle(spine_mm / 1e3, edge_mm / 1e3, height_mm / 1e3))
    assert found == pytest.approx(half_deg, abs=0.05)


@pytest.mark.parametrize(
    ("height_mm", "angle_deg", "lift_mm"),
    # common practice, a lift table of one decimal (25 mm at 20° is printed 8.6, exactly 8.55)
    [(25, 15, 6.5), (25, 20, 8.6), (30, 15, 7.8), (30, 20, 10.3), (45, 12, 9.4), (45, 15, 11.6)],
)
def test_lift_table(height_mm, angle_deg, lift_mm):
    assert grind.edge_lift(height_mm, math.radians(angle_deg)) == pytest.approx(lift_mm, abs=0.051)


def test_folded_paper():
    # common practice: a square corner folds to 45, 22.5 and 11.25 degrees
    assert [grind.nearest_fold(math.radians(a))[0] for a in (45, 22.5, 11.25)] == [1, 2, 3]


@pytest.mark.parametrize(
    ("chord_mm", "radius_mm", "depth_mm"),
    # Machinery's Handbook 31st ed. pp. 88-93 form s = R − √(R² − c²/4); worked values
    [(50, 36.25, 10), (80, 100, 8.3485)],
)
def test_depth_of_an_arc(chord_mm, radius_mm, depth_mm):
    # A bevel whose sides are all but parallel has its face as its height, so the chord is the height.
    hollow = grind.hollow(0.1, 0.1 - 1e-12, chord_mm / 1e3, 2 * radius_mm / 1e3)
    assert hollow.depth_m * 1e3 == pytest.approx(depth_mm, abs=0.00006)
