"""Walking a blade at the command line: every step, with what it takes and what it refuses."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from workshop.build.route import Route
from workshop.drawer import registry
from workshop.shelf import route_file
from workshop.shelf.places import recipes_folder
from workshop.shelf.shelf import Shelf


def states(workshop: Any) -> dict[str, str]:
    return {one["id"]: one["state"] for one in workshop.well("steps", "Heron", "--json").data()["steps"]}


def step(workshop: Any, step_id: str) -> dict[str, Any]:
    listed = workshop.well("steps", "Heron", "--json").data()["steps"]
    return next(one for one in listed if one["id"] == step_id)


def test_start_says_the_choices_and_the_first_step(workshop: Any) -> None:
    said = workshop.well(
        "start", "Heron", "--route", "small", "--set", "steel=one steel", "--for", "a hunter"
    )
    assert "one steel" in said.out
    assert "A1 Written spec" in said.out
    rack = workshop.well("blades", "--json").data()["blades"]
    assert [(one["name"], one["for"], one["steps"]) for one in rack] == [("Heron", "a hunter", 5)]


def test_shelf_and_json_may_stand_before_or_after(workshop: Any) -> None:
    from workshop.cli import main

    workshop.well("start", "Heron", "--route", "small")
    assert main(["blades", "--shelf", str(workshop.folder), "--json"], now=workshop.now) == 0
    after = workshop.capsys.readouterr().out
    assert workshop.well("--json", "blades", after=timedelta()).out == after


def test_finish_ticks_the_checks_on_the_makers_word(heron: Any) -> None:
    heron.well("step", "Heron", "a1", "start")
    said = heron.well("step", "Heron", "A1", "finish", "--value", "blade-length=155")
    assert "2 checks" in said.out
    made = step(heron, "A1")
    assert made["state"] == "done"
    assert made["checked"] == ["Buyer has said yes", "Length is written"]
    assert made["values"] == {"blade-length": "155 mm"}
    assert (made["started"], made["finished"]) == ("2026-03-02T09:02:00Z", "2026-03-02T09:03:00Z")


def test_finish_without_a_needed_value_is_refused_or_takes_a_reason(heron: Any) -> None:
    heron.well("step", "Heron", "A1", "start")
    assert "Blade length" in heron.refused("step", "Heron", "A1", "finish")
    heron.well("step", "Heron", "A1", "finish", "--why", "drawn freehand")
    log = heron.well("record", "Heron").out
    assert "drawn freehand" in log


def test_finish_can_leave_a_check_open_with_a_reason(heron: Any) -> None:
    heron.well("step", "Heron", "A1", "start", "--value", "blade-length=155mm")
    assert "reason" in heron.refused("step", "Heron", "A1", "finish", "--unchecked")
    heron.well("step", "Heron", "A1", "finish", "--unchecked", "--why", "no buyer yet")
    assert step(heron, "A1")["checked"] == []


def test_one_command_is_taken_back_whole(heron: Any) -> None:
    heron.well("step", "Heron", "A1", "start")
    heron.well("step", "Heron", "A1", "finish", "--value", "blade-length=155mm")
    heron.well("back", "Heron")
    made = step(heron, "A1")
    assert (made["state"], made["checked"], made["values"]) == ("in hand", [], {"blade-length": None})


def to_the_weld(heron: Any) -> None:
    heron.well("step", "Heron", "A1", "start")
    heron.well("step", "Heron", "A1", "finish", "--value", "blade-length=155mm")
    for action in ("start", "finish"):
        heron.well("step", "Heron", "A2", action)


def test_a_one_way_step_shows_its_last_look_first(heron: Any) -> None:
    to_the_weld(heron)
    said = heron("step", "Heron", "B1", "start")
    assert said.code == 2
    assert "Faces bright" in said.out
    assert "--looked" in said.err
    assert states(heron)["B1"] == "ready"
    heron.well("step", "Heron", "B1", "start", "--looked")
    assert step(heron, "B1")["looked"] == ["Faces bright", "Order noted"]


def test_a_one_way_step_starts_with_a_reason_instead(heron: Any) -> None:
    to_the_weld(heron)
    heron.well("step", "Heron", "B1", "start", "--why", "faces are as bright as they get")
    assert states(heron)["B1"] == "in hand"
    assert step(heron, "B1")["looked"] == []


def test_a_step_that_waits_says_for_what(heron: Any) -> None:
    refused = heron.refused("step", "Heron", "A2", "start")
    assert "A1 Written spec" in refused
    assert "--why" in refused
    assert step(heron, "A2")["waits_for"] == ["A1 Written spec"]


def test_leaving_out_needs_a_reason(heron: Any) -> None:
    assert "--why" in heron.refused("step", "Heron", "A2", "leave-out")
    heron.well("step", "Heron", "A2", "leave-out", "--why", "all in the drawer")
    assert (step(heron, "A2")["state"], step(heron, "A2")["why"]) == ("left out", "all in the drawer")


def test_doing_over_says_what_it_spoils(heron: Any) -> None:
    to_the_weld(heron)
    for step_id in ("B1", "H1"):
        heron.well("step", "Heron", step_id, "start", "--looked")
        heron.well("step", "Heron", step_id, "finish", "--why", "for the test")
    said = heron.well("step", "Heron", "B1", "do-over", "--why", "a cold shut")
    assert "H1 Bed the tang" in said.out
    assert (states(heron)["B1"], states(heron)["H1"]) == ("do over", "do over")


@pytest.mark.parametrize("text", ["155", "155 mm", "6.1in", "6 1/10 in"])
def test_a_value_is_kept_as_written_with_its_unit(heron: Any, text: str) -> None:
    heron.well("value", "Heron", f"blade-length={text}")
    kept = heron.well("blades", "--json").data()["blades"][0]["values"]["blade-length"]
    assert kept["text"] == (text if "m" in text or "in" in text else f"{text} mm")
    # exact by the definition of the inch (25.4 mm, NIST Handbook 44 App. C)
    assert kept["si"] == pytest.approx(0.155 if text[0] == "1" else 6.1 * 0.0254, rel=1e-12)


def test_a_value_outside_its_limits_takes_a_reason(heron: Any) -> None:
    refused = heron.refused("value", "Heron", "blade-length=40mm")
    assert "60 mm" in refused
    heron.well("value", "Heron", "blade-length=40mm", "--why", "a carving knife")
    assert (
        heron.well("blades", "--json").data()["blades"][0]["values"]["blade-length"]["why"]
        == "a carving knife"
    )


def test_a_misspelt_value_is_met_with_the_near_one(heron: Any) -> None:
    assert "'blade-length'" in heron.refused("value", "Heron", "blade-lenght=155mm")


def test_notes_are_in_the_record(heron: Any) -> None:
    heron.well("note", "Heron", "small", "inclusion", "near", "the", "heel")
    assert "small inclusion near the heel" in heron.well("record", "Heron").out


@pytest.mark.parametrize("steel", ["pattern-welded", "one steel"])
def test_the_whole_route_from_first_step_to_last(
    tmp_path: Path, typist: Callable[[Path, datetime], Any], steel: str
) -> None:
    """The commands of a script that knows nothing of the route but what `steps --json` tells it."""
    workshop = typist(tmp_path / "shelf", datetime(2026, 1, 5, 8, 0, tzinfo=UTC))
    workshop.well("start", "Heron", "--route", "hidden-tang", "--set", f"steel={steel}")
    ids = [one["id"] for one in workshop.well("steps", "Heron", "--json").data()["steps"]]
    assert ("B3" in ids) == (steel == "pattern-welded")
    assert (ids[0], ids[-1]) == ("A1", "L10")
    reader = Shelf(workshop.folder, registry.NAMES)
    for step_id in ids:
        walk_one(workshop, reader, step_id)
    listed = workshop.well("steps", "Heron", "--json").data()["steps"]
    assert {one["state"] for one in listed} == {"done"}
    for one in listed:
        assert one["started"] is not None
        assert one["finished"] >= one["started"]
    assert workshop.well("blades", "--json").data()["blades"][0]["step"] is None
    record = workshop.well("record", "Heron").out
    assert all(f"**{step_id} " in record for step_id in ids)


@cache
def cards() -> Route:
    return route_file.read_route(recipes_folder() / "routes" / "hidden-tang.toml", registry.NAMES)


def walk_one(workshop: Any, reader: Shelf, step_id: str) -> None:
    """Do one step as a script would: start, its clocks, wait for what it waits for, its values, finish."""
    card = cards().by_id[step_id]
    for name in card.after:
        plan = name.partition("/")[0]
        started = [one for one in reader.find("Heron").clocks.values() if one.plan == plan]
        opens = max(mark.opens for one in started for mark in one.marks if name.endswith(f"/{mark.id}"))
        workshop.now = max(workshop.now, opens)
    look = ["--looked"] if card.one_way else []
    workshop.well("step", "Heron", step_id, "start", *look)
    for plan in card.clocks:
        workshop.well("clock", "Heron", plan.id, "--step", step_id)
        if plan.ends:
            clock = list(reader.find("Heron").clocks.values())[-1]
            workshop.now = max(workshop.now, clock.mark(plan.ends).opens)
    values = []
    for entry in card.records:
        if entry.needed:
            text = entry.options[0] if entry.options else entry.least or "as drawn"
            values += ["--value", f"{entry.name}={text}"]
    workshop.well("step", "Heron", step_id, "finish", *values)


def test_going_on_with_a_reason_shows_the_last_look_it_went_past(heron: Any) -> None:
    said = heron.well("step", "Heron", "H1", "start", "--why", "a test piece")
    assert "Last look, NOT said true:" in said.out
    assert step(heron, "H1")["looked"] == []


def test_starting_names_the_checks_and_all_that_may_be_written_down(heron: Any) -> None:
    said = heron.well("step", "Heron", "A1", "start")
    assert "Check: Buyer has said yes" in said.out
    assert "blade-length (" in said.out


def test_the_list_says_since_when_and_how_long_by_hand(heron: Any) -> None:
    heron.well("step", "Heron", "A1", "start")
    listed = heron.well("steps", "Heron", after=timedelta(minutes=25)).out
    row = next(line for line in listed.splitlines() if " A1 " in line)
    assert "since " in row
    assert row.endswith("25 min by hand")
