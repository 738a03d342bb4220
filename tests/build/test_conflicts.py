"""Work that must not overlap, said when a step is about to start."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from workshop.build import changes
from workshop.build.blade import Blade
from workshop.build.conflicts import conflicts
from workshop.build.route import ClockPlan, MarkPlan, Phase, Route, Step

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
OIL = ClockPlan(
    "oil",
    "oil coat",
    "plain",
    marks=(MarkPlan("wipe", "wipe off", 600, 1800, harm=3), MarkPlan("recoat", "recoat", 86400)),
    minds=("dust",),
    minds_until="recoat",
)
GLUE = ClockPlan(
    "glue",
    "glue-up",
    "plain",
    marks=(
        MarkPlan("pot-life", "pot life ends", 2700, 5400, harm=3),
        MarkPlan("pull", "pull", 25200, harm=2),
    ),
    minds=("hammering",),
    minds_until="pull",
)
STEPS = (
    Step("A1", "A", "Grind", "", makes=("dust", "loud"), hands_on_s=(1800, 3600)),
    Step("A2", "A", "Peen", "", makes=("hammering",), hands_on_s=(600,)),
    Step("A3", "A", "Draw", "", hands_on_s=(3600,)),
    Step("B1", "A", "Oil", "", clocks=(OIL,)),
    Step("B2", "A", "Glue", "", makes=("pot life",), clocks=(GLUE,), hands_full=True),
    Step("B3", "A", "Assemble", "", before=("B2",), makes=("pot life",), hands_full=True),
)
ROUTE = Route("r", "R", "", "", (), (Phase("A", "All"),), STEPS)


def blade(name: str) -> Blade:
    return Blade(name.lower(), name, ROUTE, "kept", NOW, {})


def running(name: str, step: str, clock: str) -> Blade:
    return changes.start_clock(changes.start_step(blade(name), step, NOW), step, clock, NOW)


def said(others: list[Blade], step: str, minutes: int) -> list[str]:
    heron = blade("Heron")
    at = NOW + timedelta(minutes=minutes)
    return conflicts([heron, *others], heron, ROUTE.by_id[step], at)


def test_dust_is_kept_from_wet_oil_until_it_may_be_recoated() -> None:
    oiled = running("Wren", "B1", "oil")
    assert any("makes dust; Wren, oil coat" in line for line in said([oiled], "A1", 60))
    assert not said([oiled], "A1", 25 * 60)
    assert not said([oiled], "A2", 60)


def test_nobody_hammers_beside_a_joint_that_sets() -> None:
    glued = running("Wren", "B2", "glue")
    assert any("makes hammering" in line for line in said([glued], "A2", 120))
    assert not any("makes hammering" in line for line in said([glued], "A2", 8 * 60))


def test_loud_work_is_not_begun_over_a_hard_mark() -> None:
    oiled = running("Wren", "B1", "oil")
    (first, *_) = said([oiled], "A1", 2)
    assert "wipe off opens" in first
    assert "nobody hears" in first
    assert not any("nobody hears" in line for line in said([oiled], "A1", 45))


def test_quiet_work_with_a_free_hand_is_no_clash() -> None:
    assert not said([running("Wren", "B1", "oil")], "A3", 2)


def test_never_two_pot_lives_at_once() -> None:
    glued = running("Wren", "B2", "glue")
    assert any("never two" in line for line in said([glued], "B2", 20))
    assert not any("never two" in line and "pot life until" in line for line in said([glued], "B2", 100))


def test_what_is_in_hand_elsewhere_counts_for_what_this_step_minds() -> None:
    grinding = changes.start_step(blade("Wren"), "A1", NOW)
    assert any("is in hand and makes dust; Oil minds it" in line for line in said([grinding], "B1", 5))


def test_an_answered_mark_and_a_stopped_clock_clash_with_nothing() -> None:
    oiled = running("Wren", "B1", "oil")
    stopped = changes.stop_clock(oiled, "oil-1", NOW)
    assert not said([stopped], "A1", 2)
    answered = replace(
        oiled,
        clocks={
            key: replace(one, marks=tuple(replace(mark, acknowledged=NOW) for mark in one.marks), minds=())
            for key, one in oiled.clocks.items()
        },
    )
    assert not said([answered], "A1", 2)


def test_putting_together_what_was_just_mixed_is_no_second_pot_life() -> None:
    heron = running("Heron", "B2", "glue")
    at = NOW + timedelta(minutes=5)
    assert not conflicts([heron], heron, ROUTE.by_id["B3"], at)
    wren = running("Wren", "B2", "glue")
    assert any("never two" in line for line in conflicts([heron, wren], heron, ROUTE.by_id["B3"], at))


def test_its_own_clock_is_no_clash_with_itself() -> None:
    heron = running("Heron", "B1", "oil")
    assert not conflicts([heron], heron, ROUTE.by_id["B1"], NOW + timedelta(minutes=5))


@pytest.mark.parametrize("step", ["A1", "B2"])
def test_the_gravest_comes_first(step: str) -> None:
    others = [running("Wren", "B1", "oil"), running("Dipper", "B2", "glue")]
    lines = said(others, step, 2)
    hard = [("opens" in line or "shuts" in line or "never two" in line) for line in lines]
    assert hard == sorted(hard, reverse=True)
