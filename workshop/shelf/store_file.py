"""From the stores' TOML to what clocks and calculators are handed."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import count
from pathlib import Path
from typing import Any

from workshop.build.clock import StoreEntry
from workshop.errors import ShopError
from workshop.shelf.clock_file import blob_state
from workshop.shelf.route_file import read_mark
from workshop.shelf.table import Source, Table, read_toml
from workshop.trade import cure

CLOCK_STORES = {"adhesives": "adhesive", "oils": "oil"}
"""The stores whose entries run clocks, and the name of their tables."""


def merged(stores: list[dict[str, Any]]) -> dict[str, Any]:
    """Return a store's tables: the program's first, then the maker's own laid over them by `id`.

    A list of tables with ids is merged entry by entry; any other key of the later file wins.
    """
    result: dict[str, Any] = {}
    for data in stores:
        for key, value in data.items():
            have = result.get(key)
            if (
                isinstance(value, list)
                and isinstance(have, list)
                and all(_has_id(one) for one in (*value, *have))
            ):
                by_id = {one["id"]: one for one in have}
                by_id.update({one["id"]: one for one in value})
                result[key] = list(by_id.values())
            else:
                result[key] = value
    return result


def clock_entries(store: str, path: Path) -> dict[str, StoreEntry]:
    """Return the entries of one adhesives or oils file by id, checked."""
    return entries_in(store, *read_toml(path))


def entries_in(store: str, data: Mapping[str, Any], source: Source) -> dict[str, StoreEntry]:
    """Return the entries of an adhesives or oils file that was read already by id, checked."""
    top = Table(data, source)
    numbers, states = count(), count()
    return {
        made.id: made
        for made in (_entry(store, one, numbers, states) for one in top.tables(CLOCK_STORES[store]))
    }


def _entry(store: str, table: Table, numbers: Any, states: Any) -> StoreEntry:
    marks = tuple(read_mark(one) for one in table.tables("mark", numbers))
    if not marks:
        raise table.fault("mark", "missing", "at least one mark with its id, says and opens")
    damp = table.table("damp")
    entry = StoreEntry(
        store=store,
        id=table.text("id"),
        title=table.text("title"),
        marks=marks,
        reference_K=table.si("reference", "temperature"),
        floor_K=table.si("floor", "temperature"),
        ceiling_K=table.si("ceiling", "temperature"),
        halving_K=table.si("halving", "temperature step", 10.0),
        note=table.text("note", ""),
        activation_J_per_mol=_activation(table),
        damp_from=damp.si("from", "humidity") if damp.data else 1.0,
        damp_full=damp.si("full", "humidity") if damp.data else 1.0,
        damp_times=damp.si("times", "number") if damp.data else 1.0,
        witness=tuple(blob_state(one) for one in table.tables("witness", states)),
        cup_kg=table.si("cup", "mass") if "cup" in table.data else None,
        cup_least=table.si("cup-least", "share", 1.0),
        thin_times=table.si("thin-times", "number", 1.0),
    )
    if not 0 < entry.cup_least <= 1 or not 1 <= entry.thin_times <= 10:
        key = "thin-times" if 0 < entry.cup_least <= 1 else "cup-least"
        raise table.fault(key, "makes no sense", "cup-least from 1 % to 100 %, thin-times from 1 to 10")
    if not entry.floor_K < entry.reference_K < entry.ceiling_K:
        raise table.fault(
            "reference", "does not lie between floor and ceiling", "floor < reference < ceiling"
        )
    try:
        entry.rule  # noqa: B018 - the rule refuses what makes no sense
    except ShopError as error:
        raise table.fault("reference", f"its rule is refused ({error})", "a rule that can hold") from None
    return entry


def _activation(table: Table) -> float | None:
    """Return the activation energy (J/mol); None where the entry goes by a halving instead."""
    if "activation" in table.data and "halving" in table.data:
        raise table.fault("halving", "stands beside an activation", "one of the two")
    if "activation" in table.data:
        return table.si("activation", "energy per amount")
    return None if "halving" in table.data else cure.USUAL_ACTIVATION_J_PER_MOL


def _has_id(one: Any) -> bool:
    return isinstance(one, dict) and isinstance(one.get("id"), str)


def find_entry(entries: dict[str, StoreEntry], key: str) -> StoreEntry:
    """Return the entry named "adhesives/slow", or raise ShopError with the names there are."""
    found = entries.get(key)
    if found is None:
        raise ShopError(f"'{key}' is not in the stores; right would be one of: {', '.join(sorted(entries))}.")
    return found
