"""A file of a newer program is shown as far as it can be read, and nothing is written to it."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from workshop.build import changes
from workshop.build.blade import Blade
from workshop.drawer import registry
from workshop.errors import ShopError
from workshop.shelf import air_keeping
from workshop.shelf.air_file import read_air
from workshop.shelf.laptop_file import read_laptop
from workshop.shelf.shelf import Shelf
from workshop.shelf.shop_file import read_shop
from workshop.shelf.table import Source, read_toml


def test_a_newer_file_is_shown_and_never_written(shelf: Shelf, blade: Blade, now: datetime) -> None:
    path = shelf.path(blade.key)
    path.write_text(path.read_text().replace("schema = 1", "schema = 2", 1) + "\n[new-room]\nkey = 1\n")
    before = path.read_bytes()
    fresh = Shelf(shelf.folder, registry.NAMES)
    good, bad = fresh.blades()
    assert [one.name for one in good] == ["Heron"]
    assert [(one.key, one.kind) for one in bad] == [("heron", "newer")]
    with pytest.raises(ShopError, match=r"newer program \(schema 2\)"):
        fresh.change(blade.key, lambda one: changes.note(one, "no", now))
    assert path.read_bytes() == before


GOLDEN = Path(__file__).parent / "golden"


def test_the_first_schema_is_read_for_ever(shelf: Shelf) -> None:
    """A later schema gets a step of its own and a file of its own here; these files never change."""
    (shelf.folder / "kept").mkdir(exist_ok=True)
    (shelf.folder / "kept" / "small-1.toml").write_bytes((GOLDEN / "route-1.toml").read_bytes())
    (shelf.folder / "heron.toml").write_bytes((GOLDEN / "blade-1.toml").read_bytes())
    blade = Shelf(shelf.folder, registry.NAMES).blade("heron")
    assert blade.name == "Heron"
    assert len(blade.log) == 8
    assert blade.values["blade-length"].si == pytest.approx(0.155575)
    assert blade.clocks["bedding-1"].marks[0].id == "last-wipe"
    assert blade.slips["1"].found["mix"] == (11.4, "g")


def test_the_shop_s_files_of_the_first_schema_are_read_for_ever() -> None:
    shop = read_shop(*read_toml(GOLDEN / "shop-1.toml"))
    assert shop.air_K == pytest.approx(290.65)
    assert (shop.prefer.length, shop.prefer.temperature) == ("in", "°F")
    assert shop.extra["mine"] == "kept"
    assert len(read_air(*read_toml(GOLDEN / "air-1.toml"))) == 2
    laptop = read_laptop(*read_toml(GOLDEN / "laptop-1.toml"))
    assert (laptop.horn[0], laptop.air_file, laptop.air_every_s) == (
        "/usr/bin/aplay",
        "/run/thermometer",
        600,
    )


def test_the_shop_s_files_of_a_newer_program_are_told_and_never_written(shelf: Shelf, now: datetime) -> None:
    shelf.keep_shop(lambda shop: replace(shop, air_K=290.0))
    texts = dict.fromkeys(("shop.toml", "air.toml"), b'schema = 2\nnew = "room"\n')
    for name, text in texts.items():
        (shelf.folder / name).write_bytes(text)
    assert {one.key for one in shelf.blades()[1]} == {"shop", "air"}
    assert all("schema: is 2, of a newer program" in one.why for one in shelf.blades()[1])
    with pytest.raises(ShopError, match="newer program"):
        shelf.keep_shop(lambda shop: replace(shop, air_K=300.0))
    with pytest.raises(ShopError, match="newer program"):
        air_keeping.keep_reading(shelf, now, 290.0)
    assert {name: (shelf.folder / name).read_bytes() for name in texts} == texts
    with pytest.raises(ShopError, match="newer program"):
        read_laptop({"schema": 2}, Source("laptop.toml", "schema = 2"))
