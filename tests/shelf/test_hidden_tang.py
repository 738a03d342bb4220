"""What the route of a hidden-tang knife holds: its cards, what is written down, its order, its choices.

The order of the steps and the sizes of knives are common practice of the trade, and are checked as such.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop import measure
from workshop.build import changes, standing
from workshop.build.blade import State, Value
from workshop.build.route import Route, Step
from workshop.shelf.places import recipes_folder
from workshop.shelf.route_file import read_route
from workshop.shelf.store_file import clock_entries

RECIPES = recipes_folder()
FILE = RECIPES / "routes" / "hidden-tang.toml"
DRAWER = """
convert pin-drill pin-head slot-fill mix-split cure arc taper handle-section octagon square-up
wood-moisture wood-swing wall balance dew-point layers stock draw-out pattern-cut feather bevel
distal guard-slot critical temper tang-heat heat-colour grits etch-mix bath belt-speed drill-speed
edge-lift quench price
"""
ROUTE = read_route(FILE, DRAWER.split())
NOW = datetime(2025, 3, 4, 9, 0, tzinfo=UTC)

CARDS = {"A": 5, "B": 7, "C": 7, "D": 8, "E": 10, "F": 3, "G": 6, "H": 15, "I": 7, "J": 4, "K": 10, "L": 10}
"""Steps of each phase; a butt cap is another construction and has none."""

PROTECTION = {
    "eyes",
    "face shield",
    "ears",
    "dust mask P3",
    "ventilation",
    "heat gloves",
    "nitrile gloves",
    "cotton or wool clothes",
    "IR glasses",
    "extinguisher",
    "no gloves (rotating tool)",
    "apron",
}


@pytest.fixture
def route() -> Route:
    return ROUTE


def closure(route: Route, step_id: str) -> set[str]:
    """Every step that must come before this one, directly or through another."""
    found: set[str] = set()
    ahead = list(route.by_id[step_id].before)
    while ahead:
        one = ahead.pop()
        if one not in found:
            found.add(one)
            ahead.extend(route.by_id[one].before)
    return found


# -- every card is there, and can be read at the bench


def test_every_phase_and_every_card_is_there_in_order(route: Route) -> None:
    wanted = [f"{phase}{number}" for phase, most in CARDS.items() for number in range(1, most + 1)]
    assert [step.id for step in route.steps] == wanted
    assert [phase.id for phase in route.phases] == list(CARDS)


@pytest.mark.parametrize("step", ROUTE.steps, ids=lambda step: step.id)
def test_a_card_says_what_a_maker_needs_in_lines_that_fit(step: Step) -> None:
    assert step.purpose
    assert step.mistake
    assert step.cost
    assert step.way_back
    assert step.checks
    assert step.batch
    assert step.hands_on_s
    assert len(step.title) <= 24
    for line in (*step.checks, *step.last_look):
        assert len(line) <= 70, line
    for entry in step.records:
        assert len(entry.says) <= 40, entry.says
        assert len(entry.hint) <= 50, entry.hint
    for plan in step.clocks:
        for mark in plan.marks:
            assert len(mark.says) <= 24, mark.says
            assert mark.do
            assert mark.late
    assert len(set(step.checks)) == len(step.checks)
    assert set(step.protect) <= PROTECTION


def test_sentences_are_short(route: Route) -> None:
    for step in route.steps:
        for text in (step.purpose, step.mistake, *step.cautions):
            for sentence in re.split(r"(?<=[.!?]) ", text):
                assert len(sentence) <= 150, (step.id, sentence)


def test_no_name_of_a_person_or_maker_stands_in_the_recipes() -> None:
    for path in (FILE, RECIPES / "stores" / "adhesives.toml", RECIPES / "stores" / "oils.toml"):
        text = path.read_text(encoding="utf-8")
        assert not re.search(r"[®™©]|https?:|\bInc\b|\bLtd\b|\bGmbH\b", text)


# -- measurements


def test_one_name_is_one_kind_of_measurement(route: Route) -> None:
    kinds: dict[str, str] = {}
    for step in route.steps:
        for entry in step.records:
            assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", entry.name)
            assert kinds.setdefault(entry.name, entry.kind) == entry.kind, (step.id, entry.name)


def test_limits_leave_room_for_kitchen_hunter_and_camp_knives(route: Route) -> None:
    # Ordinary sizes of three kinds of knife; common practice.
    sizes = {
        "blade-length": ("60 mm", "155 mm", "300 mm"),
        "spine-thickness": ("2 mm", "4.5 mm", "7 mm"),
        "ricasso-thickness": ("2 mm", "4.5 mm", "6.5 mm"),
        "edge-thickness": ("0.5 mm", "0.6 mm", "0.8 mm"),
        "handle-length": ("100 mm", "115 mm", "145 mm"),
        "tang-length": ("60 mm", "90 mm", "130 mm"),
        "pin-diameter": ("3 mm", "4 mm", "6.35 mm"),
        "guard-thickness": ("3 mm", "8 mm", "12 mm"),
    }
    for step in route.steps:
        for entry in step.records:
            for text in sizes.get(entry.name, ()):
                size = float(measure.read(text, entry.kind))
                if entry.least:
                    assert float(measure.read(entry.least, entry.kind)) <= size, (step.id, entry.name, text)
                if entry.most:
                    assert size <= float(measure.read(entry.most, entry.kind)), (step.id, entry.name, text)


def test_least_is_below_most(route: Route) -> None:
    for step in route.steps:
        for entry in step.records:
            if entry.least and entry.most:
                least = measure.read(entry.least, entry.kind, unit=entry.unit)
                assert least.value < measure.read(entry.most, entry.kind, unit=entry.unit).value


@pytest.mark.parametrize(
    ("step_id", "name"),
    [
        ("F2", "ricasso-thickness"),
        ("G3", "guard-slot-width"),
        ("G3", "guard-slot-length"),
        ("H4", "slot-width"),
        ("H4", "slot-height"),
        ("H4", "slot-depth"),
        ("H4", "slot-offset"),
        ("H4", "tang-length"),
        ("D5", "tang-thick-front"),
        ("D5", "tang-thick-end"),
        ("D5", "tang-height-front"),
        ("D5", "tang-height-end"),
        ("H3", "block-width"),
        ("H6", "pin-diameter"),
        ("H6", "pin-hole"),
        ("H6", "pin-from-front"),
        ("H7", "air"),
        ("H11", "handle-width-at-pin"),
        ("H1", "wood"),
        ("H12", "humidity"),
        ("E6", "temper-temperature"),
        ("A1", "palm-width"),
        ("A4", "steel-name"),
        ("L7", "hours-by-hand"),
    ],
)
def test_what_the_calculators_need_is_written_down_where_it_is_measured(
    route: Route, step_id: str, name: str
) -> None:
    assert route.by_id[step_id].entry(name) is not None


def test_few_values_hold_a_step_up(route: Route) -> None:
    # A long form with gloves on is no help: fewer than a dozen in the whole knife.
    needed = [entry.name for step in route.steps for entry in step.records if entry.needed]
    assert "ricasso-thickness" in needed
    assert len(needed) < 12


# -- the order


@pytest.mark.parametrize(
    ("later", "earlier"),
    [
        ("B3", "B2"),
        ("D8", "D7"),
        ("E3", "D8"),
        ("E6", "E5"),
        ("F1", "E9"),
        ("G1", "F2"),
        ("G1", "F3"),
        ("G3", "G1"),
        ("G3", "G2"),
        ("H4", "D5"),
        ("H5", "G4"),
        ("H5", "G6"),
        ("H7", "H5"),
        ("H9", "H8"),
        ("H12", "G5"),
        ("H14", "H6"),
        ("H14", "H13"),
        ("I1", "H14"),
        ("I1", "F3"),
        ("I3", "I1"),
        ("J2", "H15"),
        ("K1", "I7"),
        ("K1", "J4"),
        ("K1", "G5"),
        ("K3", "K2"),
        ("K9", "K7"),
        ("K9", "K8"),
        ("L1", "K10"),
        ("L5", "K10"),
        ("L9", "L6"),
    ],
)
def test_the_real_needs_are_kept(route: Route, later: str, earlier: str) -> None:
    assert earlier in closure(route, later)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("G2", "B3"),  # a guard blank can be sawn while the billet is still a stack
        ("H2", "E3"),  # the block settles while the blade is forged and hardened
        ("H3", "G4"),
        ("G5", "H11"),
        ("I3", "H15"),  # blade and handle are finished apart, in either order
        ("L5", "L3"),
        ("D6", "D4"),
    ],
)
def test_free_steps_stay_free(route: Route, one: str, other: str) -> None:
    assert other not in closure(route, one)
    assert one not in closure(route, other)


def test_the_list_order_is_a_possible_order(route: Route) -> None:
    place = {step.id: number for number, step in enumerate(route.steps)}
    for step in route.steps:
        assert all(place[one] < place[step.id] for one in step.before)


# -- choices


def test_one_steel_leaves_out_the_billet_and_only_that(route: Route) -> None:
    full = {step.id for step in route.steps_for(route.defaults())}
    plain = {step.id for step in route.steps_for({**route.defaults(), "steel": "one steel"})}
    assert full - plain == {"A5"} | {f"B{number}" for number in range(1, 8)}


@pytest.mark.parametrize(
    ("choice", "option", "gone"),
    [
        ("pin", "flush", {"K9"}),
        ("pin", "none", {"H6", "H13", "H14", "K9"}),
        ("spacers", "no", {"G6"}),
        ("stabilised", "yes", {"J1", "J2"}),
        ("sheath", "no", {"L5"}),
        ("finish", "satin", {"I2", "I3", "I4", "I5", "I6"}),
    ],
)
def test_a_choice_takes_its_steps_away(route: Route, choice: str, option: str, gone: set[str]) -> None:
    full = {step.id for step in route.steps_for(route.defaults())}
    assert full - {step.id for step in route.steps_for({**route.defaults(), choice: option})} == gone


def test_stamped_marks_and_soft_backs_are_there_when_asked_for(route: Route) -> None:
    usual = {step.id for step in route.steps_for(route.defaults())}
    more = {step.id for step in route.steps_for({**route.defaults(), "mark": "stamped", "soft-back": "yes"})}
    assert more - usual == {"D6", "E10"}


@given(st.fixed_dictionaries({choice.id: st.sampled_from(choice.options) for choice in ROUTE.choices}))
def test_whatever_was_chosen_every_step_can_be_reached(choices: dict[str, str]) -> None:
    there = {step.id: step for step in ROUTE.steps_for(choices)}
    done: set[str] = set()
    while ready := [
        one for one, step in there.items() if one not in done and set(step.before) & there.keys() <= done
    ]:
        done.update(ready)
    assert done == there.keys()


@given(st.fixed_dictionaries({choice.id: st.sampled_from(choice.options) for choice in ROUTE.choices}))
def test_leaving_steps_out_never_lets_a_knife_jump_its_middle(choices: dict[str, str]) -> None:
    """A step that a choice takes away must not tear the order apart: steel, fit, glue, edge."""
    there = {step.id for step in ROUTE.steps_for(choices)}

    def needs(step_id: str) -> set[str]:
        found: set[str] = set()
        ahead = [step_id]
        while ahead:
            for one in ROUTE.by_id[ahead.pop()].before:
                if one in there and one not in found:
                    found.add(one)
                    ahead.append(one)
        return found

    assert {"A3", "A4"} <= needs("C1")
    assert "H8" in needs("I1")
    assert {"E9", "H7", "H12", "H15", "I1", "J3", "G5"} <= needs("K3")
    assert {"K7", "K8"} <= needs("L1")


# -- a blade walked through it


@given(st.lists(st.integers(0, 200), max_size=30))
def test_only_ready_steps_start_without_a_reason(picks: list[int]) -> None:
    blade = changes.new_blade("reed", "Reed", ROUTE, "", NOW)
    for pick in picks:
        ready = [one for one, state in standing.states(blade, NOW).items() if state is State.READY]
        assert ready
        chosen = ready[pick % len(ready)]
        blade = changes.leave_out(blade, chosen, NOW, "tried on paper")
        closed = {one for one, state in standing.states(blade, NOW).items() if state is State.LEFT_OUT}
        there = {step.id for step in blade.own_steps()}
        assert set(ROUTE.by_id[chosen].before) & there <= closed


@pytest.mark.parametrize("steel", ["pattern-welded", "one steel"])
def test_a_knife_can_be_walked_from_order_to_aftercare_without_one_reason(steel: str) -> None:
    """Only by what comes naturally next, and by waiting for the clocks: no dead end, no circle."""
    stores = {
        f"{store}/{name}": entry
        for store in ("adhesives", "oils")
        for name, entry in clock_entries(store, RECIPES / "stores" / f"{store}.toml").items()
    }
    now = NOW
    blade = changes.new_blade("reed", "Reed", ROUTE, "", now, choices={"steel": steel})
    for _ in range(3000):
        now += timedelta(minutes=1)
        step = standing.in_hand(blade, now)
        if step is None:
            break
        if standing.state_of(blade, step, now) is State.WAITING:
            now += timedelta(hours=1)
            continue
        thing = standing.natural_next(blade, step, now)
        if thing.act is standing.Act.LOOK:
            for line in step.last_look:
                blade = changes.look(blade, step.id, line, now)
            blade = changes.start_step(blade, step.id, now)
        elif thing.act is standing.Act.START:
            blade = changes.start_step(blade, step.id, now)
        elif thing.act is standing.Act.TICK:
            blade = changes.tick(blade, step.id, thing.item, now)
        elif thing.act is standing.Act.CLOCK:
            plan = step.clock(thing.item)
            assert plan is not None
            blade = changes.start_clock(
                blade, step.id, plan.id, now, entry=stores.get(plan.store), air_K=295.15
            )
        elif thing.act is standing.Act.VALUE:
            entry = step.entry(thing.item)
            assert entry is not None
            text = entry.least or (entry.options[0] if entry.options else "walnut")
            value = Value(text, entry.kind, step=step.id)
            blade = changes.write_down(blade, entry.name, value, entry.says, now)
        elif thing.act is standing.Act.FINISH:
            blade = changes.finish(blade, step.id, now)
        else:
            now += timedelta(hours=1)
    assert {blade.progress(step.id).state for step in blade.own_steps()} == {State.DONE}
