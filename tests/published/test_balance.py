"""Volumes, weights and balances against handbook solids and worked cases."""

import pytest

from workshop.trade.balance import Body, Solid, Station, body, common


def bar(back, front, height, thick, fill=1.0):
    return Solid((Station(back, height, thick), Station(front, height, thick)), fill)


def test_frustum_of_a_pyramid():
    # Machinery's Handbook, 31st ed., pp. 88-93: areas 6 and 1.5, height 4.5: volume 15.75.
    solid = Solid((Station(0, 6**0.5, 6**0.5), Station(4.5, 1.5**0.5, 1.5**0.5)))
    assert solid.measure()[0] == pytest.approx(15.75, abs=0.005)


def test_wedge():
    # Machinery's Handbook, same pages, wedge V = (2a + c)·b·h/6: 29.25 in³ is printed; sides from memory.
    solid = Solid((Station(0, 4, 3), Station(4.5, 5, 0)))
    assert solid.measure()[0] == pytest.approx(29.25)


def test_centre_of_a_pyramid():
    # Any mechanics textbook: a pyramid's centre lies a quarter of its height above the base.
    volume, moment = Solid((Station(0, 3, 2), Station(8, 0, 0))).measure()
    assert volume == pytest.approx(3 * 2 * 8 / 3)
    assert moment / volume == pytest.approx(2.0)


def test_a_blank():
    # Computed: 200 × 30 × 4 mm at 7.85 g/cm³ is 188.4 g.
    assert 1000 * body(bar(0, 0.2, 0.03, 0.004), 7850).mass_kg == pytest.approx(188.4, abs=0.05)


def test_steel_and_brass():
    # Computed: steel 100 × 20 × 5 (78.5 g at 50) and brass 10 × 20 × 10 (17.0 g at 105): 95.5 g at 59.79.
    steel, brass = body(bar(0, 0.1, 0.02, 0.005), 7850), body(bar(0.1, 0.11, 0.02, 0.01), 8500)
    assert 1000 * steel.mass_kg == pytest.approx(78.5)
    assert 1000 * brass.mass_kg == pytest.approx(17.0)
    assert 1000 * common((steel, brass)).x_m == pytest.approx(59.79, abs=0.005)


def test_the_shop_case():
    # Common practice, worked by hand: 210 g at +70, 45 g at -4, 70 g at -65: +31 mm (30.68).
    knife = common((Body(0.210, 0.070), Body(0.045, -0.004), Body(0.070, -0.065)))
    assert 1000 * knife.x_m == pytest.approx(30.68, abs=0.005)
