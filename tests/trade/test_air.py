"""Properties of the air arithmetic."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.errors import ShopError
from workshop.trade import air

airs = st.floats(230.0, 333.0)
humidities = st.floats(0.01, 1.0)


@given(airs, humidities)
def test_dew_never_settles_above_the_air(air_K, humidity):
    assert air.dew_point(air_K, humidity) <= air_K + 1e-9


@given(airs)
def test_full_air_dews_at_once(air_K):
    assert air.dew_point(air_K, 1.0) == pytest.approx(air_K, abs=1e-9)


@given(airs, humidities)
def test_at_the_dew_point_the_air_at_the_steel_is_full(air_K, humidity):
    assert air.surface_humidity(air_K, humidity, air.dew_point(air_K, humidity)) == pytest.approx(1.0)


@given(airs, humidities)
def test_frost_comes_before_dew(air_K, humidity):
    frost_K = air.frost_point(air_K, humidity)
    if frost_K is None:
        assert air.dew_point(air_K, humidity) >= air.ZERO_C_K - 1e-9
    else:
        assert air.dew_point(air_K, humidity) <= frost_K < air.ZERO_C_K


@pytest.mark.parametrize("humidity", [0.0, -0.2, 1.2])
def test_impossible_humidity_is_refused(humidity):
    with pytest.raises(ShopError, match="up to 100 %"):
        air.dew_point(293.15, humidity)
