"""Starting a clock: on which adhesive or oil, in what air, since when, with the windows it gives."""

from __future__ import annotations

from dataclasses import replace

from workshop import measure
from workshop.bench import looks, times
from workshop.bench.asking import Asking
from workshop.bench.desk import Desk
from workshop.bench.looks import Row
from workshop.bench.pane import Asked, Done
from workshop.bench.readypane import air_words, asked
from workshop.bench.startnow import StartNow, StartWith, as_started
from workshop.build.clock import StoreEntry
from workshop.build.route import ClockPlan
from workshop.showable import showable

ASKED = {"clock-air": "ready-air", "clock-box": "ready-box", "clock-mass": "ready-mass"}


class ClockForm(Asking):
    """The form for one clock. Enter or Space starts it with what is shown."""

    where = "clock"
    most_rows = 16
    each_minute = True
    plan: ClockPlan | None = None
    entries: tuple[StoreEntry, ...] = ()
    at = 0
    given = StartWith()

    def __init__(self, desk: Desk, *, id: str | None = None, classes: str | None = None) -> None:
        """Set the form up; nothing is asked yet."""
        super().__init__(desk, id=id, classes=classes)
        self._start_now = StartNow()

    def ask(self, plan: ClockPlan) -> None:
        """Offer to start a clock of the step looked at."""
        self.plan, self.entries = plan, tuple(self.desk.entries_for(plan.id))
        self.at = 0
        self.given = StartWith(self.entries[0] if self.entries else None)
        self.open = True
        self.show()

    def all_rows(self, width: int) -> list[Row]:
        """Return the form."""
        plan, step, given = self.plan, self.desk.step, self.given
        if plan is None or step is None:
            return []
        out = [
            looks.ruled(f"start the clock: {showable(plan.title, 60)}", "Space starts it · X not now", width)
        ]
        for number, one in enumerate(self.entries):
            mark, look = (">", "here") if number == self.at else (" ", "plain")
            note = f"  {one.note}" if one.note else ""
            out.append(looks.row(looks.padded(f"{mark} {showable(one.title + note, 200)}", width), look))
        made = as_started(self.desk, plan, given)
        now = self.desk.now()
        started = f"{showable(given.ago, 20)} ago" if given.ago else "now"
        if made is not None and not given.ago and made.started != now:
            started = f"with the {plan.since} clock, {times.when(made.started, now)}"
        if plan.store:
            out.append(looks.row(f"  {air_words(self.desk, given)}", "strong"))
        out.append(looks.row(f"  started (A): {started}", "strong"))
        return [*out, *self._start_now.rows(self.desk, step, plan, given, width)]

    def do(self, command: str) -> None:
        """Start it, change what it starts with, or leave it."""
        if command == "clock-leave":
            self.shut()
        elif command in ("row-up", "row-down") and self.entries:
            self.at = (self.at + (1 if command == "row-down" else -1)) % len(self.entries)
            self.given = replace(self.given, entry=self.entries[self.at])
        elif command == "clock-ago":
            self.post_message(Asked("How long ago did it start?", self._set_ago, hint="such as 5 min"))
        elif command in ASKED:
            self.post_message(asked(ASKED[command], self._take, self.given))
        elif command == "clock-start" and self.plan is not None:
            given = self.given
            self.desk.start_clock(
                self.plan.id, ago=given.ago, entry=given.entry, air=given.air, box=given.box, mass=given.mass
            )
            self.shut()
            self.post_message(Done())

    def _set_ago(self, text: str) -> None:
        measure.read(text, "time", unit="min", field="ago", example="5 min")
        self.given = self.given.typed("ago", text if any(map(str.isalpha, text)) else f"{text} min")

    def _take(self, given: StartWith) -> None:
        self.given = given
