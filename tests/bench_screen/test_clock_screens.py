"""Clocks on the screen: the witness, the air, a run with the hands full, the maker's day."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest

from workshop.bench import looks
from workshop.bench.clockpane import clock_rows
from workshop.bench.desk import Desk, Tone
from workshop.bench.runpane import run_rows
from workshop.bench.wall import wall_rows
from workshop.build import moves
from workshop.build.blade import State
from workshop.drawer import registry
from workshop.shelf.shelf import Shelf

pytestmark = pytest.mark.screen

HOURS = """
[hours]
monday = "08:00 to 18:00"
tuesday = "08:00 to 18:00"
sleep = "22:00 to 07:00"
[warn]
early = "10 min"
"""


async def to_the_run(hand: Any) -> None:
    await hand.press("space", "space", "space")
    assert hand.app.mode == "ready"
    await hand.press("space")
    assert hand.app.mode == "run"


# -- hands full


async def test_a_run_is_made_ready_begun_by_one_key_stamped_and_noted(
    glue: Shelf, now: datetime, at_glue: Any
) -> None:
    async with at_glue(glue, now) as hand:
        await hand.press("space")
        assert hand.app.mode == "lastlook"
        await hand.press("space", "space")
        assert hand.app.mode == "ready"
        ready = await hand.screen()
        assert "slot filled from the bottom" in ready
        assert "by 10:00" in ready
        assert not hand.blade().runs
        assert not hand.blade().clocks
        await hand.press("space")  # first contact
        assert hand.app.mode == "run"
        run = next(iter(hand.blade().runs.values()))
        assert run.started == now
        assert next(iter(hand.blade().clocks.values())).started == now
        shown = await hand.screen()
        assert "NOW    slot filled" in shown
        assert "NEXT   block home" in shown
        assert "left of pot life" in shown
        await hand.later(minutes=12)
        assert "LATE 2:00" in (await hand.screen())
        await hand.press("space")
        assert "NOW    block home" in (await hand.screen())
        await hand.press("backspace")
        assert "NOW    slot filled" in (await hand.screen())
        await hand.press("space", "space", "space")
        assert hand.app.mode == "run"
        assert "ALL MOVES DONE" in (await hand.screen())
        await hand.press("space")
        assert hand.app.mode == "field"
        await hand.press(*"thick", "enter")
        kept = next(iter(hand.blade().runs.values()))
        assert len(kept.stamps) == 3
        assert kept.ended is not None
        assert kept.note == "thick"
        assert hand.app.mode == "bench"


async def test_a_rehearsal_runs_dry_and_a_long_one_is_said_in_the_last_look(
    glue: Shelf, now: datetime, at_glue: Any
) -> None:
    async with at_glue(glue, now) as hand:
        await hand.press("p")
        assert hand.app.mode == "ready"
        await hand.press("y")
        assert "REHEARSAL, dry" in (await hand.screen())
        await hand.later(minutes=40)
        await hand.press("e", "escape")
        kept = hand.blade()
        assert kept.runs["K1-1"].rehearsal
        assert not kept.clocks
        assert hand.desk.states()["K1"] is State.READY
        await hand.press("space")
        assert hand.app.mode == "lastlook"
        assert "The rehearsal took 40:00 min, over half" in " ".join((await hand.screen()).split())


async def test_a_run_goes_on_after_the_program_was_killed(glue: Shelf, now: datetime, at_glue: Any) -> None:
    async with at_glue(glue, now) as hand:
        await to_the_run(hand)
    async with at_glue(Shelf(glue.folder, registry.NAMES), now + timedelta(minutes=3)) as hand:
        assert hand.app.mode == "run"
        await hand.press("space")
        assert len(hand.blade().runs["K1-1"].stamps) == 1


async def test_over_a_run_a_mark_of_another_blade_is_one_line_and_space_still_stamps(
    glue: Shelf, now: datetime, at_glue: Any
) -> None:
    other = Desk(glue, lambda: now - timedelta(hours=1))
    other.begin("Wren", "glued", {})
    other.start_clock("mix", entry=other.entries_for("mix")[0])
    async with at_glue(glue, now) as hand:
        for _ in range(20):  # what has come meanwhile is seen first
            if hand.app.mode != "call":
                break
            await hand.press("space")
        await to_the_run(hand)
        rings, told = hand.app.alarm.rings, len(hand.app.alarm.told)
        wipe = next(m for m in glue.blade("wren").clocks["mix-1"].marks if m.id == "last-wipe")
        hand.at[0] = wipe.opens
        await hand.later(seconds=0)
        assert hand.app.mode == "run"
        shown = await hand.screen()
        assert "told, not asked" in shown
        assert "NOW    slot filled" in shown
        for _ in range(90):
            await hand.later(seconds=1)
        assert hand.app.alarm.rings <= rings + 2, "over full hands it rings once for what is new, no more"
        assert len(hand.app.alarm.told) == told
        await hand.press("space")
        assert len(hand.blade().runs["K1-1"].stamps) == 1
        assert hand.app.mode == "run"
        kept = glue.blade("wren").clocks["mix-1"].mark("last-wipe")
        assert kept is not None
        assert kept.acknowledged is None


@pytest.mark.parametrize("size", [(80, 20), (80, 21), (120, 36), (60, 12)])
def test_a_run_fits_its_pane(glue: Shelf, now: datetime, size: tuple[int, int]) -> None:
    at = [now]
    desk = Desk(glue, lambda: at[0])
    desk.open("heron")
    desk.do(lambda blade: moves.start_run(blade, "K1", now, rehearsal=True))
    for minutes in (0, 61, 3000):
        at[0] = now + timedelta(minutes=minutes)
        rows = run_rows(desk, *size)
        assert len(rows) <= size[1]
        assert "NOW" in looks.plain(rows)
        assert all(looks.width_of(row) <= size[0] for row in rows)


# -- the count in tenths


async def test_the_big_key_starts_and_stops_a_count_to_the_tenth(
    glue: Shelf, now: datetime, at_glue: Any
) -> None:
    async with at_glue(glue, now) as hand:
        hand.desk.go("K2")
        await hand.press("space")
        hand.desk.start_clock("in-oil")
        await hand.later(seconds=6)
        hand.desk.exact = lambda: now + timedelta(seconds=6.4)
        assert "stop the count" in (await hand.screen())
        await hand.press("space")
        assert hand.blade().values["oil-count"].text == "6.4 s"


# -- the witness and the air


async def test_one_digit_says_what_the_witness_does_and_what_moved(
    glue: Shelf, now: datetime, at_glue: Any
) -> None:
    async with at_glue(glue, now) as hand:
        await to_the_run(hand)
        await hand.press("e", "escape")
        before = hand.blade().clocks["mix-1"]
        at = before.mark("gel")
        assert at is not None
        hand.at[0] = now + timedelta(minutes=100)
        while hand.desk.calls():
            hand.desk.answer(hand.desk.calls()[0])
        hand.desk.finish("to see the witness")
        hand.app.show_all()
        await hand.press("b")
        assert hand.app.mode == "choose"
        listed = await hand.screen()
        assert "1 liquid" in listed
        assert "4 hard" in listed
        await hand.press("4")
        after = hand.blade().clocks["mix-1"]
        assert after.quick > 1.5
        assert "times as quick" in hand.desk.said.text
        assert "is now" in hand.desk.said.text
        pull = after.mark("pull")
        assert pull is not None
        assert (glue.folder / "learned.toml").is_file()


async def test_a_reading_of_the_air_is_recorded_and_says_what_moved(
    glue: Shelf, now: datetime, at_glue: Any
) -> None:
    async with at_glue(glue, now) as hand:
        await to_the_run(hand)
        await hand.press("e", "escape")
        hand.at[0] = now + timedelta(minutes=20)
        hand.app.show_all()
        before = hand.blade().clocks["mix-1"].mark("pull")
        await hand.press("t", *"14", "enter", "escape")
        after = hand.blade().clocks["mix-1"].mark("pull")
        assert before is not None
        assert after is not None
        assert after.opens > before.opens + timedelta(hours=2)
        assert "trim or pull" in hand.desk.said.text
        assert hand.desk.said.tone is Tone.NOTICE
        assert (glue.folder / "air.toml").read_text(encoding="utf-8").count("°C") >= 2
        await hand.press("w")
        hand.desk.read_air("8 °C")
        hand.app.show_all()
        assert "STANDS STILL: TOO COLD" in (await hand.screen())


async def test_a_night_set_with_an_editor_moves_the_marks_ahead(
    glue: Shelf, now: datetime, at_glue: Any
) -> None:
    async with at_glue(glue, now.replace(hour=15)) as hand:
        hand.desk.start_clock("mix", entry=hand.desk.entries_for("mix")[0])
        before = hand.blade().clocks["mix-1"].mark("full")
        text = (glue.folder / "shop.toml").read_text(encoding="utf-8") + HOURS
        (glue.folder / "shop.toml").write_text(text + '[night]\ntemperature = "14 °C"\n', encoding="utf-8")
        for _ in range(300):
            await hand.later(seconds=0)
            if hand.desk.said.text.startswith("Heron"):
                break
            await hand.pilot.pause(0.02)
        hand.desk.landed()
        after = hand.blade().clocks["mix-1"].mark("full")
        assert after.opens > before.opens + timedelta(hours=5)
        assert "trim or pull" in hand.desk.said.text


def test_what_the_joint_does_follows_its_age(glue: Shelf, now: datetime) -> None:
    at = [now]
    desk = Desk(glue, lambda: at[0])
    desk.open("heron")
    desk.start_clock("mix", entry=desk.entries_for("mix")[0])
    seen = []
    for minutes in range(0, 60 * 24 * 9, 10):
        at[0] = now + timedelta(minutes=minutes)
        word = desk.doing(desk.clocks()[0])
        if not seen or seen[-1] != word:
            seen.append(word)
    assert seen == ["liquid", "thickening", "stringy", "rubber", "hard", "full"]


def test_pane_and_wall_say_what_passed_what_comes_and_the_last_chance(glue: Shelf, now: datetime) -> None:
    at = [now]
    desk = Desk(glue, lambda: at[0])
    desk.open("heron")
    desk.start_clock("mix", entry=desk.entries_for("mix")[0])
    pull = desk.clocks()[0].clock.mark("pull")
    assert pull is not None
    assert pull.shuts is not None
    at[0] = pull.opens
    while desk.calls() and desk.calls()[0].mark.id != "pull":
        desk.answer(desk.calls()[0])
    for mark in ("gel", "last-wipe", "pot-life", "assembly"):
        for call in desk.calls():
            if call.mark.id == mark:
                desk.answer(call)
    at[0] = pull.shuts - timedelta(minutes=5)
    pane = looks.plain(clock_rows(desk, 60, 30))
    assert "passed" in pane
    assert "next on this clock" in pane
    assert "LAST CHANCE" in pane
    assert "RUBBER" in pane or "HARD" in pane
    assert "LAST CHANCE" in looks.plain(wall_rows(desk, 80, 21))


# -- the maker's day, and what must not overlap


def test_a_clock_with_room_below_is_not_cut(glue: Shelf, now: datetime) -> None:
    desk = Desk(glue, lambda: now)
    desk.open("heron")
    desk.start_clock("mix", entry=desk.entries_for("mix")[0])
    clock = desk.clocks()[0].clock
    words = f"{clock.title} {clock.marks[0].do} {clock.marks[-1].says}".split()
    shown = looks.plain(clock_rows(desk, 40, 30)).split()
    assert not [word for word in words if word not in shown]
    low = clock_rows(desk, 40, 5)
    assert len(low) == 5
    assert all(looks.width_of(line) <= 40 for line in low)


async def test_before_it_starts_a_window_in_the_night_is_said_with_a_better_start(
    glue: Shelf, now: datetime, at_glue: Any
) -> None:
    (glue.folder / "shop.toml").write_text(HOURS, encoding="utf-8")
    evening = now.replace(hour=17)
    async with at_glue(glue, evening) as hand:
        hand.desk.read_air("22 °C")
        await hand.press("space")
        shown = " ".join((await hand.screen()).split())
        assert "while you sleep" in shown
        assert "YOU SLEEP" in shown
        assert "best at" in shown
        hand.desk.go("K1")
        await hand.press("x", "c")
        assert "while you sleep" in " ".join((await hand.screen()).split())


async def test_a_clash_is_said_when_a_step_starts(glue: Shelf, now: datetime, at_glue: Any) -> None:
    other = Desk(glue, lambda: now)
    other.begin("Wren", "glued", {})
    other.start_clock("mix", entry=other.entries_for("mix")[0])
    async with at_glue(glue, now) as hand:
        hand.desk.go("K2")
        await hand.press("space")
        assert hand.desk.said.tone is Tone.NOTICE
        assert "Wren" in hand.desk.said.text
        assert hand.desk.states()["K2"] is State.IN_HAND
        hand.desk.go("K1")
        await hand.press("space")
        assert "never two at once" in " ".join((await hand.screen()).split())
