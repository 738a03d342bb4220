"""The routes that blades were begun on: a copy of each is kept, so that no later recipe changes them."""

from __future__ import annotations

import os
from collections.abc import Collection
from pathlib import Path

from workshop.build.route import Route
from workshop.shelf import durable, places, route_file
from workshop.shelf.keeping import read_inside
from workshop.shelf.table import Table
from workshop.showable import showable

KEPT = "kept"


class KeptRoutes:
    """The copies in the folder `kept` of a shelf, each read once: they never change."""

    def __init__(self, shelf: Path, calculators: Collection[str]) -> None:
        """Read nothing yet. calculators: the names a route's step may call on."""
        self._shelf = shelf
        self._calculators = calculators
        self._known: dict[str, tuple[Route, bytes]] = {}

    def of(self, top: Table) -> Route:
        """Return the route that a blade's file names; raises FileFault."""
        kept = top.text("route")
        if not places.is_plain(kept):
            raise top.fault("route", f"is '{showable(kept, 40)}'", f"the name of a file in the folder {KEPT}")
        if kept not in self._known:
            copy = self._shelf / KEPT / f"{kept}.toml"
            if not os.path.lexists(copy):  # which says no, too, where the folder cannot be read
                raise top.fault(
                    "route", f"the kept copy {KEPT}/{kept}.toml is missing", f"that file in the folder {KEPT}"
                )
            raw = read_inside(self._shelf, copy)
            self._known[kept] = (route_file.parse_route(raw, str(copy), self._calculators), raw)
        return self._known[kept][0]

    def keep(self, kept: str, shelf: Path, raw: bytes | None = None) -> None:
        """Keep a copy in a shelf's folder; raw: its text, where it was not read here. Raises NotSaved."""
        text = self._known[kept][1] if raw is None else raw
        copy = shelf / KEPT / f"{kept}.toml"
        if not os.path.lexists(copy) or read_inside(shelf, copy) != text:
            durable.save(copy, text, shelf)
