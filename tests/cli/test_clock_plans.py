"""When to start, the witness, the air that moves clocks, a calendar, and what is told as it comes."""

from __future__ import annotations

import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import icalendar
import pytest

from workshop.cli import follow
from workshop.drawer.registry import NAMES
from workshop.shelf.shelf import Shelf

HOURS = """
[hours]
monday = "08:00 to 18:00"
tuesday = "08:00 to 18:00"
wednesday = "08:00 to 18:00"
sleep = "22:30 to 06:30"
"""


@pytest.fixture
def day(heron: Any) -> Any:
    """Heron on a shelf with shop hours, at nine by the shop's wall."""
    (heron.folder / "shop.toml").write_text(HOURS, encoding="utf-8")
    here = heron.now.astimezone()
    heron.now -= here.utcoffset() or timedelta()
    return heron


def mark(data: dict[str, Any], name: str) -> dict[str, Any]:
    return next(one for one in data["marks"] if one["id"] == name)


def opens(data: dict[str, Any], name: str) -> datetime:
    return datetime.fromisoformat(mark(data, name)["opens"])


# -- when


def test_when_says_what_would_be_missed_and_when_to_start(day: Any) -> None:
    day.now += timedelta(hours=8)
    data = day.well("when", "H1", "--blade", "Heron", "--air", "20C", "--json").data()
    assert "pull" in data["missed"]
    said = day.well("when", "H1", "--blade", "Heron", "--air", "20C").out
    assert "WHILE YOU SLEEP" in said
    assert "start between Tue 08:00" in said
    latest = data["latest_start"]
    fits = day.well("when", "H1", "--blade", "Heron", "--air", "20C", "--start", latest, "--json").data()
    assert fits["missed"] == []


def test_when_goes_by_the_air_it_is_given(day: Any) -> None:
    warm = day.well("when", "H1", "--blade", "Heron", "--air", "22C", "--json").data()
    cold = day.well("when", "H1", "--blade", "Heron", "--air", "14C", "--json").data()
    start = datetime.fromisoformat(warm["start"])
    assert (opens(cold, "pull") - start) / (opens(warm, "pull") - start) > 1.6
    frozen = day.well("when", "H1", "--blade", "Heron", "--air", "5C", "--json").data()
    assert mark(frozen, "pull")["opens"] is None
    assert (
        "does not come while it is so cold" in day.well("when", "H1", "--blade", "Heron", "--air", "5C").out
    )


def test_when_without_a_blade_and_without_hours(heron: Any) -> None:
    said = heron.well("when", "H1", "--route", "small")
    assert "No shop hours are set" in said.out
    assert "The air was not read" in said.out


def test_when_refuses_what_it_cannot_say(heron: Any) -> None:
    assert "has no clock" in heron.refused("when", "A1", "--blade", "Heron")
    assert "no clock 'x'" in heron.refused("when", "H1", "--blade", "Heron", "--clock", "x")
    assert "no step" in heron.refused("when", "Z9", "--route", "small")
    assert "leave --store out" in heron.refused("when", "H3", "--blade", "Heron", "--store", "oils/pure-oil")


# -- the air and the witness


def test_a_reading_of_the_air_moves_a_running_clock_on_disk(day: Any) -> None:
    before = day.well("clock", "Heron", "bedding", "--air", "20C", "--json").data()
    said = day.well("air", "13C", "60%", after=timedelta(hours=2))
    assert "Heron: its clocks go by it now" in said.out
    after = day.well("clocks", "--json").data()["clocks"][0]
    assert opens(after, "pull") > opens(before, "pull") + timedelta(hours=1)
    assert "stands still" in day.well("air", "4C").out + day.well("clocks").out


def test_a_warm_box_a_large_cup_and_a_thin_film(day: Any) -> None:
    plain = day.well("clock", "Heron", "bedding", "--air", "22C", "--json").data()
    box = day.well("clock", "Heron", "bedding", "--box", "38C", "--json").data()
    took = [opens(one, "pull") - datetime.fromisoformat(one["started"]) for one in (plain, box)]
    assert took[1] < took[0] / 2
    day.well("air", "5C", after=timedelta(minutes=1))
    still = day.well("clocks", "--json").data()["clocks"][0]
    assert opens(still, "pull") == opens(box, "pull")
    assert "--box, --mass and --thin" in day.refused("clock", "Heron", "drying", "--mass", "30g")
    day.well("clock", "Heron", "bedding", "--mass", "40g", "--thin")
    assert "more than the 30 g" in day.well("clock", "Heron", "bedding", "--mass", "40g").out


def test_a_clock_may_run_for_another_length(heron: Any) -> None:
    made = heron.well("clock", "Heron", "drying", "--for", "30min", "--json").data()
    assert opens(made, "end") - datetime.fromisoformat(made["started"]) == timedelta(minutes=30)


def test_the_witness_corrects_the_batch_and_the_next_one_begins_with_it(day: Any) -> None:
    first = day.well("clock", "Heron", "bedding", "--air", "22C", "--json").data()
    said = day.well("witness", "Heron", "dents", after=timedelta(hours=4))
    assert "1.5" in said.out
    assert "times as quick as the store says" in said.out
    after = day.well("clocks", "--json").data()["clocks"][0]
    assert opens(after, "pull") < opens(first, "pull")
    second = day.well("clock", "Heron", "bedding", "--air", "22C", "--json").data()
    assert second["batch_pace"] == pytest.approx(1.5, abs=0.02)
    assert "right would be one of: liquid" in day.refused("witness", "Heron", "gooey")


def test_the_witness_needs_a_glue(heron: Any) -> None:
    assert "no witness to press" in heron.refused("witness", "Heron", "dents")


def test_taking_back_a_press_keeps_what_the_air_has_done_since(day: Any) -> None:
    day.well("clock", "Heron", "bedding", "--air", "20C")
    day.well("witness", "Heron", "dents", after=timedelta(hours=4))
    day.well("air", "14C")
    day.well("back", "Heron")
    data = day.well("clocks", "--json").data()["clocks"][0]
    assert data["batch_pace"] == 1
    (day.folder / "learned.toml").unlink()
    started = datetime.fromisoformat(data["started"])
    assert opens(data, "pull") - started > timedelta(hours=9)


def test_the_air_is_fed_by_the_command_set_for_this_laptop(heron: Any, laptop: Path) -> None:
    refused = heron.refused("air", "--feed")
    assert "No thermometer is set" in refused
    assert str(laptop) in refused
    laptop.write_text(
        f'[air]\ncommand = ["{sys.executable}", "-c", "print(\'16.5C 55%\')"]\n', encoding="utf-8"
    )
    data = heron.well("air", "--feed", "--json").data()
    assert data["temperature_C"] == 16.5
    assert data["humidity"] == pytest.approx(0.55)


def test_nothing_on_a_shelf_runs_a_program_or_reads_elsewhere(heron: Any, laptop: Path) -> None:
    ran, other = heron.folder.parent / "ran", heron.folder.parent / "other"
    other.write_text("16.5C 55%", encoding="utf-8")
    code = f"open({str(ran)!r}, 'w')"
    run = f'command = ["{sys.executable}", "-c", "{code}"]\n'
    for text in (f"[horn]\n{run}[air]\n{run}", f'[air]\nfile = "{other}"\n'):
        (heron.folder / "shop.toml").write_text(text, encoding="utf-8")
        assert "No thermometer is set" in heron.refused("air", "--feed")
        follow.follow(Shelf(heron.folder, NAMES, laptop=laptop), lambda: NOW, lambda _: None, rounds=3)
        assert "not followed on a shelf" in heron.well("blades").out
        assert "16.5" not in heron.well("air").out
    assert not ran.exists()


def test_a_long_clock_says_that_a_sleeping_laptop_calls_nobody(heron: Any) -> None:
    assert "sleeps calls nobody" in heron.well("clock", "Heron", "bedding", "--air", "22C").out


def test_the_record_of_the_air_can_be_checked(heron: Any) -> None:
    heron.well("air", "17.5C", "61%")
    assert "record of the air, 1 readings" in heron.well("check", str(heron.folder / "air.toml")).out


# -- calendar and following


def test_the_calendar_has_the_windows_of_all_blades(day: Any, tmp_path_factory: Any) -> None:
    made = day.well("clock", "Heron", "bedding", "--air", "22C", "--json").data()
    out = tmp_path_factory.mktemp("out") / "shop.ics"
    assert "3 windows ahead" in day.well("calendar", "-o", str(out)).out
    calendar = icalendar.Calendar.from_ical(out.read_bytes())
    starts = {str(one["summary"]): one.decoded("dtstart") for one in calendar.walk("VEVENT")}
    assert starts["Heron: trim or pull"] == opens(made, "pull")
    assert "is a folder" in day.refused("calendar", "-o", str(out.parent))
    assert "needs" in day.refused("calendar")


def test_follow_does_not_go_with_a_time_or_data(heron: Any) -> None:
    assert "without --at" in heron.refused("clocks", "--follow", "--json")


def test_what_comes_is_told_once_and_again_each_minute_until_it_is_answered(
    day: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    made = day.well("clock", "Heron", "bedding", "--air", "22C", "--json").data()
    begin = opens(made, "pull") - timedelta(seconds=5)
    moments = iter(begin + timedelta(seconds=second) for second in range(200))
    present = [next(moments)]

    def wait(seconds: float) -> None:
        assert seconds == follow.TICK_S
        present[0] = next(moments)

    capsys.readouterr()
    follow.follow(Shelf(day.folder, NAMES), lambda: present[0], wait, rounds=130)
    lines = [
        line for line in capsys.readouterr().out.splitlines() if "trim or pull" in line and "NOW" in line
    ]
    assert len(lines) == 3
    assert "Press the witness blob" in lines[0]
    day.now = present[0]
    day.well("answer", "Heron", "bedding", "pull")
    follow.follow(Shelf(day.folder, NAMES), lambda: present[0], wait, rounds=60)
    assert "NOW          Heron" not in capsys.readouterr().out


NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def test_a_thermometer_that_fails_is_told_and_does_not_stop_it(
    heron: Any, laptop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    laptop.write_text('[air]\nfile = "/nowhere/thermo"\n', encoding="utf-8")
    capsys.readouterr()
    follow.follow(Shelf(heron.folder, NAMES, laptop=laptop), lambda: NOW, lambda _: None, rounds=3)
    said = capsys.readouterr().out
    assert said.count("no plain file") == 1
