"""A blade's file: everything comes back, unknown keys survive, a person can read and edit it."""

from __future__ import annotations

import random
import tomllib
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from workshop.build import changes
from workshop.build.blade import Blade, Slip
from workshop.build.values import read_entry
from workshop.drawer import registry
from workshop.errors import ShopError
from workshop.shelf.shelf import Shelf
from workshop.shelf.table import FileFault
from workshop.shelf.toml_text import block, full


def worked_on(shelf: Shelf, blade: Blade, now: datetime) -> Blade:
    entry = blade.route.by_id["A1"].records[0]
    slow = shelf.clock_entries()["adhesives/slow"]

    def work(one: Blade) -> Blade:
        one = changes.start_step(one, "A1", now)
        one = changes.tick(one, "A1", "Buyer has said yes", now)
        one = changes.write_down(one, "blade-length", read_entry(entry, "6 1/8 in", "A1"), entry.says, now)
        one = changes.finish(one, "A1", now + timedelta(minutes=9), "length agreed by letter")
        one = changes.start_step(one, "H1", now, "a test piece")
        one = changes.start_clock(one, "H1", "bedding", now, ago_s=120, entry=slow, air_K=290.65)
        slip = Slip(
            "1",
            "slot-fill",
            "H1",
            now,
            {"ratio": "2:1"},
            {"extra": "25 %"},
            {"mix": (11.4, "g"), "say": ("so", "")},
        )
        return changes.note(changes.keep_slip(one, slip, now), 'a "note" with [brackets] and × ½', now)

    return shelf.change(blade.key, work)


def test_everything_comes_back_from_the_file(shelf: Shelf, blade: Blade, now: datetime) -> None:
    blade = worked_on(shelf, blade, now)
    again = Shelf(shelf.folder, registry.NAMES).blade(blade.key)
    assert again == blade


def test_what_was_taken_back_can_be_taken_back_after_a_restart(
    shelf: Shelf, blade: Blade, now: datetime
) -> None:
    blade = worked_on(shelf, blade, now)
    for _ in range(len(blade.backs)):
        shelf = Shelf(shelf.folder, registry.NAMES)
        blade = shelf.change(blade.key, lambda one: changes.take_back(one, now))
    assert (blade.steps, blade.values, blade.clocks, blade.slips) == ({}, {}, {}, {})


def test_the_file_is_plain_toml_with_units_as_written(shelf: Shelf, blade: Blade, now: datetime) -> None:
    blade = worked_on(shelf, blade, now)
    data = tomllib.loads(shelf.path(blade.key).read_text(encoding="utf-8"))
    assert data["name"] == "Heron"
    assert data["values"]["blade-length"]["is"] == "6 1/8 in"
    assert [entry["why"] for entry in data["log"] if "why" in entry] == [
        "length agreed by letter",
        "a test piece",
    ]
    clock = data["clocks"][0]
    assert clock["air"] == "17.5 °C"
    assert clock["started"] == now - timedelta(minutes=2)
    assert {mark["id"] for mark in clock["marks"]} == {"last-wipe", "pull", "full"}


def test_keys_the_program_does_not_know_survive_every_change(
    shelf: Shelf, blade: Blade, now: datetime
) -> None:
    blade = worked_on(shelf, blade, now)
    path = shelf.path(blade.key)
    text = path.read_text(encoding="utf-8")
    text = text.replace("schema = 1\n", 'schema = 1\nshelf-place = "third drawer"\n', 1)
    text = text.replace("[steps.A1]\n", "[steps.A1]\nmood = 'calm'\n", 1)
    text = text.replace("[[clocks]]\n", "[[clocks]]\ncup = 2\n", 1)
    text += '\n[photos]\nbefore = ["one.jpg", {taken = 2026-01-01}]\n'
    path.write_text(text, encoding="utf-8")
    shelf.change(blade.key, lambda one: changes.note(one, "after a hand edit", now))
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    assert data["shelf-place"] == "third drawer"
    assert data["steps"]["A1"]["mood"] == "calm"
    assert data["clocks"][0]["cup"] == 2
    assert data["photos"]["before"][0] == "one.jpg"
    assert data["log"][-1]["says"] == "after a hand edit"


def test_a_change_made_by_hand_meanwhile_is_kept(shelf: Shelf, blade: Blade, now: datetime) -> None:
    other = Shelf(shelf.folder, registry.NAMES)
    other.blade(blade.key)
    shelf.change(blade.key, lambda one: changes.start_step(one, "A1", now))
    merged = other.change(blade.key, lambda one: changes.note(one, "from the other window", now))
    assert merged.progress("A1").started == now


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("schema = 1", "schema = 0", r"schema: is 0; right would be a whole number from 1"),
        ("schema = 1", "schema = true", r"schema: is True; right would be a whole number"),
        ('state = "done"', 'state = "dome"', r"line \d+: steps A1: state: is 'dome'; right would be 'done'"),
        ("started = 2026-03-02 09:00:00+00:00\n", "started = 2026-03-02T09:00:00\n", r"no time zone"),
        ('is = "6 1/8 in"', 'is = "6 1/8 kg"', r"values blade-length"),
        ("pace = ", "pace = -", r"clocks bedding-1: pace: is not a number above 0"),
        ("checked = [", "checked = [1, ", r"checked: is .* a list of texts"),
        ('name = "Heron"', 'name = "Heron', r"not TOML 1.0: .*line 2"),
        ("started = 2026-03-02 09:00:00+00:00\n", "started = 2026-03-02\n", r"is 2026-03-02; right would be"),
        (
            'ceiling = "',
            'ceiling = "-',
            r"line \d+: clocks bedding-1 rule: floor: the rule is refused",
        ),
        ("[choices]", "[choises]", r"choices: steel: missing; right would be"),
    ],
)
def test_a_mistake_by_hand_is_one_sentence_with_the_place(
    shelf: Shelf, blade: Blade, now: datetime, old: str, new: str, says: str
) -> None:
    blade = worked_on(shelf, blade, now)
    path = shelf.path(blade.key)
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(FileFault, match=says) as fault:
        Shelf(shelf.folder, registry.NAMES).blade(blade.key)
    assert "\n" not in str(fault.value)
    good, bad = Shelf(shelf.folder, registry.NAMES).blades()
    assert good == []
    assert bad[0].key == blade.key


def test_a_later_recipe_never_changes_a_knife_in_hand(shelf: Shelf, blade: Blade, now: datetime) -> None:
    recipe = shelf.folder / "routes" / "small.toml"
    recipe.write_text(recipe.read_text().replace("Bed the tang", "Something else"), encoding="utf-8")
    fresh = Shelf(shelf.folder, registry.NAMES)
    assert fresh.blade(blade.key).route.by_id["H1"].title == "Bed the tang"
    assert fresh.begin("Wren", "small", now).route.by_id["H1"].title == "Something else"


def test_one_bad_file_never_hides_the_others(shelf: Shelf, blade: Blade) -> None:
    for name, content in {
        "torn": b"schema = ",
        "empty": b"",
        "bytes": b"\xff\xfe\x00",
        "deep": b"a=" + b"[" * 9000,
    }.items():
        (shelf.folder / f"{name}.toml").write_bytes(content)
    good, bad = shelf.blades()
    assert [one.name for one in good] == ["Heron"]
    assert sorted(one.key for one in bad) == ["bytes", "deep", "empty", "torn"]


@pytest.mark.parametrize(
    ("name", "key"),
    [
        ("Heron", "heron-2"),
        ("../../etc/passwd", "etc-passwd"),
        ("Épée à l'été", "epee-a-l-ete"),
        ("CON", "con-blade"),
        ("shop", "shop-blade"),
        ("🔪" * 80, "blade"),
        ("-rf\n", "rf"),
        ("x" * 300, "x" * 56),
    ],
)
def test_a_name_becomes_a_harmless_file_name_and_stays_itself_inside(
    shelf: Shelf, blade: Blade, now: datetime, name: str, key: str
) -> None:
    shown = f"{name} two" if name == "Heron" else name
    made = shelf.begin(shown, "small", now)
    assert made.key == ("heron-two" if name == "Heron" else key)
    assert shelf.blade(made.key).name == shown.strip()


def test_a_second_blade_of_the_same_name_is_refused(shelf: Shelf, blade: Blade, now: datetime) -> None:
    with pytest.raises(ShopError, match="There is a blade 'Heron' already"):
        shelf.begin(" heron ", "small", now)
    with pytest.raises(ShopError, match="needs a name"):
        shelf.begin("  ", "small", now)


def test_a_blade_is_found_by_name_by_file_or_by_how_it_begins(shelf: Shelf, blade: Blade) -> None:
    assert shelf.find("heron") == shelf.find("HER") == blade
    with pytest.raises(ShopError, match="there are: Heron"):
        shelf.find("wren")


def test_a_whole_route_is_saved_in_little_time_as_it_grows(shelf: Shelf, blade: Blade, now: datetime) -> None:
    """Only new blocks are made: the text of what did not change is the very same object."""
    writer = shelf._writer(blade.key)
    shelf.change(blade.key, lambda one: changes.start_step(one, "A1", now))
    before = dict(writer._texts)
    shelf.change(blade.key, lambda one: changes.note(one, "one more line", now))
    texts = {text for _, text in before.values()}
    kept = [path for (path, _), (_, text) in writer._texts.items() if text in texts]
    assert ("steps", "A1") in kept
    assert len(writer._texts) - len(kept) == 2, "one line of the log and one way back are new"
    for number in range(60):
        shelf.change(blade.key, lambda one, n=number: changes.note(one, f"{n}", now))
    before = dict(writer._texts)
    shelf.change(blade.key, lambda one: changes.note(one, "and the oldest way back falls off", now))
    assert len(set(writer._texts) - set(before)) == 2


simple = (
    st.text(max_size=12)
    | st.integers(-(10**6), 10**6)
    | st.booleans()
    | st.floats(allow_nan=False)
    | st.datetimes(
        min_value=datetime(1971, 1, 1),  # noqa: DTZ001 (hypothesis wants them without a zone)
        max_value=datetime(2100, 1, 1),  # noqa: DTZ001
        timezones=st.just(UTC),
    )
)
documents = st.dictionaries(
    st.text(min_size=1, max_size=8),
    st.recursive(
        simple,
        lambda inner: (
            st.lists(inner, max_size=3) | st.dictionaries(st.text(min_size=1, max_size=6), inner, max_size=3)
        ),
        max_leaves=12,
    ),
    max_size=5,
)


@settings(max_examples=300, deadline=None)
@given(documents, st.booleans())
def test_any_table_is_written_so_that_it_reads_back_the_same(data: dict[str, object], listed: bool) -> None:
    text = block(("room", "näme"), data, listed=listed)
    meant = full(data)
    read = tomllib.loads(text)["room"]["näme"]
    assert read == ([meant] if listed else meant)


def test_a_blade_cut_off_at_any_byte_is_never_read_as_another_blade(
    shelf: Shelf, blade: Blade, now: datetime
) -> None:
    blade = worked_on(shelf, blade, now)
    path = shelf.path(blade.key)
    raw = path.read_bytes()
    places = random.Random(7).sample(range(len(raw)), 150)
    for place in places:
        path.write_bytes(raw[:place])
        try:
            read = Shelf(shelf.folder, registry.NAMES).blade(blade.key)
        except FileFault:
            continue
        assert read.name == "Heron"
        assert set(read.steps) <= set(blade.steps)


def test_the_shop_s_air_and_looks_are_kept(shelf: Shelf, now: datetime, tmp_path: Path) -> None:
    shelf.keep_shop(lambda shop: replace(shop, air_K=290.65, humidity=0.61, read_at=now))
    shop = Shelf(shelf.folder, registry.NAMES).shop()
    assert shop.air_K == pytest.approx(290.65)
    assert shop.humidity == pytest.approx(0.61)
    assert shop.read_at == now


@pytest.mark.parametrize("route_id", ["../../out", "/tmp/out", "a/b", "x" * 400, "\\u001b[31m", "Küche"])
def test_whatever_a_route_calls_itself_its_copy_lies_in_the_folder_for_it(
    shelf: Shelf, now: datetime, route_id: str
) -> None:
    recipe = shelf.folder / "routes" / "small.toml"
    recipe.write_text(recipe.read_text().replace('id = "small"', f'id = "{route_id}"', 1), encoding="utf-8")
    made = Shelf(shelf.folder, registry.NAMES).begin("Wren", "small", now)
    (copy,) = (shelf.folder / "kept").glob("*.toml")
    assert copy.stem == made.kept
    assert Shelf(shelf.folder, registry.NAMES).blade("wren") == made
