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


# -- what a complete record of the build holds, by the step that writes it down (common practice)


RECORD = {
    "who it is for, and where it goes": "A1/ordered-for A1/sent-where",
    "dates promised and wanted": "A1/date-wanted A2/window-promised A2/earliest-start",
    "drawing version": "A3/drawing-version",
    "serial": "L7/serial",
    "photos of each stage": "L6/photos",
    "grades and heats of the steel": "A4/steel-name A4/steel-heat A4/materials",
    "start stack": "A5/start-layers B1/start-layers B1/piece-size B1/stack-height",
    "order of the stack": "B2/stack-order B2/outside-steel",
    "restacks": "B5/restack-pieces B5/restack-rounds B5/layers-now",
    "nominal and true layers": "A5/target-layers B5/layers-now B7/true-layers",
    "pattern": "A5/pattern B6/pattern-thickness B6/pattern-depth B6/pattern-spacing B6/twist-turns",
    "weights in and out": "B1/stack-mass B4/billet-mass B5/billet-mass B7/billet-mass",
    "heat of each cycle": "B3/weld-heat C4/normalise-heat C5/cycle-heat C5/cycles-done C6/anneal-heat",
    "hardening heat": "E2/hardening-heat",
    "how it was cooled": "C4/normalise-cool",
    "quench": "E1/oil-class E1/oil-temperature E3/oil-count",
    "warp before and after": "C3/bow E5/warp E5/warp-direction E8/warp",
    "temper": "E6/temper-set E6/temper-temperature E6/temper-colour E7/temper-temperature",
    "hardness in three places, and the coupon": "E9/hardness-1 E9/hardness-2 E9/hardness-3 E9/coupon-result",
    "blade": "D1/blade-length D1/blade-height D8/blade-mass",
    "spine at three places": "D8/spine-thickness D8/spine-middle D8/spine-near-tip",
    "ricasso": "F2/ricasso-thickness F2/ricasso-parallel F2/ricasso-height",
    "shoulders": "G1/ricasso-length G1/shoulder-step",
    "edge before sharpening": "F1/edge-thickness",
    "tang": "D5/tang-length D5/tang-height-front D5/tang-height-end D5/tang-thick-front D5/tang-thick-end",
    "guard slot and land": "G3/guard-slot-width G3/guard-slot-length G3/guard-land G4/interference G4/drives",
    "spacers, front to back": "G6/spacer-stack G6/spacer-order",
    "block": "H3/block-length H3/block-width H3/block-height",
    "slot map": "H4/slot-depth H4/slot-width H4/slot-height H4/slot-margin",
    "front face": "H5/front-gap",
    "pin": "H6/pin-diameter H6/pin-hole H6/pin-from-front H6/pin-from-top H14/tang-pin-hole K4/pin-proud",
    "wood, its weight and moisture": "H1/wood H2/block-mass H2/block-moisture",
    "humidity at slotting and at the reveal": "H4/humidity H12/humidity G5/reveal H12/chamfer",
    "adhesive opened and best before": "A4/adhesive-opened",
    "bed": "H7/bedding-resin H7/bedding-hardener H7/bedding-ratio H7/air H7/part-temperature H8/pulled-look",
    "glue": "K3/glue-resin K3/glue-hardener K3/glue-batch K3/air K3/part-temperature K6/trimmed-look",
    "last grits and their scale": "F3/grit-ricasso I1/grit-blade H15/grit-handle",
    "etch": "I3/etch-dilution I3/etch-temperature I3/etch-age I3/dips I6/darkened-with",
    "coats": "J2/handle-finish J2/coats J2/air J2/humidity",
    "edge": "L1/edge-angle L1/stones L3/test-result",
    "weight and balance": "L7/knife-mass L7/balance-point",
    "hours, mistakes and repairs": "L7/hours-by-hand L7/repairs",
    "money": "A2/quote A2/deposit L8/invoiced",
    "delivered to, care sheet given": "L9/sent-to L7/care-sheet",
    "a season later": "L10/season-movement L10/humidity",
}
"""What the record of a build holds, and the steps and names under which it is written down. Times, marks
hit and hours by stage are stamped by the steps and clocks themselves."""


@pytest.mark.parametrize("what", RECORD)
def test_a_complete_build_record_has_a_place_for(route: Route, what: str) -> None:
    for place in RECORD[what].split():
        step_id, _, name = place.partition("/")
        assert route.by_id[step_id].entry(name) is not None, place


def test_marks_hit_are_stamped_by_a_clock(route: Route) -> None:
    # Wiped, pulled, trimmed, unclamped; coats on and off; dips; tempers: no one writes these by hand.
    stamped = {
        "H7": "last-wipe pull",
        "K3": "last-wipe pull",
        "K7": "unclamp hammer",
        "J2": "wipe-off recoat",
    }
    for step_id, marks in stamped.items():
        (plan,) = route.by_id[step_id].clocks
        assert set(marks.split()) <= set(plan.chosen), step_id


def test_wood_beside_the_slot_is_held_to_three_millimetres(route: Route) -> None:
    entry = route.by_id["H4"].entry("slot-margin")
    assert entry is not None
    assert float(measure.read(entry.least, "length")) == pytest.approx(0.003)


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
