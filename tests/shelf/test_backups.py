"""Older texts: one a day and one a week, thinned, offered beside a broken file, put back by one command."""

from __future__ import annotations

import os
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from workshop.build import changes
from workshop.build.blade import Blade
from workshop.cli import main
from workshop.drawer import registry
from workshop.errors import ShopError
from workshop.shelf import backups, durable, gate
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


def test_a_clock_that_ran_ahead_takes_no_true_day_s_place(tmp_path: Path) -> None:
    for day in range(70):
        backups.keep(tmp_path, "heron", b"ahead", date(2099, 1, 1) + timedelta(days=day))
    for day in range(30):
        backups.keep(tmp_path, "heron", b"true", date(2026, 3, 2) + timedelta(days=day))
    true = [name for name in names(tmp_path) if "2026" in name]
    assert len([name for name in true if name.startswith("day-")]) == backups.DAYS
    assert len([name for name in true if name.startswith("week-")]) == 5
    assert len(names(tmp_path)) <= 2 * (backups.DAYS + backups.WEEKS)


@pytest.mark.parametrize("what", ["large", "pipe", "link"])
def test_a_blade_whose_place_is_taken_by_something_else_comes_back(
    shelf: Shelf, blade: Blade, capsys: pytest.CaptureFixture[str], what: str
) -> None:
    for says in ("one", "two"):
        shelf.change(blade.key, lambda one, says=says: changes.note(one, says, NOW))
    path = shelf.path(blade.key)
    path.unlink()
    if what == "large":
        path.write_text("#" * (1024 * 1024 + 1), encoding="utf-8")
    elif what == "pipe":
        os.mkfifo(path)
    else:
        path.symlink_to("/etc/hostname")
    assert workshop(shelf, "restore", "heron") == 0
    assert Shelf(shelf.folder, registry.NAMES).blade("heron").log[-1].says == "two"
    assert any(path.name.endswith("-whole.toml") for path in (shelf.folder / "backups/heron").iterdir())


def test_a_change_that_would_make_the_file_unreadable_is_not_made(shelf: Shelf, blade: Blade) -> None:
    with pytest.raises(ShopError, match="A note of 2001 letters is too long"):
        shelf.change(blade.key, lambda one: changes.note(one, "a" * 2001, NOW))
    long = "b" * 600_000
    with pytest.raises(ShopError, match="larger than 1 MiB and could not be read again"):
        shelf.change(blade.key, lambda one: changes.leave_out(one, "A1", NOW, long))
    assert Shelf(shelf.folder, registry.NAMES).blade("heron") == shelf.blade("heron")


def test_a_folder_of_kept_routes_that_is_gone_leaves_its_blades_unread_and_the_shelf_open(
    shelf: Shelf, blade: Blade, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = gate.os.open

    def closed(path: object, *rest: int, **more: int) -> int:
        if "/kept/" in str(path):
            raise PermissionError(13, "Permission denied", str(path))
        return real(path, *rest, **more)

    monkeypatch.setattr(gate.os, "open", closed)
    good, bad = Shelf(shelf.folder, registry.NAMES).blades()
    assert good == []
    assert "cannot be read" in next(one for one in bad if one.key == "heron").why


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


def test_the_shop_s_file_is_put_back_as_a_blade_s_is(
    shelf: Shelf, blade: Blade, capsys: pytest.CaptureFixture[str]
) -> None:
    shelf.keep_shop(lambda shop: replace(shop, air_K=290.0, read_at=NOW))
    good = (shelf.folder / "shop.toml").read_bytes()
    shelf.keep_shop(lambda shop: replace(shop, air_K=300.0, read_at=NOW))
    (shelf.folder / "shop.toml").write_text("[air", encoding="utf-8")
    (fault,) = Shelf(shelf.folder, registry.NAMES).blades()[1]
    assert "'workshop restore shop' takes " in fault.why
    assert workshop(shelf, "restore", "shop") == 0
    assert (shelf.folder / "shop.toml").read_bytes() == good
    kept = [path.read_text() for path in (shelf.folder / backups.FOLDER / "shop").glob("replaced-*")]
    assert kept == ["[air"]
    other = shelf.begin("Shop", "small", NOW)
    shelf.change(other.key, lambda one: changes.note(one, "one", NOW))
    capsys.readouterr()
    assert workshop(shelf, "restore", "shop", "--list") == 0
    assert "Older texts of shop-blade" in capsys.readouterr().out, "a blade called so comes first"
    assert workshop(shelf, "restore", "shop.toml", "--list") == 0
    assert "Older texts of shop," in capsys.readouterr().out


def test_an_older_text_is_not_put_over_a_newer_program_s_file_and_none_is_taken_for_an_empty_name(
    shelf: Shelf, blade: Blade, capsys: pytest.CaptureFixture[str]
) -> None:
    shelf.change(blade.key, lambda one: changes.note(one, "one", NOW))
    assert workshop(shelf, "restore", "heron", "--from", "") == 2
    assert "'' is no older text of heron" in capsys.readouterr().err
    path = shelf.path("heron")
    path.write_text(path.read_text().replace("schema = 1", "schema = 2", 1))
    newer = path.read_bytes()
    assert workshop(shelf, "restore", "heron") == 2
    assert "newer program (schema 2)" in capsys.readouterr().err
    assert path.read_bytes() == newer


def test_what_editors_save_one_after_another_in_the_moment_of_keeping_the_shop_is_not_lost(
    shelf: Shelf, monkeypatch: pytest.MonkeyPatch
) -> None:
    shelf.keep_shop(lambda shop: replace(shop, air_K=290.0, read_at=NOW))
    path = shelf.folder / "shop.toml"
    texts = [f'editor = {number}\n[air]\ntemperature = "1{number} °C"\n'.encode() for number in (1, 2)]
    real = durable.save

    def save(target: Path, data: bytes, within: Path | None = None) -> bytes | None:
        if target == path and texts:
            path.write_bytes(texts.pop(0))
        return real(target, data, within)

    monkeypatch.setattr(durable, "save", save)
    shelf.keep_shop(lambda shop: replace(shop, humidity=0.5))
    assert "editor = 2" in path.read_text()
    assert "50.0 %" in path.read_text()


def test_a_place_for_older_texts_that_cannot_be_written_is_told(shelf: Shelf, blade: Blade) -> None:
    (shelf.folder / backups.FOLDER).write_text("a file", encoding="utf-8")
    shelf.change(blade.key, lambda one: changes.note(one, "one", NOW))
    (told,) = shelf.blades()[1]
    assert told.kind == "backups"
    assert "no older texts are kept" in told.says()


def test_what_was_put_back_into_the_shop_s_file_is_no_newest_text_for_ever(
    shelf: Shelf, monkeypatch: pytest.MonkeyPatch
) -> None:
    for air_K in (290.0, 300.0):
        shelf.keep_shop(lambda shop, air_K=air_K: replace(shop, air_K=air_K, read_at=NOW))
    path, real = shelf.folder / "shop.toml", backups.aside

    def then_an_editor(*rest: Any) -> Path:
        kept = real(*rest)
        if b"editor" not in path.read_bytes():
            path.write_bytes(b"editor = 1\n")
        return kept

    monkeypatch.setattr(backups, "aside", then_an_editor)
    assert workshop(shelf, "restore", "shop") == 0
    shelf.keep_shop(lambda shop: replace(shop, air_K=310.0, read_at=NOW))
    assert all(one.name != "last" for one, _ in shelf.older("shop"))
    kept = [one.read_bytes() for one in (shelf.folder / "backups" / "shop").glob("replaced-*")]
    assert b"editor = 1\n" in kept, "what was saved in that very moment is with the older texts"
