"""Two laptops do whatever they do with one blade: put together, nothing of it is dropped."""

from __future__ import annotations

import contextlib
import tomllib
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from workshop.build import changes, clock_changes, timekeeping
from workshop.build.air import Air, Reading
from workshop.build.blade import Blade, Slip
from workshop.build.clock import StoreEntry
from workshop.build.route import MarkPlan, Route
from workshop.build.values import read_entry
from workshop.errors import ShopError
from workshop.shelf import blade_file, came_from, merge
from workshop.shelf.alike import ids, mark
from workshop.shelf.own_numbers import BORN
from workshop.shelf.table import Source, Table

START = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
GLUE = StoreEntry(
    "adhesives",
    "slow",
    "Slow structural epoxy",
    tuple(
        MarkPlan(one, one, 3600.0 * hours) for one, hours in (("last-wipe", 2), ("pull", 7), ("full", 168))
    ),
    295.15,
    285.15,
    313.15,
    activation_J_per_mol=52e3,
)
STEPS = ("A1", "A2", "B1", "H1", "H2", "H3")
Done = tuple[str, int]
ACTS = (
    *("note", "value", "slip", "air", "start", "tick", "look", "finish", "leave-out", "over", "back"),
    *("bed", "dry", "answer", "stop"),
)
done = st.lists(st.tuples(st.sampled_from(ACTS), st.integers(0, 7)), max_size=9)


def made(blade: Blade, what: Done, now: datetime) -> Blade:
    """Return a blade after one thing that a maker does; the same where that is refused."""
    act, number = what
    step = blade.route.by_id[STEPS[number % len(STEPS)]]
    clocks = list(blade.clocks.values())
    with contextlib.suppress(ShopError):
        if act == "note":
            return changes.note(blade, f"note {number}", now)
        if act == "start":
            return changes.start_step(blade, step.id, now, "against the rule")
        if act == "tick" and step.checks:
            return changes.tick(blade, step.id, step.checks[number % len(step.checks)], now)
        if act == "look" and step.last_look:
            return changes.look(blade, step.id, step.last_look[number % len(step.last_look)], now)
        if act == "value":
            entry = blade.route.by_id["A1"].records[0]
            value = read_entry(entry, f"{150 + number} mm", "A1")
            return changes.write_down(blade, entry.name, value, entry.says, now)
        if act == "bed":
            return clock_changes.start_clock(blade, "H1", "bedding", now, entry=GLUE, air_K=290.0)
        if act == "dry":
            return clock_changes.start_clock(blade, "H3", "drying", now)
        if act == "answer" and clocks:
            clock = clocks[number % len(clocks)]
            return clock_changes.answer_mark(blade, clock.id, clock.marks[0].id, now)
        if act == "stop" and clocks:
            return clock_changes.stop_clock(blade, clocks[number % len(clocks)].id, now, "enough")
        if act == "slip":
            slip = Slip(
                changes.next_slip_id(blade), "slot-fill", "H1", now, {"slot": "1"}, {}, {"mix": (number, "g")}
            )
            return changes.keep_slip(blade, replace(slip, taken={"slot": ("slot", f"{number}")}), now)
        if act == "air":
            air = Air((Reading(START, 288.15), Reading(now, 285.15 + number)))
            return timekeeping.rework(blade, air, now)
        if act == "finish":
            return changes.finish(blade, step.id, now, "against the rule")
        if act == "leave-out":
            return changes.leave_out(blade, step.id, now, "not this time")
        if act == "over":
            return changes.do_over(blade, step.id, now, "again")
        if act == "back":
            return changes.take_back(blade, now)
    return blade


def lived(blade: Blade, all_done: Sequence[Done], now: datetime) -> Blade:
    for number, what in enumerate(all_done):
        blade = made(blade, what, now + timedelta(minutes=7 * number))
    return blade


def tables(blade: Blade) -> dict[str, Any]:
    return tomllib.loads(blade_file.BladeWriter().to_bytes(blade).decode())


def read(text: dict[str, Any], route: Route) -> Blade:
    return blade_file.from_table(Table(text, Source("heron.toml", "")), "heron", route)


def births(text: dict[str, Any], room: str) -> Counter[str]:
    """Return what tells the entries of a list apart, whatever number they have."""

    def told(entry: dict[str, Any]) -> str:
        return BORN[room]({key: value for key, value in entry.items() if key != "id"})

    return Counter(map(told, ids(text.get(room)).values()))


@settings(max_examples=300, deadline=None)
@given(before=done, here=done, there=done, known=st.booleans())
def test_whatever_two_laptops_do_nothing_is_dropped(
    module_route: Route,
    before: list[Done],
    here: list[Done],
    there: list[Done],
    known: bool,
) -> None:
    blade = changes.new_blade("heron", "Heron", module_route, "small-1", START)
    blade = lived(blade, before, START)
    later = START + timedelta(hours=5)
    one = tables(lived(blade, here, later))
    two = tables(lived(blade, there, later + timedelta(minutes=3)))
    had = tables(blade)
    base = had if known else came_from.common(one, two)
    for first, second in ((one, two), (two, one)):
        out, conflicts = merge.together(base, first, second)
        read(out, module_route)
        for line in {mark(entry) for side in (one, two) for entry in side["log"]}:
            most = max([mark(entry) for entry in side["log"]].count(line) for side in (one, two))
            assert [mark(entry) for entry in out["log"]].count(line) == most
        for room in BORN:
            was, left, right, now = (births(side, room) for side in (had, first, second, out))
            taken_back = {name for name in was if name not in left or name not in right}
            assert {name for name in left | right if name not in taken_back} <= now.keys()
        assert len({one.path for one in conflicts}) == len(conflicts)
        if not conflicts:
            again, more = merge.together(came_from.common(out, second), out, second)
            if not more:  # two histories in one can make it ask once more; it never changes anything unasked
                assert tables(read(again, module_route)) == tables(read(out, module_route))


def test_one_thing_changed_on_both_sides_is_one_line_to_decide(module_route: Route) -> None:
    blade = changes.new_blade("heron", "Heron", module_route, "small-1", START)

    def sides(*acts: Callable[[Blade, datetime], Blade]) -> list[merge.Conflict]:
        one, two = (tables(act(blade, START + timedelta(hours=n))) for n, act in enumerate(acts))
        return merge.together(tables(blade), one, two)[1]

    (value,) = sides(
        lambda one, now: made(one, ("value", 1), now), lambda one, now: made(one, ("value", 2), now)
    )
    assert value.says() == "values blade-length: '151 mm' against '152 mm'"
    (state,) = sides(
        lambda one, now: made(one, ("start", 0), now), lambda one, now: made(one, ("leave-out", 0), now)
    )
    assert state.says() == "steps A1 state: 'in hand' against 'left out'"
    assert state.also.keys() == {"started", "finished", "since", "why"}
    assert sides(*[lambda one, now: made(one, ("start", 0), now)] * 2) == [], "begun on both: since the first"


def test_two_slips_of_one_number_and_moment_both_stay_as_they_are(module_route: Route) -> None:
    blade = changes.new_blade("heron", "Heron", module_route, "small-1", START)
    one, two = (tables(made(blade, ("slip", number), START)) for number in (1, 2))
    for base in (tables(blade), came_from.common(one, two)):
        out, conflicts = merge.together(base, one, two)
        assert conflicts == []
        found = read(out, module_route).slips
        assert {slip.found["mix"][0] for slip in found.values()} == {1.0, 2.0}
        assert {slip.taken["slot"] for slip in found.values()} == {("slot", "1"), ("slot", "2")}
