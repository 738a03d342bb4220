"""Sleep, restart, and a laptop's clock that jumps: told apart, and set right."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.build import changes, timekeeping
from workshop.build.blade import Blade
from workshop.build.route import ClockPlan, MarkPlan, Phase, Route, Step
from workshop.build.timekeeping import Anchor, Happened, judge, missed, shift_clocks

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
THEN = Anchor(NOW, 5000.0, 4000.0, "boot-a")
HOUR = timedelta(hours=1)


def later(wall_s: float, ran_s: float, awake_s: float | None = None, boot: str = "boot-a") -> Anchor:
    awake = ran_s if awake_s is None else awake_s
    return Anchor(NOW + timedelta(seconds=wall_s), THEN.boot_s + ran_s, THEN.awake_s + awake, boot)


@pytest.mark.parametrize(
    ("now", "happened", "by_s", "ask"),
    [
        (later(2, 2), Happened.STEADY, 0, False),
        (later(86400, 86399), Happened.STEADY, 0, False),
        (later(86440, 86400), Happened.STEADY, 0, False),  # NTP pulled it by under 500 parts in a million
        (later(3600, 3600, 10), Happened.SLEPT, 3590, False),
        (later(3602, 2), Happened.STEPPED, 3600, True),
        (later(-3598, 2), Happened.STEPPED, -3600, True),
        (later(7, 2), Happened.STEPPED, 5, True),
        (later(10800, 7200, 5), Happened.STEPPED, 3600, True),  # set while it slept
        (Anchor(NOW + 5 * HOUR, 20.0, 20.0, "boot-b"), Happened.RESTARTED, 18000, False),
        (Anchor(NOW - 30 * HOUR, 20.0, 20.0, "boot-b"), Happened.WENT_BACK, -108000, True),
    ],
)
def test_what_the_clocks_did_is_told_apart(now: Anchor, happened: Happened, by_s: float, ask: bool) -> None:
    judged = judge(THEN, now)
    assert (judged.happened, judged.ask) == (happened, ask)
    assert judged.by_s == pytest.approx(by_s)
    assert bool(judged.says) == (happened is not Happened.STEADY)


@given(st.floats(1, 1e6), st.floats(0, 1e6), st.floats(-1e6, 1e6))
def test_sleep_and_steps_add_up(awake: float, asleep: float, step: float) -> None:
    judged = judge(THEN, later(awake + asleep + step, awake + asleep, awake))
    assert judged.slept_s == pytest.approx(asleep, abs=1e-3)
    limit = timekeeping.STEP_S + 0.0006 * (awake + asleep)
    if abs(step) > limit + 0.01:
        assert judged.happened is Happened.STEPPED
        assert judged.by_s == pytest.approx(step, abs=1e-3)
    elif abs(step) < limit - 0.01:
        assert judged.happened is (Happened.SLEPT if asleep > 2 else Happened.STEADY) or asleep == 2


# -- setting right

PLAN = ClockPlan(
    "glue",
    "glue-up",
    "plain",
    marks=(
        MarkPlan("wipe", "wipe", 1800, 3600, do="Wipe.", late="Pare it later.", harm=2),
        MarkPlan("pull", "pull", 7200, 10800, do="Pull.", late="Locked: warm it.", harm=3),
        MarkPlan("full", "full", 86400, do="Send."),
    ),
)
BLADE = Blade(
    "heron",
    "Heron",
    Route("r", "R", "", "", (), (Phase("A", "All"),), (Step("A1", "A", "Glue", "", clocks=(PLAN,)),)),
    "kept",
    NOW,
    {},
)


def glued(at: datetime = NOW) -> Blade:
    return changes.start_clock(BLADE, "A1", "glue", at)


def test_what_has_run_and_what_is_left_stay_true_when_the_old_clock_was_wrong() -> None:
    before = NOW + HOUR
    blade = glued()
    moved = shift_clocks(blade, 7200, before + 2 * HOUR)
    old, new = blade.clocks["glue-1"], moved.clocks["glue-1"]
    assert new.elapsed_s(before + 2 * HOUR) == old.elapsed_s(before)
    assert [mark.opens - (before + 2 * HOUR) for mark in new.marks] == [
        mark.opens - before for mark in old.marks
    ]
    assert "set forward by 2 h" in moved.log[-1].says
    assert shift_clocks(moved, -7200, before).clocks == blade.clocks


def test_a_clock_that_has_ended_and_one_from_before_the_wrong_time_stay() -> None:
    ended = changes.stop_clock(glued(), "glue-1", NOW + HOUR)
    assert shift_clocks(ended, 7200, NOW + 3 * HOUR) is ended
    assert shift_clocks(glued(), 7200, NOW + HOUR, since=NOW + timedelta(minutes=1)).clocks == glued().clocks
    assert shift_clocks(glued(), 0, NOW) == glued()


def test_what_can_be_taken_back_moves_with_it() -> None:
    answered = changes.answer_mark(glued(), "glue-1", "wipe", NOW + HOUR)
    moved = shift_clocks(answered, 600, NOW + HOUR)
    back = changes.take_back(moved, NOW + HOUR)
    assert back.clocks["glue-1"].started == NOW + timedelta(minutes=10)
    assert back.clocks["glue-1"].marks[0].acknowledged is None


# -- what was missed


def test_what_was_missed_comes_most_harmful_first_with_what_to_do_now() -> None:
    other = replace(BLADE, key="wren", name="Wren")
    wren = changes.start_clock(other, "A1", "glue", NOW + 2 * HOUR)
    found = missed([glued(), wren], NOW + timedelta(hours=3, minutes=50))
    assert [(one.blade.name, one.mark.id, one.shut) for one in found] == [
        ("Heron", "pull", True),
        ("Heron", "wipe", True),
        ("Wren", "wipe", True),
    ]
    assert found[0].do == "Locked: warm it."
    assert found[0].late_s == 50 * 60
    open_one = next(
        one for one in missed([wren], NOW + timedelta(hours=4, minutes=30)) if one.mark.id == "pull"
    )
    assert (open_one.shut, open_one.do, open_one.late_s) == (False, "Pull.", 1800)


def test_only_what_came_since_it_was_last_looked_at() -> None:
    found = missed([glued()], NOW + 4 * HOUR, since=NOW + timedelta(hours=2, minutes=30))
    assert [one.mark.id for one in found] == ["pull"]
    assert missed([glued()], NOW + 4 * HOUR, since=NOW + timedelta(hours=3, minutes=30)) == []


def test_an_answered_mark_was_not_missed() -> None:
    blade = changes.answer_mark(glued(), "glue-1", "wipe", NOW + HOUR)
    assert [one.mark.id for one in missed([blade], NOW + 4 * HOUR)] == ["pull"]


@pytest.mark.parametrize("zone", ["Europe/Berlin", "America/New_York", "Australia/Lord_Howe"])
def test_summer_time_moves_no_mark(zone: str, monkeypatch: pytest.MonkeyPatch) -> None:
    import time

    monkeypatch.setenv("TZ", zone)
    time.tzset()
    try:
        start = datetime(2026, 3, 28, 23, 0, tzinfo=UTC)  # the night summer time begins in much of Europe
        pull = glued(start).clocks["glue-1"].mark("pull")
        assert pull is not None
        assert pull.opens - start == 2 * HOUR
        local = pull.opens.astimezone() - start.astimezone()
        assert local == 2 * HOUR
    finally:
        monkeypatch.undo()
        time.tzset()
