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
from typing import TypeVar

from textual import events
from textual.app import App, ComposeResult
from textual.containers import Container
from textual.screen import Screen

from workshop.bench import acts
from workshop.bench.alarm import Alarm, Bell, rings_now
from workshop.bench.asking import Choose, Field, Option, Shut
from workshop.bench.banner import Banner
from workshop.bench.clockform import ClockForm
from workshop.bench.clockpane import ClockPane
from workshop.bench.commands import PLACES, TABLE, Command, by_key, laid_over
from workshop.bench.desk import Desk, Said, Tone
from workshop.bench.digits import can_show_blocks
from workshop.bench.help import Help
from workshop.bench.hotpane import HotPane
from workshop.bench.lastlook import LastLook
from workshop.bench.leaving import all_saved
from workshop.bench.lines import KeyLine, MessageLine, TopLine
from workshop.bench.pane import Asked, Done, Pane, Tried, Went
from workshop.bench.rooms import CallPane, DrawerPane, Rack, StartForm, Wall
from workshop.bench.stepcard import StepCard
from workshop.bench.steplist import StepList
from workshop.bench.ticking import Ticking
from workshop.build.changes import NeedsReason
from workshop.build.route import ClockPlan
from workshop.errors import ShopError
from workshop.shelf.shelf import Shelf

UNSEEN_S = 0.6
"""A key pressed sooner than this after a mark began to call was meant for what stood there before."""

Present = Callable[[], datetime]
PaneT = TypeVar("PaneT", bound=Pane)


def present() -> datetime:
    """Return the present, in UTC, whole seconds."""
    return datetime.now(UTC).replace(microsecond=0)


class OneScreen(Screen[None], inherit_bindings=False):
    """The screen: no key is bound here, all go through the table of commands."""

    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (112, "-wide")]  # noqa: RUF012 - so declared by the base


class BenchApp(App[None], inherit_bindings=False):
    """The bench companion on the terminal."""

    CSS_PATH = "bench.tcss"
    ENABLE_COMMAND_PALETTE = False

    def __init__(
        self,
        desk: Desk,
        alarm: Alarm | None = None,
        *,
        own_keys: Mapping[str, str] | None = None,
        running_s: Callable[[], float] = time.monotonic,
    ) -> None:
        """Set the program up round a desk. own_keys: a maker's own keys by command id."""
        if os.environ.get("NO_COLOR") == "":  # only a NO_COLOR that says something asks for no colour
            del os.environ["NO_COLOR"]
        super().__init__(ansi_color=True)
        self.theme = "ansi-dark"
        self.desk = desk
        self.alarm: Alarm = alarm or Bell(self.bell)
        self.table = laid_over(own_keys or {}, TABLE)
        self.keys: Mapping[tuple[str, str], Command] = by_key(self.table)
        self.trail: list[str] = ["bench" if desk.blade is not None else "rack"]
        self._running_s = running_s
        self._calling_since = 0.0
        self._called: list[tuple[str, str, str]] = []
        self._called_at: datetime | None = None
        self._told_unsaved = False
        self.panes: dict[str, Pane] = {}
        self.ticking = Ticking(self, self.tick, self.runs)

    # -- the screen

    def get_default_screen(self) -> Screen[None]:
        """Return the one screen."""
        return OneScreen(id="_default")

    def compose(self) -> ComposeResult:
        """Put all panes up; what is seen follows from the place."""
        desk = self.desk
        yield TopLine(desk, id="top")
        with Container(id="bench"):
            yield StepList(desk, id="steps")
            yield ClockPane(desk, id="clocks")
            yield Banner(desk, id="banner")
            yield HotPane(desk, id="hot")
            yield StepCard(desk, id="card")
            yield DrawerPane(desk, id="drawer")
        yield LastLook(desk, id="lastlook")
        yield Rack(desk, id="rack")
        yield StartForm(desk, id="start")
        yield Wall(desk, id="wall")
        yield CallPane(desk, id="call")
        yield Help(desk, id="help")
        yield Choose(desk, id="choose")
        yield ClockForm(desk, id="clock")
        yield Field(desk, id="field")
        yield MessageLine(desk, id="said")
        yield KeyLine(desk, id="keys")

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

        self.desk.saving.writer.landed = landed
        self.pane_at(self.trail[-1]).opened()
        self.show_all()

    def pane(self, kind: type[PaneT]) -> PaneT:
        """Return the pane of a kind."""
        return self.screen.query_one(kind)

    def pane_at(self, where: str) -> Pane:
        """Return the pane that takes the keys at a place."""
        return self.panes["card" if where == "bench" else where]

    @property
    def mode(self) -> str:
        """Where the maker is, one of the places of the table of commands."""
        for name in ("field", "clock", "choose"):
            pane = self.panes.get(name)
            if isinstance(pane, (Field, ClockForm, Choose)) and pane.open:
                return name
        return "call" if self.calls_out() else self.trail[-1]

    def calls_out(self) -> bool:
        """Whether a mark has come that is to be answered now: never while the hands are full."""
        return bool(self.desk.calls()) and not self.desk.hands_full()

    def runs(self) -> bool:
        """Whether anything on the screen changes with each second."""
        return bool(self.desk.clocks()) or self.desk.hot()

    def shape(self) -> dict[str, bool]:
        """Return the classes of the screen that say what is shown where, and which of them hold now."""
        mode = self.mode
        shown = "call" if mode == "call" else self.trail[-1]
        told = mode != "call" and bool(self.desk.calls())
        places = {f"at-{where}": where == shown for where in PLACES}
        return {**places, "told": told, "hot": not told and self.desk.hot()}

    def show_all(self) -> None:
        """Let the screen follow the place, and each pane the desk."""
        self._note_calls()
        mode = self.mode
        reshaped = False
        for name, on in self.shape().items():
            if self.screen.has_class(name) != on:
                self.screen.set_class(on, name)
                reshaped = True
        self.pane(TopLine).telling = self.screen.has_class("told") and not self.screen.has_class("at-bench")
        keys = self.pane(KeyLine)
        keys.now_at = mode
        keys.space_words = self.pane(LastLook).space_words() if mode == "lastlook" else None
        for pane in self.panes.values():
            pane.show()
        self.ticking.start()
        if reshaped:
            self.call_after_refresh(self._show_again)

    def _show_again(self) -> None:
        """Draw what had no size before this change of place."""
        for pane in self.panes.values():
            pane.show()

    def tick(self) -> None:
        """A whole second (or minute) has begun: take over what changed on disk, move what runs, ring."""
        changed = self._refresh()
        self._note_calls()
        since, now = self._called_at, self.desk.now()
        if since is not None and since != now and rings_now(round((now - since).total_seconds())):
            self.alarm.ring()
        if changed or any(self.screen.has_class(name) != on for name, on in self.shape().items()):
            self.show_all()
            return
        for pane in self.panes.values():
            pane.tick()

    def _refresh(self) -> bool:
        with self.refused():
            return self.desk.refresh()
        return True

    def _note_calls(self) -> None:
        """Ring when a mark comes, and note since when the call on top has been there to be seen."""
        calls = self.desk.calls()
        names = [(call.blade.key, call.clock.id, call.mark.id) for call in calls]
        if not calls:
            self._called_at = None
        elif not set(names) <= set(self._called):
            self._called_at = self.desk.now()
            self.alarm.ring()
        if names[:1] != self._called[:1]:
            self._calling_since = self._running_s()
        self._called = names

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
        if mode == "call" and self._unseen():
            return
        with self.refused():
            if pane.typing() and pane.typed(event.key, event.character):
                pane.show()
                return
            key = event.key.lower() if len(event.key) == 1 else event.key
            command = self.keys.get((mode, key))
            if command is None:
                return
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

    def _unseen(self) -> bool:
        return self._running_s() - self._calling_since < UNSEEN_S

    def run_command(self, command: Command, pane: Pane) -> None:
        """Do a command: the same everywhere, or the pane's own. May raise ShopError."""
        if not command.allowed(self.desk):
            raise ShopError(f"Not now: {command.says}.")
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
                Asked(f"{need} Why?", partial(_with_reason, act), hint="the reason is kept in the record")
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
        writer = self.desk.saving.writer
        if writer.close(0.0) or (self._told_unsaved and self.mode == "choose"):
            self.let_go()
            return
        self._told_unsaved = True
        acts.unsaved(self)
        self.show_all()

    def let_go(self) -> None:
        """Leave at once: the terminal or the system says so, or the maker has been told."""
        self.ticking.stop()
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
    app = BenchApp(desk)
    app.run(mouse=False)
    return (app.return_code or 0) if all_saved(desk.saving.writer, now) else 1
