"""Keeping time true: what the laptop's clocks did meanwhile, what was missed, and setting clocks right.

Wall time is off by any step of the clock, monotonic time by any sleep. Both, with the time since the
machine was started, tell a sleep from a step and a step from a restart.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum

from workshop.build import cure_age
from workshop.build.air import Air
from workshop.build.blade import Blade, LogEntry, Part
from workshop.build.clock import due
from workshop.build.clock_parts import NEVER, Clock, Mark
from workshop.build.day import wall

STEP_S = 2.0
"""A difference between wall and machine time too small to be a step: rounding and the slow pull of NTP."""

_SLEW = 0.0006  # NTP pulls a clock by at most 500 parts in a million


@dataclass(frozen=True, slots=True)
class Anchor:
    """The laptop's clocks read together: wall (UTC), seconds since it was started, with and without sleep."""

    utc: datetime
    boot_s: float
    awake_s: float
    boot_id: str


class Happened(StrEnum):
    """What the laptop's clocks did between two anchors."""

    STEADY = "steady"
    SLEPT = "slept"
    STEPPED = "stepped"
    RESTARTED = "restarted"
    WENT_BACK = "went back"


@dataclass(frozen=True, slots=True)
class Judgement:
    """What happened between two anchors. by_s: how long it slept or was off, or by how much it stepped.

    ask: the maker must say which clock was right.
    """

    happened: Happened
    by_s: float = 0.0
    says: str = ""
    ask: bool = False
    slept_s: float = 0.0


def judge(then: Anchor, now: Anchor) -> Judgement:
    """Return what happened between two anchors.

    Certain while the machine runs, asleep or awake. Across a restart only a clock that went back shows;
    a clock set forward while the machine was off looks like a longer time off.
    """
    wall_s = (now.utc - then.utc).total_seconds()
    if now.boot_id != then.boot_id:
        if wall_s < -STEP_S:
            says = f"The laptop was off, and its clock went back by {_lasting(-wall_s)}. Which is right?"
            return Judgement(Happened.WENT_BACK, wall_s, says, ask=True)
        return Judgement(
            Happened.RESTARTED, wall_s, f"The laptop was restarted; it was last used {_lasting(wall_s)} ago."
        )
    ran_s = now.boot_s - then.boot_s
    slept_s = max(0.0, ran_s - (now.awake_s - then.awake_s))
    step_s = wall_s - ran_s
    if abs(step_s) > STEP_S + _SLEW * max(ran_s, 0.0):
        way = "forward" if step_s > 0 else "back"
        says = f"The laptop's clock was set {way} by {_lasting(abs(step_s))}. Which was right, before or now?"
        return Judgement(Happened.STEPPED, step_s, says, ask=True, slept_s=slept_s)
    if slept_s > STEP_S:
        return Judgement(
            Happened.SLEPT, slept_s, f"The laptop slept for {_lasting(slept_s)}.", slept_s=slept_s
        )
    return Judgement(Happened.STEADY, slept_s=slept_s)


def shift_clocks(blade: Blade, by_s: float, now: datetime, since: datetime | None = None) -> Blade:
    """Return the blade with its running clocks set right: the old clock was wrong by `by_s`.

    Every clock that still runs and was started by the wrong clock moves by the same time, so that what has
    run and what is left stay true. since: by the wrong clock's own time, only those started from then on.
    What can be taken back is moved with it. Nothing to move: the blade as it is.
    """
    if not by_s:
        return blade
    by = timedelta(seconds=by_s)

    def moved(part: Part | None) -> Part | None:
        wanted = isinstance(part, Clock) and part.running and (since is None or part.started >= since)
        return _shifted(part, by) if wanted and isinstance(part, Clock) else part

    clocks = {key: moved(part) for key, part in blade.clocks.items()}
    if all(clocks[key] is part for key, part in blade.clocks.items()):
        return blade
    kept: Mapping[str, Clock] = {key: one for key, one in clocks.items() if isinstance(one, Clock)}
    backs = tuple(
        replace(back, was={name: moved(part) for name, part in back.was.items()}) for back in blade.backs
    )
    way = "forward" if by_s > 0 else "back"
    says = f"The laptop's clock had been wrong: running clocks set {way} by {_lasting(abs(by_s))}"
    return replace(blade, clocks=kept, backs=backs, log=(*blade.log, LogEntry(now, "set clock", says)))


def _shifted(clock: Clock, by: timedelta) -> Clock:
    def at(moment: datetime | None) -> datetime | None:
        return moment if moment is None or moment >= NEVER else moment + by

    marks = tuple(
        replace(
            mark,
            opens=at(mark.opens) or mark.opens,
            shuts=at(mark.shuts),
            acknowledged=at(mark.acknowledged),
        )
        for mark in clock.marks
    )
    presses = tuple(replace(press, at=press.at + by) for press in clock.presses)
    return replace(clock, started=clock.started + by, marks=marks, presses=presses)


def rework(blade: Blade, air: Air, now: datetime) -> Blade:
    """Return the blade with the marks ahead where the air as now known puts them; itself when none moves.

    This is no change of the maker's and is not taken back; a hard mark that moves far is told in the log.
    """
    made: dict[str, Clock] = {}
    said: list[LogEntry] = []
    for key, clock in blade.clocks.items():
        after = cure_age.reworked(clock, air, now)
        if after is not clock:
            made[key] = after
            says = _moves(clock, after, now)
            if says:
                said.append(LogEntry(now, "air", f"{clock.title}: {says}", clock.step))
    if not made:
        return blade
    return replace(blade, clocks={**blade.clocks, **made}, log=(*blade.log, *said))


_WORTH_SAYING_S, _WORTH_SAYING_SHARE = 600.0, 0.1


def _moves(before: Clock, after: Clock, now: datetime) -> str:
    """Return in words the hard marks that the air has moved far."""
    lines = []
    for mark in after.marks:
        old = before.mark(mark.id)
        if old is None or mark.harm < 2 or mark.acknowledged is not None:
            continue
        if mark.stands_still != old.stands_still:
            lines.append(
                f"{mark.says} stands still"
                if mark.stands_still
                else f"{mark.says} goes on, {wall(mark.opens, now)}"
            )
            continue
        by_s = abs((mark.opens - old.opens).total_seconds())
        left_s = max((old.opens - now).total_seconds(), 1.0)
        if not mark.stands_still and by_s >= _WORTH_SAYING_S and by_s >= _WORTH_SAYING_SHARE * left_s:
            lines.append(f"{mark.says} {wall(old.opens, now)} is now {wall(mark.opens, now)}")
    return "; ".join(lines)


@dataclass(frozen=True, slots=True)
class Missed:
    """A mark that came while nobody was there. late_s: since it came, or since its window shut."""

    blade: Blade
    clock: Clock
    mark: Mark
    shut: bool
    late_s: float
    do: str


def missed(blades: Iterable[Blade], now: datetime, since: datetime | None = None) -> list[Missed]:
    """Return what came and was not answered, most harmful first, with what to do now for each.

    since: only what came, or shut, after this moment: since the machine was last looked at.
    """
    found = []
    for blade in blades:
        for clock in blade.running():
            for mark in due(clock, now):
                shut = mark.shuts is not None and mark.shuts <= now
                at = mark.shuts if shut and mark.shuts is not None else mark.opens
                if since is not None and at <= since:
                    continue
                do = mark.late if shut and mark.late else mark.do
                found.append(Missed(blade, clock, mark, shut, (now - at).total_seconds(), do))
    return sorted(found, key=lambda one: (-one.mark.harm, not one.shut, -one.late_s))


def _lasting(seconds: float) -> str:
    whole = round(seconds)
    if whole < 120:
        return f"{whole} s"
    minutes = round(whole / 60)
    if minutes < 120:
        return f"{minutes} min"
    hours, rest = divmod(minutes, 60)
    return f"{hours} h {rest:02} min" if hours < 48 else f"{round(hours / 24)} days"
