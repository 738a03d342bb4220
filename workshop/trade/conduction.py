"""Heat along a bar that is thin against its length: one-dimensional, implicit, growing time steps.

Every cell keeps account of its heat (conservation in finite volumes): what it stores is what its
neighbours bring less what its surface loses. In time the second-order backward formula is used,
which stays calm at any step; it starts again with a single short first-order step whenever the
flame is put on or taken away. The heat content is linearised about a second-order prediction.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from workshop.trade.steel_heat import STEFAN, TOP_K, Material


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar cut into cells: widths along it, section and girth of each, in metres and m².

    cling: W/K each cell gives to a sink (jaws, wet rag) over the whole cell, 0 where there is none.
    """

    width_m: tuple[float, ...]
    section_m2: tuple[float, ...]
    girth_m: tuple[float, ...]
    material: Material
    cling_W_K: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Around:
    """What the bar loses heat to: air, and a sink that may hold back only above its own heat.

    sink_boils: a wet rag takes heat only above `sink_K` (boiling); jaws take and give.
    """

    air_K: float
    film_W_m2K: float
    emissivity: float
    sink_K: float = 293.15
    sink_boils: bool = False


@dataclass(frozen=True, slots=True)
class Flame:
    """Cells first to last-1 are held at `at(time)` until `off_s`, then let go.

    kinks: times at which `at` changes its slope, ascending, the last being `off_s`.
    """

    first: int
    last: int
    at: Callable[[float], float]
    kinks: tuple[float, ...]

    @property
    def off_s(self) -> float:
        """When the flame is taken away, s from the start."""
        return self.kinks[-1]


@dataclass(frozen=True, slots=True)
class Pace:
    """How the time steps grow: first step and longest step as shares of the stretch, and the ratio.

    after: once the flame is off, no step is longer than this share of the time since then (plus a
    tenth of the heating). fine: divides all of them.
    """

    first: float = 0.004
    longest: float = 0.03
    grow: float = 1.3
    after: float = 0.08
    fine: float = 1.0


@dataclass(slots=True)
class Course:
    """What happened: the times, the temperature at the watched place, the hottest each cell got.

    given, lost and stored are in joules, summed step by step by the trapezoid rule.
    """

    times_s: list[float] = field(default_factory=list)
    watched_K: list[float] = field(default_factory=list)
    hottest_K: list[float] = field(default_factory=list)
    last_K: list[float] = field(default_factory=list)
    given_J: float = 0.0
    lost_J: float = 0.0
    stored_J: float = 0.0


class Stepper:
    """One bar in one surrounding, stepped forward in time; `now` holds its temperatures, K."""

    def __init__(self, bar: Bar, around: Around) -> None:
        self.bar = bar
        self.around = around
        widths, sections = bar.width_m, bar.section_m2
        half = [w / (2.0 * a) for w, a in zip(widths, sections, strict=True)]
        self.edge = [1.0 / r for r in half]
        self.face = [1.0 / (a + b) for a, b in pairwise(half)]
        self.volume = [w * a for w, a in zip(widths, sections, strict=True)]
        self.surface = [w * p for w, p in zip(widths, bar.girth_m, strict=True)]
        self.cling = list(bar.cling_W_K) or [0.0] * len(widths)
        count = len(widths)
        self.now = [around.air_K] * count
        self.before = list(self.now)
        content = [self.content_of(t) for t in self.now]
        self.held = content
        self.held_before = list(content)
        self.last_dt = 0.0
        self._guess: list[float] = []

    def content_of(self, kelvin: float) -> float:
        """Heat content at a temperature, J/m³."""
        i = int(kelvin)
        return self.bar.material.content[i] + (kelvin - i) * self.bar.material.capacity[i]

    def loss(self, i: int, kelvin: float) -> float:
        """Heat cell i loses to air and sink at a temperature, W."""
        around = self.around
        air = self.surface[i] * (
            around.film_W_m2K * (kelvin - around.air_K)
            + around.emissivity * STEFAN * (kelvin**4 - around.air_K**4)
        )
        if around.sink_boils and kelvin < around.sink_K:
            return air
        return air + self.cling[i] * (kelvin - around.sink_K)

    def conduct(self, a: float, b: float) -> float:
        """Conductivity between two temperatures, W/mK."""
        return self.bar.material.conduct[int((a + b) * 0.5)]

    def advance(
        self, dt: float, lo: int, hi: int, left_K: float | None, right_K: float | None, source_W: float
    ) -> None:
        """Move cells lo to hi-1 forward by dt; None for an insulated end, else the end's temperature."""
        diagonal, upper, right_side = self._assemble(dt, lo, hi, source_W)
        guess = self._guess
        if left_K is not None:
            pull = self.conduct(guess[0], left_K) * self.edge[lo]
            diagonal[0] += pull
            right_side[0] += pull * left_K
        if right_K is not None:
            pull = self.conduct(guess[-1], right_K) * self.edge[hi - 1]
            diagonal[-1] += pull
            right_side[-1] += pull * right_K
        found = _tridiagonal(diagonal, upper, right_side)
        content, capacity = self.bar.material.content, self.bar.material.capacity
        self.before[lo:hi] = self.now[lo:hi]
        self.now[lo:hi] = found
        self.held_before[lo:hi] = self.held[lo:hi]
        self.held[lo:hi] = [content[int(t)] + (t - int(t)) * capacity[int(t)] for t in found]

    def _assemble(
        self, dt: float, lo: int, hi: int, source_W: float
    ) -> tuple[list[float], list[float], list[float]]:
        """Set up the linear equations of one step for cells lo to hi-1."""
        ratio = dt / self.last_dt if self.last_dt else 0.0
        new, old, older = (1 + 2 * ratio) / (1 + ratio) / dt, (1 + ratio) / dt, ratio**2 / (1 + ratio) / dt
        material, around = self.bar.material, self.around
        content, capacity = material.content, material.capacity
        air, film, glow = around.air_K, around.film_W_m2K, around.emissivity * STEFAN
        air_loss = film * air + glow * air**4
        sink, boils = around.sink_K, around.sink_boils
        self._guess = guess = self._predict(ratio, lo, hi)
        diagonal: list[float] = []
        right_side: list[float] = []
        for t, held, held_before, volume, surface, cling in zip(
            guess,
            self.held[lo:hi],
            self.held_before[lo:hi],
            self.volume[lo:hi],
            self.surface[lo:hi],
            self.cling[lo:hi],
            strict=True,
        ):
            i = int(t)
            heat = capacity[i]
            cube = glow * t * t * t
            slope = surface * (film + 4.0 * cube)
            d = volume * new * heat + slope
            r = volume * (old * held - older * held_before - new * (content[i] - i * heat)) + surface * (
                3.0 * cube * t + air_loss
            )
            if cling and not (boils and t < sink):
                d += cling
                r += cling * sink
            diagonal.append(d)
            right_side.append(r)
        upper = self._join(diagonal, lo, hi)
        if source_W:
            right_side[0] += source_W
        return diagonal, upper, right_side

    def _predict(self, ratio: float, lo: int, hi: int) -> list[float]:
        """Where each cell is going, straight on from its last step, kept inside the tables."""
        top = float(TOP_K - 1)
        return [
            min(max(t + ratio * (t - b), 1.0), top)
            for t, b in zip(self.now[lo:hi], self.before[lo:hi], strict=True)
        ]

    def _join(self, diagonal: list[float], lo: int, hi: int) -> list[float]:
        """Tie neighbouring cells together; add each joint to both diagonals and return the joints."""
        conduct, guess = self.bar.material.conduct, self._guess
        upper = [
            conduct[int((a + b) * 0.5)] * g
            for (a, b), g in zip(pairwise(guess), self.face[lo : hi - 1], strict=True)
        ]
        for i, pull in enumerate(upper):
            diagonal[i] += pull
            diagonal[i + 1] += pull
        return upper


def _tridiagonal(diagonal: list[float], upper: list[float], right_side: list[float]) -> list[float]:
    """Solve the symmetric system whose off-diagonals are -upper (Thomas' elimination)."""
    d, r = diagonal[0], right_side[0]
    pivots, tops = [d], [r]
    for u, next_d, next_r in zip(upper, diagonal[1:], right_side[1:], strict=True):
        share = u / d
        d = next_d - share * u
        r = next_r + share * r
        pivots.append(d)
        tops.append(r)
    value = r / d
    found = [value]
    for u, d, r in zip(reversed(upper), reversed(pivots[:-1]), reversed(tops[:-1]), strict=True):
        value = (r + u * value) / d
        found.append(value)
    found.reverse()
    return found


def _steps(length_s: float, pace: Pace) -> list[float]:
    """Growing steps that fill one stretch of heating exactly."""
    step, longest = length_s * pace.first / pace.fine, length_s * pace.longest / pace.fine
    steps: list[float] = []
    total = 0.0
    while total < length_s:
        steps.append(step)
        total += step
        step = min(step * pace.grow, longest)
    share = length_s / total
    return [s * share for s in steps]


def heated(
    bar: Bar,
    around: Around,
    flame: Flame,
    watch: Callable[[Sequence[float]], float],
    until: Callable[[float, float, float], bool],
    pace: Pace | None = None,
    account: bool = False,
) -> Course:
    """Drive the flame's cells through its programme, let go, and follow until `until` says enough.

    watch: reads the watched temperature out of all cells. until(time, watched, hottest watched):
    asked once the flame is off. account: also sum up the heat given, lost and stored.
    """
    pace = pace or Pace()
    solver = Stepper(bar, around)
    course = Course(hottest_K=list(solver.now))
    books = _Books(solver, flame) if account else None
    time = 0.0
    _note(course, solver, watch, time)
    for start, end in zip((0.0, *flame.kinks), flame.kinks, strict=False):
        if end <= start:
            continue
        solver.last_dt = 0.0
        for dt in _steps(end - start, pace):
            time += dt
            _drive(solver, flame, time, dt)
            _note(course, solver, watch, time)
            if books:
                books.enter(course, dt, driven=True)
    _let_go(solver, flame, course, watch, until, pace, books)
    course.last_K = list(solver.now)
    return course


def _drive(solver: Stepper, flame: Flame, time: float, dt: float) -> None:
    """One step with the flame's cells held at their programme."""
    kelvin = flame.at(time)
    count = len(solver.now)
    if flame.first > 0:
        solver.advance(dt, 0, flame.first, None, kelvin, 0.0)
    if flame.last < count:
        solver.advance(dt, flame.last, count, kelvin, None, 0.0)
    solver.last_dt = dt
    span = flame.last - flame.first
    solver.before[flame.first : flame.last] = solver.now[flame.first : flame.last]
    solver.now[flame.first : flame.last] = [kelvin] * span
    solver.held[flame.first : flame.last] = [solver.content_of(kelvin)] * span


def _let_go(
    solver: Stepper,
    flame: Flame,
    course: Course,
    watch: Callable[[Sequence[float]], float],
    until: Callable[[float, float, float], bool],
    pace: Pace,
    books: _Books | None,
) -> None:
    """Follow the bar after the flame, in steps that grow with the time since then."""
    count = len(solver.now)
    time = off = flame.off_s
    base = 0.1 * off
    step = pace.first * off / pace.fine
    solver.last_dt = 0.0
    while not until(time, course.watched_K[-1], max(course.watched_K)):
        time += step
        solver.advance(step, 0, count, None, None, 0.0)
        solver.last_dt = step
        _note(course, solver, watch, time)
        if books:
            books.enter(course, step, driven=False)
        step = min(step * pace.grow, pace.after * (base + time - off) / pace.fine)


def _note(course: Course, solver: Stepper, watch: Callable[[Sequence[float]], float], time: float) -> None:
    """Keep what is wanted of this moment."""
    course.times_s.append(time)
    course.watched_K.append(watch(solver.now))
    course.hottest_K = [a if a > b else b for a, b in zip(course.hottest_K, solver.now, strict=True)]


class _Books:
    """Heat given, lost and stored, added up step by step."""

    def __init__(self, solver: Stepper, flame: Flame) -> None:
        self.solver, self.flame = solver, flame
        self.start = self._stored()
        self.driven = self._stored(flame.first, flame.last)
        self.flow, self.lost, self.own = 0.0, 0.0, 0.0

    def _stored(self, lo: int = 0, hi: int | None = None) -> float:
        held, volume = self.solver.held[lo:hi], self.solver.volume[lo:hi]
        return sum(h * v for h, v in zip(held, volume, strict=True))

    def _lost(self, lo: int, hi: int) -> float:
        return sum(self.solver.loss(i, self.solver.now[i]) for i in range(lo, hi))

    def enter(self, course: Course, dt: float, driven: bool) -> None:
        """Add one step of dt to the course's accounts."""
        solver, flame = self.solver, self.flame
        now, first, last = solver.now, flame.first, flame.last
        lost = self._lost(0, len(now))
        course.lost_J += 0.5 * dt * (lost + self.lost)
        self.lost = lost
        if driven:
            kelvin, flow = now[first], self._lost(first, last)
            for side in ([first - 1] if first else []) + ([last] if last < len(now) else []):
                flow += solver.conduct(now[side], kelvin) * solver.edge[side] * (kelvin - now[side])
            stored = self._stored(first, last)
            course.given_J += 0.5 * dt * (flow + self.flow) + stored - self.driven
            self.flow, self.driven = flow, stored
        course.stored_J = self._stored() - self.start
