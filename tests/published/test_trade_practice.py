"""What makers do, through the calculators as a maker types into them.

Every fact of this file is common practice, no source; the numbers beside them are worked from it by hand.
None of them is the only check of its calculator: formulas and tables are checked in the files beside this.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime

import pytest

from workshop.drawer import registry, run
from workshop.shelf.shelf import Shelf

NOW = datetime(2026, 3, 2, 9, tzinfo=UTC).timestamp()
TANG = {"tang-height": "18 mm", "tang-thickness": "4 mm", "hole": "40 mm", "tang-length": "95 mm"}
Ask = Callable[..., run.Worked]


@pytest.fixture(scope="module")
def ask(tmp_path_factory: pytest.TempPathFactory) -> Ask:
    stores = Shelf(tmp_path_factory.mktemp("shelf"), registry.NAMES).store
    return lambda name, **typed: run.work_out(
        registry.calculator(name),
        {key.replace("_", "-"): text for key, text in typed.items()},
        stores,
        now=NOW,
    )


def value(worked: run.Worked, name: str) -> float | str:
    return next(row.value for row in worked.rows if row.name == name)


def said(worked: run.Worked) -> str:
    return " ".join((*worked.notices, *worked.answer.cautions, *worked.calculator.cautions))


@pytest.mark.parametrize("pin", ["1/16 in", "3/32 in", "1/8 in", "5/32 in", "3/16 in", "1/4 in", "5/16 in"])
def test_a_pin_wants_a_hole_several_thou_over_it_never_its_own_nominal_drill(ask: Ask, pin: str) -> None:
    worked = ask("pin-drill", pin=pin)
    assert value(worked, "drill") != pin
    assert 3 <= float(value(worked, "clearance")) <= 8.5


def test_a_bedded_tang_needs_little_glue_at_assembly(ask: Ask) -> None:
    sizes = {
        "tang_length": "90 mm", "tang_height_front": "14 mm", "tang_height_end": "14 mm",
        "tang_thick_front": "4 mm", "tang_thick_end": "4 mm",
    }  # fmt: skip
    loose = ask("slot-fill", slot_width="6.5 mm", slot_height="20 mm", slot_depth="95 mm", **sizes)
    bedded = ask("slot-fill", slot_width="4.2 mm", slot_height="14.2 mm", slot_depth="90.1 mm", **sizes)
    assert float(value(bedded, "void")) < 0.5  # a film of 0.1 mm: 4.2 × 14.2 × 90.1 − 4 × 14 × 90 = 334 mm³
    assert float(value(bedded, "mix")) < float(value(loose, "mix")) / 10
    assert "least batch" in said(bedded) or float(value(bedded, "least-batch")) > float(value(bedded, "mix"))


@pytest.mark.parametrize("fahrenheit", [1300, 1325, 1350])
def test_a_tang_is_softened_at_a_faint_glow_and_then_air(ask: Ask, fahrenheit: int) -> None:
    glow = ask("heat-colour", temperature=f"{fahrenheit} °F")
    assert "dull red" in str(value(glow, "colour")) or "dark red" in str(value(glow, "colour"))
    # Worth the heat: near the plain layer's Ac1, where one heat softens most; never near the hardening heat.
    plain = ask("critical", steel="1084")
    ac1_F = float(value(plain, "ac1-andrews")) * 1.8 + 32
    assert abs(fahrenheit - ac1_F) < 40


def test_practice_is_too_hot_for_a_nickel_bearing_layer_and_the_calculators_say_so(ask: Ask) -> None:
    layers = ask("critical", steel="75Ni8")
    assert float(value(layers, "ac1-andrews")) * 1.8 + 32 < 1300
    assert "Nickel lowers Ac1" in said(layers)
    assert "1300 to 1350 °F" in said(layers)
    tang = ask("tang-heat", **TANG, target="1325 °F", steel="1084 + 75Ni8")
    assert "75Ni8" in said(tang)
    assert "too hot for this layer" in said(tang)
    assert "too hot for this layer" not in said(ask("tang-heat", **TANG, target="600 °C"))


def test_hardening_heat_begins_a_little_over_1400_fahrenheit(ask: Ask) -> None:
    """Well over Ac1 by every formula that holds, for the steels of a layered blade."""
    for steel in ("1075", "1084", "1095", "75Ni8"):
        found = {row.name: row.value for row in ask("critical", steel=steel).rows}
        for formula in ("ac1-andrews", "ac1-grange"):
            assert 10 < 1400 - (float(found[formula]) * 1.8 + 32) < 150


def test_quick_heat_from_a_large_torch_creeps_less_than_slow_heat_from_a_small_one(ask: Ask) -> None:
    peaks = [
        float(value(ask("tang-heat", **TANG, time_to_heat=time), "peak"))
        for time in ("6 s", "20 s", "90 s", "5 min")
    ]
    assert peaks == sorted(peaks)
    assert peaks[-1] > peaks[0] + 50


def test_blades_are_sanded_to_at_least_1000_grit_before_the_etch_and_more_layers_need_less(ask: Ask) -> None:
    worked = ask("grits", **{"from": "P220", "to": "P1000"})
    assert str(value(worked, f"run {int(float(value(worked, 'papers')))}")).startswith("P1000 (18.3 µm)")
    said_so = [source for source in worked.calculator.sources if "1000 grit" in source.text]
    assert [(one.standing, "more layers need less" in one.text) for one in said_so] == [
        ("common practice", True)
    ]


def test_a_medium_adhesive_is_pulled_about_two_hours_after_mixing(ask: Ask) -> None:
    worked = ask("cure", store="medium", air="22 °C", mixed_at="2026-03-02 09:00")
    opens, shuts = (float(value(worked, f"{end}-after pull")) for end in ("opens", "shuts"))
    assert opens <= 120 <= shuts


def test_peening_is_by_about_a_pin_and_a_half_for_a_full_head(ask: Ask) -> None:
    # Full head of 1.5 d by 0.667 d, the pin snug in its hole: 1.5 d stands out (by hand, 1.5² × 0.667).
    worked = ask("pin-head", pin="3 mm", grip="20 mm", head="4.5 mm", rise="2 mm", form="flat")
    assert float(value(worked, "in-pin-diameters")) == pytest.approx(1.5, abs=0.01)
