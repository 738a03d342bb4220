"""The shop's air between readings, after the last one, and through the night."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.build.air import Air, Reading, steady
from workshop.build.day import Hours, Span, at_wall, wall
from workshop.trade.cure import CureRule, damp, rate

RULE = CureRule(295.15, floor_K=285.15, ceiling_K=313.15, activation_J_per_mol=52e3)
DAY = date(2026, 3, 3)
WORK = Hours({day: Span(time(8), time(18)) for day in range(7)}, Span(time(22, 30), time(6, 30)))


def C(celsius: float) -> float:
    return celsius + 273.15


def at(hour: int, minute: int = 0, days: int = 0) -> datetime:
    return at_wall(DAY + timedelta(days=days), time(hour, minute))


def temperature(air: Air, moment: datetime) -> float:
    found = air.at(moment)
    assert found is not None
    return found.air_K - 273.15


def test_between_two_readings_the_air_goes_straight() -> None:
    air = Air((Reading(at(9), C(14)), Reading(at(10), C(18))))
    assert temperature(air, at(9, 30)) == pytest.approx(16, abs=0.3)
    assert temperature(air, at(9, 15)) == pytest.approx(15, abs=0.3)
    assert temperature(air, at(15)) == pytest.approx(18)


def test_a_night_is_as_expected_and_the_day_as_it_was_last() -> None:
    air = Air((Reading(at(17), C(19)),), C(11), WORK)
    assert temperature(air, at(17, 30)) == pytest.approx(19)
    assert temperature(air, at(22)) == pytest.approx(11)
    assert temperature(air, at(7, 59, 1)) == pytest.approx(11)
    assert temperature(air, at(8, 1, 1)) == pytest.approx(19)
    assert temperature(air, at(23, 0, 3)) == pytest.approx(11)


def test_a_reading_in_the_night_holds_until_the_shop_opens() -> None:
    air = Air((Reading(at(17), C(19)), Reading(at(23), C(13))), C(11), WORK)
    assert temperature(air, at(23, 30)) == pytest.approx(13)
    assert temperature(air, at(3, 0, 1)) == pytest.approx(13)
    assert temperature(air, at(9, 0, 1)) == pytest.approx(19)


def test_a_night_nobody_read_is_not_drawn_as_a_line_from_evening_to_morning() -> None:
    air = Air((Reading(at(17, 30), C(20)), Reading(at(8, 30, 1), C(18))), C(12), WORK)
    spells = list(air.spells(at(17, 30), at(9, 0, 1), None))
    night = [one for one in spells if at(18, 1) <= one.start < at(7, 30, 1)]
    assert night
    assert all(one.air_K == pytest.approx(C(12)) for one in night)
    without = Air(air.readings, None, WORK)
    line = [one.air_K for one in without.spells(at(17, 30), at(9, 0, 1), None)]
    assert min(line) >= C(18) - 0.01


def test_a_reading_from_after_now_is_not_believed() -> None:
    air = Air((Reading(at(9), C(20)), Reading(at(15), C(5))))
    assert all(one.air_K == C(20) for one in air.spells(at(9), at(12), None))


def test_nothing_known_is_the_label_s_own_warmth() -> None:
    assert Air().rates(RULE, at(9), at(9), None) == [(0.0, 1.0)]
    assert Air().at(at(9)) is None
    assert steady(None, None, at(9)).readings == ()


def test_the_first_reading_after_the_start_stands_for_the_time_before_it() -> None:
    air = Air((Reading(at(11), C(15)),))
    assert [one.air_K for one in air.spells(at(9), at(12), None)] == [C(15), C(15)]


@given(st.lists(st.tuples(st.integers(1, 900), st.integers(-5, 40)), max_size=12), st.booleans())
def test_spells_follow_one_another_and_begin_with_the_start(
    steps: list[tuple[int, int]], night: bool
) -> None:
    moment, readings = at(9), []
    for minutes, celsius in steps:
        moment += timedelta(minutes=minutes)
        readings.append(Reading(moment, C(celsius)))
    air = Air(tuple(readings), C(9) if night else None, WORK)
    start = at(9) + timedelta(minutes=30)
    spells = list(air.spells(start, moment, None))
    assert bool(spells) == bool(readings)
    if spells:
        assert spells[0].start == start
        assert all(one.start < other.start for one, other in pairwise(spells))
        lowest = min([one.air_K for one in readings] + ([C(9)] if night else []))
        assert all(lowest - 1e-6 <= one.air_K <= C(40) + 1e-6 for one in spells)


def test_damp_air_slows_what_dries_by_half_again_or_double() -> None:
    # Common practice: damp air stretches the drying of an oil by half again or double.
    oil = CureRule(295.15, damp_from=0.60, damp_full=0.85, damp_times=2.0)
    assert damp(None, oil) == damp(0.4, oil) == damp(0.6, oil) == 1
    assert damp(0.725, oil) == pytest.approx(1.5)
    assert damp(0.85, oil) == damp(1.0, oil) == 2
    assert rate(295.15, oil, 0.9) == pytest.approx(0.5)


# -- the day


def test_hours_over_a_week_with_days_off_and_exceptions() -> None:
    hours = Hours(
        {0: Span(time(8), time(18)), 5: Span(time(9), time(13))},
        Span(time(22, 30), time(6, 30)),
        {date(2026, 3, 9): None, date(2026, 3, 10): Span(time(10), time(12))},
    )
    monday, saturday, sunday = date(2026, 3, 2), date(2026, 3, 7), date(2026, 3, 8)
    assert hours.open(at_wall(monday, time(8)))
    assert not hours.open(at_wall(monday, time(18)))
    assert hours.open(at_wall(saturday, time(12, 59)))
    assert not hours.open(at_wall(sunday, time(12)))
    assert not hours.open(at_wall(date(2026, 3, 9), time(12)))
    assert hours.open(at_wall(date(2026, 3, 10), time(11)))
    assert not hours.awake(at_wall(monday, time(23)))
    assert not hours.awake(at_wall(monday, time(3)))
    assert hours.awake(at_wall(monday, time(6, 30)))


def test_a_shop_open_past_midnight_is_open_then() -> None:
    late = Hours({4: Span(time(20), time(2))})
    assert late.open(at_wall(date(2026, 3, 6), time(23)))
    assert late.open(at_wall(date(2026, 3, 7), time(1, 59)))
    assert not late.open(at_wall(date(2026, 3, 7), time(2)))
    assert not late.open(at_wall(date(2026, 3, 6), time(1)))


def test_without_hours_the_shop_is_always_open() -> None:
    assert Hours().there(at(3))
    assert not Hours().known


@given(st.integers(0, 14 * 24 * 60))
def test_between_two_edges_nothing_changes(minute: int) -> None:
    start = at(0) + timedelta(minutes=minute)
    end = start + timedelta(days=2)
    edges = [start, *WORK.edges(start, end), end]
    for one, other in pairwise(edges):
        inside = [one + (other - one) * share for share in (0.01, 0.5, 0.99)]
        assert len({WORK.there(moment) for moment in inside}) == 1


def test_a_moment_is_said_as_the_wall_shows_it() -> None:
    assert wall(at(21, 40), at(9)) == "21:40"
    assert wall(at(6, 5, 1), at(9)) == "Wed 06:05"
    assert wall(at(6, 5, 20), at(9)).startswith("2026-03-23")


def test_two_readings_of_one_moment_are_no_gap_to_go_across() -> None:
    air = Air((Reading(at(9), C(14)), Reading(at(10), C(16)), Reading(at(10), C(18))))
    assert temperature(air, at(9, 30)) == pytest.approx(15, abs=0.3)
    assert temperature(air, at(11)) == pytest.approx(18)


def test_humidity_too_goes_straight_between_readings_of_one_warmth() -> None:
    air = Air((Reading(at(9), C(20), 0.40), Reading(at(11), C(20), 0.80)))
    for minutes, humidity in ((15, 0.45), (45, 0.55), (105, 0.75)):
        found = air.at(at(9) + timedelta(minutes=minutes))
        assert found is not None
        assert found.humidity == pytest.approx(humidity, abs=0.01)
