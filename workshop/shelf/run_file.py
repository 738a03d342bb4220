"""A run with the hands full and its table in a blade's file, in both directions."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from workshop.build.blade import Run
from workshop.shelf.table import Table


def run_of(table: Table) -> Run:
    """Return the run in a table."""
    return Run(
        id=table.text("id"),
        step=table.text("step"),
        started=table.needed_moment("started"),
        rehearsal=table.flag("rehearsal"),
        stamps=tuple(_stamp(table, one) for one in _moves(table)),
        ended=table.moment("ended"),
        note=table.text("note", ""),
        clock=table.text("clock", ""),
        extra=table.rest(),
    )


def run_out(one: Run) -> dict[str, Any]:
    """Return a run as a table."""
    return {
        "id": one.id,
        "step": one.step,
        "started": one.started,
        "ended": one.ended,
        "rehearsal": one.rehearsal or None,
        "clock": one.clock,
        "note": one.note,
        "moves": [[says, at] for says, at in one.stamps],
        **one.extra,
    }


def _moves(table: Table) -> list[Any]:
    value = table.data.get("moves", [])
    table.asked.add("moves")
    if not isinstance(value, list):
        raise table.fault("moves", "is not a list", "a list of moves and when each was done")
    return value


def _stamp(table: Table, pair: Any) -> tuple[str, datetime]:
    right = 'a move and when it was done, such as ["block home", 2026-03-01T09:30:00Z]'
    if not isinstance(pair, list) or len(pair) != 2 or not isinstance(pair[0], str):
        raise table.fault("moves", "is not a move and a moment", right)
    at = pair[1]
    if not isinstance(at, datetime) or at.tzinfo is None:
        raise table.fault("moves", "is not a move and a moment", right)
    return pair[0], at.astimezone(UTC)
