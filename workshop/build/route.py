"""A route: the ordered phases and steps for one kind of knife, as plain data.

A route is read from a recipe file (see `workshop.shelf.route_file`) and never changes while
a blade runs on it. Lengths of time are seconds; what is to be recorded keeps its limits as
the recipe wrote them, because limits are shown in the maker's words.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

WORK = ("dust", "hammering", "loud", "wax", "pot life")
"""What work brings into the shop that other work may mind; a route may add words of its own."""


@dataclass(frozen=True, slots=True)
class Choice:
    """What is asked when a blade is started; the first option is the default."""

    id: str
    ask: str
    options: tuple[str, ...]
    says: str = ""


@dataclass(frozen=True, slots=True)
class Phase:
    """A stretch of the route: billet, heat treat, handle block."""

    id: str
    title: str


@dataclass(frozen=True, slots=True)
class Entry:
    """A value to write down at a step.

    kind: a kind of measure, or "word" or "choice". least, most: the likely limits as text.
    needed: the step is not finished without it, save for a reason. drill: a drill's name is read too.
    """

    name: str
    says: str
    kind: str
    unit: str = ""
    least: str = ""
    most: str = ""
    needed: bool = False
    options: tuple[str, ...] = ()
    hint: str = ""
    drill: bool = False


@dataclass(frozen=True, slots=True)
class MarkPlan:
    """A mark before its clock runs: seconds from the start, at the reference temperature.

    shuts_s: end of the window, or None for an instant that stays reached.
    harm: 1 little, 2 hours, 3 a blade or a handle lost when it is missed.
    counts_from: another mark of the clock from whose answer the seconds count (a temper counts from hot,
    not from the door). no_later: cold or damp air does not put it off (oil must come off in time). cup:
    it is the glue in the cup that sets, so a larger cup is sooner.
    """

    id: str
    says: str
    opens_s: float
    shuts_s: float | None = None
    do: str = ""
    late: str = ""
    harm: int = 1
    counts_from: str = ""
    no_later: bool = False
    cup: bool = False


@dataclass(frozen=True, slots=True)
class MovePlan:
    """One move of a run with the hands full. by_s: its latest moment from first contact, None for none.

    scaled: the latest moment moves with the glue, like the marks of its clock. writes: the value of the step
    that this stamp writes down, the time since that of the move with the number `since` (0: first contact).
    """

    says: str
    by_s: float | None = None
    scaled: bool = False
    writes: str = ""
    since: int = 0


@dataclass(frozen=True, slots=True)
class ClockPlan:
    """A clock that a step can run.

    kind: adhesive, coat, dip, temper, count (it counts up) or plain. store: the default entry for the
    first two ("adhesives/slow"); chosen: which of the entry's marks matter here. marks: the clock's own.
    ends: the mark that ends the step's rest; "" when the step may finish while it runs on.
    since: another clock of the route from whose start this one counts (a cure counts from the mix).
    rounds, round: how many times it runs, least and most, and what one of them is called ("coat"); again:
    the mark at which the next round may begin. answers: marks of other clocks that starting this one
    answers ("from-oil/into-temper"). minds: the work that spoils what is on the clock (as in `Step.makes`),
    until the mark minds_until. fills: the value that a count writes down when it is stopped. optional: it
    is there to be started, but is not the natural next thing.
    """

    id: str
    title: str
    kind: str
    store: str = ""
    chosen: tuple[str, ...] = ()
    marks: tuple[MarkPlan, ...] = ()
    ends: str = ""
    since: str = ""
    rounds: tuple[int, ...] = ()
    round: str = "round"
    again: str = ""
    answers: tuple[str, ...] = ()
    minds: tuple[str, ...] = ()
    minds_until: str = ""
    fills: str = ""
    optional: bool = False

    @property
    def scaled(self) -> bool:
        """Whether the shop's temperature moves the marks."""
        return bool(self.store)


@dataclass(frozen=True, slots=True)
class Step:
    """One step card. `before` and `spoils` are step ids; `after` names marks ("bedding/pull").

    makes: what the work brings into the shop that other work may mind: "dust", "hammering", "loud" and
    the like. moves: what is done one after another in a run with the hands full. answers: marks that
    finishing this step answers, come or not ("glue-up/assembly": the parts are closed). after_rest: the last
    of the checks, those that can be true only when the clock that holds the step has run.
    """

    id: str
    phase: str
    title: str
    purpose: str
    before: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    answers: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    checks: tuple[str, ...] = ()
    mistake: str = ""
    cost: str = ""
    hands_on_s: tuple[float, ...] = ()
    waiting_s: tuple[float, ...] = ()
    waiting_on: str = ""
    one_way: bool = False
    way_back: str = ""
    last_look: tuple[str, ...] = ()
    spoils: tuple[str, ...] = ()
    hands_full: bool = False
    calculators: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    protect: tuple[str, ...] = ()
    batch: str = ""
    may_repeat: int = 1
    records: tuple[Entry, ...] = ()
    clocks: tuple[ClockPlan, ...] = ()
    when: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    makes: tuple[str, ...] = ()
    moves: tuple[MovePlan, ...] = ()
    after_rest: tuple[str, ...] = ()

    def there(self, choices: Mapping[str, str]) -> bool:
        """Whether a blade with these choices has this step."""
        return all(choices.get(name) in wanted for name, wanted in self.when.items())

    def clock(self, clock_id: str) -> ClockPlan | None:
        """Return the plan of one of this step's clocks."""
        return next((plan for plan in self.clocks if plan.id == clock_id), None)

    def entry(self, name: str) -> Entry | None:
        """Return what is asked under this name."""
        return next((entry for entry in self.records if entry.name == name), None)


@dataclass(frozen=True)
class Route:
    """All phases and steps for one kind of knife, in the order they are read."""

    id: str
    title: str
    about: str
    caution: str
    choices: tuple[Choice, ...]
    phases: tuple[Phase, ...]
    steps: tuple[Step, ...]

    @cached_property
    def by_id(self) -> Mapping[str, Step]:
        """Steps by their id."""
        return {step.id: step for step in self.steps}

    @cached_property
    def clock_homes(self) -> Mapping[str, Step]:
        """The step at which each clock of the route is started."""
        return {plan.id: step for step in self.steps for plan in step.clocks}

    def phase_title(self, phase_id: str) -> str:
        """Return a phase's title ("" for none such)."""
        return next((phase.title for phase in self.phases if phase.id == phase_id), "")

    def steps_for(self, choices: Mapping[str, str]) -> tuple[Step, ...]:
        """Return the steps that a blade with these choices has, in route order."""
        return tuple(step for step in self.steps if step.there(choices))

    def defaults(self) -> dict[str, str]:
        """Return the first option of each choice."""
        return {choice.id: choice.options[0] for choice in self.choices}


def circle(route: Route) -> tuple[str, ...]:
    """Return the step ids of one circle in the graph of `before`, or () if there is none."""
    white, grey, black = 0, 1, 2
    colour = dict.fromkeys(route.by_id, white)
    for root in route.by_id:
        if colour[root] != white:
            continue
        path: list[str] = [root]
        stack = [iter(route.by_id[root].before)]
        colour[root] = grey
        while stack:
            following = next(stack[-1], None)
            if following is None:
                colour[path.pop()] = black
                stack.pop()
            elif colour.get(following) == grey:
                return (*path[path.index(following) :], following)
            elif colour.get(following) == white:
                colour[following] = grey
                path.append(following)
                stack.append(iter(route.by_id[following].before))
    return ()


def spoiled_by(route: Route, step_id: str) -> tuple[str, ...]:
    """Return every step that doing this one over spoils, directly or through another, in route order."""
    found: set[str] = set()
    ahead = list(route.by_id[step_id].spoils)
    while ahead:
        one = ahead.pop()
        if one in found or one == step_id:
            continue
        found.add(one)
        ahead.extend(route.by_id[one].spoils)
    return tuple(step.id for step in route.steps if step.id in found)
