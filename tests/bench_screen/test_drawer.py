"""The drawer: what fills a field, answers at each letter, slips kept, and keys that can do no harm."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from workshop.bench import drawerpane, looks
from workshop.bench.alarm import Silent
from workshop.bench.answer import answer_rows, reckoning_rows
from workshop.bench.app import BenchApp
from workshop.bench.desk import Desk, Tone
from workshop.bench.drawerpane import DrawerPane, list_rows, matching
from workshop.bench.line import Line
from workshop.bench.reckoning import Reckoning
from workshop.build import changes
from workshop.build.blade import Blade, Value
from workshop.drawer import registry
from workshop.errors import ShopError
from workshop.shelf.shelf import Shelf


@pytest.fixture
def desk(shelf: Shelf, blade: Blade, now: datetime) -> Desk:
    desk = Desk(shelf, lambda: now)
    desk.open(blade.key)
    desk.go("H1")
    return desk


def opened(desk: Desk, name: str) -> Reckoning:
    return Reckoning(desk, registry.calculator(name))


def typed(one: Reckoning, name: str, text: str) -> None:
    one.at = [field.name for field in one.fields].index(name)
    for letter in text:
        assert one.key("space" if letter == " " else letter, letter)


def measured(desk: Desk, **texts: str) -> None:
    """Write measurements on the blade, as steps of the route would."""
    for name, text in texts.items():
        value = Value(text, "length")
        desk.do(lambda one, n=name, v=value: changes.write_down(one, n.replace("_", "-"), v, n, desk.now()))


def origins(one: Reckoning) -> dict[str, str]:
    return {field.name: one.filled(field).origin for field in one.fields}


def shown(one: Reckoning, width: int = 100, height: int = 40) -> str:
    return looks.plain(reckoning_rows(one, width, height))


# -- what fills the fields


def test_what_is_needed_is_said_with_an_example_and_waits_under_the_hand(desk: Desk) -> None:
    one = opened(desk, "pin-drill")
    assert one.field is not None
    assert one.field.name == "pin"
    assert origins(one) == {"pin": "needed", "clearance": "assumed", "set": "assumed"}
    assert "needs pin" in one.trouble
    assert "not yet" in shown(one)


def test_the_answer_follows_each_letter_in_both_systems(desk: Desk) -> None:
    one = opened(desk, "pin-drill")
    typed(one, "pin", "5/32in")
    assert one.worked is not None
    # A 5/32 in pin wants 0.159 in; #20 is 0.161 in (number drills, ASME B94.11M as in Machinery's Handbook).
    assert {row.name: row.shown() for row in one.worked.rows}["drill"] == "#20"
    text = shown(one)
    assert "#20" in text
    assert "4.089 mm · 0.1610 in" in text
    one.key("backspace", None)
    one.key("backspace", None)
    one.key("backspace", None)
    assert one.worked is None, "5/3 is no pin"


def test_a_text_that_cannot_be_read_is_said_and_the_text_stays(desk: Desk) -> None:
    one = opened(desk, "pin-drill")
    typed(one, "pin", "about so")
    assert "pin" in one.trouble
    assert one.typed() == {"pin": "about so"}


def test_the_blade_fills_what_it_knows_and_a_typed_text_goes_before_it(desk: Desk) -> None:
    measured(desk, slot_width="6.5 mm", slot_height="20 mm", slot_depth="95 mm")
    one = opened(desk, "slot-fill")
    assert origins(one)["slot-depth"] == "blade"
    one.at = 0
    assert "from the blade: slot-width, 6.5 mm" in " ".join(shown(one).split())
    typed(one, "slot-depth", "90 mm")
    assert one.filled(one.fields[one.at]).text == "90 mm"
    for _ in "90 mm":
        one.key("backspace", None)
    assert one.filled(one.fields[one.at]).text == "95 mm"


def test_a_change_of_the_blade_or_the_air_is_worked_in_when_the_drawer_is_drawn(desk: Desk) -> None:
    one = opened(desk, "dew-point")
    assert not one.freshen()
    before = one.trouble
    desk.read_air("17.5 °C", "61 %")
    assert one.freshen()
    assert one.trouble != before or one.worked is not None
    assert "air" in origins(one).values()


def test_old_air_says_how_old_it_is(desk: Desk, now: datetime) -> None:
    desk.read_air("17.5 °C", "61 %")
    desk.now = lambda: now + timedelta(hours=3)
    one = opened(desk, "dew-point")
    one.at = list(origins(one).values()).index("air")
    assert "read 3 h ago" in " ".join(shown(one).split())


def test_what_was_given_last_is_offered_with_its_blade_and_taken_by_one_key(
    desk: Desk, shelf: Shelf, now: datetime
) -> None:
    one = opened(desk, "pin-drill")
    typed(one, "pin", "4 mm")
    one.keep()
    desk.begin("Wren", "small", {})
    other = opened(desk, "pin-drill")
    other.at = 0
    assert origins(other)["pin"] == "needed"
    assert "last time, Heron: 4 mm (→ takes it)" in " ".join(shown(other).split())
    assert other.key("right", None)
    assert other.typed() == {"pin": "4 mm"}


def test_a_choice_is_turned_with_the_arrows_or_its_first_letter(desk: Desk) -> None:
    one = opened(desk, "pin-drill")
    one.at = 2
    asked = one.fields[2]
    assert asked.choices[0] == one.filled(asked).text == "inch"
    one.key("right", None)
    assert one.filled(asked).text == "metric"
    one.key("left", None)
    one.key("m", "m")
    assert one.filled(asked).text == "metric"
    one.key("backspace", None)
    assert one.filled(asked).origin == "assumed"


# -- slips


def test_a_slip_is_kept_at_the_step_with_what_it_was_taken_from(desk: Desk, shelf: Shelf) -> None:
    measured(desk, pin_diameter="4 mm")
    one = opened(desk, "pin-drill")
    one.keep()
    (slip,) = shelf.blade("heron").slips.values()
    assert (slip.calculator, slip.step) == ("pin-drill", "H1")
    assert slip.taken["pin"] == ("pin-diameter", "4 mm")
    assert slip.found["drill"][0]
    calculators = [registry.calculator("pin-drill")]
    assert "slip 1" in looks.plain(list_rows(desk, calculators, 0, Line(), 80, 13))
    measured(desk, pin_diameter="5 mm")
    assert "slip 1 STALE" in looks.plain(list_rows(desk, calculators, 0, Line(), 80, 13))


def test_no_answer_is_not_kept(desk: Desk, shelf: Shelf) -> None:
    with pytest.raises(ShopError, match="no answer to keep"):
        opened(desk, "pin-drill").keep()
    assert not shelf.blade("heron").slips


# -- the list


def test_the_steps_own_calculators_come_first(desk: Desk) -> None:
    text = looks.plain(list_rows(desk, desk.calculators(), 0, Line(), 80, 13)).split("\n")
    assert text[2].startswith("> step Glue for a slot")
    assert "step" not in text[3][:8]


@pytest.mark.parametrize(
    ("sought", "first"), [("pin", "pin-drill"), ("glue slot", "slot-fill"), ("dew", "dew-point")]
)
def test_letters_find_a_calculator(desk: Desk, sought: str, first: str) -> None:
    assert matching(desk.calculators(), sought)[0].name == first


def test_a_page_is_never_larger_than_the_pane_and_all_is_on_some_page(desk: Desk) -> None:
    one = opened(desk, "pin-drill")
    typed(one, "pin", "5/32in")
    pages = []
    for page in range(20):
        one.page = page
        rows = reckoning_rows(one, 80, 13)
        assert len(rows) <= 13
        if one.page < page:
            break
        pages.append(looks.plain(rows))
    text = " ".join(" ".join(pages).split())
    assert "worked:" in text
    assert "holds for:" in text
    assert "from:" in text


EDITING = ("backspace", "delete", "left", "right", "home", "end")


@settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    name=st.sampled_from(registry.NAMES),
    keys=st.lists(
        st.sampled_from([*EDITING, "down", "up", *"0123456789./:;- %mincC°kg\x1b\u202e木"]), max_size=25
    ),
    width=st.integers(30, 130),
    height=st.integers(3, 40),
)
def test_no_keys_crash_a_calculator(desk: Desk, name: str, keys: list[str], width: int, height: int) -> None:
    one = opened(desk, name)
    for key in keys:
        if key in ("down", "up"):
            one.move(1 if key == "down" else -1)
        else:
            one.key(key, key if len(key) == 1 else None)
        assert (one.worked is None) == bool(one.trouble)
    rows = reckoning_rows(one, width, height)
    assert len(rows) <= height
    assert not set(looks.plain(rows)) & {"\x1b", "\u202e"}


def test_a_figure_is_seen_whole_on_a_narrow_screen(desk: Desk) -> None:
    one = opened(desk, "octagon")
    for field in one.fields:
        if field.name in one.calculator.example.given:
            one.put(field, one.calculator.example.given[field.name])
    assert one.worked is not None
    figure = one.worked.answer.figure
    one.page = 0
    assert "figure: PgDn" in shown(one, 80, 13)
    one.page = 1
    text = shown(one, 80, 13).split("\n")[1:]
    assert [line.rstrip() for line in figure] == text[: len(figure)]
    seen = ""
    for one.page in range(12):
        seen += shown(one, 80, 13)
    assert all(looks.plain([row]).strip() in seen for row in answer_rows(one, 44, with_figure=False))
    one.page = 0
    inline = shown(one, 140, 60)
    assert all(line.strip() in inline for line in figure)


def test_the_purpose_of_the_marked_calculator_is_read_whole(desk: Desk) -> None:
    calculators = desk.calculators()
    text = " ".join(looks.plain(list_rows(desk, calculators, 3, Line(), 80, 13)[-2:]).split())
    assert text.endswith(calculators[3].purpose)


# -- by keys


@pytest.mark.screen
async def test_the_drawer_by_keys_from_the_bench_to_a_kept_slip(desk: Desk, shelf: Shelf) -> None:
    app = BenchApp(desk, Silent())
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("d", *"drill", "space", *"pin", "enter")
        pane = app.pane(DrawerPane)
        assert pane.open_one is not None
        assert pane.open_one.calculator.name == "pin-drill"
        await pilot.press(*"4mm", "k")
        assert pane.open_one.typed() == {"pin": "4mmk"}, "letters are text while a field has the hand"
        await pilot.press("backspace", "up", "k")
        await pilot.pause()
        assert shelf.blade("heron").slips["1"].given["pin"] == "4mm"
        assert app.desk.said.tone is Tone.DONE
        await pilot.press("x")
        assert pane.open_one is None
        assert app.mode == "drawer"
        await pilot.press("backspace", "backspace")
        for _ in "rill pin":
            await pilot.press("backspace")
        await pilot.pause()
        assert app.mode == "bench"


@pytest.mark.screen
async def test_f2_keeps_from_inside_a_field_and_a_refusal_is_said(desk: Desk, shelf: Shelf) -> None:
    app = BenchApp(desk, Silent())
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("d", *"pin-d", "enter", "f2")
        await pilot.pause()
        assert app.desk.said.tone is Tone.REFUSED
        assert "no answer to keep" in app.desk.said.text
        await pilot.press(*"4mm", "f2")
        await pilot.pause()
        assert len(shelf.blade("heron").slips) == 1
        await pilot.press("escape", "escape")
        await pilot.pause()
        assert app.mode == "bench"


@pytest.mark.screen
async def test_what_was_typed_is_there_when_the_drawer_is_opened_again(desk: Desk) -> None:
    app = BenchApp(desk, Silent())
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("d", *"pin-d", "enter", *"4mm", "escape", "escape", "down", "d", *"pin-d", "enter")
        pane = app.pane(DrawerPane)
        assert pane.open_one is not None
        assert pane.open_one.typed() == {"pin": "4mm"}


@pytest.mark.screen
async def test_a_slower_search_follows_aside(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(drawerpane, "SEARCH_AFTER_S", 0.001)
    app = BenchApp(desk, Silent())
    slow = next(one for one in desk.calculators() if one.later is not None)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("d", *slow.name, "enter")
        one = app.pane(DrawerPane).open_one
        assert one is not None
        assert one.calculator is slow
        for field in one.fields:
            if field.name in slow.example.given and field.kind != "choice":
                one.put(field, slow.example.given[field.name])
        assert one.worked is not None
        quick = {row.name for row in one.worked.rows}
        assert one.searching
        app.pane(DrawerPane).show()
        for _ in range(200):
            await pilot.pause()
            await app.workers.wait_for_complete()
            if not one.searching:
                break
        assert not one.searching
        assert {row.name for row in one.worked.rows} > quick
