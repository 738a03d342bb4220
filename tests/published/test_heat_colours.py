"""Colours of tempering and of glow, against the printed tables.

Applied Science for Metal Workers (published); a five-source table printed about 1921, Workshop
Technology Part 1 (5th ed. 1972) and a boiler handbook of 1905, all seen in copies (secondary).
"""

import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.drawer.colours import tables
from workshop.drawer.declare import Given
from workshop.trade import colours

STORE = Path(__file__).parents[2] / "recipes" / "stores" / "colours.toml"
GIVEN = Given({}, {"colours": tomllib.loads(STORE.read_text("utf-8"))})
TEMPER, GLOW = tables(GIVEN, "temper"), tables(GIVEN, "glow")
C = 273.15

METAL_WORKERS_F = {
    "very pale yellow": 430, "straw yellow": 460, "dark straw": 480, "brownish yellow": 500,
    "yellow tinged purple": 520, "light purple": 530, "dark purple": 550, "dark blue": 570,
    "pale blue": 610, "blue tinged green": 630, "first red": 957, "dull red": 1290, "dark cherry": 1470,
    "cherry red": 1655, "bright red": 1870, "dull orange": 2010, "bright orange": 2190, "white heat": 2370,
}  # fmt: skip
WORKSHOP_C = {
    "black red": (426, 593),
    "dark red": (705, 814),
    "cherry red": (815, 870),
    "orange": (982, 1092),
}
BOILER_C = {"just visible": 525, "dull red": 699, "full cherry": 900, "clear orange": 1200, "white": 1300}


def row(source, name):
    return next(one for rows in (*TEMPER, *GLOW) for one in rows if one.source == source and one.name == name)


@pytest.mark.parametrize("name", METAL_WORKERS_F)
def test_metal_workers_book(name):
    kelvin = (METAL_WORKERS_F[name] - 32) / 1.8 + C
    assert row("a metal workers' book", name).low_K == pytest.approx(kelvin)
    assert name in {one.name for one in colours.names_at([*TEMPER, *GLOW], kelvin)}


@pytest.mark.parametrize("name", WORKSHOP_C)
def test_workshop_book(name):
    low, high = WORKSHOP_C[name]
    found = row("a workshop book of 1972", name)
    assert (found.low_K - C, found.high_K - C) == pytest.approx((low, high))


@pytest.mark.parametrize("name", BOILER_C)
def test_boiler_book(name):
    assert row("a boiler book of 1905", name).low_K - C == pytest.approx(BOILER_C[name])


def test_printed_means_of_the_five_sources():
    # 600, 600 and 610 °F average 603; 550 to 555 average 551 as printed: inside the stored ranges.
    for name, mean in (("gray blue", 603), ("bluish purple", 551), ("light straw", 458), ("blue", 572)):
        found = row("The Working of Steel", name)
        assert found.low_K <= (mean - 32) / 1.8 + C <= found.high_K


def test_sources_for_one_glow_lie_far_apart():
    # Dull red is 699 °C in one book, dark red 705 to 814 in another; cherry 815-870 against 900.
    low, high = colours.span(colours.named(GLOW, "dull red"))
    assert high - low > 100
    low, high = colours.span(colours.named(GLOW, "cherry"))
    assert low - C <= 815
    assert high - C >= 900


def test_the_row_that_holds_a_temperature_goes_before_a_nearer_edge():
    # The Working of Steel has light straw 450 to 475 °F and dark straw 450 to 500: 480 is dark straw.
    rows = next(rows for rows in TEMPER if rows[0].source == "The Working of Steel")
    assert colours.at(rows, (480 - 32) / 1.8 + C).name == "dark straw"


def test_a_word_finds_its_group():
    assert {one.group for one in colours.named(TEMPER, "Grey-blue")} == {"pale blue"}
    assert {one.group for one in colours.named(TEMPER, "straw")} == {"straw"}
    assert colours.named(GLOW, "tartan") == ()
    assert colours.named(GLOW, "") == ()


@given(st.sampled_from([one for rows in (*TEMPER, *GLOW) for one in rows]))
def test_every_name_finds_itself_and_every_temperature_its_name(one):
    assert one in colours.named([*TEMPER, *GLOW], one.name) or one.name == one.group
    middle = (one.low_K + one.high_K) / 2
    assert colours.names_at([*TEMPER, *GLOW], middle)


def test_cold_steel_has_no_colour():
    assert colours.names_at([*TEMPER, *GLOW], 20 + C) == ()
    assert colours.names_at(GLOW, 250 + C) == ()
