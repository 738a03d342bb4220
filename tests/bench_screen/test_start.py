"""Beginning a blade by keys alone."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import datetime

import pytest
from textual.pilot import Pilot

from workshop.bench import looks
from workshop.bench.alarm import Silent
from workshop.bench.app import BenchApp
from workshop.bench.desk import Desk, Tone
from workshop.bench.startform import StartForm
from workshop.build.blade import Blade
from workshop.shelf.shelf import Shelf

pytestmark = pytest.mark.screen


@asynccontextmanager
async def at_the_form(shelf: Shelf, now: datetime) -> AsyncIterator[tuple[BenchApp, Pilot[None], StartForm]]:
    app = BenchApp(Desk(shelf, lambda: now), Silent())
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("r", "n")
        form = app.pane(StartForm)
        form.route_id = "small"
        yield app, pilot, form


async def typed(pilot: Pilot[None], text: str) -> None:
    await pilot.press(*("space" if letter == " " else letter for letter in text))


async def test_a_blade_is_begun_with_its_words_and_choices(shelf: Shelf, now: datetime) -> None:
    async with at_the_form(shelf, now) as (app, pilot, _):
        await typed(pilot, "Dunlin 2")
        await pilot.press("enter")
        await typed(pilot, "qdx camp knife")
        await pilot.press("down")
        await typed(pilot, "R. Weir")
        await pilot.press("down", "down", "right", "enter", "enter")
        await pilot.pause()
        assert app.mode == "bench"
    (kept,) = shelf.blades()[0]
    assert (kept.name, kept.about, kept.maker_for) == ("Dunlin 2", "qdx camp knife", "R. Weir")
    assert kept.choices == {"steel": "one steel"}
    assert "B1" not in [step.id for step in kept.own_steps()]


async def test_the_form_says_how_many_steps_the_choices_leave(shelf: Shelf, now: datetime) -> None:
    async with at_the_form(shelf, now) as (_, pilot, form):
        assert "6 steps" in looks.plain(form.rows(80, 20)[:1])
        await pilot.press("down", "down", "down", "down", "right")
        assert "5 steps" in looks.plain(form.rows(80, 20)[:1])
        assert "[one steel]" in looks.plain(form.rows(80, 20))


async def test_up_from_the_first_line_begins_with_what_is_offered(shelf: Shelf, now: datetime) -> None:
    async with at_the_form(shelf, now) as (app, pilot, _):
        await typed(pilot, "Wren")
        await pilot.press("up", "enter")
        await pilot.pause()
        assert app.desk.blade is not None
        assert app.desk.blade.choices == {"steel": "pattern-welded"}


async def test_no_name_is_refused_in_words(shelf: Shelf, now: datetime) -> None:
    async with at_the_form(shelf, now) as (app, pilot, form):
        await pilot.press("up", "enter")
        await pilot.pause()
        assert app.mode == "start"
        assert app.desk.said.tone is Tone.REFUSED
        assert "needs a name" in app.desk.said.text
        assert form.at == 0
    assert not shelf.keys()


async def test_a_name_that_is_taken_keeps_all_that_was_typed(
    shelf: Shelf, blade: Blade, now: datetime
) -> None:
    async with at_the_form(shelf, now) as (app, pilot, form):
        await typed(pilot, "heron")
        await pilot.press("up", "enter")
        await pilot.pause()
        assert "'Heron' already" in app.desk.said.text
        assert form.texts["name"].text == "heron"
        await pilot.press("escape")
        await pilot.pause()
        assert app.mode == "rack"
        await pilot.press("n")
        assert form.texts["name"].text == "heron"
    assert shelf.keys() == ["heron"]


async def test_x_leaves_from_a_line_that_is_not_typed(shelf: Shelf, now: datetime) -> None:
    async with at_the_form(shelf, now) as (app, pilot, form):
        await pilot.press("x")
        assert form.texts["name"].text == "x"
        await pilot.press("up", "x")
        await pilot.pause()
        assert app.mode == "rack"


async def test_a_route_with_a_fault_is_named_and_the_others_are_offered(shelf: Shelf, now: datetime) -> None:
    (shelf.folder / "routes" / "own.toml").write_text("schema = 1\nid = 3\n", encoding="utf-8")
    async with at_the_form(shelf, now) as (_, _, form):
        text = looks.plain(form.rows(80, 22))
        assert "route own cannot be used" in text
        assert "small" in text
