"""The desk: the only object the panes talk to. No Textual here, so it is tested without a screen.

Beside the seat with its blades it has what belongs to the whole shop: the clocks and what calls, the air,
runs with the hands full, and the drawer.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import datetime, timedelta

from workshop import measure
from workshop.bench.curing import Curing
from workshop.bench.moved import moved_words
from workshop.bench.said import BladeClock, Call, Said, Tone, hands_on
from workshop.bench.seat import Seat
from workshop.bench.watch import EARLY_HARM, Watch
from workshop.build import changes, standing
from workshop.build.blade import Blade
from workshop.build.clock import AS_STORED, Batch, Stage, StoreEntry
from workshop.drawer import registry, run
from workshop.drawer.declare import Calculator
from workshop.errors import ShopError
from workshop.shelf import air_feed, air_keeping, slips, writer
from workshop.shelf.air_file import believed
from workshop.shelf.durable import NotSaved
from workshop.shelf.gate import FileFault
from workshop.shelf.shelf import Shelf
from workshop.shelf.shop_file import Shop

__all__ = ["BladeClock", "Call", "Desk", "Said", "Tone", "hands_on"]

BEGINNING = 10
"""So many times a change's wait is waited for a new blade: two files, and the maker goes on with it."""

STALE_AIR_S = 2 * 3600
"""After two hours a reading of the shop's air is asked for again where it matters."""


class Desk(Seat):
    """The maker's place, with the clocks and the air of the shop."""

    def __init__(self, shelf: Shelf, now: Callable[[], datetime]) -> None:
        """Sit down at a shelf. `now` gives the present, in UTC, whole seconds."""
        self.watch = Watch()
        self._curing = Curing()
        self.feed_at: datetime | None = None
        self.exact: Callable[[], datetime] | None = None
        super().__init__(shelf, now)

    # -- clocks and calls

    def _watched(self) -> Watch:
        self.watch.look(self.blades, self.now(), self.shop.settings.early_s)
        return self.watch

    def clocks(self) -> list[BladeClock]:
        """Return all running clocks of all blades, the most urgent first."""
        return self._watched().clocks()

    def calls(self) -> list[Call]:
        """Return what calls until it is seen: come marks, the most harmful first, then what comes soon."""
        return self._watched().calls()

    def turn(self) -> int:
        """Return a number that changes when anything was worked out anew: a mark came, a blade changed."""
        return self._watched().turn

    def doing(self, pair: BladeClock) -> str:
        """Return what the joint on a clock does, in words: liquid, stringy, rubber, hard; "" for no glue."""
        if not pair.clock.store:
            return ""
        return self._curing.words(pair, self.air, self.shelf.clock_entries(), self.now())

    def hands_full(self) -> bool:
        """Whether a hot or sticky step is in hand on any blade, or a run goes on: then nothing asks."""
        return self._watched().hands_full(self.now())

    def hot(self) -> bool:
        """Whether the step looked at is a hot or sticky one in hand."""
        blade, step = self.blade, self.step
        return blade is not None and step is not None and hands_on(blade, step, self.now())

    def entries_for(self, plan_id: str) -> list[StoreEntry]:
        """Return the adhesives or oils a clock of this step can run on, the route's own choice first."""
        plan = self._step().clock(plan_id)
        if plan is None or not plan.store or self.blade is None:
            return []
        wanted = standing.clock_store(self.blade, plan)
        store = wanted.partition("/")[0]
        entries = [one for one in self.shelf.clock_entries().values() if one.store == store]
        return sorted(entries, key=lambda one: (one.key != wanted, one.title))

    def start_clock(
        self,
        plan_id: str,
        *,
        ago: str = "",
        entry: StoreEntry | None = None,
        air: str = "",
        box: str = "",
        mass: str = "",
    ) -> None:
        """Start a clock of the step looked at, now or some time ago ("5 min").

        air: the air at the start as typed, where it is not the shop's; box: kept at this warmth whatever the
        shop's air does; mass: what is in the cup.
        """
        step = self._step()
        ago_s = float(measure.read(ago, "time", unit="min", field="ago")) if ago.strip() else None
        air_K = temperature(air, "air")
        batch = self.batch(entry, box, mass)
        plan = step.clock(plan_id)
        now = self.exactly() if plan is not None and plan.kind == "count" else self.now()
        record = self.air
        self.do(
            lambda blade: changes.start_clock(
                blade, step.id, plan_id, now, ago_s=ago_s, entry=entry, air_K=air_K, air=record, batch=batch
            )
        )

    def batch(self, entry: StoreEntry | None, box: str = "", mass: str = "") -> Batch:
        """Return a batch of an adhesive at this maker's own pace, as typed: its warm box, its mass."""
        if entry is None:
            return AS_STORED
        mass_kg = float(measure.read(mass, "mass", unit="g", field="mix")) if mass.strip() else None
        return air_keeping.batch_for(self.shelf, entry, mass_kg=mass_kg, kept_K=temperature(box, "box"))

    def answer(self, call: Call) -> None:
        """Acknowledge a call: a mark that has come is answered on its blade, an early warning is seen."""
        if call.stage is Stage.SOON:
            self.watch.seen(call)
            return
        now = self.now()
        self.put(call.blade.key, lambda blade: changes.answer_mark(blade, call.clock.id, call.mark.id, now))

    def seen(self, call: Call) -> None:
        """Stop a call: an open window whose missing costs hours or more calls again at its last chance."""
        if call.stage is Stage.OPEN and call.mark.shuts is not None and call.mark.harm >= EARLY_HARM:
            self.later(call)
        else:
            self.answer(call)

    def later(self, call: Call) -> None:
        """Let a mark call again at its next stage: not answered, only seen."""
        following = {
            Stage.SOON: "when it comes",
            Stage.OPEN: "before its window shuts",
            Stage.LAST_CHANCE: "when its window shuts",
        }.get(call.stage)
        if following is None or (call.stage is Stage.OPEN and call.mark.shuts is None):
            raise ShopError("Nothing later calls again for this mark; Space says that it was seen.")
        self.watch.seen(call)
        self.said = Said(f"{call.blade.name}: {call.mark.says} calls again {following}.", Tone.NOTICE)

    def stop_clock(self, pair: BladeClock, why: str = "") -> None:
        """Stop a clock of any blade before its last mark; one that counts, to the tenth of a second."""
        now = self.exactly() if pair.clock.kind == "count" else self.now()
        self.put(pair.blade.key, lambda blade: changes.stop_clock(blade, pair.clock.id, now, why))

    def exactly(self) -> datetime:
        """Return the present with its fractions of a second, for what is counted in tenths."""
        return (self.exact or self.now)()

    def counting(self) -> BladeClock | None:
        """Return the clock of the step looked at that counts up, if one runs."""
        own = [pair for pair in self.clocks() if pair.blade.key == self.key]
        return next(
            (one for one in own if one.clock.kind == "count" and one.clock.step == self.step_id), None
        )

    def press_witness(self, pair: BladeClock, state: str) -> None:
        """Say what a clock's witness blob does: its batch's pace is corrected, and learned."""
        now, before = self.now(), pair.blade

        def pressed(after: Blade) -> None:
            self._take_over(self.saving.writer.overlaid(after.key, after))
            moved = moved_words(before, after, now)
            self.said = Said(f"{changes.last_said(before, after)}. {moved}".rstrip(". ") + ".")

        self.aside.do(
            "shelf",
            lambda: air_keeping.press_witness(self.shelf, before.key, pair.clock.id, state, now),
            pressed,
            self._refused,
            writer.PATIENCE_S,
            saves=f"{before.name}: what the witness of {pair.clock.title} did",
        )

    def _refused(self, error: ShopError) -> None:
        self.said = Said(str(error), Tone.REFUSED)

    # -- the shop

    def read_air(self, air: str, humidity: str = "") -> None:
        """Keep the shop's air as just read; the marks ahead of all clocks move with it.

        Raises ShopError for what cannot be read, and for an air that no shop has.
        """
        air_K = believed(float(measure.read(air, "temperature", unit="°C", field="air")))
        damp = (
            float(measure.read(humidity, "humidity", unit="%", field="humidity"))
            if humidity.strip()
            else None
        )
        now, before, shelf = self.now(), self.blades, self.shelf

        def read(shop: Shop) -> Shop:
            return replace(shop, air_K=air_K, humidity=damp, read_at=now)

        def put() -> Shop:
            air_keeping.keep_reading(shelf, now, air_K, damp)
            return shelf.shop()

        def not_kept(error: ShopError) -> None:
            if isinstance(error, NotSaved):  # it stays in memory and is tried again
                self._keep_shop(read, f"The air is {air}", put)
                return
            if isinstance(error, FileFault):  # the record is broken: the shop's file keeps the last reading
                self._keep_shop(read, f"The air is {air}")
            self._refused(error)

        kept = self.aside.do(
            "shelf",
            lambda: air_keeping.keep_reading(shelf, now, air_K, damp),
            lambda changed: self._aired(before, changed, "The air is kept"),
            not_kept,
            writer.PATIENCE_S,
            saves=f"the shop's air, {air}",
        )
        if not kept:
            self.said = Said("Saving the air: the disk is slow.", Tone.NOTICE)

    def _aired(self, before: list[Blade], changed: list[Blade], says: str) -> None:
        """Take over what a reading or other hours moved, and say it."""
        former = {one.key: one for one in before}
        self.refresh()
        now = self.now()
        lines = [moved_words(former[one.key], one, now) for one in changed if one.key in former]
        moved = "; ".join(line for line in lines if line)
        if says or moved:
            self.said = Said(f"{says}. {moved}".strip(". ") + ".", Tone.NOTICE if moved else Tone.DONE)

    def rework(self) -> None:
        """Work the running clocks out again, aside: the air, the night or the hours may have changed."""
        if not self.clocks() or self.aside.busy("rework"):
            return
        now, before = self.now(), self.blades
        self.aside.do(
            "rework",
            lambda: air_keeping.rework_all(self.shelf, now),
            lambda changed: self._aired(before, changed, ""),
            lambda _: None,  # a disk that refuses is told at each key; the next reading does it again
        )

    def feed(self) -> None:
        """Read the thermometer of this laptop, aside, when it is time."""
        laptop, now = self.shelf.laptop(), self.now()
        if not air_feed.fed(laptop) or (self.feed_at is not None and now < self.feed_at):
            return
        self.feed_at = now + timedelta(seconds=laptop.air_every_s)
        before = self.blades

        def read() -> list[Blade]:
            found = air_feed.read_feed(laptop)
            return [] if found is None else air_keeping.keep_reading(self.shelf, now, *found)

        if not self.aside.busy("feed"):
            self.aside.do("feed", read, lambda changed: self._aired(before, changed, ""), self._refused)

    def landed(self) -> None:
        """Take over what came on disk, or was refused, after its key was answered."""
        self.aside.take()
        super().landed()

    def _keep_shop(
        self, change: Callable[[Shop], Shop], says: str, put: Callable[[], Shop] | None = None
    ) -> None:
        self.shop, mind = self.saving.put_shop(change, self.shop, put)
        self._air = None
        self.said = Said(f"{says}. {mind}", Tone.NOTICE) if mind else Said(f"{says}.")

    def air_is_stale(self) -> bool:
        """Whether the shop's air was never read, or over two hours ago."""
        read_at = self.shop.read_at
        return read_at is None or (self.now() - read_at).total_seconds() > STALE_AIR_S

    def next_look(self) -> None:
        """Show numbers the next way: metric, decimal inch, inch fractions."""
        following = measure.next_preference(self.shop.prefer)
        says = f"Lengths are shown in {following.length}"
        self._keep_shop(lambda shop: replace(shop, prefer=following), says)

    def begin(
        self, name: str, route_id: str, choices: Mapping[str, str], about: str = "", maker_for: str = ""
    ) -> None:
        """Begin a blade and take it to the bench; raises ShopError for one that is refused."""
        now, asked = self.now(), [True]

        def begun(blade: Blade) -> None:
            self._stamps = None
            self.refresh()
            if asked:  # on a slow disk the maker may be at another blade by now
                self.open(blade.key)
            self.said = Said(f"{blade.name} begun.")

        self.save_aside(
            lambda: self.shelf.begin(name, route_id, now, choices=choices, about=about, maker_for=maker_for),
            begun,
            f"the new blade {name}",
            wait_s=BEGINNING * writer.PATIENCE_S,
        )
        asked.clear()

    # -- the drawer

    def calculators(self) -> list[Calculator]:
        """Return the calculators, those of the step looked at first."""
        first = self.step.calculators if self.step else ()
        names = (*first, *(name for name in registry.NAMES if name not in first))
        return [registry.calculator(name) for name in names]

    def work_out(
        self, calculator: Calculator, typed: Mapping[str, str], *, later: bool = False
    ) -> run.Worked:
        """Work a calculator out, filled from the blade in hand and the shop's air."""
        try:
            return self._worked(calculator, typed, later=later)
        except (TypeError, AttributeError, LookupError, ValueError, ArithmeticError) as fault:
            why = f"{type(fault).__name__}: {fault}"
            raise ShopError(f"{calculator.name} or a store it uses has a fault: {why}.") from None

    def _worked(self, calculator: Calculator, typed: Mapping[str, str], *, later: bool) -> run.Worked:
        return run.work_out(
            calculator,
            typed,
            self.shelf.store,
            taken=self.taken(calculator),
            now=self.now().timestamp(),
            later=later,
        )

    def taken(self, calculator: Calculator) -> dict[str, run.Taken]:
        """Return what the blade's measurements and choices, and the shop's air, fill."""
        return slips.fills(calculator, self.blade, self.shop)

    def last_time(self, calculator: Calculator, typed: Mapping[str, str]) -> dict[str, run.Taken]:
        """Return what was given last for this, on any blade: to be offered, not taken unasked."""
        return slips.last_time(self.blades, calculator, typed)

    def keep_slip(self, worked: run.Worked) -> None:
        """Keep a worked calculation with the blade in hand, at the step looked at."""
        now, step_id = self.now(), self.step_id or ""
        self.do(
            lambda blade: changes.keep_slip(
                blade, slips.slip_of(worked, changes.next_slip_id(blade), step_id, now), now
            )
        )


def temperature(text: str, field: str) -> float | None:
    """Return a temperature as typed (K), None for nothing."""
    return float(measure.read(text, "temperature", unit="°C", field=field)) if text.strip() else None
