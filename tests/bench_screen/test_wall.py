"""The wall view and the call: digits to be read from across the shop, words, and no mark lost."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from itertools import groupby

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from workshop.bench import looks
from workshop.bench.alarm import Silent
from workshop.bench.app import BenchApp
from workshop.bench.callpane import band, call_rows
from workshop.bench.desk import Desk
from workshop.bench.wall import wall_rows
from workshop.shelf.shelf import Shelf

NAMES = ("Heron", "Wren", "Bittern", "Kite")


def running(shelf: Shelf, now: datetime, count: int) -> Desk:
    """Return a desk with so many blades, each with a bed that cures since now."""
    desk = Desk(shelf, lambda: now)
    for name in NAMES[:count]:
        desk.begin(name, "small", {})
        desk.go("H1")
        desk.start_clock("bedding", entry=desk.entries_for("bedding")[0])
    return desk


def digit_heights(lines: list[str]) -> Iterator[int]:
    """Yield how many lines each block of large digits takes."""
    for inked, block in groupby(lines, key=lambda line: "█" in line):
        if inked:
            yield len(list(block))


@pytest.mark.parametrize("size", [(80, 21), (120, 37), (80, 20)])
@pytest.mark.parametrize("count", [1, 2, 3, 4])
def test_digits_are_seven_rows_or_more_with_blade_and_mark_in_words(
    shelf: Shelf, now: datetime, size: tuple[int, int], count: int
) -> None:
    desk = running(shelf, now, count)
    rows = wall_rows(desk, *size)
    lines = looks.plain(rows).split("\n")
    assert len(rows) <= size[1]
    assert all(height >= 7 for height in digit_heights(lines))
    text = "\n".join(lines)
    shown = [pair.blade.name for pair in desk.clocks()][:3]
    assert all(f"{name} · bedding" in text for name in shown)
    assert text.count("LAST WET WIPE") == min(count, 3)
    assert ("and 1 more clock" in text) == (count == 4)


def test_the_digits_are_drawn_with_plain_characters_where_blocks_lack(shelf: Shelf, now: datetime) -> None:
    text = looks.plain(wall_rows(running(shelf, now, 2), 80, 21, blocks=False))
    assert "█" not in text
    assert "###" in text


def test_with_no_clock_the_wall_says_so(shelf: Shelf, now: datetime) -> None:
    assert "No clock runs." in looks.plain(wall_rows(Desk(shelf, lambda: now), 80, 21))


@settings(deadline=None, max_examples=80, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(width=st.integers(10, 200), height=st.integers(1, 60), later=st.integers(0, 40 * 3600))
def test_wall_and_call_never_leave_their_pane(
    shelf: Shelf, now: datetime, width: int, height: int, later: int
) -> None:
    desk = running(shelf, now, 0) if shelf.keys() else running(shelf, now, 4)
    desk.now = lambda: now + timedelta(seconds=later)
    for rows in (wall_rows(desk, width, height), call_rows(desk, now, width, height)):
        assert len(rows) <= max(height, 1)
    assert call_rows(desk, now, 80, 21)[1:] or not desk.calls()


def test_the_call_says_what_to_do_while_there_is_time_and_what_is_left_when_it_is_late(
    shelf: Shelf, now: datetime
) -> None:
    desk = running(shelf, now, 1)
    pull = next(mark for mark in desk.clocks()[0].clock.marks if mark.id == "pull")
    assert pull.shuts is not None
    for mark in desk.clocks()[0].clock.marks:
        if mark.opens < pull.opens:
            desk.now = lambda moment=mark.opens: moment  # type: ignore[misc]
            desk.answer(desk.calls()[0])
    desk.now = lambda: pull.opens
    text = looks.plain(call_rows(desk, now, 80, 21))
    assert "A MARK HAS COME" in text
    assert pull.says.upper() in text
    assert "OPEN since" in text
    assert pull.do.split()[0] in text
    late_at = pull.shuts + timedelta(minutes=30)
    desk.now = lambda: late_at
    text = looks.plain(call_rows(desk, late_at, 80, 21))
    assert "CAME WHILE YOU WERE AWAY" in text
    assert "MISSED" in text
    assert "30 min ago" in text
    assert pull.late.split()[0] in text


def test_the_most_harmful_mark_is_called_first(shelf: Shelf, now: datetime) -> None:
    desk = running(shelf, now, 2)
    desk.now = lambda: now + timedelta(days=20)
    calls = desk.calls()
    assert [call.mark.harm for call in calls] == sorted((call.mark.harm for call in calls), reverse=True)
    text = looks.plain(call_rows(desk, now, 80, 24))
    assert f"1 of {len(calls)}, most harmful first" in text
    assert calls[0].mark.says.upper() in text


def test_the_band_changes_its_shape_each_second(now: datetime) -> None:
    one, other = (band("A MARK", now + timedelta(seconds=n), 80) for n in (0, 1))
    assert looks.plain([one]) != looks.plain([other])
    assert looks.width_of(one) == looks.width_of(other) == 80


@pytest.mark.screen
async def test_a_call_takes_the_screen_from_any_place_and_space_answers_one_mark(
    shelf: Shelf, now: datetime
) -> None:
    desk = running(shelf, now, 2)
    seconds = [100.0]
    alarm = Silent()
    app = BenchApp(desk, alarm, running_s=lambda: seconds[0])
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("w")
        await pilot.pause()
        assert app.mode == "wall"
        desk.now = lambda: now + timedelta(days=20)
        app.tick()
        await pilot.pause()
        assert app.mode == "call"
        assert alarm.rings
        waiting = len(desk.calls())
        seconds[0] += 1
        await pilot.press("space", "space", "space")
        await pilot.pause()
        assert len(desk.calls()) == waiting - 1, "a key pressed twice must not answer a mark nobody read"
        for _ in range(waiting - 1):
            seconds[0] += 1
            await pilot.press("space")
        await pilot.pause()
        assert not desk.calls()
        assert app.mode == "wall"
    kept = shelf.blades()[0]
    assert all(mark.acknowledged for blade in kept for clock in blade.clocks.values() for mark in clock.marks)
