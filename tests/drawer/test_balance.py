"""The balance calculator as it is declared, and the short way to write its parts."""

import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.drawer.balance import BALANCE
from workshop.drawer.declare import Given
from workshop.drawer.parts import Usual, read_part
from workshop.errors import ShopError

FOLDER = Path(__file__).parents[2] / "recipes" / "stores"
STORES = {
    name: tomllib.loads((FOLDER / f"{name}.toml").read_text(encoding="utf-8")) for name in ("metals", "woods")
}
MANY = ("guard", "spacers", "cap", "other")
WHOLE = {
    "blade": "0: 30 x 4, 87: 30 x 3.3, 130: 0 x 2 wedge",
    "tang": "95 x 16>10 x 4>2.5",
    "guard": "6 x 40 x 12 brass",
    "spacers": ("1 x 34 x 22 oval vulcanised-fibre", "3 x 34 x 22 oval copper"),
    "handle": "0: 28 x 20, 50: 32 x 24, 110: 27 x 19 oval black-walnut",
    "slot": "95 x 18 x 6",
    "cap": "5 x 27 x 19 oval brass",
    "other": ("8 g at -60 mm",),
}


def balance(**parts):
    values = {field.name: None for field in BALANCE.fields}
    values |= {"steel": "carbon-steel", "tang-hole": 0.003, "tang-holes": 3.0}
    for name, value in parts.items():
        field = name.replace("_", "-")
        values[field] = (value,) if field in MANY and isinstance(value, str) else value
    return BALANCE.work(Given(values, STORES))


def part(text, section="bar", material="carbon-steel"):
    return read_part(Given({}, STORES), text, "guard", Usual(section, material, "6 x 40 x 12 brass"))


def test_the_shop_case():
    # Common practice, by hand: (210·70 − 45·4 − 70·65)/325 = 30.68 mm.
    found = balance(blade="210 g at 70 mm", guard="45 g at -4 mm", handle="70 g at -65 mm").found
    assert 1000 * found["mass"] == pytest.approx(325)
    assert 1000 * found["balance"] == pytest.approx(30.68, abs=0.005)
    assert found["share blade"] == pytest.approx(210 / 325)


def test_a_whole_knife_by_hand():
    # Guard: 6 × 40 × 12 less the tang in it; tang 95 × 16>10 × 4>2.5, its first 6 mm 16>15.621 × 4>3.905.
    answer = balance(**WHOLE)
    tang = 95 * (16 * 4 + 16 * 2.5 / 2 + 10 * 4 / 2 + 10 * 2.5) / 3
    high, thick = 16 - 6 * 6 / 95, 4 - 1.5 * 6 / 95
    slot = 6 * (16 * 4 + 16 * thick / 2 + high * 4 / 2 + high * thick) / 3
    assert f"tang: {7.85e-3 * tang:.1f} g" in " ".join(answer.working)
    assert f"guard: {8.5e-3 * (6 * 40 * 12 - slot):.1f} g" in " ".join(answer.working)
    shares = [value for name, value in answer.found.items() if name.startswith("share ")]
    assert sum(shares) == pytest.approx(1)
    assert [name for name in answer.found if name.startswith("share s")] == [
        "share spacer 1",
        "share spacer 2",
    ]


def test_a_thicker_guard_moves_the_balance_as_said():
    first = balance(**WHOLE)
    second = balance(**{**WHOLE, "guard": "7 x 40 x 12 brass"})
    shift = float(second.found["balance"]) - float(first.found["balance"])
    assert first.found["guard-shift"] == pytest.approx(shift, abs=1e-12)


def test_a_drilled_tang_moves_the_balance_forward():
    answer = balance(**WHOLE)
    assert answer.found["drill-shift"] > 0
    assert any("3 holes of 3 mm" in line for line in answer.working)
    assert "drill-shift" not in balance(**WHOLE, tang_holes=0.0).found


def test_holes_that_do_not_fit_are_said_and_the_balance_still_given():
    answer = balance(**WHOLE, tang_hole=0.009)
    assert "drill-shift" not in answer.found
    assert any("too large for the tang" in line for line in answer.cautions)
    assert answer.found["balance"] == balance(**WHOLE).found["balance"]


@given(st.floats(1, 20), st.floats(1, 20))
def test_one_spacer_or_two_halves_of_it(first, second):
    two = (f"{first:.6f} x 34 x 22 copper", f"{second:.6f} x 34 x 22 copper")
    one = f"{round(first, 6) + round(second, 6):.6f} x 34 x 22 copper"
    split, whole = balance(**{**WHOLE, "spacers": two}), balance(**{**WHOLE, "spacers": one})
    assert split.found["balance"] == pytest.approx(whole.found["balance"], abs=1e-9)
    assert split.found["mass"] == pytest.approx(whole.found["mass"], rel=1e-9)


def test_inches_and_millimetres_give_the_same():
    inches = balance(blade="5 x 1.25>0.75 x 0.16>0.08 in", guard="1/4 in x 1 1/2 in x 1/2 in brass")
    metric = balance(blade="127 x 31.75>19.05 x 4.064>2.032", guard="6.35 x 38.1 x 12.7 brass")
    assert inches.found["balance"] == pytest.approx(metric.found["balance"], abs=1e-12)
    assert inches.found["mass"] == pytest.approx(metric.found["mass"], rel=1e-12)


def test_measurements_of_the_blade_fill_what_is_not_written():
    sizes = {"blade_length": 0.13, "blade_height": 0.03, "spine_thickness": 0.004, "tip_thickness": 0.002}
    sizes |= {"tang_length": 0.095, "tang_height_front": 0.016, "tang_thick_front": 0.004}
    sizes |= {"tang_height_end": 0.010, "tang_thick_end": 0.0025}
    sizes |= {"handle_length": 0.11, "handle_height": 0.03, "handle_width": 0.022, "wood": "black walnut"}
    answer = balance(**sizes)
    assert {"share blade", "share tang", "share handle"} <= set(answer.found)
    assert any("from the measurements" in line for line in answer.assumed)
    heavier = balance(**sizes, blade_mass=0.2)
    blade_and_tang = float(heavier.found["share blade"]) + float(heavier.found["share tang"])
    assert blade_and_tang * float(heavier.found["mass"]) == pytest.approx(0.2)


def test_a_measured_slot_is_the_same_as_a_written_one():
    parts = {name: value for name, value in WHOLE.items() if name != "slot"}
    measured = balance(**parts, slot_depth=0.095, slot_height=0.018, slot_width=0.006)
    assert measured.found == pytest.approx(balance(**WHOLE).found)


def test_a_weighed_blade_is_not_scaled_again():
    answer = balance(blade="210 g at 70 mm", blade_mass=0.25)
    assert answer.found["mass"] == pytest.approx(0.21)
    assert any("blade-mass is not used" in line for line in answer.cautions)


def test_hazards_of_what_is_used_are_shown():
    cautions = " ".join(balance(guard="6 x 40 x 12 brass", handle="110 x 30 x 22 cocobolo").cautions)
    assert "zinc fume" in cautions
    assert "sensitiser" in cautions


def test_a_weighed_guard_keeps_its_room():
    light = balance(guard="45 g long 8 mm", handle="100 x 30 x 20 bar of 1 g/cm3")
    # Guard 45 g at -4; handle 60 g at -58.
    assert 1000 * light.found["balance"] == pytest.approx((-45 * 4 - 60 * 58) / 105)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"slot": "70 x 18 x 6"}, "slot ends 15.0 mm before the tang"),
        ({"slot": "95 x 18 x 3"}, "tang is larger than the slot"),
        ({"slot": "95 x 40 x 6"}, "slot is larger than the handle"),
        ({"slot": "12 g at -60 mm"}, "slot is a hole"),
        ({"guard": "6 x 14 x 12 brass"}, "tang is larger than the guard"),
        ({"guard": "45 g"}, "say where it balances"),
        ({"guard": "6 x 40"}, "write for example 6 x 40 x 12 brass"),
        ({"guard": "6 x 40 x 12"}, "say what it is made of"),
        ({"guard": "6 x 40 x 12 unobtainium"}, "is not in the store"),
        ({"guard": "6 x 40 x 12 of 85 g/cm3"}, "no density of a solid"),
        ({"handle": "110 x 30 x 22 snakewood"}, "no density is known for snakewood"),
        ({"handle": "50: 32 x 24, 0: 28 x 20 brass"}, "do not follow each other"),
        ({"handle": "0: 32 x 24 brass, 50: 28 x 20"}, "station 1"),
        ({"handle": "0: 32 x 24 brass"}, "is not understood"),
        ({"other": "20 x 5 x 5 brass"}, "say where it starts"),
        ({"blade": "210 g long 130 mm"}, "say where it balances"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(change, says):
    with pytest.raises(ShopError, match=says):
        balance(**{**WHOLE, **change})


def test_nothing_given_is_refused():
    with pytest.raises(ShopError, match="weigh nothing"):
        balance()


@given(st.text(alphabet='0123456789.,:x>/ mingat-ofbrsk"×½', max_size=60))
def test_any_line_is_read_or_refused(text):
    try:
        read = part(text)
    except ShopError:
        return
    assert read.solid is not None or read.mass_kg is not None


@pytest.mark.parametrize("letter", ["1", " ", "x", "1 x ", "1:", "1 x 1 x ", "1>", ",", "½"])
def test_a_long_line_is_refused_at_once(letter):
    with pytest.raises(ShopError):
        part(letter * 200)


def test_stations_take_a_decimal_comma():
    stations = part("0: 28,5 x 20, 50: 32 x 24,5 brass").solid.stations
    assert [(each.height_m, each.thick_m) for each in stations] == [(0.032, 0.0245), (0.0285, 0.02)]


def test_the_figure_fits_the_pane():
    for answer in (balance(**WHOLE), balance(guard="6 x 40 x 12 brass", other="900 g at 300 mm")):
        assert 0 < len(answer.figure) <= 12
        assert max(map(len, answer.figure)) <= 60
        assert all(line.isascii() for line in answer.figure)
        assert any("^" in line for line in answer.figure)
    assert balance(blade="210 g at 70 mm").figure == ()


def test_declaration_is_whole():
    names = [field.name for field in BALANCE.fields]
    assert len(set(names)) == len(names)
    assert set(BALANCE.example.found) <= {result.name for result in BALANCE.results}


@pytest.mark.parametrize(
    "written", ["95 x 16 to 10 x 4 to 2.5 mm", "95 x 16to10 x 4 TO 2.5mm", "95x16>10x4 > 2.5"]
)
def test_a_taper_is_written_with_to_or_with_an_arrow(written):
    assert part(written).solid == part("95 x 16>10 x 4>2.5").solid


@pytest.mark.parametrize(
    "written", ["40 x 14 x 1/4 in brass", "6 x 400 x 12 mm", "2 m x 30 x 4", "0: 28 x 20, 5: 32 x 1 m"]
)
def test_a_bare_number_that_was_read_in_the_wrong_unit_is_refused(written):
    with pytest.raises(ShopError, match="more than a knife has"):
        part(written)


def test_each_size_may_have_a_unit_of_its_own():
    assert part("6 mm x 40 mm x 1/2 in brass").solid == part("6 x 40 x 12.7 brass").solid
