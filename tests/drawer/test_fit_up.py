"""Pins, glue, cure and layout through the drawer: as typed, to the answer as data."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.drawer import registry, run
from workshop.drawer.declare import Calculator
from workshop.errors import ShopError

STORES = Path(__file__).parents[2] / "recipes" / "stores"
NAMES = (
    "pin-drill", "pin-head", "slot-fill", "mix-split", "cure", "arc", "taper", "octagon", "square-up", "wall",
)  # fmt: skip
ALL = {name: registry.calculator(name) for name in NAMES}
NOON = datetime(2026, 1, 31, 12, 0, tzinfo=UTC).timestamp()
READ: dict[str, Mapping[str, Any]] = {}


def stores(name: str) -> Mapping[str, Any]:
    if name not in READ:
        READ[name] = tomllib.loads((STORES / f"{name}.toml").read_text("utf-8"))
    return READ[name]


def ask(name: str, now: float = NOON, **typed: str) -> run.Worked:
    return run.work_out(
        ALL[name], {key.replace("_", "-"): text for key, text in typed.items()}, stores, now=now
    )


def found(name: str, **typed: str) -> dict[str, Any]:
    return {row.name: row.value for row in ask(name, **typed).rows}


@pytest.mark.parametrize("calculator", ALL.values(), ids=list(ALL))
def test_worked_example(calculator: Calculator) -> None:
    worked = run.work_out(calculator, calculator.example.given, stores, now=NOON)
    values = {row.name: row.value for row in worked.rows}
    for name, expected in calculator.example.found.items():
        if isinstance(expected, str):
            assert values[name] == expected
        else:
            assert values[name] == pytest.approx(expected, abs=calculator.example.within)


@pytest.mark.parametrize("calculator", ALL.values(), ids=list(ALL))
def test_declaration_is_whole(calculator: Calculator) -> None:
    worked = run.work_out(calculator, calculator.example.given, stores, now=NOON)
    assert worked.answer.working, "the formula with its numbers is shown"
    assert calculator.sources
    assert calculator.valid
    assert len(worked.answer.figure) <= 12
    assert all(len(line) <= 60 for line in worked.answer.figure)
    assert {one.name for one in calculator.fields} >= set(calculator.example.given)
    for source in calculator.sources:
        assert source.standing in ("published", "secondary", "common practice", "computed", "from memory")
    # Something that does not rest on memory stands behind every one of them.
    assert any(source.standing != "from memory" for source in calculator.sources)


def test_the_pin_drill_of_the_shop() -> None:
    values = found("pin-drill", pin="5/32in", clearance="0.003in")
    assert (values["drill"], values["hole"]) == ("#20", pytest.approx(0.161))
    assert values["under"] == "#21, 0.159 in (+2.75 thou)"
    assert values["over"] == "#19, 0.166 in (+9.75 thou)"
    assert values["tang-hole"] == "0.1953 to 0.2344 in (drills #9 to 15/64 in)"
    worked = ask("pin-drill", pin="5/32in", clearance="0.003in")
    assert not worked.answer.cautions, "4.75 thou is near enough to the 3 that were asked"
    assert worked.answer.working[1] == "clearance = 0.161 − 0.15625 = +4.75 thou (+0.121 mm)"


def test_a_tight_neighbour_shows_its_minus() -> None:
    # A 3/16 pin: #13 is .185, under the pin by 2.5 thou.
    values = found("pin-drill", pin="0.1875 in", clearance="0 in")
    assert values["drill"] == "3/16 in"
    assert values["under-clearance"] == pytest.approx(-2.5)
    assert "(-2.50 thou)" in values["under"]


def test_metric_drills_speak_millimetres() -> None:
    values = found("pin-drill", pin="4 mm", clearance="0.05 mm", set="metric")
    assert (values["drill"], values["under"], values["over"]) == (
        "4.1 mm",
        "4 mm (+0.000 mm)",
        "4.2 mm (+0.200 mm)",
    )
    assert values["tang-hole"] == "5.00 to 6.00 mm (drills 5 mm to 6 mm)"


def test_a_pin_may_be_named_like_a_drill() -> None:
    by_name, by_size = found("pin-drill", pin="#30"), found("pin-drill", pin="0.1285 in")
    assert by_name == by_size
    assert found("pin-head", pin="1/8", hole="#30", grip="1/4 in")["stick-out"] == pytest.approx(
        found("pin-head", pin="0.125 in", hole="0.1285 in", grip="6.35 mm")["stick-out"]
    )


def test_a_gap_in_the_drills_is_said() -> None:
    # From 0.110 to 0.1285 in the numbers leap: #31 is .120, #30 .1285.
    worked = ask("pin-drill", pin="0.1175 in", clearance="0.003 in", set="inch")
    assert worked.rows[0].value == "1/8 in"
    assert any("gap" in line for line in worked.answer.cautions)


@given(st.floats(0.5, 20), st.floats(0, 0.5))
def test_units_do_not_change_a_drill(pin_mm: float, gap_mm: float) -> None:
    pin_mm, gap_mm = round(pin_mm, 3), round(gap_mm, 3)  # the same size in both, to the last digit typed
    metric = found("pin-drill", pin=f"{pin_mm:.6f} mm", clearance=f"{gap_mm:.6f} mm", set="all")
    inch = found(
        "pin-drill", pin=f"{pin_mm / 25.4:.12f} in", clearance=f"{gap_mm / 0.0254:.12f} thou", set="all"
    )
    assert metric["hole"] == pytest.approx(inch["hole"])
    assert metric["clearance"] == pytest.approx(inch["clearance"], abs=1e-4)


@given(st.floats(10, 30), st.floats(2, 6), st.floats(40, 120))
def test_units_do_not_change_a_filling(height_mm: float, thick_mm: float, long_mm: float) -> None:
    def fill(scale: float, unit: str) -> dict[str, Any]:
        sizes = {
            "slot-width": thick_mm + 1, "slot-height": height_mm + 1, "slot-depth": long_mm + 5,
            "tang-length": long_mm, "tang-height-front": height_mm, "tang-height-end": height_mm / 2,
            "tang-thick-front": thick_mm, "tang-thick-end": thick_mm / 2,
        }  # fmt: skip
        typed = {name: f"{size / scale:.12f} {unit}" for name, size in sizes.items()}
        worked = run.work_out(ALL["slot-fill"], typed, stores)
        return {row.name: row.value for row in worked.rows}

    metric, inch = fill(1, "mm"), fill(25.4, "in")
    for name in ("void", "mix", "resin", "hardener"):
        assert metric[name] == pytest.approx(inch[name], rel=1e-6)


def test_heads_take_their_usual_sizes_and_say_so() -> None:
    worked = ask("pin-head", pin="4 mm", grip="20 mm")
    assert {row.name: row.value for row in worked.rows}["stick-out"] == pytest.approx(2.583, abs=0.001)
    assert [line.split(" is ")[0] for line in worked.answer.assumed] == ["head", "rise", "hole"]
    assert not worked.answer.cautions
    odd = ask("pin-head", pin="4 mm", grip="20 mm", head="8 mm", rise="3 mm")
    assert [line.split(" is ")[0] for line in odd.answer.cautions] == ["head", "rise"]


def test_an_unused_rise_is_said() -> None:
    worked = ask("pin-head", pin="4 mm", grip="20 mm", form="countersunk", rise="1 mm")
    assert any("rise is not used" in line for line in worked.answer.cautions)
    plain = ask("pin-head", pin="4 mm", grip="20 mm", form="countersunk")
    assert [line.split(" is ")[0] for line in plain.answer.assumed] == ["head", "hole"]
    assert not plain.answer.cautions


TANG = {
    "tang_length": "90 mm", "tang_height_front": "13.5 mm", "tang_height_end": "13.5 mm",
    "tang_thick_front": "4 mm", "tang_thick_end": "4 mm", "slot_depth": "95 mm",
}  # fmt: skip


def test_a_row_of_holes_by_its_true_area() -> None:
    # By hand: 5 holes of 5 mm at 3 mm are 75.810010 mm² (worked with another program), 95 mm deep
    # 7.20195 ml, less 4.86.
    values = found("slot-fill", holes="5", hole="5 mm", pitch="3 mm", **TANG)
    assert values["void"] == pytest.approx(75.810010 * 95 / 1000 - 4.86, abs=1e-5)
    both = ask(
        "slot-fill", holes="5", hole="5 mm", pitch="3 mm", slot_width="6 mm", slot_height="20 mm", **TANG
    )
    assert {row.name: row.value for row in both.rows}["void"] == values["void"]
    assert any("not used" in line for line in both.answer.assumed)


def test_ratio_and_densities_come_from_the_store_unless_given() -> None:
    stored = ask("slot-fill", slot_width="6.5 mm", slot_height="20 mm", **TANG)
    entry = next(one for one in stores("adhesives")["adhesive"] if one["id"] == "slow")
    assert any(entry["ratio"] in line and entry["title"] in line for line in stored.answer.assumed)
    label = {"ratio": "100:27 by weight", "density_resin": "1.16 g/ml", "density_hardener": "0.98 g/ml"}
    own = ask("slot-fill", slot_width="6.5 mm", slot_height="20 mm", **label, **TANG)
    values = {row.name: row.value for row in own.rows}
    assert values["resin"] / values["hardener"] == pytest.approx(100 / 27)
    assert not any(entry["title"] in line for line in own.answer.assumed)


def test_volume_ratio_goes_by_density() -> None:
    # By hand: 2:1 by volume at 1.15 and 1.00 g/ml is 2.30 : 1 by weight.
    values = found(
        "mix-split",
        mix="33 g",
        ratio="2:1",
        ratio_by="volume",
        density_resin="1.15 g/ml",
        density_hardener="1 g/ml",
    )
    assert (values["resin"], values["hardener"]) == (pytest.approx(23.0), pytest.approx(10.0))
    assert values["resin-volume"] / values["hardener-volume"] == pytest.approx(2)


def test_one_hole_needs_no_pitch() -> None:
    values = found("slot-fill", holes="1", hole="15 mm", **TANG)
    assert values["void"] == pytest.approx(3.14159265 * 7.5**2 * 95 / 1000 - 4.86, abs=1e-5)


def test_the_working_can_be_followed_at_the_bench() -> None:
    # By hand: see the examples; 9.36 ml is 7.49 ml and a quarter more.
    worked = run.work_out(ALL["slot-fill"], ALL["slot-fill"].example.given, stores)
    assert worked.answer.working == (
        "slot = 130.00 mm² × 95 mm = 12.35 ml",
        "tang = L(A₀ + 4Aₘ + A₁)/6 over 90 mm (3.54 in) = 4.86 ml",
        "mix = (12.35 − 4.86) ml × (1 + 25 %) × 1.150 g/ml = 10.77 g",
        "resin : hardener by weight (volumes times densities) = 2.000 : 1",
        "hardener = 10.77 g / (1 + 2.000) = 3.59 g; the rest, 7.18 g, is resin",
    )
    assert {row.name: row.value for row in worked.rows}["mix-volume"] == pytest.approx(9.3625)


def test_a_batch_too_small_or_too_large_is_said() -> None:
    def said(mix: str) -> list[str]:
        worked = ask("mix-split", mix=mix, ratio="10:1", ratio_by="weight", scale_step="0.1 g")
        return [line.split(" ")[0] for line in worked.answer.cautions]

    # By hand: 20.7167 g keeps 10:1 within 3 %; 0.5 g holds 0.045 g of hardener, under half a step.
    assert said("20.72 g") == []
    assert said("20.71 g") == ["The"]
    assert said("0.5 g") == ["A"]
    assert said("30 g") == []
    assert said("30.1 g") == ["More"]


def test_a_full_slot_asks_for_the_film_only() -> None:
    worked = ask("slot-fill", slot_width="4 mm", slot_height="13.5 mm", **(TANG | {"slot_depth": "90 mm"}))
    values = {row.name: row.value for row in worked.rows}
    assert (values["void"], values["mix"]) == (0, 0)
    assert "resin" not in values
    assert any("film" in line for line in worked.answer.cautions)


def test_arcs_from_any_two() -> None:
    by_rise = found("arc", chord="50 mm", rise="10 mm")
    assert by_rise["radius"] == pytest.approx(36.25)
    by_radius = found("arc", chord="50 mm", radius="36.25 mm")
    assert by_radius["rise"] == pytest.approx(10)
    assert found("arc", rise="10 mm", radius="36.25 mm")["chord"] == pytest.approx(50)
    assert by_radius["arc-length"] == pytest.approx(by_rise["arc-length"])


def test_arcs_that_no_wheel_cuts() -> None:
    assert any("half circle" in line for line in ask("arc", chord="20 mm", rise="15 mm").answer.cautions)
    assert not ask("arc", chord="20 mm", rise="9 mm").answer.cautions
    worked = ask("arc", chord="50 mm", rise="10 mm", wheels="20 mm; 40 mm")
    assert any("None of the wheels" in line for line in worked.answer.cautions)
    assert "wheel" not in {row.name for row in worked.rows}


def test_thin_walls_are_said() -> None:
    thin = ask("wall", handle_width="12 mm", handle_height="24 mm", slot_width="6 mm", slot_height="14 mm")
    assert any("3 mm" in line for line in thin.answer.cautions)
    left = found(
        "wall",
        handle_width="20 mm",
        handle_height="28 mm",
        slot_width="6 mm",
        slot_height="14 mm",
        offset="-1 mm",
    )
    assert left["left"] < left["right"]


SLOT = {"slot_width": "5 mm", "slot_height": "20 mm"}
WALL = {"handle_width": "20 mm", "handle_height": "28 mm", "slot_width": "6 mm", "slot_height": "14 mm"}


@pytest.mark.parametrize(
    ("name", "typed", "says"),
    [
        ("pin-drill", {}, "needs pin"),
        ("pin-drill", {"pin": "wide"}, "pin"),
        ("pin-drill", {"pin": "#99"}, "pin"),
        ("pin-drill", {"pin": "-4 mm"}, "pin"),
        ("pin-drill", {"pin": "4 mm", "clearance": "-1 thou"}, "clearance"),
        ("pin-drill", {"pin": "4 mm", "clearance": "lots"}, "clearance"),
        ("pin-drill", {"pin": "4 mm", "set": "whitworth"}, "set"),
        ("pin-drill", {"pin": "25 mm", "clearance": "2 mm", "set": "metric"}, "largest is 25 mm"),
        ("pin-head", {"pin": "4 mm"}, "needs grip"),
        ("pin-head", {"pin": "4 mm", "grip": "20 g"}, "grip"),
        ("pin-head", {"pin": "4 mm", "grip": "20 mm", "head": "3 mm"}, "not wider"),
        ("pin-head", {"pin": "4 mm", "grip": "20 mm", "hole": "3.9 mm"}, "smaller than pin"),
        ("pin-head", {"pin": "4 mm", "grip": "20 mm", "rise": "4 mm"}, "undercut"),
        ("pin-head", {"pin": "4 mm", "grip": "20 mm", "form": "square"}, "form"),
        ("slot-fill", {**TANG}, "slot is not known"),
        ("slot-fill", {**TANG, "slot_width": "5 mm"}, "slot is not known"),
        ("slot-fill", {**TANG, "slot_width": "3 mm", "slot_height": "20 mm"}, "slot-width"),
        ("slot-fill", {**TANG, "slot_width": "5 mm", "slot_height": "12 mm"}, "slot-height"),
        ("slot-fill", {**TANG, **SLOT, "slot_depth": "8 mm"}, "slot-depth"),
        ("slot-fill", {**TANG, "holes": "3"}, "needs all three"),
        ("slot-fill", {**TANG, "holes": "3", "hole": "6 mm"}, "needs all three"),
        ("slot-fill", {**TANG, "hole": "6 mm", "pitch": "3 mm"}, "needs all three"),
        ("slot-fill", {**TANG, "holes": "2.5", "hole": "6 mm", "pitch": "3 mm"}, "holes"),
        ("slot-fill", {**TANG, "holes": "3", "hole": "6 mm", "pitch": "6 mm"}, "do not meet"),
        ("slot-fill", {**TANG, **SLOT, "store": "honey"}, "no "
        "adhesive"),
        ("slot-fill", {**TANG, **SLOT, "extra": "-5 %"}, "extra"),
        ("slot-fill", {**TANG, **SLOT, "ratio": "2:0"}, "ratio"),
        ("mix-split", {"mix": "0 g"}, "mix"),
        ("mix-split", {"mix": "10 g", "scale_step": "0 g"}, "scale-step"),
        ("mix-split", {"mix": "10 g", "density_resin": "0 g/ml"}, "density-resin"),
        ("mix-split", {"mix": "10 g", "ratio_by": "feel"}, "ratio-by"),
        ("cure", {}, "needs air"),
        ("cure", {"air": "cold"}, "air"),
        ("cure", {"air": "1 h 20 °C"}, "from 0 h"),
        ("cure", {"air": "20 °C; 10 °C"}, "from when"),
        ("cure", {"air": "20 °C; 6 h 10 °C; 5 h 9 °C"}, "must rise"),
        ("cure", {"air": "20 °C;"}, "air"),
        ("cure", {"air": "45 °C"}, "ceiling"),
        ("cure", {"air": "; ".join(["20 °C"] * 400)}, "too long"),
        ("cure", {"air": "20 °C", "mixed_at": "half past"}, "mixed-at"),
        ("cure", {"air": "20 °C", "mixed_at": "25:00"}, "mixed-at"),
        ("cure", {"air": "20 °C", "mixed_at": "9999-12-31 23:00"}, "mixed-at"),
        ("cure", {"air": "20 °C", "store": "honey"}, "there are: "),
        ("arc", {"chord": "20 mm"}, "exactly two"),
        ("arc", {"chord": "20 mm", "rise": "2 mm", "radius": "30 mm"}, "exactly two"),
        ("arc", {"chord": "20 mm", "radius": "9 mm"}, "longest"),
        ("arc", {"rise": "20 mm", "radius": "9 mm"}, "less than its diameter"),
        ("arc", {"chord": "20 mm", "rise": "2 mm", "wheels": "30; big"}, "wheels"),
        ("taper", {"front": "20 mm", "end": "0 mm", "length": "100 mm"}, "end"),
        ("taper", {"front": "20 mm", "end": "10 mm", "length": "100 mm", "step": "0.5 mm"}, "larger step"),
        ("octagon", {"width": "20 mm", "height": "0 mm"}, "height"),
        ("square-up", {"width": "40 mm", "length": "120 mm"}, "one of out"),
        ("square-up", {"width": "40 mm", "length": "120 mm", "out": "1 mm", "angle": "1 deg"}, "one of out"),
        ("square-up", {"width": "40 mm", "length": "120 mm", "out": "41 mm"}, "45"),
        ("wall", {**WALL, "offset": "9 mm"}, "breaks out"),
        ("wall", {**WALL, "slot_width": "19 mm"}, "breaks out"),
        ("wall", {**WALL, "form": "heart"}, "form"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_in_a_sentence(name: str, typed: dict[str, str], says: str) -> None:
    with pytest.raises(ShopError) as refusal:
        ask(name, **typed)
    sentence = str(refusal.value)
    assert says in sentence
    assert "\n" not in sentence
    assert len(sentence) < 400


@pytest.mark.parametrize(
    ("name", "typed"),
    [
        ("pin-head", {"pin": "4 mm", "grip": "20 mm", "head": "9999999"}),
        ("pin-head", {"pin": "4 mm", "grip": "20 mm", "rise": "9 m"}),
        ("pin-head", {"pin": "4 mm", "grip": "20 mm", "hole": "4 m"}),
        ("slot-fill", {**TANG, **SLOT, "slot_width": "20 m"}),
        ("slot-fill", {**TANG, "holes": "3", "hole": "8 m", "pitch": "6 mm"}),
        ("slot-fill", {**TANG, "holes": "3", "hole": "8 mm", "pitch": "6 m"}),
    ],
)
def test_a_size_no_knife_has_is_refused(name: str, typed: dict[str, str]) -> None:
    with pytest.raises(ShopError, match="more than can be"):
        ask(name, **typed)
