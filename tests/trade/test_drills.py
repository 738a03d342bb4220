"""Finding a drill: neighbours, gaps, ties and what is refused."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.errors import ShopError
from workshop.trade import drills

INCH = 0.0254
STORE = tomllib.loads((Path(__file__).parents[2] / "recipes/stores/drills.toml").read_text("utf-8"))
RACKS = {name: drills.rack(STORE, name) for name in ("inch", "metric", "all")}


def test_neighbours_of_the_drill_for_a_five_thirty_seconds_pin() -> None:
    found = drills.for_pin(RACKS["inch"], 5 / 32 * INCH, 0.003 * INCH)
    assert found.under is not None
    assert found.over is not None
    assert (found.under.name, found.drill.name, found.over.name) == ("#21", "#20", "#19")
    assert found.under_clearance_m == pytest.approx(0.00275 * INCH)
    assert found.over_clearance_m == pytest.approx((0.166 - 0.15625) * INCH)
    assert (found.tang_least_m, found.tang_most_m) == (
        pytest.approx(1.25 * 5 / 32 * INCH), pytest.approx(1.5 * 5 / 32 * INCH)
    )  # fmt: skip


def test_exactly_the_wanted_clearance_is_enough() -> None:
    # 1/8 in and 3.5 thou is 0.1285 in, which is #30 to the last digit.
    assert drills.for_pin(RACKS["inch"], 0.125 * INCH, 0.0035 * INCH).drill.name == "#30"
    assert drills.for_pin(RACKS["metric"], 4 / 1000, 0.1 / 1000).drill.name == "4.1 mm"


def test_two_names_for_one_size_are_both_said() -> None:
    assert drills.for_pin(RACKS["inch"], 0.248 * INCH, 0.002 * INCH).drill.name == "E or 1/4 in"
    assert drills.for_pin(RACKS["all"], 12.65 / 1000, 0.04 / 1000).drill.name == "1/2 in or 12.7 mm"


def test_the_ends_of_the_set() -> None:
    least = drills.for_pin(RACKS["inch"], 0.005 * INCH, 0)
    assert (least.drill.name, least.under, least.under_clearance_m) == ("#97", None, None)
    most = drills.for_pin(RACKS["inch"], 0.99 * INCH, 0.01 * INCH)
    assert (most.drill.name, most.over, most.over_clearance_m) == ("1 in", None, None)
    with pytest.raises(ShopError, match="no drill in the set is large enough"):
        drills.for_pin(RACKS["inch"], INCH, 0.001 * INCH)


@given(st.floats(0.0002, 0.02), st.floats(0, 0.001), st.floats(0, 0.001), st.sampled_from(list(RACKS)))
def test_more_clearance_never_gives_a_smaller_drill(
    pin_m: float, gap_m: float, more_m: float, name: str
) -> None:
    less = drills.for_pin(RACKS[name], pin_m, gap_m)
    more = drills.for_pin(RACKS[name], pin_m, gap_m + more_m)
    assert more.drill.size_m >= less.drill.size_m


@given(st.floats(0.0002, 0.02), st.floats(0, 0.001), st.sampled_from(list(RACKS)))
def test_the_drill_is_the_smallest_that_will_do(pin_m: float, gap_m: float, name: str) -> None:
    found = drills.for_pin(RACKS[name], pin_m, gap_m)
    assert found.clearance_m >= gap_m - 2e-9
    if found.under is not None and found.under_clearance_m is not None:
        assert found.under_clearance_m < gap_m
        assert found.under.size_m < found.drill.size_m


@pytest.mark.parametrize(
    ("store", "says"),
    [
        ({"series": [{"id": "own", "unit": "ft", "sizes": ["1"]}]}, 'unit "ft"'),
        ({"series": [{"id": "own", "unit": "in", "sizes": ["about 1"]}]}, "is no size"),
        ({"series": [{"id": "own", "unit": "in", "sizes": ["1/0"]}]}, "is no size"),
        ({"series": [{"id": "own", "unit": "in", "sizes": ["-0.1"]}]}, "is no size"),
        ({"series": [{"id": "own", "unit": "in", "sizes": ["0"]}]}, "is no size"),
        ({"series": [{"id": "own", "unit": "in", "sizes": ["1e99999999"]}]}, "is no size"),
        ({"series": [{"id": "own", "unit": "in", "sizes": ["1" * 13]}]}, "is no size"),
        ({"series": []}, "no drill in the set"),
        ({}, "no drill in the set"),
    ],
)
def test_a_list_of_drills_with_a_mistake_is_refused(store: dict[str, object], says: str) -> None:
    with pytest.raises(ShopError, match=says):
        drills.rack(store, "inch")


def test_sizes_that_make_no_sense_are_refused() -> None:
    with pytest.raises(ShopError, match="pin is"):
        drills.for_pin(RACKS["inch"], 0, 0)
    with pytest.raises(ShopError, match="clearance"):
        drills.for_pin(RACKS["inch"], 0.004, -0.001)
