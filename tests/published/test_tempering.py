"""Tempering: Hollomon and Jaffe's parameter (1945) and published ladders of hardness.

Ladders typed in here again from a steel supplier's page on the ASTM A684 family (secondary), two
pages on 1095 and three on O1 (secondary), a supplier's page on A2 and two on L6 (secondary), an
ASM note of 2019 on 52100, and held against the store.
"""

import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from workshop.drawer import steels
from workshop.drawer.declare import Given
from workshop.trade import temper

STORE = Path(__file__).parents[2] / "recipes" / "stores" / "steels.toml"
GIVEN = Given({}, {"steels": tomllib.loads(STORE.read_text("utf-8"))})
C = 273.15

# °C, hours, P / 1000 with C = 20 and hours: worked by hand.
PARAMETERS = (
    (150, 1, 8.4630), (200, 1, 9.4630), (200, 2, 9.6054), (200, 4, 9.7479),
    (230, 2, 10.2145), (260, 1, 10.6630), (300, 2, 11.6355), (540, 2, 16.5078),
)  # fmt: skip


@pytest.mark.parametrize(("celsius", "hours", "worked"), PARAMETERS)
def test_parameter(celsius, hours, worked):
    assert temper.parameter(celsius + C, hours) == pytest.approx(worked, abs=6e-5)


@pytest.mark.parametrize(("celsius", "hours", "one"), [(200, 2, 207.1), (200, 4, 214.2), (175, 2, 181.75)])
def test_one_hour_that_does_the_same(celsius, hours, one):
    assert temper.equal_temperature(celsius + C, hours) - C == pytest.approx(one, abs=0.06)


def test_the_same_constant_in_minutes_is_another_parameter():
    # 20 with hours is 18.222 with minutes: one copy in circulation says minutes with 20.
    hours = temper.parameter(473.15, 2.0)
    assert temper.parameter(473.15, 120.0, constant=18.222) == pytest.approx(hours, abs=1e-3)
    assert abs(temper.parameter(473.15, 120.0) - hours) > 0.8


def F(fahrenheit):
    return (fahrenheit - 32.0) / 1.8 + C


# steel: which ladder, °F, HRC
PRINTED = {
    ("1050", 0): {400: 52, 600: 45, 700: 39, 800: 35, 900: 31, 1000: 27, 1100: 22},
    ("1075", 0): {400: 59, 600: 53, 700: 47, 800: 44, 900: 40, 1000: 36, 1100: 32, 1200: 26},
    ("1095", 0): {400: 62, 600: 55, 700: 49, 800: 45, 900: 41, 1000: 38, 1100: 34, 1200: 30},
    ("O1", 0): {300: 64, 350: 63, 400: 62, 450: 61, 500: 59, 600: 56, 700: 52, 800: 49, 900: 44, 1000: 40},
    ("O1", 1): {300: 63, 350: 62.5, 400: 62, 500: 60, 600: 57, 700: 53, 800: 50, 900: 47, 1000: 44, 1100: 39},
    ("O1", 2): {350: 63, 400: 61.5, 450: 61, 500: 59, 600: 56, 700: 53, 800: 49},
    ("A2", 0): {300: 62, 400: 61, 500: 60, 600: 59, 700: 58, 800: 58, 900: 58, 1000: 57, 1100: 51},
    ("L6", 0): {300: 62, 400: 61, 500: 58, 600: 56, 700: 53, 800: 50, 900: 48, 1000: 46},
    ("L6", 1): {300: 64, 400: 61, 500: 59, 600: 57, 700: 54},
    ("D2", 0): {400: 61, 1000: 54},
}


@pytest.mark.parametrize("ladder", PRINTED)
def test_store_holds_the_printed_ladders(ladder):
    name, which = ladder
    found = steels.ladders(steels.find(GIVEN, name))[which]
    for fahrenheit, hrc in PRINTED[ladder].items():
        low, high = temper.at(found, F(fahrenheit)).band
        assert (low + high) / 2 == pytest.approx(hrc, abs=0.01)
        assert low < high


def test_1095_by_a_second_page():
    # Secondary: 150 °C 65; 180 63-64; 200 60-61; 230 57-58; 260 55-56; 290 53-54; 320 52-53; 340 50.
    second = steels.ladders(steels.find(GIVEN, "1095"))[1]
    for celsius, low, high in ((180, 63, 64), (200, 60, 61), (230, 57, 58), (260, 55, 56), (320, 52, 53)):
        assert temper.at(second, celsius + C).band == pytest.approx((low, high))


def test_conflicting_sources_both_stand_in_the_range():
    # At 200 to 205 °C one page says 62, the other 60 to 61.
    known = steels.ladders(steels.find(GIVEN, "1095"))
    low, high = temper.hardness(known, F(400), 1.0)[0]
    assert low <= 60
    assert high >= 62


def test_52100_by_the_2019_note():
    # ASM, 2019: 150 to 230 °C for 2 to 4 h gives 58 to 64 HRC.
    known = steels.ladders(steels.find(GIVEN, "52100"))
    assert temper.hardness(known, 190 + C, 3.0)[0] == pytest.approx((58, 64))


@pytest.mark.parametrize("name", ["1084", "75Ni8", "80CrV2", "5160", "X65Cr13", "125Cr1"])
def test_no_ladder_is_made_up(name):
    entry = steels.find(GIVEN, name)
    assert steels.ladders(entry) == ()
    assert "No published ladder known." in entry["notes"]


def test_nothing_is_read_between_rows_far_apart_or_past_the_last():
    d2 = steels.ladders(steels.find(GIVEN, "D2"))[0]
    assert temper.at(d2, 350 + C).band is None
    assert temper.at(d2, F(1200)).band is None
    assert temper.at(d2, 150 + C).band is None  # the page has no hardness before tempering


def test_below_the_first_row_lies_between_it_and_the_quench():
    first = steels.ladders(steels.find(GIVEN, "1075"))[0]
    low, high = temper.at(first, 150 + C).band
    assert low <= 59
    assert high >= 64


names = st.sampled_from(["1050", "1075", "1095", "O1", "A2", "W2", "L6", "52100"])
heats = st.floats(205 + C, 320 + C)


@given(names, heats, st.floats(0.2, 20.0))
def test_a_hardness_is_always_a_range(name, kelvin, hours):
    band, _ = temper.hardness(steels.ladders(steels.find(GIVEN, name)), kelvin, hours)
    if band is not None:
        assert band[1] - band[0] >= 0.5


@given(names.filter(lambda n: n != "52100"), heats, st.floats(1.0, 40.0), st.floats(0.5, 8.0))
def test_hotter_is_never_harder(name, kelvin, more, hours):
    for ladder in steels.ladders(steels.find(GIVEN, name)):
        cool, hot = (temper.after(ladder, t, hours).band for t in (kelvin, kelvin + more))
        if cool is not None and hot is not None:
            assert (hot[0] + hot[1]) <= (cool[0] + cool[1]) + 1e-6


@given(st.floats(400, 900), st.floats(0.1, 50), st.floats(0.1, 50))
def test_equal_temperature_goes_back(kelvin, hours, other):
    there = temper.equal_temperature(kelvin, hours, other)
    assert temper.equal_temperature(there, other, hours) == pytest.approx(kelvin)
    assert temper.parameter(there, other) == pytest.approx(temper.parameter(kelvin, hours))


def test_a_hardness_above_the_first_row_has_no_coolest_temper():
    known = steels.ladders(steels.find(GIVEN, "1075"))
    low, high = temper.temperatures_for(known, 62.0, 1.0)
    assert low is None
    assert high == pytest.approx(F(400))
    assert temper.temperatures_for(known, 69.0, 1.0) is None


@settings(max_examples=25)
@given(st.sampled_from(["1075", "1095", "O1", "L6"]), st.floats(54, 61), st.floats(0.5, 8))
def test_the_temper_for_a_hardness_gives_it(name, wanted, hours):
    known = steels.ladders(steels.find(GIVEN, name))
    span = temper.temperatures_for(known, wanted, hours)
    assert span is not None
    for kelvin in (one for one in span if one is not None):
        low, high = temper.hardness(known, kelvin, hours)[0]
        assert low - 0.01 <= wanted <= high + 0.01


def test_reported_practice_lies_within_two_points():
    # Common practice, no source: 0.8 % carbon layered steel 61-62 HRC at 204 °C, 57-58 at 316 °C;
    # others read 2 lower. The 1075 and 1095 ladders together hold that.
    known = [ladder for name in ("1075", "1095") for ladder in steels.ladders(steels.find(GIVEN, name))]
    for celsius, said in ((204, 61.5), (316, 57.5)):
        low, high = temper.hardness(known, celsius + C, 2.0)[0]
        assert low - 2 <= said - 1 <= high + 2
