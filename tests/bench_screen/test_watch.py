"""What calls: each mark's stages, early warnings, and nothing worked out again that has not turned."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from workshop.bench.aside import Aside
from workshop.bench.desk import Desk
from workshop.bench.watch import EARLY_HARM, Watch, turns
from workshop.build.clock import Clock, Mark, Stage, stage_of
from workshop.errors import ShopError
from workshop.shelf.shelf import Shelf


def a_clock(now: datetime, opens_s: int, window_s: int | None) -> tuple[Clock, Mark]:
    opens = now + timedelta(seconds=opens_s)
    mark = Mark("pull", "pull", opens, None if window_s is None else opens + timedelta(seconds=window_s))
    return Clock("a-1", "a", "a", "H1", "plain", now, (mark,)), mark


@given(
    opens_s=st.integers(1, 10_000),
    window_s=st.none() | st.integers(1, 10_000),
    early_s=st.floats(0, 3000),
    at=st.integers(-100, 25_000),
    later=st.integers(0, 3000),
)
def test_a_stage_changes_only_where_a_turn_is_told(
    opens_s: int, window_s: int | None, early_s: float, at: int, later: int
) -> None:
    now = datetime.fromisoformat("2026-03-02T09:00:00+00:00")
    clock, mark = a_clock(now, opens_s, window_s)
    one, other = now + timedelta(seconds=at), now + timedelta(seconds=at + later)
    if stage_of(clock, mark, one, early_s) is not stage_of(clock, mark, other, early_s):
        assert any(one < turn <= other for turn in turns(clock, mark, early_s))


@pytest.fixture
def desk(shelf: Shelf, now: datetime) -> Desk:
    made = Desk(shelf, lambda: now)
    made.begin("Heron", "small", {})
    made.go("H1")
    made.start_clock("bedding", entry=made.entries_for("bedding")[0])
    return made


def mark_of(desk: Desk, name: str) -> Mark:
    found = desk.clocks()[0].clock.mark(name)
    assert found is not None
    return found


def at(desk: Desk, moment: datetime) -> list[Stage]:
    desk.now = lambda: moment
    return [call.stage for call in desk.calls()]


def test_a_harmful_mark_calls_early_then_when_it_comes_then_last_then_too_late(desk: Desk) -> None:
    for mark in desk.clocks()[0].clock.marks:
        if mark.id == "last-wipe":
            at(desk, mark.opens)
            desk.answer(desk.calls()[0])
    pull = mark_of(desk, "pull")
    assert pull.harm >= EARLY_HARM
    assert pull.shuts is not None
    early = timedelta(seconds=desk.shop.settings.early_s)
    assert at(desk, pull.opens - early - timedelta(seconds=1)) == []
    assert at(desk, pull.opens - early) == [Stage.SOON]
    assert at(desk, pull.opens) == [Stage.OPEN]
    assert at(desk, pull.shuts - early) == [Stage.LAST_CHANCE]
    assert Stage.TOO_LATE in at(desk, pull.shuts)


def test_an_early_warning_that_was_seen_calls_again_when_the_mark_comes(desk: Desk) -> None:
    wipe = mark_of(desk, "last-wipe")
    assert at(desk, wipe.opens - timedelta(seconds=60)) == [Stage.SOON]
    desk.answer(desk.calls()[0])
    assert desk.calls() == []
    assert at(desk, wipe.opens - timedelta(seconds=1)) == []
    assert at(desk, wipe.opens) == [Stage.OPEN]
    assert mark_of(desk, "last-wipe").acknowledged is None


def test_later_calls_again_before_the_window_shuts(desk: Desk) -> None:
    wipe = mark_of(desk, "last-wipe")
    assert wipe.shuts is not None
    at(desk, wipe.opens)
    desk.later(desk.calls()[0])
    assert desk.calls() == []
    last = wipe.shuts - timedelta(seconds=1)
    assert Stage.LAST_CHANCE in at(desk, last)
    desk.answer(desk.calls()[0])
    assert at(desk, mark_of(desk, "full").opens)
    full = next(call for call in desk.calls() if call.mark.id == "full")
    with pytest.raises(ShopError, match="Nothing later"):
        desk.later(full)


def test_nothing_is_worked_out_again_while_nothing_turned(desk: Desk, now: datetime) -> None:
    desk.clocks()
    turn = desk.turn()
    for second in range(50):
        at(desk, now + timedelta(seconds=second))
    assert desk.turn() == turn
    at(desk, mark_of(desk, "last-wipe").opens)
    assert desk.turn() > turn


@settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=st.lists(st.integers(-4000, 9000), min_size=1, max_size=12))
def test_what_is_kept_is_what_would_be_worked_out(shelf: Shelf, now: datetime, steps: list[int]) -> None:
    desk = Desk(shelf, lambda: now)
    if not desk.blades:
        desk.begin("Heron", "small", {})
        desk.go("H1")
        desk.start_clock("bedding", entry=desk.entries_for("bedding")[0])
    moment = now
    for step in steps:
        moment += timedelta(seconds=step)
        desk.now = lambda moment=moment: moment  # type: ignore[misc]
        fresh = Watch()
        fresh.look(desk.blades, moment, desk.shop.settings.early_s)
        assert desk.calls() == fresh.calls()
        assert desk.clocks() == fresh.clocks()


# -- aside


def test_quick_work_is_told_at_once_and_a_refusal_in_words() -> None:
    told: list[object] = []
    assert Aside().do("a", lambda: 3, told.append, told.append, 20.0)
    assert told == [3]

    def refuse() -> int:
        raise ShopError("no")

    assert Aside().do("a", refuse, told.append, lambda error: told.append(str(error)), 20.0)
    assert told == [3, "no"]


def test_slow_work_is_told_later_and_one_after_another() -> None:
    from threading import Event

    gate, landed = Event(), Event()
    told: list[str] = []
    aside = Aside(landed.set)

    def slow() -> str:
        assert gate.wait(20)
        return "slow"

    assert not aside.do("a", slow, told.append, lambda error: told.append(str(error)))
    assert aside.busy("a")
    assert not aside.take()
    gate.set()
    assert landed.wait(20)
    assert aside.take()
    assert told == ["slow"]
    assert not aside.busy("a")


def test_a_fault_in_work_aside_is_a_sentence() -> None:
    told: list[str] = []
    assert Aside().do("a", lambda: 1 // 0, lambda _: None, lambda error: told.append(str(error)), 20.0)
    assert "ZeroDivisionError" in told[0]


def test_space_lets_an_open_window_call_again_and_done_answers_it(desk: Desk) -> None:
    pull = mark_of(desk, "pull")
    assert pull.shuts is not None
    wipe = mark_of(desk, "last-wipe")
    at(desk, wipe.opens)
    desk.answer(desk.calls()[0])
    assert at(desk, pull.opens) == [Stage.OPEN]
    desk.seen(desk.calls()[0])
    assert mark_of(desk, "pull").acknowledged is None
    assert at(desk, pull.shuts - timedelta(seconds=60)) == [Stage.LAST_CHANCE]
    desk.seen(desk.calls()[0])
    assert mark_of(desk, "pull").acknowledged is not None
