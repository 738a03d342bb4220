"""The bench's parts without a screen: the table of commands, digits, times, lines, the tick, the card."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.bench import acts, digits, looks, times
from workshop.bench.alarm import rings_now
from workshop.bench.app import BenchApp
from workshop.bench.commands import PLACES, TABLE, at_place, clashes, laid_over
from workshop.bench.desk import Desk, Tone
from workshop.bench.help import help_rows
from workshop.bench.line import Line
from workshop.bench.lines import key_rows
from workshop.bench.stepcard import StepCard, card_rows, hours, pages
from workshop.bench.steplist import list_rows
from workshop.bench.ticking import Ticking, until_next
from workshop.build.blade import Blade, State
from workshop.build.standing import Act
from workshop.errors import ShopError
from workshop.shelf.shelf import Shelf

TYPED = "field"


@pytest.fixture
def desk(shelf: Shelf, blade: Blade, now: datetime) -> Desk:
    made = Desk(shelf, lambda: now)
    made.open(blade.key)
    return made


# -- the table of commands


def test_no_key_means_two_things_at_one_place() -> None:
    assert clashes(TABLE) == []


def test_a_clash_is_found() -> None:
    assert clashes((*TABLE, TABLE[0].__class__("other", "x", ("space",), "bench")))


def test_no_command_needs_a_chord_or_only_a_slow_key() -> None:
    for command in TABLE:
        assert not any("ctrl" in key or "alt" in key for key in command.keys), command
        if command.where != TYPED:  # where a line is typed, an empty Enter leaves it too
            assert command.keys[0] != "escape" or len(command.keys) > 1, command


def test_every_place_is_known_and_has_keys() -> None:
    assert {command.where for command in TABLE} == set(PLACES)


def test_the_help_names_every_command() -> None:
    shown = re.sub(r"\s+", " ", looks.plain(help_rows(80, "bench")))
    assert all(re.sub(r"\s+", " ", command.says) in shown for command in TABLE)


def test_every_bench_command_does_something() -> None:
    assert {command.id for command in at_place("bench")} <= set(acts.ACTS)


def test_a_command_that_does_not_apply_says_why_in_a_sentence(
    shelf: Shelf, desk: Desk, now: datetime
) -> None:
    def why(name: str) -> str:
        return next(one for one in at_place("bench") if one.id == name).refusal(desk)

    assert why("ready") == "A1 Written spec has no run with the hands full to get ready."
    assert why("do-over") == "A1 Written spec is not begun, so there is nothing to do over."
    assert why("seen") == "No mark is told just now; Space does what is next."
    assert why("witness") == "No glue cures, so no witness to press."
    assert why("take-back") == "Heron has no change to take back."
    desk.leave_out("not for this one")
    assert why("take-back") == ""
    assert why("anyway") == "A1 Written spec is left out; F does it over."
    bare = Desk(shelf, lambda: now)
    assert all("R" in one.refusal(bare) for one in at_place("bench") if one.id in ("number", "take-back"))


def test_a_makers_own_key_is_laid_over_and_a_clash_refused() -> None:
    table = laid_over({"note": "j"})
    assert next(one for one in table if one.id == "note").keys == ("j",)
    with pytest.raises(ShopError, match="one key"):
        laid_over({"note": "n"})
    with pytest.raises(ShopError, match="no command"):
        laid_over({"nonsense": "n"})


@pytest.mark.parametrize("where", PLACES)
@pytest.mark.parametrize("width", [80, 120])
def test_the_key_line_fits_and_keeps_help(where: str, width: int) -> None:
    lines = key_rows("write down: " + "a long name " * 9, at_place(where), width)
    assert len(lines) <= 2
    assert all(looks.width_of(line) <= width for line in lines)
    if any(command.id == "help" for command in at_place(where)):
        assert "? " in looks.plain(lines)


# -- digits


def test_large_digits_are_at_least_seven_rows_and_all_differ() -> None:
    shapes = {sign: tuple(digits.large(sign)) for sign in "0123456789:-+d "}
    assert len(set(shapes.values())) == len(shapes)
    assert all(len(shape) >= 7 for shape in shapes.values())


def test_small_digits_are_three_rows_and_all_differ() -> None:
    shapes = {sign: tuple(digits.small(sign)) for sign in "0123456789:-d"}
    assert len(set(shapes.values())) == len(shapes)
    assert all(len(shape) == 3 for shape in shapes.values())


@given(st.from_regex(r"[0-9]{1,2}:[0-9]{2}", fullmatch=True), st.integers(7, 20), st.integers(1, 5))
def test_large_digits_are_as_wide_as_said(text: str, rows: int, across: int) -> None:
    shape = digits.large(text, rows, across=across)
    assert len(shape) == rows
    assert {len(line) for line in shape} == {digits.large_width(text, across)}


def test_digits_that_do_not_fit_are_not_drawn() -> None:
    assert digits.best("12:34", 12, 20) == []
    assert digits.best("12:34", 80, 6) == []


def test_without_blocks_only_plain_characters() -> None:
    assert set("".join(digits.large("12:34", blocks=False))) == {"#", " "}
    assert all(line.isascii() for line in digits.small("12:34", blocks=False))
    assert digits.can_show_blocks({"LANG": "en_GB.UTF-8"})
    assert not digits.can_show_blocks({"LANG": "en_GB.UTF-8", "LC_ALL": "en_GB.ISO-8859-1"})


# -- times


@pytest.mark.parametrize(
    ("seconds", "left", "shown"),
    [
        (0, "0:00", "0:00"),
        (59.9, "0:59", "0:59"),
        (3599, "59:59", "59:59"),
        (3600, "1:00:00", "1:00"),
        (86_399, "23:59:59", "23:59"),
        (90_000, "1 d 01:00", "1d 01"),
    ],
)
def test_lengths_of_time(seconds: float, left: str, shown: str) -> None:
    assert (times.left(seconds), times.digits(seconds)) == (left, shown)


def test_a_moment_is_as_short_as_it_is_clear(now: datetime) -> None:
    assert re.fullmatch(r"\d\d:\d\d", times.when(now, now))
    assert re.fullmatch(r"[A-Z][a-z]{2} \d\d:\d\d", times.when(now + timedelta(days=2), now))
    assert re.fullmatch(r"\d{4}-\d\d-\d\d \d\d:\d\d", times.when(now + timedelta(days=9), now))


# -- rows


@given(st.text(max_size=60), st.integers(1, 40))
def test_a_fitted_row_is_exactly_so_wide(text: str, width: int) -> None:
    shown = "".join(letter for letter in text if letter.isprintable())
    assert looks.width_of(looks.fitted(looks.row(shown), width)) == width


@given(st.text(alphabet="abc déß漢 ", max_size=300), st.integers(20, 90), st.integers(0, 4))
def test_wrapping_loses_no_word(text: str, width: int, hang: int) -> None:
    lines = looks.wrapped(text, width, hang)
    assert "".join("".join(lines).split()) == "".join(text.split())


@given(
    st.lists(st.tuples(st.text("ab 漢", max_size=6), st.sampled_from(["plain", "here"])), max_size=4),
    st.data(),
)
def test_only_what_differs_of_a_row_is_drawn_and_all_of_it(
    pieces: list[tuple[str, str]], data: st.DataObject
) -> None:
    width = 20
    other = data.draw(st.permutations(pieces))
    first, end = looks.changed_span(tuple(pieces), tuple(other), width)
    was, now = (looks.strip(tuple(line), width) for line in (pieces, other))
    mixed = was.crop(0, first), now.crop(first, end), was.crop(end, width)
    shown = [(letter, segment.style) for part in mixed for segment in part for letter in segment.text]
    assert shown == [(letter, segment.style) for segment in now for letter in segment.text]


def test_a_second_that_ticks_draws_one_cell() -> None:
    assert looks.changed_span(looks.row("Heron 0:31 left"), looks.row("Heron 0:32 left"), 40) == (9, 10)


# -- a typed line


@given(
    st.lists(st.sampled_from(["a", "é", "left", "right", "home", "end", "backspace", "delete"]), max_size=60)
)
def test_a_line_is_edited_like_a_list_of_letters(keys: list[str]) -> None:
    line, letters, at = Line(), list[str](), 0
    for key in keys:
        line = line.key(key, key if len(key) == 1 else None) or line
        if len(key) == 1:
            letters.insert(at, key)
            at += 1
        elif key == "backspace" and at:
            at -= 1
            del letters[at]
        elif key == "delete":
            del letters[at : at + 1]
        else:
            moves = {
                "left": max(at - 1, 0),
                "right": min(at + 1, len(letters)),
                "home": 0,
                "end": len(letters),
            }
            at = moves.get(key, at)
        assert (line.text, line.at) == ("".join(letters), at)


def test_a_pasted_text_becomes_one_line_without_control_characters() -> None:
    assert Line.of("a").put("b\nc\x1b[31m\td").text == "ab c[31m d"


# -- the tick and the bell


class Timers:
    """Timers that fire when told."""

    def __init__(self) -> None:
        self.delays: list[float] = []
        self.callback: Callable[[], Any] = lambda: None
        self.live = 0

    def set_timer(self, delay: float, callback: Callable[[], Any]) -> Any:
        self.delays.append(delay)
        self.callback = callback
        self.live += 1
        return self

    def stop(self) -> None:
        self.live -= 1


def test_the_tick_is_aligned_to_the_whole_second_and_slows_when_nothing_runs() -> None:
    timers, ticks, runs = Timers(), [0], [True]
    wall = [1000.25]

    def tick() -> None:
        ticks[0] += 1

    ticking = Ticking(timers, tick, lambda: runs[0], lambda: wall[0])
    ticking.start()
    ticking.start()
    assert timers.delays == [pytest.approx(0.76)]
    wall[0] = 1001.01
    runs[0] = False
    timers.callback()
    assert ticks == [1]
    assert timers.delays[-1] == pytest.approx(60 - 1001.01 % 60 + 0.01)


def test_a_tick_that_was_just_coming_when_the_program_is_left_does_nothing() -> None:
    timers, ticks = Timers(), [0]

    def tick() -> None:
        ticks[0] += 1

    ticking = Ticking(timers, tick, lambda: True, lambda: 1000.25)
    ticking.start()
    ticking.stop()
    timers.callback()
    assert ticks == [0]
    assert len(timers.delays) == 1
    assert timers.live == 0


def test_a_tick_without_a_screen_does_nothing(desk: Desk) -> None:
    app = BenchApp(desk)
    for _ in range(2):  # the first has something to show
        app.tick()


def test_a_count_is_ticked_in_tenths_while_it_is_in_sight() -> None:
    timers, counts = Timers(), [True]
    ticking = Ticking(timers, lambda: None, lambda: True, lambda: 1000.02, lambda: counts[0])
    ticking.start()
    assert timers.delays[-1] == pytest.approx(0.09)
    counts[0] = False
    timers.callback()
    assert timers.delays[-1] == pytest.approx(0.99)


@given(st.floats(0, 1e9))
def test_the_next_tick_lies_just_past_a_whole_second(moment: float) -> None:
    at = moment + until_next(moment, 1.0)
    assert 0.005 < at % 1.0 < 0.02


def test_the_bell_goes_on_until_it_is_answered() -> None:
    rung = [second for second in range(600) if rings_now(second)]
    assert rung[:4] == [0, 2, 4, 6]
    assert max(later - one for one, later in pairwise(rung)) <= 10


# -- the card and the list


def test_what_space_ticks_next_is_in_sight_whatever_page_was_turned_to(shelf: Shelf, now: datetime) -> None:
    blade = shelf.begin("Wren", "hidden-tang", now)
    desk = Desk(shelf, lambda: now)
    desk.open(blade.key)
    for step in [one for one in blade.own_steps() if len(one.checks) > 2 and not one.hands_full][:12]:
        desk.go(step.id)
        card = StepCard(desk)
        card.rows(80, 6)
        card.page = 99
        desk.start("to see the card")
        while desk.natural().act is Act.TICK:
            check = desk.natural().item
            shown = looks.plain(card.rows(80, 6))
            assert "NOW" in shown, step.id
            assert check.split()[0] in shown
            card.page = 99
            desk.do_next()


def test_a_list_over_the_card_counts_no_pages_and_turns_none(shelf: Shelf, now: datetime) -> None:
    blade = shelf.begin("Wren", "hidden-tang", now)
    desk = Desk(shelf, lambda: now)
    desk.open(blade.key)
    card = StepCard(desk)
    card.rows(80, 6)
    card.page = 1
    low = card.rows(80, 2)
    assert "page" not in looks.plain(low[:1])
    assert card.page == 1
    assert "page 2 of" in looks.plain(card.rows(80, 6)[:1])


@pytest.mark.parametrize(
    ("seconds", "says"),
    [
        ((2700.0,), "45 min waiting"),
        ((2700.0, 2700.0), "45 min waiting"),
        ((7200.0, 14400.0), "2 to 4 h waiting"),
        ((86400.0, 604800.0), "1 to 7 days waiting"),
        ((1800.0, 5400.0), "30 min to 1 h 30 waiting"),
        ((86400.0,), "24 h waiting"),
        ((), ""),
    ],
)
def test_how_long_a_step_takes_is_said_as_one_says_it(seconds: tuple[float, ...], says: str) -> None:
    assert hours(seconds, "waiting") == says


def test_every_word_of_a_step_is_on_some_page_of_its_card(shelf: Shelf, now: datetime) -> None:
    blade = shelf.begin("Wren", "hidden-tang", now)
    desk = Desk(shelf, lambda: now)
    desk.open(blade.key)
    for step in blade.own_steps():
        desk.go(step.id)
        shown = [looks.plain(page) for page in pages(card_rows(desk, 80), 9)]
        words = set(re.findall(r"\w+", " ".join(shown)))
        texts = [
            step.purpose,
            step.mistake,
            step.cost,
            *step.checks,
            *step.cautions,
            *step.protect,
            *step.needs,
        ]
        assert {word for text in texts for word in re.findall(r"\w+", text)} <= words, step.id
        assert all(len(page.splitlines()) <= 9 for page in shown)


def test_the_list_shows_states_in_words_and_the_step_looked_at(desk: Desk) -> None:
    shown = looks.plain(list_rows(desk, 40, 10))
    assert "> ready    A1" in shown
    assert "waiting  B1  First weld" in shown
    assert "1way" in shown
    assert "1 of 6" in shown


# -- the desk


def test_a_broken_shop_file_keeps_nothing_from_working(desk: Desk, tmp_path: Path) -> None:
    desk.read_air("17.5 °C", "61")
    (tmp_path / "shop.toml").write_text("air = 3\n", encoding="utf-8")
    desk.refresh()
    assert desk.shop.air_K is not None
    desk.start()
    assert desk.states()["A1"] is State.IN_HAND


def test_a_blade_in_hand_whose_file_breaks_is_said_with_the_reason(desk: Desk, blade: Blade) -> None:
    desk.shelf.path(blade.key).write_text("name = \n", encoding="utf-8")
    desk.refresh()
    assert desk.blade is not None, "as read last"
    assert desk.said.tone is Tone.REFUSED
    assert "line 1" in desk.said.text


def test_air_is_asked_for_again_after_two_hours(shelf: Shelf, now: datetime) -> None:
    moment = [now]
    desk = Desk(shelf, lambda: moment[0])
    assert desk.air_is_stale()
    desk.read_air("64 °F")
    assert not desk.air_is_stale()
    moment[0] += timedelta(hours=2, seconds=1)
    assert desk.air_is_stale()


def test_nothing_is_read_again_while_no_file_changed(desk: Desk) -> None:
    assert desk.refresh() is False


def test_the_present_is_in_utc() -> None:
    from workshop.bench.app import present

    assert present().tzinfo is UTC
    assert present().microsecond == 0
