"""A run with the hands full: started at first contact, stamped, ended with a line, rehearsed dry."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from workshop.build import changes, moves
from workshop.build.blade import Blade, State
from workshop.build.clock import StoreEntry
from workshop.build.route import ClockPlan, Entry, MarkPlan, MovePlan, Phase, Route, Step
from workshop.errors import ShopError

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
SLOW = StoreEntry(
    "adhesives",
    "slow",
    "Slow",
    (
        MarkPlan("pot-life", "pot life ends", 2700, 5400, harm=3),
        MarkPlan("pull", "pull", 25200, 36000, harm=3),
    ),
    295.15,
    285.15,
    313.15,
    activation_J_per_mol=52e3,
)
GLUE = ClockPlan("glue", "glue-up", "adhesive", "adhesives/slow")
BED = ClockPlan("bed", "bedding", "adhesive", "adhesives/slow", ends="pull")
MOVES = (MovePlan("fill", 600, True), MovePlan("close", 1200, True), MovePlan("clamp"))
STEPS = (
    Step("K3", "K", "Mix", "", clocks=(GLUE,), hands_full=True),
    Step("K4", "K", "Assemble", "", before=("K3",), moves=MOVES, hands_full=True),
    Step("H7", "K", "Bed", "", moves=MOVES, clocks=(BED,), hands_full=True),
    Step("E3", "K", "Quench", "", moves=(MovePlan("in", 2), MovePlan("out", 12)), hands_full=True),
    Step(
        "E4",
        "K",
        "Dip",
        "",
        moves=(MovePlan("in"), MovePlan("move"), MovePlan("out", writes="count", since=1)),
        clocks=(ClockPlan("oil", "in the oil", "count", fills="count"),),
        records=(Entry("count", "Count", "time", "s"),),
    ),
    Step("A1", "K", "Talk", ""),
)
BLADE = Blade("heron", "Heron", Route("r", "R", "", "", (), (Phase("K", "All"),), STEPS), "kept", NOW, {})
WARM, COLD = 295.15, 285.15


def at(minutes: float) -> datetime:
    return NOW + minutes * MINUTE


def test_one_key_at_first_contact_starts_the_run_and_its_clock() -> None:
    blade = changes.start_step(BLADE, "H7", at(-5))
    blade = moves.start_run(blade, "H7", NOW, plan_id="bed", entry=SLOW, air_K=WARM)
    run = moves.running_run(blade, "H7")
    assert run is not None
    assert blade.clocks["bed-1"].started == run.started == NOW
    assert run.clock == "bed-1"
    assert blade.progress("H7").state is State.RESTING
    assert moves.pot_life_left_s(blade, run, at(10)) == 35 * 60
    back = changes.take_back(blade, at(1))
    assert not back.runs
    assert not back.clocks


def test_each_stamp_goes_on_to_the_next_move_and_the_last_one_is_the_end() -> None:
    blade = moves.start_run(BLADE, "E3", NOW)
    run_id = next(iter(blade.runs))
    for seconds in (1.5, 8.2, 20):
        blade = moves.stamp_move(blade, run_id, NOW + timedelta(seconds=seconds))
    run = blade.runs[run_id]
    assert [says for says, _ in run.stamps] == ["in", "out"]
    assert [one.done for one in moves.moves(blade, run)] == [at(0.025), NOW + timedelta(seconds=8.2)]
    ended = moves.end_run(blade, run_id, at(3), "no tink")
    assert ended.runs[run_id].took_s(at(9)) == pytest.approx(8.2)
    assert "no tink" in ended.log[-1].says
    noted = moves.end_run(ended, run_id, at(5), "straight")
    assert noted.runs[run_id].note == "straight"
    with pytest.raises(ShopError, match="has ended"):
        moves.stamp_move(ended, run_id, at(6))


def dipped(blade: Blade, **how: bool) -> Blade:
    """Run through the dip: in at 1.5 s, out at 7.7 s."""
    blade = moves.start_run(blade, "E4", NOW, **how)
    run_id = list(blade.runs)[-1]
    for seconds in (1.5, 4, 7.7):
        blade = moves.stamp_move(blade, run_id, NOW + timedelta(seconds=seconds))
    return blade


def test_a_stamp_writes_down_the_time_since_the_move_it_counts_from() -> None:
    blade = dipped(BLADE)
    value = blade.values["count"]
    assert (value.text, value.si, value.step) == ("6.2 s", 6.2, "E4")
    assert blade.log[-1].says == "Done: out, after 6.2 s"
    back = changes.take_back(blade, at(1))
    assert "count" not in back.values
    assert len(next(iter(back.runs.values())).stamps) == 2


def test_a_rehearsal_writes_nothing_down() -> None:
    assert not dipped(BLADE, rehearsal=True).values


def test_a_count_for_the_same_value_ends_with_the_stamp() -> None:
    counting = changes.start_clock(changes.start_step(BLADE, "E4", at(-1)), "E4", "oil", at(-1))
    blade = dipped(counting)
    (clock,) = blade.clocks.values()
    assert clock.ended == NOW + timedelta(seconds=7.7)
    assert blade.values["count"].text == "6.2 s"


def test_a_run_ended_early_says_what_was_not_stamped() -> None:
    blade = moves.start_run(BLADE, "E3", NOW)
    ended = moves.end_run(blade, "E3-1", at(2))
    assert "2 moves not stamped" in ended.log[-1].says
    assert ended.runs["E3-1"].took_s(at(9)) == 120


def test_what_goes_by_the_glue_is_due_sooner_in_a_warm_shop_and_later_in_a_cold_one() -> None:
    found = {}
    for name, air_K in (("warm", WARM), ("cold", COLD)):
        blade = changes.start_step(BLADE, "H7", NOW)
        blade = moves.start_run(blade, "H7", NOW, plan_id="bed", entry=SLOW, air_K=air_K)
        found[name] = [one.by for one in moves.moves(blade, blade.runs["H7-1"])]
    assert found["warm"] == [at(10), at(20), None]
    # By hand, 52 kJ/mol from 22 to 12 °C: 2.1024 times as long.
    assert found["cold"][0] == NOW + timedelta(seconds=round(600 * 2.1024))


def test_the_assembly_goes_by_the_clock_of_the_mix() -> None:
    blade = changes.start_step(BLADE, "K3", NOW)
    blade = changes.start_clock(blade, "K3", "glue", NOW, entry=SLOW, air_K=WARM)
    blade = moves.start_run(blade, "K4", at(4))
    run = blade.runs["K4-1"]
    assert run.clock == "glue-1"
    assert [one.by for one in moves.moves(blade, run)] == [at(10), at(20), None]
    assert moves.pot_life_left_s(blade, run, at(15)) == 30 * 60


def rehearsed(minutes: float) -> Blade:
    blade = moves.start_run(BLADE, "K4", NOW, rehearsal=True)
    for part in (0.3, 0.6, 1.0):
        blade = moves.stamp_move(blade, "K4-1", at(minutes * part))
    return moves.end_run(blade, "K4-1", at(minutes), "dry")


def test_a_rehearsal_is_kept_and_starts_no_clock() -> None:
    blade = rehearsed(12)
    assert not blade.clocks
    assert blade.progress("K4").state is None
    run = moves.last_rehearsal(blade, "K4")
    assert run is not None
    assert run.rehearsal
    assert run.took_s(at(99)) == 12 * 60


def test_a_rehearsal_over_half_the_pot_life_says_so_by_the_air_of_the_day() -> None:
    # Common practice: the dry assembly must take under half of the pot life, here 45 min at 22 °C.
    assert not moves.rehearsal_says(rehearsed(22), "K4", SLOW, WARM, NOW)
    assert "over half of the pot life of 45:00 min at 22 °C" in moves.rehearsal_says(
        rehearsed(23), "K4", SLOW, WARM, NOW
    )
    assert not moves.rehearsal_says(rehearsed(40), "K4", SLOW, COLD, NOW)
    assert moves.rehearsal_says(rehearsed(15), "K4", SLOW, WARM + 10, NOW)
    assert moves.rehearsal_says(rehearsed(22), "K4", SLOW, WARM, NOW, pace=1.3)
    assert "not rehearsed" in moves.rehearsal_says(BLADE, "K4", SLOW, WARM, NOW)


def test_the_mixing_is_rehearsed_by_the_assembly_that_follows_it() -> None:
    assert moves.rehearsed_step(BLADE, BLADE.route.by_id["K3"]).id == "K4"
    assert moves.rehearsed_step(BLADE, BLADE.route.by_id["H7"]).id == "H7"


def test_what_makes_no_sense_is_refused() -> None:
    with pytest.raises(ShopError, match="no moves"):
        moves.start_run(BLADE, "A1", NOW)
    with pytest.raises(ShopError, match="goes on already"):
        moves.start_run(moves.start_run(BLADE, "E3", NOW), "E3", at(1))
    with pytest.raises(ShopError, match="no run 'x'"):
        moves.stamp_move(BLADE, "x", NOW)
