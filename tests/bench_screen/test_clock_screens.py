"""Clocks on the screen: the witness, the air, a run with the hands full, the maker's day, being noticed."""

from __future__ import annotations

import sys
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot

from workshop.bench import looks
from workshop.bench.alarm import Silent, notice
from workshop.bench.app import BenchApp
from workshop.bench.callpane import call_rows
from workshop.bench.clockpane import clock_rows
from workshop.bench.desk import Desk, Tone
from workshop.bench.notices import form_known, knows_99
from workshop.bench.runpane import run_rows
from workshop.bench.wall import wall_rows
from workshop.build import moves
from workshop.build.blade import Blade, State
from workshop.build.clock import Clock, Mark, Stage
from workshop.build.timekeeping import Anchor
from workshop.drawer import registry
from workshop.shelf import anchor_file
from workshop.shelf.shelf import Shelf

pytestmark = pytest.mark.screen

ROUTE = """
schema = 1
id = "glued"
title = "Glued knife"

[[phase]]
id = "K"
title = "Glue"

[[step]]
id = "K1"
title = "Glue up"
purpose = "One piece."
one_way = true
last_look = ["Rag stays white"]
checks = ["Clamped true"]
hands_full = true
makes = ["pot life"]
[[step.clock]]
id = "mix"
title = "glue-up"
kind = "adhesive"
store = "adhesives/slow"
minds = ["dust"]
[[step.move]]
says = "slot filled from the bottom"
by = "10 min"
scaled = true
[[step.move]]
says = "block home, one twist"
by = "20 min"
scaled = true
[[step.move]]
says = "clamped"

[[step]]
id = "K2"
title = "Grind the guard"
purpose = "Flush."
hands_on = ["2 h"]
makes = ["dust", "loud"]
[[step.clock]]
id = "in-oil"
title = "count in oil"
kind = "count"
fills = "oil-count"
[[step.record]]
name = "oil-count"
says = "Count in the oil"
kind = "time"
unit = "s"
"""
HOURS = """
[hours]
monday = "08:00 to 18:00"
tuesday = "08:00 to 18:00"
sleep = "22:00 to 07:00"
[warn]
early = "10 min"
"""


@dataclass
class Hand:
    """A maker at the keyboard, and the present."""

    app: BenchApp
    pilot: Pilot[None]
    at: list[datetime]
    desk: Desk = field(init=False)

    def __post_init__(self) -> None:
        self.desk = self.app.desk

    async def press(self, *keys: str) -> None:
        for key in keys:
            self.app.on_key(events.Key(key, " " if key == "space" else key if len(key) == 1 else None))
            await self.pilot.pause()

    async def later(self, **by: float) -> None:
        self.at[0] += timedelta(**by)
        self.app.tick()
        await self.pilot.pause()

    def blade(self) -> Blade:
        assert self.desk.key is not None
        return Shelf(self.desk.shelf.folder, registry.NAMES).blade(self.desk.key)

    async def screen(self) -> str:
        await self.pilot.pause()
        lines = self.app.screen._compositor.render_strips()
        return "\n".join("".join(segment.text for segment in line) for line in lines)


@pytest.fixture
def glue(tmp_path: Path, now: datetime) -> Shelf:
    (tmp_path / "routes").mkdir()
    (tmp_path / "routes" / "glued.toml").write_text(ROUTE, encoding="utf-8")
    shelf = Shelf(tmp_path, registry.NAMES)
    shelf.begin("Heron", "glued", now)
    desk = Desk(shelf, lambda: now)
    desk.read_air("22 °C", "50 %")
    return shelf


@asynccontextmanager
async def at_the_bench(
    shelf: Shelf, now: datetime, anchoring: Callable[[datetime], Anchor] | None = None
) -> AsyncIterator[Hand]:
    at = [now]
    desk = Desk(shelf, lambda: at[0])
    desk.open("heron")
    seconds = iter(range(10**9))
    app = BenchApp(desk, Silent(), running_s=lambda: float(next(seconds)), anchoring=anchoring)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        yield Hand(app, pilot, at)


async def to_the_run(hand: Hand) -> None:
    await hand.press("space", "space", "space")
    assert hand.app.mode == "ready"
    await hand.press("space")
    assert hand.app.mode == "run"


# -- hands full


async def test_a_run_is_made_ready_begun_by_one_key_stamped_and_noted(glue: Shelf, now: datetime) -> None:
    async with at_the_bench(glue, now) as hand:
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
    glue: Shelf, now: datetime
) -> None:
    async with at_the_bench(glue, now) as hand:
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


async def test_a_run_goes_on_after_the_program_was_killed(glue: Shelf, now: datetime) -> None:
    async with at_the_bench(glue, now) as hand:
        await to_the_run(hand)
    async with at_the_bench(Shelf(glue.folder, registry.NAMES), now + timedelta(minutes=3)) as hand:
        assert hand.app.mode == "run"
        await hand.press("space")
        assert len(hand.blade().runs["K1-1"].stamps) == 1


async def test_over_a_run_a_mark_of_another_blade_is_one_line_and_space_still_stamps(
    glue: Shelf, now: datetime
) -> None:
    other = Desk(glue, lambda: now - timedelta(hours=1))
    other.begin("Wren", "glued", {})
    other.start_clock("mix", entry=other.entries_for("mix")[0])
    async with at_the_bench(glue, now) as hand:
        for _ in range(20):  # what has come meanwhile is seen first
            if hand.app.mode != "call":
                break
            await hand.press("space")
        await to_the_run(hand)
        rings = hand.app.alarm.rings
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
        assert not hand.app.alarm.told
        await hand.press("space")
        assert len(hand.blade().runs["K1-1"].stamps) == 1
        assert hand.app.mode == "run"
        assert all(
            m.acknowledged is None for m in glue.blade("wren").clocks["mix-1"].marks if m.id == "last-wipe"
        )


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


async def test_the_big_key_starts_and_stops_a_count_to_the_tenth(glue: Shelf, now: datetime) -> None:
    async with at_the_bench(glue, now) as hand:
        hand.desk.go("K2")
        await hand.press("space")
        hand.desk.start_clock("in-oil")
        await hand.later(seconds=6)
        hand.desk.exact = lambda: now + timedelta(seconds=6.4)
        assert "stop the count" in (await hand.screen())
        await hand.press("space")
        assert hand.blade().values["oil-count"].text == "6.4 s"


# -- the witness and the air


async def test_one_digit_says_what_the_witness_does_and_what_moved(glue: Shelf, now: datetime) -> None:
    async with at_the_bench(glue, now) as hand:
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


async def test_a_reading_of_the_air_is_recorded_and_says_what_moved(glue: Shelf, now: datetime) -> None:
    async with at_the_bench(glue, now) as hand:
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
        assert (glue.folder / "air.toml").read_text(encoding="utf-8").count("[[reading]]") >= 2
        await hand.press("w")
        hand.desk.read_air("8 °C")
        hand.app.show_all()
        assert "STANDS STILL: TOO COLD" in (await hand.screen())


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


async def test_before_it_starts_a_window_in_the_night_is_said_with_a_better_start(
    glue: Shelf, now: datetime
) -> None:
    (glue.folder / "shop.toml").write_text(HOURS, encoding="utf-8")
    evening = now.replace(hour=17)
    async with at_the_bench(glue, evening) as hand:
        hand.desk.read_air("22 °C")
        await hand.press("space")
        shown = " ".join((await hand.screen()).split())
        assert "while you sleep" in shown
        assert "YOU SLEEP" in shown
        assert "best at" in shown
        hand.desk.go("K1")
        await hand.press("x", "c")
        assert "while you sleep" in " ".join((await hand.screen()).split())


async def test_a_clash_is_said_when_a_step_starts(glue: Shelf, now: datetime) -> None:
    other = Desk(glue, lambda: now)
    other.begin("Wren", "glued", {})
    other.start_clock("mix", entry=other.entries_for("mix")[0])
    async with at_the_bench(glue, now) as hand:
        hand.desk.go("K2")
        await hand.press("space")
        assert hand.desk.said.tone is Tone.NOTICE
        assert "Wren" in hand.desk.said.text
        assert hand.desk.states()["K2"] is State.IN_HAND
        hand.desk.go("K1")
        await hand.press("space")
        assert "never two at once" in " ".join((await hand.screen()).split())


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
    assert "+1:00" not in texts[Stage.TOO_LATE], "the digits are drawn large"


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
    glue: Shelf, now: datetime
) -> None:
    async with at_the_bench(glue, now) as hand:
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


async def test_the_horn_of_the_settings_sounds_and_its_failure_is_said(glue: Shelf, now: datetime) -> None:
    heard = glue.folder.parent / "heard"
    code = f"import sys, pathlib; pathlib.Path({str(heard)!r}).write_text(sys.argv[-1])"
    words = [sys.executable, "-c", code]
    for command in (words, ["/nowhere/horn"]):
        (glue.folder / "shop.toml").write_text(f"[horn]\ncommand = {command!r}\n", encoding="utf-8")
        async with at_the_bench(glue, now) as hand:
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
                assert "shop.toml" in hand.desk.said.text


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


async def started(hand: Hand) -> Clock:
    hand.desk.start_clock("mix", entry=hand.desk.entries_for("mix")[0])
    hand.app.show_all()
    await hand.pilot.pause()
    return hand.desk.clocks()[0].clock


async def test_a_sleep_is_told_with_what_was_missed_most_harmful_first(glue: Shelf, now: datetime) -> None:
    laptop = Laptop()
    async with at_the_bench(glue, now, laptop) as hand:
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
    glue: Shelf, now: datetime, key: str
) -> None:
    laptop = Laptop()
    async with at_the_bench(glue, now, laptop) as hand:
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


async def test_a_jump_is_not_asked_about_over_full_hands(glue: Shelf, now: datetime) -> None:
    laptop = Laptop()
    async with at_the_bench(glue, now, laptop) as hand:
        await to_the_run(hand)
        laptop.runs(1)
        await hand.later(hours=-1)
        assert hand.app.mode == "run"
        await hand.press("e", "escape")
        hand.desk.finish("done")
        hand.app.show_all()
        assert hand.app.mode == "jump"


async def test_a_clock_that_went_back_while_the_laptop_was_off_is_asked_about(
    glue: Shelf, now: datetime
) -> None:
    laptop = Laptop()
    anchor_file.keep_anchor(glue, laptop(now + timedelta(hours=5)))
    laptop.boot_id = "two"
    async with at_the_bench(glue, now, laptop) as hand:
        assert hand.app.mode == "jump"
        assert "went back" in (await hand.screen())
        await hand.press("n")
        assert hand.app.mode == "bench"


async def test_the_clocks_of_the_laptop_are_kept_when_the_program_is_left(glue: Shelf, now: datetime) -> None:
    async with at_the_bench(glue, now, Laptop()) as hand:
        await hand.press("q")
    kept = anchor_file.kept_anchor(glue)
    assert kept is not None
    assert kept.utc == now.astimezone(UTC)
