"""Saving leaves the old file or the new one, whole, and says when it did not work."""

from __future__ import annotations

import errno
import os
import signal
import stat
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from workshop.build.changes import note
from workshop.drawer import registry
from workshop.shelf import durable
from workshop.shelf.shelf import Shelf

NEW = b"new = true\n" * 300
OLD = b"old = true\n" * 300


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_what_is_saved_is_there_and_nothing_is_left_beside_it(tmp_path: Path) -> None:
    path = tmp_path / "heron.toml"
    durable.save(path, OLD)
    durable.save(path, NEW)
    assert path.read_bytes() == NEW
    assert names(tmp_path) == ["heron.toml"]


def test_a_new_file_is_private_and_an_old_one_keeps_its_mode_and_its_link(tmp_path: Path) -> None:
    real, link = tmp_path / "real.toml", tmp_path / "link.toml"
    durable.save(real, OLD)
    assert stat.S_IMODE(real.stat().st_mode) == 0o600
    real.chmod(0o640)
    link.symlink_to(real)
    durable.save(link, NEW)
    assert link.is_symlink()
    assert real.read_bytes() == NEW
    assert stat.S_IMODE(real.stat().st_mode) == 0o640


@pytest.mark.parametrize("call", ["open", "write", "fsync", "replace"])
@pytest.mark.parametrize("error", [errno.ENOSPC, errno.EIO, errno.EROFS])
def test_any_failing_call_leaves_the_old_file_and_no_stray(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str, error: int
) -> None:
    path = tmp_path / "heron.toml"
    durable.save(path, OLD)

    def fails(*args: Any, **kwargs: Any) -> Any:
        raise OSError(error, os.strerror(error))

    monkeypatch.setattr(*((durable, "_exchange") if call == "replace" else (os, call)), fails)
    with pytest.raises(durable.NotSaved, match="The file on disk is as it was"):
        durable.save(path, NEW)
    monkeypatch.undo()
    assert path.read_bytes() == OLD
    assert names(tmp_path) == ["heron.toml"]


@pytest.mark.parametrize("lacks", ["room", "the folder"])
def test_where_there_was_no_file_nothing_is_said_to_be_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, lacks: str
) -> None:
    path = tmp_path / ("there" if lacks == "room" else "gone") / "heron.toml"
    (tmp_path / "there").mkdir()
    if lacks == "room":

        def full(*args: Any) -> Any:
            raise OSError(errno.ENOSPC, "No space left on device")

        monkeypatch.setattr(os, "write", full)
    else:
        nothing = r"No such file or directory\. Nothing was written\.$"
        with pytest.raises(durable.NotSaved, match=nothing), durable.locked(path):
            pass
    with pytest.raises(durable.NotSaved, match=r"heron\.toml is not saved: .*\. Nothing was written\.$"):
        durable.save(path, NEW)
    assert names(tmp_path / "there") == []


def test_all_folders_that_are_made_are_private_and_those_that_were_there_stay_as_they_are(
    tmp_path: Path,
) -> None:
    (tmp_path / "mine").mkdir(mode=0o755)
    (tmp_path / "mine").chmod(0o755)
    before = os.umask(0)
    try:
        Shelf(tmp_path / "mine" / "a" / "b" / "shelf", registry.NAMES).prepare()
        durable.make_folders(tmp_path / "mine" / "c" / "d")
    finally:
        os.umask(before)
    modes = {
        str(path.relative_to(tmp_path)): stat.S_IMODE(path.stat().st_mode)
        for path in tmp_path.rglob("*")
        if path.is_dir()
    }
    assert modes.pop("mine") == 0o755
    assert set(modes.values()) == {0o700}
    assert len(modes) == 6


@pytest.mark.skipif(os.geteuid() != 0, reason="only root can give a file away")
def test_root_leaves_a_maker_s_files_and_folders_the_maker_s_own(tmp_path: Path) -> None:
    tmp_path.chmod(0o755)
    home = tmp_path / "home"
    home.mkdir()
    os.chown(home, 65534, 65534)
    file = home / "heron.toml"
    file.write_bytes(OLD)
    file.chmod(0o640)
    os.chown(file, 65534, 4)
    with durable.locked(file):
        durable.save(file, NEW)
    durable.make_folders(home / "a" / "b")
    durable.save(home / "a" / "b" / "new.toml", NEW)
    durable.jot(home / "jotted.toml", NEW)
    assert (file.stat().st_uid, file.stat().st_gid, stat.S_IMODE(file.stat().st_mode)) == (65534, 4, 0o640)
    assert {path.stat().st_uid for path in home.rglob("*")} == {65534}
    assert {path.stat().st_gid for path in home.rglob("*")} == {65534, 4}


def test_an_owner_that_the_system_does_not_let_us_give_stops_no_saving(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuses(*args: Any) -> None:
        raise OSError(errno.EPERM, "Operation not permitted")

    (tmp_path / "heron.toml").write_bytes(OLD)
    real = os.fstat
    monkeypatch.setattr(os, "fchown", refuses)
    monkeypatch.setattr(
        os, "fstat", lambda handle: os.stat_result((*list(real(handle))[:4], 7, 7, *list(real(handle))[6:]))
    )
    durable.save(tmp_path / "heron.toml", NEW)
    assert (tmp_path / "heron.toml").read_bytes() == NEW


def test_what_a_killed_program_left_in_a_folder_of_the_maker_s_is_swept_and_nothing_else(
    tmp_path: Path,
) -> None:
    dead, busy = (durable.stray_beside(tmp_path / "shelf.zip") for _ in range(2))
    others = [
        durable.STRAY + "letter",
        f"{durable.STRAY}shelf.zip-2",
        f"{durable.STRAY}other.zip-0123456789ab",
    ]
    for path in (dead, busy, *(tmp_path / name for name in others)):
        path.write_bytes(b"")
    (tmp_path / f"{durable.STRAY}shelf.zip-0123456789ab").symlink_to(tmp_path / others[0])
    gone = durable.stray_beside(tmp_path / "shelf of last week.zip")
    gone.write_bytes(b"")
    os.utime(gone, (1, 1))
    with busy.open("rb") as held:
        durable.hold(held.fileno())
        durable.sweep_outside(tmp_path, "shelf.zip")
    assert names(tmp_path) == sorted([busy.name, *others, f"{durable.STRAY}shelf.zip-0123456789ab"])


def test_a_short_write_goes_on_to_the_end(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = os.write
    monkeypatch.setattr(os, "write", lambda handle, data: whole(handle, bytes(data)[:7]))
    durable.save(tmp_path / "heron.toml", NEW)
    assert (tmp_path / "heron.toml").read_bytes() == NEW


WRITER = """
import sys
from pathlib import Path
from workshop.build.changes import note
from workshop.drawer import registry
from workshop.shelf import durable
from workshop.shelf.shelf import Shelf
path = Path(sys.argv[1])
n = 0
while True:
    n += 1
    data = (f"n = {{n}}\\n" + "x = 1\\n" * 40000 + f"end = {{n}}\\n").encode()
    print("saving", flush=True)
    {save}
"""
SAFE = "durable.save(path, data)"
NAIVE = "path.write_bytes(data)"


def torn_after_kills(path: Path, save: str, kills: int) -> int:
    """Kill a writing process so many times; count the files that are not whole."""
    torn = 0
    for round_number in range(kills):
        with subprocess.Popen(
            [sys.executable, "-c", WRITER.format(save=save), str(path)], stdout=subprocess.PIPE
        ) as process:
            assert process.stdout is not None
            for _ in range(2 + round_number % 5):
                process.stdout.readline()
            process.send_signal(signal.SIGKILL)
        text = path.read_text() if path.exists() else ""
        whole = text and text.splitlines()[0][4:] == text.splitlines()[-1][6:]
        torn += 0 if whole else 1
    return torn


def test_killed_at_any_moment_the_file_is_whole_and_a_plain_writer_is_caught(tmp_path: Path) -> None:
    durable.save(tmp_path / "safe.toml", b"n = 0\nend = 0\n")
    assert torn_after_kills(tmp_path / "safe.toml", SAFE, 15) == 0
    (tmp_path / "naive.toml").write_bytes(b"n = 0\nend = 0\n")
    assert torn_after_kills(tmp_path / "naive.toml", NAIVE, 15) > 0


def test_two_that_save_at_once_wait_for_each_other(tmp_path: Path) -> None:
    path = tmp_path / "count.toml"
    durable.save(path, b"0")

    def add() -> None:
        for _ in range(50):
            with durable.locked(path):
                durable.save(path, str(int(path.read_bytes()) + 1).encode())

    def together(work: Callable[[], None]) -> None:
        threads = [threading.Thread(target=work) for _ in range(3)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()

    together(add)
    assert path.read_bytes() == b"150"


def test_only_our_own_strays_of_days_past_are_swept(tmp_path: Path) -> None:
    old = tmp_path / f"{durable.STRAY}heron.toml-1"
    young = tmp_path / f"{durable.STRAY}heron.toml-2"
    other = tmp_path / "heron.toml"
    for path in (old, young, other):
        path.write_bytes(b"")
    os.utime(old, (1, 1))
    assert durable.sweep(tmp_path, time.time()) == 1
    assert names(tmp_path) == sorted([young.name, other.name])


def test_a_program_sweeps_every_folder_of_its_shelf_before_its_first_change(shelf: Any, blade: Any) -> None:
    shelf.change(blade.key, lambda one: note(one, "makes the folders", blade.started))
    folders = [shelf.folder / room for room in (".", "kept", ".written", "backups/heron")]
    for folder in folders:
        (folder / f"{durable.STRAY}heron.toml-1").write_bytes(b"")
        os.utime(folder / f"{durable.STRAY}heron.toml-1", (1, 1))
    Shelf(shelf.folder, registry.NAMES).change(blade.key, lambda one: note(one, "sweeps", blade.started))
    assert list(shelf.folder.rglob(f"{durable.STRAY}*")) == []


@pytest.mark.parametrize("lacks", ["ctypes", "the call", "the exchange"])
def test_where_two_files_cannot_change_places_a_rename_does(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, lacks: str
) -> None:
    if lacks == "ctypes":
        monkeypatch.setitem(sys.modules, "ctypes", None)
    elif lacks == "the call":
        monkeypatch.setattr("ctypes.CDLL", lambda *_, **__: object())
    else:
        monkeypatch.setattr(durable, "_exchange", lambda *_: False)
    path = tmp_path / "heron.toml"
    assert durable.save(path, OLD) is None
    assert durable.save(path, NEW) == OLD
    assert path.read_bytes() == NEW
    assert names(tmp_path) == ["heron.toml"]
    fails = [True]

    def refuses(folder: Path) -> None:
        if fails:
            fails.pop()
            raise OSError(errno.EIO, "Input/output error")

    monkeypatch.setattr(durable, "flush_folder", refuses)
    with pytest.raises(durable.NotSaved, match="as it was"):
        durable.save(path, OLD)
    assert path.read_bytes() == NEW
    assert names(tmp_path) == ["heron.toml"]
