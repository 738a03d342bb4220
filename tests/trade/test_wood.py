"""Properties of the wood arithmetic."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.errors import ShopError
from workshop.trade import wood

airs = st.floats(273.15, 313.15)
humidities = st.floats(0.05, 0.95)
widths = st.floats(1e-3, 0.5)


@given(airs, humidities, humidities)
def test_damper_air_never_dries_wood(air, one, other):
    low, high = sorted((one, other))
    assert wood.equilibrium_moisture(air, low) <= wood.equilibrium_moisture(air, high)


@given(airs, airs, humidities)
def test_warmer_air_of_the_same_humidity_never_wets_wood(one, other, humidity):
    cold, warm = sorted((one, other))
    assert wood.equilibrium_moisture(warm, humidity) <= wood.equilibrium_moisture(cold, humidity) + 5e-4


@given(widths, st.floats(0.0005, 0.006), st.floats(0, 0.3), st.floats(0, 0.3))
def test_swing_by_coefficient_is_odd(width, coefficient, start, end):
    there = wood.swing_by_coefficient(width, coefficient, start, end)
    assert there == -wood.swing_by_coefficient(width, coefficient, end, start)


@given(widths, st.floats(0.01, 0.2), st.floats(0, 0.4), st.floats(0, 0.4), st.floats(0, 0.3))
def test_swing_by_shrinkage_is_odd(width, shrinkage, start, end, measured):
    there = wood.swing_by_shrinkage(width, shrinkage, start, end, measured)
    assert there == -wood.swing_by_shrinkage(width, shrinkage, end, start, measured)


@given(st.floats(0.01, 0.2))
def test_shrinkage_and_coefficient_go_both_ways(shrinkage):
    back = wood.shrinkage_from_coefficient(wood.coefficient_from_shrinkage(shrinkage))
    assert back == pytest.approx(shrinkage, rel=1e-9)


def test_both_formulas_meet_at_ten_per_cent():
    by_shrinkage = wood.swing_by_shrinkage(0.03, 0.078, 0.08, 0.12, 0.10)
    by_coefficient = wood.swing_by_coefficient(0.03, wood.coefficient_from_shrinkage(0.078), 0.08, 0.12)
    assert by_shrinkage == pytest.approx(by_coefficient, rel=1e-12)


def test_wet_wood_stands_still():
    assert wood.swing_by_shrinkage(0.03, 0.078, 0.31, 0.60, 0.31) == 0.0


def test_reveal_is_half_the_swing_and_a_hair():
    assert wood.reveal(0.0008) == pytest.approx(0.0005)
    assert wood.reveal(-0.0008) == wood.reveal(0.0008)


@pytest.mark.parametrize("humidity", [-0.01, 1.01])
def test_impossible_humidity_is_refused(humidity):
    with pytest.raises(ShopError, match="between 0 % and 100 %"):
        wood.equilibrium_moisture(293.15, humidity)
