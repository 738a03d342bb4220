"""Checking files, writing the record, and where everything lies."""

from __future__ import annotations

import errno
import os
import shutil
from pathlib import Path
from typing import Any

import pytest

from workshop.build import changes
from workshop.drawer import registry
from workshop.shelf import durable, places
from workshop.shelf.places import recipes_folder
from workshop.shelf.shelf import Shelf

RECIPES = recipes_folder()


@pytest.mark.parametrize("path", sorted(RECIPES.rglob("*.toml")), ids=lambda path: path.stem)
def test_every_recipe_of_ours_is_sound(workshop: Any, path: Path) -> None:
    assert "ok" in workshop.well("check", str(path)).out


def test_a_blade_is_checked_with_its_kept_route(heron: Any) -> None:
    assert "the blade Heron" in heron.well("check", str(heron.folder / "heron.toml")).out


@pytest.mark.parametrize(
    ("was", "becomes", "says"),
    [
        ('before = ["A1"]', 'before = ["A9"]', "A9"),
        ('kind = "length"', 'kind = "lenght"', "length"),
        ('calculators = ["slot-fill"]', 'calculators = ["slot-fil"]', "slot-fil"),
        ('store = "adhesives/slow"', 'store = "adhesives/sloe"', "adhesives/slow"),
        ('marks = ["last-wipe", "pull", "full"]', 'marks = ["pul", "pull"]', "'pul'"),
        ('least = "60 mm"', 'least = "60 furlongs"', "least"),
        ("one_way = true", "one_way = perhaps", "TOML"),
    ],
)
def test_a_mistake_in_a_route_is_named(workshop: Any, was: str, becomes: str, says: str) -> None:
    route = workshop.folder / "routes" / "small.toml"
    text = route.read_text(encoding="utf-8")
    assert was in text
    route.write_text(text.replace(was, becomes, 1), encoding="utf-8")
    refused = workshop.refused("check", str(route))
    assert says in refused
    assert "small.toml" in refused


def test_several_files_are_all_told(workshop: Any) -> None:
    good = workshop.folder / "routes" / "small.toml"
    bad = workshop.folder / "bad.toml"
    bad.write_text("nothing", encoding="utf-8")
    said = workshop("check", str(good), str(bad), str(bad))
    assert (said.code, said.err.count("\n")) == (2, 1)
    assert said.out.count("\n") == 3
    data = workshop("check", str(good), str(bad), "--json").data()["files"]
    assert [one["fault"] is None for one in data] == [True, False]


def test_the_record_goes_to_a_file(heron: Any, tmp_path_factory: pytest.TempPathFactory) -> None:
    out = tmp_path_factory.mktemp("away") / "heron.md"
    left = durable.stray_beside(out)
    left.write_bytes(b"# Her")  # by one that was killed
    heron.well("record", "Heron", "-o", str(out))
    assert out.read_text(encoding="utf-8").startswith("# Heron\n")
    assert list(out.parent.iterdir()) == [out]
    out.unlink()
    assert heron.well("record", "Heron", "--json", "-o", str(out)).data()["key"] == "heron"
    assert out.read_text(encoding="utf-8").startswith("# Heron\n")


@pytest.mark.parametrize("words", [("record", "Heron"), ("calendar",), ("pack",)], ids=lambda words: words[0])
@pytest.mark.parametrize("name", ["heron.toml", "shop.toml", "kept/new.md", "new.md", "link", "deep/../new"])
def test_what_leaves_the_shop_is_not_written_over_the_shelf(
    heron: Any, tmp_path_factory: pytest.TempPathFactory, words: tuple[str, ...], name: str
) -> None:
    out = heron.folder / name
    if name == "link":
        out = tmp_path_factory.mktemp("away") / name
        out.symlink_to(heron.folder / "heron.toml")
    assert "lies on the shelf itself; right would be a file elsewhere" in heron.refused(
        *words, "-o", str(out)
    )


def test_a_shelf_that_is_reached_by_another_name_is_still_the_shelf(
    heron: Any, tmp_path_factory: Any
) -> None:
    other = tmp_path_factory.mktemp("away") / "other"
    other.symlink_to(heron.folder, target_is_directory=True)
    assert "lies on the shelf" in heron.refused("record", "Heron", "-o", str(other / "heron.toml"))
    assert places.lies_on(heron.folder, other)
    assert not places.lies_on(heron.folder.parent / "x.md", heron.folder)


def test_where_names_the_shelf(workshop: Any) -> None:
    data = workshop.well("where", "--json").data()
    assert data["shelf"] == str(workshop.folder)
    assert "small" in data["routes"]
    assert str(workshop.folder) in workshop.well("where").out


def test_a_checked_blade_names_a_value_that_is_not_likely(heron: Any) -> None:
    heron.well("value", "Heron", "blade-length=105mm")
    path = heron.folder / "heron.toml"
    path.write_text(path.read_text(encoding="utf-8").replace('"105mm"', '"105 m"', 1), encoding="utf-8")
    assert "Blade length: 105000 mm is more than is likely here" in heron.well("check", str(path)).out


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("air.toml", ("air", "18C")),
        ("shop.toml", ("air", "18C")),
        (".written", ("note", "Heron", "hello")),
        ("backups", ("note", "Heron", "hello")),
        ("kept", ("start", "Wren", "--route", "small")),
        ("conflicts", ("note", "Heron", "hello")),
    ],
)
def test_nothing_is_written_through_a_link_that_leads_out(
    heron: Any, tmp_path_factory: pytest.TempPathFactory, name: str, words: tuple[str, ...]
) -> None:
    outside = tmp_path_factory.mktemp("outside")
    path = heron.folder / name
    if name != "kept":  # the blade's own route is needed, so that one leads out only after it
        shutil.rmtree(path, ignore_errors=True)
        path.unlink(missing_ok=True)
        path.symlink_to(outside / name if name.endswith(".toml") else outside)
    else:
        path.rename(outside / "kept")
        path.symlink_to(outside / "kept")
    before = sorted(outside.rglob("*"))
    heron(*words)
    assert sorted(outside.rglob("*")) == before


def test_a_reading_for_an_air_file_that_leads_out_is_refused_in_a_sentence(
    heron: Any, tmp_path_factory: pytest.TempPathFactory
) -> None:
    (heron.folder / "air.toml").symlink_to(tmp_path_factory.mktemp("outside") / "air.toml")
    assert "leads out of the shelf" in heron.refused("air", "18C")


def test_where_counts_no_broken_file_as_a_blade(heron: Any) -> None:
    (heron.folder / "wren.toml").write_text("name =", encoding="utf-8")
    assert "Blades:      1, and wren that cannot be read" in heron.well("where").out
    data = heron.well("where", "--json").data()
    assert [Path(one).stem for one in data["blades"]] == ["heron"]
    assert [Path(one).stem for one in data["not_taken"]] == ["wren"]


def test_a_file_without_a_schema_is_told_what_is_missing(heron: Any) -> None:
    path = heron.folder / "heron.toml"
    path.write_text(path.read_text(encoding="utf-8").replace("schema = 1\n", "", 1), encoding="utf-8")
    assert "schema: missing; right would be the line schema = 1" in heron.refused("check", str(path))


@pytest.mark.parametrize("fails", ["the backup", "taking it off", "somebody writes it"])
def test_a_merge_that_cannot_put_its_copy_away_says_what_is_true(
    heron: Any, monkeypatch: pytest.MonkeyPatch, fails: str
) -> None:
    path, copy = heron.folder / "heron.toml", heron.folder / "heron (copy).toml"
    shutil.copy(path, copy)
    heron.well("note", "Heron", "ours")
    shelf = Shelf(heron.folder, registry.NAMES)
    shelf.change("heron (copy)", lambda one: changes.note(one, "theirs", heron.now))
    before, theirs = path.read_bytes(), copy.read_bytes()

    def refuses(*_: Any, **__: Any) -> Any:
        raise OSError(errno.ENOSPC, "No space left on device")

    if fails == "the backup":
        monkeypatch.setattr(os, "write", refuses)
        assert "Nothing was written" in heron.refused("merge", "heron", "heron (copy)")
        assert path.read_bytes() == before
        return
    if fails == "taking it off":
        real = Path.unlink
        monkeypatch.setattr(
            Path, "unlink", lambda one, **kinds: refuses() if one == copy else real(one, **kinds)
        )
    else:
        put = Shelf.put_whole
        monkeypatch.setattr(
            Shelf, "put_whole", lambda *words: (put(*words), copy.write_bytes(theirs + b"# more\n"))
        )
    said = heron("merge", "heron", "heron (copy)")
    assert said.code == 2
    assert "heron.toml holds both now, but heron (copy).toml stays on the shelf: " in said.err
    assert copy.read_bytes().startswith(theirs)
    assert {"ours", "theirs"} <= {
        line.says for line in Shelf(heron.folder, registry.NAMES).blade("heron").log
    }
    monkeypatch.undo()
    heron.well("merge", "heron", "heron (copy)")
    assert not copy.exists()
