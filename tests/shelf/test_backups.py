"""Older texts: one a day and one a week, thinned, offered beside a broken file, put back by one command."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from workshop.build import changes
from workshop.build.blade import Blade
from workshop.cli import main
from workshop.drawer import registry
from workshop.shelf import backups
from workshop.shelf.shelf import Shelf

NOW = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)


def names(shelf: Path, key: str = "heron") -> list[str]:
    return sorted(path.stem for path in (shelf / backups.FOLDER / key).glob("*.toml"))


def test_a_season_of_work_leaves_seven_days_and_eight_weeks(shelf: Shelf, blade: Blade) -> None:
    for day in range(100):
        at = NOW + timedelta(days=day)
        today = Shelf(shelf.folder, registry.NAMES, now=lambda at=at: at)
        for number in range(2):
            today.change(blade.key, lambda one, says=f"{day}/{number}", at=at: changes.note(one, says, at))
    last = (NOW + timedelta(days=99)).astimezone().date()
    days = [f"day-{(last - timedelta(days=back)).isoformat()}" for back in range(7)]
    weeks = {(last - timedelta(weeks=back)).isocalendar()[:2] for back in range(8)}
    assert names(shelf.folder) == sorted([*days, *(f"week-{y:04d}-W{w:02d}" for y, w in weeks)])
    first_of_today = (shelf.folder / backups.FOLDER / "heron" / f"{days[0]}.toml").read_text()
    assert 'says = "98/1"' in first_of_today
    assert 'says = "99/0"' not in first_of_today, "it is the text before the day's first change"


def test_a_clock_set_back_does_not_thin_away_what_is_just_kept(tmp_path: Path) -> None:
    for day in range(1, 12):
        backups.keep(tmp_path, "heron", b"a", date(2030, 1, day))
    backups.keep(tmp_path, "heron", b"b", date(2001, 1, 1))
    assert "day-2001-01-01" in names(tmp_path)


def test_a_full_backup_folder_does_not_stop_the_change(
    shelf: Shelf, blade: Blade, monkeypatch: pytest.MonkeyPatch
) -> None:
    (shelf.folder / backups.FOLDER).write_text("in the way")
    changed = shelf.change(blade.key, lambda one: changes.note(one, "kept all the same", NOW))
    assert changed.log[-1].says == "kept all the same"


def workshop(shelf: Shelf, *words: str) -> int:
    return main(["--shelf", str(shelf.folder), *words], now=NOW)


def test_a_broken_file_is_offered_its_last_good_text_and_gets_it_back(
    shelf: Shelf, blade: Blade, capsys: pytest.CaptureFixture[str]
) -> None:
    shelf.change(blade.key, lambda one: changes.note(one, "the last line", NOW))
    whole = shelf.blade(blade.key)
    broken = shelf.path(blade.key).read_bytes().replace(b"schema", b"[schema", 1)
    shelf.path(blade.key).write_bytes(broken)
    assert workshop(shelf, "blades") == 0
    assert "workshop restore heron" in capsys.readouterr().out
    assert workshop(shelf, "note", "heron", "x") == 2
    assert "workshop restore heron" in capsys.readouterr().err
    assert workshop(shelf, "restore", "heron") == 0
    assert Shelf(shelf.folder, registry.NAMES).blade("heron") == whole
    assert any(
        path.read_bytes() == broken for path in (shelf.folder / backups.FOLDER / "heron").glob("replaced-*")
    ), "the broken text is kept too"


def test_each_older_text_can_be_named_and_a_restore_can_be_restored_from(shelf: Shelf, blade: Blade) -> None:
    for word in ("one", "two"):
        shelf.change(blade.key, lambda one, w=word: changes.note(one, w, NOW))
    now = shelf.path("heron").read_bytes()
    day = next(name for name in names(shelf.folder) if name.startswith("day-"))
    assert workshop(shelf, "restore", "Heron", "--from", day) == 0
    assert [line.says for line in Shelf(shelf.folder, registry.NAMES).blade("heron").log][1:] == []
    replaced = next(name for name in names(shelf.folder) if name.startswith("replaced-"))
    assert workshop(shelf, "restore", "heron", "--from", replaced) == 0
    assert shelf.path("heron").read_bytes() == now


def test_a_blade_whose_file_is_gone_comes_back(shelf: Shelf, blade: Blade) -> None:
    shelf.change(blade.key, lambda one: changes.note(one, "one", NOW))
    whole = shelf.path("heron").read_bytes()
    shelf.path("heron").unlink()
    assert workshop(shelf, "restore", "heron") == 0
    assert shelf.path("heron").read_bytes() == whole


def test_a_wrong_name_is_refused_with_those_there_are(
    shelf: Shelf, blade: Blade, capsys: pytest.CaptureFixture[str]
) -> None:
    assert workshop(shelf, "restore", "heron") == 2
    assert "no older text" in capsys.readouterr().err
    shelf.change(blade.key, lambda one: changes.note(one, "one", NOW))
    assert workshop(shelf, "restore", "heron", "--from", "../../etc") == 2
    assert "there are: " in capsys.readouterr().err
    assert workshop(shelf, "restore", "heron", "--list") == 0


def test_forty_changes_are_taken_back_one_by_one_over_as_many_restarts(shelf: Shelf, blade: Blade) -> None:
    for number in range(45):
        shelf.change(blade.key, lambda one, n=number: changes.note(one, f"note {n}", NOW))
    for number in range(40):
        fresh = Shelf(shelf.folder, registry.NAMES)
        changed = fresh.change(blade.key, lambda one: changes.take_back(one, NOW))
        assert changed.log[-1].says == f"Taken back: note {44 - number}"
    assert Shelf(shelf.folder, registry.NAMES).blade(blade.key).backs == ()
