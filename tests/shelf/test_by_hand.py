"""Comments and key order that a maker wrote into a blade's file survive every change."""

from __future__ import annotations

import contextlib
import tomllib
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from workshop.build import changes, clock_changes
from workshop.build.blade import Blade
from workshop.build.route import Route
from workshop.build.values import read_entry
from workshop.drawer import registry
from workshop.errors import ShopError
from workshop.shelf import by_hand, durable
from workshop.shelf.blade_file import BladeWriter
from workshop.shelf.gate import comments
from workshop.shelf.shelf import Shelf

NOW = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)
COMMENTS = [
    "# bought at the autumn fair",
    "# the good billet",
    "# ask again in May",
    "# end of the file",
]


def commented(text: str) -> str:
    lines = text.splitlines()
    made = [COMMENTS[0]]
    for line in lines:
        made.append(f"{line}  {COMMENTS[1]}" if line.startswith("about") else line)
        if line == "[[log]]" and COMMENTS[2] not in made:
            made.append(COMMENTS[2])
    return "\n".join([*made, COMMENTS[3], ""])


def test_comments_survive_forty_six_changes_and_their_taking_back(shelf: Shelf, blade: Blade) -> None:
    path = shelf.path(blade.key)
    path.write_text(commented(path.read_text(encoding="utf-8")), encoding="utf-8")
    plain = Shelf(shelf.folder / "other", registry.NAMES)
    for number in range(46):
        at = NOW + timedelta(minutes=number)
        shelf.change(blade.key, lambda one, n=number, at=at: changes.note(one, f"note {n}", at))
    fresh = Shelf(shelf.folder, registry.NAMES)
    fresh.change(blade.key, lambda one: changes.start_step(one, "A1", NOW))
    for _ in range(3):
        fresh.change(blade.key, lambda one: changes.take_back(one, NOW))
    text = path.read_text(encoding="utf-8")
    assert [text.count(comment) for comment in COMMENTS] == [1, 1, 1, 1]
    assert f'about = "155 mm hunter, walnut"  {COMMENTS[1]}' in text
    read = Shelf(shelf.folder, registry.NAMES).blade(blade.key)
    assert read == fresh.blade(blade.key)
    assert len(read.log) == 1 + 46 + 1 + 3
    assert plain.keys() == []


def test_the_order_of_keys_and_a_key_written_dotted_survive(shelf: Shelf, blade: Blade) -> None:
    path = shelf.path(blade.key)
    text = path.read_text(encoding="utf-8")
    about, name = '\nabout = "155 mm hunter, walnut"', '\nname = "Heron"'
    text = text.replace(about, "", 1).replace(name, about + name, 1)
    text = text.replace("\n[choices]", '\nbench.drawer = "third"\n\n[choices]', 1)
    path.write_text(text, encoding="utf-8")
    shelf.change(blade.key, lambda one: changes.note(one, "one", NOW))
    after = path.read_text(encoding="utf-8")
    assert after.index("about") < after.index("name =")
    assert 'bench.drawer = "third"' in after


simple = st.text(max_size=6) | st.integers(-99, 99) | st.booleans() | st.just(NOW)
keys = st.sampled_from(["a", "b", "c d", "é"])
tables = st.dictionaries(
    keys, simple | st.dictionaries(keys, simple, max_size=3) | st.lists(simple, max_size=2), max_size=4
)
documents = st.fixed_dictionaries(
    {"top": tables, "log": st.lists(tables, max_size=4)}, optional={"more": tables}
)


@settings(max_examples=400, deadline=None)
@given(documents, documents)
def test_whatever_changes_the_result_says_what_was_meant_and_keeps_each_comment(
    old: dict[str, object], new: dict[str, object]
) -> None:
    import tomli_w

    lines = tomli_w.dumps(old).splitlines()
    marked = [f"# comment {number}\n{line}" if "=" in line and '"""' not in line else line
              for number, line in enumerate(lines)]  # fmt: skip
    text = "# on top\n" + "\n".join(marked) + "\n"
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return  # a comment fell into a string over several lines
    made = by_hand.laid_over(text.encode(), tomli_w.dumps(new).encode()).decode()
    assert tomllib.loads(made) == tomllib.loads(tomli_w.dumps(new))
    assert "# on top" in made


@pytest.mark.parametrize("text", ["a = 1 # x\n", "# x\n", 'a = """\n""" # x\n', "a = ['''\n'''] # x\n"])
def test_a_comment_is_told_from_a_sharp_in_a_string(text: str) -> None:
    assert comments(text) == ["# x"]
    assert not comments("a = \"# x\"\nb = '# x'\nc = \"\"\"\n# x\n\"\"\"\nd = '''\n# x\n'''\n")


@pytest.mark.parametrize("times", [1, 2])
def test_a_comment_whose_place_is_gone_stands_on_top(times: int) -> None:
    text = "# why\n" * times + "a = 1\n[b]\nc = 'x'  # measured twice\n[[d]]\ne = 1\n# at the end\n"
    made = by_hand.laid_over(text.encode(), b"a = 2\n").decode()
    assert comments(made) == ["# measured twice", "# at the end", *["# why"] * times]
    assert tomllib.loads(made) == {"a": 2}


def test_the_shop_s_file_keeps_its_comments_and_what_an_editor_saves_in_the_same_moment(
    shelf: Shelf, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = shelf.folder / "shop.toml"
    path.write_text('# my shop\n[show]\nlength = "in"  # as the drawings are\nmine = 1\n', encoding="utf-8")
    real = durable._write_new

    def with_an_editor(where: Path, data: bytes, mode: int) -> None:
        real(where, data, mode)
        if where.parent == shelf.folder and "edited" not in path.read_text():
            other = path.with_suffix(".edited")
            other.write_text(path.read_text() + "edited = 1\n")
            other.replace(path)

    monkeypatch.setattr(durable, "_write_new", with_an_editor)
    shelf.keep_shop(lambda shop: replace(shop, air_K=290.65, read_at=NOW))
    text = path.read_text(encoding="utf-8")
    for kept in ("# my shop", 'length = "in"  # as the drawings are', "mine = 1", "edited = 1", '"17.5 °C"'):
        assert kept in text


LAID_OUT = """# my own order
name = "Heron"  # after the bird

[steps.A1]
checked = [
  "one",  # seen twice
  # between
  "two",
]
state = "in hand"
mine.shelf = 3  # third from the top
mine.box = "b"

# the first line
[[log]]
at = 2026-03-02T09:00:00Z
did = "begin"
says = "begun"  # at the fair

# the last line
[[log]]
at = 2026-03-02T11:00:00Z
did = "note"
says = "later"
# under it
"""


def over(text: str, **changed: object) -> str:
    import tomli_w

    wanted = {**tomllib.loads(text), **changed}
    made = by_hand.laid_over(text.encode(), tomli_w.dumps(wanted).encode()).decode()
    assert tomllib.loads(made) == wanted
    assert sorted(comments(made)) == sorted(comments(text))
    return made


def test_a_line_put_into_the_middle_of_the_log_takes_no_comment_of_another() -> None:
    log = tomllib.loads(LAID_OUT)["log"]
    between = {"at": datetime(2026, 3, 2, 10, tzinfo=UTC), "did": "note", "says": "there"}
    made = over(LAID_OUT, log=[log[0], between, log[1]])
    assert "# the first line\n[[log]]\nat = 2026-03-02T09" in made
    assert "# the last line\n[[log]]\nat = 2026-03-02T11" in made
    assert made.index("# at the fair") < made.index('"there"') < made.index("# the last line")
    made = over(LAID_OUT, log=[log[1]])
    assert made.startswith("# the first line\n# at the fair\n# my own order\n"), "what is gone, on top"
    assert "# the last line\n[[log]]\nat = 2026-03-02T11" in made
    made = over(LAID_OUT, log=[{**log[0], "says": "begun well"}, log[1]])
    assert 'says = "begun well"  # at the fair' in made


def test_comments_in_a_list_and_at_dotted_keys_stay_at_what_they_stand_at() -> None:
    step = tomllib.loads(LAID_OUT)["steps"]["A1"]
    made = over(LAID_OUT, steps={"A1": {**step, "checked": ["one", "two", "three"], "state": "done"}})
    assert '  "one",  # seen twice\n  # between\n  "two",\n  "three",\n]' in made
    assert "mine.shelf = 3  # third from the top" in made
    made = over(
        LAID_OUT, steps={"A1": {**step, "checked": ["two"], "mine": {"shelf": 4, "box": "b", "new": 1}}}
    )
    assert "# seen twice\nchecked = [" in made, "its element is gone: above the list"
    assert '  # between\n  "two",' in made
    assert "mine.shelf = 4  # third from the top" in made
    assert "mine.new = 1" in made


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_line_ends_and_a_byte_order_mark_stay_as_they_were(
    shelf: Shelf, blade: Blade, ends: str, mark: bytes
) -> None:
    path = shelf.path(blade.key)
    path.write_bytes(mark + path.read_bytes().replace(b"\n", ends.encode()))
    shelf.change(blade.key, lambda one: changes.note(one, "one", NOW))
    raw = path.read_bytes()
    assert raw.startswith(b"\xef\xbb\xbf") == bool(mark)
    assert raw.count(b"\r\n") == (raw.count(b"\n") if ends == "\r\n" else 0)
    assert Shelf(shelf.folder, registry.NAMES).blade(blade.key).log[-1].says == "one"


acts = st.lists(st.integers(0, 6), max_size=6)


@settings(max_examples=150, deadline=None)
@given(st.data(), acts, acts)
def test_a_comment_at_a_line_that_stays_is_still_at_that_line(
    module_route: Route, data: st.DataObject, before: list[int], after: list[int]
) -> None:
    """Whatever is done with a blade: each comment is kept, and stays at its key in its own table."""

    def lived(blade: Blade, done: list[int], hour: int) -> Blade:
        for number, act in enumerate(done):
            now = NOW + timedelta(hours=hour, minutes=number)
            with contextlib.suppress(ShopError):
                if act < 3:
                    blade = changes.note(blade, f"note {hour} {number}", now)
                elif act == 3:
                    blade = changes.start_step(blade, "A1", now)
                elif act == 4:
                    blade = clock_changes.start_clock(blade, "H3", "drying", now)
                elif act == 5:
                    blade = changes.take_back(blade, now)
                else:
                    blade = changes.tick(blade, "A1", module_route.by_id["A1"].checks[0], now)
        return blade

    first = lived(changes.new_blade("heron", "Heron", module_route, "small-1", NOW), before, 1)
    ours = BladeWriter().to_bytes(first).decode()
    lines = ours.split("\n")
    for number in data.draw(st.sets(st.sampled_from([n for n, line in enumerate(lines) if " = " in line]))):
        lines[number] += f"  # c{number}"
    text = "\n".join(lines)
    new = BladeWriter().to_bytes(lived(first, after, 5)).decode()
    made = by_hand.laid_over(text.encode(), new.encode()).decode()
    assert tomllib.loads(made) == tomllib.loads(new)
    assert sorted(comments(made)) == sorted(comments(text))
    ends = {
        line.partition("  # c")[2]: line for line in made.split("\n") if "  # c" in line and " = " in line
    }
    stays = set(blocks(ours)) & set(blocks(new))
    for block in blocks(text):
        plain = tuple(line.partition("  # c")[0] for line in block)
        if plain in stays and not plain[0].lstrip("[").startswith(
            ("back", "clocks.")
        ):  # not of one that went
            for line in block:
                if "  # c" in line:
                    assert ends[line.partition("  # c")[2]] == line


def blocks(text: str) -> list[tuple[str, ...]]:
    return [tuple(part.strip().split("\n")) for part in text.split("\n\n") if part.strip()]


def test_a_key_of_the_maker_s_own_beside_a_measurement_stays_when_it_is_measured_again(
    shelf: Shelf, blade: Blade
) -> None:
    record = blade.route.by_id["A1"].records[0]

    def measured(text: str) -> None:
        value = read_entry(record, text, "A1")
        shelf.change(blade.key, lambda one: changes.write_down(one, "blade-length", value, record.says, NOW))

    measured("155 mm")
    path = shelf.path(blade.key)
    text = path.read_text(encoding="utf-8")
    mine = 'with = "the long rule"  # over the spine\ndrill = "#5"\n'
    path.write_text(text.replace('is = "155 mm"\n', f'is = "155 mm"\n{mine}', 1), encoding="utf-8")
    measured("156 mm")
    after = path.read_text(encoding="utf-8")
    assert 'is = "156 mm"\nwith = "the long rule"  # over the spine\n' in after
    assert Shelf(shelf.folder, registry.NAMES).blade("heron").values["blade-length"].extra == {
        "with": "the long rule"
    }, "a drill's name goes with its number"
