"""Etchant in a vessel against the handbook's cylinder.

Source: Machinery's Handbook, 31st ed., pp. 88-93: a cylinder of 2.5 in diameter and 20 in
height holds 98.17 in³ and has a curved surface of 157.08 in².
"""

import pytest

from workshop.trade import bath


def test_cylinder():
    assert bath.round_area(2.5) * 20 == pytest.approx(98.17, abs=0.005)
    # A blade so thin that it displaces nothing leaves the plain cylinder.
    full = bath.fill(bath.round_area(2.5), 15.0, 1e-6, 1e-6, 5.0)
    assert full.volume_m3 == pytest.approx(98.17, abs=0.005)


def test_a_blade_displaces_its_own_volume():
    # worked: a blank of 200 × 30 × 4 mm is 24 ml (188.4 g at 7.85 g/cm³); in 40 × 60 mm it lifts 10 mm
    full = bath.fill(0.04 * 0.06, 0.2, 0.03, 0.004, 0.02)
    assert full.rise_m == pytest.approx(0.010)
