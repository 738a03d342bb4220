"""Being noticed: each stage's words and shape, bell, horn and notices; and what the laptop's clock did."""

from __future__ import annotations

import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from workshop.bench import looks
from workshop.bench.alarm import notice
from workshop.bench.callpane import call_rows
from workshop.bench.desk import Desk, Said
from workshop.bench.notices import form_known, knows_99
from workshop.build.blade import Blade
from workshop.build.clock import Clock, Mark, Stage
from workshop.build.timekeeping import Anchor
from workshop.drawer import registry
from workshop.shelf import anchor_file
from workshop.shelf.shelf import Shelf

pytestmark = pytest.mark.screen


async def to_the_run(hand: Any) -> None:
    await hand.press("space", "space", "space")
    assert hand.app.mode == "ready"
    await hand.press("space")
    assert hand.app.mode == "run"


# -- being noticed


def a_call(glue: Shelf, now: datetime, opens_s: int, shuts_s: int) -> Desk:
    desk = Desk(glue, lambda: now)
    begun = now - timedelta(hours=10)
    mark = Mark(
        "m", "wipe off", now + timedelta(seconds=opens_s), now + timedelta(seconds=shuts_s), "Wipe", "x", 3
    )
    clock = Clock("c-1", "mix", "oil", "K1", "coat", begun, (mark,))
    desk.blades = [Blade(**{**vars(desk.blades[0]), "clocks": {"c-1": clock}})]
    return desk


def test_each_stage_has_words_and_a_shape_of_its_own(glue: Shelf, now: datetime) -> None:
    hour = 3600
    stages = {
        Stage.SOON: a_call(glue, now, 300, hour),
        Stage.OPEN: a_call(glue, now, -60, 2 * hour),
        Stage.LAST_CHANCE: a_call(glue, now, -5 * hour, 300),
        Stage.TOO_LATE: a_call(glue, now, -2 * hour, -hour),
    }
    texts, shapes = {}, {}
    for stage, desk in stages.items():
        assert [call.stage for call in desk.calls()] == [stage]
        rows = call_rows(desk, now - timedelta(hours=9), 80, 20)
        assert len(rows) == 20
        texts[stage] = looks.plain(rows)
        shapes[stage] = tuple(
            "".join(text for text, _ in row)[:6] for row in (rows[0], rows[1], rows[-1], rows[-2])
        )
    words = ("COMES SOON", "A MARK HAS COME", "LAST CHANCE", "TOO LATE")
    for stage, word in zip(stages, words, strict=True):
        assert word in texts[stage]
        assert all(word not in text for other, text in texts.items() if other is not stage)
    assert len(set(shapes.values())) == 4


def test_at_the_last_chance_the_whole_screen_turns(glue: Shelf, now: datetime) -> None:
    desk = a_call(glue, now, -18_000, 300)
    looks_seen = []
    for second in (0, 1):
        desk.now = lambda second=second: now + timedelta(seconds=second)  # type: ignore[misc]
        rows = call_rows(desk, now - timedelta(hours=9), 80, 20)
        looks_seen.append({look for row in rows for _, look in row})
    assert "here" not in looks_seen[0]
    assert looks_seen[1] <= {"here", "strong"}


async def test_a_call_repeats_until_it_is_seen_and_can_wait_for_its_last_chance(
    glue: Shelf, now: datetime, at_glue: Any
) -> None:
    async with at_glue(glue, now) as hand:
        hand.desk.start_clock("mix", entry=hand.desk.entries_for("mix")[0])
        wipe = hand.desk.clocks()[0].clock.mark("last-wipe")
        assert wipe is not None
        hand.at[0] = wipe.opens
        for call in hand.desk.calls():
            if call.mark.id != "last-wipe":
                hand.desk.answer(call)
        await hand.later(seconds=0)
        assert hand.app.mode == "call"
        rings, told = hand.app.alarm.rings, len(hand.app.alarm.told)
        assert rings
        assert told
        for _ in range(20):
            await hand.later(seconds=1)
        assert hand.app.alarm.rings >= rings + 9
        await hand.press("l")
        assert hand.app.mode == "bench"
        assert wipe.shuts is not None
        hand.at[0] = wipe.shuts - timedelta(seconds=30)
        await hand.later(seconds=0)
        for call in hand.desk.calls():
            if call.mark.id != "last-wipe":
                hand.desk.answer(call)
        await hand.later(seconds=1)
        assert "LAST CHANCE" in (await hand.screen())
        await hand.press("space")
        marks = {mark.id: mark for mark in hand.blade().clocks["mix-1"].marks}
        assert marks["last-wipe"].acknowledged is not None


async def test_under_a_mark_that_has_come_nothing_older_is_said(
    glue: Shelf, now: datetime, at_glue: Any
) -> None:
    async with at_glue(glue, now) as hand:
        hand.desk.start_clock("mix", entry=hand.desk.entries_for("mix")[0])
        wipe = hand.desk.clocks()[0].clock.mark("last-wipe")
        hand.desk.said = Said("Nothing to do here until then.")
        hand.at[0] = wipe.opens
        await hand.later(seconds=0)
        assert hand.app.mode == "call"
        assert "Nothing to do here" not in (await hand.screen())


async def test_the_horn_of_the_settings_sounds_and_its_failure_is_said(
    glue: Shelf, now: datetime, at_glue: Any, laptop: Path
) -> None:
    shelf = Shelf(glue.folder, registry.NAMES, laptop=laptop)
    heard = glue.folder.parent / "heard"
    code = f"import sys, pathlib; pathlib.Path({str(heard)!r}).write_text(sys.argv[-1])"
    words = [sys.executable, "-c", code]
    for command in (words, ["/nowhere/horn"]):
        laptop.write_text(f"[horn]\ncommand = {command!r}\n", encoding="utf-8")
        async with at_glue(shelf, now) as hand:
            hand.desk.start_clock("mix", entry=hand.desk.entries_for("mix")[0])
            wipe = hand.desk.clocks()[0].clock.mark("last-wipe")
            assert wipe is not None
            hand.at[0] = wipe.opens
            await hand.later(seconds=0)
            for _ in range(400):
                if not hand.desk.aside.busy("horn"):
                    break
                await hand.pilot.pause(0.02)
            hand.desk.landed()
            if command is words:
                assert "Heron" in heard.read_text(encoding="utf-8")
            else:
                assert "horn does not work" in hand.desk.said.text
                assert "laptop.toml" in hand.desk.said.text


@pytest.mark.parametrize(
    ("form", "head"), [("9", "\x1b]9;"), ("777", "\x1b]777;notify;"), ("99", "\x1b]99;")]
)
def test_a_notice_is_one_control_string_and_nothing_in_it_ends_it_early(form: str, head: str) -> None:
    text = notice(form, "Heron: wipe; off\x1b\\\x07 now")
    assert text.startswith(head)
    assert text.endswith("\x1b\\")
    assert text.count("\x1b") == 2
    assert "\x07" not in text
    assert notice("", "x") == ""


def test_only_a_terminal_that_says_so_is_sent_notices() -> None:
    assert form_known({"WORKSHOP_NOTICES": "777", "TERM": "xterm"}) == "777"
    assert form_known({"WORKSHOP_NOTICES": "off", "TERM": "xterm"}) == ""
    assert form_known({"TERM": "linux"}) == ""
    assert form_known({"TERM": "xterm", "TMUX": "x"}) == ""
    assert knows_99(b"\x1b]99;i=workshop-asks:p=?;o=always:p=title,body\x1b\\\x1b[?62;c")
    assert not knows_99(b"\x1b[?62;c")


# -- what the laptop's clock did


class Laptop:
    """The clocks of a laptop, moved by hand."""

    def __init__(self) -> None:
        self.boot_s, self.awake_s, self.boot_id = 10_000.0, 9_000.0, "one"

    def __call__(self, now: datetime) -> Anchor:
        return Anchor(now, self.boot_s, self.awake_s, self.boot_id)

    def runs(self, seconds: float, asleep: float = 0.0) -> None:
        self.boot_s += seconds + asleep
        self.awake_s += seconds


async def started(hand: Any) -> Clock:
    hand.desk.start_clock("mix", entry=hand.desk.entries_for("mix")[0])
    hand.app.show_all()
    await hand.pilot.pause()
    return hand.desk.clocks()[0].clock


async def test_a_sleep_is_told_with_what_was_missed_most_harmful_first(
    glue: Shelf, now: datetime, at_glue: Any
) -> None:
    laptop = Laptop()
    async with at_glue(glue, now, laptop) as hand:
        await started(hand)
        laptop.runs(1, asleep=20 * 3600)
        await hand.later(hours=20, seconds=1)
        assert hand.app.mode == "call"
        shown = await hand.screen()
        assert "CAME WHILE YOU WERE AWAY" in shown
        assert "The laptop slept for 20 h" in shown
        assert "if late" in shown
        harms = [call.mark.harm for call in hand.desk.calls()]
        assert harms[0] == 3
        assert harms == sorted(harms, reverse=True)


@pytest.mark.parametrize("key", ["n", "b"])
async def test_a_clock_set_forward_is_asked_about_and_marks_stay_true(
    glue: Shelf, now: datetime, at_glue: Any, key: str
) -> None:
    laptop = Laptop()
    async with at_glue(glue, now, laptop) as hand:
        clock = await started(hand)
        pull = clock.mark("pull")
        assert pull is not None
        left = pull.opens - now
        laptop.runs(5)
        await hand.later(hours=9, seconds=5)
        assert hand.app.mode == "jump"
        shown = " ".join((await hand.screen()).split())
        assert "set forward by 9 h" in shown
        assert not hand.blade().clocks["mix-1"].started > now, "nothing moves before the maker says"
        await hand.press(key)
        assert hand.app.mode == "bench"
        after = hand.desk.clocks()[0].clock.mark("pull")
        assert after is not None
        assert abs((after.opens - hand.desk.now()) - left) < timedelta(seconds=10)
        if key == "b":  # the laptop's clock is put right again: nothing is asked
            laptop.runs(5)
            hand.at[0] -= timedelta(hours=9) - timedelta(seconds=5)
            await hand.later(seconds=0)
            assert hand.app.mode == "bench"
            assert "right again" in hand.desk.said.text
            assert abs(after.opens - hand.desk.now() - left) < timedelta(seconds=20)


async def test_a_jump_is_not_asked_about_over_full_hands(glue: Shelf, now: datetime, at_glue: Any) -> None:
    laptop = Laptop()
    async with at_glue(glue, now, laptop) as hand:
        await to_the_run(hand)
        laptop.runs(1)
        await hand.later(hours=-1)
        assert hand.app.mode == "run"
        await hand.press("e", "escape")
        hand.desk.finish("done")
        hand.app.show_all()
        assert hand.app.mode == "jump"


async def test_a_clock_that_went_back_while_the_laptop_was_off_is_asked_about(
    glue: Shelf, laptop: Path, now: datetime, at_glue: Any
) -> None:
    ours, shelf = Laptop(), Shelf(glue.folder, registry.NAMES, laptop=laptop)
    anchor_file.keep_anchor(shelf, ours(now + timedelta(hours=5)))
    ours.boot_id = "two"
    async with at_glue(shelf, now, ours) as hand:
        assert hand.app.mode == "jump"
        assert "went back" in (await hand.screen())
        await hand.press("n")
        assert hand.app.mode == "bench"


async def test_the_clocks_of_the_laptop_are_kept_when_the_program_is_left(
    glue: Shelf, laptop: Path, now: datetime, at_glue: Any
) -> None:
    shelf = Shelf(glue.folder, registry.NAMES, laptop=laptop)
    async with at_glue(shelf, now, Laptop()) as hand:
        await hand.press("q")
    kept = anchor_file.kept_anchor(shelf)
    assert kept is not None
    assert kept.utc == now.astimezone(UTC)
