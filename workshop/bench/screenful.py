"""What is seen: the one screen with all its panes, and which of them are shown at which place."""

from __future__ import annotations

from typing import TypeVar

from textual.app import App, ComposeResult
from textual.containers import Container
from textual.screen import Screen

from workshop.bench import handsfull
from workshop.bench.asking import Choose, Field
from workshop.bench.banner import Banner
from workshop.bench.clockform import ClockForm
from workshop.bench.clockpane import ClockPane
from workshop.bench.commands import PLACES
from workshop.bench.desk import Desk
from workshop.bench.help import Help
from workshop.bench.hotpane import HotPane
from workshop.bench.jumppane import JumpPane
from workshop.bench.jumps import Jumps
from workshop.bench.lastlook import LastLook
from workshop.bench.lines import KeyLine, MessageLine, TopLine
from workshop.bench.noticing import Noticing
from workshop.bench.pane import Pane
from workshop.bench.rooms import CallPane, DrawerPane, Rack, ReadyPane, RunPane, StartForm, Wall
from workshop.bench.stepcard import StepCard
from workshop.bench.steplist import StepList
from workshop.bench.ticking import Ticking

PaneT = TypeVar("PaneT", bound=Pane)


class OneScreen(Screen[None], inherit_bindings=False):
    """The screen: no key is bound here, all go through the table of commands."""

    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (112, "-wide")]  # noqa: RUF012 - so declared by the base


class Seen(App[None], inherit_bindings=False):
    """The panes on the one screen, and the place the maker is at."""

    ENABLE_COMMAND_PALETTE = False
    CSS_PATH = "bench.tcss"

    desk: Desk
    trail: list[str]
    panes: dict[str, Pane]
    jumps: Jumps | None
    noticing: Noticing
    ticking: Ticking

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
        yield ReadyPane(desk, id="ready")
        yield RunPane(desk, id="run")
        yield JumpPane(desk, id="jump")
        yield CallPane(desk, id="call")
        yield Help(desk, id="help")
        yield Choose(desk, id="choose")
        yield ClockForm(desk, id="clock")
        yield Field(desk, id="field")
        yield MessageLine(desk, id="said")
        yield KeyLine(desk, id="keys")

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
        if self.jumps is not None and self.jumps.pending is not None and not self.desk.hands_full():
            return "jump"
        return "call" if self.calls_out() else self.trail[-1]

    def calls_out(self) -> bool:
        """Whether a mark has come that is to be answered now: never while the hands are full."""
        return bool(self.desk.calls()) and not self.desk.hands_full()

    def runs(self) -> bool:
        """Whether anything on the screen changes with each second."""
        return bool(self.desk.clocks()) or self.desk.hot() or handsfull.going(self.desk) is not None

    def counts(self) -> bool:
        """Whether a count is in sight that shows tenths of a second."""
        return self.trail[-1] == "bench" and self.desk.hot() and self.desk.counting() is not None

    def shape(self) -> dict[str, bool]:
        """Return the classes of the screen that say what is shown where, and which of them hold now."""
        mode = self.mode
        shown = mode if mode in ("call", "jump") else self.trail[-1]
        told = mode != "call" and bool(self.desk.calls())
        places = {f"at-{where}": where == shown for where in PLACES}
        hot = shown in ("bench", "drawer") and self.desk.hot()
        return {**places, "told": told and not hot, "hot": hot}

    def show_all(self) -> None:
        """Let the screen follow the place, and each pane the desk; nothing once the program is being left."""
        if not self.screen_stack:
            return
        self.noticing.note(self.desk.hands_full())
        mode = self.mode
        reshaped = False
        for name, on in self.shape().items():
            if self.screen.has_class(name) != on:
                self.screen.set_class(on, name)
                reshaped = True
        told = mode != "call" and bool(self.desk.calls())
        self.pane(TopLine).telling = told and self.trail[-1] not in ("bench", "run")
        keys = self.pane(KeyLine)
        keys.now_at = mode
        keys.space_words = self._space_words(mode)
        for pane in self.panes.values():
            pane.show()
        self.ticking.start()
        if reshaped:
            self.call_after_refresh(self._show_again)

    def _space_words(self, mode: str) -> str | None:
        """Return what Space does at a place, None where the key line knows it."""
        if mode in ("lastlook", "run"):
            return (self.pane(LastLook) if mode == "lastlook" else self.pane(RunPane)).space_words()
        return None

    def _show_again(self) -> None:
        """Draw what had no size before this change of place."""
        for pane in self.panes.values():
            pane.show()
