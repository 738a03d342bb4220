"""A blade changes in one way only, keeps its reasons, and can go back."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from workshop.build import changes, standing
from workshop.build.blade import Blade, Slip, State
from workshop.build.changes import NeedsReason
from workshop.build.clock import StoreEntry
from workshop.build.route import MarkPlan, Route
from workshop.build.standing import Act
from workshop.build.values import read_entry
from workshop.errors import ShopError

HOUR = 3600.0
SLOW = StoreEntry(
    "adhesives",
    "slow",
    "Slow structural epoxy",
    (
        MarkPlan("last-wipe", "last wet wipe", 2 * HOUR, 3 * HOUR),
        MarkPlan("pull", "pull opens", 6 * HOUR, 10 * HOUR, do="Pull it.", late="Freeze it.", harm=3),
        MarkPlan("full", "full cure", 72 * HOUR),
    ),
    reference_K=295.15,
    floor_K=285.15,
    ceiling_K=313.15,
)


def at(now: datetime, minutes: float) -> datetime:
    return now + timedelta(minutes=minutes)


@pytest.fixture
def fresh(small_route: Route, now: datetime) -> Blade:
    return changes.new_blade("heron", "Heron", small_route, "small-0", now)


def first_step_done(blade: Blade, now: datetime) -> Blade:
    blade = changes.start_step(blade, "A1", now)
    for check in blade.route.by_id["A1"].checks:
        blade = changes.tick(blade, "A1", check, now)
    value = read_entry(blade.route.by_id["A1"].records[0], "155", "A1")
    blade = changes.write_down(blade, "blade-length", value, "Blade length", now)
    return changes.finish(blade, "A1", at(now, 20))


def bedded(blade: Blade, now: datetime) -> Blade:
    blade = first_step_done(blade, now)
    blade = changes.finish(changes.start_step(blade, "A2", now), "A2", now)
    blade = changes.finish(changes.start_step(blade, "B1", now, "welded at a friend's press"), "B1", now)
    blade = changes.look(blade, "H1", "Release on the tang", now)
    blade = changes.tick(changes.start_step(blade, "H1", now), "H1", "Dry run done", now)
    return changes.start_clock(blade, "H1", "bedding", now, entry=SLOW, air_K=295.15)


def test_a_new_blade_waits_only_where_the_graph_says_so(fresh: Blade, now: datetime) -> None:
    assert standing.states(fresh, now) == {
        "A1": State.READY,
        "A2": State.WAITING,
        "B1": State.WAITING,
        "H1": State.WAITING,
        "H2": State.WAITING,
        "H3": State.WAITING,
    }


def test_one_steel_leaves_the_billet_out_and_nothing_waits_for_it(small_route: Route, now: datetime) -> None:
    blade = changes.new_blade("wren", "Wren", small_route, "small-0", now, choices={"steel": "one steel"})
    assert [step.id for step in blade.own_steps()] == ["A1", "A2", "H1", "H2", "H3"]
    blade = first_step_done(blade, now)
    blade = changes.finish(changes.start_step(blade, "A2", now), "A2", now)
    assert standing.state_of(blade, blade.route.by_id["H1"], now) is State.READY
    with pytest.raises(ShopError, match="is not part of Wren"):
        changes.start_step(blade, "B1", now)


@pytest.mark.parametrize(
    ("choices", "wrong"),
    [({"steel": "brass"}, "not offered; right would be"), ({"colour": "red"}, "has no choice 'colour'")],
)
def test_a_choice_that_is_not_offered_is_refused(
    small_route: Route, now: datetime, choices: dict[str, str], wrong: str
) -> None:
    with pytest.raises(ShopError, match=wrong):
        changes.new_blade("x", "X", small_route, "small-0", now, choices=choices)


def test_a_waiting_step_starts_only_with_a_reason_which_is_kept(fresh: Blade, now: datetime) -> None:
    with pytest.raises(NeedsReason, match="waits for A1 Written spec"):
        changes.start_step(fresh, "A2", now)
    started = changes.start_step(fresh, "A2", now, "the bar came early")
    assert started.progress("A2").state is State.IN_HAND
    assert started.log[-1].why == "the bar came early"


def test_a_one_way_step_shows_its_last_look_first(fresh: Blade, now: datetime) -> None:
    blade = first_step_done(fresh, now)
    step = blade.route.by_id["B1"]
    assert standing.natural_next(blade, step, now).act is Act.LOOK
    blade = changes.look(blade, "B1", "Faces bright", now)
    with pytest.raises(NeedsReason, match="Order noted"):
        changes.start_step(blade, "B1", now)
    blade = changes.look(blade, "B1", "Order noted", now)
    assert changes.start_step(blade, "B1", now).progress("B1").state is State.IN_HAND


def test_finishing_says_what_is_open_and_a_reason_overrides(fresh: Blade, now: datetime) -> None:
    blade = changes.start_step(fresh, "A1", now)
    points = changes.open_points(blade, blade.route.by_id["A1"], now)
    assert points == [
        "not checked: Buyer has said yes",
        "not checked: Length is written",
        "not written down: Blade length (blade-length)",
    ]
    with pytest.raises(NeedsReason, match="and 2 more"):
        changes.finish(blade, "A1", now)
    assert changes.finish(blade, "A1", now, "spec is in a letter").progress("A1").state is State.DONE


def test_time_by_hand_stops_while_a_clock_holds_the_step(fresh: Blade, now: datetime) -> None:
    blade = changes.start_step(fresh, "H1", now, "test piece")
    blade = changes.start_clock(blade, "H1", "bedding", at(now, 30), entry=SLOW, air_K=295.15)
    assert blade.progress("H1").state is State.RESTING
    blade = changes.finish(blade, "H1", at(now, 30 + 7 * 60), "test piece")
    assert blade.progress("H1").hand_s == 30 * 60


def test_a_resting_step_waits_for_its_mark_and_the_next_step_for_the_pull(
    fresh: Blade, now: datetime
) -> None:
    blade = bedded(fresh, now)
    h1, h2 = blade.route.by_id["H1"], blade.route.by_id["H2"]
    assert standing.natural_next(blade, h1, at(now, 10)).act is Act.WAIT
    with pytest.raises(NeedsReason, match="its clock still runs"):
        changes.finish(blade, "H1", at(now, 359))
    assert standing.natural_next(blade, h1, at(now, 360)).act is Act.FINISH
    early = changes.finish(blade, "H1", at(now, 200), "it dents already")
    assert standing.state_of(early, h2, at(now, 201)) is State.WAITING
    assert standing.natural_next(early, h2, at(now, 201)).act is Act.WAIT
    assert standing.state_of(early, h2, at(now, 361)) is State.READY


@pytest.mark.parametrize("hands_full", [False, True])
def test_what_only_the_rest_makes_true_is_ticked_after_it(
    fresh: Blade, now: datetime, hands_full: bool
) -> None:
    plain = fresh.route.by_id["H1"]
    step = replace(
        plain, checks=("Taped", "Blob dents"), after_rest=("Blob dents",), records=(), hands_full=hands_full
    )
    steps = tuple(step if one.id == "H1" else one for one in fresh.route.steps)
    blade = replace(fresh, route=replace(fresh.route, steps=steps))
    blade = changes.start_step(blade, "H1", now, "test piece")

    def following(minutes: float) -> tuple[Act, str]:
        found = standing.natural_next(blade, step, at(now, minutes))
        return found.act, found.item

    assert following(1) == (Act.TICK, "Taped")
    blade = changes.tick(blade, "H1", "Taped", at(now, 1))
    assert following(2) == (Act.CLOCK, "bedding")
    blade = changes.start_clock(blade, "H1", "bedding", at(now, 2), entry=SLOW, air_K=295.15)
    assert following(3)[0] is Act.WAIT
    assert following(2 + 360) == (Act.TICK, "Blob dents")


def test_finishing_a_rested_step_answers_its_marks_and_lets_later_ones_run(
    fresh: Blade, now: datetime
) -> None:
    blade = changes.finish(bedded(fresh, now), "H1", at(now, 365))
    clock = blade.clocks["bedding-1"]
    assert clock.running
    assert {mark.id: mark.acknowledged is not None for mark in clock.marks} == {
        "last-wipe": True,
        "pull": True,
        "full": False,
    }


def test_finishing_a_step_answers_what_its_clocks_had_said_by_then(fresh: Blade, now: datetime) -> None:
    blade = changes.start_step(fresh, "H3", now, "a test piece")
    blade = changes.start_clock(blade, "H3", "drying", now)
    early = changes.finish(blade, "H3", at(now, 60), "dry already")
    assert early.clocks["drying-1"].running
    late = changes.finish(blade, "H3", at(now, 130), "dry")
    assert late.clocks["drying-1"].marks[0].acknowledged == at(now, 130)


def test_finishing_a_step_answers_the_marks_it_is_done_for_though_they_lie_ahead(
    fresh: Blade, now: datetime
) -> None:
    steps = tuple(
        replace(one, answers=("bedding/full",)) if one.id == "H2" else one for one in fresh.route.steps
    )
    fresh = replace(fresh, route=replace(fresh.route, steps=steps))
    blade = changes.finish(bedded(fresh, now), "H1", at(now, 365))
    blade = changes.finish(changes.start_step(blade, "H2", at(now, 370)), "H2", at(now, 380))
    clock = blade.clocks["bedding-1"]
    assert not clock.running
    assert clock.marks[-1].opens > at(now, 380)
    back = changes.take_back(blade, at(now, 381))
    assert back.clocks["bedding-1"].running


def test_a_window_nobody_answered_stands_in_the_log_as_missed(fresh: Blade, now: datetime) -> None:
    blade = changes.finish(bedded(fresh, now), "H1", at(now, 365))
    assert blade.log[-1].says == "H1 Bed the tang finished; missed: last wet wipe"
    late = changes.start_clock(fresh, "H1", "bedding", now, entry=SLOW, air_K=295.15)
    stopped = changes.stop_clock(late, "bedding-1", at(now, 700))
    assert "missed: last wet wipe, pull opens" in stopped.log[-1].says


def test_starting_what_waited_for_a_mark_answers_it(fresh: Blade, now: datetime) -> None:
    blade = changes.finish(bedded(fresh, now), "H1", at(now, 200), "it dents already")
    blade = changes.start_step(blade, "H2", at(now, 400))
    pull = blade.clocks["bedding-1"].mark("pull")
    assert pull is not None
    assert pull.acknowledged == at(now, 400)


def test_a_clock_can_start_some_minutes_ago_and_a_cure_counts_from_its_mix(
    fresh: Blade, now: datetime
) -> None:
    blade = changes.start_clock(fresh, "H1", "bedding", now, ago_s=300, entry=SLOW, air_K=295.15)
    assert blade.clocks["bedding-1"].started == at(now, -5)
    later = at(now, 600)
    blade = changes.start_clock(blade, "H3", "cure", later, entry=SLOW, air_K=295.15)
    assert blade.clocks["cure-1"].started == at(now, -5)
    with pytest.raises(ShopError, match="ahead of time"):
        changes.start_clock(blade, "H3", "drying", now, ago_s=-1)
    with pytest.raises(ShopError, match="has no clock 'tea'"):
        changes.start_clock(blade, "H3", "tea", now)


def test_the_next_round_of_a_clock_takes_over_from_the_last(fresh: Blade, now: datetime) -> None:
    blade = changes.start_clock(fresh, "H3", "drying", now)
    blade = changes.start_clock(blade, "H3", "drying", at(now, 90))
    assert not blade.clocks["drying-1"].running
    assert blade.clocks["drying-2"].running


def test_a_stopped_clock_gives_its_step_back_to_the_hands(fresh: Blade, now: datetime) -> None:
    blade = changes.stop_clock(bedded(fresh, now), "bedding-1", at(now, 30), "wrong adhesive")
    assert blade.progress("H1").state is State.IN_HAND
    assert blade.progress("H1").since == at(now, 30)


def test_doing_over_sets_the_whole_chain_it_spoils_and_nothing_else(fresh: Blade, now: datetime) -> None:
    blade = changes.finish(bedded(fresh, now), "H1", at(now, 365))
    blade = changes.finish(changes.start_step(blade, "H2", at(now, 370)), "H2", at(now, 371))
    assert [step.id for step in changes.spoilt(blade, "B1")] == ["H1", "H2"]
    with pytest.raises(NeedsReason, match="no way back"):
        changes.do_over(blade, "B1", at(now, 400))
    over = changes.do_over(blade, "B1", at(now, 400), "delam found")
    states = standing.states(over, at(now, 400))
    assert [name for name, state in states.items() if state is State.DO_OVER] == ["B1", "H1", "H2"]
    assert states["A1"] is State.DONE
    assert not over.clocks["bedding-1"].running
    assert over.progress("H1").ticked == ()
    assert over.progress("B1").rounds == 1


def test_leaving_out_always_needs_a_reason_and_lets_the_steps_behind_go_on(
    fresh: Blade, now: datetime
) -> None:
    with pytest.raises(NeedsReason, match="only with a reason"):
        changes.leave_out(fresh, "A1", now, " ")
    blade = changes.leave_out(fresh, "A1", now, "repeat order")
    assert standing.state_of(blade, blade.route.by_id["A2"], now) is State.READY
    assert blade.progress("A1").why == "repeat order"


def test_taking_back_goes_several_levels_and_leaves_its_trace_in_the_log(fresh: Blade, now: datetime) -> None:
    one = changes.start_step(fresh, "A1", now)
    two = changes.tick(one, "A1", "Buyer has said yes", now)
    three = changes.note(two, "a note", now)
    back = three
    for expected in (two, one, fresh):
        back = changes.take_back(back, now)
        assert (back.steps, back.clocks, back.values) == (expected.steps, expected.clocks, expected.values)
    assert [entry.says for entry in back.log[-3:]] == [
        "Taken back: a note",
        "Taken back: Checked: Buyer has said yes",
        "Taken back: A1 Written spec started",
    ]
    with pytest.raises(ShopError, match="nothing to take back"):
        changes.take_back(back, now)


def test_an_answer_to_a_mark_that_has_not_come_is_refused(fresh: Blade, now: datetime) -> None:
    blade = bedded(fresh, now)
    with pytest.raises(ShopError, match="has not come yet"):
        changes.answer_mark(blade, "bedding-1", "pull", at(now, 1))
    answered = changes.answer_mark(blade, "bedding-1", "last-wipe", at(now, 200))
    assert answered.log[-1].says.startswith("Answered after it had shut") is True


def test_a_step_is_named_in_any_case_and_an_unknown_one_with_those_near_it(fresh: Blade) -> None:
    assert changes.step_named(fresh, " h1 ").id == "H1"
    with pytest.raises(ShopError, match="H1, H2, H3"):
        changes.step_named(fresh, "H9")


def test_slips_are_numbered_and_never_changed_by_a_new_measurement(fresh: Blade, now: datetime) -> None:
    slip = Slip("1", "pin-drill", "H1", now, {"pin": "5/32 in"}, {}, {"hole": (0.161, "in")})
    blade = changes.keep_slip(fresh, slip, now)
    assert changes.next_slip_id(blade) == "2"
    value = read_entry(blade.route.by_id["A1"].records[0], "150 mm", "A1")
    assert changes.write_down(blade, "blade-length", value, "Blade length", now).slips["1"] is slip


ACTS = ("start", "tick", "look", "finish", "over", "out", "clock", "answer", "stop", "note", "back", "wait")


@settings(max_examples=150, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(ACTS), st.sampled_from(["A1", "A2", "B1", "H1", "H2", "H3"]), st.booleans()
        ),
        max_size=40,
    )
)
def test_whatever_is_done_in_whatever_order_no_finished_step_is_lost(
    module_route: Route, todo: list[tuple[str, str, bool]]
) -> None:
    """Only doing over or taking back opens a finished step; every refusal leaves the blade as it was."""
    now = datetime(2026, 3, 2, 9, tzinfo=UTC)
    blade = changes.new_blade("heron", "Heron", module_route, "small-0", now)
    for minute, (act, step_id, because) in enumerate(todo):
        moment = at(now, minute * 45)
        closed = {one for one, what in blade.steps.items() if what.state is State.DONE}
        before = blade
        try:
            blade = DO[act](blade, step_id, moment, "a reason" if because else "")
        except ShopError:
            assert blade is before
            continue
        if act not in ("over", "back"):
            assert closed <= {one for one, what in blade.steps.items() if what.state is State.DONE}
        assert len(blade.log) >= len(before.log)
        for step in blade.own_steps():
            assert standing.natural_next(blade, step, moment).says
        if blade is not before and act not in ("back", "wait"):
            again = changes.take_back(blade, moment)
            assert (again.steps, again.clocks, again.slips) == (before.steps, before.clocks, before.slips)


def _tick(blade: Blade, step_id: str, now: datetime, why: str) -> Blade:
    open_checks = standing.unticked(blade, blade.route.by_id[step_id])
    return changes.tick(blade, step_id, open_checks[0] if open_checks else "nothing", now)


def _look(blade: Blade, step_id: str, now: datetime, why: str) -> Blade:
    lines = standing.unlooked(blade, blade.route.by_id[step_id])
    return changes.look(blade, step_id, lines[0] if lines else "nothing", now)


def _clock(blade: Blade, step_id: str, now: datetime, why: str) -> Blade:
    plans = blade.route.by_id[step_id].clocks
    plan_id = plans[0].id if plans else "none"
    return changes.start_clock(blade, step_id, plan_id, now, entry=SLOW, air_K=290.0)


def _answer(blade: Blade, step_id: str, now: datetime, why: str) -> Blade:
    clock = next(blade.step_clocks(step_id), None)
    return changes.answer_mark(
        blade, clock.id if clock else "none", clock.marks[0].id if clock else "none", now
    )


def _stop(blade: Blade, step_id: str, now: datetime, why: str) -> Blade:
    clock = next(blade.step_clocks(step_id), None)
    return changes.stop_clock(blade, clock.id if clock else "none", now, why)


DO: dict[str, Callable[[Blade, str, datetime, str], Blade]] = {
    "start": lambda blade, step, now, why: changes.start_step(blade, step, now, why),
    "tick": _tick,
    "look": _look,
    "finish": lambda blade, step, now, why: changes.finish(blade, step, now, why),
    "over": lambda blade, step, now, why: changes.do_over(blade, step, now, why),
    "out": lambda blade, step, now, why: changes.leave_out(blade, step, now, why),
    "clock": _clock,
    "answer": _answer,
    "stop": _stop,
    "note": lambda blade, step, now, why: changes.note(blade, why, now, step),
    "back": lambda blade, step, now, why: changes.take_back(blade, now),
    "wait": lambda blade, step, now, why: replace(blade),
}


def test_a_glue_clock_is_never_started_without_a_glue(fresh: Blade, now: datetime) -> None:
    blade = changes.start_step(fresh, "H1", now, "a test piece")
    with pytest.raises(ShopError, match="needs an entry of the stores, such as adhesives/slow"):
        changes.start_clock(blade, "H1", "bedding", now, air_K=295.15)
