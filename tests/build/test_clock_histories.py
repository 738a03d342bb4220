"""A thousand random lives of clocks: readings, witness, sleep, restart, a laptop's clock that jumps.

Through all of it the marks keep their order, none is lost or comes twice, and none that has come moves.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from workshop.build import changes, clock_changes, timekeeping
from workshop.build.air import Air, Reading
from workshop.build.blade import Blade
from workshop.build.clock import Batch, BlobState, Clock, StoreEntry, due
from workshop.build.day import Hours, Span
from workshop.build.route import ClockPlan, MarkPlan, Phase, Route, Step
from workshop.build.timekeeping import Anchor, Happened, judge
from workshop.errors import ShopError
from workshop.shelf import blade_file
from workshop.shelf.table import Table, parse_toml

HOUR = 3600.0
START = datetime(2026, 3, 28, 9, 0, tzinfo=UTC)  # summer time begins in much of Europe the night after
GLUE = StoreEntry(
    "adhesives",
    "slow",
    "Slow structural epoxy",
    (
        MarkPlan("pot-life", "pot life ends", 0.75 * HOUR, 1.5 * HOUR, harm=3, cup=True),
        MarkPlan("wipe", "last wipe", 2 * HOUR, 3 * HOUR, harm=2),
        MarkPlan("pull", "pull", 7 * HOUR, 10 * HOUR, harm=3),
        MarkPlan("full", "full cure", 168 * HOUR),
    ),
    295.15,
    285.15,
    313.15,
    activation_J_per_mol=52e3,
    witness=(
        BlobState("liquid", "liquid", 0, 3.5 * HOUR),
        BlobState("stringy", "stringy", 3.5 * HOUR, 6 * HOUR),
        BlobState("dents", "dents", 6 * HOUR, 12 * HOUR),
        BlobState("hard", "hard", 12 * HOUR, None),
    ),
    cup_kg=0.015,
    cup_least=0.5,
)
TEMPER = ClockPlan(
    "temper",
    "temper",
    "temper",
    marks=(
        MarkPlan("hot", "hot", 900, 1800),
        MarkPlan("out", "out", 7200, counts_from="hot", harm=2),
        MarkPlan("cool", "cool", 1200, 2700, counts_from="out"),
    ),
    ends="out",
)
BED = ClockPlan("bed", "bed", "adhesive", "adhesives/slow", ends="pull")
STEP = Step("H1", "H", "Bed", "A seat.", clocks=(BED, TEMPER))
ROUTE = Route("r", "R", "", "", (), (Phase("H", "Handle"),), (STEP,))
HOURS = Hours({day: Span(START.time().replace(hour=8), START.time().replace(hour=18)) for day in range(6)})
AGEING = ("pot-life", "wipe", "pull", "full")


def read_back(blade: Blade) -> Blade:
    """Return the blade as it comes back from its file."""
    data = blade_file.BladeWriter().to_bytes(blade)
    top: Any = Table(*parse_toml(data, "heron.toml"))
    return blade_file.from_table(top, "heron", ROUTE)


class Histories(RuleBasedStateMachine):
    """One blade with two clocks, and a laptop whose clock may be wrong by `off`."""

    @initialize(
        air_C=st.floats(5, 35) | st.none(),
        mass_g=st.integers(5, 60),
        night=st.booleans(),
        ago_min=st.integers(0, 30),
    )
    def begin(self, air_C: float | None, mass_g: int, night: bool, ago_min: int) -> None:
        self.now = START
        self.boot_s, self.awake_s, self.boot = 1000.0, 1000.0, "a"
        self.night_K = 283.15 if night else None
        self.readings: list[Reading] = [] if air_C is None else [Reading(START, air_C + 273.15)]
        self.blade = Blade("heron", "Heron", ROUTE, "kept", START, {})
        self.blade = changes.start_clock(
            self.blade,
            "H1",
            "bed",
            self.now,
            ago_s=60.0 * ago_min,
            entry=GLUE,
            air=self.air(),
            batch=Batch(mass_kg=mass_g / 1000),
        )
        self.blade = changes.start_clock(self.blade, "H1", "temper", self.now)
        self.came: dict[str, tuple[float, float | None]] = {}
        self.note_what_came()

    def air(self) -> Air:
        return Air(tuple(sorted(self.readings, key=lambda one: one.at)), self.night_K, HOURS)

    @property
    def bed(self) -> Clock:
        return self.blade.clocks["bed-1"]

    def anchor(self) -> Anchor:
        return Anchor(self.now, self.boot_s, self.awake_s, self.boot)

    def note_what_came(self) -> None:
        """Remember when each mark came, since its clock began, and check that none moved since."""
        for clock in self.blade.running():
            for mark in clock.marks:
                came = mark.opens <= self.now
                shut = mark.shuts is not None and mark.shuts <= self.now
                opens_s = (mark.opens - clock.started).total_seconds()
                shuts_s = (mark.shuts - clock.started).total_seconds() if shut and mark.shuts else None
                key = f"{clock.id}/{mark.id}"
                before = self.came.get(key)
                if before is not None:
                    assert came, f"{key} had come and is ahead again"
                    assert abs(before[0] - opens_s) < 0.5, f"{key} had come and moved"
                    if before[1] is not None and shuts_s is not None:
                        assert abs(before[1] - shuts_s) < 0.5, f"{key} had shut and moved"
                    assert before[1] is None or shut, f"{key} had shut and is open again"
                if came:
                    self.came[key] = (opens_s, shuts_s)

    def rework(self) -> None:
        self.blade = timekeeping.rework(self.blade, self.air(), self.now)
        assert timekeeping.rework(self.blade, self.air(), self.now) is self.blade
        self.note_what_came()

    @rule(air_C=st.floats(-5, 45))
    def read_the_air(self, air_C: float) -> None:
        self.readings = [one for one in self.readings if one.at != self.now]
        self.readings.append(Reading(self.now, air_C + 273.15))
        self.rework()

    @rule(state=st.sampled_from([one.id for one in GLUE.witness]))
    def press(self, state: str) -> None:
        try:
            self.blade = clock_changes.press_witness(self.blade, "bed-1", state, self.air(), self.now)
        except ShopError:
            assert self.bed.started >= self.now or self.bed.rule is not None
            return
        assert 0.4 <= self.bed.quick <= 2.5
        self.note_what_came()

    @rule(minutes=st.integers(1, 700))
    def wait(self, minutes: int) -> None:
        self.now += timedelta(minutes=minutes)
        self.boot_s += 60.0 * minutes
        self.awake_s += 60.0 * minutes
        self.note_what_came()

    @rule(minutes=st.integers(1, 1500))
    def sleep(self, minutes: int) -> None:
        then = self.anchor()
        self.now += timedelta(minutes=minutes)
        self.boot_s += 60.0 * minutes
        judged = judge(then, self.anchor())
        assert judged.happened is Happened.SLEPT
        assert not judged.ask
        self.note_what_came()
        missed = timekeeping.missed([self.blade], self.now, then.utc)
        assert [one.mark.harm for one in missed] == sorted((one.mark.harm for one in missed), reverse=True)

    @rule(minutes=st.integers(1, 600))
    def restart(self, minutes: int) -> None:
        then = self.anchor()
        again = read_back(self.blade)
        for key, clock in again.clocks.items():
            assert clock.marks == self.blade.clocks[key].marks
            assert clock.quick == self.blade.clocks[key].quick
        assert read_back(again).clocks == again.clocks
        self.blade = again
        self.now += timedelta(minutes=minutes)
        self.boot_s, self.awake_s, self.boot = 30.0, 30.0, self.boot + "b"
        assert judge(then, self.anchor()).happened is Happened.RESTARTED
        self.note_what_came()

    @rule(minutes=st.integers(-600, 600).filter(lambda many: many != 0))
    def jump(self, minutes: int) -> None:
        """The clock is set by hand or by NTP while the machine runs; the maker says the old one was wrong."""
        then = self.anchor()
        by = timedelta(minutes=minutes)
        self.now += by + timedelta(seconds=2)
        self.boot_s += 2
        self.awake_s += 2
        judged = judge(then, self.anchor())
        assert judged.happened is Happened.STEPPED
        assert judged.ask
        assert abs(judged.by_s - by.total_seconds()) < 1e-6
        self.blade = timekeeping.shift_clocks(self.blade, judged.by_s, self.now)
        self.readings = [Reading(one.at + by, one.air_K) for one in self.readings]
        self.note_what_came()

    @precondition(lambda self: any(due(one, self.now) for one in self.blade.running()))
    @rule()
    def answer(self) -> None:
        clock = next(one for one in self.blade.running() if due(one, self.now))
        mark = due(clock, self.now)[0]
        self.blade = changes.answer_mark(self.blade, clock.id, mark.id, self.now)
        answered = self.blade.clocks[clock.id].mark(mark.id)
        assert answered is not None
        assert answered.acknowledged == self.now
        self.note_what_came()

    @precondition(lambda self: len(self.blade.backs) > 2)
    @rule()
    def take_back(self) -> None:
        self.blade = changes.take_back(self.blade, self.now)
        self.came = {}  # what is taken back did not happen
        self.rework()

    @invariant()
    def no_mark_is_lost_or_doubled(self) -> None:
        if not hasattr(self, "blade"):
            return
        assert sorted(mark.id for mark in self.bed.marks) == sorted(AGEING)
        temper = self.blade.clocks["temper-1"]
        assert sorted(mark.id for mark in temper.marks) == ["cool", "hot", "out"]

    @invariant()
    def marks_keep_their_order(self) -> None:
        if not hasattr(self, "blade"):
            return
        ages = {mark.id: mark for mark in self.bed.marks}
        opens = [ages[name].opens for name in AGEING]
        assert opens == sorted(opens)
        for mark in self.bed.marks:
            assert mark.shuts is None or mark.opens <= mark.shuts
        temper = {mark.id: mark for mark in self.blade.clocks["temper-1"].marks}
        assert temper["hot"].opens < temper["out"].opens < temper["cool"].opens

    @invariant()
    def each_mark_that_came_calls_until_it_is_answered(self) -> None:
        if not hasattr(self, "blade"):
            return
        for clock in self.blade.running():
            calling = {mark.id for mark in due(clock, self.now)}
            expected = {mark.id for mark in clock.marks if mark.opens <= self.now and not mark.acknowledged}
            assert calling == expected


TestHistories = Histories.TestCase
TestHistories.settings = settings(max_examples=1000, stateful_step_count=12, deadline=None)
