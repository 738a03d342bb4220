"""Windows against the maker's day: what would be missed, and the start that suits."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from workshop.build.air import Air, Reading
from workshop.build.clock import StoreEntry
from workshop.build.day import Hours, Span, at_wall
from workshop.build.day_plan import DayPlan, Verdict, plan_against_day
from workshop.build.route import ClockPlan, MarkPlan

TUESDAY = date(2026, 3, 3)
WORK = Hours({day: Span(time(8), time(18)) for day in range(7)}, Span(time(22, 30), time(6, 30)))
SLOW = StoreEntry(
    "adhesives",
    "slow",
    "Slow structural epoxy",
    (MarkPlan("pull", "pull", 6 * 3600, 12 * 3600, harm=3), MarkPlan("full", "full cure", 604800)),
    293.15,
    283.15,
    313.15,
    activation_J_per_mol=52e3,
)
BED = ClockPlan("bed", "bedding", "adhesive", "adhesives/slow", ends="pull")


def at(hour: int, minute: int = 0, days: int = 0) -> datetime:
    return at_wall(TUESDAY + timedelta(days=days), time(hour, minute))


def planned(
    now: datetime, hours: Hours = WORK, celsius: float = 20, start: datetime | None = None
) -> DayPlan:
    air = Air((Reading(now, celsius + 273.15),))
    return plan_against_day(BED, SLOW, air, hours, now, start=start)


def verdict(plan: DayPlan, mark: str) -> Verdict:
    return next(fall.verdict for fall in plan.falls if fall.mark.id == mark)


def test_the_trade_s_example_a_bed_poured_at_five_opens_at_eleven_and_locks_at_four() -> None:
    # Common practice: planned backward from waking hours; a bed of slow glue poured at 17:00 in a 20 °C shop
    # opens at about 23:00 and locks about 04:00.
    made = planned(at(17))
    pull = made.falls[0].mark
    assert pull.opens == at(23)
    assert verdict(made, "pull") is Verdict.ASLEEP
    assert any("while you sleep" in line for line in made.says)
    assert any(line.startswith("start between") for line in made.says)


def test_the_latest_start_is_worked_back_from_the_window() -> None:
    # By hand: the pull opens 6 h after the start, and twenty minutes of it must fall before 18:00: 11:40.
    made = planned(at(8))
    assert verdict(made, "pull") is Verdict.PARTLY
    assert made.latest == at(11, 40)
    assert made.best == at(8)
    tomorrow = planned(at(13))
    assert (tomorrow.latest, tomorrow.best) == (at(11, 40, days=1), at(8, days=1))


def test_a_colder_shop_must_start_sooner() -> None:
    cold = planned(at(8), celsius=17)
    assert cold.latest is not None
    assert cold.latest < at(11, 0)


def test_a_window_that_meets_the_morning_is_met() -> None:
    made = planned(at(17), start=at(21))
    assert verdict(made, "pull") is Verdict.PARTLY
    assert made.falls[0].there == (at(8, days=1), at(9, days=1))


def test_a_stretch_of_starts_has_no_hole_in_it() -> None:
    # At 17 °C the window is long enough for a start late in the day to meet the next morning; starts at
    # noon meet nothing. The two are never told as one stretch.
    noon = planned(at(12, 30), celsius=17)
    assert noon.missed
    assert noon.earliest is not None
    assert noon.latest is not None
    assert at(15) < noon.earliest < noon.latest == at(17, 59)


def test_marks_that_wait_do_not_matter() -> None:
    assert verdict(planned(at(8)), "full") is Verdict.ANY_TIME


def test_below_the_floor_nothing_is_promised() -> None:
    made = planned(at(9), celsius=5)
    assert verdict(made, "pull") is Verdict.STANDS
    assert made.missed
    assert made.latest is None
    assert any("does not come while it is so cold" in line for line in made.says)


def test_without_hours_any_start_will_do() -> None:
    made = planned(at(17), Hours())
    assert not made.missed
    assert verdict(made, "pull") is Verdict.INSIDE


def test_a_shop_that_opens_too_shortly_has_no_start_that_fits_and_says_the_least_bad() -> None:
    short = Hours({day: Span(time(8), time(9)) for day in range(7)}, Span(time(22), time(7)))
    wipe = StoreEntry(
        "adhesives",
        "x",
        "X",
        (
            MarkPlan("wipe", "wipe", 3 * 3600, 4 * 3600, harm=2),
            MarkPlan("pull", "pull", 25200, 36000, harm=3),
        ),
        293.15,
        283.15,
        313.15,
    )
    made = plan_against_day(BED, wipe, Air((Reading(at(8), 293.15),)), short, at(8))
    assert made.latest is None
    assert made.best is not None
    assert any("no start within a week" in line for line in made.says)


def test_a_day_off_is_passed_over() -> None:
    hours = Hours(WORK.week, WORK.sleep, {TUESDAY + timedelta(days=1): None})
    made = planned(at(13), hours)
    assert made.latest == at(11, 40, days=2)


def test_a_plain_clock_is_planned_alike() -> None:
    temper = ClockPlan("t", "temper", "temper", marks=(MarkPlan("out", "out", 7200, 9000, harm=2),))
    made = plan_against_day(temper, None, Air(), WORK, at(16, 30))
    assert made.falls[0].mark.opens == at(18, 30)
    assert made.missed
    assert made.latest is not None
    assert made.latest.astimezone().time() == time(15, 40)


@settings(max_examples=150, deadline=None)
@given(
    st.integers(0, 7 * 24 * 60),
    st.integers(5, 10),
    st.integers(14, 22),
    st.floats(12, 30),
    st.integers(60, 700),
    st.integers(10, 400),
)
def test_a_start_it_names_meets_every_window(
    minute: int, opens: int, shuts: int, celsius: float, after: int, wide: int
) -> None:
    hours = Hours({day: Span(time(opens), time(shuts)) for day in range(6)}, Span(time(23), time(5)))
    entry = StoreEntry(
        "adhesives",
        "x",
        "X",
        (MarkPlan("pull", "pull", after * 60, (after + wide) * 60, harm=3),),
        293.15,
        283.15,
        313.15,
    )
    now = at(0) + timedelta(minutes=minute)
    air = Air((Reading(now, celsius + 273.15),))
    made = plan_against_day(BED, entry, air, hours, now)
    for start in (made.latest, made.best):
        if start is not None and made.latest is not None:
            assert hours.there(start)
            again = plan_against_day(BED, entry, air, hours, now, start=start)
            assert not again.missed
    if made.latest is not None:
        assert made.best is not None
        assert made.best <= made.latest
        later = plan_against_day(BED, entry, air, hours, now, start=made.latest + timedelta(minutes=1))
        following = made.latest + timedelta(minutes=1)
        assert later.missed or not hours.there(following) or following.minute % 10 == 0


def test_the_best_start_has_most_of_the_window_not_only_the_earliest() -> None:
    # By hand: a window of 20 to 26 h; begun at 8:00 it is met from 8:00 to 10:00 next day, two hours of six;
    # begun at 12:00 it lies from 8:00 to 14:00, whole.
    plan = ClockPlan("dry", "drying", "plain", marks=(MarkPlan("out", "out", 20 * 3600, 26 * 3600, harm=3),))
    made = plan_against_day(plan, None, Air(()), WORK, at(8))
    assert made.earliest is not None
    assert made.earliest < at(12)
    assert made.best == at(12)
