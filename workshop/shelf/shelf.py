"""The shelf: the folder with the maker's files, and the one way to read and change them."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from workshop.build.blade import Blade
from workshop.build.changes import new_blade
from workshop.build.clock import StoreEntry
from workshop.build.route import Route
from workshop.errors import ShopError
from workshop.shelf import blade_file, durable, places, route_file, store_file
from workshop.shelf.shop_file import Shop, read_shop, shop_bytes
from workshop.shelf.table import FileFault, Table, read_toml

SHOP_FILE = "shop.toml"
KEPT = "kept"
Stamp = tuple[int, int, int]


@dataclass(frozen=True)
class Unread:
    """A file on the shelf that cannot be read: it is left as it is and shown with the reason."""

    key: str
    why: str


class Shelf:
    """The files of one maker. Every change is on disk when the call returns, or NotSaved is raised."""

    def __init__(self, folder: Path, calculators: Collection[str]) -> None:
        """Open a shelf; `calculators` are the names a route's step may call on."""
        self.folder = folder
        self.recipes = places.recipes_folder()
        self._calculators = calculators
        self._routes: dict[str, Route] = {}
        self._read: dict[str, tuple[Stamp, Blade]] = {}
        self._writers: dict[str, blade_file.BladeWriter] = {}
        self._entries: dict[str, StoreEntry] | None = None

    def prepare(self) -> None:
        """Make the folder, private to its owner, and sweep out unfinished files of days past."""
        try:
            for folder in (self.folder, self.folder / KEPT):
                folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            durable.sweep(self.folder)
        except OSError as error:
            raise ShopError(
                f"The shelf {self.folder} cannot be used: {error.strerror or error}. "
                "Name another folder with --shelf, or set WORKSHOP_SHELF."
            ) from None

    # -- blades

    def keys(self) -> list[str]:
        """Return the keys of all blade files, in alphabetical order."""
        if not self.folder.is_dir():
            return []
        paths = self.folder.glob("*.toml")
        return sorted(path.stem for path in paths if path.name != SHOP_FILE and not path.name.startswith("."))

    def path(self, key: str) -> Path:
        """Return the path of a blade's file."""
        return self.folder / f"{key}.toml"

    def stamp(self, key: str) -> Stamp | None:
        """Return what changes when a blade's file changes, or None when it is gone."""
        try:
            info = self.path(key).stat()
        except OSError:
            return None
        return (info.st_mtime_ns, info.st_size, info.st_ino)

    def blade(self, key: str) -> Blade:
        """Return a blade as it is on disk now; read again only when its file changed."""
        stamp = self.stamp(key)
        if stamp is None:
            raise ShopError(f"There is no blade file {self.path(key)}.")
        known = self._read.get(key)
        if known is not None and known[0] == stamp:
            return known[1]
        data, source = read_toml(self.path(key))
        top = Table(data, source)
        route = self._kept_route(top)
        blade = blade_file.from_table(top, key, route)
        self._read[key] = (stamp, blade)
        return blade

    def blades(self) -> tuple[list[Blade], list[Unread]]:
        """Return all blades that can be read, oldest first, and the files that cannot."""
        good, bad = [], []
        for key in self.keys():
            try:
                good.append(self.blade(key))
            except ShopError as error:
                bad.append(Unread(key, str(error)))
        return sorted(good, key=lambda blade: (blade.started, blade.key)), bad

    def find(self, name: str) -> Blade:
        """Return the blade whose name or file is meant, or raise ShopError with the names there are."""
        wanted = name.strip().casefold()
        blades, bad = self.blades()
        exact = [one for one in blades if wanted in (one.name.casefold(), one.key)]
        near = exact or [one for one in blades if one.name.casefold().startswith(wanted) and wanted]
        if len(near) == 1:
            return near[0]
        if len(near) > 1:
            keys = ", ".join(one.key for one in near)
            raise ShopError(f"'{name}' could be several blades; right would be one of the files: {keys}.")
        broken = next((one for one in bad if one.key == wanted), None)
        if broken is not None:
            raise FileFault(broken.why)
        names = ", ".join(one.name for one in blades) or "none yet"
        raise ShopError(f"There is no blade '{name}' on the shelf {self.folder}; there are: {names}.")

    def change(self, key: str, change: Callable[[Blade], Blade]) -> Blade:
        """Apply one change to a blade as it is on disk, and put the result on disk before returning it.

        Under the shop's lock the file is read again first, so that a change made meanwhile by another
        window or by hand is kept.
        """
        path = self.path(key)
        with durable.locked(path):
            blade = self.blade(key)
            changed = change(blade)
            if changed is not blade:
                durable.save(path, self._writer(key).to_bytes(changed))
                stamp = self.stamp(key)
                if stamp is not None:
                    self._read[key] = (stamp, changed)
        return changed

    def begin(
        self,
        name: str,
        route_id: str,
        now: datetime,
        *,
        choices: Mapping[str, str] | None = None,
        maker_for: str = "",
        about: str = "",
    ) -> Blade:
        """Begin a blade on a route: keep a copy of the route, write the file, return the blade."""
        if not name.strip():
            raise ShopError("A blade needs a name.")
        same = [one.name for one in self.blades()[0] if one.name.casefold() == name.strip().casefold()]
        if same:
            raise ShopError(f"There is a blade '{same[0]}' already; right would be another name.")
        self.prepare()
        path, route = self._route_file(route_id)
        raw = path.read_bytes()
        kept = f"{route.id}-{hashlib.sha256(raw).hexdigest()[:12]}"
        key = places.file_key(name, set(self.keys()))
        blade = new_blade(
            key, name.strip(), route, kept, now, choices=choices, maker_for=maker_for, about=about
        )
        copy = self.folder / KEPT / f"{kept}.toml"
        if not copy.exists():
            durable.save(copy, raw)
        durable.save(self.path(key), self._writer(key).to_bytes(blade))
        return blade

    def _writer(self, key: str) -> blade_file.BladeWriter:
        return self._writers.setdefault(key, blade_file.BladeWriter())

    # -- routes

    def route_ids(self) -> list[str]:
        """Return the ids of the routes there are: the program's and the maker's own."""
        folders = (self.recipes / "routes", self.folder / "routes")
        return sorted({path.stem for folder in folders for path in folder.glob("*.toml")})

    def route(self, route_id: str) -> Route:
        """Return a route by its id, the maker's own before the program's."""
        return self._route_file(route_id)[1]

    def _route_file(self, route_id: str) -> tuple[Path, Route]:
        for folder in (self.folder / "routes", self.recipes / "routes"):
            path = folder / f"{route_id}.toml"
            if route_id in self.route_ids() and path.is_file():
                return path, route_file.read_route(path, self._calculators)
        raise ShopError(
            f"There is no route '{route_id}'; right would be one of: {', '.join(self.route_ids())}."
        )

    def _kept_route(self, top: Table) -> Route:
        kept = top.text("route")
        if kept not in self._routes:
            copy = self.folder / KEPT / f"{kept}.toml"
            if not copy.is_file() or copy.parent != self.folder / KEPT:
                raise top.fault(
                    "route", f"the kept copy {KEPT}/{kept}.toml is missing", f"that file in the folder {KEPT}"
                )
            self._routes[kept] = route_file.parse_route(copy.read_bytes(), str(copy), self._calculators)
        return self._routes[kept]

    # -- stores

    def store(self, name: str) -> dict[str, Any]:
        """Return a store's tables, the maker's own laid over the program's."""
        paths = [folder / f"{name}.toml" for folder in (self.recipes / "stores", self.folder / "stores")]
        there = [path for path in paths if path.is_file()]
        if not there:
            raise ShopError(f"There is no store '{name}' in {self.recipes / 'stores'}.")
        return store_file.merged(there)

    def clock_entries(self) -> dict[str, StoreEntry]:
        """Return the adhesives and oils that run clocks, by "store/id"."""
        if self._entries is None:
            found: dict[str, StoreEntry] = {}
            for store in store_file.CLOCK_STORES:
                for folder in (self.recipes / "stores", self.folder / "stores"):
                    path = folder / f"{store}.toml"
                    if path.is_file():
                        found.update({one.key: one for one in store_file.clock_entries(store, path).values()})
            self._entries = found
        return self._entries

    # -- the shop

    def shop(self) -> Shop:
        """Return the shop's air and looks, as last kept."""
        path = self.folder / SHOP_FILE
        return read_shop(path) if path.is_file() else Shop()

    def keep_shop(self, change: Callable[[Shop], Shop]) -> Shop:
        """Change what is kept of the shop, on disk before it returns."""
        self.prepare()
        path = self.folder / SHOP_FILE
        with durable.locked(path):
            shop = change(self.shop())
            durable.save(path, shop_bytes(shop))
        return shop
