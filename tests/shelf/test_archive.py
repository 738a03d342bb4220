"""No archive can write outside a shelf or over what is there, and none fills memory or disk."""

from __future__ import annotations

import errno
import hashlib
import io
import json
import os
import stat
import struct
import tracemalloc
import warnings
import zipfile
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from workshop.cli import main
from workshop.shelf import archive as archives
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


def packed_by_hand(*files: tuple[str, bytes], attr: int = 0o600 << 16, listed: bool = True) -> bytes:
    made = io.BytesIO()
    sums = {name: hashlib.sha256(raw).hexdigest() for name, raw in files}
    with zipfile.ZipFile(made, "w") as out:
        for name, raw in files:
            member = zipfile.ZipInfo(name)
            member.external_attr = attr
            out.writestr(member, raw)
        if listed:
            out.writestr(archives.LIST, json.dumps({"form": archives.FORM, "sha256": sums}))
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
    file.write_bytes(packed_by_hand(("good.toml", b"a = 1\n"), (name, b"x")))
    with pytest.raises(FileFault) as fault:
        pack.unpack(file, shelf)
    assert "\x1b" not in str(fault.value)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["evil.zip"]


@pytest.mark.parametrize("kind", [stat.S_IFLNK, stat.S_IFCHR, stat.S_IFBLK, stat.S_IFIFO, stat.S_IFDIR])
def test_links_and_devices_are_refused(tmp_path: Path, kind: int) -> None:
    file = tmp_path / "evil.zip"
    file.write_bytes(packed_by_hand(("link.toml", b"/etc/passwd"), attr=(kind | 0o777) << 16))
    with pytest.raises(FileFault, match="a link, a device or a folder"):
        pack.unpack(file, tmp_path / "shelf")


@pytest.mark.parametrize("names", [("a.toml", "a.toml"), ("a.toml", "A.toml"), ("ſ.toml", "s.toml")])
def test_a_name_that_stands_twice_is_refused_also_in_another_case(
    tmp_path: Path, names: tuple[str, str]
) -> None:
    file = tmp_path / "evil.zip"
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the library warns of the name that stands twice
        file.write_bytes(packed_by_hand((names[0], b"1"), (names[1], b"2")))
    with pytest.raises(FileFault, match="stands twice"):
        pack.unpack(file, tmp_path / "shelf")


def test_a_bomb_is_refused_by_what_it_says_and_by_what_it_is(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(archives, "MOST_FILE_BYTES", 1000)
    monkeypatch.setattr(archives, "MOST_BYTES", 3000)
    file = tmp_path / "bomb.zip"
    file.write_bytes(packed_by_hand(("a.toml", b"0" * 1001)))
    with pytest.raises(FileFault, match="larger than"):
        pack.unpack(file, tmp_path / "shelf")
    file.write_bytes(packed_by_hand(*((f"{n}.toml", b"0" * 900) for n in range(4))))
    with pytest.raises(FileFault, match="the whole larger"):
        pack.unpack(file, tmp_path / "shelf")
    raw = bytearray(packed_by_hand(("a.toml", b"0" * 900)))
    at = raw.rindex(b"PK\x01\x02", 0, raw.rindex(archives.LIST.encode()) - 60)
    raw[at + 24 : at + 28] = (10).to_bytes(4, "little")  # the directory says ten bytes
    file.write_bytes(bytes(raw))
    with pytest.raises(FileFault):
        pack.unpack(file, tmp_path / "shelf")
    assert not (tmp_path / "shelf").exists()


def test_files_and_checksums_must_agree(tmp_path: Path) -> None:
    file = tmp_path / "some.zip"
    whole = packed_by_hand(("a.toml", b"value = 1\n"))
    for wrong in (
        packed_by_hand(("a.toml", b"x"), listed=False),
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
        out.writestr(archives.LIST, json.dumps({"form": archives.FORM, "sha256": {"a.toml": "0" * 64}}))
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
    file.write_bytes(packed_by_hand(("heron.toml", b"a = 1\n")))
    pack.unpack(file, shelf)
    file.write_bytes(packed_by_hand(("kept/route.toml", b"a = 1\n")))
    with pytest.raises(Exception, match="leads out of the shelf"):
        pack.unpack(file, shelf)
    assert list(outside.iterdir()) == []


@pytest.mark.parametrize("method", [zipfile.ZIP_DEFLATED, zipfile.ZIP_LZMA, zipfile.ZIP_BZIP2])
def test_a_damaged_archive_is_one_sentence_wherever_it_is_damaged(tmp_path: Path, method: int) -> None:
    whole = tmp_path / "whole.zip"
    with zipfile.ZipFile(whole, "w", method) as made:
        made.writestr(archives.LIST, json.dumps({"form": archives.FORM, "sha256": {"é.toml": "0" * 64}}))
        made.writestr("é.toml", b"value = 1\n" * 50)
    raw = whole.read_bytes()
    for place in range(len(raw)):
        whole.write_bytes(raw[:place] + bytes([raw[place] ^ 0xFF]) + raw[place + 1 :])
        with pytest.raises(FileFault):
            pack.unpack(whole, tmp_path / "shelf")


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.integers(0, 10**6), st.integers(0, 255))
def test_any_byte_changed_is_noticed_or_does_not_matter(tmp_path: Path, place: int, byte: int) -> None:
    whole = bytearray(packed_by_hand(("a.toml", b"value = 1\n" * 20), ("kept/b.toml", b"b = 2\n" * 20)))
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
    file.write_bytes(packed_by_hand(("shop.toml", text), ("a.toml", b"a = 1\n")))
    assert main(["--shelf", str(tmp_path / "shelf"), "unpack", str(file)], now=NOW) == 0
    assert sorted(everything(tmp_path / "shelf")) == ["a.toml", "shop.toml"]
    shelf = Shelf(tmp_path / "shelf", (), laptop=tmp_path / "laptop.toml")
    assert shelf.laptop() == Laptop()
    assert any(one.kind == "unfollowed" for one in shelf.blades()[1])


def with_list(listing: bytes, *names: str) -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as out:
        for name in names:
            out.writestr(name, b"")
        out.writestr(archives.LIST, listing)
    return made.getvalue()


def directory_of(count: int) -> bytes:
    """Return a zip of nothing but a directory of so many members, with the end in the long form."""
    entry = b"PK\x01\x02" + struct.pack("<6H3L5H2L", 20, 20, 0, 0, 0, 33, 0, 0, 0, 1, 0, 0, 0, 0, 0, 0) + b"a"
    size = count * len(entry)
    long_end = b"PK\x06\x06" + struct.pack("<Q2H2L4Q", 44, 45, 45, 0, 0, count, count, size, 0)
    locator = b"PK\x06\x07" + struct.pack("<LQL", 0, size, 1)
    end = b"PK\x05\x06" + struct.pack("<4H2LH", 0, 0, 0xFFFF, 0xFFFF, 0xFFFFFFFF, 0xFFFFFFFF, 0)
    return entry * count + long_end + locator + end


HEAD = b'{"form": "workshop shelf 1", "sha256": '

FLOODS = {
    "five million entries": lambda: with_list(HEAD + b"{" + b'"a":"",' * 5_000_000 + b'"b":""}}'),
    "many in little": lambda: with_list(HEAD + b"{" + b'"a":"",' * 1_000_000 + b'"b":""}}'),
    "lists in lists": lambda: with_list(HEAD + b"[" + b"[]," * 2_500_000 + b"[]]}"),
    "deep lists": lambda: with_list(HEAD + b"[" * 4_000_000),
    "numbers": lambda: with_list(HEAD + b"[" + b"7777777777777777777," * 400_000 + b"1]}"),
    "a directory of small members": lambda: directory_of(150_000),
    "a directory of 94 MB": lambda: directory_of(2_000_000),
}


@pytest.mark.parametrize("flood", FLOODS)
def test_an_archive_that_floods_the_memory_is_refused_in_little_of_it(tmp_path: Path, flood: str) -> None:
    file = tmp_path / "flood.zip"
    file.write_bytes(FLOODS[flood]())
    tracemalloc.start()
    try:
        with pytest.raises(FileFault, match=r"not one that this program|nothing is unpacked"):
            pack.unpack(file, tmp_path / "shelf")
        assert tracemalloc.get_traced_memory()[1] < 40 * archives.MIB
    finally:
        tracemalloc.stop()
    assert [path.name for path in tmp_path.iterdir()] == ["flood.zip"]


@pytest.mark.parametrize("method", [zipfile.ZIP_LZMA, zipfile.ZIP_BZIP2])
def test_what_takes_memory_by_what_it_says_of_itself_is_not_unpacked_at_all(
    tmp_path: Path, method: int
) -> None:
    file = tmp_path / "some.zip"
    with zipfile.ZipFile(file, "w", method) as made:
        made.writestr(archives.LIST, HEAD + b"{}}")
    with pytest.raises(FileFault, match="packed in a way that is not read here"):
        pack.unpack(file, tmp_path / "shelf")


@pytest.mark.parametrize(
    "names",
    [
        ("x", "x/y"),
        ("x/y", "x"),
        ("a/b/c", "a/b"),
        ("x", "X/y"),
        ("A/one", "a/two"),
        ("\u00e9/one", "\u00c9/two"),
        ("a/x", "a/X"),
        ("stra\u00dfe", "STRASSE"),
    ],
)
def test_names_that_do_not_fit_beside_each_other_are_refused_before_anything_is_written(
    tmp_path: Path, names: tuple[str, str]
) -> None:
    file = tmp_path / "evil.zip"
    file.write_bytes(packed_by_hand(("good.toml", b"a = 1\n"), *((name, b"1") for name in names)))
    with pytest.raises(FileFault, match="nothing is unpacked"):
        pack.unpack(file, tmp_path / "shelf")
    assert [path.name for path in tmp_path.iterdir()] == ["evil.zip"]


def test_a_file_of_the_shelf_in_a_folder_s_place_is_noticed_before_anything_is_written(
    tmp_path: Path,
) -> None:
    shelf = tmp_path / "shelf"
    shelf.mkdir()
    (shelf / "z").write_bytes(b"mine")
    file = tmp_path / "some.zip"
    file.write_bytes(packed_by_hand(("a.toml", b"a = 1\n"), ("z/deep.toml", b"b = 1\n")))
    with pytest.raises(FileFault, match="is a file where a folder is needed; nothing is unpacked"):
        pack.unpack(file, shelf)
    assert everything(shelf) == {"z": b"mine"}


def test_an_archive_with_a_file_called_as_the_folder_for_what_differs_is_put_beside_all_the_same(
    tmp_path: Path,
) -> None:
    shelf = tmp_path / "shelf"
    shelf.mkdir()
    (shelf / "shop.toml").write_bytes(b"mine")
    (shelf / "unpacked").write_bytes(b"mine")
    file = tmp_path / "some.zip"
    file.write_bytes(packed_by_hand(("shop.toml", b"theirs"), ("unpacked", b"theirs")))
    done = pack.unpack(file, shelf)
    assert {(shelf / at).read_bytes() for _, at in done.beside} == {b"theirs"}
    assert len(done.beside) == 2
    assert (shelf / "shop.toml").read_bytes() == (shelf / "unpacked").read_bytes() == b"mine"


def test_a_disk_without_room_for_all_gets_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "some.zip"
    file.write_bytes(packed_by_hand(*((f"{n}.toml", b"0" * 5000) for n in range(300))))
    real = os.statvfs(tmp_path)
    free = os.statvfs_result((real.f_bsize, 4096, *list(real)[2:4], 256, *list(real)[5:10]))
    monkeypatch.setattr(os, "statvfs", lambda _: free)
    with pytest.raises(durable.NotSaved, match=r"take 3 MiB and the disk .* 1 MiB free; nothing is unpacked"):
        pack.unpack(file, tmp_path / "shelf")
    assert [path.name for path in tmp_path.iterdir()] == ["some.zip"]


def test_a_file_made_in_the_very_moment_is_not_written_over(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file, shelf = tmp_path / "some.zip", tmp_path / "shelf"
    file.write_bytes(packed_by_hand(("a.toml", b"unpacked")))
    real = durable.stray_beside
    there = [shelf / "a.toml"]

    def beside(target: Path) -> Path:
        while there:
            there.pop().write_bytes(b"mine")
        return real(target)

    monkeypatch.setattr(durable, "stray_beside", beside)
    assert pack.unpack(file, shelf).beside == [("a.toml", "a (unpacked).toml")]
    assert everything(shelf) == {"a.toml": b"mine", "a (unpacked).toml": b"unpacked"}


@pytest.mark.parametrize("call", ["seek", "read"])
def test_a_disk_that_cannot_be_read_is_not_taken_for_a_damaged_archive(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str
) -> None:
    file = tmp_path / "some.zip"
    file.write_bytes(packed_by_hand(("a.toml", b"a = 1\n")))

    class Failing(io.FileIO):
        def seek(self, *_: object) -> int:
            raise OSError(errno.EIO, "Input/output error")

        readinto = seek

    if call == "read":
        del Failing.seek
    monkeypatch.setattr(io, "FileIO", Failing)
    with pytest.raises(FileFault, match=r"cannot be read: Input/output error; nothing is unpacked\.$"):
        pack.unpack(file, tmp_path / "shelf")
    monkeypatch.undo()
    file.write_bytes(b"PK")
    with pytest.raises(
        FileFault, match="not an archive of a shelf, or damaged: File is not a zip file; nothing"
    ):
        pack.unpack(file, tmp_path / "shelf")
