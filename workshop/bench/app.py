"""The program's one screen: where the maker is, what each key means there, and the tick of the clocks."""

from __future__ import annotations

import asyncio
import contextlib
import contextvars
import os
import signal
import time
from collections.abc import Callable, Iterator, Mapping
from datetime import UTC, datetime
from functools import partial

from textual import events

from workshop.bench import acts, handsfull
from workshop.bench.alarm import Alarm, Bell
from workshop.bench.asking import Choose, Field, Option, Shut
from workshop.bench.clockform import ClockForm
from workshop.bench.commands import TABLE, Command, by_key, laid_over
from workshop.bench.desk import Desk, Said, Tone
from workshop.bench.digits import can_show_blocks
from workshop.bench.help import Help
from workshop.bench.hotpane import HotPane
from workshop.bench.jumppane import JumpPane
from workshop.bench.jumps import Anchoring, Jumps
from workshop.bench.leaving import all_saved
from workshop.bench.lines import KeyLine
from workshop.bench.notices import form_known
from workshop.bench.noticing import Noticing
from workshop.bench.pane import Asked, Done, Pane, Tried, Went
from workshop.bench.rooms import CallPane
from workshop.bench.screenful import Seen
from workshop.bench.stepcard import StepCard
from workshop.bench.ticking import Ticking
from workshop.build.changes import NeedsReason
from workshop.build.route import ClockPlan
from workshop.errors import ShopError
from workshop.shelf import anchor_file
from workshop.shelf.shelf import Shelf

Present = Callable[[], datetime]


def present() -> datetime:
    """Return the present, in UTC, whole seconds."""
    return datetime.now(UTC).replace(microsecond=0)


class BenchApp(Seen, inherit_bindings=False):
    """The bench companion on the terminal."""

    def __init__(
        self,
        desk: Desk,
        alarm: Alarm | None = None,
        *,
        own_keys: Mapping[str, str] | None = None,
        running_s: Callable[[], float] = time.monotonic,
        anchoring: Anchoring | None = None,
        notices: str = "",
    ) -> None:
        """Set the program up round a desk. own_keys: a maker's own keys by command id.

        anchoring: reads the laptop's clocks, to notice a jump; None: not watched. notices: the form of the
        terminal's own notices.
        """
        if os.environ.get("NO_COLOR") == "":  # only a NO_COLOR that says something asks for no colour
            del os.environ["NO_COLOR"]
        super().__init__(ansi_color=True)
        self.theme = "ansi-dark"
        self.desk = desk
        self.alarm: Alarm = alarm or Bell(self.bell, self._write, notices)
        self.table = laid_over(own_keys or {}, TABLE)
        self.keys: Mapping[tuple[str, str], Command] = by_key(self.table)
        self.trail: list[str] = ["bench" if desk.blade is not None else "rack"]
        self._running_s = running_s
        self.noticing = Noticing(desk, self.alarm, lambda: self._running_s())
        self.jumps = None if anchoring is None else Jumps(desk, anchoring)
        self._turn = 0
        self._air = desk.air
        self._second = desk.now()
        self._minute = desk.now().replace(second=0)
        self._told_unsaved = False
        self.panes: dict[str, Pane] = {}
        self.ticking = Ticking(self, self.tick, self.runs, counts=self.counts)

    def on_mount(self) -> None:
        """Begin to tick, and leave cleanly when the terminal or the system says so."""
        self.panes = {pane.id: pane for pane in self.screen.query(Pane) if pane.id}
        for pane in self.panes.values():
            pane.blocks = can_show_blocks(os.environ)
        help_pane, keys = self.pane(Help), self.pane(KeyLine)
        help_pane.table = keys.table = self.table
        loop = asyncio.get_running_loop()
        with contextlib.suppress(NotImplementedError, RuntimeError, ValueError):  # not on every system
            for one in (signal.SIGTERM, signal.SIGHUP, signal.SIGINT):
                loop.add_signal_handler(one, self.let_go)
        context = contextvars.copy_context()

        def landed() -> None:
            loop.call_soon_threadsafe(self.landed, context=context)

        self.desk.saving.writer.landed = self.desk.aside.landed = landed
        self.pane(JumpPane).jumps = self.jumps
        if self.jumps is not None:
            self.jumps.begin()
            self._woken()
            self.desk.rework()
        self._to_the_run()
        self.pane_at(self.trail[-1]).opened()
        self.show_all()

    def tick(self) -> None:
        """A whole second (or minute) has begun: take over what changed on disk, move what runs, ring."""
        if not self.screen_stack:  # it is being left this moment
            return
        if self.ticking.each_s < 1 and self.desk.now() == self._second:
            self.pane(HotPane).tick()
            return
        self._second = self.desk.now()
        changed = self._refresh()
        if self.jumps is not None and self.jumps.look():
            self._woken()
            changed = True
        self.desk.feed()
        if self.desk.air is not self._air:  # a reading came, or the night or the hours were set anew
            self._air = self.desk.air
            self.desk.rework()
        now = self.desk.now()
        turn, minute = self.desk.turn(), now.replace(second=0)
        if turn != self._turn or minute != self._minute:
            changed = True
        self._turn, self._minute = turn, minute
        if changed or self.screen.has_class("hot") or self.screen.has_class("told"):
            quiet = self.desk.hands_full()
            if self.noticing.note(quiet) and not quiet:
                self.desk.said = Said()  # what was said before does not speak of this mark
        self.noticing.again()
        if changed or any(self.screen.has_class(name) != on for name, on in self.shape().items()):
            self.show_all()
            return
        for pane in self.panes.values():
            if not pane.each_minute:
                pane.tick()

    def _woken(self) -> None:
        """What came before the laptop woke was missed while away; its reason is told with it."""
        jumps, call = self.jumps, self.pane(CallPane)
        if jumps is not None and jumps.woke is not None:
            call.since, call.away_says = jumps.woke, jumps.says
            jumps.woke = None

    def _to_the_run(self) -> None:
        """Go on with a run that was going when the program was left."""
        found = handsfull.going(self.desk)
        if found is not None and self.trail[-1] != "run":
            self.desk.open(found[0].key)
            self.desk.go(found[1].step)
            self.trail = ["bench", "run"]

    def _write(self, text: str) -> None:
        if self._driver is not None:
            self._driver.write(text)

    def _refresh(self) -> bool:
        with self.refused():
            return self.desk.refresh()
        return True

    # -- keys

    def on_key(self, event: events.Key) -> None:
        """Give a key to the line that is typed, or do the command it stands for here."""
        event.stop()
        event.prevent_default()
        if event.key in ("ctrl+c", "ctrl+q"):
            self.leave()
            return
        self._refresh()
        mode = self.mode
        pane = self.pane_at(mode)
        if mode == "call" and self.noticing.unseen():
            return
        with self.refused():
            if pane.typing() and pane.typed(event.key, event.character):
                pane.show()
                return
            key = event.key.lower() if len(event.key) == 1 else event.key
            command = self.keys.get((mode, key))
            if command is None:
                return
            pane.pressed = key
            if mode not in ("field", "drawer", "start"):
                self.desk.said = Said()
            self.run_command(command, pane)
        self.show_all()

    def on_paste(self, event: events.Paste) -> None:
        """Put a pasted text into the line that is typed, if there is one."""
        event.stop()
        pane = self.pane_at(self.mode)
        with self.refused():
            if pane.typing():
                pane.pasted(event.text)
        pane.show()

    def run_command(self, command: Command, pane: Pane) -> None:
        """Do a command: the same everywhere, or the pane's own. May raise ShopError."""
        if why := command.refusal(self.desk):
            raise ShopError(why)
        act = acts.ACTS.get(command.id)
        if act is not None:
            act(self)
        else:
            pane.do(command.id)

    @contextlib.contextmanager
    def refused(self) -> Iterator[None]:
        """Turn what a maker can put right into the sentence on the message line."""
        try:
            yield
        except ShopError as error:
            self.desk.said = Said(str(error), Tone.REFUSED)
        except OSError as error:
            name = f" {error.filename}" if error.filename else ""
            self.desk.said = Said(f"The system refused{name}: {error.strerror or error}.", Tone.REFUSED)

    # -- what panes ask for

    def on_done(self, _: Done) -> None:
        """Something was changed."""
        self.show_all()

    def on_shut(self, _: Shut) -> None:
        """A pane asks no longer."""
        self.show_all()

    def on_went(self, message: Went) -> None:
        """Go to another place."""
        with self.refused():
            self.go(message.where)
        self.show_all()

    def on_asked(self, message: Asked) -> None:
        """Have one line typed."""
        self.ask(message)
        self.show_all()

    def on_tried(self, message: Tried) -> None:
        """Do something that may need a reason."""
        with self.refused():
            self.attempt(message.act)
        self.show_all()

    # -- Room, for the acts

    def go(self, where: str) -> None:
        """Show another place; one that was come through is gone back to."""
        if where == "back":
            where = self.trail[-2] if len(self.trail) > 1 else "bench"
        if where == "bench" and self.desk.blade is None:
            where = "rack"
        if where == "help":
            self.pane(Help).came_from = self.mode
        if where in self.trail:
            del self.trail[self.trail.index(where) + 1 :]
        else:
            self.trail.append(where)
        self.pane_at(where).opened()

    def ask(self, asked: Asked) -> None:
        """Have one line typed."""
        self.pane(Field).ask(asked)

    def offer(self, title: str, options: tuple[Option, ...], lines: tuple[str, ...] = ()) -> None:
        """Have one of some lines chosen."""
        self.pane(Choose).offer(title, options, lines)

    def ask_clock(self, plan: ClockPlan) -> None:
        """Open the form that starts a clock."""
        self.pane(ClockForm).ask(plan)

    def attempt(self, act: Callable[[str], object]) -> None:
        """Do an act; where it needs a reason, ask for one and do it with that. May raise ShopError."""
        try:
            act("")
        except NeedsReason as need:
            self.ask(
                Asked(
                    f"{need} Why?",
                    partial(_with_reason, act),
                    hint="the reason is kept in the record",
                    if_empty="Without a reason nothing is changed.",
                )
            )

    def turn_card(self, by: int) -> None:
        """Turn the step card's pages."""
        self.pane(StepCard).turn(by)

    def landed(self) -> None:
        """Show what came on disk, or that the disk refuses it."""
        if self.is_running and self.panes and self.screen_stack:
            self.desk.landed()
            self.show_all()

    def leave(self) -> None:
        """Leave; what is not on disk is said first, and asked about once."""
        if self.desk.saving.close(0.0) or (self._told_unsaved and self.mode == "choose"):
            self.let_go()
            return
        self._told_unsaved = True
        acts.unsaved(self)
        self.show_all()

    def let_go(self) -> None:
        """Leave at once: the terminal or the system says so, or the maker has been told."""
        self.ticking.stop()
        if self.jumps is not None:
            self.jumps.close()
        self.exit()


def _with_reason(act: Callable[[str], object], why: str) -> None:
    act(why)


def run(shelf: Shelf, *, now: Present = present) -> int:
    """Open the bench on a shelf and stay until the maker leaves; return the exit status."""
    desk = Desk(shelf, now)
    newest = max(
        desk.blades, key=lambda blade: blade.log[-1].at if blade.log else blade.started, default=None
    )
    if newest is not None:
        desk.open(newest.key)
    desk.exact = lambda: datetime.now(UTC)
    app = BenchApp(desk, anchoring=anchor_file.present_anchor, notices=form_known(os.environ))
    app.run(mouse=False)
    return (app.return_code or 0) if all_saved(desk) else 1
