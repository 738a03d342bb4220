"""Files on the command line: the record, checking a file, and where all of them lie."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from workshop import __version__
from workshop.build.values import unlikely_values
from workshop.cli.text import dump, say
from workshop.drawer.registry import NAMES
from workshop.errors import ShopError
from workshop.paper.record import record_of
from workshop.shelf import durable, route_file, store_file, store_shapes
from workshop.shelf.air_file import read_air
from workshop.shelf.laptop_file import read_laptop
from workshop.shelf.places import AIR_FILE, LAPTOP_FILE, laptop_file, target
from workshop.shelf.shelf import KEPT, SHOP_FILE, Shelf
from workshop.shelf.shop_file import read_shop
from workshop.shelf.table import FileFault, Source, Table, read_toml


def record(args: Namespace, shelf: Shelf, now: datetime) -> None:
    """Write the record of a blade as Markdown, to a file or to the terminal."""
    blade = shelf.find(args.blade)
    text = record_of(blade, now)
    if args.out:
        out = target(args.out, shelf.folder, f"{blade.key}.md")
        durable.save_outside(out, text.encode("utf-8"))
    if args.json:
        dump({"blade": blade.name, "key": blade.key, "record": text})
    elif args.out:
        say(f"The record of {blade.name} is in {args.out}.")
    else:
        say(*text.rstrip("\n").split("\n"))


def check(args: Namespace, shelf: Shelf, now: datetime) -> None:
    """Check blade, route and store files; the faults of all of them are told before it refuses."""
    found = []
    for name in args.files:
        try:
            found.append({"file": name, "is": f"ok, {kind_of(Path(name), shelf)}", "fault": None})
        except ShopError as error:
            found.append({"file": name, "is": None, "fault": str(error)})
    faults = [one for one in found if one["fault"]]
    if args.json:
        dump({"files": found})
    elif len(found) > 1 or not faults:
        say(*(f"{one['file']}: {one['fault'] or one['is']}" for one in found))
    if len(faults) == 1:
        raise FileFault(str(faults[0]["fault"]))
    if faults:
        wrong = ", ".join(str(one["file"]) for one in faults)
        raise FileFault(f"{len(faults)} of {len(found)} files cannot be taken: {wrong}.")


def kind_of(path: Path, shelf: Shelf) -> str:
    """Return what a file is ("a route", …) once it is read and checked whole, or raise FileFault."""
    data, source = read_toml(path)
    if "step" in data or "phase" in data:
        _check_route(path, shelf)
        return "a route"
    if "route" in data or "log" in data:
        blade = Shelf(path.absolute().parent, NAMES).blade(path.stem)
        return "; ".join((f"the blade {blade.name}", *unlikely_values(blade)))
    if path.name == SHOP_FILE:
        read_shop(data, source)
        return "the shop's own file"
    if path.name == LAPTOP_FILE:
        read_laptop(data, source)
        return "the laptop's own file"
    if path.name == AIR_FILE:
        return f"the record of the air, {len(read_air(data, source))} readings"
    return f"a store, {_check_store(path.stem, data, source)}"


def _check_route(path: Path, shelf: Shelf) -> None:
    """Check a route, and that the stores have the entries and marks its clocks call for."""
    route = route_file.read_route(path, NAMES)
    entries = shelf.clock_entries()
    for step in route.steps:
        for plan in step.clocks:
            if not plan.store:
                continue
            entry = entries.get(plan.store)
            if entry is None:
                right = ", ".join(sorted(entries))
                raise FileFault(
                    f"{path}: step {step.id}, clock {plan.id}: store: '{plan.store}' is not in the stores; "
                    f"right would be one of: {right}."
                )
            have = [mark.id for mark in (*entry.marks, *plan.marks)]
            for key, mark in (*(("marks", one) for one in plan.chosen), ("ends", plan.ends)):
                if mark and mark not in have:
                    raise FileFault(
                        f"{path}: step {step.id}, clock {plan.id}: {key}: '{mark}' is not a mark of "
                        f"{plan.store}; right would be one of: {', '.join(have)}."
                    )


def _check_store(name: str, data: Mapping[str, Any], source: Source) -> str:
    """Check a store by what its file is called, else by what its tables are; return what it holds."""
    wanted = [name] if name in store_shapes.STORES else store_shapes.stores_like(data)
    faults = []
    for store in wanted:
        try:
            store_shapes.check_tables(store, data, source)
            if store in store_file.CLOCK_STORES:
                store_file.entries_in(store, data, source)
            entries = sum(len(value) for value in data.values() if isinstance(value, list))
            return f"of {store}, {entries} entries"
        except FileFault as fault:
            faults.append(fault)
    if faults:
        raise faults[0]
    raise Table(data, source).fault(
        "schema", "this is no blade, no route and no store", "a file with [[step]] or a store's [[…]] tables"
    )


def where(args: Namespace, shelf: Shelf, now: datetime) -> None:
    """Say where the files lie."""
    good, bad = shelf.blades()
    broken = [one.key for one in bad if one.kind == "broken"]
    places = {
        "version": __version__,
        "shelf": str(shelf.folder),
        "there": shelf.folder.is_dir(),
        "blades": [str(shelf.path(one.key)) for one in good],
        "not_taken": [str(one.path or shelf.path(one.key)) for one in bad],
        "shop": str(shelf.folder / SHOP_FILE),
        "laptop": str(laptop_file()),
        "kept_routes": str(shelf.folder / KEPT),
        "own_routes": str(shelf.folder / "routes"),
        "own_stores": str(shelf.folder / "stores"),
        "recipes": str(shelf.recipes),
        "routes": shelf.route_ids(),
    }
    if args.json:
        dump(places)
        return
    say(
        f"Shelf:       {shelf.folder}"
        + ("" if places["there"] else "  (not there yet; the first blade makes it)")
    )
    say(
        f"Blades:      {len(good)}" + (f", and {', '.join(broken)} that cannot be read" if broken else ""),
        f"Your routes: {places['own_routes']}",
        f"Your stores: {places['own_stores']}",
        f"This laptop: {places['laptop']}",
    )
    say(
        f"Recipes:     {shelf.recipes}",
        f"Routes:      {', '.join(shelf.route_ids())}",
        f"Version:     {__version__}",
    )
    say("Another shelf: --shelf DIR, or WORKSHOP_SHELF in the environment.")
