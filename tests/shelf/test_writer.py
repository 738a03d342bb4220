"""The writer: in order, one change behind at most; a refusing disk keeps everything in memory and says so."""

from __future__ import annotations

import errno
import os
import shutil
import threading
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from workshop.bench import leaving
from workshop.bench.desk import Desk, Tone
from workshop.build import changes
from workshop.build.blade import Blade, State
from workshop.drawer import registry
from workshop.errors import ShopError
from workshop.shelf import air_keeping, durable
from workshop.shelf import writer as writer_module
from workshop.shelf.shelf import Shelf
from workshop.shelf.writer import Writer

NOW = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)
SOON = 20.0
"""Seconds a test waits at most for the writer's thread."""


class Disk:
    """A disk that can be told to refuse, or to hang until it is let go."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.refuses = 0
        self.go = threading.Event()
        self.go.set()
        self.tried = threading.Semaphore(0)
        real = durable._write_new

        def write(path: Path, data: bytes, mode: int) -> None:
            assert self.go.wait(SOON)
            if self.refuses:
                self.tried.release()
                raise OSError(self.refuses, os.strerror(self.refuses))
            real(path, data, mode)

        monkeypatch.setattr(durable, "_write_new", write)


@pytest.fixture
def disk(monkeypatch: pytest.MonkeyPatch) -> Iterator[Disk]:
    made = Disk(monkeypatch)
    yield made
    made.refuses = 0
    made.go.set()


def fresh(shelf: Shelf) -> Blade:
    return Shelf(shelf.folder, registry.NAMES).blade("heron")


def note(says: str) -> Any:
    return lambda one: changes.note(one, says, NOW)


def said(blade: Blade) -> list[str]:
    return [line.says for line in blade.log][1:]


def test_changes_are_on_disk_in_order_when_they_are_done(shelf: Shelf, blade: Blade, disk: Disk) -> None:
    writer = Writer(shelf, patience_s=SOON)
    for number in range(20):
        blade = writer.do("heron", note(f"{number}"), blade).made or blade
        assert said(fresh(shelf)) == [str(one) for one in range(number + 1)]
    assert writer.unsaved() == []
    assert writer.close(0)


def test_while_the_disk_hangs_the_next_change_is_not_taken(shelf: Shelf, blade: Blade, disk: Disk) -> None:
    writer = Writer(shelf, patience_s=0.01)
    disk.go.clear()
    job = writer.do("heron", note("slow"), blade)
    assert not job.done
    assert writer.saving
    assert writer.unsaved() == ["Heron: a change that is being saved"]
    with pytest.raises(ShopError, match="disk is slow"):
        writer.do("heron", note("too soon"), blade)
    assert not writer.close(0.01)
    disk.go.set()
    assert writer.close(SOON)
    assert said(fresh(shelf)) == ["slow"]
    assert [one.made is not None for one in writer.over()] == [True]


def test_a_full_disk_keeps_every_change_in_order_and_lands_them_when_there_is_room(
    shelf: Shelf, blade: Blade, disk: Disk
) -> None:
    landed = threading.Event()
    writer = Writer(shelf, patience_s=SOON, pauses_s=(0.001, 0.002), landed=landed.set)
    disk.refuses = errno.ENOSPC
    before = fresh(shelf)
    for number in range(5):
        job = writer.do("heron", note(f"{number}"), blade)
        assert job.held
        assert not job.done
    assert "No space left" in writer.failing
    assert [line.partition(": ")[2] for line in writer.unsaved()] == list("01234")
    assert said(writer.overlaid("heron", blade)) == list("01234")
    assert fresh(shelf) == before
    for _ in range(10):  # it keeps trying by itself
        assert disk.tried.acquire(timeout=SOON)
    assert [path.name for path in shelf.folder.glob(f"{durable.STRAY}*")] == []
    disk.refuses = 0
    for _ in range(1000):
        if writer.close(SOON):
            break
    assert said(fresh(shelf)) == list("01234")
    assert writer.failing == ""


def test_a_change_that_is_refused_in_memory_is_told_at_once(shelf: Shelf, blade: Blade, disk: Disk) -> None:
    writer = Writer(shelf, patience_s=SOON, pauses_s=(SOON,))
    disk.refuses = errno.EIO
    writer.do("heron", lambda one: changes.start_step(one, "A1", NOW), blade)
    with pytest.raises(ShopError, match="in hand already"):
        writer.do("heron", lambda one: changes.start_step(one, "A1", NOW), blade)
    assert len(writer.unsaved()) == 1


def test_it_can_be_saved_in_another_folder_that_is_a_whole_shelf(
    shelf: Shelf, blade: Blade, disk: Disk, tmp_path_factory: pytest.TempPathFactory
) -> None:
    writer = Writer(shelf, patience_s=SOON, pauses_s=(SOON,))
    disk.refuses = errno.EROFS
    writer.do("heron", note("only in memory"), blade)
    stick = tmp_path_factory.mktemp("stick") / "saved"
    with pytest.raises(durable.NotSaved):
        writer.elsewhere(stick)
    disk.refuses = 0
    assert writer.elsewhere(stick) == [stick / "heron.toml"]
    assert said(Shelf(stick, registry.NAMES).blade("heron")) == ["only in memory"]
    assert writer.unsaved() != [], "the shelf itself is still to be written"


def test_what_a_slow_disk_has_not_taken_yet_is_saved_in_another_folder_too(
    shelf: Shelf, blade: Blade, monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory
) -> None:
    go, real = threading.Event(), shelf.change
    assert shelf.blade("heron") == blade

    def slow(key: str, change: Any) -> Blade:
        go.wait(SOON)
        return real(key, change)

    monkeypatch.setattr(shelf, "change", slow)
    writer = Writer(shelf, patience_s=0.01)
    assert not writer.do("heron", note("still on its way"), blade).done
    stick = tmp_path_factory.mktemp("stick") / "saved"
    assert writer.elsewhere(stick) == [stick / "heron.toml"]
    assert said(Shelf(stick, registry.NAMES).blade("heron")) == ["still on its way"]
    go.set()
    assert writer.close(SOON)
    assert said(fresh(shelf)) == ["still on its way"]


def test_a_folder_that_went_away_gets_everything_back_when_it_returns(
    shelf: Shelf, blade: Blade, tmp_path_factory: pytest.TempPathFactory
) -> None:
    writer = Writer(shelf, patience_s=SOON, pauses_s=(0.001,))
    aside = tmp_path_factory.mktemp("aside") / "shelf"
    shelf.folder.rename(aside)
    writer.do("heron", note("while it was away"), blade)
    assert writer.failing
    aside.rename(shelf.folder)
    assert all_landed(writer)
    assert said(fresh(shelf)) == ["while it was away"]


def test_a_folder_that_comes_back_empty_gets_the_whole_blade(shelf: Shelf, blade: Blade) -> None:
    shelf.change("heron", note("before"))
    blade = Shelf(shelf.folder, registry.NAMES).blade("heron")
    own = Shelf(shelf.folder, registry.NAMES)
    own.blade("heron")
    writer = Writer(own, patience_s=SOON, pauses_s=(0.001,))
    shutil.rmtree(shelf.folder)
    writer.do("heron", note("while it was away"), blade)
    shelf.folder.mkdir()
    assert all_landed(writer)
    assert said(fresh(shelf)) == ["before", "while it was away"]


def all_landed(writer: Writer) -> bool:
    return any(writer.close(SOON) for _ in range(1000))


def test_a_change_that_no_longer_fits_is_kept_beside_the_blade(
    shelf: Shelf, blade: Blade, disk: Disk
) -> None:
    writer = Writer(shelf, patience_s=SOON, pauses_s=(0.001,))
    disk.refuses = errno.ENOSPC
    writer.do("heron", lambda one: changes.start_step(one, "A1", NOW), blade)
    disk.go.clear()
    disk.refuses = 0
    text = shelf.path("heron").read_text(encoding="utf-8")
    shelf.path("heron").write_text(text + '\n[steps.A1]\nstate = "done"\n', encoding="utf-8")
    disk.go.set()
    assert all_landed(writer)
    (job,) = [one for one in writer.over() if one.error]
    assert "kept in" in str(job.error)
    assert len(shelf.kept_apart("heron")) == 1
    assert fresh(shelf).progress("A1").state is State.DONE


# -- as the maker meets it at the desk


def test_the_desk_shows_a_change_as_done_only_when_it_is_on_disk(
    shelf: Shelf, blade: Blade, disk: Disk
) -> None:
    desk = Desk(shelf, lambda: NOW)
    desk.open("heron")
    desk.saving.writer._patience_s = 0.01
    disk.go.clear()
    desk.start()
    assert desk.states()["A1"] is State.READY
    assert desk.said.tone is Tone.NOTICE
    assert "Saving" in desk.said.text
    assert desk.saving.words() == "saving 1 change"
    disk.go.set()
    assert desk.saving.writer.close(SOON)
    desk.landed()
    assert desk.states()["A1"] is State.IN_HAND
    assert desk.said.text == "A1 Written spec started"
    assert desk.saving.words() == ""


def test_the_desk_works_on_in_memory_while_the_disk_is_full_and_says_so(
    shelf: Shelf, blade: Blade, disk: Disk
) -> None:
    desk = Desk(shelf, lambda: NOW)
    desk.open("heron")
    disk.refuses = errno.ENOSPC
    desk.start()
    desk.note("and on")
    assert desk.states()["A1"] is State.IN_HAND
    assert "in memory only" in desk.said.text
    words = desk.saving.words()
    assert words.startswith("NOT SAVED, 2 changes in memory only: heron.toml is not saved: No space")
    desk._stamps = None
    desk.refresh()
    assert desk.states()["A1"] is State.IN_HAND, "reading the disk again takes nothing away"
    assert fresh(shelf).progress("A1").state is None
    disk.refuses = 0
    assert all_landed(desk.saving.writer)
    desk.landed()
    assert "everything is on disk" in desk.said.text
    assert fresh(shelf).progress("A1").state is State.IN_HAND


def test_leaving_a_slow_disk_waits_for_a_reading_and_names_what_is_not_there(
    shelf: Shelf,
    blade: Blade,
    disk: Disk,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setattr(leaving, "LAST_WAIT_S", 0.01)
    monkeypatch.setattr(writer_module, "PATIENCE_S", 0.01)
    desk = Desk(shelf, lambda: NOW)
    disk.go.clear()
    desk.read_air("17.5 °C")
    desk.begin("Wren", "small", {})
    assert desk.saving.words() == "saving 2 changes"
    assert not desk.saving.close(0)
    assert not leaving.all_saved(desk)
    said = capsys.readouterr().err
    assert "the shop's air, 17.5 °C" in said
    assert "the new blade Wren" in said
    disk.go.set()
    assert desk.saving.close(SOON)
    assert leaving.all_saved(desk)
    assert {one.name for one in desk.blades} == {"Heron", "Wren"}


def test_a_reading_that_a_full_disk_refuses_is_kept_in_memory_and_comes_to_the_record(
    shelf: Shelf, blade: Blade, disk: Disk
) -> None:
    desk = Desk(shelf, lambda: NOW)
    disk.refuses = errno.ENOSPC
    desk.read_air("17.5 °C")
    assert "in memory only" in desk.said.text
    desk.next_look()
    assert "in memory only" in desk.said.text, "not shown as done"
    assert "Lengths are shown" in desk.said.text
    disk.refuses = 0
    assert all_landed(desk.saving.writer)
    assert [one.at for one in air_keeping.readings_of(shelf)] == [NOW]


def test_an_air_that_no_shop_has_is_not_kept_at_all(shelf: Shelf, blade: Blade) -> None:
    desk = Desk(shelf, lambda: NOW)
    with pytest.raises(ShopError, match="as no shop has"):  # so that its line stays to be typed again
        desk.read_air("300 °C")
    assert shelf.shop().air_K is None
    assert desk.shop.air_K is None


def test_a_blade_in_hand_whose_file_breaks_for_a_moment_stays_and_its_clocks_go_on(
    shelf: Shelf, blade: Blade
) -> None:
    desk = Desk(shelf, lambda: NOW)
    desk.open("heron")
    good = shelf.path("heron").read_bytes()
    shelf.path("heron").write_bytes(good[:40])
    desk.refresh()
    assert desk.blade is not None
    assert desk.said.tone is Tone.REFUSED
    assert "what was read last" in desk.said.text
    with pytest.raises(ShopError):
        desk.note("onto a broken file")
    assert shelf.path("heron").read_bytes() == good[:40], "nothing is written to it"
    shelf.path("heron").write_bytes(good)
    desk.refresh()
    desk.note("whole again")
    assert said(fresh(shelf)) == ["whole again"]
    shelf.path("heron").unlink()
    desk.refresh()
    assert desk.blade is None


def test_an_older_text_put_over_ours_is_mended_without_holding_the_screen(
    shelf: Shelf, blade: Blade, disk: Disk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(writer_module, "PATIENCE_S", 0.01)
    desk = Desk(shelf, lambda: NOW)
    older = shelf.path("heron").read_bytes()
    shelf.change("heron", note("one"))
    desk.refresh()
    disk.go.clear()  # the disk hangs
    shelf.path("heron").write_bytes(older)
    assert desk.refresh()
    assert said(fresh(shelf)) == []
    disk.go.set()
    desk.aside.do("mend", lambda: None, lambda _: None, lambda _: None, SOON)  # after what is before it
    assert said(fresh(shelf))[0] == "one"
