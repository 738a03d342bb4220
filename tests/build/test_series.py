"""Series know their round, a temper counts from hot, a count counts up, a stop-over is answered."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from workshop.build import changes, clock, standing
from workshop.build.blade import Blade, State
from workshop.build.clock import Batch, Stage, stage_of
from workshop.build.named import hands_on_s
from workshop.build.route import ClockPlan, Entry, MarkPlan, Phase, Route, Step
from workshop.build.standing import Act
from workshop.errors import ShopError

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
COAT = ClockPlan(
    "coat",
    "oil coat",
    "plain",
    marks=(MarkPlan("wipe", "wipe off", 600, 1800, harm=3), MarkPlan("recoat", "recoat", 86400)),
    ends="recoat",
    rounds=(2, 4),
    round="coat",
    again="recoat",
)
TEMPER = ClockPlan(
    "temper",
    "temper",
    "temper",
    marks=(
        MarkPlan("hot", "hot", 900, 1800),
        MarkPlan("out", "out", 7200, counts_from="hot"),
        MarkPlan("cool", "cool", 1200, 2700, counts_from="out"),
    ),
    ends="out",
    answers=("quench/into",),
)
QUENCH = ClockPlan(
    "quench", "from the oil", "plain", marks=(MarkPlan("into", "into temper", 300, 3600, harm=3),)
)
DIP = ClockPlan(
    "dip",
    "dip",
    "dip",
    marks=(MarkPlan("inspect", "inspect", 300, 360), MarkPlan("out", "out", 600, 720)),
    ends="out",
)
COUNT = ClockPlan("count", "in the oil", "count", fills="oil-count")
STEPS = (
    Step("J2", "A", "Oil coats", "", clocks=(COAT,)),
    Step(
        "E3", "A", "Quench", "", clocks=(QUENCH, COUNT), records=(Entry("oil-count", "Count", "time", "s"),)
    ),
    Step("E6", "A", "Temper", "", clocks=(TEMPER,)),
    Step("I3", "A", "Dips", "", clocks=(DIP,)),
)
BLADE = Blade("heron", "Heron", Route("r", "R", "", "", (), (Phase("A", "All"),), STEPS), "kept", NOW, {})


def at(minutes: float) -> datetime:
    return NOW + minutes * MINUTE


def begun(step: str, clock_id: str) -> Blade:
    return changes.start_clock(changes.start_step(BLADE, step, NOW), step, clock_id, NOW)


def test_a_coat_knows_which_it_is() -> None:
    blade = begun("J2", "coat")
    assert blade.clocks["coat-1"].round_of == "coat 1 of 4"
    blade = changes.start_clock(blade, "J2", "coat", at(1500))
    assert blade.clocks["coat-2"].round_of == "coat 2 of 4"
    assert not blade.clocks["coat-1"].running
    assert "coat 2 of 4" in blade.log[-1].says


def test_a_series_begun_again_counts_from_one() -> None:
    blade = changes.start_clock(begun("J2", "coat"), "J2", "coat", at(1500))
    blade = changes.finish(blade, "J2", at(3000))
    blade = changes.do_over(blade, "J2", at(3010))
    blade = changes.start_step(blade, "J2", at(3020))
    blade = changes.start_clock(blade, "J2", "coat", at(3030))
    assert blade.clocks["coat-3"].round_of == "coat 1 of 4"


def test_the_next_round_is_the_natural_next_thing_when_its_rest_is_over() -> None:
    blade = begun("J2", "coat")
    step = blade.route.by_id["J2"]
    assert standing.natural_next(blade, step, at(60)).act is Act.WAIT
    following = standing.natural_next(blade, step, at(1441))
    assert (following.act, following.item) == (Act.CLOCK, "coat")
    assert following.says == "start coat 2 of 4"
    blade = changes.start_clock(blade, "J2", "coat", at(1441))
    assert standing.natural_next(blade, step, at(2900)).act is Act.FINISH


def test_a_temper_counts_from_hot_and_its_cooling_from_out() -> None:
    made = begun("E6", "temper").clocks["temper-1"]
    moments = {mark.id: (mark.opens - NOW) / MINUTE for mark in made.marks}
    # Until it is said to be hot, the two hours count from the longest heating: 30 + 120 min.
    assert moments == {"hot": 15, "out": 150, "cool": 170}
    blade = changes.answer_mark(begun("E6", "temper"), "temper-1", "hot", at(18))
    moments = {mark.id: (mark.opens - NOW) / MINUTE for mark in blade.clocks["temper-1"].marks}
    assert moments == {"hot": 15, "out": 138, "cool": 158}


def test_hot_may_be_said_before_it_was_thought_and_changes_nothing_once_it_is_over() -> None:
    blade = changes.answer_mark(begun("E6", "temper"), "temper-1", "hot", at(10))
    out = blade.clocks["temper-1"].mark("out")
    assert out is not None
    assert out.opens == at(130)
    late = changes.answer_mark(begun("E6", "temper"), "temper-1", "hot", at(160))
    out = late.clocks["temper-1"].mark("out")
    assert out is not None
    assert out.opens == at(150)
    with pytest.raises(ShopError, match="not come yet"):
        changes.answer_mark(begun("E6", "temper"), "temper-1", "cool", at(10))


def test_the_temper_answers_the_hour_after_the_quench_and_says_when_it_was_late() -> None:
    blade = begun("E3", "quench")
    early = changes.start_clock(blade, "E6", "temper", at(40))
    assert not early.clocks["quench-1"].running
    assert "late" not in early.log[-1].says
    late = changes.start_clock(blade, "E6", "temper", at(75))
    assert "into temper was 15 min late" in late.log[-1].says


def test_a_count_counts_up_in_tenths_and_is_written_down() -> None:
    blade = begun("E3", "count")
    made = blade.clocks["count-1"]
    assert made.marks == ()
    assert made.elapsed_s(NOW + timedelta(seconds=6.44)) == pytest.approx(6.44)
    stopped = changes.stop_clock(blade, "count-1", NOW + timedelta(seconds=6.44))
    assert stopped.values["oil-count"].text == "6.4 s"
    assert stopped.values["oil-count"].si == 6.4
    assert "6.4 s" in stopped.log[-1].says


def test_the_hands_on_time_of_a_step_counts_up() -> None:
    blade = changes.start_step(BLADE, "J2", NOW)
    assert hands_on_s(blade.progress("J2"), at(7)) == 420
    rests = changes.start_clock(blade, "J2", "coat", at(8))
    assert rests.progress("J2").state is State.RESTING
    assert hands_on_s(rests.progress("J2"), at(30)) == 480


def test_a_dip_of_another_length_is_inspected_at_half_of_it() -> None:
    blade = changes.start_step(BLADE, "I3", NOW)
    blade = changes.start_clock(blade, "I3", "dip", NOW, batch=Batch(for_s=1200))
    made = {mark.id: (mark.opens - NOW) / MINUTE for mark in blade.clocks["dip-1"].marks}
    assert made == {"inspect": 10, "out": 20}


def test_every_stage_of_a_mark_has_its_word() -> None:
    plan = ClockPlan("x", "x", "plain", marks=(MarkPlan("pull", "pull", 7200, 10800, harm=3),))
    made = clock.started(plan, "A", "x-1", NOW)
    mark = made.marks[0]
    words = [stage_of(made, mark, at(minute), 600) for minute in (30, 112, 120, 165, 171, 180)]
    assert words == [Stage.AHEAD, Stage.SOON, Stage.OPEN, Stage.OPEN, Stage.LAST_CHANCE, Stage.TOO_LATE]
    assert len({str(one) for one in Stage}) == len(list(Stage))
    answered = clock.answered(made, "pull", at(130))
    assert stage_of(answered, answered.marks[0], at(200)) is Stage.ANSWERED


def test_a_short_clock_is_not_called_soon_from_its_start() -> None:
    made = begun("I3", "dip").clocks["dip-1"]
    inspect = made.mark("inspect")
    assert inspect is not None
    assert stage_of(made, inspect, NOW, 600) is Stage.AHEAD
    assert stage_of(made, inspect, at(4), 600) is Stage.SOON
