"""Stores as they are read: once for many letters, and again as soon as a file changed."""

from __future__ import annotations

from pathlib import Path

import pytest

from workshop.shelf import own_recipes
from workshop.shelf.shelf import Shelf
from workshop.shelf.table import FileFault, parse_toml

OWN = """schema = 1
title = "Woods"

[[wood]]
id = "bog-oak"
name = "bog oak"
"""


def ids(shelf: Shelf) -> set[str]:
    return {str(one.get("id", one.get("name"))) for one in shelf.store("woods")["wood"]}


def test_a_store_is_read_once_until_a_file_changes(shelf: Shelf, monkeypatch: pytest.MonkeyPatch) -> None:
    read: list[str] = []
    parse = own_recipes.parse_toml
    monkeypatch.setattr(
        own_recipes, "parse_toml", lambda raw, name: (read.append(Path(name).name), parse(raw, name))[1]
    )
    first = shelf.store("woods")
    assert read == ["woods.toml"]
    assert shelf.store("woods") is first
    assert len(read) == 1

    own = shelf.folder / "stores" / "woods.toml"
    own.parent.mkdir(parents=True, exist_ok=True)
    own.write_text(OWN, encoding="utf-8")
    assert "bog-oak" in ids(shelf)
    own.write_text(OWN.replace("bog-oak", "bog-ash"), encoding="utf-8")
    assert "bog-ash" in ids(shelf)
    assert "bog-oak" not in ids(shelf)
    own.unlink()
    assert "bog-ash" not in ids(shelf)


def test_a_broken_store_of_the_makers_own_is_left_out_and_comes_back_when_mended(shelf: Shelf) -> None:
    own = shelf.folder / "stores" / "woods.toml"
    own.parent.mkdir(parents=True, exist_ok=True)
    own.write_text("[[wood", encoding="utf-8")
    assert "bog-oak" not in ids(shelf)
    own.write_text(OWN, encoding="utf-8")
    assert "bog-oak" in ids(shelf)


def test_a_number_without_end_is_named_with_its_line() -> None:
    text = b'a = 1\n[glue]\nsays = "nan"\npace = [1.0, -inf]\n'
    with pytest.raises(FileFault, match=r"own.toml, line 4: glue.pace: is -inf; right would be a number"):
        parse_toml(text, "own.toml")
