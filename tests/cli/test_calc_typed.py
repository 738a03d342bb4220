"""The drawer at the command line: the same declarations, as text and as data, kept as slips."""

from __future__ import annotations

from typing import Any

import pytest

from workshop.drawer import registry


def test_the_pin_drill_of_a_five_thirtyseconds_pin(workshop: Any) -> None:
    # ASME B94.11M number drills (Machinery's Handbook): #21 0.159 in, #20 0.161 in;
    # 5/32 in + 0.003 in = 0.15925 in, so #20 is the first that is not too tight.
    made = workshop.well("calc", "pin-drill", "pin=5/32in", "clearance=0.003in", "--json").data()
    assert made["found"]["drill"]["value"] == "#20"
    assert made["found"]["hole"] == {"value": pytest.approx(0.161), "unit": "in"}
    assert made["given"]["pin"] == {"value": 0.15625, "unit": "in"}
    assert set(made) == {"calculator", "given", "assumed", "found", "cautions", "sources"}
    for part in ("given", "assumed", "found"):
        assert all(set(one) == {"value", "unit"} for one in made[part].values())


@pytest.mark.parametrize("name", registry.NAMES)
def test_each_example_is_worked_as_its_help_shows_it(workshop: Any, name: str) -> None:
    asked = registry.calculator(name)
    typed = [f"{key}={text}" for key, text in asked.example.given.items()]
    made = workshop.well("calc", name, *typed, "--json").data()
    for key, wanted in asked.example.found.items():
        value = made["found"][key]["value"]
        if isinstance(wanted, str):
            assert value == wanted
        else:
            assert value == pytest.approx(wanted, abs=asked.example.within)
    assert workshop.well("calc", name, *typed).out


@pytest.mark.parametrize("name", registry.NAMES)
def test_the_help_is_drawn_from_the_declaration(workshop: Any, name: str) -> None:
    asked = registry.calculator(name)
    said = workshop.well("calc", name, "--help").out
    for part in (asked.title, asked.valid[:60], *(one.name for one in (*asked.fields, *asked.results))):
        assert part in said
    assert all(source.text[:40] in said for source in asked.sources)
    data = workshop.well("calc", name, "--help", "--json").data()
    assert [one["name"] for one in data["fields"]] == [one.name for one in asked.fields]


def test_all_are_listed(workshop: Any) -> None:
    assert [one["name"] for one in workshop.well("calc", "--json").data()] == list(registry.NAMES)


def test_nothing_typed_shows_what_is_needed(workshop: Any) -> None:
    assert "needed" in workshop.well("calc", "pin-drill").out


def test_a_slip_is_kept_and_filled_from_the_blade(heron: Any) -> None:
    heron.well("value", "Heron", "blade-length=155")
    made = heron.well(
        "calc", "pin-drill", "pin=5/32in", "--blade", "Heron", "--keep", "--step", "H1", "--json"
    ).data()
    assert made["kept"] == {"blade": "Heron", "slip": "1"}
    record = heron.well("record", "Heron").out
    assert "Drill for a pin" in record
    assert "for step H1" in record
    assert "5/32in" in record
    assert "last time, Heron: 5/32in" in heron.well("calc", "pin-drill", "--help").out


def test_what_was_given_last_time_is_said_beside_what_is_assumed(heron: Any) -> None:
    heron.well("calc", "pin-drill", "pin=5/32in", "clearance=0.005in", "--blade", "Heron", "--keep")
    said = heron.well("calc", "pin-drill", "pin=3/16in").out
    assert "Last time" in said
    assert "clearance=0.005in  Heron" in said
    assert (
        "Last time" not in heron.well("calc", "pin-drill", "pin=3/16in", "clearance=0.005in", "set=inch").out
    )


def test_last_time_is_of_the_same_adhesive(heron: Any) -> None:
    heron.well(
        "calc", "mix-split", "mix=18g", "store=medium", "scale-step=0.01g", "--blade", "Heron", "--keep"
    )
    assert "scale-step=0.01g  Heron" in heron.well("calc", "mix-split", "mix=10g", "store=medium").out
    assert "Last time" not in heron.well("calc", "mix-split", "mix=10g", "store=slow").out


def test_a_slip_stands_at_its_step_and_says_what_changed_since(heron: Any) -> None:
    heron.well("value", "Heron", "blade-length=155")
    heron.well("calc", "distal", "heel=4", "tip=0.3", "--blade", "Heron", "--keep", "--step", "H1")
    heron.well("calc", "convert", "value=4 mm", "to=in", "--blade", "Heron", "--keep")
    lines = heron.well("steps", "Heron").out.splitlines()
    at = next(n for n, line in enumerate(lines) if "slip 1  distal: thickness 0 mm 4 mm" in line)
    assert lines[at - 1].split()[0] == "H1"
    assert any(line.startswith("Worked out for no step") for line in lines)
    assert "changed since" not in "".join(lines).lower()
    kept = _slip(heron)
    heron.well("value", "Heron", "blade-length=180", "--why", "drawn out further")
    changed = "blade-length was 155 mm and is now 180 mm"
    assert f"changed since: {changed}" in heron.well("steps", "Heron").out
    assert f"- Changed since: {changed}" in heron.well("record", "Heron").out
    assert _slip(heron) == {**kept, "changed_since": [changed]}  # what it found stays what it found


def _slip(heron: Any) -> dict[str, Any]:
    steps = heron.well("steps", "Heron", "--json").data()["steps"]
    (slip,) = next(one for one in steps if one["id"] == "H1")["slips"]
    return dict(slip)


def test_a_unit_that_was_taken_for_granted_is_told_as_data_too(workshop: Any) -> None:
    said = workshop.well("calc", "convert", "value=.156", "to=in", "--json").data()
    assert any("carries no unit and was taken as .156 mm" in line for line in said["cautions"])
