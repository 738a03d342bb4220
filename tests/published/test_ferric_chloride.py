"""Ferric chloride: a manufacturer's density table (secondary), degrees Baumé (145, secondary), mixing.

Mixtures are worked by mass balance from a 39.2 % stock of 1.4047 kg/l at 20 °C and water of 0.9982.
"""

import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.drawer import etch as drawer_etch
from workshop.drawer.declare import Given
from workshop.trade import etch

STORE = Path(__file__).parents[2] / "recipes" / "stores" / "etchants.toml"
DATA = tomllib.loads(STORE.read_text("utf-8"))
TABLE = drawer_etch._table(Given({}, {"etchants": DATA}))
C20 = 293.15

# Percent by weight: kg/l at 20 °C, as printed.
AT_20 = {1: 1.007, 4: 1.033, 8: 1.068, 10: 1.086, 12: 1.105, 16: 1.143, 20: 1.183, 24: 1.225,
         28: 1.269, 30: 1.292, 32: 1.315, 36: 1.364, 40: 1.415, 44: 1.469}  # fmt: skip


@pytest.mark.parametrize("percent", AT_20)
def test_density_at_20_degrees(percent):
    assert TABLE.density(percent / 100, C20) == pytest.approx(1000 * AT_20[percent])
    assert TABLE.share(1000 * AT_20[percent], C20) == pytest.approx(percent / 100)


@pytest.mark.parametrize(
    ("percent", "celsius", "printed"), [(10, 0, 1.090), (20, 40, 1.178), (36, 60, 1.345)]
)
def test_density_at_other_temperatures(percent, celsius, printed):
    assert TABLE.density(percent / 100, celsius + 273.15) == pytest.approx(1000 * printed)


# 145 / (145 - Bé)
BAUME = {0: 1.0, 10: 1.0741, 20: 1.16, 30: 1.2609, 32: 1.2832, 36: 1.3303, 38: 1.3551, 40: 1.3810,
         42: 1.4078, 43: 1.4216, 45: 1.45}  # fmt: skip


@pytest.mark.parametrize("degrees", BAUME)
def test_degrees_baume(degrees):
    assert etch.specific_gravity(degrees) == pytest.approx(BAUME[degrees], abs=6e-5)


@pytest.mark.parametrize(("degrees", "printed"), [(1, 1.0066), (26, 1.2063), (52, 1.52), (57, 1.6)])
def test_old_books_use_another_modulus(degrees, printed):
    # Paper-making tables (secondary) follow 152 / (152 - Bé).
    assert etch.specific_gravity(degrees, 152.0) == pytest.approx(printed, abs=6e-5)
    assert etch.specific_gravity(57) == pytest.approx(1.6477, abs=6e-5)


@pytest.mark.parametrize(
    ("degrees", "percent"), [(30, 27.0), (36, 33.0), (38, 35.0), (40, 37.1), (42, 39.2), (43, 40.2)]
)
def test_strength_of_stock_by_its_baume(degrees, percent):
    # Worked with water 0.99904 at 60 °F.
    given_stores = Given({"stock": f"{degrees}Be"}, {"etchants": DATA})
    share, _ = drawer_etch._stock(given_stores, TABLE, C20)
    assert 100 * share == pytest.approx(percent, abs=0.06)


# parts of water: percent, volume made of one part stock, kg/l
MIXED = {1: (22.9, 1.980, 1.2136), 2: (16.2, 2.971, 1.1449), 3: (12.5, 3.964, 1.1099),
         4: (10.2, 4.961, 1.0879),
         5: (8.6, 5.958, None)}  # fmt: skip


@pytest.mark.parametrize("parts", MIXED)
def test_mixing_by_mass(parts):
    percent, volume, density = MIXED[parts]
    made = etch.mix(TABLE, 0.392, parts, 1e-3, C20)
    assert 100 * made.share == pytest.approx(percent, abs=0.06)
    assert made.made_m3 / made.stock_m3 == pytest.approx(volume, abs=0.003)
    if density:
        assert made.density == pytest.approx(1000 * density, abs=0.6)


def test_averaging_by_volume_is_three_points_out():
    made = etch.mix(TABLE, 0.392, 1.0, 1e-3, C20)
    assert 100 * (made.share - 0.392 / 2) == pytest.approx(3.3, abs=0.1)


@given(st.floats(0.05, 0.43), st.floats(0.1, 10), st.floats(1e-5, 0.1), st.floats(273.15, 333.15))
def test_salt_and_mass_are_kept(share, parts, volume, kelvin):
    made = etch.mix(TABLE, share, parts, volume, kelvin)
    stock_kg = made.stock_m3 * TABLE.density(share, kelvin)
    water_kg = made.water_m3 * TABLE.density(0.0, kelvin)
    assert made.made_m3 * made.density == pytest.approx(stock_kg + water_kg)
    assert made.made_m3 * made.density * made.share == pytest.approx(stock_kg * share)
    assert etch.parts_for(TABLE, share, made.share, kelvin) == pytest.approx(parts, rel=1e-6)


@given(st.floats(0.0, 0.43), st.floats(0.001, 0.01), st.floats(283.15, 333.15))
def test_more_salt_is_heavier(share, more, kelvin):
    assert TABLE.density(share + more, kelvin) > TABLE.density(share, kelvin)


def test_outside_the_table_is_refused():
    for share, kelvin in ((0.45, C20), (0.2, 353.15), (-0.01, C20)):
        with pytest.raises(ValueError, match="outside"):
            TABLE.density(share, kelvin)
