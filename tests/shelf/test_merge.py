"""Two texts of one blade become one: nothing is dropped, and what is truly in conflict is named and kept."""

from __future__ import annotations

import copy
import os
import shlex
import tomllib
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from workshop.build import changes
from workshop.build.blade import Blade
from workshop.build.values import read_entry
from workshop.cli import main
from workshop.drawer import registry
from workshop.shelf import backups, copies, durable, merge, origin
from workshop.shelf.shelf import Shelf

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def entry(minute: int, says: str) -> dict[str, Any]:
    return {"at": NOW + timedelta(minutes=minute), "did": "note", "says": says}


BASE = {
    "name": "Heron",
    "about": "hunter",
    "steps": {"A1": {"state": "in hand", "by-hand-seconds": 60, "checked": ["one"]}},
    "values": {"air": {"is": "17 °C"}},
    "log": [entry(0, "begun")],
}


def changed(**paths: Any) -> dict[str, Any]:
    made = copy.deepcopy(BASE)
    for path, value in paths.items():
        *rooms, last = path.split("__")
        at: Any = made
        for room in rooms:
            at = at[room]
        at[last] = value
    return made


def test_changes_to_different_keys_are_both_kept() -> None:
    made, conflicts = merge.together(BASE, changed(about="long hunter"), changed(values__air={"is": "18 °C"}))
    assert conflicts == []
    assert (made["about"], made["values"]["air"]["is"]) == ("long hunter", "18 °C")


def test_the_same_key_changed_in_two_ways_is_a_conflict_with_both_sides() -> None:
    made, conflicts = merge.together(BASE, changed(about="this"), changed(about="that"))
    assert [(one.where(), one.first, one.second) for one in conflicts] == [("about", "this", "that")]
    assert made["about"] == "this"
    assert conflicts[0].says() == "about: 'this' against 'that'"


def test_one_side_took_away_what_the_other_changed_is_a_conflict_and_keeps_the_value() -> None:
    without = changed()
    del without["values"]["air"]
    made, conflicts = merge.together(BASE, without, changed(values__air={"is": "18 °C"}))
    assert len(conflicts) == 1
    assert made["values"]["air"] == {"is": "18 °C"}


def test_time_by_hand_adds_up_and_checks_unite() -> None:
    one = changed(steps__A1={"state": "in hand", "by-hand-seconds": 100, "checked": ["one", "two"]})
    two = changed(steps__A1={"state": "in hand", "by-hand-seconds": 75, "checked": ["one", "three"]})
    made, conflicts = merge.together(BASE, one, two)
    assert conflicts == []
    assert made["steps"]["A1"]["by-hand-seconds"] == 115
    assert set(made["steps"]["A1"]["checked"]) == {"one", "two", "three"}


def test_without_a_base_every_difference_is_told_and_nothing_is_dropped() -> None:
    one, two = changed(about="this"), changed(values__air={"is": "17 °C"}, name="Heron")
    two["for"] = "a friend"
    made, conflicts = merge.together(None, one, two)
    assert [one.where() for one in conflicts] == ["about"]
    assert made["for"] == "a friend"


def test_two_clocks_begun_under_one_number_both_stay() -> None:
    def side(minute: int) -> dict[str, Any]:
        began = NOW + timedelta(minutes=minute)
        clock = {"id": "bedding-1", "clock": "bedding", "step": "H1", "started": began}
        return {
            **changed(),
            "clocks": [clock],
            "back": [{"at": began, "says": "x", "gone": ["clocks/bedding-1"]}],
        }

    made, conflicts = merge.together(BASE, side(1), side(5))
    assert conflicts == []
    assert [one["id"] for one in made["clocks"]] == ["bedding-1", "bedding-2"]
    assert [one["gone"] for one in made["back"]] == [["clocks/bedding-1"], ["clocks/bedding-2"]]


logs = st.lists(st.builds(entry, st.integers(0, 50), st.text(max_size=4)), max_size=8)


@settings(max_examples=300, deadline=None)
@given(logs, logs, logs)
def test_every_log_line_of_both_sides_is_in_the_result(
    base: list[Any], one: list[Any], two: list[Any]
) -> None:
    first, second = {**BASE, "log": [*base, *one]}, {**BASE, "log": [*base, *two]}
    for known in (None, {**BASE, "log": base}):
        made, _ = merge.together(known, first, second)
        for side in (first, second):
            for line in side["log"]:
                had = max(s["log"].count(line) for s in (first, second))
                assert made["log"].count(line) == had
        if one != two:
            assert [line["at"] for line in made["log"]] == sorted(line["at"] for line in made["log"])


@settings(max_examples=200, deadline=None)
@given(logs)
def test_a_text_put_together_with_itself_is_itself(log: list[Any]) -> None:
    side = {**BASE, "log": sorted(log, key=lambda one: one["at"])}
    assert merge.together(None, side, side) == (side, [])


Change = Callable[[Blade], Blade]


def measured(blade: Blade, text: str) -> Change:
    record = blade.route.by_id["A1"].records[0]
    value = read_entry(record, text, "A1")
    return lambda one: changes.write_down(one, "blade-length", value, record.says, NOW)


def test_the_way_back_leads_to_what_both_came_from(shelf: Shelf, blade: Blade) -> None:
    path = shelf.path(blade.key)
    before = tomllib.loads(path.read_text())
    shelf.change(blade.key, measured(blade, "155 mm"))
    shelf.change(blade.key, lambda one: changes.start_step(one, "A1", NOW))
    after = tomllib.loads(path.read_text())
    found = origin.unwound(after, before)
    assert {key: value for key, value in found.items() if value} == {
        key: value for key, value in before.items() if value
    }


# -- an editor that saves an older text over ours


def saved_by_an_editor(path: Path, text: str) -> None:
    other = path.with_suffix(".edited")
    other.write_text(text, encoding="utf-8")
    other.replace(path)


def test_an_older_text_saved_over_ours_is_noticed_and_both_are_kept(shelf: Shelf, blade: Blade) -> None:
    path = shelf.path(blade.key)
    opened = path.read_text(encoding="utf-8")
    shelf.change(blade.key, lambda one: changes.note(one, "shown as done", NOW))
    saved_by_an_editor(path, opened.replace("walnut", "plum"))
    other = Shelf(shelf.folder, registry.NAMES)
    assert [one.kind for one in other.blades()[1]] == ["lost"], "it is shown before anything is done"
    assert other.mend(blade.key)
    assert other.blades()[1] == []
    mended = other.blade(blade.key)
    assert mended.about == "155 mm hunter, plum"
    assert [line.says for line in mended.log][-1] == "shown as done"
    assert not other.mend(blade.key), "once is enough"
    assert other.kept_apart(blade.key) == []


def test_a_true_conflict_keeps_both_and_shows_them_side_by_side(
    shelf: Shelf, blade: Blade, capsys: pytest.CaptureFixture[str]
) -> None:
    path = shelf.path(blade.key)
    shelf.change(blade.key, measured(blade, "155 mm"))
    opened = path.read_text(encoding="utf-8")
    shelf.change(blade.key, measured(blade, "157 mm"))
    saved_by_an_editor(path, opened.replace('is = "155 mm"\nkind', 'is = "156 mm"\nkind'))
    found = shelf.change(blade.key, lambda one: changes.note(one, "later", NOW))
    assert found.values["blade-length"].text == "156 mm"
    assert len(shelf.kept_apart(blade.key)) == 1
    assert "157 mm" in shelf.kept_apart(blade.key)[0].read_text()
    bad = shelf.blades()[1]
    assert [one.kind for one in bad] == ["apart"]
    assert "workshop merge heron" in bad[0].why
    line = ["--shelf", str(shelf.folder), "merge", "heron"]
    before = path.read_bytes()
    assert main(line, now=NOW) == 2
    shown = capsys.readouterr()
    assert "'156 mm'" in shown.out
    assert "'157 mm'" in shown.out
    assert "--take" in shown.err
    assert path.read_bytes() == before
    assert main([*line, "--take", "second"], now=NOW) == 0
    settled = Shelf(shelf.folder, registry.NAMES).blade("heron")
    assert settled.values["blade-length"].text == "157 mm"
    assert any("'156 mm'" in line.says for line in settled.log), "the other side stays in the record"
    assert Shelf(shelf.folder, registry.NAMES).blades()[1] == []


def test_a_log_line_taken_out_by_hand_stays_out(shelf: Shelf, blade: Blade) -> None:
    path = shelf.path(blade.key)
    shelf.change(blade.key, lambda one: changes.note(one, "a slip of the pen", NOW))
    text = path.read_text(encoding="utf-8")
    block = text[text.rindex("[[log]]") : text.index("[[back]]")]
    saved_by_an_editor(path, text.replace(block, ""))
    assert not shelf.mend(blade.key)
    assert len(shelf.blade(blade.key).log) == 1


def test_what_an_editor_writes_in_the_very_moment_of_saving_is_kept(
    shelf: Shelf, blade: Blade, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = shelf.path(blade.key)
    real = durable._write_new

    def with_an_editor(where: Path, data: bytes, mode: int) -> None:
        real(where, data, mode)
        if where.parent == shelf.folder and "plum" not in path.read_text():
            saved_by_an_editor(path, path.read_text(encoding="utf-8").replace("walnut", "plum"))

    monkeypatch.setattr(durable, "_write_new", with_an_editor)
    made = shelf.change(blade.key, lambda one: changes.note(one, "ours", NOW))
    assert made.about == "155 mm hunter, plum"
    assert made.log[-1].says == "ours"
    assert Shelf(shelf.folder, registry.NAMES).blade(blade.key) == made


def test_what_an_editor_goes_on_writing_into_the_replaced_file_is_kept(
    shelf: Shelf, blade: Blade, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = shelf.path(blade.key)
    edited = path.read_text(encoding="utf-8").replace("walnut", "plum").encode()
    real_new, real_flush = durable._write_new, durable.flush_folder
    handles: list[int] = []

    def opened_in_place(where: Path, data: bytes, mode: int) -> None:
        real_new(where, data, mode)
        if where.parent == shelf.folder and not handles:
            handles.append(os.open(path, os.O_WRONLY | os.O_TRUNC))

    def written_late(folder: Path) -> None:
        real_flush(folder)
        if folder == shelf.folder and len(handles) == 1:
            handles.append(os.write(handles[0], edited[:100]))

    def rest_written(_: float) -> None:
        if len(handles) == 2:
            handles.append(os.write(handles[0], edited[100:]))

    monkeypatch.setattr(durable, "_write_new", opened_in_place)
    monkeypatch.setattr(durable, "flush_folder", written_late)
    monkeypatch.setattr(durable.time, "sleep", rest_written)
    made = shelf.change(blade.key, lambda one: changes.note(one, "ours", NOW))
    os.close(handles[0])
    assert made.about == "155 mm hunter, plum"
    assert made.log[-1].says == "ours"
    assert Shelf(shelf.folder, registry.NAMES).blade(blade.key) == made


def test_a_log_line_written_anew_by_hand_does_not_bring_the_old_one_back(shelf: Shelf, blade: Blade) -> None:
    path = shelf.path(blade.key)
    for minute, says in enumerate(("small inclusoin", "another line")):
        at = NOW + timedelta(minutes=minute)
        shelf.change(blade.key, lambda one, says=says, at=at: changes.note(one, says, at))
    text = path.read_text(encoding="utf-8")
    head, back = text.split("[[back]]", 1)
    saved_by_an_editor(path, head.replace("inclusoin", "inclusion") + "[[back]]" + back)
    assert not shelf.mend(blade.key)
    shelf.change(blade.key, lambda one: changes.note(one, "later", NOW + timedelta(hours=1)))
    assert [one.says for one in shelf.blade(blade.key).log][1:] == [
        "small inclusion",
        "another line",
        "later",
    ]


def test_a_tick_that_an_editor_s_older_text_lost_comes_back(shelf: Shelf, blade: Blade) -> None:
    """A tick has no line in the log, and the editor has added one of its own."""
    path = shelf.path(blade.key)
    shelf.change(blade.key, lambda one: changes.start_step(one, "A1", NOW))
    opened = path.read_text(encoding="utf-8")
    shelf.change(blade.key, lambda one: changes.tick(one, "A1", "Length is written", NOW))
    line = '[[log]]\nat = 2026-03-02T10:00:00Z\ndid = "note"\nsays = "by hand"\n\n'
    saved_by_an_editor(path, opened.replace("[[back]]", line + "[[back]]", 1))
    assert shelf.mend(blade.key)
    found = shelf.blade(blade.key)
    assert found.progress("A1").ticked == ("Length is written",)
    assert found.log[-1].says == "by hand"


def test_what_another_laptop_did_in_order_is_not_taken_for_a_loss(shelf: Shelf, blade: Blade) -> None:
    """Only our own program keeps what was written here last: one taken back there, over forty made."""
    shelf.change(blade.key, lambda one: changes.note(one, "here", NOW))
    kept = (shelf.folder / ".written" / "heron.toml").read_bytes()
    other = Shelf(shelf.folder, registry.NAMES)
    other.change(blade.key, lambda one: changes.take_back(one, NOW + timedelta(minutes=1)))
    (shelf.folder / ".written" / "heron.toml").write_bytes(kept)
    assert not shelf.mend(blade.key)
    for number in range(45):
        at = NOW + timedelta(hours=1, minutes=number)
        other.change(blade.key, lambda one, at=at: changes.note(one, "there", at))
    (shelf.folder / ".written" / "heron.toml").write_bytes(kept)
    assert not shelf.mend(blade.key)


def test_a_text_that_was_opened_while_two_were_being_put_together_loses_nothing(
    shelf: Shelf, blade: Blade
) -> None:
    """It lacks a line that another editor wrote, for which there is no way back, and has one of its own."""
    path = shelf.path(blade.key)
    line = '[[log]]\nat = 2026-03-02T1%d:00:00Z\ndid = "note"\nsays = "%s"\n\n'
    shelf.change(blade.key, lambda one: changes.note(one, "ours", NOW))
    opened = path.read_text(encoding="utf-8")
    saved_by_an_editor(path, opened.replace("[[back]]", line % (0, "by one hand") + "[[back]]", 1))
    shelf._keeping.remember(blade.key, path.read_bytes())
    saved_by_an_editor(path, opened.replace("[[back]]", line % (1, "by the other") + "[[back]]", 1))
    assert shelf.mend(blade.key)
    assert {"ours", "by one hand", "by the other"} <= {one.says for one in shelf.blade(blade.key).log}


def test_an_older_text_saved_in_the_very_moment_takes_nothing_back(
    shelf: Shelf, blade: Blade, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = shelf.path(blade.key)
    opened = path.read_text(encoding="utf-8")
    shelf.change(blade.key, measured(blade, "155 mm"))
    real = durable._write_new
    once = [True]

    def with_an_editor(where: Path, data: bytes, mode: int) -> None:
        real(where, data, mode)
        if where.parent == shelf.folder and once:
            once.clear()
            saved_by_an_editor(path, opened.replace("walnut", "plum"))

    monkeypatch.setattr(durable, "_write_new", with_an_editor)
    made = shelf.change(blade.key, lambda one: changes.note(one, "ours", NOW))
    assert made.about == "155 mm hunter, plum"
    assert made.values["blade-length"].text == "155 mm"
    assert len(made.backs) == 2


# -- copies that keep two laptops alike


@pytest.mark.parametrize(
    "name",
    [
        "heron (conflicted copy 2026-03-02)",
        "heron (Shop's conflicted copy)",
        "heron.sync-conflict-20260302-091500-ABCDEFG",
        "heron-conflict-1",
        "heron (1)",
        "heron-2",
        "Kopie von heron",
    ],
)
def test_a_copy_is_known_by_what_is_in_it_and_merged(shelf: Shelf, blade: Blade, name: str) -> None:
    copy_path = shelf.folder / f"{name}.toml"
    copy_path.write_bytes(shelf.path(blade.key).read_bytes())
    other = Shelf(shelf.folder, registry.NAMES)
    other.change(name, lambda one: changes.note(one, "on the other laptop", NOW))
    shelf.change(blade.key, lambda one: changes.note(one, "here", NOW))
    good, bad = shelf.blades()
    assert [one.key for one in good] == ["heron"]
    assert [(one.key, one.kind) for one in bad] == [(name, "copy")]
    assert main(["--shelf", str(shelf.folder), "merge", "heron", name], now=NOW) == 0
    good, bad = Shelf(shelf.folder, registry.NAMES).blades()
    assert bad == []
    assert {"on the other laptop", "here"} <= {line.says for line in good[0].log}
    assert not copy_path.exists()


def test_two_blades_are_never_put_together(shelf: Shelf, blade: Blade) -> None:
    shelf.begin("Wren", "small", NOW + timedelta(days=1))
    assert copies.told_apart(shelf.blades()[0])[1] == {}
    assert main(["--shelf", str(shelf.folder), "merge", "heron", "wren"], now=NOW) == 2


# -- what the command line's merge may not do


def copied(shelf: Shelf, blade: Blade, name: str = "heron (copy)") -> Path:
    path = shelf.folder / f"{name}.toml"
    path.write_bytes(shelf.path(blade.key).read_bytes())
    return path


@pytest.mark.parametrize("first", ["heron (copy)", "away"])
def test_a_blade_s_own_file_is_never_merged_away(
    shelf: Shelf, blade: Blade, tmp_path_factory: pytest.TempPathFactory, first: str
) -> None:
    copy = copied(shelf, blade)
    if first == "away":
        first = str(copy.rename(tmp_path_factory.mktemp("away") / "heron.toml"))
    assert main(["--shelf", str(shelf.folder), "merge", first, "heron"], now=NOW) == 2
    assert shelf.path("heron").is_file()


def test_a_change_saved_while_two_are_merged_is_not_written_over(
    shelf: Shelf, blade: Blade, monkeypatch: pytest.MonkeyPatch
) -> None:
    copied(shelf, blade)
    other, real = Shelf(shelf.folder, registry.NAMES), Shelf.put_whole

    def meanwhile(self: Shelf, *rest: Any) -> Blade:
        other.change("heron", lambda one: changes.note(one, "meanwhile", NOW))
        return real(self, *rest)

    monkeypatch.setattr(Shelf, "put_whole", meanwhile)
    assert main(["--shelf", str(shelf.folder), "merge", "heron", "heron (copy)"], now=NOW) == 2
    assert other.blade("heron").log[-1].says == "meanwhile"


def test_what_an_editor_saves_in_the_moment_of_a_restore_is_kept_apart(
    shelf: Shelf, blade: Blade, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = shelf.path("heron")
    data, real = path.read_bytes(), durable._write_new

    def with_an_editor(where: Path, raw: bytes, mode: int) -> None:
        real(where, raw, mode)
        if where.parent == shelf.folder:
            saved_by_an_editor(path, path.read_text(encoding="utf-8").replace("walnut", "plum"))

    monkeypatch.setattr(durable, "_write_new", with_an_editor)
    shelf.put_whole("heron", data)
    assert any("plum" in one.read_text(encoding="utf-8") for one in shelf.kept_apart("heron"))


def test_what_an_editor_saves_between_the_backup_and_a_restore_is_kept_apart(
    shelf: Shelf, blade: Blade, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = shelf.path("heron")
    data, real = path.read_bytes(), backups.aside

    def then_an_editor(*rest: Any) -> Path:
        kept = real(*rest)
        saved_by_an_editor(path, path.read_text(encoding="utf-8").replace("walnut", "plum"))
        return kept

    monkeypatch.setattr(backups, "aside", then_an_editor)
    shelf.put_whole("heron", data)
    assert any("plum" in one.read_text(encoding="utf-8") for one in shelf.kept_apart("heron"))


def test_a_text_of_a_newer_program_is_not_merged(shelf: Shelf, blade: Blade) -> None:
    copy = copied(shelf, blade)
    text = copy.read_text(encoding="utf-8").replace("schema = 1", "schema = 99", 1)
    copy.write_text(text, encoding="utf-8")
    assert main(["--shelf", str(shelf.folder), "merge", "heron", "heron (copy)"], now=NOW) == 2
    assert copy.read_text(encoding="utf-8") == text


def test_the_line_offered_for_a_copy_can_be_pasted_whatever_it_is_called(shelf: Shelf, blade: Blade) -> None:
    copied(shelf, blade, "heron $(touch gone)")
    (copy,) = shelf.blades()[1]
    words = shlex.split(copy.why.rpartition(": ")[2])
    assert words == ["workshop", "merge", "heron", "heron $(touch gone)"]
    assert "'heron $(touch gone)'" in copy.why


def test_a_number_too_large_for_anything_is_the_fault_of_its_own_file_alone(
    shelf: Shelf, blade: Blade
) -> None:
    copied(shelf, blade, "wren").write_text("schema = 1\nmine = " + "9" * 400, encoding="utf-8")
    good, bad = shelf.blades()
    assert [one.key for one in good] == ["heron"]
    assert "mine: is too large" in bad[0].why
