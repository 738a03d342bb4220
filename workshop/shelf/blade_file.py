"""A blade and its TOML file, in both directions. Keys that the program does not know are kept."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

from workshop import measure
from workshop.build.blade import Back, Blade, LogEntry, Part, Progress, Slip, State, Value
from workshop.build.route import Route
from workshop.shelf.clock_file import clock_of, clock_out
from workshop.shelf.run_file import run_of, run_out
from workshop.shelf.table import Table
from workshop.shelf.toml_text import block

SCHEMA = 1
_STORED = tuple(state.value for state in State if state not in (State.WAITING, State.READY))


class BladeWriter:
    """Turns a blade into its file's bytes; remembers the text of the parts it wrote before.

    last: the bytes it gave last.
    """

    def __init__(self) -> None:
        """Start with nothing remembered."""
        self._texts: dict[tuple[tuple[str, ...], int], tuple[object, str]] = {}
        self.last = b""

    def to_bytes(self, blade: Blade) -> bytes:
        """Return the blade as TOML; every new block is read back and compared before anybody writes it."""
        former, self._texts = self._texts, {}
        texts = [block((), _head(blade))]
        for name, part, listed, table in _blocks(blade):
            path = name_path(name)  # not its place in a list: the ways back move up when the oldest falls off
            kept = former.get((path, id(part)))
            text = kept[1] if kept is not None else block(path, table(part), listed=listed)
            self._texts[path, id(part)] = (part, text)  # the part is kept too, so that its id stays its own
            texts.append(text)
        self.last = "".join(texts).encode("utf-8")
        return self.last


def name_path(name: str) -> tuple[str, ...]:
    """Return the TOML path of a block: "steps/H7" is steps.H7, "log/12" is one of the list log."""
    room, _, key = name.partition("/")
    return (room, key) if room in _TABLES else (room,)


def from_table(top: Table, key: str, route: Route) -> Blade:
    """Return the blade in a file that was read already; raises FileFault with the line for what is wrong.

    A file of a later schema is read as far as it can be; the shelf does not write it.
    """
    schema = top.needed_schema()
    blade = Blade(
        key=key,
        name=top.text("name"),
        route=route,
        kept=top.text("route"),
        started=top.needed_moment("started"),
        choices=_choices(top.table("choices"), route),
        maker_for=top.text("for", ""),
        about=top.text("about", ""),
        **_rooms(top),
        log=tuple(_log_entry(one) for one in top.tables("log")),
        backs=tuple(_back(one) for one in top.tables("back")),
    )
    newer = {"schema": schema} if schema > SCHEMA else {}
    return replace(blade, extra={**newer, **top.rest()})


def schema_of(blade: Blade) -> int:
    """Return the schema of the file a blade was read from; one above SCHEMA is not written."""
    found = blade.extra.get("schema", SCHEMA)
    return found if isinstance(found, int) else SCHEMA


def _choices(table: Table, route: Route) -> dict[str, str]:
    chosen = route.defaults()
    for choice in route.choices:
        # A choice gone missing by hand must not quietly turn one knife into another.
        chosen[choice.id] = table.one_of(choice.id, choice.options)
    return {**chosen, **{name: table.text(name, "") for name in table.rest()}}


def _rooms(table: Table) -> dict[str, Any]:
    """Return steps, values, clocks, slips and runs: of the blade, or of what a change can take back."""
    steps = table.table("steps")
    values = table.table("values")
    return {
        "steps": {one: _progress(steps.table(one)) for one in list(steps.data)},
        "values": {one: _value(values.table(one)) for one in list(values.data)},
        "clocks": {one.id: one for one in map(clock_of, table.tables("clocks"))},
        "slips": {one.id: one for one in map(_slip, table.tables("slips"))},
        "runs": {one.id: one for one in map(run_of, table.tables("runs"))},
    }


def _progress(table: Table) -> Progress:
    state = table.one_of("state", _STORED) if "state" in table.data else None
    return Progress(
        state=State(state) if state else None,
        started=table.moment("started"),
        finished=table.moment("finished"),
        since=table.moment("since"),
        hand_s=table.whole("by-hand-seconds", 0),
        rounds=table.whole("rounds", 0),
        ticked=table.texts("checked"),
        looked=table.texts("true"),
        why=table.text("why", ""),
        extra=table.rest(),
    )


def _value(table: Table) -> Value:
    text = table.text("is")
    kind = table.text("kind", "word")
    si = None
    if kind in measure.KINDS:
        si = table.read_si("is", text, kind, negative=True)
    value = Value(text, kind, si, table.text("step", ""), table.moment("at"), table.text("why", ""))
    return replace(value, extra=table.rest())


def _slip(table: Table) -> Slip:
    found = {}
    inner = table.table("found")
    for name, pair in inner.data.items():
        if not _is_result(pair):
            raise inner.fault(name, "is not a result", 'a value and its unit, such as [4.09, "mm"]')
        found[name] = (pair[0] if isinstance(pair[0], str) else float(pair[0]), pair[1])
    return Slip(
        id=table.text("id"),
        calculator=table.text("calculator"),
        step=table.text("step", ""),
        at=table.needed_moment("at"),
        given=_all_text(table.table("given")),
        assumed=_all_text(table.table("assumed")),
        found=found,
        taken=_taken(table.table("taken")),
        cautions=table.texts("cautions"),
        sources=table.texts("sources"),
        extra=table.rest(),
    )


def _is_result(pair: Any) -> bool:
    if not isinstance(pair, list) or len(pair) != 2 or not isinstance(pair[1], str):
        return False
    value = pair[0]
    whole = isinstance(value, int) and not isinstance(value, bool) and abs(value) < 10**300
    return isinstance(value, (str, float)) or whole


def _all_text(table: Table) -> dict[str, str]:
    return {name: table.text(name, "") for name in list(table.data)}


def _taken(table: Table) -> dict[str, tuple[str, str]]:
    found = {}
    for name in list(table.data):
        pair = table.texts(name)
        if len(pair) != 2:
            raise table.fault(name, "is not a name and a text", 'two texts, such as ["pin-hole", "4.2 mm"]')
        found[name] = (pair[0], pair[1])
    return found


def _log_entry(table: Table) -> LogEntry:
    entry = LogEntry(
        table.needed_moment("at"),
        table.text("did"),
        table.text("says"),
        table.text("step", ""),
        table.text("why", ""),
    )
    return replace(entry, extra=table.rest())


def _back(table: Table) -> Back:
    was: dict[str, Part | None] = dict.fromkeys(table.texts("gone"))
    for room, parts in _rooms(table.table("was")).items():
        was.update({f"{room}/{name}": part for name, part in parts.items()})
    return Back(table.needed_moment("at"), table.text("says"), was)


def _head(blade: Blade) -> dict[str, Any]:
    known = {
        "schema": SCHEMA,
        "name": blade.name,
        "for": blade.maker_for,
        "about": blade.about,
        "route": blade.kept,
        "started": blade.started,
        "choices": dict(blade.choices),
    }
    return {**known, **{key: value for key, value in blade.extra.items() if key not in known}}


def _blocks(blade: Blade) -> Iterator[tuple[str, object, bool, Callable[[Any], dict[str, Any]]]]:
    """Yield each block of the file: its name, the part, whether it is one of a list, and its table."""
    for room, table in _TABLES.items():
        for key, part in getattr(blade, room).items():
            yield f"{room}/{key}", part, False, table
    for room, table in _LISTS.items():
        for key, part in getattr(blade, room).items():
            yield f"{room}/{key}", part, True, table
    for number, entry in enumerate(blade.log):
        yield f"log/{number}", entry, True, _log_out
    for number, back in enumerate(blade.backs):
        yield f"back/{number}", back, True, _back_out


def _progress_out(one: Progress) -> dict[str, Any]:
    return {
        "state": one.state.value if one.state else None,
        "started": one.started,
        "finished": one.finished,
        "since": one.since,
        "by-hand-seconds": one.hand_s or None,
        "rounds": one.rounds or None,
        "checked": list(one.ticked),
        "true": list(one.looked),
        "why": one.why,
        **one.extra,
    }


def _value_out(one: Value) -> dict[str, Any]:
    return {"is": one.text, "kind": one.kind, "step": one.step, "at": one.at, "why": one.why, **one.extra}


def _slip_out(one: Slip) -> dict[str, Any]:
    return {
        "id": one.id,
        "calculator": one.calculator,
        "step": one.step,
        "at": one.at,
        "given": dict(one.given),
        "assumed": dict(one.assumed),
        "found": {name: list(pair) for name, pair in one.found.items()},
        "taken": {name: list(pair) for name, pair in one.taken.items()},
        "cautions": list(one.cautions),
        "sources": list(one.sources),
        **one.extra,
    }


def _log_out(one: LogEntry) -> dict[str, Any]:
    return {"at": one.at, "did": one.did, "step": one.step, "says": one.says, "why": one.why, **one.extra}


def _back_out(one: Back) -> dict[str, Any]:
    was: dict[str, Any] = {}
    for name, part in one.was.items():
        room, _, key = name.partition("/")
        if part is not None and room in _TABLES:
            was.setdefault(room, {})[key] = _TABLES[room](part)
        elif part is not None:
            was.setdefault(room, []).append(_LISTS[room](part))
    gone = [name for name, part in one.was.items() if part is None]
    return {"at": one.at, "says": one.says, "gone": gone, "was": was}


_TABLES: dict[str, Callable[[Any], dict[str, Any]]] = {"values": _value_out, "steps": _progress_out}
_LISTS: dict[str, Callable[[Any], dict[str, Any]]] = {
    "clocks": clock_out,
    "slips": _slip_out,
    "runs": run_out,
}
