"""The wood calculators as they are declared."""

import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.drawer.declare import Given
from workshop.drawer.wood import CALCULATORS, WOOD_MOISTURE, WOOD_SWING, find_entry, noted
from workshop.errors import ShopError
from workshop.trade import wood

STORE = tomllib.loads(
    (Path(__file__).parents[2] / "recipes" / "stores" / "woods.toml").read_text(encoding="utf-8")
)
STANDINGS = {"published", "secondary", "common practice", "computed", "from memory"}
USUAL = {
    "species": "black walnut",
    "coefficient": None,
    "width": 0.030,
    "grain": "tangential",
    "humidity-low": 0.30,
    "humidity-high": 0.65,
    "humidity-made": None,
    "air": 293.15,
    "stabilised": "no",
}


def swing(**changed):
    values = {**USUAL, **{name.replace("_", "-"): value for name, value in changed.items()}}
    return WOOD_SWING.work(Given(values, {"woods": STORE}))


def test_store_has_thirty_species_that_move_and_sources_for_all():
    moving = [each for each in STORE["wood"] if "tangential" in each or "shrinkage-tangential" in each]
    assert len(moving) >= 30
    for entry in STORE["wood"]:
        for key, value in entry.items():
            if isinstance(value, dict):
                assert value["source"] in STORE["source"], (entry["name"], key)
                assert value["standing"] in STANDINGS, (entry["name"], key)


def test_every_wood_names_a_movement_or_says_that_none_is_known():
    for entry in STORE["wood"]:
        keys = {"tangential", "shrinkage-tangential"} & set(entry)
        if keys:
            assert swing(species=entry["name"]).found["swing"] > 0
        else:
            with pytest.raises(ShopError, match=r"no published .* measure your own"):
                swing(species=entry["name"])


def test_no_movement_in_the_store_is_only_remembered():
    for entry in STORE["wood"]:
        for key in ("tangential", "radial", "shrinkage-tangential", "shrinkage-radial"):
            assert entry.get(key, {}).get("standing") != "from memory"


def test_names_are_known_and_belong_to_one_wood():
    seen: set[str] = set()
    for entry in STORE["wood"]:
        for name in (entry["name"], *entry.get("also", ())):
            assert name.lower() not in seen
            seen.add(name.lower())
            assert find_entry(STORE["wood"], name, "species") is entry


def test_black_walnut_over_the_year():
    # 30 mm × 0.00274 × (12.00 − 6.19): both moistures from the handbook's equation at 20 °C.
    answer = swing()
    assert answer.found["swing"] == pytest.approx(30e-3 * 0.00274 * 5.81, rel=2e-3)
    assert answer.found["each-side"] == pytest.approx(answer.found["swing"] / 2)
    assert answer.found["reveal"] == pytest.approx(answer.found["swing"] / 2 + 1e-4)
    assert any("0.00274" in line for line in answer.working)


def test_outside_the_coefficients_the_shrinkage_formula_is_used_and_said():
    answer = swing(humidity_high=0.90)
    low, high = (wood.equilibrium_moisture(293.15, each) for each in (0.30, 0.90))
    by_hand = 0.030 * 100 * (high - low) / (3000 / 7.8 - 30 + 100 * low)
    assert answer.found["swing"] == pytest.approx(by_hand, rel=1e-9)
    assert any("shrinkage formula" in line for line in answer.cautions)
    assert any("drier end" in line for line in answer.assumed)


@given(st.floats(0.05, 0.95), st.floats(0.05, 0.95), st.sampled_from(["tangential", "radial"]))
def test_swing_is_odd_in_its_two_humidities(low, high, grain):
    there = swing(humidity_low=low, humidity_high=high, grain=grain).found["swing"]
    back = swing(humidity_low=high, humidity_high=low, grain=grain).found["swing"]
    assert there == pytest.approx(-back, abs=1e-15)


@given(st.floats(0.05, 0.94), st.floats(0.005, 0.05))
def test_a_damper_season_never_swings_less(high, more):
    first = swing(humidity_low=0.05, humidity_high=high).found["swing"]
    second = swing(humidity_low=0.05, humidity_high=min(high + more, 0.95)).found["swing"]
    assert second >= first - 1e-12


def test_stabilised_keeps_three_tenths():
    assert swing(stabilised="yes").found["swing"] == pytest.approx(0.3 * swing().found["swing"])


def test_own_coefficient_beats_the_store():
    answer = swing(coefficient=0.002)
    assert answer.found["swing"] == pytest.approx(swing().found["swing"] * 0.002 / 0.00274)
    assert swing(species="", coefficient=0.002).found == answer.found


@pytest.mark.parametrize(
    ("species", "says"),
    [
        ("", "neither species nor coefficient"),
        ("maple", "could be .*sugar maple"),
        ("wlanut", "perhaps black walnut"),
        ("unobtainium", "not in the store"),
        ("desert ironwood", "no published tangential"),
    ],
)
def test_species_that_cannot_be_worked(species, says):
    with pytest.raises(ShopError, match=says):
        swing(species=species)


@pytest.mark.parametrize("species", ["walnut", "Walnut, black", "BLACK-WALNUT", "american walnut"])
def test_names_are_read_as_makers_write_them(species):
    assert swing(species=species).found == swing().found


def test_a_makers_own_entry_may_be_a_plain_number():
    own = {"wood": [{"id": "garden-plum", "tangential": 0.003}]}
    answer = WOOD_SWING.work(Given({**USUAL, "species": "plum"}, {"woods": own}))
    assert answer.found["swing"] == pytest.approx(swing().found["swing"] * 0.003 / 0.00274)


@pytest.mark.parametrize("value", [0, -1, "much", True, {"value": None}, {"value": 1, "standing": "heard"}])
def test_a_stored_value_that_is_no_number_is_refused(value):
    with pytest.raises(ShopError):
        noted({"name": "plum", "radial": value}, "radial", {})


def test_an_empty_store_is_said_in_a_sentence():
    with pytest.raises(ShopError, match="not in the store"):
        WOOD_SWING.work(Given(USUAL, {"woods": {}}))


def test_the_figure_fits_the_pane():
    for answer in (swing(), swing(humidity_high=0.95, width=0.5), swing(humidity_low=0.7, humidity_high=0.2)):
        assert 0 < len(answer.figure) <= 12
        assert max(map(len, answer.figure)) <= 60
        assert all(line.isascii() for line in answer.figure)


def test_moisture_of_the_example():
    found = WOOD_MOISTURE.work(Given({"air": 294.26, "humidity": 0.5})).found
    assert found["moisture"] == pytest.approx(0.092, abs=0.001)


def test_declarations_are_whole():
    for each in CALCULATORS:
        names = [field.name for field in each.fields]
        assert len(set(names)) == len(names)
        assert set(each.example.given) <= set(names)
        assert set(each.example.found) <= {result.name for result in each.results}
        assert each.sources
        assert each.valid


def test_a_wood_that_is_not_in_the_store_asks_for_the_makers_own_and_takes_it():
    with pytest.raises(ShopError, match=r"'bog wenge' is not in the store.* give it as coefficient"):
        swing(species="bog wenge")
    own = swing(species="bog wenge", coefficient=0.002)
    assert own.found["swing"] == pytest.approx(swing(species="", coefficient=0.002).found["swing"])
    assert "(bog wenge)" in own.working[0]
