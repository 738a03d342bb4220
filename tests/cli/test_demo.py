"""The example shelf: four blades at different stages, two clocks running, and real work in them."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from workshop.build import standing
from workshop.build.clock import next_moment
from workshop.cli.demo import make_demo
from workshop.drawer import registry
from workshop.shelf.shelf import Shelf

MOMENTS = [
    datetime(2026, 3, 2, 16, 30, tzinfo=UTC),
    datetime(2026, 7, 1, 4, 5, 6, tzinfo=UTC),
    datetime(2026, 10, 25, 1, 30, tzinfo=UTC),
    datetime(2028, 2, 29, 23, 59, tzinfo=UTC),
]


REST = ["shop.toml", "wren.toml"]


@pytest.mark.parametrize("now", MOMENTS)
def test_it_stands_as_it_should_at_any_time(tmp_path: Path, now: datetime) -> None:
    shelf = Shelf(make_demo(tmp_path, now), registry.NAMES)
    blades, unread = shelf.blades()
    assert not unread
    assert sorted(blade.name for blade in blades) == ["Bittern", "Dipper", "Heron", "Wren"]
    running = [(blade.name, clock) for blade in blades for clock in blade.running()]
    assert sorted(name for name, _ in running) == ["Heron", "Wren"]
    for _, clock in running:
        ahead = next_moment(clock, now)
        assert ahead is not None
        assert timedelta(0) < ahead.at - now < timedelta(hours=1)
    assert {standing.in_hand(blade, now).id for blade in blades} == {"G3", "H7", "E8"}
    for blade in blades:
        moments = [entry.at for entry in blade.log]
        assert moments == sorted(moments)
        assert moments[-1] <= now


def test_it_has_slips_reasons_and_a_step_done_over(tmp_path: Path) -> None:
    blades, _ = Shelf(make_demo(tmp_path, MOMENTS[0]), registry.NAMES).blades()
    assert sum(len(blade.slips) for blade in blades) >= 3
    assert any(entry.why for blade in blades for entry in blade.log)
    assert any(entry.did == "do over" for blade in blades for entry in blade.log)
    assert any(entry.did == "note" for blade in blades for entry in blade.log)
    assert any(value.why for blade in blades for value in blade.values.values())


def test_the_same_moment_gives_the_same_shelf(tmp_path: Path) -> None:
    found = []
    for name in ("one", "two"):
        folder = make_demo(tmp_path / name, MOMENTS[0])
        found.append({path.name: path.read_bytes() for path in sorted(folder.glob("*.toml"))})
    assert found[0] == found[1]
    assert sorted(found[0]) == ["air.toml", *(f"{one}.toml" for one in ("bittern", "dipper", "heron")), *REST]


def test_a_bed_poured_now_would_open_in_the_night_and_the_better_start_is_said(
    tmp_path: Path, typist: Callable[[Path, datetime], Any]
) -> None:
    now = datetime(2026, 3, 2, 16, 30, tzinfo=UTC)
    here = now.astimezone()
    evening = (now.replace(hour=16, minute=30) - (here.utcoffset() or timedelta())).astimezone(UTC)
    made = make_demo(tmp_path, evening)
    said = typist(made, evening - timedelta(minutes=1)).well("when", "H7", "--blade", "Dipper")
    assert "trim or pull" in said.out
    assert "WHILE YOU SLEEP" in said.out
    assert "start between Tue 07:30 and Tue 08:5" in said.out
    assert "over half of the pot life" in said.out
    data = (
        typist(made, evening - timedelta(minutes=1)).well("when", "H7", "--blade", "Dipper", "--json").data()
    )
    assert "pull" in data["missed"]
    latest = datetime.fromisoformat(data["latest_start"])
    again = typist(made, evening - timedelta(minutes=1)).well(
        "when", "H7", "--blade", "Dipper", "--start", latest.isoformat(), "--json"
    )
    assert again.data()["missed"] == []


def test_what_must_be_minded_is_said_before_a_step_starts(
    tmp_path: Path, typist: Callable[[Path, datetime], Any]
) -> None:
    now = datetime(2026, 3, 2, 16, 30, tzinfo=UTC)
    here = now.astimezone()
    evening = (now - (here.utcoffset() or timedelta())).astimezone(UTC)
    maker = typist(make_demo(tmp_path, evening), evening)
    said = maker("step", "Dipper", "H7", "start")
    assert said.code == 2
    assert "Mind: Heron, bedding" in said.out
    assert "Mind: bedding: trim or pull" in said.out
    assert "Mind: bedding: start between" in said.out
    assert "Mind: The rehearsal took" in said.out
    minds = maker.well("step", "Dipper", "H7", "start", "--looked", "--json").data()["minds"]
    assert any("start between" in line for line in minds)
    assert any(
        "hammering" in line
        for line in maker.well("step", "Bittern", "G4", "start", "--why", "now").out.split("\n")
    )
