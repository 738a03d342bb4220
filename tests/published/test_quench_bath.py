"""The quench bath's heat, against a heat treaters' journal and the books of heat.

The journal (secondary): one gallon of oil to one pound of steel rises about 38 °C (70 °F); quench
oil 0.45 cal/g°C, steel 0.17 cal/g°C.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.trade import quench
from workshop.trade.steel_heat import heat_content

C = 273.15
POUND, GALLON = 0.45359237, 3.785411784e-3


def test_a_gallon_to_a_pound():
    oil = GALLON * quench.OIL_DENSITY
    rise = quench.oil_after(POUND, 843 + C, oil, 21 + C) - 21 - C
    assert rise == pytest.approx(38.0, rel=0.15)


def test_steel_on_its_way_down_has_about_the_journals_heat():
    # 0.17 cal/g°C is 712 J/kgK.
    mean = (heat_content(843 + C) - heat_content(60 + C)) / 783
    assert mean == pytest.approx(0.17 * 4186.8, rel=0.05)


def test_oils_heat_is_the_journals():
    assert pytest.approx(0.45 * 4186.8, rel=1e-3) == quench.OIL_HEAT


blades = st.floats(0.02, 2.0)
baths = st.floats(1.0, 40.0)
starts = st.floats(280.0, 360.0)
hots = st.floats(900.0, 1350.0)


@given(blades, hots, baths, starts)
def test_heat_given_is_heat_taken(steel, hot, oil, start):
    after = quench.oil_after(steel, hot, oil, start)
    given_up = steel * (heat_content(hot) - heat_content(after))
    assert oil * quench.OIL_HEAT * (after - start) == pytest.approx(given_up, rel=1e-6, abs=1e-3)
    assert start < after < hot


@given(blades, hots, baths, starts)
def test_more_oil_stays_cooler_and_more_blades_hotter(steel, hot, oil, start):
    once = quench.oil_after(steel, hot, oil, start)
    assert quench.oil_after(steel, hot, 2 * oil, start) < once
    row = quench.one_after_another(steel, hot, oil, start, 4)
    assert row == sorted(row)
    assert row[0] == pytest.approx(once)


def test_cooling_is_newtons():
    # With air at 293 K the excess halves in the same time wherever it starts.
    first = quench.wait(353.0, 323.0, 293.0, 5.0, 0.2)
    second = quench.wait(323.0, 308.0, 293.0, 5.0, 0.2)
    assert first == pytest.approx(second)
    assert first == pytest.approx(0.6931472 * 5.0 * 1884.0 / (10.0 * 0.2))
    assert quench.wait(300.0, 310.0, 293.0, 5.0, 0.2) == 0.0
    assert quench.wait(353.0, 290.0, 293.0, 5.0, 0.2) is None


def test_tank_holds_its_oil():
    # A cylinder twice as tall as wide: 8 l is 172 mm wide, 344 mm tall, 0.2325 m² outside.
    assert quench.tank_surface(8e-3) == pytest.approx(0.2325, abs=0.0005)
