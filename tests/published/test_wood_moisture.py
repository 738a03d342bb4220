"""Equilibrium moisture against the Wood Handbook's own table."""

import math

import pytest

from workshop.trade.wood import equilibrium_moisture

ROUNDING = 0.1
"""The table is printed to 0.1 %; one of its points (85 % at 70 °F) is not plainly rounded."""


def kelvin(fahrenheit: float) -> float:
    return (fahrenheit - 32) / 1.8 + 273.15


# Wood Handbook, FPL-GTR-282 (and FPL-GTR-190), ch. 4, Table 4-2.
TABLE_4_2 = [
    (70, 5, 1.3),
    (70, 30, 6.2),
    (70, 50, 9.2),
    (70, 75, 14.4),
    (70, 85, 17.9),
    (70, 95, 23.9),
    (30, 75, 14.9),
    (30, 95, 24.3),
    (100, 50, 8.7),
    (100, 90, 19.5),
]


@pytest.mark.parametrize(("fahrenheit", "humidity", "moisture"), TABLE_4_2)
def test_table_4_2(fahrenheit, humidity, moisture):
    found = 100 * equilibrium_moisture(kelvin(fahrenheit), humidity / 100)
    assert found == pytest.approx(moisture, abs=ROUNDING)


# The whole 70 °F row of Table 4-2, from memory; points of it are checked above from the table itself.
ROW_70F = [1.3, 2.5, 3.5, 4.5, 5.4, 6.2, 6.9, 7.7, 8.5, 9.2]
ROW_70F += [10.1, 11.0, 12.0, 13.1, 14.4, 16.0, 17.9, 20.5, 23.9]


def test_the_row_at_70_f_from_memory():
    for step, moisture in enumerate(ROW_70F, start=1):
        found = 100 * equilibrium_moisture(kelvin(70), step * 0.05)
        assert found == pytest.approx(moisture, abs=ROUNDING)


def moisture_by_fahrenheit_form(t: float, h: float) -> float:
    """The same equation with the handbook's other set of coefficients, in °F (Eq. 4-5)."""
    w = 330 + 0.452 * t + 0.00415 * t * t
    k = 0.791 + 0.000463 * t - 0.000000844 * t * t
    k1 = 6.34 + 0.000775 * t - 0.0000935 * t * t
    k2 = 1.09 + 0.0284 * t - 0.0000904 * t * t
    kh = k * h
    sorbed = (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2)
    return 1800 / w * (kh / (1 - kh) + sorbed)


@pytest.mark.parametrize("fahrenheit", range(30, 131, 10))
def test_both_printed_forms_agree(fahrenheit):
    # Computed from the two printed coefficient sets: they differ by at most 0.013 % moisture.
    for percent in range(5, 96, 5):
        found = 100 * equilibrium_moisture(kelvin(fahrenheit), percent / 100)
        assert found == pytest.approx(moisture_by_fahrenheit_form(fahrenheit, percent / 100), abs=0.02)


def test_at_20_c():
    # Secondary lists of the same table at 20 °C.
    for percent, moisture in ((50, 9.27), (65, 12.00), (75, 14.45), (85, 18.00), (95, 23.94)):
        assert 100 * equilibrium_moisture(293.15, percent / 100) == pytest.approx(moisture, abs=ROUNDING)


def test_dry_air_leaves_no_water():
    assert equilibrium_moisture(293.15, 0.0) == 0.0
    assert math.isfinite(equilibrium_moisture(293.15, 1.0))
