"""A recipe with a mistake is refused: file, line, key, what is wrong and what would be right."""

from __future__ import annotations

from pathlib import Path

import pytest

from workshop.drawer import registry
from workshop.shelf import route_file, store_file
from workshop.shelf.shelf import Shelf
from workshop.shelf.table import FileFault

STORE = """
schema = 1
[[adhesive]]
id = "own"
title = "My own"
reference = "22 °C"
floor = "10 °C"
ceiling = "40 °C"
[[adhesive.mark]]
id = "pull"
says = "pull"
opens = "3 h"
shuts = "5 h"
"""


@pytest.fixture
def text(shelf: Shelf) -> str:
    return (shelf.folder / "routes" / "small.toml").read_text(encoding="utf-8")


def line_of(text: str, part: str) -> int:
    return text[: text.index(part)].count("\n") + 1


@pytest.mark.parametrize(
    ("old", "new", "key", "wrong", "right"),
    [
        (
            'before = ["A1"]\none_way',
            'before = ["A7"]\none_way',
            "before",
            "'A7' is not a step",
            "the id of a [[step]]",
        ),
        ('before = ["A2", "B1"]', 'before = ["A2", "H2"]', "before", "circle", "an order without a circle"),
        (
            'calculators = ["slot-fill"]',
            'calculators = ["slot-fil"]',
            "calculators",
            "not a calculator",
            "slot-fill",
        ),
        ('least = "60 mm"', 'least = "60 kg"', "least", "'60 kg' is not a length", "a length"),
        ('kind = "length"', 'kind = "mass"\ndrill = true', "drill", "on a mass", "a length, which"),
        ('unit = "mm"', 'unit = "furlings"', "unit", "furlings", "unit of that kind"),
        ('kind = "length"', 'kind = "lenght"', "kind", "'lenght'", "'length'"),
        ('title = "Pull"', 'titel = "Pull"', "title", "missing", "a text"),
        ('title = "Pull"', 'title = "Pull"\nhardness = 3', "hardness", "is not a key", "one of"),
        ('title = "Pull"', "title = 7", "title", "is 7", "a text"),
        (
            'one_way = true\nlast_look = ["Faces',
            'one_way = 1\nlast_look = ["Faces',
            "one_way",
            "is 1",
            "true or false",
        ),
        ('last_look = ["Faces bright", "Order noted"]\n', "", "last_look", "missing", "what must be true"),
        ('after = ["bedding/pull"]', 'after = ["bedding/pul"]', "after", "'bedding/pul'", "'bedding/pull'"),
        (
            'after = ["bedding/pull"]',
            'answers = ["bedding/fool"]',
            "answers",
            "'bedding/fool'",
            "a clock and one of its marks",
        ),
        ('ends = "pull"', 'ends = "pulled"', "ends", "'pulled'", "one of"),
        ('length = "2 h"', 'length = "2 mm"', "length", "2 mm", "write for example"),
        ('length = "2 h"\n', "", "length", "missing", "a length or"),
        ('store = "adhesives/slow"', 'store = "slow"', "store", "'slow'", "adhesives/slow"),
        ('since = "bedding"', 'since = "beding"', "clock", "'beding'", "a clock of this route"),
        ("when = { steel", "when = { iron", "when", "'iron'", "one of: steel"),
        ('["pattern-welded"] }', '["damast"] }', "when", "'damast'", "pattern-welded"),
        ('spoils = ["H3"]', 'spoils = ["H3", "Z9"]', "spoils", "'Z9'", "a [[step]]"),
        ('id = "H3"', 'id = "H2"', "id", "stands twice", "an id of its own"),
        ('id = "H3"', 'id = "h3"', "id", "is 'h3'", "a capital letter"),
        ('id = "H3"', 'id = "Q3"', "id", "phase 'Q'", "a [[phase]]"),
        ("schema = 1", "schema = 9", "schema", "is 9", "1"),
    ],
)
def test_every_kind_of_mistake_is_named_with_its_place(
    shelf: Shelf, text: str, old: str, new: str, key: str, wrong: str, right: str
) -> None:
    assert old in text
    path = shelf.folder / "routes" / "small.toml"
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(FileFault) as fault:
        shelf.route("small")
    said = str(fault.value)
    for part in (str(path), key, wrong, right, ", line "):
        assert part in said
    assert "\n" not in said


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        (
            "one_way = true\n",
            'one_way = true\nmakes = ["hamering"]\n',
            "step B1: makes: 'hamering' meets nothing",
        ),
        ('ends = "pull"', 'ends = "pull"\nminds = ["dusst"]', "step H1: minds: 'dusst' meets nothing"),
        (
            'ends = "pull"',
            'ends = "pull"\nfills = "nonesuch"',
            "step H1: fills: 'nonesuch' is no time written down",
        ),
    ],
)
def test_a_word_that_meets_nothing_is_a_slip_of_the_pen(
    shelf: Shelf, text: str, old: str, new: str, says: str
) -> None:
    assert old in text
    (shelf.folder / "routes" / "small.toml").write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(FileFault, match=says):
        shelf.route("small")


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        ('writes = "blade-length"', "writes: 'blade-length' is no time written down at A1"),
        ("since = 1", "since: is 1; right would be the number of an earlier move"),
    ],
)
def test_a_move_writes_a_time_of_its_step_since_an_earlier_move(
    shelf: Shelf, text: str, lines: str, says: str
) -> None:
    move = f'\n[[step.move]]\nsays = "clamped"\n{lines}\n\n[[step]]\nid = "A2"'
    made = text.replace('\n[[step]]\nid = "A2"', move, 1)
    (shelf.folder / "routes" / "small.toml").write_text(made, encoding="utf-8")
    with pytest.raises(FileFault, match=says):
        shelf.route("small")


def test_what_is_checked_after_a_rest_needs_a_rest(shelf: Shelf, text: str) -> None:
    path = shelf.folder / "routes" / "small.toml"
    made = text.replace('checks = ["Buyer', 'checks_after = ["Ink is dry"]\nchecks = ["Buyer', 1)
    path.write_text(made, encoding="utf-8")
    with pytest.raises(FileFault, match="checks_after: no clock of this step ends a rest"):
        shelf.route("small")


def test_a_route_may_have_a_word_of_its_own_for_what_spoils_what(shelf: Shelf, text: str) -> None:
    own = text.replace("one_way = true\n", 'one_way = true\nmakes = ["draught"]\n', 1)
    own = own.replace('ends = "pull"', 'ends = "pull"\nminds = ["draught"]', 1)
    (shelf.folder / "routes" / "small.toml").write_text(own, encoding="utf-8")
    assert shelf.route("small").by_id["B1"].makes == ("draught",)


def test_the_line_of_a_mistake_is_the_line_a_maker_finds_it_on(shelf: Shelf, text: str) -> None:
    path = shelf.folder / "routes" / "small.toml"
    broken = text.replace('kind = "plain"', 'kind = "plane"')
    path.write_text(broken, encoding="utf-8")
    with pytest.raises(FileFault, match=f"line {line_of(broken, 'plane')}:"):
        shelf.route("small")


def test_the_maker_s_own_adhesive_is_added_and_replaces_by_its_id(shelf: Shelf, tmp_path: Path) -> None:
    stores = tmp_path / "stores"
    stores.mkdir()
    (stores / "adhesives.toml").write_text(
        STORE + STORE.replace('"own"', '"slow"').replace("schema = 1", ""), encoding="utf-8"
    )
    entries = shelf.clock_entries()
    assert entries["adhesives/own"].title == "My own"
    assert entries["adhesives/slow"].title == "My own"
    assert "adhesives/medium" in entries
    merged = shelf.store("adhesives")["adhesive"]
    assert [one["title"] for one in merged if one["id"] == "slow"] == ["My own"]


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('shuts = "5 h"', 'shuts = "2 h"', "shuts: is not after it opens"),
        ('floor = "10 °C"', 'floor = "30 °C"', "reference: does not lie between floor and ceiling"),
        ('opens = "3 h"', 'opens = "3 mm"', "opens"),
        ('id = "own"\n', "", "id: missing"),
        ("[[adhesive.mark]]", "[[adhesive.marc]]", "mark: missing"),
    ],
)
def test_a_mistake_in_a_store_is_named(shelf: Shelf, tmp_path: Path, old: str, new: str, says: str) -> None:
    stores = tmp_path / "stores"
    stores.mkdir()
    (stores / "adhesives.toml").write_text(STORE.replace(old, new, 1), encoding="utf-8")
    (named, why) = shelf.own.faults()[0]
    assert (named, says in why) == ("stores/adhesives", True)
    assert "adhesives/own" not in shelf.clock_entries(), "the program's own stands in for a broken file"
    assert "adhesives/slow" in shelf.clock_entries()
    with pytest.raises(FileFault, match="not a plain file"):
        store_file.clock_entries("adhesives", tmp_path)


def test_an_unknown_route_is_refused_with_those_there_are(shelf: Shelf) -> None:
    with pytest.raises(Exception, match="right would be one of: hidden-tang, small"):
        shelf.route("../small")


def test_calculators_are_checked_by_name_without_loading_them() -> None:
    assert "slot-fill" in registry.NAMES
    assert route_file.SCHEMA == 1


@pytest.mark.parametrize(
    ("schema", "says"),
    [
        ("", "missing; right would be the line schema = 1"),
        ("schema = 0\n", "is 0; right would be a whole number from 1"),
        ("schema = 2\n", "is 2, of a newer program"),
    ],
)
def test_a_route_of_no_or_another_schema_is_not_guessed_at(
    shelf: Shelf, text: str, schema: str, says: str
) -> None:
    (shelf.folder / "routes" / "small.toml").write_text(
        text.replace("schema = 1\n", schema, 1), encoding="utf-8"
    )
    with pytest.raises(FileFault, match=f"schema: {says}"):
        shelf.route("small")
