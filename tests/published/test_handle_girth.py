"""Girths of sections against printed perimeters and an independent elliptic integral."""

import math

import pytest
from scipy.special import ellipe

from workshop.trade import handle


def test_printed_perimeter():
    # A published worked case, to 60 digits: half-axes 7.5 and 5, perimeter 39.66359897322647…
    assert handle.ellipse_girth(15.0, 10.0) == pytest.approx(39.66359897322647, rel=1e-14)


def test_circle_and_flat():
    # Any textbook: πd for the circle; twice the length for what has no width.
    assert handle.ellipse_girth(2.0, 2.0) == pytest.approx(2 * math.pi, rel=1e-15)
    assert handle.ellipse_girth(2.0, 1e-9) == pytest.approx(4.0, rel=1e-9)


@pytest.mark.parametrize("flat", [0.999, 0.9, 0.75, 0.5, 0.1, 0.01, 1e-4])
def test_against_the_complete_elliptic_integral(flat):
    # P = 4a·E(m), m = 1 − (b/a)², scipy's own E.
    assert handle.ellipse_girth(2.0, 2.0 * flat) == pytest.approx(4 * ellipe(1 - flat * flat), rel=1e-13)


# Common practice, a shop table of oval handles, computed to the millimetre or its tenth.
@pytest.mark.parametrize(
    ("height", "width", "girth", "within"),
    [(28, 20, 76, 0.5), (30, 22, 82, 0.5), (32, 24, 88.4, 0.05), (34, 26, 94.7, 0.05)],
)
def test_the_shop_table(height, width, girth, within):
    assert 1000 * handle.ellipse_girth(height / 1000, width / 1000) == pytest.approx(girth, abs=within)


def test_regular_octagon():
    # Machinery's Handbook, regular polygons: side = 0.4142 × across flats, area = 0.8284 × its square.
    girth, area = handle.octagon(1.0, 1.0, None)
    assert girth / 8 == pytest.approx(0.4142, abs=5e-5)
    assert area == pytest.approx(0.8284, abs=5e-5)


def test_rectangle_that_is_round():
    # A square with its radius at half the side is the circle.
    girth, area = handle.rectangle(2.0, 2.0, 1.0)
    assert girth == pytest.approx(2 * math.pi)
    assert area == pytest.approx(math.pi)


def test_a_round_of_33_mm_for_the_firmest_grip():
    # Journal of Hand Therapy 16 (2003) 337 (secondary): 33 mm diameter; the usual girths hold it.
    girth = handle.ellipse_girth(0.033, 0.033)
    assert handle.GIRTHS_IN_USE_M[0] < girth < handle.GIRTHS_IN_USE_M[1]
