"""The calculators of wood, air, handle section and balance as a maker types them."""

import tomllib
from pathlib import Path

import pytest

from workshop.drawer.air import DEW_POINT
from workshop.drawer.balance import BALANCE
from workshop.drawer.handle import HANDLE_SECTION
from workshop.drawer.run import Taken, taken_from, work_out
from workshop.drawer.wood import WOOD_MOISTURE, WOOD_SWING
from workshop.errors import ShopError

FOLDER = Path(__file__).parents[2] / "recipes" / "stores"
ALL = (WOOD_MOISTURE, WOOD_SWING, DEW_POINT, HANDLE_SECTION, BALANCE)


def stores(name):
    return tomllib.loads((FOLDER / f"{name}.toml").read_text(encoding="utf-8"))


def found(calculator, **typed):
    worked = work_out(calculator, {name.replace("_", "-"): text for name, text in typed.items()}, stores)
    return worked.data()["found"]


@pytest.mark.parametrize("calculator", ALL, ids=lambda each: each.name)
def test_the_worked_example(calculator):
    data = work_out(calculator, dict(calculator.example.given), stores).data()
    for name, value in calculator.example.found.items():
        assert data["found"][name]["value"] == pytest.approx(value, abs=calculator.example.within), name


@pytest.mark.parametrize(
    ("calculator", "one", "other"),
    [
        (WOOD_MOISTURE, {"air": "68 F", "humidity": "50"}, {"air": "20 °C", "humidity": "50 %"}),
        (WOOD_SWING, {"species": "walnut", "width": "1 1/4 in"}, {"species": "walnut", "width": "31.75"}),
        (DEW_POINT, {"air": "77 F", "humidity": "60"}, {"air": "25 °C", "humidity": "60 %"}),
        (
            HANDLE_SECTION,
            {"height": "1.25 in", "width": "1 in", "palm": "3 1/2 in"},
            {"height": "31.75", "width": "25.4 mm", "palm": "8.89 cm"},
        ),
        (BALANCE, {"guard": "1/4 in x 1 1/2 in x 1/2 in brass"}, {"guard": "6.35 x 38.1 x 12.7 brass"}),
    ],
)
def test_units_do_not_change_an_answer(calculator, one, other):
    first, second = found(calculator, **one), found(calculator, **other)
    assert first.keys() == second.keys()
    for name, row in first.items():
        if isinstance(row["value"], str):
            assert row == second[name]
        else:
            assert row["value"] == pytest.approx(second[name]["value"], rel=1e-9, abs=1e-9), name


@pytest.mark.parametrize(
    ("calculator", "typed", "says"),
    [
        (WOOD_MOISTURE, {}, "needs humidity"),
        (WOOD_MOISTURE, {"humidity": "110 %"}, "humidity"),
        (WOOD_MOISTURE, {"humidity": "50", "air": "-20 C"}, "air"),
        (WOOD_SWING, {"species": "walnut"}, "needs width"),
        (WOOD_SWING, {"species": "walnut", "width": "0"}, "width"),
        (WOOD_SWING, {"species": "walnut", "width": "30", "grain": "end"}, "tangential, radial"),
        (WOOD_SWING, {"coefficient": "0.27", "width": "30"}, "coefficient"),
        (WOOD_SWING, {"species": "walnut", "width": "30", "stabilised": "maybe"}, "no, yes"),
        (DEW_POINT, {"air": "20"}, "needs humidity"),
        (DEW_POINT, {"air": "20", "humidity": "0"}, "humidity"),
        (DEW_POINT, {"air": "20", "humidity": "50", "steel": "hot"}, "steel"),
        (HANDLE_SECTION, {"height": "30"}, "needs width"),
        (HANDLE_SECTION, {"height": "30", "width": "20", "form": "round"}, "ellipse, egg"),
        (
            HANDLE_SECTION,
            {"height": "30", "width": "20", "form": "rectangle", "radius": "11"},
            "radius is 11 mm",
        ),
        (HANDLE_SECTION, {"height": "30", "width": "20", "widest": "99 %", "form": "egg"}, "widest"),
        (HANDLE_SECTION, {"height": "30", "width": "20", "palm": "5 m"}, "palm"),
        (BALANCE, {"guard": "six by four"}, "guard"),
        (BALANCE, {"guard": "45 g at -4 mm", "tang-holes": "2.5"}, "tang-holes"),
    ],
)
def test_a_bad_entry_is_refused_by_its_name(calculator, typed, says):
    with pytest.raises(ShopError, match=says):
        work_out(calculator, typed, stores)


def test_swing_stays_quiet_inside_the_table_and_speaks_outside_it():
    usual = {"species": "walnut", "width": "30 mm"}
    assert work_out(WOOD_SWING, usual, stores).notices == ()
    notices = work_out(WOOD_SWING, {**usual, "humidity-high": "98 %"}, stores).notices
    assert any("humidity-high" in line for line in notices)


def test_the_blade_fills_what_is_not_typed():
    blade = {"handle-width": "24 mm", "wood": "sugar maple", "humidity": "45 %", "air": "18 °C"}
    taken = taken_from(WOOD_SWING, blade)
    assert {name: each.text for name, each in taken.items()} == {
        "species": "sugar maple",
        "width": "24 mm",
        "humidity-made": "45 %",
        "air": "18 °C",
    }
    assert taken["width"] == Taken("24 mm", "handle-width")
    assert work_out(WOOD_SWING, {}, stores, taken=taken).data()["found"]["swing"]["value"] > 0
