"""Stores as they are read: once for many letters, and again as soon as a file changed."""

from __future__ import annotations

import contextlib
import copy
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from workshop.drawer import registry, run
from workshop.errors import ShopError
from workshop.shelf import own_recipes, store_file, store_shapes
from workshop.shelf.shelf import Shelf
from workshop.shelf.table import FileFault, Source, parse_toml, read_toml

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


@pytest.mark.parametrize("name", sorted(store_shapes.STORES))
def test_the_program_s_own_stores_have_the_shape_that_a_maker_s_must_have(name: str, shelf: Shelf) -> None:
    store_shapes.check_tables(name, *read_toml(shelf.recipes / "stores" / f"{name}.toml"))
    assert {path.stem for path in (shelf.recipes / "stores").iterdir()} == set(store_shapes.STORES)


@pytest.mark.parametrize(
    ("name", "text", "says"),
    [
        ("woods", '[[wood]]\nid = "bog-oak"\ndensity = "heavy"', "line 3: wood bog-oak: density: is 'heavy'"),
        ("woods", '[[wood]]\nid = "bog-oak"\nradial = 0.5', "right would be a number from"),
        ("woods", '[[wood]]\nid = "ash"\n[[wood]]\nid = "ash"', "line 4: wood ash: id: 'ash' stands twice"),
        ("woods", '[[wood]]\nname = "ash"', "id: missing"),
        ("woods", '[[wood]]\nid = "ash"\ndensty = 700', "right would be 'density'"),
        ("drills", '[[series]]\nset = "metric"\nunti = "mm"\nsizes = ["4.1"]', "unit: missing"),
        ("steels", '[[steel]]\nid = "a"\ncomposition = { C = [0.9, 0.8] }', "C: has the larger number first"),
        (
            "steels",
            '[[steel]]\nid = "a"\n[[steel.ladder]]\nunit = "°C"\nrows = [[1]]',
            "rows of 2 to 3",
        ),
        (
            "cutting",
            '[[metal]]\nid = "a"\ntitle = "b"\nspeed = [{ tool = "HSS" }]',
            "1 has no two ends",
        ),
        ("etchants", "ferric-chloride = 5", "ferric-chloride: is 5; right would be a table"),
        ("adhesives", 'schema = 9\n[[adhesive]]\nid = "a"', "schema: is 9, of a newer program"),
        (
            "wood",
            '[[wood]]\nid = "bog-oak"',
            "no store that anything reads; right would be one of: ab",
        ),
    ],
)
def test_a_wrong_value_of_a_maker_s_store_is_named_and_the_program_s_own_stands_in(
    name: str, text: str, says: str, shelf: Shelf
) -> None:
    own = shelf.folder / "stores" / f"{name}.toml"
    own.parent.mkdir()
    own.write_text(text, encoding="utf-8")
    ((key, why),) = shelf.own.faults()
    assert key == f"stores/{name}"
    assert says in why
    if name in store_shapes.STORES:
        assert shelf.store(name) == read_toml(shelf.recipes / "stores" / f"{name}.toml")[0]


WRONG = st.sampled_from(
    [
        True,
        -1,
        0,
        3,
        10**6,
        0.5,
        1e-300,
        "",
        "x",
        "5",
        "5 mm",
        "°F",
        [],
        [1],
        [3, 2, 1],
        ["x"],
        {},
        {"value": 1},
    ]
)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data(), name=st.sampled_from(sorted(store_shapes.STORES)))
def test_a_store_that_is_taken_never_makes_a_calculator_fault(
    data: st.DataObject, name: str, shelf: Shelf
) -> None:
    """Whatever one value of a whole store is made: it is refused when read, or all that use it answer."""
    given_by = {one: shelf.store(one) for one in store_shapes.STORES}
    changed = copy.deepcopy(given_by[name])
    place: Any = changed
    keys = list(place)
    while True:
        key = data.draw(st.sampled_from(keys))
        inner = place[key]
        if not isinstance(inner, (dict, list)) or not inner or data.draw(st.integers(0, 3)) == 0:
            break
        place, keys = inner, list(inner) if isinstance(inner, dict) else list(range(len(inner)))
    if data.draw(st.booleans()) and isinstance(place, dict):
        del place[key]
    else:
        place[key] = data.draw(WRONG)
    try:
        store_shapes.check_tables(name, changed, Source("own.toml", ""))
        if name in store_file.CLOCK_STORES:
            store_file.entries_in(name, changed, Source("own.toml", ""))
    except FileFault:
        return
    handed = {**given_by, name: store_file.merged([given_by[name], changed])}
    for calculator in map(registry.calculator, registry.NAMES):
        if name in calculator.stores:
            with contextlib.suppress(ShopError):
                run.work_out(calculator, calculator.example.given, handed.__getitem__, now=0.0, later=True)
