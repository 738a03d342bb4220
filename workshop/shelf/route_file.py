"""From a route's TOML to a `Route`; a mistake is refused with file, line, key and what would be right."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from itertools import count
from pathlib import Path

from workshop import measure
from workshop.build.route import (
    WORK,
    Choice,
    ClockPlan,
    Entry,
    MarkPlan,
    MovePlan,
    Phase,
    Route,
    Step,
    circle,
)
from workshop.errors import ShopError
from workshop.shelf.table import FileFault, Source, Table, parse_toml, read_toml

SCHEMA = 1
CLOCK_KINDS = ("adhesive", "coat", "dip", "temper", "count", "plain")
ENTRY_KINDS = ("word", "choice")


def read_route(path: Path, calculators: Collection[str]) -> Route:
    """Return the route in a file; `calculators` are the names a step may call on."""
    data, source = read_toml(path)
    return _route(Table(data, source), calculators)


def parse_route(raw: bytes, name: str, calculators: Collection[str]) -> Route:
    """Return the route in TOML bytes, such as a kept copy."""
    data, source = parse_toml(raw, name)
    return _route(Table(data, source), calculators)


class _Counts:
    """Numbers the nested tables over the whole file, so that a fault finds its line."""

    def __init__(self) -> None:
        self.records: Iterator[int] = count()
        self.clocks: Iterator[int] = count()
        self.marks: Iterator[int] = count()
        self.moves: Iterator[int] = count()


def _route(top: Table, calculators: Collection[str]) -> Route:
    top.needed_schema()
    top.known_schema(SCHEMA)
    counts = _Counts()
    tables: dict[str, Table] = {}
    choices = tuple(_choice(one) for one in top.tables("choice"))
    phases = tuple(_phase(one) for one in top.tables("phase"))
    steps = []
    for one in top.tables("step"):
        step = _step(one, counts, choices, phases, calculators)
        if step.id in tables:
            raise one.fault("id", f"'{step.id}' stands twice", "an id of its own for each step")
        tables[step.id] = one
        steps.append(step)
    route = Route(
        id=top.text("id"),
        title=top.text("title"),
        about=top.text("about", ""),
        caution=top.text("caution", ""),
        choices=choices,
        phases=phases,
        steps=tuple(steps),
    )
    top.close()
    if not steps:
        raise top.fault("step", "missing", "at least one [[step]]")
    _check_links(route, tables)
    return route


def _choice(table: Table) -> Choice:
    made = Choice(table.text("id"), table.text("ask"), table.texts("options"), table.text("says", ""))
    if len(made.options) < 2:
        raise table.fault("options", "offers no choice", "two or more options")
    table.close()
    return made


def _phase(table: Table) -> Phase:
    made = Phase(table.text("id"), table.text("title"))
    table.close()
    return made


def _step(
    table: Table,
    counts: _Counts,
    choices: tuple[Choice, ...],
    phases: tuple[Phase, ...],
    calculators: Collection[str],
) -> Step:
    step_id = table.text("id")
    if not re.fullmatch(r"[A-Z][0-9]{1,2}", step_id):
        raise table.fault("id", f"is '{step_id}'", "a capital letter and a number, such as 'H7'")
    phase = table.text("phase", step_id[0])
    if phase not in {one.id for one in phases}:
        raise table.fault(
            "phase" if "phase" in table.data else "id",
            f"phase '{phase}' is not declared",
            "a [[phase]] of that id",
        )
    known = table.texts("calculators")
    for name in known:
        if name not in calculators:
            raise table.fault(
                "calculators", f"'{name}' is not a calculator", "one of: " + ", ".join(sorted(calculators))
            )
    step = Step(
        id=step_id,
        phase=phase,
        title=table.text("title"),
        purpose=table.text("purpose"),
        before=table.texts("before"),
        after=table.texts("after"),
        answers=table.texts("answers"),
        needs=table.texts("needs"),
        checks=(*table.texts("checks"), *table.texts("checks_after")),
        mistake=table.text("mistake", ""),
        cost=table.text("cost", ""),
        hands_on_s=_span(table, "hands_on"),
        waiting_s=_span(table, "waiting"),
        waiting_on=table.text("waiting_on", ""),
        one_way=table.flag("one_way"),
        way_back=table.text("way_back", ""),
        last_look=table.texts("last_look"),
        spoils=table.texts("spoils"),
        hands_full=table.flag("hands_full"),
        calculators=known,
        cautions=table.texts("cautions"),
        protect=table.texts("protect"),
        batch=table.text("batch", ""),
        may_repeat=table.whole("may_repeat", 1, 1, 100),
        records=tuple(_entry(one) for one in table.tables("record", counts.records)),
        clocks=tuple(_clock(one, counts) for one in table.tables("clock", counts.clocks)),
        when=_when(table, choices),
        makes=table.texts("makes"),
        moves=tuple(_move(one) for one in table.tables("move", counts.moves)),
        after_rest=table.texts("checks_after"),
    )
    if step.after_rest and not any(plan.ends for plan in step.clocks):
        raise table.fault("checks_after", "no clock of this step ends a rest", "ends on its clock, or checks")
    if step.one_way and not step.last_look:
        raise table.fault("last_look", "missing on a one-way step", "the list of what must be true before it")
    if step.last_look and not step.one_way:
        raise table.fault("last_look", "stands on a step with a way back", "one_way = true, or no last look")
    table.close()
    return step


def _move(table: Table) -> MovePlan:
    by_s = table.si("by", "time") if "by" in table.data else None
    writes, since = table.text("writes", ""), table.whole("since", 0)
    made = MovePlan(table.text("says"), by_s, table.flag("scaled"), writes, since)
    table.close()
    return made


def _span(table: Table, key: str) -> tuple[float, ...]:
    times = tuple(table.read_si(key, one, "time") for one in table.texts(key))
    if len(times) > 2 or list(times) != sorted(times):
        raise table.fault(
            key, "is not a span of time", 'one time or the least and the most, such as ["20 min", "45 min"]'
        )
    return times


def _when(table: Table, choices: tuple[Choice, ...]) -> dict[str, tuple[str, ...]]:
    inner = table.table("when")
    found = {}
    for name in list(inner.data):
        choice = next((one for one in choices if one.id == name), None)
        if choice is None:
            raise table.fault(
                "when", f"asks for the choice '{name}'", "one of: " + ", ".join(one.id for one in choices)
            )
        found[name] = inner.texts(name)
        for option in found[name]:
            if option not in choice.options:
                raise table.fault(
                    "when", f"'{option}' is not an option of {name}", "one of: " + ", ".join(choice.options)
                )
    return found


def _entry(table: Table) -> Entry:
    kind = table.one_of("kind", (*ENTRY_KINDS, *measure.KINDS))
    entry = Entry(
        name=table.text("name"),
        says=table.text("says"),
        kind=kind,
        unit=table.text("unit", "") or (measure.KINDS[kind].natural if kind in measure.KINDS else ""),
        least=table.text("least", ""),
        most=table.text("most", ""),
        needed=table.flag("needed"),
        options=table.texts("options"),
        hint=table.text("hint", ""),
        drill=table.flag("drill"),
    )
    if entry.drill and kind != "length":
        raise table.fault("drill", f"stands on a {kind}", "a length, which a drill's name can be")
    if kind == "choice" and len(entry.options) < 2:
        raise table.fault("options", "offers no choice", "two or more options")
    if kind not in ENTRY_KINDS:
        for key, limit in (("least", entry.least), ("most", entry.most)):
            if limit:
                _readable(table, key, limit, kind, entry.unit)
        if measure.KINDS[kind].natural:
            _readable(table, "unit", f"1 {entry.unit}", kind, entry.unit)
    table.close()
    return entry


def _readable(table: Table, key: str, text: str, kind: str, unit: str) -> None:
    """Refuse a limit or a unit that the reader of measures does not take."""
    try:
        measure.read(text, kind, unit=unit, field=key)
    except ShopError as error:
        raise table.fault(
            key, f"'{text}' is not a {kind} ({error})", f"a {kind} with a unit of that kind"
        ) from None


def _clock(table: Table, counts: _Counts) -> ClockPlan:
    kind = table.one_of("kind", CLOCK_KINDS)
    store = table.text("store", "")
    own = [read_mark(one) for one in table.tables("mark", counts.marks)]
    length_s = table.si("length", "time", 0.0)
    if length_s and not own:
        do, late = table.text("do", ""), table.text("late", "")
        own.append(
            MarkPlan("end", "time is up", length_s, do=do, late=late, harm=table.whole("harm", 1, 1, 3))
        )
    if kind in ("adhesive", "coat") and not re.fullmatch(r"[a-z-]+/[a-z0-9-]+", store):
        raise table.fault("store", f"is '{store}'", "a store and an entry of it, such as 'adhesives/slow'")
    if not store and not own and kind != "count":
        raise table.fault("length", "missing", "a length or at least one [[step.clock.mark]]")
    plan = ClockPlan(
        table.text("id"),
        table.text("title"),
        kind,
        store,
        table.texts("marks"),
        tuple(own),
        table.text("ends", ""),
        table.text("since", ""),
        rounds=_rounds(table),
        round=table.text("round", "round"),
        again=table.text("again", ""),
        answers=table.texts("answers"),
        minds=table.texts("minds"),
        minds_until=table.text("minds-until", ""),
        fills=table.text("fills", ""),
        optional=table.flag("optional"),
    )
    _check_marks(table, plan)
    table.close()
    return plan


def _check_marks(table: Table, plan: ClockPlan) -> None:
    """Refuse a clock that names a mark it does not have, or counts from one that comes later."""
    names = {*plan.chosen, *(mark.id for mark in plan.marks)}
    for key, named in (("ends", plan.ends), ("again", plan.again), ("minds-until", plan.minds_until)):
        if named and names and named not in names:
            raise table.fault(
                key, f"'{named}' is not a mark of this clock", "one of: " + ", ".join(sorted(names))
            )
    before: set[str] = set()
    for mark in plan.marks:
        if mark.counts_from and mark.counts_from not in before:
            raise table.fault(
                "mark",
                f"{mark.id} counts from '{mark.counts_from}'",
                "a mark of this clock that stands above it",
            )
        before.add(mark.id)


def _rounds(table: Table) -> tuple[int, ...]:
    rounds = tuple(round(table.read_si("rounds", one, "count")) for one in table.texts("rounds"))
    if len(rounds) > 2 or list(rounds) != sorted(rounds) or not all(0 < one <= 1000 for one in rounds):
        raise table.fault("rounds", "is not a count of rounds", 'one, or the least and the most: ["2", "6"]')
    return rounds


def read_mark(table: Table) -> MarkPlan:
    """Return one mark of a clock or of a store's entry."""
    opens_s = table.si("opens", "time")
    shuts_s = table.si("shuts", "time") if "shuts" in table.data else None
    if shuts_s is not None and shuts_s <= opens_s:
        raise table.fault("shuts", "is not after it opens", "a later time than opens")
    mark = MarkPlan(
        id=table.text("id"),
        says=table.text("says"),
        opens_s=opens_s,
        shuts_s=shuts_s,
        do=table.text("do", ""),
        late=table.text("late", ""),
        harm=table.whole("harm", 1, 1, 3),
        counts_from=table.text("counts-from", ""),
        no_later=table.flag("no-later"),
        cup=table.flag("cup"),
    )
    table.text("spread", "")
    table.close()
    return mark


def _check_links(route: Route, tables: dict[str, Table]) -> None:
    """Refuse unknown step ids, unknown clocks, words of work that meet nothing, and a circle."""
    _check_work(route, tables)
    for step in route.steps:
        for one_clock in step.clocks:
            for name in one_clock.answers:
                if not _is_mark(route, name):
                    raise tables[step.id].fault(
                        "clock",
                        f"{one_clock.id} answers '{name}', which is not a mark here",
                        "a clock of this route and one of its marks, such as 'from-oil/into-temper'",
                    )
            if one_clock.since and one_clock.since not in route.clock_homes:
                raise tables[step.id].fault(
                    "clock",
                    f"{one_clock.id} counts since '{one_clock.since}', which is not a clock here",
                    "a clock of this route",
                )
        for key, ids in (("before", step.before), ("spoils", step.spoils)):
            for one in ids:
                if one not in route.by_id:
                    raise tables[step.id].fault(
                        key, f"'{one}' is not a step of this route", "the id of a [[step]] here"
                    )
        for key, names in (("after", step.after), ("answers", step.answers)):
            for name in names:
                if not _is_mark(route, name):
                    raise tables[step.id].fault(
                        key,
                        f"'{name}' is not a mark of a clock of this route",
                        "a clock and one of its marks, such as 'bedding/pull'",
                    )
    round_trip = circle(route)
    if round_trip:
        path = " before ".join(reversed(round_trip))
        raise tables[round_trip[0]].fault(
            "before", f"the steps stand in a circle: {path}", "an order without a circle"
        )


def _check_work(route: Route, tables: dict[str, Table]) -> None:
    """Refuse a word of `makes` or `minds` that meets no other, and a count that fills no value of its step.

    Such a word is a slip of the pen: wet oil would never be spared the dust.
    """
    made = {what for step in route.steps for what in step.makes}
    minded = {what for step in route.steps for plan in step.clocks for what in plan.minds}
    for step in route.steps:
        for key, words, known in (
            ("makes", step.makes, {*WORK, *minded}),
            ("minds", [what for plan in step.clocks for what in plan.minds], {*WORK, *made}),
        ):
            for word in words:
                if word not in known:
                    right = f"one of: {', '.join(sorted(known))}, or a word that other work minds or makes"
                    raise tables[step.id].fault(key, f"'{word}' meets nothing in this route", right)
        times = [entry.name for entry in step.records if entry.kind == "time"]
        for key, name in (
            *(("fills", plan.fills) for plan in step.clocks),
            *(("writes", move.writes) for move in step.moves),
        ):
            if name and name not in times:
                right = "one of: " + (", ".join(times) or "a [[step.record]] of the kind time here")
                raise tables[step.id].fault(key, f"'{name}' is no time written down at {step.id}", right)
        for place, move in enumerate(step.moves):
            if move.since > place:
                raise tables[step.id].fault("since", f"is {move.since}", "the number of an earlier move")


def _is_mark(route: Route, name: str) -> bool:
    """Whether a name such as "bedding/pull" is a mark of a clock of this route."""
    plan_id, _, mark_id = name.partition("/")
    home = route.clock_homes.get(plan_id)
    plan = home.clock(plan_id) if home else None
    return plan is not None and mark_id in {*plan.chosen, *(mark.id for mark in plan.marks)}


__all__ = ["FileFault", "Source", "parse_route", "read_mark", "read_route"]
