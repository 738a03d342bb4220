"""The record: all that was done, measured, chosen and overridden, readable by a buyer, safe to show."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

import pytest

from workshop.build import changes
from workshop.build.blade import Blade, Slip, Value
from workshop.build.route import Route
from workshop.build.values import read_entry
from workshop.cli.demo import make_demo
from workshop.drawer import registry
from workshop.paper.record import record_of
from workshop.paper.times import lasting, near, stamp
from workshop.shelf.places import recipes_folder
from workshop.shelf.route_file import read_route
from workshop.shelf.shelf import Shelf


@pytest.fixture
def done(small_route: Route, now: datetime) -> Blade:
    blade = changes.new_blade(
        "heron", "Heron", small_route, "small-x", now, maker_for="a hunter in the fells"
    )
    entry = small_route.by_id["A1"].records[0]
    blade = changes.start_step(blade, "A1", now)
    kept = read_entry(entry, "40", "A1", "a carving knife")
    blade = changes.write_down(blade, "blade-length", kept, entry.says, now)
    for check in small_route.by_id["A1"].checks:
        blade = changes.tick(blade, "A1", check, now)
    return changes.finish(blade, "A1", now + timedelta(minutes=95))


def test_it_tells_what_was_done_and_why(done: Blade, now: datetime) -> None:
    text = record_of(done, now + timedelta(hours=2))
    for part in (
        "# Heron",
        "a hunter in the fells",
        "pattern-welded",
        "40 mm",
        "a carving knife",
        "checked: Buyer has said yes",
        "1 h 35 min by hand",
        stamp(now),
    ):
        assert part in text
    assert "A2 Box of materials" not in text  # nothing was done there yet


def test_every_line_of_the_log_and_every_slip_of_the_example_is_there(tmp_path: Path, now: datetime) -> None:
    for blade in Shelf(make_demo(tmp_path, now), registry.NAMES).blades()[0]:
        text = record_of(blade, now)
        assert text.count("\n- 20") >= len(blade.log)
        for slip in blade.slips.values():
            assert registry.calculator(slip.calculator).title in text
        for clock in blade.clocks.values():
            assert f"### {clock.title}" in text
        for name, value in blade.values.items():
            assert value.text in text, name
        assert "| All | " in text


def test_hours_by_hand_add_up(tmp_path: Path, now: datetime) -> None:
    for blade in Shelf(make_demo(tmp_path, now), registry.NAMES).blades()[0]:
        whole = sum(one.hand_s for one in blade.steps.values())
        assert f"| All | {lasting(whole)} |" in record_of(blade, now)


def test_what_was_typed_cannot_act(done: Blade, now: datetime) -> None:
    nasty = "<script>x</script> | [a](b) \x1b[2J `c` *d* \u202e # e"
    blade = changes.note(done, nasty, now)
    line = next(line for line in record_of(blade, now).splitlines() if "script" in line)
    assert "\x1b" not in line
    assert "\u202e" not in line
    for mark in "<|`*[":
        assert line.count(mark) == line.count(f"\\{mark}")


def test_a_slip_outlives_its_calculator(done: Blade, now: datetime) -> None:
    slip = Slip(
        "1", "no-longer", "A1", now, {"a": "1 mm"}, {"b": "2 mm"}, {"c": (1.25, "mm"), "d": ("#20", "")}
    )
    text = record_of(changes.keep_slip(done, slip, now), now)
    for part in ("no-longer", "| a | 1 mm | given |", "| b | 2 mm | assumed |", "| c | 1.25 mm | found |"):
        assert part in text


@pytest.mark.parametrize(
    ("seconds", "says"),
    [
        (0, "0 s"),
        (59, "59 s"),
        (60, "1 min"),
        (95, "1 min 35 s"),
        (720, "12 min"),
        (3599, "59 min"),
        (3600, "1 h"),
        (12000, "3 h 20 min"),
        (86400, "1 d"),
        (187200, "2 d 4 h"),
    ],
)
def test_lengths_of_time_in_words(seconds: float, says: str) -> None:
    assert lasting(seconds) == says


def test_moments_near_and_far(now: datetime) -> None:
    noon = now.astimezone().replace(hour=12)
    assert near(noon.replace(hour=21, minute=40), noon) == "21:40"
    assert near(noon.replace(hour=3) + timedelta(days=1), noon) == "tomorrow 03:00"
    assert near(noon - timedelta(days=1), noon).startswith("yesterday ")
    assert near(noon + timedelta(days=3), noon).startswith("2026-03-05 ")


def test_a_value_is_named_as_the_step_named_it_where_it_was_taken(now: datetime) -> None:
    # "humidity" is asked for at slotting, at the chamfer and a season later, each in its own words.
    route = read_route(recipes_folder() / "routes" / "hidden-tang.toml", registry.NAMES)
    blade = changes.new_blade("reed", "Reed", route, "", now)
    blade = changes.write_down(blade, "humidity", Value("52 %", "humidity", step="H4"), "at slotting", now)
    assert "| Shop humidity at slotting | 52 % | H4 |" in record_of(blade, now)
