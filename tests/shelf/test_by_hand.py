"""Comments and key order that a maker wrote into a blade's file survive every change."""

from __future__ import annotations

import subprocess
import sys
import tomllib
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from workshop.build import changes
from workshop.build.blade import Blade
from workshop.drawer import registry
from workshop.shelf import by_hand, durable
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


def test_a_file_without_comments_does_not_load_the_library(shelf: Shelf, blade: Blade) -> None:
    code = "import sys; from workshop.cli import main; main(sys.argv[1:]); sys.exit('tomlkit' in sys.modules)"
    line = [sys.executable, "-c", code, "--shelf", str(shelf.folder), "note", "heron", "plain # no comment"]
    assert subprocess.run(line, capture_output=True, check=False).returncode == 0
    shelf.path(blade.key).write_bytes(b"# mine\n" + shelf.path(blade.key).read_bytes())
    assert subprocess.run(line, capture_output=True, check=False).returncode == 1


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
    made = by_hand.laid_over(text, tomli_w.dumps(new))
    assert tomllib.loads(made) == tomllib.loads(tomli_w.dumps(new))
    assert "# on top" in made


@pytest.mark.parametrize("text", ["a = 1 # x\n", "# x\n", 'a = """\n""" # x\n', "a = ['''\n'''] # x\n"])
def test_a_comment_is_told_from_a_sharp_in_a_string(text: str) -> None:
    assert comments(text) == ["# x"]
    assert not comments("a = \"# x\"\nb = '# x'\nc = \"\"\"\n# x\n\"\"\"\nd = '''\n# x\n'''\n")


@pytest.mark.parametrize("times", [1, 2])
def test_a_comment_whose_place_is_gone_stands_on_top(times: int) -> None:
    text = "# why\n" * times + "a = 1\n[b]\nc = 'x'  # measured twice\n[[d]]\ne = 1\n# at the end\n"
    made = by_hand.laid_over(text, "a = 2\n")
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
