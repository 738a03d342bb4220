"""A shelf travels whole in one file, and no archive can write outside a shelf or over what is there."""

from __future__ import annotations

import hashlib
import io
import json
import os
import stat
import warnings
import zipfile
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from workshop.build import changes
from workshop.build.blade import Blade
from workshop.cli import main
from workshop.drawer import registry
from workshop.errors import ShopError
from workshop.shelf import durable, pack
from workshop.shelf.gate import FileFault
from workshop.shelf.laptop_file import Laptop
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


def archive(*files: tuple[str, bytes], attr: int = 0o600 << 16, listed: bool = True) -> bytes:
    made = io.BytesIO()
    sums = {name: hashlib.sha256(raw).hexdigest() for name, raw in files}
    with zipfile.ZipFile(made, "w") as out:
        for name, raw in files:
            member = zipfile.ZipInfo(name)
            member.external_attr = attr
            out.writestr(member, raw)
        if listed:
            out.writestr(pack.LIST, json.dumps({"form": pack.FORM, "sha256": sums}))
    return made.getvalue()


BAD_NAMES = [
    "../out.toml",
    "a/../../out.toml",
    "/etc/out.toml",
    "C:/out.toml",
    "C:out.toml",
    "\\\\host\\out.toml",
    "a\\..\\out.toml",
    "",
    ".",
    "..",
    "a/",
    "a//b.toml",
    "./a.toml",
    ".hidden.toml",
    "a/.git/config",
    "con",
    "NUL.toml",
    "a/com1.txt",
    "line\nbreak.toml",
    "\x1b[31m.toml",
    "trailing. ",
    "dot.",
    "e\u0301.toml",
    "x" * 300,
    "/".join("abcdefghij"),
]


@pytest.mark.parametrize("name", BAD_NAMES)
def test_a_name_that_has_no_place_on_a_shelf_is_refused_before_anything_is_written(
    tmp_path: Path, name: str
) -> None:
    file, shelf = tmp_path / "evil.zip", tmp_path / "shelf"
    file.write_bytes(archive(("good.toml", b"a = 1\n"), (name, b"x")))
    with pytest.raises(FileFault) as fault:
        pack.unpack(file, shelf)
    assert "\x1b" not in str(fault.value)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["evil.zip"]


@pytest.mark.parametrize("kind", [stat.S_IFLNK, stat.S_IFCHR, stat.S_IFBLK, stat.S_IFIFO, stat.S_IFDIR])
def test_links_and_devices_are_refused(tmp_path: Path, kind: int) -> None:
    file = tmp_path / "evil.zip"
    file.write_bytes(archive(("link.toml", b"/etc/passwd"), attr=(kind | 0o777) << 16))
    with pytest.raises(FileFault, match="a link, a device or a folder"):
        pack.unpack(file, tmp_path / "shelf")


@pytest.mark.parametrize("names", [("a.toml", "a.toml"), ("a.toml", "A.toml"), ("ſ.toml", "s.toml")])
def test_a_name_that_stands_twice_is_refused_also_in_another_case(
    tmp_path: Path, names: tuple[str, str]
) -> None:
    file = tmp_path / "evil.zip"
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the library warns of the name that stands twice
        file.write_bytes(archive((names[0], b"1"), (names[1], b"2")))
    with pytest.raises(FileFault, match="stands twice"):
        pack.unpack(file, tmp_path / "shelf")


def test_a_bomb_is_refused_by_what_it_says_and_by_what_it_is(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pack, "MOST_FILE_BYTES", 1000)
    monkeypatch.setattr(pack, "MOST_BYTES", 3000)
    file = tmp_path / "bomb.zip"
    file.write_bytes(archive(("a.toml", b"0" * 1001)))
    with pytest.raises(FileFault, match="larger than"):
        pack.unpack(file, tmp_path / "shelf")
    file.write_bytes(archive(*((f"{n}.toml", b"0" * 900) for n in range(4))))
    with pytest.raises(FileFault, match="the whole larger"):
        pack.unpack(file, tmp_path / "shelf")
    raw = bytearray(archive(("a.toml", b"0" * 900)))
    at = raw.rindex(b"PK\x01\x02", 0, raw.rindex(pack.LIST.encode()) - 60)
    raw[at + 24 : at + 28] = (10).to_bytes(4, "little")  # the directory says ten bytes
    file.write_bytes(bytes(raw))
    with pytest.raises(FileFault):
        pack.unpack(file, tmp_path / "shelf")
    assert not (tmp_path / "shelf").exists()


def test_files_and_checksums_must_agree(tmp_path: Path) -> None:
    file = tmp_path / "some.zip"
    whole = archive(("a.toml", b"value = 1\n"))
    for wrong in (
        archive(("a.toml", b"x"), listed=False),
        whole.replace(b"value = 1", b"value = 2"),
        whole[: len(whole) // 2],
        b"",
        b"PK\x03\x04",
    ):
        file.write_bytes(wrong)
        with pytest.raises(FileFault):
            pack.unpack(file, tmp_path / "shelf")
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as out:
        out.writestr("a.toml", b"x")
        out.writestr(pack.LIST, json.dumps({"form": pack.FORM, "sha256": {"a.toml": "0" * 64}}))
    file.write_bytes(made.getvalue())
    with pytest.raises(FileFault, match="damaged"):
        pack.unpack(file, tmp_path / "shelf")
    assert not (tmp_path / "shelf").exists()


def test_a_link_that_lies_on_the_shelf_is_not_followed_out_of_it(tmp_path: Path) -> None:
    shelf, outside = tmp_path / "shelf", tmp_path / "outside"
    shelf.mkdir()
    outside.mkdir()
    (shelf / "kept").symlink_to(outside)
    (shelf / "heron.toml").symlink_to(outside / "target.toml")
    file = tmp_path / "some.zip"
    file.write_bytes(archive(("heron.toml", b"a = 1\n")))
    pack.unpack(file, shelf)
    file.write_bytes(archive(("kept/route.toml", b"a = 1\n")))
    with pytest.raises(Exception, match="leads out of the shelf"):
        pack.unpack(file, shelf)
    assert list(outside.iterdir()) == []


def test_what_is_packed_can_be_unpacked(shelf: Shelf, blade: Blade, tmp_path_factory: Any) -> None:
    (shelf.folder / "Heron.toml").write_bytes(b"a = 1\n")
    (shelf.folder / "checksums.json").write_bytes(b"{}")
    (shelf.folder / "na\u202eme.toml").write_bytes(b"a = 1\n")
    away = tmp_path_factory.mktemp("away")
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        _, left = pack.pack(shelf.folder, away / "shelf.zip")
    assert len(left) == 3
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


@pytest.mark.parametrize("method", [zipfile.ZIP_DEFLATED, zipfile.ZIP_LZMA, zipfile.ZIP_BZIP2])
def test_a_damaged_archive_is_one_sentence_wherever_it_is_damaged(tmp_path: Path, method: int) -> None:
    whole = tmp_path / "whole.zip"
    with zipfile.ZipFile(whole, "w", method) as made:
        made.writestr(pack.LIST, json.dumps({"form": pack.FORM, "sha256": {"é.toml": "0" * 64}}))
        made.writestr("é.toml", b"value = 1\n" * 50)
    raw = whole.read_bytes()
    for place in range(len(raw)):
        whole.write_bytes(raw[:place] + bytes([raw[place] ^ 0xFF]) + raw[place + 1 :])
        with pytest.raises(FileFault):
            pack.unpack(whole, tmp_path / "shelf")


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
    with pytest.raises(durable.NotSaved, match=r"[1-9]\d* of \d+ files are on the shelf; with room"):
        pack.unpack(away / "shelf.zip", away / "other")
    assert list((away / "other" / "kept").iterdir())


def test_packing_leaves_out_links_and_pipes_and_says_so(shelf: Shelf, blade: Blade, tmp_path: Path) -> None:
    (shelf.folder / "link.toml").symlink_to("/etc/hostname")
    os.mkfifo(shelf.folder / "pipe.toml")
    out = tmp_path.parent / f"{tmp_path.name}.zip"
    count, left = pack.pack(shelf.folder, out)
    assert count == len(everything(shelf.folder)) - 1  # the link's target is not the shelf's
    assert len(left) == 2
    with pytest.raises(Exception, match="on the shelf itself"):
        pack.pack(shelf.folder, shelf.folder / "me.zip")


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.integers(0, 10**6), st.integers(0, 255))
def test_any_byte_changed_is_noticed_or_does_not_matter(tmp_path: Path, place: int, byte: int) -> None:
    whole = bytearray(archive(("a.toml", b"value = 1\n" * 20), ("kept/b.toml", b"b = 2\n" * 20)))
    whole[place % len(whole)] = byte
    file = tmp_path / "some.zip"
    file.write_bytes(bytes(whole))
    shelf = tmp_path / f"shelf-{place}-{byte}"
    try:
        pack.unpack(file, shelf)
    except FileFault:
        assert not shelf.exists()
        return
    assert everything(shelf) == {"a.toml": b"value = 1\n" * 20, "kept/b.toml": b"b = 2\n" * 20}


@pytest.mark.parametrize("text", [b'[horn]\ncommand = ["/bin/sh"]\n', b'[air]\ncommand = ["x"]\n'])
def test_unpacked_settings_that_name_a_command_name_it_in_vain(tmp_path: Path, text: bytes) -> None:
    file = tmp_path / "some.zip"
    file.write_bytes(archive(("shop.toml", text), ("a.toml", b"a = 1\n")))
    assert main(["--shelf", str(tmp_path / "shelf"), "unpack", str(file)], now=NOW) == 0
    assert sorted(everything(tmp_path / "shelf")) == ["a.toml", "shop.toml"]
    shelf = Shelf(tmp_path / "shelf", (), laptop=tmp_path / "laptop.toml")
    assert shelf.laptop() == Laptop()
    assert any(one.kind == "unfollowed" for one in shelf.blades()[1])
