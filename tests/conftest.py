"""A small route, a shelf that has it, and a moment: what most tests of a build need."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from workshop.build.blade import Blade
from workshop.build.route import Route
from workshop.drawer import registry
from workshop.shelf import route_file, writer
from workshop.shelf.shelf import Shelf

SMALL_ROUTE = """
schema = 1
id = "small"
title = "Small knife"

[[choice]]
id = "steel"
ask = "Blade steel"
options = ["pattern-welded", "one steel"]

[[phase]]
id = "A"
title = "Order"
[[phase]]
id = "B"
title = "Billet"
[[phase]]
id = "H"
title = "Handle"

[[step]]
id = "A1"
title = "Written spec"
purpose = "Pin down what is made."
checks = ["Buyer has said yes", "Length is written"]
[[step.record]]
name = "blade-length"
says = "Blade length"
kind = "length"
unit = "mm"
least = "60 mm"
most = "400 mm"
needed = true

[[step]]
id = "A2"
title = "Box of materials"
purpose = "All in one place."
before = ["A1"]

[[step]]
id = "B1"
title = "First weld"
purpose = "One piece."
before = ["A1"]
one_way = true
last_look = ["Faces bright", "Order noted"]
spoils = ["H1"]
hands_full = true
when = { steel = ["pattern-welded"] }

[[step]]
id = "H1"
title = "Bed the tang"
purpose = "A seat that fits."
before = ["A2", "B1"]
one_way = true
last_look = ["Release on the tang"]
checks = ["Dry run done"]
spoils = ["H2"]
calculators = ["slot-fill"]
[[step.clock]]
id = "bedding"
title = "bedding"
kind = "adhesive"
store = "adhesives/slow"
marks = ["last-wipe", "pull", "full"]
ends = "pull"

[[step]]
id = "H2"
title = "Pull"
purpose = "Off the tang."
before = ["H1"]
after = ["bedding/pull"]
spoils = ["H3"]

[[step]]
id = "H3"
title = "Sand"
purpose = "Smooth."
before = ["H2"]
[[step.clock]]
id = "drying"
title = "grain drying"
kind = "plain"
length = "2 h"
harm = 1
[[step.clock]]
id = "cure"
title = "cure"
kind = "adhesive"
store = "adhesives/medium"
marks = ["full"]
since = "bedding"
"""


@pytest.fixture(autouse=True)
def patience(monkeypatch: pytest.MonkeyPatch) -> None:
    """However busy the machine that tests, a change is on disk when its key has been answered."""
    monkeypatch.setattr(writer, "PATIENCE_S", 30.0)


@pytest.fixture
def now() -> datetime:
    return datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


@pytest.fixture(scope="session")
def module_route() -> Route:
    return route_file.parse_route(SMALL_ROUTE.encode(), "small.toml", registry.NAMES)


@pytest.fixture
def small_route(module_route: Route) -> Route:
    return module_route


@pytest.fixture
def shelf(tmp_path: Path) -> Shelf:
    routes = tmp_path / "routes"
    routes.mkdir()
    (routes / "small.toml").write_text(SMALL_ROUTE, encoding="utf-8")
    return Shelf(tmp_path, registry.NAMES)


@pytest.fixture
def blade(shelf: Shelf, now: datetime) -> Blade:
    return shelf.begin("Heron", "small", now, about="155 mm hunter, walnut")


@pytest.fixture(scope="session", autouse=True)
def _nothing_beside_the_laptop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """No test hears the horn or reads the thermometer of whoever runs it."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("WORKSHOP_LAPTOP", str(tmp_path_factory.mktemp("laptop") / "none.toml"))
        yield


@pytest.fixture
def laptop(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The file of what stands beside this laptop; not there until a test writes it."""
    file = tmp_path_factory.mktemp("laptop") / "laptop.toml"
    monkeypatch.setenv("WORKSHOP_LAPTOP", str(file))
    return file
