"""Copies beside a blade's file, as tools and editors leave them: known for what they are, and merged."""

from __future__ import annotations

import shlex
import unicodedata
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from workshop.bench.desk import Desk
from workshop.bench.rack import Places, rack_rows
from workshop.build import changes
from workshop.build.blade import Blade
from workshop.cli import main
from workshop.drawer import registry
from workshop.shelf import air_keeping
from workshop.shelf.shelf import Shelf

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def noted(says: str) -> Callable[[Blade], Blade]:
    return lambda one: changes.note(one, says, NOW)


def left(shelf: Shelf, blade: Blade, name: str) -> Path:
    """Leave a copy with a line of its own under a name, and give the blade's file another line."""
    home = shelf.path(blade.key)
    aside = shelf.folder / "for-a-moment.toml"
    aside.write_bytes(home.read_bytes())
    Shelf(shelf.folder, registry.NAMES).change("for-a-moment", noted("on the other laptop"))
    (shelf.folder / ".written" / "for-a-moment.toml").unlink()
    aside.rename(shelf.folder / name)
    shelf.change(blade.key, noted("here"))
    return shelf.folder / name


@pytest.mark.parametrize(
    "name",
    [
        "heron.toml (conflicted copy 2026-03-02)",
        "heron.toml.sync-conflict-20260302-091500-ABCDEFG",
        "heron.TOML",
        "heron.toml~",
        "heron.toml.orig",
        "heron (1).toml.bak",
        "Héron (Kopie).Toml",
    ],
)
def test_a_copy_under_any_name_is_shown_and_merged_by_the_line_offered(
    shelf: Shelf, blade: Blade, name: str
) -> None:
    copy = left(shelf, blade, name)
    good, bad = shelf.blades()
    assert [one.key for one in good] == ["heron"]
    assert [(one.key, one.kind, one.path) for one in bad] == [(name, "copy", copy)]
    words = shlex.split(bad[0].why.rpartition(": ")[2])
    assert main(["--shelf", str(shelf.folder), *words[1:]], now=NOW) == 0
    good, bad = Shelf(shelf.folder, registry.NAMES).blades()
    assert bad == []
    assert {"on the other laptop", "here"} <= {line.says for line in good[0].log}
    assert not copy.exists()
    assert any("on the other laptop" in one.read_text() for one in (shelf.folder / "backups/heron").iterdir())


def test_what_an_editor_keeps_of_the_text_before_is_no_news(shelf: Shelf, blade: Blade) -> None:
    for name in ("heron.toml~", "heron.toml.bak", "heron.toml.swp", "heron.toml.~1~"):
        (shelf.folder / name).write_bytes(shelf.path("heron").read_bytes())
    (shelf.folder / "heron.toml.tmp").write_bytes(b"name = ")
    (shelf.folder / "heron.md").write_text("# the record", encoding="utf-8")
    shelf.change("heron", noted("later"))
    assert shelf.blades()[1] == []


def test_a_blade_whose_only_text_has_a_name_that_is_not_read_is_told(shelf: Shelf, blade: Blade) -> None:
    shelf.path("heron").rename(shelf.folder / "heron.TOML")
    (told,) = shelf.blades()[1]
    assert told.says().endswith("under a name that is not read; right would be heron.toml")


def test_the_open_bench_sees_a_copy_come_and_go(shelf: Shelf, blade: Blade) -> None:
    desk = Desk(shelf, lambda: NOW)
    copy = shelf.folder / "heron.toml (copy)"
    copy.write_bytes(shelf.path("heron").read_bytes())
    assert desk.refresh()
    assert [one.kind for one in desk.unread] == ["copy"]
    copy.unlink()
    assert desk.refresh()
    assert desk.unread == []


def with_name(shelf: Shelf, key: str, name: str, to: str) -> None:
    text = shelf.path(key).read_text(encoding="utf-8")
    (shelf.folder / to).write_text(text.replace(f'name = "{shelf.blade(key).name}"', f'name = "{name}"', 1))


def test_a_copy_is_one_whatever_its_name_is_spelt_like_and_a_sister_knife_is_none(shelf: Shelf) -> None:
    shelf.begin("Héron", "small", NOW)
    with_name(shelf, "heron", unicodedata.normalize("NFD", "Héron"), "heron-2.toml")
    with_name(shelf, "heron", "Heron the Second", "heron (conflicted copy).toml")
    with_name(shelf, "heron", "Osprey", "osprey.toml")
    good, bad = Shelf(shelf.folder, registry.NAMES).blades()
    assert [one.key for one in good] == ["heron", "osprey"]
    assert {(one.key, one.kind) for one in bad} == {
        ("heron (conflicted copy)", "copy"),
        ("heron-2", "copy"),
    }


def test_two_blades_begun_in_one_second_are_two(shelf: Shelf) -> None:
    shelf.begin("Heron", "small", NOW)
    shelf.begin("Wren", "small", NOW)
    assert [one.key for one in shelf.blades()[0]] == ["heron", "wren"]


def test_copies_of_the_shop_s_files_of_routes_and_of_stores_are_named_as_such(
    shelf: Shelf, blade: Blade
) -> None:
    stores = shelf.folder / "stores"
    stores.mkdir()
    for path in ("shop (conflicted copy).toml", "air.sync-conflict-1.toml", "stores/woods (1).toml"):
        (shelf.folder / path).write_text("x = 1", encoding="utf-8")
    route = (shelf.folder / "routes" / "small.toml").read_bytes()
    (shelf.folder / "routes" / "small (copy).toml").write_bytes(route)
    told = {one.key: one.says() for one in shelf.blades()[1]}
    assert told.keys() == {
        "shop (conflicted copy)",
        "air.sync-conflict-1",
        "stores/woods (1)",
        "routes/small (copy)",
    }
    assert "is a copy of shop.toml and is not read" in told["shop (conflicted copy)"]
    told.pop("air.sync-conflict-1")
    assert all(" is not read; take over from it what " in says for says in told.values())
    assert "small (copy)" not in shelf.route_ids()


def test_merge_reads_no_link_that_leads_out_and_writes_no_file_of_the_shelf(
    shelf: Shelf, blade: Blade, tmp_path_factory: pytest.TempPathFactory, capsys: pytest.CaptureFixture[str]
) -> None:
    outside = tmp_path_factory.mktemp("outside") / "heron.toml"
    outside.write_bytes(shelf.path("heron").read_bytes())
    (shelf.folder / "heron (copy).toml").symlink_to(outside)
    line = ["--shelf", str(shelf.folder), "merge", "heron"]
    assert main([*line, str(shelf.folder / "heron (copy).toml")], now=NOW) == 2
    assert "leads out of the shelf" in capsys.readouterr().err
    (shelf.folder / "heron (copy).toml").unlink()
    shelf.change("heron", lambda one: changes.note(one, "more", NOW + timedelta(hours=1)))
    before = shelf.path("heron").read_bytes()
    assert main([*line, str(outside), "-o", str(shelf.path("heron"))], now=NOW) == 2
    assert "lies on the shelf itself" in capsys.readouterr().err
    assert main([*line, str(outside), "-o", str(outside.with_name("both.toml"))], now=NOW) == 0
    assert shelf.path("heron").read_bytes() == before
    assert main(["--shelf", str(shelf.folder), "merge", "heron.toml~", "heron"], now=NOW) == 2


def test_the_readings_of_a_copy_of_the_air_are_put_into_it_by_the_line_offered(
    shelf: Shelf, capsys: pytest.CaptureFixture[str]
) -> None:
    air_keeping.keep_reading(shelf, NOW, 290.0)
    (shelf.folder / "air (conflicted copy).toml").write_bytes((shelf.folder / "air.toml").read_bytes())
    for hour, where in ((1, "air"), (2, "air (conflicted copy)")):
        path = shelf.folder / f"{where}.toml"
        text = path.read_text().rstrip("]\n")
        path.write_text(f'{text}\n  [2026-03-02T1{hour}:00:00Z, "18 °C"],\n]\n')
    (told,) = shelf.blades()[1]
    words = shlex.split(told.why.rpartition(": ")[2])
    assert words[:3] == ["workshop", "merge", "air"]
    assert main(["--shelf", str(shelf.folder), *words[1:]], now=NOW) == 0
    assert "are one: 3 readings" in capsys.readouterr().out
    assert [one.at.hour for one in air_keeping.readings_of(shelf)] == [9, 11, 12]
    assert Shelf(shelf.folder, registry.NAMES).blades()[1] == []
    assert len(list((shelf.folder / "backups" / "air").glob("replaced-*"))) == 1


def test_two_blades_begun_in_one_second_are_not_merged_and_a_text_that_is_none_is_said(
    shelf: Shelf, capsys: pytest.CaptureFixture[str]
) -> None:
    shelf.begin("Heron", "small", NOW)
    shelf.begin("Wren", "small", NOW)
    line = ["--shelf", str(shelf.folder), "merge", "heron"]
    assert main([*line, "wren", "-o", "/nowhere"], now=NOW) == 2
    assert "are two blades" in capsys.readouterr().err
    copy = shelf.folder / "heron (copy).toml"
    copy.write_text(shelf.path("heron").read_text() + "[[back]]\nwas = 5\nat = 3\n")
    assert main([*line, "heron (copy)"], now=NOW) == 2
    assert "heron (copy).toml, line" in capsys.readouterr().err


def test_many_copies_leave_the_blades_their_room(shelf: Shelf, blade: Blade) -> None:
    for number in range(30):
        (shelf.folder / f"heron ({number}).toml").write_bytes(shelf.path("heron").read_bytes())
    rows = [
        "".join(text for text, _ in row)
        for row in rack_rows(Desk(shelf, lambda: NOW), "heron", 80, 20, Places())
    ]
    assert any("Heron" in row and "done" in row for row in rows)
    assert any("more; on the command line 'workshop' names them all" in row for row in rows)
