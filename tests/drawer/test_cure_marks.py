"""Cure marks through the drawer: times of day, cold nights, night windows, mistakes of the store."""

from __future__ import annotations

import time
import tomllib
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from workshop.drawer import cure, run
from workshop.errors import ShopError

ADHESIVES = tomllib.loads((Path(__file__).parents[2] / "recipes/stores/adhesives.toml").read_text("utf-8"))
NOON = datetime(2026, 1, 31, 12, 0, tzinfo=UTC).timestamp()


def ask(held: Mapping[str, Any] = ADHESIVES, **typed: str) -> run.Worked:
    texts = {key.replace("_", "-"): text for key, text in typed.items()}
    return run.work_out(cure.CURE, texts, lambda _: held, now=NOON)


def found(held: Mapping[str, Any] = ADHESIVES, **typed: str) -> dict[str, Any]:
    return {row.name: row.value for row in ask(held, **typed).rows}


@pytest.fixture
def in_utc(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("TZ", "UTC")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


@pytest.fixture
def in_the_alps(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("TZ", "CET-1CEST,M3.5.0,M10.5.0/3")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


OWN = {
    "id": "own",
    "title": "Own",
    "reference": "22 °C",
    "mark": [{"id": "pull", "says": "Pull", "opens": "5 h", "shuts": "10 h", "late": "locked"}],
}


@pytest.mark.usefixtures("in_utc")
def test_marks_as_times_of_day() -> None:
    entry = next(one for one in ADHESIVES["adhesive"] if one["id"] == "slow")
    assert (entry["reference"], entry["activation"]) == ("22 °C", "52 kJ/mol")
    values = found(store="adhesives/slow", air="22 °C", mixed_at="2026-01-31 09:00")
    assert values["mixed"] == "Sat 2026-01-31 09:00"
    assert values["factor"] == pytest.approx(1)
    for mark in entry["mark"]:
        assert f"opens {mark['id']}" in values
        assert (f"shuts {mark['id']}" in values) == bool(mark.get("shuts"))
    assembly = next(one for one in entry["mark"] if one["id"] == "assembly")
    assert assembly["shuts"] == "45 min"
    assert values["shuts assembly"] == "09:45"
    # exp(52000/8.314 × (1/285.15 − 1/295.15)) = 2.102 (by hand): 45 min become 94.6 min.
    assert found(air="12 °C", mixed_at="09:00")["shuts assembly"] == "10:35"


def test_an_adhesive_that_goes_by_halving_doubles_for_ten_degrees() -> None:
    typed = {"store": "own", "air": "12 °C", "mixed-at": "2026-01-31 09:00"}
    both = [OWN | {"halving": "10 K"}, OWN | {"halving": "10 K", "activation": "52 kJ/mol"}]
    worked = run.work_out(cure.CURE, typed, lambda _: {"adhesive": both[:1]}, now=NOON)
    assert next(row.value for row in worked.rows if row.name == "factor") == pytest.approx(2)
    with pytest.raises(ShopError, match="one of the two"):
        run.work_out(cure.CURE, typed, lambda _: {"adhesive": both[1:]}, now=NOON)


@pytest.mark.usefixtures("in_utc")
def test_a_maker_reads_each_window_once_with_when_and_how_long() -> None:
    typed = {"store": "own", "air": "22 °C", "mixed-at": "2026-01-31 16:00"}
    worked = run.work_out(cure.CURE, typed, lambda _: {"adhesive": [OWN | {"halving": "10 K"}]}, now=NOON)
    shown = {row.name: row.value for row in worked.shown()}
    assert shown["window Pull"] == "21:00 to Sun 2026-02-01 02:00, 5 h to 10 h after mixing"
    assert set(shown) == {"mixed", "factor", "window Pull"}
    assert {"opens pull", "shuts-after pull"} <= set(worked.data()["found"])


@pytest.mark.usefixtures("in_utc")
def test_a_cold_night_moves_the_marks() -> None:
    warm = found(air="22 °C", mixed_at="09:00")
    night = ask(air="0 h 22 °C; 1 h 5 °C; 11 h 22 °C", mixed_at="09:00")
    values = {row.name: row.value for row in night.rows}
    for name in warm:
        if name.startswith("opens-after") and warm[name] > 60:
            assert values[name] == pytest.approx(warm[name] + 600)
    assert any("below the floor" in line for line in night.answer.cautions)
    frozen = found(air="5 °C", mixed_at="09:00")
    assert all("stays below" in str(text) for name, text in frozen.items() if name.startswith("opens "))
    assert not any(name.startswith("opens-after") for name in frozen)


@pytest.mark.usefixtures("in_utc")
def test_a_window_in_the_night_is_said_before_the_mix() -> None:
    typed = {"store": "own", "air": "22 °C", "mixed-at": "17:00"}
    worked = run.work_out(cure.CURE, typed, lambda _: {"adhesive": [OWN]}, now=NOON)
    assert any("in the night" in line and "locked" in line for line in worked.answer.cautions)
    early = run.work_out(cure.CURE, typed | {"mixed-at": "08:00"}, lambda _: {"adhesive": [OWN]}, now=NOON)
    assert not any("in the night" in line for line in early.answer.cautions)


@pytest.mark.usefixtures("in_the_alps")
def test_a_change_of_the_clocks_moves_times_of_day_and_not_durations() -> None:
    # In that zone the night of 29 March 2026 has no 02:00 to 03:00: five hours after 23:00 it is 05:00.
    typed = {"store": "own", "air": "22 °C", "mixed-at": "2026-03-28 23:00"}
    worked = run.work_out(cure.CURE, typed, lambda _: {"adhesive": [OWN]}, now=NOON)
    values = {row.name: row.value for row in worked.rows}
    assert values["opens-after pull"] == 300
    assert values["opens pull"] == "Sun 2026-03-29 05:00"


@pytest.mark.usefixtures("in_utc")
def test_mixed_at_in_its_forms() -> None:
    for text in ("2026-01-31 09:00", "2026-01-31T09:00", "09:00", "9:00", "2026-01-31T10:00+01:00"):
        assert found(air="22 °C", mixed_at=text)["mixed"] == "Sat 2026-01-31 09:00"
    assert found(air="22 °C")["mixed"] == "Sat 2026-01-31 12:00"
    assert found(air="22 °C", mixed_at="now")["mixed"] == "Sat 2026-01-31 12:00"


@pytest.mark.parametrize(
    ("text", "kelvins"),
    [
        ("18 °C", [291.15]),
        ("64.4°F", [291.15]),
        ("18", [291.15]),
        ("0 h 20 °C; 1 h 30 min 10 °C", [293.15, 283.15]),
        ("20C; 90 min 50 F", [293.15, 283.15]),
        ("0h 20C;6h -2C", [293.15, 271.15]),
    ],
)
def test_air_in_its_forms(text: str, kelvins: list[float]) -> None:
    record = cure.read_air(text)
    assert [air_K for _, air_K in record] == pytest.approx(kelvins)
    assert record[0][0] == 0
    if len(record) == 2:
        assert record[1][0] in (5400, 21600)


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (0, "0 min"), (89, "1 min"), (3569, "59 min"), (3600, "1 h"), (6203, "1 h 43 min"), (7200, "2 h"),
        (172740, "47 h 59 min"), (172800, "2 d"), (176400, "2 d 1 h"), (259200, "3 d"), (975600, "11 d 7 h"),
    ],
)  # fmt: skip
def test_durations_in_words(seconds: float, words: str) -> None:
    assert cure.say_duration(seconds) == words


@pytest.mark.usefixtures("in_utc")
def test_times_of_day_are_to_the_nearest_minute() -> None:
    def opens(text: str) -> str:
        own = OWN | {"mark": [{"id": "pull", "opens": text}]}
        typed = {"store": "own", "air": "22 °C", "mixed-at": "09:00"}
        worked = run.work_out(cure.CURE, typed, lambda _: {"adhesive": [own]}, now=NOON)
        return str({row.name: row.value for row in worked.rows}["opens pull"])

    assert (opens("29 s"), opens("31 s"), opens("14 h 59 min 29 s")) == ("09:00", "09:01", "23:59")
    assert opens("15 h") == "Sun 2026-02-01 00:00"


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"reference": "warm"}, 'adhesive "own": reference'),
        ({"reference": 22}, "reference is missing"),
        ({"floor": "50 °C"}, "floor"),
        ({"halving": "0 K"}, "halving"),
        ({"mark": []}, "has no mark"),
        ({"mark": [{"id": "pull"}]}, 'mark "pull": opens is missing'),
        ({"mark": [{"id": "pull", "opens": "soon"}]}, 'mark "pull": opens'),
        ({"mark": [{"id": "pull", "opens": "5 h", "shuts": "4 h"}]}, "shuts before it opens"),
    ],
)
def test_an_adhesive_with_a_mistake_is_refused(change: dict[str, object], says: str) -> None:
    with pytest.raises(ShopError) as refusal:
        cure.read_adhesive(OWN | change)
    assert says in str(refusal.value)
