"""A file of a newer program is shown as far as it can be read, and nothing is written to it."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest

from workshop.build import changes
from workshop.build.blade import Blade
from workshop.drawer import registry
from workshop.errors import ShopError
from workshop.shelf.shelf import Shelf


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
