"""Any two texts that the program made from one blade become one, in either order, and stay one."""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Callable, Sequence
from datetime import UTC, datetime, timedelta
from typing import Any

from hypothesis import HealthCheck, Phase, example, given, settings
from hypothesis import strategies as st

from workshop.build import changes, clock_changes, moves, timekeeping
from workshop.build.air import Air, Reading
from workshop.build.blade import Blade, Slip
from workshop.build.clock import StoreEntry
from workshop.build.ledger import take_back
from workshop.build.route import Route
from workshop.build.values import read_entry
from workshop.drawer import registry
from workshop.errors import ShopError
from workshop.shelf import blade_file, entries, merge
from workshop.shelf.places import recipes_folder
from workshop.shelf.shelf import Shelf
from workshop.shelf.table import Source, Table

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
WHY = "as tried"
Tables = dict[str, Any]
Change = Callable[[Blade, datetime], Blade]
ENTRIES: dict[str, StoreEntry] = Shelf(recipes_folder(), registry.NAMES).clock_entries()


def write(text: str) -> Change:
    def made(blade: Blade, at: datetime) -> Blade:
        record = blade.route.by_id["A1"].records[0]
        value = read_entry(record, text, "A1")
        return changes.write_down(blade, record.name, value, record.says, at)

    return made


def slip(given_text: str) -> Change:
    def made(blade: Blade, at: datetime) -> Blade:
        taken = {"pin": ("pin-hole", given_text)}
        found = {"drill": (given_text, "mm"), "size": (4.09, "mm")}
        worked = Slip(
            changes.next_slip_id(blade),
            "pin-drill",
            "H1",
            at,
            {"pin": given_text},
            {},
            found,
            taken,
            ("mind",),
        )
        return changes.keep_slip(blade, worked, at)

    return made


def begin_clock(step: str, plan: str, entry: str) -> Change:
    found = ENTRIES.get(entry)
    return lambda blade, at: clock_changes.start_clock(blade, step, plan, at, entry=found, air_K=293.15)


def first_clock(act: Callable[[Blade, str, datetime], Blade]) -> Change:
    return lambda blade, at: act(blade, next(iter(blade.clocks)), at) if blade.clocks else blade


def answer(blade: Blade, clock: str, at: datetime) -> Blade:
    marks = [one for one in blade.clocks[clock].marks if one.acknowledged is None]
    return clock_changes.answer_mark(blade, clock, marks[0].id, at) if marks else blade


def colder(blade: Blade, at: datetime) -> Blade:
    return timekeeping.rework(blade, Air((Reading(at, 283.15 + at.minute % 10),)), at)


ACTS: Sequence[Change] = (
    lambda blade, at: changes.note(blade, "seen", at),
    lambda blade, at: changes.note(blade, f"seen {at:%H:%M}", at),
    *(write(text) for text in ("155 mm", "157 mm", "158 mm")),
    *(slip(text) for text in ("4 mm", "5 mm")),
    *(lambda blade, at, one=one: changes.start_step(blade, one, at, WHY) for one in ("A1", "A2", "H1", "H3")),
    *(lambda blade, at, one=one: changes.finish(blade, one, at, WHY) for one in ("A1", "A2", "H1", "H3")),
    lambda blade, at: changes.leave_out(blade, "A2", at, WHY),
    lambda blade, at: changes.do_over(blade, "A1", at, WHY),
    *(
        lambda blade, at, one=one: changes.tick(blade, "A1", one, at)
        for one in ("Buyer has said yes", "Length is written")
    ),
    lambda blade, at: changes.look(blade, "B1", "Faces bright", at),
    begin_clock("H1", "bedding", "adhesives/slow"),
    begin_clock("H3", "drying", ""),
    first_clock(answer),
    first_clock(lambda blade, clock, at: clock_changes.stop_clock(blade, clock, at, WHY)),
    lambda blade, at: moves.start_run(blade, "B1", at, rehearsal=True),
    lambda blade, at: moves.end_run(blade, next(iter(blade.runs), ""), at, "well"),
    colder,
    take_back,
)
acts = st.lists(st.tuples(st.sampled_from(range(len(ACTS))), st.integers(0, 400)), max_size=7)


def worked_on(blade: Blade, done: Sequence[tuple[int, int]], at: datetime) -> tuple[Blade, datetime]:
    for which, minutes in done:
        at += timedelta(minutes=minutes)
        try:
            blade = ACTS[which](blade, at)
        except ShopError:  # the program refuses it: nothing is done
            continue
    return blade, at


def tables(blade: Blade) -> Tables:
    return tomllib.loads(blade_file.BladeWriter().to_bytes(blade).decode())


def born(side: Tables, room: str) -> Counter[str]:
    keys = {
        "clocks": ("started", "clock", "step"),
        "runs": ("started", "step"),
        "slips": ("at", "calculator"),
    }
    return Counter(entries.mark([one[key] for key in keys[room]]) for one in side.get(room, ()))


def answered(side: Tables) -> set[str]:
    return {
        entries.mark([clock["started"], clock["clock"], one["id"]])
        for clock in side.get("clocks", ())
        for one in clock.get("marks", ())
        if "answered" in one
    }


def check(base: Tables, made: Tables, one: Tables, two: Tables, route: Route) -> None:
    blade = blade_file.from_table(Table(made, Source("made", "")), "heron", route)
    assert entries.same(tables(blade), made), "it reads as a blade, and is written as it is"
    logs = [Counter(entries.mark(line) for line in side["log"]) for side in (base, one, two, made)]
    assert logs[3] == logs[1] | logs[2], "each line as often as the side that has it oftenest"
    for room in ("clocks", "slips", "runs"):
        had, left, right, found = (born(side, room) for side in (base, one, two, made))
        assert found <= left | right, f"{room}: none twice"
        assert left & right <= found, f"{room}: what both have stays"
        assert left - had <= found, f"{room}: what one began stays"
        assert right - had <= found, f"{room}: what the other began stays"
    there = {
        entries.mark([c["started"], c["clock"], m["id"]]) for c in made.get("clocks", ()) for m in c["marks"]
    }
    lost = ((answered(one) | answered(two)) & there) - answered(made)
    both = answered(base) - (answered(one) & answered(two))  # taken back on one side
    assert lost <= both, "a mark that was answered calls no more"


@settings(
    max_examples=150,
    deadline=None,
    phases=(Phase.explicit, Phase.generate),  # a smaller example takes minutes to find
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(acts, acts, acts, st.integers(0, 60))
@example(  # clocks that get new numbers, and their ways back with them
    [(17, 97), (20, 53), (3, 163), (22, 253), (7, 339)],
    [(9, 126), (20, 399), (9, 126), (21, 399)],
    [(21, 109), (20, 399), (9, 126), (21, 399)],
    23,
)
def test_two_texts_of_one_blade_become_one_and_stay_one(
    module_route: Route, before: list[Any], here: list[Any], there: list[Any], apart: int
) -> None:
    begun = changes.new_blade("heron", "Heron", module_route, "small-0", NOW)
    common, at = worked_on(begun, before, NOW)
    sides = [
        tables(worked_on(common, done, at + later)[0])
        for done, later in ((here, timedelta(0)), (there, timedelta(minutes=apart, seconds=1)))
    ]
    for one, two in (sides, sides[::-1]):
        for base in (None, tables(common)):
            made, conflicts = merge.together(base or merge.common(one, two), one, two)
            check(tables(common), made, one, two, module_route)
            for again in (one, two):
                twice, _ = merge.together(base or merge.common(made, again), made, again)
                assert entries.same(twice, made), "put together again it does not change"
            for conflict in conflicts:
                for path, value in conflict.places("second"):
                    merge.put(made, path, value)
            blade_file.from_table(Table(made, Source("made", "")), "heron", module_route)
