"""The shelf: the folder with the maker's files, and the one way to read and change them."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Collection, Mapping
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from workshop.build.blade import Blade
from workshop.build.changes import new_blade
from workshop.build.clock import StoreEntry
from workshop.build.route import Route
from workshop.errors import ShopError
from workshop.shelf import backups, blade_file, by_hand, copies, durable, older, places
from workshop.shelf.air_record import AirRecord
from workshop.shelf.finding import meant
from workshop.shelf.keeping import Keeping, read_inside
from workshop.shelf.kept_routes import KEPT, KeptRoutes
from workshop.shelf.laptop_file import Laptop, LaptopSettings
from workshop.shelf.learned_record import LearnedRecord
from workshop.shelf.lookalikes import Lookalikes
from workshop.shelf.own_recipes import OwnRecipes
from workshop.shelf.shop_file import Shop
from workshop.shelf.shop_keeping import ShopKeeping
from workshop.shelf.stamp import Stamp, stamp
from workshop.shelf.table import Source, Table, parse_toml
from workshop.shelf.unread import Unread, newer_says
from workshop.trade import drills

SHOP_FILE = "shop.toml"
__all__ = ["KEPT", "SHOP_FILE", "Shelf", "Unread"]


def _present() -> datetime:
    return datetime.now(UTC).replace(microsecond=0)


class Shelf:
    """The files of one maker. Every change is on disk when the call returns, or NotSaved is raised."""

    def __init__(
        self,
        folder: Path,
        calculators: Collection[str],
        now: Callable[[], datetime] = _present,
        *,
        laptop: Path | None = None,
    ) -> None:
        """Open a shelf; `calculators` are the names a route's step may call on. now: dates the backups.

        laptop: the file of what stands beside this laptop (horn, thermometer); None: nothing does.
        """
        self.folder = folder
        self.recipes = places.recipes_folder()
        self.now = now
        self.own = OwnRecipes(self.recipes, folder, calculators)
        self.calculators = calculators
        self._keeping = Keeping(folder, self.rendered, now)
        self._kept = KeptRoutes(folder, calculators)
        self._read: dict[str, tuple[Stamp | None, bytes, Blade]] = {}
        self._writers: dict[str, blade_file.BladeWriter] = {}
        self._entries: dict[str, StoreEntry] | None = None
        self._shop = ShopKeeping(folder, now)
        self.laptop_path = laptop
        self._laptop = LaptopSettings(laptop, folder)
        self.air_record = AirRecord(folder, now)
        self.learned_record = LearnedRecord(folder, now)
        self._lookalikes = Lookalikes(folder, self.read_as)
        self._seen = False

    def prepare(self) -> None:
        """Make the folder and those above it, private to their owner; sweep out what was left unfinished."""
        try:
            durable.make_folders(self.folder / KEPT)
            self._keeping.sweep_once()
        except OSError as error:
            raise ShopError(
                f"The shelf {self.folder} cannot be used: {error.strerror or error}. "
                "Name another folder with --shelf, or set WORKSHOP_SHELF."
            ) from None

    # -- blades

    def keys(self) -> list[str]:
        """Return the keys of all blade files, in alphabetical order.

        Raises ShopError for a folder that cannot be read, or that has gone since it was read first.
        """
        try:
            names = [name for name in os.listdir(self.folder) if name.endswith(".toml")]  # noqa: PTH208
        except FileNotFoundError:
            if self._seen:
                raise ShopError(
                    f"The shelf {self.folder} is gone; put the folder back, or name another with --shelf."
                ) from None
            return []
        except OSError as error:
            raise ShopError(
                f"The shelf {self.folder} cannot be read: {error.strerror or error}. "
                "Name another folder with --shelf, or set WORKSHOP_SHELF."
            ) from None
        self._seen = True
        own = places.SHOP_FILES
        return sorted(name[:-5] for name in names if name not in own and not name.startswith("."))

    def path(self, key: str) -> Path:
        """Return the path of a blade's file."""
        return self._keeping.path(key)

    def stamp(self, key: str) -> Stamp | None:
        """Return what changes when a blade's file changes, or None when it is gone."""
        return stamp(self.path(key))

    def blade(self, key: str) -> Blade:
        """Return a blade as it is on disk now; read again only when its file changed."""
        now = self.stamp(key)
        if now is None and not self.path(key).is_symlink():
            raise ShopError(f"There is no blade file {self.path(key)}.")
        known = self._read.get(key)
        if known is not None and known[0] == now:
            return known[2]
        return self._taken(key, self._keeping.raw(key), now)

    def _taken(self, key: str, raw: bytes, now: Stamp | None = None) -> Blade:
        """Return the blade in a file's bytes; the very same object while the bytes are the same."""
        known = self._read.get(key)
        blade = known[2] if known is not None and known[1] == raw else self.parse(key, raw)
        self._read[key] = (now if now is not None else self.stamp(key), raw, blade)
        return blade

    def parse(self, key: str, raw: bytes) -> Blade:
        """Return the blade in a text that is, or is to be, its file; raises FileFault."""
        return self._from_tables(key, *parse_toml(raw, str(self.path(key))))

    def read_as(self, path: Path, raw: bytes) -> Blade:
        """Return the blade in the text of any file, on a route of this shelf; raises FileFault."""
        return self._from_tables(path.name, *parse_toml(raw, str(path)))

    def _from_tables(self, key: str, data: Mapping[str, Any], source: Source) -> Blade:
        top = Table(data, source)
        return blade_file.from_table(top, key, self._kept.of(top))

    def blades(self) -> tuple[list[Blade], list[Unread]]:
        """Return all blades that can be read, oldest first, and the files that are not taken as a blade."""
        good, bad = [], []
        for key in self.keys():
            try:
                blade = self.blade(key)
                good.append(blade)
                if blade_file.schema_of(blade) > blade_file.SCHEMA:
                    bad.append(Unread(key, newer_says(blade), "newer"))
            except ShopError as error:
                bad.append(self._not_taken(key, error))
            except Exception as fault:  # whatever it is, it stops neither the others nor the start
                bad.append(Unread(key, f"a fault of the program in reading it: {type(fault).__name__}."))
        own, of = copies.told_apart(good)
        bad += [Unread(key, copies.says(key, of[key]), "copy") for key in sorted(of)]
        bad += self._lookalikes.told(own)
        for blade in own:
            if self._keeping.lost(blade.key, self._read[blade.key][1]) is not None:
                bad.append(Unread(blade.key, copies.LOST, "lost"))
            apart = self._keeping.kept_apart(blade.key)
            if apart:
                bad.append(Unread(blade.key, copies.apart_says(blade, apart), "apart"))
        bad += [Unread(name, why, "own") for name, why in self.own.faults()]
        kept = (*self.air_record.faults(), *self.learned_record.faults())
        for one in (*kept, *self._shop.faults(self.laptop_path)):
            bad.append(replace(one, why=one.why + self._offer(one.key)) if one.kind == "own" else one)
        bad += self._laptop.faults()
        bad += [Unread(backups.FOLDER, why, "backups") for why in (backups.fault(self.folder),) if why]
        return sorted(own, key=lambda blade: (blade.started, blade.key)), bad

    def _not_taken(self, key: str, error: ShopError) -> Unread:
        name = copies.by_name(key, [one.removesuffix(".toml") for one in places.SHOP_FILES])
        if name:
            return Unread(key, copies.by_name_says(name, key), "copy")
        return Unread(key, f"{error}{self._offer(key)}")

    def lookalikes(self) -> list[str]:
        """Return the names in the folder that look like a blade's file and are not read as one."""
        return self._lookalikes.names()

    def _offer(self, key: str) -> str:
        """Return the sentence that offers the newest good older text of a broken file, or ""."""
        found = next((one.name for one, why in self.older(key) if not why), "")
        return f" An older text can be read: 'workshop restore {key}' takes {found}." if found else ""

    def find(self, name: str) -> Blade:
        """Return the blade whose name or file is meant, or raise ShopError with the names there are."""
        return meant(name, *self.blades(), self.folder)

    def change(self, key: str, change: Callable[[Blade], Blade]) -> Blade:
        """Apply one change to a blade as it is on disk, and put the result on disk before returning it.

        Under the shop's lock the file is read again first, so that a change made meanwhile by another
        window or by hand is kept; one that an older text, saved over it, has lost is put back.
        """
        with durable.locked(self.path(key)):
            self._keeping.sweep_once()
            raw = self._keeping.mended(key, self._keeping.raw(key))
            blade = self._taken(key, raw)
            if blade_file.schema_of(blade) > blade_file.SCHEMA:
                raise ShopError(f"{blade.name} is not changed: its file {newer_says(blade)}")
            changed = change(blade)
            if changed is not blade:
                data = self._keeping.put(key, raw, self._bytes(key, blade, changed, raw))
                if data == self._writer(key).last:
                    self._read[key] = (self.stamp(key), data, changed)
                else:
                    changed = self._taken(key, data)
        return changed

    def mend(self, key: str) -> bool:
        """Put back what an older text, saved over a blade's file, has lost; say whether there was any."""
        try:
            if self._keeping.lost(key, self._keeping.raw(key)) is None:
                return False
            with durable.locked(self.path(key), wait_s=0.5):
                raw = self._keeping.raw(key)
                return self._keeping.mended(key, raw) != raw
        except ShopError:  # it cannot be read or written now: it is shown as it is, and tried again later
            return False

    def _bytes(self, key: str, before: Blade, changed: Blade, raw: bytes) -> bytes:
        """Return the changed blade's file: in the program's layout, or changed in the maker's own."""
        writer = self._writer(key)
        ours = writer.last if writer.last == raw else writer.to_bytes(before)
        data = writer.to_bytes(changed)
        if ours == raw:
            return data
        return by_hand.laid_over(raw, data) if by_hand.is_by_hand(raw, ours) else data

    def rendered(self, key: str, data: dict[str, Any], raw: bytes) -> bytes:
        """Return tables that were put together as a blade's file, laid over a text if that is by hand."""
        blade = self._from_tables(key, data, Source(str(self.path(key)), ""))
        made = blade_file.BladeWriter().to_bytes(blade)
        try:
            plain = blade_file.BladeWriter().to_bytes(self.parse(key, raw))
        except ShopError:  # the text is no blade: there is nothing of it to keep to
            return made
        return by_hand.laid_over(raw, made) if by_hand.is_by_hand(raw, plain) else made

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
        same = [one.name for one in self.blades()[0] if places.folded(one.name) == places.folded(name)]
        if same:
            raise ShopError(f"There is a blade '{same[0]}' already; right would be another name.")
        self.prepare()
        raw, route = self.own.route(route_id)
        kept = f"{places.file_key(route.id, ())}-{hashlib.sha256(raw).hexdigest()[:12]}"
        with durable.locked(self.folder / "a new blade", 2.0):  # two that begin at once get a file each
            key = places.file_key(name, {one.casefold() for one in self.keys()})
            blade = new_blade(
                key, name.strip(), route, kept, now, choices=choices, maker_for=maker_for, about=about
            )
            self._kept.keep(kept, self.folder, raw)
            data = self._writer(key).to_bytes(blade)
            durable.save(self.path(key), data, self.folder)
            self._keeping.remember(key, data)
        return blade

    def _writer(self, key: str) -> blade_file.BladeWriter:
        return self._writers.setdefault(key, blade_file.BladeWriter())

    # -- older texts, and texts kept apart

    def raw_of(self, path: Path) -> bytes:
        """Return the bytes of a plain file of the shelf; raises FileFault."""
        return read_inside(self.folder, path)

    def older(self, key: str) -> list[tuple[backups.Backup, str]]:
        """Return a file's other texts, each with "" or why it cannot be read: see `older.older`."""
        return older.older(self._keeping, self.check, key)

    def check(self, key: str, raw: bytes) -> object:
        """Read a text that is, or is to be, a blade's or the shop's own file; raises FileFault."""
        read = older.OF_THE_SHOP.get(key)
        return self.parse(key, raw) if read is None else read(*parse_toml(raw, str(self.path(key))))

    def put_own(self, key: str, data: bytes) -> None:
        """Put a whole text in the place of one of the shop's own files; what stood there is kept."""
        self.check(key, data)
        with durable.locked(self.path(key)):
            met = self._keeping.put_over(key, data)
            if met is not None:
                backups.aside(self.folder, key, met, self.now())

    def put_whole(self, key: str, data: bytes, read: bytes | None = None) -> Blade:
        """Put a whole text in the place of a blade's file; what stood there is kept with the backups.

        read: what it was made from; where that does not stand there any more, nothing is written.
        """
        blade = self.parse(key, data)
        with durable.locked(self.path(key)):
            if read is not None and self._keeping.raw(key) != read:
                raise ShopError(f"{key}.toml was changed meanwhile; nothing is written. Run it again.")
            met = self._keeping.put_over(key, data)
            if met is not None:
                says = "it was saved in the moment in which a whole text took its place"
                self._keeping.apart(key, met, [says])
            self._keeping.remember(key, data)
        self._read.pop(key, None)
        return replace(blade, key=key)

    def rescue(self, blade: Blade, why: str) -> Path:
        """Put a blade that is only in memory on disk: as its file when that is gone, else beside it."""
        data = blade_file.BladeWriter().to_bytes(blade)
        with durable.locked(self.path(blade.key)):
            if self.path(blade.key).exists():
                return self._keeping.apart(blade.key, data, [why])
            self.prepare()
            self._kept.keep(blade.kept, self.folder)
            durable.save(self.path(blade.key), data, self.folder)
        return self.path(blade.key)

    def put_elsewhere(self, blade: Blade, folder: Path) -> Path:
        """Put a blade and its route into another folder, then a shelf of its own. Raises NotSaved."""
        backups.make_folder(folder, folder)
        backups.make_folder(folder, folder / KEPT)
        self._kept.keep(blade.kept, folder)
        path = folder / f"{blade.key}.toml"
        if path.exists():
            backups.aside(folder, blade.key, read_inside(folder, path), self.now())
        durable.save(path, blade_file.BladeWriter().to_bytes(blade), folder)
        return path

    def kept_apart(self, key: str) -> list[Path]:
        """Return the texts that are kept apart for a blade after a conflict, the oldest first."""
        return self._keeping.kept_apart(key)

    # -- routes and stores

    def route_ids(self) -> list[str]:
        """Return the ids of the routes there are: the program's and the maker's own."""
        return self.own.route_ids()

    def route(self, route_id: str) -> Route:
        """Return a route by its id, the maker's own before the program's."""
        return self.own.route(route_id)[1]

    def store(self, name: str) -> dict[str, Any]:
        """Return a store's tables, the maker's own laid over the program's."""
        return self.own.store(name)

    def drills(self) -> dict[str, float]:
        """Return the drills of the store by name, in metres."""
        return drills.sizes(self.store("drills"))

    def clock_entries(self) -> dict[str, StoreEntry]:
        """Return the adhesives and oils that run clocks, by "store/id"."""
        if self._entries is None:
            self._entries = self.own.clock_entries()
        return self._entries

    # -- the shop

    def shop(self) -> Shop:
        """Return the shop's air and looks as last kept; as last known when the file cannot be read.

        The air is the newest there is, in the shop's file or in the record.
        """
        shop = self._shop.shop()
        last = self.air_record.last()
        if last is None or (shop.read_at is not None and shop.read_at >= last.at):
            return shop
        return replace(shop, air_K=last.air_K, humidity=last.humidity, read_at=last.at)

    def laptop(self) -> Laptop:
        """Return what stands beside this laptop, as set now; as last known when its file cannot be taken."""
        return self._laptop.now()

    def keep_shop(self, change: Callable[[Shop], Shop]) -> Shop:
        """Change what is kept of the shop, on disk before it returns. A file that cannot be read is left."""
        self.prepare()
        return self._shop.keep(change)
