"""Being noticed: who rings when. The bell, the maker's horn, and the terminal's notices where it has any.

A new call is heard at once, then again and again until it is seen. While the hands are full the bell is heard
once and nothing else: the screen tells it in a line and waits.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from workshop.bench.alarm import Alarm, rings_now
from workshop.bench.desk import Call, Desk, Said, Tone
from workshop.build.clock import Stage
from workshop.errors import ShopError
from workshop.shelf.outside import sound_horn
from workshop.showable import showable

UNSEEN_S = 0.6
"""A key pressed sooner than this after a mark began to call was meant for what stood there before."""

HORN_EACH_S = 60
"""So often the horn sounds until the call is seen."""

SOON_EACH_S = 30
"""So often an early warning rings."""

WORDS = {Stage.SOON: "soon", Stage.LAST_CHANCE: "last chance", Stage.TOO_LATE: "too late"}

Name = tuple[str, str, str, Stage]


def said_of(call: Call) -> str:
    """Return a call in one line, for a horn, a lamp or a notice."""
    word = WORDS.get(call.stage, "now")
    return showable(f"{call.blade.name}: {call.mark.says}, {word}. {call.mark.do}", 200)


class Noticing:
    """Follows the calls and rings for them."""

    def __init__(self, desk: Desk, alarm: Alarm, running_s: Callable[[], float]) -> None:
        """Nothing calls yet. running_s: seconds that only run on."""
        self._desk = desk
        self._alarm = alarm
        self._running_s = running_s
        self._on_top_since = 0.0
        self._called: list[Name] = []
        self._called_at: datetime | None = None
        self._quiet = False

    def note(self, quiet: bool) -> bool:
        """Ring when something begins to call, and note since when the call on top can be seen.

        quiet: the hands are full. Says whether something began to call.
        """
        calls = self._desk.calls()
        names = [(one.blade.key, one.clock.id, one.mark.id, one.stage) for one in calls]
        freed = self._quiet and not quiet
        self._quiet = quiet
        begun = bool(calls) and not set(names) <= set(self._called)
        if not calls:
            self._called_at = None
        elif begun or freed:
            self._called_at = self._desk.now()
            self._alarm.ring()
            if not quiet:
                self._loudly(calls[0])
        if names[:1] != self._called[:1]:
            self._on_top_since = self._running_s()
        self._called = names
        return begun

    def again(self) -> None:
        """Ring once more if it is time to."""
        calls, now = self._desk.calls(), self._desk.now()
        if self._called_at is None or self._quiet or not calls or self._called_at == now:
            return
        since_s = round((now - self._called_at).total_seconds())
        if calls[0].stage is Stage.SOON:
            if since_s % SOON_EACH_S == 0:
                self._alarm.ring()
            return
        if rings_now(since_s):
            self._alarm.ring()
        if since_s % HORN_EACH_S == 0:
            self._loudly(calls[0])

    def unseen(self) -> bool:
        """Whether the call on top came so lately that a key was meant for what stood there before."""
        return self._running_s() - self._on_top_since < UNSEEN_S

    def _loudly(self, call: Call) -> None:
        desk, says = self._desk, said_of(call)
        self._alarm.tell(says)
        words = desk.shelf.laptop().horn
        if words and not desk.aside.busy("horn"):
            desk.aside.do("horn", lambda: sound_horn(words, says), lambda _: None, self._broken)

    def _broken(self, error: ShopError) -> None:
        self._desk.said = Said(f"{error} The horn is set in laptop.toml.", Tone.REFUSED)
