"""Starting a clock: on which adhesive or oil, in what air, since when, with the windows it gives."""

from __future__ import annotations

from workshop import measure
from workshop.bench import looks, times
from workshop.bench.asking import Asking
from workshop.bench.desk import Desk
from workshop.bench.looks import Row
from workshop.bench.pane import Asked, Done
from workshop.build import clock, standing
from workshop.build.clock import Clock, StoreEntry
from workshop.build.route import ClockPlan
from workshop.errors import ShopError
from workshop.showable import showable


def as_started(
    desk: Desk, plan: ClockPlan, entry: StoreEntry | None, air: str = "", ago: str = ""
) -> Clock | None:
    """Return the clock as it would run if it were started with this, or None if that cannot be read."""
    blade = desk.blade
    if blade is None or (plan.store and entry is None):
        return None
    try:
        air_K = float(measure.read(air, "temperature", unit="°C")) if air.strip() else desk.shop.air_K
        ago_s = float(measure.read(ago, "time", unit="min")) if ago.strip() else None
    except ShopError:
        return None
    now = desk.now()
    begun = standing.clock_begin(blade, plan, now) if ago_s is None else now - times.seconds(ago_s)
    return clock.started(plan, desk.step_id or "", plan.id, begun, entry, air_K)


def mark_rows(desk: Desk, made: Clock, width: int) -> list[Row]:
    """Return the marks of a clock with the times they open and shut, and its caution."""
    now = desk.now()
    lines: list[Row] = []
    for mark in made.marks:
        shuts = f" to {times.when(mark.shuts, now)}" if mark.shuts else ""
        text = f"{times.when(mark.opens, now)}{shuts}  {mark.says}" + (f": {mark.do}" if mark.do else "")
        lines.append(looks.row("  " + looks.clipped(showable(text, 300), width - 2)))
    if made.caution:
        lines += [looks.row(line, "warn") for line in looks.wrapped(showable(made.caution, 300), width)]
    return lines


class ClockForm(Asking):
    """The form for one clock. Enter or Space starts it with what is shown."""

    where = "clock"
    most_rows = 16
    plan: ClockPlan | None = None
    entries: tuple[StoreEntry, ...] = ()
    at = 0
    air = ""
    ago = ""

    def ask(self, plan: ClockPlan) -> None:
        """Offer to start a clock of the step looked at."""
        self.plan, self.entries = plan, tuple(self.desk.entries_for(plan.id))
        self.at, self.air, self.ago = 0, "", ""
        self.open = True
        self.show()

    @property
    def entry(self) -> StoreEntry | None:
        """The adhesive or oil that is marked."""
        return self.entries[self.at] if self.entries else None

    def all_rows(self, width: int) -> list[Row]:
        """Return the form."""
        plan = self.plan
        if plan is None:
            return []
        out = [
            looks.ruled(f"start the clock: {showable(plan.title, 60)}", "Space starts it · X not now", width)
        ]
        for number, one in enumerate(self.entries):
            mark, look = (">", "here") if number == self.at else (" ", "plain")
            note = f"  {one.note}" if one.note else ""
            out.append(looks.row(looks.padded(f"{mark} {showable(one.title + note, 200)}", width), look))
        made = as_started(self.desk, plan, self.entry, self.air, self.ago)
        now = self.desk.now()
        started = f"{showable(self.ago, 20)} ago" if self.ago else "now"
        if made is not None and not self.ago and made.started != now:
            started = f"with the {plan.since} clock, {times.when(made.started, now)}"
        air = f"air: {self._air_words()} (T)   " if plan.store else ""
        out.append(looks.row(f"  {air}started: {started} (A)", "strong"))
        if made is not None:
            out += mark_rows(self.desk, made, width)
        return out

    def _air_words(self) -> str:
        shop = self.desk.shop
        if self.air:
            return showable(self.air, 20)
        if shop.air_K is None:
            return "not read, times as the label says"
        old = ", read long ago" if self.desk.air_is_stale() else ", the shop's"
        return measure.write(shop.air_K, "temperature", shop.prefer.temperature, 1) + old

    def do(self, command: str) -> None:
        """Start it, change what it starts with, or leave it."""
        if command == "clock-leave":
            self.shut()
        elif command in ("row-up", "row-down") and self.entries:
            self.at = (self.at + (1 if command == "row-down" else -1)) % len(self.entries)
        elif command == "clock-ago":
            self.post_message(Asked("How long ago did it start?", self._set_ago, hint="such as 5 min"))
        elif command == "clock-air":
            self.post_message(Asked("The air where this cures:", self._set_air, hint="such as 24 °C"))
        elif command == "clock-start" and self.plan is not None:
            self.desk.start_clock(self.plan.id, ago=self.ago, entry=self.entry, air=self.air)
            self.shut()
            self.post_message(Done())

    def _set_ago(self, text: str) -> None:
        measure.read(text, "time", unit="min", field="ago", example="5 min")
        self.ago = text if any(letter.isalpha() for letter in text) else f"{text} min"

    def _set_air(self, text: str) -> None:
        read = measure.read(text, "temperature", unit="°C", field="air", example="24 °C")
        self.air = measure.write(read.value, "temperature", read.unit or "°C", 1)
