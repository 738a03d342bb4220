"""The calendar: read back by the library that wrote it, and by readers that have nothing to do with it."""

from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import icalendar
import pytest

from workshop.build import changes, timekeeping
from workshop.build.air import Air, Reading
from workshop.build.blade import Blade
from workshop.build.clock import StoreEntry
from workshop.build.route import ClockPlan, MarkPlan, Phase, Route, Step
from workshop.paper.calendar import calendar_of, uid

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
SLOW = StoreEntry(
    "adhesives",
    "slow",
    "Slow, 2:1; by weight",
    (
        MarkPlan(
            "pull", "trim or pull", 25200, 36000, do="Press the blob; pare, or pull.", late="Locked.", harm=3
        ),
        MarkPlan("full", "full cure", 604800, do="Send."),
    ),
    295.15,
    285.15,
    313.15,
    activation_J_per_mol=52e3,
)
PLAN = ClockPlan("bed", "bedding", "adhesive", "adhesives/slow", ends="pull")
ROUTE = Route("r", "R", "", "", (), (Phase("H", "Handle"),), (Step("H7", "H", "Bed", "", clocks=(PLAN,)),))


def bedded(name: str = "Heron, the first; åäö\nBEGIN:VEVENT") -> Blade:
    blade = Blade("heron", name, ROUTE, "kept", NOW, {})
    return changes.start_clock(blade, "H7", "bed", NOW, entry=SLOW, air_K=295.15)


def events(data: bytes) -> list[icalendar.Event]:
    return list(icalendar.Calendar.from_ical(data).walk("VEVENT"))


def test_every_window_ahead_is_an_event_with_its_alarms() -> None:
    data, count = calendar_of([bedded()], NOW, 600)
    pull, full = events(data)
    assert count == 2
    assert pull.decoded("dtstart") == NOW + timedelta(hours=7)
    assert pull.decoded("dtend") == NOW + timedelta(hours=10)
    assert str(pull["summary"]).endswith("trim or pull")
    assert "Press the blob; pare, or pull." in str(pull["description"])
    assert "Too late: Locked." in str(pull["description"])
    alarms = pull.walk("VALARM")
    assert [(one["trigger"].params["RELATED"], one.decoded("trigger")) for one in alarms] == [
        ("START", timedelta(minutes=-10)),
        ("END", timedelta(minutes=-10)),
    ]
    assert len(full.walk("VALARM")) == 1


def test_what_rfc_5545_asks_for_is_there() -> None:
    # RFC 5545: 3.6 a calendar has PRODID and VERSION 2.0; 3.6.1 an event has UID and DTSTAMP; 3.1 lines are
    # at most 75 octets and end in CRLF; 3.6.6 an alarm has ACTION, TRIGGER and, to display, DESCRIPTION;
    # 3.3.5 a moment in UTC ends in Z.
    data, _ = calendar_of([bedded()], NOW)
    assert all(len(line) <= 75 for line in data.split(b"\r\n"))
    assert b"\n" not in data.replace(b"\r\n", b"")
    calendar = icalendar.Calendar.from_ical(data)
    assert calendar["version"] == "2.0"
    assert calendar["prodid"]
    for event in events(data):
        assert {"UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY"} <= set(event)
        for alarm in event.walk("VALARM"):
            assert {"ACTION", "TRIGGER", "DESCRIPTION"} <= set(alarm)
    assert all(
        re.fullmatch(rb"DTSTART:\d{8}T\d{6}Z", one) for one in data.split(b"\r\n") if b"DTSTART" in one
    )


def test_importing_it_again_updates_what_moved() -> None:
    blade = bedded()
    first, _ = calendar_of([blade], NOW)
    later = NOW + timedelta(hours=2)
    colder = timekeeping.rework(blade, Air((Reading(NOW, 295.15), Reading(later, 287.15))), later)
    second, _ = calendar_of([colder], later)
    for old, new in zip(events(first), events(second), strict=True):
        assert old["uid"] == new["uid"]
        assert new.decoded("dtstart") > old.decoded("dtstart")
        assert int(new["sequence"]) > int(old["sequence"])


def test_each_mark_of_each_clock_of_each_blade_has_its_own_identifier() -> None:
    one, other = bedded(), replace(bedded("Wren"), key="wren")
    twice = changes.start_clock(one, "H7", "bed", NOW + timedelta(hours=1), entry=SLOW, air_K=295.15)
    found = [
        uid(blade, clock, mark)
        for blade in (twice, other)
        for clock in blade.clocks.values()
        for mark in clock.marks
    ]
    assert len(set(found)) == len(found) == 6


def test_what_is_past_answered_ended_or_stands_still_is_left_out() -> None:
    assert calendar_of([bedded()], NOW + timedelta(hours=11))[1] == 1
    answered = changes.answer_mark(bedded(), "bed-1", "pull", NOW + timedelta(hours=8))
    assert calendar_of([answered], NOW + timedelta(hours=8))[1] == 1
    stopped = changes.stop_clock(bedded(), "bed-1", NOW)
    assert calendar_of([stopped], NOW)[1] == 0
    cold = changes.start_clock(
        Blade("cold", "Cold", ROUTE, "kept", NOW, {}), "H7", "bed", NOW, entry=SLOW, air_K=278.15
    )
    assert calendar_of([cold], NOW)[1] == 0


def run(words: list[str], home: Path) -> str:
    environment = {"HOME": str(home), "PATH": "/usr/bin:/bin", "LC_ALL": "C.UTF-8", "TZ": "UTC"}
    done = subprocess.run(words, capture_output=True, text=True, env=environment, timeout=60, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_another_calendar_reads_it_and_an_import_again_doubles_nothing(tmp_path: Path) -> None:
    if shutil.which("khal") is None:
        pytest.skip("khal is not installed")
    data, _ = calendar_of([bedded("Heron")], NOW)
    file = tmp_path / "shop.ics"
    file.write_bytes(data)
    store = tmp_path / "store"
    store.mkdir()
    settings = tmp_path / "khal.conf"
    settings.write_text(
        f"[calendars]\n[[shop]]\npath = {store}\n[sqlite]\npath = {tmp_path / 'khal.db'}\n"
        "[locale]\nlocal_timezone = UTC\ndefault_timezone = UTC\ntimeformat = %H:%M\n"
        "dateformat = %Y-%m-%d\nlongdateformat = %Y-%m-%d\ndatetimeformat = %Y-%m-%d %H:%M\n"
        "longdatetimeformat = %Y-%m-%d %H:%M\n",
        encoding="utf-8",
    )
    khal = ["khal", "-c", str(settings)]
    for _ in range(2):
        run([*khal, "import", "--batch", "-a", "shop", str(file)], tmp_path)
    shown = run(
        [*khal, "list", "--format", "{start-date} {start-time} {end-time} {title}", "2026-03-02", "8d"],
        tmp_path,
    )
    assert shown.count("2026-03-02 16:00 19:00 Heron: trim or pull") == 1
    assert shown.count("Heron: full cure") == 1


def test_a_second_calendar_reads_it(tmp_path: Path) -> None:
    if shutil.which("calcurse") is None:
        pytest.skip("calcurse is not installed")
    data, _ = calendar_of([bedded("Heron")], NOW)
    file = tmp_path / "shop.ics"
    file.write_bytes(data)
    folder = tmp_path / "calcurse"
    folder.mkdir()
    said = run(["calcurse", "-D", str(folder), "-C", str(folder), "-i", str(file)], tmp_path)
    assert "2 app" in said or "2 event" in said, said
    shown = run(
        ["calcurse", "-D", str(folder), "-C", str(folder), "-Q", "--from", "03/02/2026", "--days", "9"],
        tmp_path,
    )
    assert "Heron: trim or pull" in shown
    assert "16:00" in shown
