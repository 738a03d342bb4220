"""A shelf travels whole in one file, and no archive can write outside a shelf or over what is there."""

from __future__ import annotations

import errno
import json
import os
import stat
import warnings
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from workshop.build import changes
from workshop.build.blade import Blade
from workshop.cli import main
from workshop.drawer import registry
from workshop.errors import ShopError
from workshop.shelf import archive as archives
from workshop.shelf import durable, pack
from workshop.shelf.gate import FileFault
from workshop.shelf.shelf import Shelf

NOW = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)


def everything(folder: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and not any(part.startswith(".") for part in path.relative_to(folder).parts)
    }


def test_a_whole_shelf_comes_out_on_another_laptop_as_it_went_in(
    shelf: Shelf, blade: Blade, tmp_path_factory: pytest.TempPathFactory
) -> None:
    for number in range(3):
        shelf.change(blade.key, lambda one, n=number: changes.note(one, f"note {n}", NOW))
    shelf.keep_shop(lambda shop: shop)
    away = tmp_path_factory.mktemp("away")
    assert main(["--shelf", str(shelf.folder), "pack", "-o", str(away / "shelf.zip")], now=NOW) == 0
    other = away / "deep" / "other"
    assert main(["--shelf", str(other), "unpack", str(away / "shelf.zip")], now=NOW) == 0
    assert everything(other) == everything(shelf.folder)
    assert Shelf(other, registry.NAMES).blade("heron") == shelf.blade("heron")
    assert stat.S_IMODE(other.stat().st_mode) == 0o700
    assert stat.S_IMODE((other / "heron.toml").stat().st_mode) == 0o600
    again = away / "again.zip"
    pack.pack(shelf.folder, again)
    assert again.read_bytes() == (away / "shelf.zip").read_bytes(), "the same shelf, the same file"


def test_what_is_there_is_not_written_over_and_a_blade_is_offered_for_merging(
    shelf: Shelf, blade: Blade, tmp_path_factory: pytest.TempPathFactory
) -> None:
    out = tmp_path_factory.mktemp("away") / "shelf.zip"
    shelf.change(blade.key, lambda one: changes.note(one, "packed", NOW))
    pack.pack(shelf.folder, out)
    shelf.change(blade.key, lambda one: changes.note(one, "after", NOW))
    (shelf.folder / "routes" / "small.toml").write_text("mine = 1\n")
    before = everything(shelf.folder)
    done = pack.unpack(out, shelf.folder)
    after = everything(shelf.folder)
    assert before.items() <= after.items()
    assert dict(done.beside) == {
        "heron.toml": "heron (unpacked).toml",
        "routes/small.toml": "unpacked/routes/small (unpacked).toml",
    }
    assert [one.kind for one in shelf.blades()[1] if one.key == "heron (unpacked)"] == ["copy"]


def test_what_is_packed_can_be_unpacked(shelf: Shelf, blade: Blade, tmp_path_factory: Any) -> None:
    (shelf.folder / "Heron.toml").write_bytes(b"a = 1\n")
    (shelf.folder / "checksums.json").write_bytes(b"{}")
    (shelf.folder / "na\u202eme.toml").write_bytes(b"a = 1\n")
    away = tmp_path_factory.mktemp("away")
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        left = pack.pack(shelf.folder, away / "shelf.zip").left
    assert sorted(left) == ["Heron.toml", "checksums.json", "na\u202eme.toml"]
    pack.unpack(away / "shelf.zip", away / "other")
    assert len(Shelf(away / "other", registry.NAMES).blades()[0]) == 1


def test_an_archive_takes_no_pipe_s_or_device_s_place_and_is_read_from_none(
    shelf: Shelf, blade: Blade, tmp_path_factory: Any
) -> None:
    pipe = tmp_path_factory.mktemp("away") / "pipe"
    os.mkfifo(pipe)
    with pytest.raises(ShopError, match="not a plain file"):
        pack.pack(shelf.folder, pipe)
    assert stat.S_ISFIFO(pipe.stat().st_mode)
    with pytest.raises(FileFault, match="not a plain file"):
        pack.unpack(pipe, shelf.folder)


def test_an_unpacking_that_stops_half_way_says_what_is_there_and_the_routes_came_first(
    shelf: Shelf, blade: Blade, tmp_path_factory: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    away = tmp_path_factory.mktemp("away")
    pack.pack(shelf.folder, away / "shelf.zip")
    real = durable.save

    def full(path: Path, data: bytes, within: Path | None = None) -> bytes | None:
        if path.name == "heron.toml":
            raise durable.NotSaved("heron.toml is not saved: No space left on device.")
        return real(path, data, within)

    monkeypatch.setattr(durable, "save", full)
    with pytest.raises(durable.NotSaved, match=r"[1-9]\d* of \d+ files are on the shelf; once"):
        pack.unpack(away / "shelf.zip", away / "other")
    assert list((away / "other" / "kept").iterdir())


def test_packing_leaves_out_links_and_pipes_and_says_so(shelf: Shelf, blade: Blade, tmp_path: Path) -> None:
    (shelf.folder / "link.toml").symlink_to("/etc/hostname")
    os.mkfifo(shelf.folder / "pipe.toml")
    out = tmp_path.parent / f"{tmp_path.name}.zip"
    packed = pack.pack(shelf.folder, out)
    assert packed.files == len(everything(shelf.folder)) - 1  # the link's target is not the shelf's
    assert sorted(packed.left) == ["link.toml", "pipe.toml"]
    with pytest.raises(Exception, match="on the shelf itself"):
        pack.pack(shelf.folder, shelf.folder / "me.zip")


def test_the_largest_shelf_that_is_packed_can_be_unpacked_and_a_larger_one_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shelf = tmp_path / "shelf"
    shelf.mkdir()
    monkeypatch.setattr(archives, "MOST_FILES", 4)
    monkeypatch.setattr(archives, "MOST_BYTES", 2000)
    for number in range(4):
        (shelf / f"{number}.toml").write_bytes(b"0" * 100)
    pack.pack(shelf, tmp_path / "shelf.zip")
    assert len(pack.unpack(tmp_path / "shelf.zip", tmp_path / "other").written) == 4
    before = (tmp_path / "shelf.zip").read_bytes()
    for more in ("4.toml", "3.toml"):
        (shelf / "4.toml").unlink(missing_ok=True)
        (shelf / more).write_bytes(b"0" * 1700)
        with pytest.raises(ShopError, match="holds more than an archive may"):
            pack.pack(shelf, tmp_path / "shelf.zip")
    assert (tmp_path / "shelf.zip").read_bytes() == before
    assert sorted(path.name for path in tmp_path.iterdir()) == ["other", "shelf", "shelf.zip"]
    (empty := tmp_path / "empty").mkdir()
    with pytest.raises(ShopError, match="nothing on it to pack"):
        pack.pack(empty, tmp_path / "shelf.zip")


def test_a_shelf_that_is_not_packed_whole_does_not_look_like_success(
    shelf: Shelf,
    blade: Blade,
    tmp_path_factory: Any,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setattr(archives, "MOST_FILE_BYTES", 2 * archives.MIB)
    (shelf.folder / "link.toml").symlink_to("/etc/hostname")
    (shelf.folder / "film.mkv").write_bytes(b"0" * (2 * archives.MIB + 1))
    (shelf.folder / ".git").mkdir()
    deep = shelf.folder
    for _ in range(700):  # deeper than a program may call itself
        deep = deep / "d"
        os.mkdir(deep)  # noqa: PTH102
    (shelf.folder / "two\nlines.toml").write_bytes(b"")
    out = tmp_path_factory.mktemp("away") / "shelf.zip"
    assert main(["--shelf", str(shelf.folder), "pack", "-o", str(out)], now=NOW) == 2
    said = capsys.readouterr()
    assert said.err.count("\n") == 1
    assert f"{out} is written, but it is not the whole shelf: it lacks " in said.err
    for name in ("film.mkv", "link.toml", "d/d/d/d/d/d/d/d", "two␊lines.toml"):
        assert name in said.err
    assert "film.mkv: larger than 2 MiB" in said.out
    assert "begins with a dot: .git\n" in said.out
    assert main(["--shelf", str(shelf.folder), "pack", "-o", str(out), "--json"], now=NOW) == 2
    assert len(json.loads(capsys.readouterr().out)["left_out"]) == 4
    assert pack.unpack(out, out.parent / "other").written


def test_an_interrupted_packing_leaves_nothing_and_a_killed_one_s_rest_is_swept_by_the_next(
    shelf: Shelf, blade: Blade, tmp_path_factory: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    away = tmp_path_factory.mktemp("away")
    rest = durable.stray_beside(away / "shelf.zip")
    rest.write_bytes(b"PK")

    def interrupted(*_: Any) -> bytes:
        raise KeyboardInterrupt

    monkeypatch.setattr(pack, "read_plain", interrupted)
    with pytest.raises(KeyboardInterrupt):
        pack.pack(shelf.folder, away / "shelf.zip")
    assert list(away.iterdir()) == []
    monkeypatch.undo()
    pack.pack(shelf.folder, away / "shelf.zip")
    assert [path.name for path in away.iterdir()] == ["shelf.zip"]


def test_an_archive_that_the_disk_does_not_confirm_is_not_said_to_be_unwritten(
    shelf: Shelf, blade: Blade, tmp_path_factory: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path_factory.mktemp("away") / "shelf.zip"

    def refuses(*_: Any) -> None:
        raise OSError(errno.EIO, "Input/output error")

    monkeypatch.setattr(durable, "flush_folder", refuses)
    with pytest.raises(durable.NotSaved, match=r"did not confirm it: .* may be kept or not"):
        pack.pack(shelf.folder, out)
    monkeypatch.setattr(os, "fsync", refuses)
    out.unlink()
    with pytest.raises(durable.NotSaved, match=r"is not written: Input/output error\. Nothing was written"):
        pack.pack(shelf.folder, out)
    assert list(out.parent.iterdir()) == []


def test_a_name_as_long_as_a_system_takes_travels(tmp_path: Path) -> None:
    shelf = tmp_path / "shelf"
    shelf.mkdir()
    (shelf / ("\u4e00" * 80)).write_bytes(b"long")
    assert pack.pack(shelf, tmp_path / "shelf.zip").files == 1
    pack.unpack(tmp_path / "shelf.zip", tmp_path / "other")
    assert everything(tmp_path / "other") == everything(shelf)
