"""Routes and stores: the program's own, and the maker's laid over them. One bad file never stops the rest."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Collection
from pathlib import Path
from typing import Any

from workshop.build.clock import StoreEntry
from workshop.build.route import Route
from workshop.errors import ShopError
from workshop.shelf import copies, route_file, store_file, store_shapes
from workshop.shelf.gate import FileFault
from workshop.shelf.keeping import read_inside
from workshop.shelf.stamp import stamp
from workshop.shelf.table import parse_toml

Fault = tuple[str, str]
"""A maker's own file that cannot be read ("stores/oils"), and why."""


class OwnRecipes:
    """The routes and stores of a shelf."""

    def __init__(self, recipes: Path, shelf: Path, calculators: Collection[str]) -> None:
        """Give the program's recipes, the maker's shelf, and the names a route's step may call on."""
        self.recipes = recipes
        self.shelf = shelf
        self._calculators = calculators
        self._checked: dict[Path, tuple[object, str]] = {}
        self._stores: dict[str, tuple[object, dict[str, Any]]] = {}

    def route_ids(self) -> list[str]:
        """Return the ids of the routes there are: the program's and the maker's own."""
        stems = {path.stem for folder in (self.recipes, self.shelf) for path in _files(folder, "routes")}
        return sorted(stem for stem in stems if not copies.by_name(stem, stems))

    def route(self, route_id: str) -> tuple[bytes, Route]:
        """Return a route's text and the route: the maker's own, or the program's if that is broken."""
        fault: ShopError | None = None
        for folder in (self.shelf, self.recipes):
            path = folder / "routes" / f"{route_id}.toml"
            if path not in _files(folder, "routes"):
                continue
            try:
                raw = self._read(path)
                return raw, route_file.parse_route(raw, str(path), self._calculators)
            except ShopError as error:
                fault = fault or error
        if fault is not None:
            raise fault
        raise ShopError(
            f"There is no route '{route_id}'; right would be one of: {', '.join(self.route_ids())}."
        )

    def store(self, name: str) -> dict[str, Any]:
        """Return a store's tables, the maker's own laid over the program's; read again when a file changed.

        A calculator asks for it at each letter that is typed. Nothing may be changed in what is returned.
        """
        stamps = [stamp(folder / "stores" / f"{name}.toml") for folder in (self.recipes, self.shelf)]
        known = self._stores.get(name)
        if known is None or known[0] != stamps:
            self._stores[name] = known = (stamps, self._read_store(name))
        return known[1]

    def _read_store(self, name: str) -> dict[str, Any]:
        tables = []
        for folder in (self.recipes, self.shelf):
            path = folder / "stores" / f"{name}.toml"
            if path.is_file() and path in _files(folder, "stores"):
                with self._or_go_on(folder):
                    tables.append(self._store(name, path))
        if not tables:
            raise ShopError(f"There is no store '{name}' in {self.recipes / 'stores'}.")
        return store_file.merged(tables)

    def clock_entries(self) -> dict[str, StoreEntry]:
        """Return the adhesives and oils that run clocks, by "store/id"."""
        found: dict[str, StoreEntry] = {}
        for store in store_file.CLOCK_STORES:
            for folder in (self.recipes, self.shelf):
                path = folder / "stores" / f"{store}.toml"
                if path.is_file():
                    with self._or_go_on(folder):
                        entries = store_file.entries_in(store, *parse_toml(self._read(path), str(path)))
                        found.update({one.key: one for one in entries.values()})
        return found

    def faults(self) -> list[Fault]:
        """Return the maker's own routes and stores that cannot be read; the program's stand in for them."""
        found = []
        names = {"routes": self.route_ids(), "stores": list(store_shapes.STORES)}
        for room, check in (("routes", self._check_route), ("stores", self._check_store)):
            for path in _files(self.shelf, room):
                copied = copies.by_name(path.stem, names[room])
                why = copies.by_name_says(copied, path.stem) if copied else self._fault(path, check)
                if why:
                    found.append((f"{room}/{path.stem}", why))
        return found

    def _fault(self, path: Path, check: Callable[[Path], object]) -> str:
        """Return why a file cannot be read, "" for a good one; looked at again only when it changed."""
        now = stamp(path)
        known = self._checked.get(path)
        if known is None or known[0] != now:
            why = ""
            try:
                check(path)
            except ShopError as error:
                why = str(error)
            self._checked[path] = known = (now, why)
        return known[1]

    def _check_route(self, path: Path) -> None:
        route_file.parse_route(self._read(path), str(path), self._calculators)

    def _check_store(self, path: Path) -> None:
        self._store(path.stem, path)

    def _store(self, name: str, path: Path) -> dict[str, Any]:
        data, source = parse_toml(self._read(path), str(path))
        if path.is_relative_to(self.shelf):  # the program's own are checked by its tests
            store_shapes.check_tables(name, data, source)
        if name in store_file.CLOCK_STORES:
            store_file.entries_in(name, data, source)
        return data

    def _read(self, path: Path) -> bytes:
        home = self.shelf if path.is_relative_to(self.shelf) else self.recipes
        return read_inside(home, path)

    def _or_go_on(self, folder: Path) -> contextlib.AbstractContextManager[object]:
        """Leave a maker's own file out that cannot be read (`faults` tells); the program's must be whole."""
        return contextlib.suppress(FileFault) if folder == self.shelf else contextlib.nullcontext()


def _files(folder: Path, room: str) -> list[Path]:
    try:
        return sorted(path for path in (folder / room).glob("*.toml") if not path.name.startswith("."))
    except OSError:
        return []
