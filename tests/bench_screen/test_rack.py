"""The rack: what it says of each blade, and that no name or file can spoil it."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from workshop.bench import looks
from workshop.bench.alarm import Silent
from workshop.bench.app import BenchApp
from workshop.bench.desk import Desk
from workshop.bench.rack import Places, rack_rows
from workshop.build.blade import Blade, State
from workshop.shelf.shelf import Shelf


def said(desk: Desk, at: str | None = None, width: int = 80, height: int = 20) -> list[str]:
    return looks.plain(rack_rows(desk, at, width, height)).split("\n")


def bedded(shelf: Shelf, now: datetime) -> Desk:
    """Return a desk with Heron's tang in its bed since now."""
    desk = Desk(shelf, lambda: now)
    desk.open("heron")
    desk.go("H1")
    desk.start("shown in a test")
    desk.start_clock("bedding", entry=desk.entries_for("bedding")[0])
    return desk


def test_an_empty_shelf_says_which_key_begins_a_blade(shelf: Shelf, now: datetime) -> None:
    assert any("N begins one" in line for line in said(Desk(shelf, lambda: now)))


def test_a_blade_is_told_in_two_lines(shelf: Shelf, blade: Blade, now: datetime) -> None:
    lines = said(Desk(shelf, lambda: now), blade.key)
    assert lines[0].endswith("1 blade, no clock runs --")
    assert lines[1].startswith("> Heron 155 mm hunter, walnut ")
    assert lines[1].endswith(" 0 of 6 done")
    assert lines[2].split() == ["ready", "A1", "Written", "spec"]


def test_the_next_mark_is_told_then_that_it_is_late(shelf: Shelf, blade: Blade, now: datetime) -> None:
    desk = bedded(shelf, now)
    mark = next(iter(desk.blades[0].clocks.values())).marks[0]
    ahead = said(desk, "heron")[2]
    assert f"{mark.says} in " in ahead
    desk.now = lambda: (mark.shuts or mark.opens) + timedelta(minutes=5)
    assert "LATE 5:00" in said(desk, "heron")[2]


def test_a_step_in_hand_is_in_capitals(shelf: Shelf, blade: Blade, now: datetime) -> None:
    desk = Desk(shelf, lambda: now)
    desk.open("heron")
    desk.start()
    assert said(desk, "heron")[2].split()[:3] == ["IN", "HAND", "A1"]


def test_where_a_blade_stands_is_worked_out_again_when_a_mark_comes(
    shelf: Shelf, blade: Blade, now: datetime
) -> None:
    desk = bedded(shelf, now)
    places = Places()
    one = desk.blades[0]
    assert places.of(one, now) is places.of(one, now + timedelta(seconds=1))
    mark = next(iter(one.clocks.values())).marks[0]
    assert places.of(one, now) is not places.of(one, mark.opens)


def test_a_file_that_cannot_be_read_is_named_with_its_fault(
    shelf: Shelf, blade: Blade, now: datetime
) -> None:
    (shelf.folder / "wren.toml").write_text("schema = \n", encoding="utf-8")
    text = " ".join(said(Desk(shelf, lambda: now), blade.key))
    assert "wren: cannot be read and is left as it is:" in text
    assert "line 1" in text


def test_a_poisoned_name_reaches_no_row(shelf: Shelf, now: datetime) -> None:
    shelf.begin("Kite \x1b[31m\u202e", "small", now, about='[x] 1/2"[', maker_for="\x9b2J")
    text = "\n".join(said(Desk(shelf, lambda: now)))
    assert not set(text) & {"\x1b", "\u202e", "\x9b"}
    assert '[x] 1/2"[' in text


@settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(width=st.integers(60, 200), height=st.integers(2, 60))
def test_no_row_is_wider_or_lower_than_the_pane(shelf: Shelf, now: datetime, width: int, height: int) -> None:
    if not shelf.keys():
        for name in ("Heron", "Wren", "A rather long name for a knife that nobody uses", "木"):
            shelf.begin(
                name, "small", now, about="155 mm hunter, walnut, copper, a good deal more", maker_for="B"
            )
    rows = rack_rows(Desk(shelf, lambda: now), "wren", width, height)
    assert len(rows) <= height
    assert all(looks.width_of(row) <= width for row in rows)
    assert any(">" in looks.plain([row]) for row in rows)


@pytest.mark.screen
async def test_arrows_and_enter_take_a_blade_to_the_bench(shelf: Shelf, blade: Blade, now: datetime) -> None:
    shelf.begin("Wren", "small", now + timedelta(minutes=1))
    desk = Desk(shelf, lambda: now)
    desk.open("heron")
    app = BenchApp(desk, Silent())
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("r", "down", "enter")
        await pilot.pause()
        assert app.mode == "bench"
        assert desk.key == "wren"
        await pilot.press("r", "up", "space")
        await pilot.pause()
        assert desk.key == "heron"
        assert desk.states()["A1"] is State.READY
