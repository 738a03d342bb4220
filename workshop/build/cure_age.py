"""Cure age: when a reading of the air or the witness moves the marks that are still ahead.

A mark is an age at the label's temperature (ASTM C1074's equivalent age). How far the age has come
follows from the record of the air since the start, how soon the next marks come from what the air is
expected to be. A mark that has come has come: it is never moved.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from statistics import median

from workshop.build.air import Air, Reading, steady
from workshop.build.clock import NEVER, air_caution, moment_of
from workshop.build.clock_parts import BlobState, Clock, Mark, Press, StoreEntry
from workshop.errors import ShopError
from workshop.trade import cure

LEAST_PACE, MOST_PACE = 0.4, 2.5
"""How far from its rule a batch is believed to be; beyond it the mix or the label is to be doubted."""

_SMALL_S, _SMALL_SHARE = 5.0, 0.01


def ages(clock: Clock) -> bool:
    """Whether the air still moves any mark of the clock."""
    return (
        clock.running and clock.rule is not None and any(one.age_opens_s is not None for one in clock.marks)
    )


def rates(clock: Clock, air: Air, now: datetime) -> cure.RateRecord:
    """Return the rates of ageing of a clock since its start, past and expected."""
    if clock.rule is None:
        return [(0.0, 1.0)]
    first = None if clock.air_K is None else Reading(clock.started, clock.air_K, clock.humidity)
    if clock.kept_K is not None:
        first, air = Reading(clock.started, clock.kept_K), steady(clock.kept_K, None, clock.started)
    return air.rates(clock.rule, clock.started, now, first, clock.quick)


def age_s(clock: Clock, air: Air, now: datetime) -> float:
    """Return the age (s) a clock's glue or oil has at the label's temperature; 0 before its start."""
    return cure.age_of(rates(clock, air, now), max(0.0, (now - clock.started).total_seconds()))


def reworked(clock: Clock, air: Air, now: datetime) -> Clock:
    """Return the clock with its marks ahead where the air as now known puts them, or as it is.

    A mark that has come keeps its moment; one that should have come already comes now. Moves too small
    to matter (under 5 s, or 1 % of the time left) are not made, so that a steady air writes nothing.
    """
    if not ages(clock):
        return clock
    known = rates(clock, air, now)
    marks = tuple(_moved(mark, clock.started, known, now) for mark in clock.marks)
    caution = _caution(clock, air, now, marks)
    moved = any(_matters(old, new, now) for old, new in zip(clock.marks, marks, strict=True))
    if not moved and caution == clock.caution:
        return clock
    if not moved:
        return replace(clock, caution=caution)
    return replace(clock, marks=tuple(sorted(marks, key=lambda one: one.opens)), caution=caution)


def _moved(mark: Mark, started: datetime, known: cure.RateRecord, now: datetime) -> Mark:
    if mark.age_opens_s is None:
        return mark
    opens = mark.opens
    if opens > now:
        opens = max(now, moment_of(known, started, mark.age_opens_s, mark.no_later))
    shuts = mark.shuts
    if shuts is not None and mark.age_shuts_s is not None and shuts > now:
        shuts = max(now, opens, moment_of(known, started, mark.age_shuts_s, mark.no_later))
    return mark if (opens, shuts) == (mark.opens, mark.shuts) else replace(mark, opens=opens, shuts=shuts)


def _matters(old: Mark, new: Mark, now: datetime) -> bool:
    """Whether a mark moved by more than what is too small to write down."""
    pairs = [(old.opens, new.opens)]
    if old.shuts is not None and new.shuts is not None:
        pairs.append((old.shuts, new.shuts))
    for before, after in pairs:
        by_s = abs((after - before).total_seconds())
        left_s = abs((min(before, NEVER) - now).total_seconds())
        if by_s > max(_SMALL_S, _SMALL_SHARE * left_s) or (by_s and (after >= NEVER) != (before >= NEVER)):
            return True
    return False


def _caution(clock: Clock, air: Air, now: datetime, marks: Sequence[Mark]) -> str:
    """Return what must be said of the air as it is and as it is expected while the marks are ahead."""
    if clock.rule is None or clock.kept_K is not None:
        return clock.caution
    spell = air.last(now)
    says = "" if spell is None or spell.at < clock.started else air_caution(clock.rule, spell.air_K)
    if spell is None or spell.at < clock.started:
        says = "" if clock.air_K is None else air_caution(clock.rule, clock.air_K)
    if not says:
        ahead = [mark.opens for mark in marks if mark.opens > now]
        last = min(max(ahead, default=now), now + timedelta(days=7))
        cold = air.coldest(now, last)
        if cold is not None and cold.at > now and cold.air_K < clock.rule.floor_K:
            says = (
                f"{cold.air_K - 273.15:.0f} °C is expected, below the floor of "
                f"{clock.rule.floor_K - 273.15:.0f} °C: its age stands still then. Keep the work warm."
            )
    return " ".join(one for one in (says, clock.cup_caution) if one)


@dataclass(frozen=True, slots=True)
class Pressed:
    """What a press of the witness made of a clock, in words, and by how much its pace was corrected."""

    clock: Clock
    says: str
    ratio: float


def pressed(clock: Clock, air: Air, state_id: str, now: datetime) -> Pressed:
    """Return the clock after the witness blob was pressed and found in a state.

    Where the state fits the age nothing is corrected. Else the batch's pace is corrected by the least that
    makes it fit, the ratio of the age expected to the age by the clock; at most to 0.4 and 2.5 times
    the store's. Raises ShopError for a clock without a witness, an unknown state, or no age yet.
    """
    state = _state(clock, state_id)
    age = age_s(clock, air, now)
    if age <= 0:
        raise ShopError(
            f"{clock.title} has no age yet, so the blob says nothing of its pace; press it later."
        )
    ratio = 1.0
    if age < state.from_s:
        ratio = state.from_s / age
    elif state.until_s is not None and age > state.until_s:
        ratio = state.until_s / age
    quick = round(min(max(clock.quick * ratio, LEAST_PACE), MOST_PACE), 4)
    bounded = abs(quick - clock.quick * ratio) > 1e-3
    press = Press(now, state.id, round(age, 1), quick)
    corrected = replace(clock, quick=quick, presses=(*clock.presses, press))
    made = _at_once(corrected, air, now) if quick != clock.quick else corrected
    return Pressed(made, _press_says(clock, made, state, age, bounded, now), quick / clock.quick)


def _at_once(clock: Clock, air: Air, now: datetime) -> Clock:
    """Return the clock worked out again, however little its marks move."""
    known = rates(clock, air, now)
    marks = tuple(_moved(mark, clock.started, known, now) for mark in clock.marks)
    return replace(clock, marks=tuple(sorted(marks, key=lambda one: one.opens)))


def _state(clock: Clock, state_id: str) -> BlobState:
    if not ages(clock) or not clock.blob:
        raise ShopError(f"{clock.title} has no witness to press; only a glue that still cures has one.")
    found = next((one for one in clock.blob if one.id == state_id.strip().lower()), None)
    if found is None:
        raise ShopError(
            f"'{state_id}' is not what a blob does here; right would be one of: "
            + ", ".join(one.id for one in clock.blob)
            + "."
        )
    return found


def _press_says(clock: Clock, made: Clock, state: BlobState, age: float, bounded: bool, now: datetime) -> str:
    """Return a press in words: what was seen, by how much the pace changed, and what that means now."""
    seen = f"Witness {state.says or state.id} at an age of {_hours(age)}"
    if made.quick == clock.quick:
        says = f"{seen}, as expected: nothing is corrected"
    else:
        was = f", not {clock.quick:.2f} times" if clock.quick != 1 else ""
        says = f"{seen}: this batch is {made.quick:.2f} times as quick as the store says{was}; its marks move"
        if bounded:
            says += ", no further than this: doubt the mix or the label"
    if state.id != "hard":
        for mark in made.marks:
            if mark.state(now) == "open" and mark.acknowledged is None and mark.age_opens_s is not None:
                due_s = mark.age_opens_s - age * made.quick / clock.quick
                if due_s > 60:
                    wants = _hours(due_s)
                    says += f"; {mark.says} has come by the clock, by the blob it wants {wants} more of age"
    return says


def _hours(seconds: float) -> str:
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 100 else f"{minutes // 60} h {minutes % 60:02} min"


@dataclass(frozen=True, slots=True)
class Learned:
    """What this maker's batches of one adhesive came to. pace: their median; least, most: their spread."""

    pace: float = 1.0
    least: float = 1.0
    most: float = 1.0
    batches: int = 0

    @property
    def says(self) -> str:
        """Return it in words, or "" when nothing was learned."""
        if not self.batches:
            return ""
        many = "one batch" if self.batches == 1 else f"{self.batches} batches"
        spread = "" if self.batches < 3 else f", from {self.least:.2f} to {self.most:.2f}"
        return f"by your last {many} it runs {self.pace:.2f} times as quick as the store says{spread}"


BATCHES_MINDED = 12
"""How many of the last batches count: tins age and are replaced."""


def learned(paces: Sequence[float]) -> Learned:
    """Return what the paces of one adhesive's batches, oldest first, come to."""
    last = [pace for pace in paces if LEAST_PACE <= pace <= MOST_PACE][-BATCHES_MINDED:]
    return Learned(median(last), min(last), max(last), len(last)) if last else Learned()


def marks_at(entry: StoreEntry, air_K: float) -> dict[str, tuple[float, float | None]]:
    """Return when an entry's marks open and shut (s after the start) in a steady air above its floor."""
    speed = cure.rate(air_K, entry.rule)
    if not speed:
        return {}
    return {
        mark.id: (mark.opens_s / speed, None if mark.shuts_s is None else mark.shuts_s / speed)
        for mark in entry.marks
    }
