"""What clocks are made of: marks, store entries, batches and the clock itself, as frozen data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any, Literal

from workshop.build.route import MarkPlan
from workshop.trade import cure

MarkState = Literal["ahead", "open", "reached", "shut"]

NEVER = datetime(2300, 1, 1, tzinfo=UTC)
"""A mark from here on does not come while the air stays as it is expected: below its floor a cure stands."""


@dataclass(frozen=True, slots=True)
class Mark:
    """An instant (no `shuts`) or a window on a clock, and what the maker does or sees then.

    age_opens_s, age_shuts_s: what it ages to, at the label's temperature; None where the air does not
    matter; no_later: cold or damp air does not put it off. counts_from: the mark from whose answer it
    counts, after_s and shuts_after_s later.
    """

    id: str
    says: str
    opens: datetime
    shuts: datetime | None = None
    do: str = ""
    late: str = ""
    harm: int = 1
    acknowledged: datetime | None = None
    age_opens_s: float | None = None
    age_shuts_s: float | None = None
    no_later: bool = False
    counts_from: str = ""
    after_s: float | None = None
    shuts_after_s: float | None = None
    extra: Mapping[str, Any] = field(default_factory=dict)

    @property
    def stands_still(self) -> bool:
        """Whether the mark will not come while the air stays as it is expected."""
        return self.opens >= NEVER

    def state(self, now: datetime) -> MarkState:
        """Say where this mark stands: ahead, open (its window runs), reached (an instant), shut."""
        if now < self.opens:
            return "ahead"
        if self.shuts is None:
            return "reached"
        return "open" if now < self.shuts else "shut"


@dataclass(frozen=True, slots=True)
class BlobState:
    """What a witness blob does, and between which ages (s) it does so: no end is None."""

    id: str
    says: str
    from_s: float = 0.0
    until_s: float | None = None


@dataclass(frozen=True, slots=True)
class StoreEntry:
    """An adhesive or oil of the stores: its marks at a reference temperature.

    reference_K, floor_K, ceiling_K: kelvin. activation_J_per_mol: how steeply it quickens with warmth; None:
    by halving_K, the marks then take twice as long for each of these colder. damp_…: how damp air slows it.
    witness: what its blob does at which age. cup_kg, cup_least: a cup heavier than cup_kg sets so much
    sooner, in proportion, down to the share cup_least; thin_times: spread thin, so many times later.
    """

    store: str
    id: str
    title: str
    marks: tuple[MarkPlan, ...]
    reference_K: float
    floor_K: float
    ceiling_K: float
    halving_K: float = 10.0
    note: str = ""
    activation_J_per_mol: float | None = None
    damp_from: float = 1.0
    damp_full: float = 1.0
    damp_times: float = 1.0
    witness: tuple[BlobState, ...] = ()
    cup_kg: float | None = None
    cup_least: float = 1.0
    thin_times: float = 1.0

    @property
    def key(self) -> str:
        """How this entry is named in routes and on the command line: "adhesives/slow"."""
        return f"{self.store}/{self.id}"

    @property
    def rule(self) -> cure.CureRule:
        """The rule by which it ages."""
        return cure.CureRule(
            self.reference_K,
            self.halving_K,
            self.floor_K,
            self.ceiling_K,
            self.activation_J_per_mol,
            self.damp_from,
            self.damp_full,
            self.damp_times,
        )


@dataclass(frozen=True, slots=True)
class Batch:
    """How one batch differs from the store's figures.

    pace: how many times as quick as its rule, from this maker's earlier batches. mass_kg: what is in the
    cup; None: a small one. thin: spread out thin. kept_K: it lies in a warm box at this temperature,
    whatever the shop's air does. for_s: so long instead of the plan's own length (a dip).
    """

    pace: float = 1.0
    mass_kg: float | None = None
    thin: bool = False
    kept_K: float | None = None
    for_s: float | None = None


AS_STORED = Batch()


@dataclass(frozen=True, slots=True)
class Press:
    """One press of the witness: when, what the blob did, the age it had by the clock, the pace made of it."""

    at: datetime
    state: str
    age_s: float
    pace: float


@dataclass(frozen=True, slots=True)
class Clock:
    """A clock of one blade. ended: when it was stopped or its last mark answered, else None.

    pace: how many times the label's times its own were at the start (1.74 in a cold shop). rule: by which
    it ages, as copied from the store at the start; None: the air does not matter. quick: how many times as
    quick as that rule this batch is, by this maker's batches and its own witness.
    """

    id: str
    plan: str
    title: str
    step: str
    kind: str
    started: datetime
    marks: tuple[Mark, ...]
    ends: str = ""
    store: str = ""
    air_K: float | None = None
    pace: float = 1.0
    caution: str = ""
    cup_caution: str = ""
    ended: datetime | None = None
    rule: cure.CureRule | None = None
    quick: float = 1.0
    humidity: float | None = None
    kept_K: float | None = None
    blob: tuple[BlobState, ...] = ()
    presses: tuple[Press, ...] = ()
    round: int = 0
    rounds: tuple[int, ...] = ()
    round_says: str = ""
    again: str = ""
    minds: tuple[str, ...] = ()
    minds_until: str = ""
    extra: Mapping[str, Any] = field(default_factory=dict)

    @property
    def running(self) -> bool:
        """Whether the clock still counts."""
        return self.ended is None

    @property
    def round_of(self) -> str:
        """Return which round runs, in words: "coat 2 of 4", "dip 3", "" for no series."""
        if not self.rounds:
            return ""
        most = self.rounds[-1]
        return f"{self.round_says} {self.round}" + (f" of {most}" if self.round <= most else "")

    def mark(self, mark_id: str) -> Mark | None:
        """Return one of the clock's marks."""
        return next((mark for mark in self.marks if mark.id == mark_id), None)

    def elapsed_s(self, now: datetime) -> float:
        """Return how long it has run (s), to the tenths that a count shows; not below nothing."""
        return max(0.0, ((self.ended or now) - self.started).total_seconds())

    def rest_over(self, now: datetime) -> bool:
        """Whether the mark that ends the step's rest has come (or there is none)."""
        mark = self.mark(self.ends) if self.ends else None
        return not self.running or mark is None or now >= mark.opens

    def minded(self, now: datetime) -> tuple[str, ...]:
        """Return the work that would spoil what is on the clock at this moment."""
        until = self.mark(self.minds_until) if self.minds_until else None
        return self.minds if self.running and (until is None or now < until.opens) else ()
