"""Clocks at the command line: started with the air of the shop, listed as they will stand, answered."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from workshop.cli.moment import when
from workshop.errors import ShopError


def bedded(heron: Any, *more: str) -> dict[str, Any]:
    made: dict[str, Any] = heron.well("clock", "Heron", "bedding", "--json", *more).data()
    return made


def opens(clock: dict[str, Any], mark: str) -> datetime:
    return datetime.fromisoformat(next(one["opens"] for one in clock["marks"] if one["id"] == mark))


def test_ten_degrees_colder_takes_twice_as_long(heron: Any) -> None:
    # Common practice, and the Arrhenius form of ASTM C1074 near room temperature: 10 K doubles the time.
    warm = bedded(heron, "--air", "22C")
    cold = bedded(heron, "--air", "12C")
    took_warm = opens(warm, "pull") - datetime.fromisoformat(warm["started"])
    took_cold = opens(cold, "pull") - datetime.fromisoformat(cold["started"])
    assert took_cold / took_warm == pytest.approx(2, rel=0.06)
    assert cold["pace"] == pytest.approx(took_cold / took_warm, rel=1e-3)
    # By hand, 52 kJ/mol: exp(52000 / 8.314463 × (1/285.15 − 1/295.15)) = exp(0.74310) = 2.1024.
    assert cold["pace"] == pytest.approx(2.1024, rel=1e-3)


def test_the_shops_air_is_taken_when_none_is_typed(heron: Any) -> None:
    heron.well("air", "12C", "61%")
    assert bedded(heron)["air_C"] == 12
    assert "as read" not in heron.well("clock", "Heron", "bedding").out
    heron.now += timedelta(hours=5)
    assert "as read" in heron.well("clock", "Heron", "bedding").out


def test_a_clock_may_have_begun_before(heron: Any) -> None:
    made = bedded(heron, "--ago", "5min")
    assert datetime.fromisoformat(made["started"]) == heron.now - timedelta(minutes=5)


def test_clocks_stand_as_they_will_at_a_time(heron: Any) -> None:
    made = bedded(heron, "--air", "22C")
    pull = opens(made, "pull")
    now = heron.well("clocks", "--json").data()["clocks"][0]
    assert next(one["state"] for one in now["marks"] if one["id"] == "pull") == "ahead"
    then = heron.well("clocks", "--at", pull.isoformat(), "--json").data()
    assert datetime.fromisoformat(then["at"]) == pull
    assert "pull" in then["clocks"][0]["due"]
    assert "will stand" in heron.well("clocks", "--at", "+30min").out


def test_a_clock_that_was_not_started_yet_is_not_there(heron: Any) -> None:
    bedded(heron)
    before = (heron.now - timedelta(hours=1)).isoformat()
    assert heron.well("clocks", "--at", before, "--json").data()["clocks"] == []


def test_a_mark_is_answered_and_a_clock_stopped(heron: Any) -> None:
    made = bedded(heron, "--air", "22C")
    assert "not come yet" in heron.refused("answer", "Heron", "bedding-1", "pull")
    heron.now = opens(made, "pull")
    assert "pull" in heron.well("answer", "Heron", "bedding", "pull").out.lower()
    assert "pull" not in heron.well("clocks", "--json").data()["clocks"][0]["due"]
    heron.well("stop", "Heron", "bedding")
    assert heron.well("clocks", "--json").data()["clocks"] == []


def test_a_later_clock_counts_from_the_mix_and_its_adhesive(heron: Any) -> None:
    first = bedded(heron, "--store", "adhesives/slow", "--air", "15C")
    heron.now += timedelta(hours=10)
    cure = heron.well("clock", "Heron", "cure", "--json").data()
    assert (cure["started"], cure["store"], cure["air_C"]) == (first["started"], "adhesives/slow", 15)


NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


@pytest.mark.parametrize("text", ["07:00", "7:00", "tomorrow 07:00", "2026-03-03T07:00"])
def test_a_time_of_day_is_the_shops_own(text: str) -> None:
    here = when(text, NOW).astimezone()
    assert (here.hour, here.minute) == (7, 0)
    assert NOW < here < NOW + timedelta(hours=48)


def test_a_time_of_day_is_the_next_one() -> None:
    at = NOW.astimezone().replace(second=0)
    soon = (at + timedelta(minutes=30)).strftime("%H:%M")
    past = (at - timedelta(minutes=30)).strftime("%H:%M")
    assert when(soon, NOW) == at + timedelta(minutes=30)
    assert when(past, NOW) > NOW
    assert when("+3h", NOW) == NOW + timedelta(hours=3)
    assert when("2026-03-02T12:00+01:00", NOW) == NOW + timedelta(hours=2)


@pytest.mark.parametrize("text", ["", "never", "25:00", "07:60", "2026-13-01", "+", "+3 horses", "+-3h"])
def test_what_is_no_time_is_refused(text: str) -> None:
    with pytest.raises(ShopError):
        when(text, NOW)


def test_each_mark_is_told_as_it_stands_at_a_time(heron: Any) -> None:
    marks = {one["id"]: one for one in bedded(heron, "--air", "22C")["marks"]}

    def line(says: str, moment: datetime) -> str:
        out = heron.well("clocks", "--at", moment.isoformat()).out
        return next(one for one in out.splitlines() if one.strip().startswith(says))

    opens, shuts = (datetime.fromisoformat(marks["pull"][key]) for key in ("opens", "shuts"))
    says = marks["pull"]["says"]
    assert line(says, opens - timedelta(minutes=24)).endswith("in 24 min")
    assert f"OPEN, shuts in {int((shuts - opens).total_seconds() // 3600)} h" in line(says, opens)
    assert line(says, shuts - timedelta(minutes=7)).split("OPEN, ")[1].startswith("shuts in 7 min. ")
    assert "SHUT 9 min ago. " in line(says, shuts + timedelta(minutes=9))
    full = marks["full"]
    reached = datetime.fromisoformat(full["opens"]) + timedelta(minutes=3)
    assert "REACHED 3 min ago. " in line(full["says"], reached)


def test_a_copy_beside_a_blade_is_said_to_be_one(heron: Any, tmp_path_factory: Any) -> None:
    away = tmp_path_factory.mktemp("away")
    text = (heron.folder / "heron.toml").read_text(encoding="utf-8")
    (heron.folder / "heron (1).toml").write_text(text, encoding="utf-8")
    for words in (("clocks",), ("calendar", "-o", str(away / "shop.ics"))):
        out = heron.well(*words).out
        assert "heron (1): is a copy of heron" in out
        assert "cannot be read" not in out
