"""A clock and its table in a blade's file, in both directions. Keys that are not known are kept."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from workshop.build.clock_parts import BlobState, Clock, Mark, Press
from workshop.errors import ShopError
from workshop.shelf.table import Table, celsius
from workshop.trade import cure


def clock_of(table: Table) -> Clock:
    """Return the clock in a table."""
    rounds = tuple(_whole(table, "rounds", one) for one in _list(table, "rounds"))
    return Clock(
        id=table.text("id"),
        plan=table.text("clock"),
        title=table.text("title"),
        step=table.text("step"),
        kind=table.text("kind", "plain"),
        started=table.needed_moment("started"),
        marks=tuple(_mark(one) for one in table.tables("marks")),
        ends=table.text("ends", ""),
        store=table.text("store", ""),
        air_K=table.si("air", "temperature") if "air" in table.data else None,
        humidity=table.si("humidity", "humidity") if "humidity" in table.data else None,
        kept_K=table.si("kept-at", "temperature") if "kept-at" in table.data else None,
        pace=_number(table, "pace", 1.0),
        quick=_number(table, "batch-pace", 1.0),
        caution=table.text("caution", ""),
        cup_caution=table.text("cup-caution", ""),
        ended=table.moment("ended"),
        rule=_rule(table.table("rule")) if "rule" in table.data else None,
        blob=tuple(blob_state(one) for one in table.tables("blob")),
        presses=tuple(_press(one) for one in table.tables("pressed")),
        round=table.whole("round", 0, 0, 1000),
        rounds=rounds,
        round_says=table.text("round-of", ""),
        again=table.text("again", ""),
        minds=table.texts("minds"),
        minds_until=table.text("minds-until", ""),
        extra=table.rest(),
    )


def clock_out(one: Clock) -> dict[str, Any]:
    """Return a clock as a table."""
    return {
        "id": one.id,
        "clock": one.plan,
        "title": one.title,
        "step": one.step,
        "kind": one.kind,
        "started": one.started,
        "ended": one.ended,
        "ends": one.ends,
        "store": one.store,
        "air": None if one.air_K is None else celsius(one.air_K),
        "humidity": None if one.humidity is None else f"{round(one.humidity * 100, 4):g} %",
        "kept-at": None if one.kept_K is None else celsius(one.kept_K),
        "pace": one.pace,
        "batch-pace": None if one.quick == 1.0 else one.quick,
        "caution": one.caution,
        "cup-caution": one.cup_caution,
        "round": one.round or None,
        "rounds": list(one.rounds),
        "round-of": one.round_says,
        "again": one.again,
        "minds": list(one.minds),
        "minds-until": one.minds_until,
        "rule": None if one.rule is None else _rule_out(one.rule),
        "blob": [_blob_out(state) for state in one.blob],
        "pressed": [
            {"at": press.at, "state": press.state, "age-seconds": press.age_s, "pace": press.pace}
            for press in one.presses
        ],
        "marks": [_mark_out(mark) for mark in one.marks],
        **one.extra,
    }


def _mark(table: Table) -> Mark:
    return Mark(
        id=table.text("id"),
        says=table.text("says"),
        opens=table.needed_moment("opens"),
        shuts=table.moment("shuts"),
        do=table.text("do", ""),
        late=table.text("late", ""),
        harm=table.whole("harm", 1, 1, 3),
        acknowledged=table.moment("answered"),
        age_opens_s=table.seconds("age-opens-seconds"),
        age_shuts_s=table.seconds("age-shuts-seconds"),
        no_later=table.flag("no-later"),
        counts_from=table.text("counts-from", ""),
        after_s=table.seconds("after-seconds"),
        shuts_after_s=table.seconds("shuts-after-seconds"),
        extra=table.rest(),
    )


def _mark_out(one: Mark) -> dict[str, Any]:
    return {
        "id": one.id,
        "says": one.says,
        "opens": one.opens,
        "shuts": one.shuts,
        "answered": one.acknowledged,
        "harm": one.harm,
        "do": one.do,
        "late": one.late,
        "age-opens-seconds": one.age_opens_s,
        "age-shuts-seconds": one.age_shuts_s,
        "no-later": one.no_later or None,
        "counts-from": one.counts_from,
        "after-seconds": one.after_s,
        "shuts-after-seconds": one.shuts_after_s,
        **one.extra,
    }


def _press(table: Table) -> Press:
    return Press(
        at=table.needed_moment("at"),
        state=table.text("state"),
        age_s=table.seconds("age-seconds") or 0.0,
        pace=_number(table, "pace", 1.0),
    )


def blob_state(table: Table) -> BlobState:
    """Return what a witness blob does at some age: in a store, or as a clock keeps it."""
    from_s = table.si("from", "time", 0.0)
    until_s = table.si("until", "time") if "until" in table.data else None
    if until_s is not None and until_s <= from_s:
        raise table.fault("until", "is not after from", "a later time than from")
    made = BlobState(table.text("id").strip().lower(), table.text("says", ""), from_s, until_s)
    table.close()
    return made


def _blob_out(state: BlobState) -> dict[str, Any]:
    return {
        "id": state.id,
        "says": state.says,
        "from": f"{state.from_s:g} s" if state.from_s else None,
        "until": None if state.until_s is None else f"{state.until_s:g} s",
    }


def _rule(table: Table) -> cure.CureRule:
    read: dict[str, Any] = {
        "reference_K": table.si("reference", "temperature"),
        "halving_K": table.si("halving", "temperature step", 10.0),
        "floor_K": table.si("floor", "temperature"),
        "ceiling_K": table.si("ceiling", "temperature"),
        "damp_from": table.si("damp-from", "humidity", 1.0),
        "damp_full": table.si("damp-full", "humidity", 1.0),
        "damp_times": _number(table, "damp-times", 1.0),
    }
    if "activation" in table.data:
        read["activation_J_per_mol"] = table.si("activation", "energy per amount")
    try:
        return cure.CureRule(**read)
    except ShopError as error:
        named = str(error).split()[0]
        key = named if named in table.data else "floor"
        raise table.fault(key, f"the rule is refused ({error})", "a rule that can hold") from None


def _rule_out(rule: cure.CureRule) -> Mapping[str, Any]:
    activation = rule.activation_J_per_mol
    damp = rule.damp_times != 1
    return {
        "reference": celsius(rule.reference_K),
        "halving": f"{rule.halving_K:g} K" if activation is None else None,
        "activation": None if activation is None else f"{activation / 1000:g} kJ/mol",
        "floor": celsius(rule.floor_K),
        "ceiling": celsius(rule.ceiling_K),
        "damp-from": f"{round(rule.damp_from * 100, 4):g} %" if damp else None,
        "damp-full": f"{round(rule.damp_full * 100, 4):g} %" if damp else None,
        "damp-times": rule.damp_times if damp else None,
    }


def _list(table: Table, key: str) -> list[Any]:
    value = table.data.get(key, [])
    table.asked.add(key)
    if not isinstance(value, list):
        raise table.fault(key, "is not a list", "a list of whole numbers, such as [2, 6]")
    return value


def _whole(table: Table, key: str, value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 0 < value <= 1000:
        raise table.fault(key, "is not a list of counts", "a list of whole numbers, such as [2, 6]")
    return value


def _number(table: Table, key: str, default: float) -> float:
    value = table.data.get(key, default)
    table.asked.add(key)
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not 0 < value < 1000:
        raise table.fault(key, "is not a number above 0", "a number such as 1.32")
    return float(value)
