"""Clocks keep moments, not seconds: marks are windows, and the shop's temperature moves them."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.build import clock
from workshop.build.clock import Clock, StoreEntry
from workshop.build.route import ClockPlan, MarkPlan

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
MINUTE = 60.0
SLOW = StoreEntry(
    store="adhesives",
    id="slow",
    title="Slow structural epoxy",
    marks=(
        MarkPlan("pot-life", "pot life ends", 45 * MINUTE, 90 * MINUTE, harm=3),
        MarkPlan("pull", "pull window", 420 * MINUTE, 600 * MINUTE, harm=3),
        MarkPlan("full", "full cure", 4320 * MINUTE, harm=1),
    ),
    reference_K=295.15,
    floor_K=285.15,
    ceiling_K=313.15,
)
BEDDING = ClockPlan("bedding", "bedding", "adhesive", "adhesives/slow", ("pot-life", "pull"), ends="pull")


def bedding(air_C: float) -> Clock:
    return clock.started(BEDDING, "H7", "bedding-1", NOW, SLOW, air_C + 273.15)


def minutes(clock_: Clock, mark_id: str) -> tuple[float, float]:
    mark = clock_.mark(mark_id)
    assert mark is not None
    assert mark.shuts is not None
    return (mark.opens - NOW).total_seconds() / 60, (mark.shuts - NOW).total_seconds() / 60


def test_at_the_label_temperature_the_marks_are_the_label_s() -> None:
    assert minutes(bedding(22), "pull") == (420, 600)
    assert [mark.id for mark in bedding(22).marks] == ["pot-life", "pull"]


@pytest.mark.parametrize(
    ("air_C", "factor"),
    [(14, 1.74), (18, 1.32), (26, 0.76), (30, 0.57), (40, 0.29)],
    # Common practice, no source: times of a resin double for each 10 degrees colder; factors to two figures.
)
def test_the_shop_s_temperature_moves_every_mark(air_C: float, factor: float) -> None:
    opens, shuts = minutes(bedding(air_C), "pull")
    assert opens / 420 == pytest.approx(factor, abs=0.006)
    assert shuts / 600 == pytest.approx(factor, abs=0.006)


def test_below_the_floor_the_age_stands_still_and_the_clock_says_so() -> None:
    cold = bedding(5)
    assert "does not cure" in cold.caution
    assert "stands still" in cold.caution
    assert all(mark.stands_still for mark in cold.marks)
    assert clock.next_moment(cold, NOW) is None
    assert [mark.state(NOW + timedelta(days=3000)) for mark in cold.marks] == ["ahead", "ahead"]
    assert not bedding(12).caution
    assert not any(mark.stands_still for mark in bedding(12).marks)
    assert "run away" in bedding(45).caution


def test_marks_of_the_clock_s_own_do_not_move_with_the_temperature() -> None:
    temper = ClockPlan(
        "temper", "temper", "temper", marks=(MarkPlan("out", "out", 120 * MINUTE),), ends="out"
    )
    made = clock.started(temper, "E6", "temper-1", NOW, None, 273.15)
    assert made.marks[0].opens == NOW + timedelta(hours=2)
    assert made.air_K is None


def test_the_next_moment_is_the_first_opening_or_shutting_ahead() -> None:
    made = bedding(22)
    order = []
    moment = NOW
    while (following := clock.next_moment(made, moment)) is not None:
        order.append((following.mark.id, following.verb))
        moment = following.at
    assert order == [("pot-life", "opens"), ("pot-life", "shuts"), ("pull", "opens"), ("pull", "shuts")]


def test_an_answered_mark_is_not_what_comes_next() -> None:
    made = clock.answered(bedding(22), "pot-life", NOW)
    following = clock.next_moment(made, NOW)
    assert following is not None
    assert following.mark.id == "pull"


def test_a_mark_calls_until_it_is_answered_even_after_its_window_has_shut() -> None:
    made = bedding(22)
    late = NOW + timedelta(hours=11)
    assert [mark.id for mark in clock.due(made, late)] == ["pot-life", "pull"]
    made = clock.answered(made, "pot-life", late)
    assert [mark.id for mark in clock.due(made, late)] == ["pull"]
    assert made.running
    assert not clock.answered(made, "pull", late).running


def test_calls_come_before_countdowns_and_spent_clocks_last() -> None:
    early = replace(bedding(22), id="early", started=NOW - timedelta(hours=8))
    calling = replace(
        early,
        id="calling",
        marks=tuple(replace(mark, opens=mark.opens - timedelta(hours=8)) for mark in early.marks),
    )
    ended = replace(bedding(22), id="ended", ended=NOW)
    order = clock.most_urgent([ended, bedding(22), calling], NOW)
    assert [one.id for one in order] == ["calling", "bedding-1"]


@given(
    st.lists(st.tuples(st.integers(0, 600), st.integers(1, 600) | st.none()), min_size=1, max_size=8),
    st.floats(250, 330),
    st.integers(-60, 2000),
)
def test_temperature_never_changes_the_order_of_marks_nor_swaps_a_window(
    spans: list[tuple[int, int | None]], air_K: float, minute: int
) -> None:
    marks = tuple(
        MarkPlan(f"m{n}", f"mark {n}", opens * MINUTE, None if wide is None else (opens + wide) * MINUTE)
        for n, (opens, wide) in enumerate(spans)
    )
    made = clock.started(replace(BEDDING, chosen=()), "H7", "x-1", NOW, replace(SLOW, marks=marks), air_K)
    opens = [mark.opens for mark in made.marks]
    assert opens == sorted(opens)
    assert all(mark.shuts is None or mark.shuts > mark.opens for mark in made.marks)
    moment = NOW + timedelta(minutes=minute)
    due = {mark.id for mark in clock.due(made, moment)}
    ahead = {mark.id for mark in made.marks if mark.state(moment) == "ahead"}
    assert due | ahead == {mark.id for mark in made.marks}
    assert not due & ahead
    following = clock.next_moment(made, moment)
    assert following is None or following.at > moment
