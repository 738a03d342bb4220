"""What the laptop's clocks did: slept, restarted, set forward or back; told, and set right as the maker says.

Read at each tick and kept on disk now and then, so that a jump is noticed while the program runs and across a
restart. Where the maker says that the clock was right before, the present is counted on by the old one until
the laptop's clock is put right.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta

from workshop.bench.desk import Desk, Said, Tone
from workshop.build import timekeeping
from workshop.build.timekeeping import Anchor, Happened, Judgement, judge
from workshop.shelf import anchor_file

KEPT_EACH_S = 60.0
LEAVING_S = 1.0
TOLD_FROM_S = 60.0
"""A shorter sleep or pause is not worth a sentence."""

Anchoring = Callable[[datetime], Anchor]


class Jumps:
    """Watches the clocks of the laptop for a desk."""

    def __init__(self, desk: Desk, anchoring: Anchoring = anchor_file.present_anchor) -> None:
        """Read nothing yet. anchoring: reads the laptop's clocks together, the wall's being given."""
        self._desk = desk
        self._anchoring = anchoring
        self._raw, self._raw_exact = desk.now, desk.exact
        self._off = timedelta()
        self._last: Anchor | None = None
        self._kept: Anchor | None = None
        self.pending: tuple[Judgement, Anchor] | None = None
        self.woke: datetime | None = None
        self.says = ""

    def begin(self) -> None:
        """Compare with what was kept when the program ran last."""
        kept = anchor_file.kept_anchor(self._desk.shelf)
        self._last = kept
        self.look()

    def look(self) -> bool:
        """Compare with the last look; say whether anything is to be told."""
        now = self._anchoring(self._desk.now())
        then, self._last = self._last, now
        if self.pending is None and (self._kept is None or now.boot_s - self._kept.boot_s >= KEPT_EACH_S):
            self.keep(now)
        if then is None:
            return False
        judged = judge(then, now)
        if judged.happened is Happened.STEADY:
            return False
        back_s = (now.utc - then.utc).total_seconds()
        if judged.ask and self._off and abs(judged.by_s + self._off.total_seconds()) <= timekeeping.STEP_S:
            self._off = timedelta()
            self._desk.now, self._desk.exact = self._raw, self._raw_exact
            self._last = replace(now, utc=self._raw())
            self._tell("The laptop's clock is right again; marks go by it.")
            return True
        if judged.ask:
            self.pending = (judged, then)
            self.says = judged.says
            return True
        if max(judged.slept_s, back_s) < TOLD_FROM_S:
            return False
        self.woke = self._desk.now()
        self._tell(judged.says)
        return True

    def keep(self, anchor: Anchor, wait_s: float = 0.0) -> None:
        """Put an anchor on disk, aside; a disk that refuses is told where something is at stake."""
        self._kept = anchor
        aside, shelf = self._desk.aside, self._desk.shelf
        if wait_s or not aside.busy("anchor"):
            aside.do(
                "anchor",
                lambda: anchor_file.keep_anchor(shelf, anchor),
                lambda _: None,
                lambda _: None,
                wait_s,
            )

    def _tell(self, says: str) -> None:
        self.says = says
        self._desk.said = Said(says, Tone.NOTICE)

    # -- the maker says which was right

    def started_before(self) -> bool:
        """Whether some running clocks are older than the laptop's last start, and some are not."""
        begun = self._begun()
        older = [pair.clock.started < begun for pair in self._desk.clocks()] if begun else []
        return any(older) and not all(older)

    def _begun(self) -> datetime | None:
        """Return when the laptop was started, by the clock that was wrong."""
        if self.pending is None or self.pending[0].happened is not Happened.STEPPED:
            return None
        then = self.pending[1]
        return then.utc - timedelta(seconds=then.boot_s)

    def right_now(self, *, only_since_start: bool = False) -> None:
        """The clock is right as it is now: what the wrong one started is set right. Raises ShopError."""
        if self.pending is None:
            return
        by_s, since = self.pending[0].by_s, self._begun() if only_since_start else None
        now, desk = self._desk.now(), self._desk
        for blade in desk.blades:
            if timekeeping.shift_clocks(blade, by_s, now, since) is not blade:
                desk.put(blade.key, lambda one: timekeeping.shift_clocks(one, by_s, now, since))
        self._settled()
        self._tell("The clock is right now; the running clocks were set right.")
        desk.rework()

    def right_before(self) -> None:
        """The clock was right before: the present is counted on by the old one."""
        if self.pending is None:
            return
        self._off += timedelta(seconds=self.pending[0].by_s)
        off, raw = self._off, self._raw
        self._desk.now = lambda: raw() - off
        exact = self._raw_exact
        self._desk.exact = None if exact is None else lambda: exact() - off
        self._settled()
        self._tell("Marks go by the clock as it was. Put the laptop's clock right when your hands are free.")

    def close(self) -> None:
        """Keep where the clocks stand when the program is left; it waits for that but shortly."""
        if self.pending is None:
            self.keep(self._anchoring(self._desk.now()), LEAVING_S)

    def _settled(self) -> None:
        self.pending = None
        self._last = self._anchoring(self._desk.now())
        self.woke = self._desk.now()
        self.keep(self._last)
