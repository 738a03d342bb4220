"""Ageing with temperature: the shop's rule, its floor and ceiling, and records of temperatures."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.errors import ShopError
from workshop.trade.cure import CureRule, equivalent_age, marks_scaled, rate, scale, time_at_age

HOUR = 3600.0
RULE = CureRule(reference_K=295.15, halving_K=10, floor_K=283.15, ceiling_K=313.15)


def C(celsius: float) -> float:
    return celsius + 273.15


def records(low: float = 5, high: float = 45) -> st.SearchStrategy[list[tuple[float, float]]]:
    spans = st.lists(st.tuples(st.floats(0.01, 48), st.floats(low, high)), min_size=1, max_size=6)

    def build(parts: list[tuple[float, float]]) -> list[tuple[float, float]]:
        found, since = [], 0.0
        for hours, celsius in parts:
            found.append((since, C(celsius)))
            since += hours * HOUR
        return found

    return spans.map(build)


def test_at_the_label_temperature_a_time_is_the_label_time() -> None:
    assert scale(295.15, 295.15) == 1
    assert marks_scaled([(600, 1200)], [(0, 295.15)], RULE) == ((600, 1200),)


def test_ten_kelvin_colder_takes_twice_as_long() -> None:
    assert scale(C(12), C(22)) == pytest.approx(2)
    assert time_at_age([(0, C(12))], HOUR, RULE) == pytest.approx(2 * HOUR)


def test_below_the_floor_nothing_ages_and_on_the_floor_it_does() -> None:
    assert rate(C(9.9), RULE) == 0
    assert rate(RULE.floor_K, RULE) == pytest.approx(2**-1.2)
    assert time_at_age([(0, C(9))], HOUR, RULE) is None
    assert equivalent_age([(0, C(9))], 1000 * HOUR, RULE) == 0


def test_a_cold_night_is_a_pause() -> None:
    night = [(0, C(22)), (2 * HOUR, C(5)), (12 * HOUR, C(22))]
    assert time_at_age(night, 1 * HOUR, RULE) == pytest.approx(HOUR)
    assert time_at_age(night, 2 * HOUR, RULE) == pytest.approx(2 * HOUR)
    assert time_at_age(night, 3 * HOUR, RULE) == pytest.approx(13 * HOUR)


def test_above_the_ceiling_no_faster_age_is_counted() -> None:
    assert rate(C(65), RULE) == rate(C(40), RULE)


@given(records(), st.floats(0, 400))
def test_age_never_falls(record: list[tuple[float, float]], hours: float) -> None:
    assert equivalent_age(record, hours * HOUR + 1, RULE) >= equivalent_age(record, hours * HOUR, RULE)


@given(records(low=10.5), st.floats(0.01, 400))
def test_the_time_of_an_age_has_that_age(record: list[tuple[float, float]], hours: float) -> None:
    when = time_at_age(record, hours * HOUR, RULE)
    assert when is not None
    assert equivalent_age(record, when, RULE) == pytest.approx(hours * HOUR)


@given(st.floats(10, 40), st.floats(0, 8))
def test_warmer_is_never_later(celsius: float, more: float) -> None:
    cold = time_at_age([(0, C(celsius))], HOUR, RULE)
    warm = time_at_age([(0, C(celsius + more))], HOUR, RULE)
    assert cold is not None
    assert warm is not None
    assert warm <= cold


@given(records(), st.floats(0.01, 300))
def test_cutting_a_span_in_two_changes_nothing(record: list[tuple[float, float]], hours: float) -> None:
    last_s, last_K = record[-1]
    cut = [*record, (last_s + 100.0, last_K)]
    assert equivalent_age(cut, hours * HOUR, RULE) == pytest.approx(
        equivalent_age(record, hours * HOUR, RULE)
    )


@pytest.mark.parametrize(
    ("record", "says"),
    [
        ([], "air is empty"),
        ([(60.0, 290.0)], "from 0 h"),
        ([(0.0, 290.0), (0.0, 280.0)], "must rise"),
        ([(0.0, float("nan"))], "no temperature"),
        ([(0.0, -3.0)], "no temperature"),
    ],
)
def test_a_record_that_makes_no_sense_is_refused(record: list[tuple[float, float]], says: str) -> None:
    with pytest.raises(ShopError, match=says):
        equivalent_age(record, HOUR, RULE)


def test_a_rule_that_makes_no_sense_is_refused() -> None:
    with pytest.raises(ShopError, match="halving"):
        scale(300, 300, 0)
    with pytest.raises(ShopError, match="halving"):
        CureRule(295, halving_K=-1)
    with pytest.raises(ShopError, match="floor"):
        CureRule(295, floor_K=300, ceiling_K=290)
