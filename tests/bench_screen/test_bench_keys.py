"""A maker at the keyboard: whole blades, going back, going against a rule, clocks that ended meanwhile."""

from __future__ import annotations

import asyncio
import os
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from textual import events
from textual.keys import _character_to_key
from textual.pilot import Pilot

from workshop import measure
from workshop.bench.alarm import Silent
from workshop.bench.app import BenchApp
from workshop.bench.asking import Option
from workshop.bench.commands import TABLE
from workshop.bench.desk import Desk, Tone
from workshop.build.blade import CLOSED, Blade, State
from workshop.build.route import Entry
from workshop.build.standing import Act
from workshop.drawer import registry
from workshop.shelf.shelf import Shelf

pytestmark = pytest.mark.screen


class Present:
    """The present, moved on by hand."""

    def __init__(self, at: datetime) -> None:
        self.at = at

    def __call__(self) -> datetime:
        return self.at

    def on(self, **by: float) -> None:
        self.at += timedelta(**by)


class Hand:
    """The maker's hand on the keyboard."""

    def __init__(self, app: BenchApp, pilot: Pilot[None], present: Present) -> None:
        self.app, self.pilot, self.present = app, pilot, present
        self.desk = app.desk

    async def press(self, *keys: str) -> None:
        for key in keys:
            self.app.on_key(events.Key(key, " " if key == "space" else key if len(key) == 1 else None))
            await self.settle()

    async def settle(self) -> None:
        """Let every message that is on its way arrive; no time passes."""
        await self.pilot._wait_for_screen()
        arrived = asyncio.Event()
        self.app.call_later(arrived.set)
        await asyncio.wait_for(arrived.wait(), 20)  # only a program that has ended leaves it waiting
        await self.pilot._wait_for_screen()

    async def type(self, text: str) -> None:
        for letter in text:
            self.app.on_key(events.Key(_character_to_key(letter), letter))
        await self.settle()

    async def fill(self, text: str) -> None:
        await self.type(text)
        await self.press("enter")

    async def screen(self) -> str:
        """Return what stands on the terminal."""
        await self.pilot.pause()
        lines = self.app.screen._compositor.render_strips()
        return "\n".join("".join(segment.text for segment in line) for line in lines)

    async def shows(self, text: str) -> bool:
        """Wait until a text stands on the terminal: on a busy machine the paint comes later than the key."""
        for _ in range(50):
            if text in await self.screen():
                return True
        return False

    def on_disk(self) -> Blade:
        """Return the blade in hand as another program would read it."""
        assert self.desk.key is not None
        return Shelf(self.desk.shelf.folder, registry.NAMES).blade(self.desk.key)

    def state(self, step: str) -> State:
        return self.desk.states()[step]


@asynccontextmanager
async def at_the_bench(
    shelf: Shelf, key: str | None, present: Present, size: tuple[int, int] = (80, 24)
) -> AsyncIterator[Hand]:
    desk = Desk(shelf, present)
    if key is not None:
        desk.open(key)
    seconds = iter(range(10**9))
    app = BenchApp(desk, Silent(), running_s=lambda: float(next(seconds)))
    async with app.run_test(size=size) as pilot:
        hand = Hand(app, pilot, present)
        await hand.settle()
        yield hand


def likely(entry: Entry) -> str:
    """Return a text for a value that lies inside its limits."""
    if entry.kind == "choice":
        return entry.options[0]
    if entry.kind == "word":
        return "as agreed"
    return entry.least or entry.most or measure.KINDS[entry.kind].example


async def one_thing(hand: Hand) -> None:
    """Do the next thing with the keys a maker would press."""
    mode, following, step = hand.app.mode, hand.desk.natural(), hand.desk.step
    if mode == "field" and following is not None and step is not None:
        entry = step.entry(following.item)
        await hand.fill(likely(entry) if entry is not None else "common sense")
    elif mode == "bench" and following is not None and following.act is Act.WAIT:
        hand.present.on(minutes=30)
        hand.app.tick()
    else:
        await hand.press("space")


async def to_the_end(hand: Hand, most: int) -> None:
    for _ in range(most):
        if all(state in CLOSED for state in hand.desk.states().values()):
            return
        await one_thing(hand)
    raise AssertionError(f"not done: {hand.desk.step}, {hand.app.mode}, {hand.desk.said}")


async def test_a_whole_blade_by_the_one_big_key(shelf: Shelf, blade: Blade, now: datetime) -> None:
    async with at_the_bench(shelf, blade.key, Present(now)) as hand:
        await to_the_end(hand, 120)
        kept = hand.on_disk()
    assert all(kept.progress(step.id).state is State.DONE for step in kept.own_steps())
    assert kept.values["blade-length"].text == "60 mm"
    assert {clock.plan for clock in kept.clocks.values()} == {"bedding", "drying", "cure"}


async def test_the_real_route_from_first_to_last_step(tmp_path: Path, now: datetime) -> None:
    shelf = Shelf(tmp_path, registry.NAMES)
    blade = shelf.begin("Heron", "hidden-tang", now)
    async with at_the_bench(shelf, blade.key, Present(now)) as hand:
        await to_the_end(hand, 4000)
        kept = hand.on_disk()
    assert all(kept.progress(step.id).state is State.DONE for step in kept.own_steps())
    assert len(kept.own_steps()) > 80


async def test_a_one_way_step_starts_only_after_its_last_look(
    shelf: Shelf, blade: Blade, now: datetime
) -> None:
    async with at_the_bench(shelf, blade.key, Present(now)) as hand:
        await hand.press("space", "space", "space", "space")
        await hand.fill("155 mm")
        await hand.press("space")  # finish A1
        hand.desk.go("B1")
        await hand.press("space")
        assert hand.app.mode == "lastlook"
        assert await hand.shows("LAST LOOK")
        assert (await hand.screen()).count("true?") == 2
        await hand.press("space", "space")
        assert hand.state("B1") is State.READY
        await hand.press("space")
        assert hand.state("B1") is State.IN_HAND
        assert hand.app.mode == "bench"
        assert await hand.shows("HANDS FULL")


async def test_going_on_before_all_is_true_asks_for_a_reason_and_keeps_it(
    shelf: Shelf, blade: Blade, now: datetime
) -> None:
    async with at_the_bench(shelf, blade.key, Present(now)) as hand:
        hand.desk.go("H1")
        await hand.press("s")  # against the rules too, what cannot be undone shows its last look first
        assert hand.app.mode == "lastlook"
        assert await hand.shows("LAST LOOK")
        await hand.press("o")
        assert hand.app.mode == "field"
        assert await hand.shows("waits for")
        await hand.press("enter")
        assert await hand.shows("Without a reason nothing is changed.")
        assert hand.state("H1") is State.WAITING
        await hand.press("o")
        await hand.fill("The block came early")
        assert hand.state("H1") is State.IN_HAND
        assert hand.on_disk().log[-1].why == "The block came early"


async def test_an_empty_reason_changes_nothing(shelf: Shelf, blade: Blade, now: datetime) -> None:
    async with at_the_bench(shelf, blade.key, Present(now)) as hand:
        await hand.press("l", "enter")
        assert hand.app.mode == "bench"
        assert hand.state("A1") is State.READY
        await hand.press("l")
        await hand.fill("Bought in")
        assert hand.on_disk().progress("A1").state is State.LEFT_OUT


async def test_taking_back_several_times(shelf: Shelf, blade: Blade, now: datetime) -> None:
    async with at_the_bench(shelf, blade.key, Present(now)) as hand:
        await hand.press("space", "space", "space")
        assert len(hand.on_disk().progress("A1").ticked) == 2
        await hand.press("backspace", "backspace")
        assert hand.on_disk().progress("A1").ticked == ()
        await hand.press("backspace")
        assert hand.on_disk().progress("A1").state is None
        await hand.press("backspace")  # nothing more: said, not raised
        assert hand.desk.said.tone is Tone.REFUSED


async def test_doing_a_step_over_shows_what_it_spoils_first(
    shelf: Shelf, blade: Blade, now: datetime
) -> None:
    async with at_the_bench(shelf, blade.key, Present(now)) as hand:
        await to_the_end(hand, 120)
        hand.desk.go("H2")
        await hand.press("f")
        assert hand.app.mode == "choose"
        assert await hand.shows("It spoils H3 Sand")
        assert hand.state("H2") is State.DONE
        await hand.press("space")
        assert [hand.state(step) for step in ("H2", "H3")] == [State.DO_OVER] * 2
        hand.desk.go("B1")  # a one-way step: with a reason only
        await hand.press("f", "space")
        assert hand.app.mode == "field"
        await hand.fill("A cold shut in the bar")
        assert [hand.state(step) for step in ("B1", "H1", "H2", "H3")] == [State.DO_OVER] * 4


async def test_a_measure_outside_its_limits_is_said_and_kept_with_a_reason(
    shelf: Shelf, blade: Blade, now: datetime
) -> None:
    async with at_the_bench(shelf, blade.key, Present(now)) as hand:
        await hand.press("n")
        assert await hand.shows("60 mm to 400 mm")
        await hand.fill("a hand and a half")
        assert hand.app.mode == "field"  # what was typed is still there to be mended
        assert hand.desk.said.tone is Tone.REFUSED
        await hand.press("escape", "n")
        await hand.fill("480 mm")
        assert hand.app.mode == "field"
        await hand.fill("A sword after all")
        value = hand.on_disk().values["blade-length"]
    assert (value.text, value.why) == ("480 mm", "A sword after all")


async def test_a_clock_that_ended_while_the_program_was_closed_calls_when_it_opens(
    shelf: Shelf, blade: Blade, now: datetime
) -> None:
    present = Present(now)
    async with at_the_bench(shelf, blade.key, present) as hand:
        hand.desk.go("H1")
        await hand.press("s", "o")
        await hand.fill("to see the clock")
        await hand.press("c")
        assert hand.app.mode == "clock"
        await hand.press("space")
        assert hand.state("H1") is State.RESTING
    present.on(days=2)
    async with at_the_bench(Shelf(shelf.folder, registry.NAMES), blade.key, present) as hand:
        assert hand.app.mode == "call"
        assert hand.app.alarm.rings >= 1
        called = hand.desk.calls()
        assert [call.mark.harm for call in called] == sorted((c.mark.harm for c in called), reverse=True)
        assert await hand.shows("Heron")
        for _ in called:
            assert hand.app.mode == "call"
            await hand.press("space")
        assert hand.app.mode == "bench"
        assert not hand.desk.calls()
        marks = next(iter(hand.on_disk().clocks.values())).marks
    assert all(mark.acknowledged for mark in marks if mark.opens <= present.at)


async def test_a_clock_started_earlier(shelf: Shelf, blade: Blade, now: datetime) -> None:
    async with at_the_bench(shelf, blade.key, Present(now)) as hand:
        hand.desk.go("H1")
        await hand.press("c", "a")
        await hand.fill("20")
        assert hand.app.mode == "clock"
        assert await hand.shows("20 min ago")
        await hand.press("enter")
        made = next(iter(hand.on_disk().clocks.values()))
    assert made.started == now - timedelta(minutes=20)


async def test_a_mark_never_takes_a_key_from_a_line_that_is_typed_nor_from_full_hands(
    shelf: Shelf, blade: Blade, now: datetime
) -> None:
    present = Present(now)
    async with at_the_bench(shelf, blade.key, present) as hand:
        hand.desk.go("H1")
        await hand.press("c", "space")
        await hand.press("m")
        await hand.type("grey ")
        present.on(days=1)
        hand.app.tick()
        await hand.settle()
        assert hand.app.mode == "field"
        assert await hand.shows("told, not asked")
        await hand.fill("film")
        assert hand.on_disk().log[-1].says == "grey film"
        assert hand.app.mode == "call"


async def test_full_hands_are_told_of_a_mark_and_asked_later(
    shelf: Shelf, blade: Blade, now: datetime
) -> None:
    present = Present(now)
    async with at_the_bench(shelf, blade.key, present) as hand:
        hand.desk.go("H1")
        await hand.press("c", "space")
        hand.desk.go("B1")
        await hand.press("s", "o")
        await hand.fill("it is hot already")
        present.on(days=1)
        hand.app.tick()
        await hand.settle()
        assert hand.app.mode == "bench"
        assert await hand.shows("told, not asked")
        assert hand.app.alarm.rings >= 1
        for away in ("r", "question_mark"):  # it is told wherever the maker goes
            await hand.press(away)
            assert await hand.shows("TOO LATE: Heron · trim or pull")
            await hand.press("x")
        waiting = len(hand.desk.calls())
        await hand.press("enter")  # seen, without being asked
        assert len(hand.desk.calls()) == waiting - 1
        assert hand.app.mode == "bench"
        await hand.press("space")  # the step goes on: it is finished
        assert hand.on_disk().progress("B1").state is State.DONE
        assert hand.app.mode == "call"


async def test_a_key_meant_for_what_stood_there_before_answers_no_mark(
    shelf: Shelf, blade: Blade, now: datetime
) -> None:
    present = Present(now)
    async with at_the_bench(shelf, blade.key, present) as hand:
        hand.desk.go("H1")
        await hand.press("c", "space")
        hand.app._running_s = lambda: 100.0
        present.on(days=1)
        hand.app.tick()
        waiting = len(hand.desk.calls())
        await hand.press("space")
        assert len(hand.desk.calls()) == waiting
        hand.app._running_s = lambda: 101.0
        await hand.press("space")
        assert len(hand.desk.calls()) == waiting - 1


async def test_what_another_window_changed_shows_at_the_next_tick(
    shelf: Shelf, blade: Blade, now: datetime
) -> None:
    async with at_the_bench(shelf, blade.key, Present(now)) as hand:
        other = Desk(Shelf(shelf.folder, registry.NAMES), Present(now))
        other.open(blade.key)
        other.start()
        hand.app.tick()
        await hand.settle()
        assert await hand.shows("IN HAND")


async def test_a_poisoned_name_reaches_the_screen_as_stand_ins(shelf: Shelf, now: datetime) -> None:
    bad = shelf.begin("Her[/x]on\x1b]0;\x9b\u202e", "small", now, about="[@click=app.quit]x")
    async with at_the_bench(shelf, bad.key, Present(now)) as hand:
        shown = await hand.screen()
        assert "Her[/x]on␛" in shown
        assert not any(letter in shown for letter in "\x1b\x9b\u202e")
        await hand.press("r", "space", "w", "w", "question_mark", "x")


async def test_every_place_shows_its_keys_and_a_plain_way_out(
    shelf: Shelf, blade: Blade, now: datetime
) -> None:
    async with at_the_bench(shelf, blade.key, Present(now)) as hand:
        for way_in, place, way_out in (
            ("r", "rack", "x"),
            ("w", "wall", "w"),
            ("d", "drawer", "escape"),
            ("question_mark", "help", "x"),
        ):
            await hand.press(way_in)
            assert hand.app.mode == place
            assert (await hand.screen()).strip()
            await hand.press(way_out)
            assert hand.app.mode == "bench", place


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (60, 15)])
async def test_no_size_crashes_and_the_key_line_stays(
    shelf: Shelf, blade: Blade, now: datetime, size: tuple[int, int]
) -> None:
    async with at_the_bench(shelf, blade.key, Present(now), size) as hand:
        assert await hand.shows("Space")
        if size[0] < 80:
            assert await hand.shows("80 by 24")
        await hand.press("down", "right", "n", "escape", "r", "x")
        assert hand.app.mode == "bench"


EXAMPLES = int(os.environ.get("WORKSHOP_KEY_SEQUENCES", "25"))
"""How many sequences of keys are tried; more by hand, now and then."""
STRAY = [
    "5",
    "é",
    "N",
    "D",
    "[",
    "f1",
    "f9",
    "tab",
    "delete",
    "insert",
    "ctrl+z",
    "ctrl+s",
    "alt+x",
    "shift+tab",
]
KEYS = sorted({key for command in TABLE for key in command.keys} - {"q"})


@settings(
    max_examples=EXAMPLES,
    deadline=None,
    suppress_health_check=list(HealthCheck),
    database=None,
)
@given(keys=st.lists(st.sampled_from([*KEYS, *STRAY, *["space"] * 12]), min_size=10, max_size=45))
def test_no_sequence_of_keys_loses_a_finished_step_or_crashes(
    keys: list[str], tmp_path_factory: pytest.TempPathFactory, small_text: str, now: datetime
) -> None:
    folder = tmp_path_factory.mktemp("shelf")
    (folder / "routes").mkdir()
    (folder / "routes" / "small.toml").write_text(small_text, encoding="utf-8")
    shelf = Shelf(folder, registry.NAMES)
    blade = shelf.begin("Heron", "small", now)

    async def run() -> None:
        present = Present(now)
        async with at_the_bench(shelf, blade.key, present) as hand:
            former: tuple[object, ...] = ()
            done: set[str] = set()
            for key in keys:
                present.on(seconds=95)
                await hand.press(key)
                kept = Shelf(folder, registry.NAMES).blade(blade.key)
                assert kept.log[: len(former)] == former
                new = kept.log[len(former) :]
                lost = {one for one in done if kept.progress(one).state is not State.DONE}
                assert not lost or {entry.did for entry in new} & {"do over", "take back"}, lost
                done = {step.id for step in kept.own_steps() if kept.progress(step.id).state is State.DONE}
                former = kept.log
                shown = next(one for one in hand.desk.blades if one.key == blade.key)
                assert shown.steps == kept.steps
                hand.app.tick()

    asyncio.run(run())


@pytest.fixture(scope="module")
def small_text() -> str:
    conftest = Path(__file__).parent.parent / "conftest.py"
    space: dict[str, object] = {}
    exec(conftest.read_text(encoding="utf-8"), space)
    return str(space["SMALL_ROUTE"])


async def test_the_terminal_changes_size_at_every_place(shelf: Shelf, blade: Blade, now: datetime) -> None:
    async with at_the_bench(shelf, blade.key, Present(now)) as hand:
        hand.desk.go("H1")
        hand.desk.start("to be at it")
        for way_in in ("c", "n", "f", "d", "r", "w", "question_mark", "m"):
            await hand.press(way_in)
            for width, height in ((120, 40), (40, 10), (200, 60), (80, 24)):
                await hand.pilot.resize_terminal(width, height)
                await hand.settle()
            assert await hand.shows("Heron")
            while hand.app.mode != "bench":
                await hand.press("escape")


async def test_long_lists_to_choose_from_stay_in_sight(shelf: Shelf, blade: Blade, now: datetime) -> None:
    async with at_the_bench(shelf, blade.key, Present(now)) as hand:
        hand.app.offer("which?", tuple(Option(f"line {number}", lambda: None) for number in range(30)))
        hand.app.show_all()
        for _ in range(20):
            await hand.press("down")
        assert await hand.shows("> line 20")
        await hand.press("x")
        assert hand.app.mode == "bench"
