"""Dew and frost points against an independent psychrometrics library and handbook values."""

import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.trade import air

WITHIN_K = 0.06
"""The formula over water differs from the handbook relations by up to 0.05 K in this range."""

psychrolib.SetUnitSystem(psychrolib.SI)


# Handbook psychrometric relations at 101.325 kPa (computed, two calculations agree to 0.01 K).
@pytest.mark.parametrize(
    ("air_C", "percent", "dew_C"),
    [
        (10, 80, 6.71),
        (15, 50, 4.67),
        (20, 30, 1.91),
        (20, 50, 9.27),
        (20, 65, 13.23),
        (20, 80, 16.45),
        (25, 40, 10.48),
        (25, 50, 13.86),
        (25, 60, 16.70),
        (30, 50, 18.45),
        (30, 70, 23.93),
        (35, 20, 8.71),
        (35, 60, 26.07),
    ],
)
def test_dew_points(air_C, percent, dew_C):
    assert air.dew_point(air_C + 273.15, percent / 100) - 273.15 == pytest.approx(dew_C, abs=WITHIN_K)


def test_below_freezing_the_frost_point_is_what_property_tables_give():
    # 0 °C, 50 %: property calculations give -8.16 °C (frost), the formula over water -9.20 °C (dew).
    assert air.frost_point(273.15, 0.5) - 273.15 == pytest.approx(-8.16, abs=WITHIN_K)
    assert air.dew_point(273.15, 0.5) - 273.15 == pytest.approx(-9.20, abs=0.01)


# Computed from two property calculations, kPa.
@pytest.mark.parametrize(("t", "kPa"), [(10, 1.2280), (20, 2.3388), (25, 3.1692), (30, 4.2460), (40, 7.3835)])
def test_saturation_pressure(t, kPa):
    assert air.saturation_pressure(t + 273.15) / 1000 == pytest.approx(kPa, rel=3e-3)


@given(st.floats(0.5, 45), st.floats(0.15, 1.0))
def test_against_psychrolib(air_C, humidity):
    # ASHRAE relations as psychrolib works them; below 0 °C it gives the frost point.
    theirs = psychrolib.GetTDewPointFromRelHum(air_C, humidity)
    frost_K = air.frost_point(air_C + 273.15, humidity)
    ours = (air.dew_point(air_C + 273.15, humidity) if frost_K is None else frost_K) - 273.15
    assert ours == pytest.approx(theirs, abs=0.1)


def test_cold_air_warmed():
    # Computed: air of 10 °C and 80 % heated to 21 °C has 39.5 % humidity.
    assert air.surface_humidity(283.15, 0.80, 294.15) == pytest.approx(0.395, abs=0.002)
