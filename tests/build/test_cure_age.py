"""Readings and the witness move the marks that are ahead, and only those."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.build import clock, cure_age
from workshop.build.air import Air, Reading
from workshop.build.clock import Batch, BlobState, Clock, StoreEntry
from workshop.build.day import Hours, Span
from workshop.build.route import ClockPlan, MarkPlan
from workshop.errors import ShopError

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
HOUR = timedelta(hours=1)
SLOW = StoreEntry(
    "adhesives",
    "slow",
    "Slow structural epoxy",
    (
        MarkPlan("pot-life", "pot life ends", 2700, 5400, harm=3, cup=True),
        MarkPlan("pull", "pull", 25200, 36000, do="Pull.", late="Locked.", harm=3),
        MarkPlan("full", "full cure", 604800),
    ),
    295.15,
    285.15,
    313.15,
    activation_J_per_mol=52e3,
    witness=(
        BlobState("liquid", "liquid", 0, 12600),
        BlobState("stringy", "stringy", 12600, 21600),
        BlobState("dents", "dents, no smear", 21600, 43200),
        BlobState("hard", "hard", 43200, None),
    ),
    cup_kg=0.015,
    cup_least=0.5,
    thin_times=2.0,
)
BED = ClockPlan("bed", "bedding", "adhesive", "adhesives/slow", ends="pull")


def C(celsius: float) -> float:
    return celsius + 273.15


def bed(celsius: float, **more: object) -> Clock:
    return clock.started(BED, "H7", "bed-1", NOW, SLOW, C(celsius), batch=Batch(**more))  # type: ignore[arg-type]


def after(clock_: Clock, mark_id: str) -> tuple[float, float | None]:
    mark = clock_.mark(mark_id)
    assert mark is not None
    shuts = None if mark.shuts is None else (mark.shuts - NOW) / HOUR
    return (mark.opens - NOW) / HOUR, shuts


def test_a_colder_reading_puts_the_marks_ahead_off_by_what_is_left_of_them() -> None:
    made = bed(22)
    now = NOW + 2 * HOUR
    air = Air((Reading(NOW, C(22)), Reading(now - timedelta(minutes=1), C(22)), Reading(now, C(12))))
    moved = cure_age.reworked(made, air, now)
    # By hand, 52 kJ/mol: at 12 °C the rest takes 2.1024 times as long: 2 h + (7 - 2) h x 2.1024 = 12.512 h.
    assert after(moved, "pull")[0] == pytest.approx(2 + 5 * 2.1024, abs=0.02)
    assert after(moved, "pull")[1] == pytest.approx(2 + 8 * 2.1024, abs=0.03)
    assert after(moved, "pot-life") == after(made, "pot-life")
    assert cure_age.age_s(made, air, now) == pytest.approx(7200, abs=20)


def test_a_steady_air_moves_nothing() -> None:
    made = bed(18)
    air = Air(tuple(Reading(NOW + HOUR * n, C(18)) for n in range(6)))
    assert cure_age.reworked(made, air, NOW + 5 * HOUR) is made


def test_a_window_that_is_open_keeps_its_opening_and_moves_its_shutting() -> None:
    made = bed(22)
    now = NOW + 8 * HOUR
    air = Air((Reading(NOW, C(22)), Reading(now - timedelta(minutes=1), C(22)), Reading(now, C(32))))
    moved = cure_age.reworked(made, air, now)
    assert after(moved, "pull")[0] == 7
    # By hand: exp(52000/8.314463 x (1/295.15 - 1/305.15)) = 2.0025; 8 h + 2 h / 2.0025 = 8.999 h.
    assert after(moved, "pull")[1] == pytest.approx(8 + 2 / 2.0025, abs=0.01)


def test_a_mark_that_should_have_come_already_comes_now() -> None:
    made = bed(14)
    now = NOW + 9 * HOUR
    air = Air((Reading(NOW + timedelta(minutes=1), C(30)), Reading(now, C(30))))
    moved = cure_age.reworked(made, air, now)
    assert after(moved, "pull")[0] == 9
    assert moved.mark("pull") in clock.due(moved, now)


def test_below_the_floor_the_age_stands_still_and_goes_on_when_it_is_warm() -> None:
    made = bed(20)
    evening, morning = NOW + 3 * HOUR, NOW + 15 * HOUR
    cold = Air((Reading(NOW, C(20)), Reading(evening - timedelta(seconds=1), C(20)), Reading(evening, C(8))))
    frozen = cure_age.reworked(made, cold, evening)
    assert "stands still" in frozen.caution
    assert frozen.marks[-1].stands_still
    pull = frozen.mark("pull")
    assert pull is not None
    assert pull.stands_still
    assert cure_age.age_s(frozen, cold, morning) == pytest.approx(cure_age.age_s(frozen, cold, evening))
    warm = Air((*cold.readings, Reading(morning - timedelta(seconds=1), C(8)), Reading(morning, C(20))))
    again = cure_age.reworked(frozen, warm, morning)
    assert "stands still" not in again.caution
    assert after(again, "pull")[0] == pytest.approx(after(made, "pull")[0] + 12, abs=0.02)


def test_a_night_expected_below_the_floor_is_said_before_it_comes() -> None:
    work = Hours({day: Span(NOW.time().replace(hour=0), NOW.time().replace(hour=23)) for day in range(7)})
    made = bed(18)
    air = Air((Reading(NOW, C(18)),), C(5), work)
    assert "is expected, below the floor" in cure_age.reworked(made, air, NOW).caution


def test_a_warm_box_does_not_mind_the_shop() -> None:
    made = clock.started(BED, "H7", "bed-1", NOW, SLOW, None, batch=Batch(kept_K=C(38)))
    cold = Air((Reading(NOW + HOUR, C(2)),))
    assert cure_age.reworked(made, cold, NOW + HOUR) == made
    assert after(made, "pull")[0] < 3


def test_a_clock_from_before_ages_were_kept_stays_as_it_was() -> None:
    old = replace(bed(20), rule=None)
    assert cure_age.reworked(old, Air((Reading(NOW + HOUR, C(2)),)), NOW + HOUR) is old


# -- the cup


def test_a_large_cup_halves_its_pot_life_and_a_thin_film_doubles_it() -> None:
    # Common practice: 8 to 15 g in a cup for the label's pot life; a 30 g cup can halve it; spreading it
    # thin about doubles it.
    assert after(bed(22, mass_kg=0.012), "pot-life") == (0.75, 1.5)
    assert after(bed(22, mass_kg=0.030), "pot-life") == (0.375, 0.75)
    assert after(bed(22, mass_kg=0.0225), "pot-life")[0] == pytest.approx(0.5)
    assert after(bed(22, mass_kg=0.030, thin=True), "pot-life") == (1.5, 3.0)
    assert after(bed(22, mass_kg=0.030), "pull") == (7, 10)
    assert not bed(22, mass_kg=0.030).caution
    assert "more than the 30 g" in bed(22, mass_kg=0.050).caution


# -- the witness


def pressed(made: Clock, state: str, hours: float) -> cure_age.Pressed:
    now = NOW + hours * HOUR
    return cure_age.pressed(made, Air((Reading(NOW, C(22)),)), state, now)


def test_a_blob_as_expected_corrects_nothing() -> None:
    result = pressed(bed(22), "stringy", 4)
    assert result.ratio == 1
    assert result.clock.marks == bed(22).marks
    assert "as expected" in result.says
    assert [one.state for one in result.clock.presses] == ["stringy"]


def test_a_quick_batch_moves_its_marks_by_the_ratio_of_expected_to_seen() -> None:
    # By hand: dents are expected from 6 h; seen at 4 h the batch is 6/4 = 1.5 times as quick; the pull,
    # an age of 7 h, comes at 7/1.5 = 4.667 h.
    result = pressed(bed(22), "dents", 4)
    assert result.ratio == pytest.approx(1.5)
    assert result.clock.quick == pytest.approx(1.5)
    assert after(result.clock, "pull")[0] == pytest.approx(7 / 1.5, abs=0.001)
    assert "1.50 times as quick" in result.says


def test_a_slow_batch_waits() -> None:
    # Liquid until 3.5 h; still liquid at 5 h: 3.5/5 = 0.7 times as quick; the pull comes at 10 h.
    result = pressed(bed(22), "liquid", 5)
    assert result.clock.quick == pytest.approx(0.7)
    assert after(result.clock, "pull")[0] == pytest.approx(10, abs=0.001)


def test_a_wild_press_is_bounded_and_says_so() -> None:
    result = pressed(bed(22), "hard", 1)
    assert result.clock.quick == cure_age.MOST_PACE
    assert "doubt the mix" in result.says
    assert pressed(bed(22), "liquid", 60).clock.quick == cure_age.LEAST_PACE


def test_a_mark_that_has_come_is_not_taken_back_but_the_blob_has_its_say() -> None:
    result = pressed(bed(22), "stringy", 8)
    assert after(result.clock, "pull")[0] == 7
    assert after(result.clock, "pull")[1] == pytest.approx(10 * 8 / 6, abs=0.001)
    assert "more of age" in result.says


def test_a_press_that_cannot_tell_is_refused() -> None:
    with pytest.raises(ShopError, match="no age yet"):
        pressed(bed(22), "dents", 0)
    with pytest.raises(ShopError, match="right would be one of: liquid, stringy, dents, hard"):
        pressed(bed(22), "gooey", 2)
    temper = ClockPlan("t", "temper", "temper", marks=(MarkPlan("out", "out", 7200),))
    with pytest.raises(ShopError, match="no witness"):
        pressed(clock.started(temper, "E6", "t-1", NOW), "dents", 1)


@given(st.floats(0.2, 30), st.sampled_from(["liquid", "stringy", "dents", "hard"]), st.floats(13, 39))
def test_after_a_press_the_age_fits_the_state_unless_it_was_bounded(
    hours: float, state: str, celsius: float
) -> None:
    air = Air((Reading(NOW, C(celsius)),))
    now = NOW + hours * HOUR
    made = cure_age.pressed(bed(celsius), air, state, now).clock
    age = cure_age.age_s(made, air, now)
    blob = next(one for one in SLOW.witness if one.id == state)
    if cure_age.LEAST_PACE < made.quick < cure_age.MOST_PACE:
        assert age >= blob.from_s * 0.999
        assert blob.until_s is None or age <= blob.until_s * 1.001


def test_what_batches_came_to_is_their_median_with_its_spread() -> None:
    assert cure_age.learned([]).pace == 1
    assert cure_age.learned([1.2]).says == (
        "by your last one batch it runs 1.20 times as quick as the store says"
    )
    several = cure_age.learned([1.0, 1.3, 1.1, 99.0])
    assert (several.pace, several.least, several.most, several.batches) == (1.1, 1.0, 1.3, 3)
    assert "from 1.00 to 1.30" in several.says
    assert cure_age.learned([0.5] * 12 + [1.2] * 12).pace == 1.2


def test_the_next_batch_starts_from_the_maker_s_own_pace() -> None:
    own = bed(22, pace=1.25)
    assert after(own, "pull")[0] == pytest.approx(7 / 1.25, abs=0.001)
    assert own.quick == 1.25
