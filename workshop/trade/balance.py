"""Where a knife balances: tapered solids, their weights, and their common centre.

Places x in m along the knife, 0 at the guard's front face, the blade positive. Sizes m,
masses kg, densities kg/m³.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from math import pi

from workshop.errors import ShopError

FILLS = {"bar": 1.0, "oval": pi / 4, "octagon": 2 * (2**0.5 - 1), "wedge": 0.5}
"""How much of its height × thickness a section fills: rectangle, ellipse, regular octagon, flat grind."""


@dataclass(frozen=True, slots=True)
class Station:
    """The height and thickness of a solid at one place along the knife."""

    x_m: float
    height_m: float
    thick_m: float


@dataclass(frozen=True, slots=True)
class Solid:
    """A body whose height and thickness run straight from station to station.

    stations: two or more, by rising x. fill: the share of height × thickness that the section
    fills (see `FILLS`), the same all along.
    """

    stations: tuple[Station, ...]
    fill: float = 1.0

    def __post_init__(self) -> None:
        for first, second in pairwise(self.stations):
            if not second.x_m > first.x_m:
                raise ShopError("two stations are at the same place; each must lie behind the one before")
        if len(self.stations) < 2:
            raise ShopError("a solid needs two stations at least, one at each end")
        if any(each.height_m < 0 or each.thick_m < 0 for each in self.stations):
            raise ShopError("a height or thickness is less than nothing")

    @property
    def back_m(self) -> float:
        """Return the place of its rear end."""
        return self.stations[0].x_m

    @property
    def front_m(self) -> float:
        """Return the place of its front end."""
        return self.stations[-1].x_m

    def at(self, x_m: float) -> Station | None:
        """Return its height and thickness at a place, None outside it."""
        for first, second in pairwise(self.stations):
            if first.x_m <= x_m <= second.x_m:
                along = (x_m - first.x_m) / (second.x_m - first.x_m)
                height = first.height_m + along * (second.height_m - first.height_m)
                return Station(x_m, height, first.thick_m + along * (second.thick_m - first.thick_m))
        return None

    def between(self, back_m: float, front_m: float) -> Solid | None:
        """Return the piece of it that lies between two places, None when nothing does."""
        back_m, front_m = max(back_m, self.back_m), min(front_m, self.front_m)
        ends = self.at(back_m), self.at(front_m)
        if front_m <= back_m or ends[0] is None or ends[1] is None:
            return None
        inner = tuple(each for each in self.stations if back_m < each.x_m < front_m)
        return Solid((ends[0], *inner, ends[1]), self.fill)

    def moved(self, by_m: float) -> Solid:
        """Return it at another place along the knife."""
        stations = tuple(Station(each.x_m + by_m, each.height_m, each.thick_m) for each in self.stations)
        return Solid(stations, self.fill)

    def measure(self) -> tuple[float, float]:
        """Return its volume (m³) and the moment of that volume about x = 0 (m⁴), exactly.

        Between two stations the section is A(s) = k·(h₀ + Δh·s)(t₀ + Δt·s), s from 0 to 1:
        V = kL·(h₀t₀ + (h₀Δt + t₀Δh)/2 + ΔhΔt/3), and with the lever L·s each divisor is one
        more. (The prismatoid rule gives the same volume; Machinery's Handbook.)
        """
        volume = moment = 0.0
        for first, second in pairwise(self.stations):
            length = second.x_m - first.x_m
            rise, widening = second.height_m - first.height_m, second.thick_m - first.thick_m
            plain = first.height_m * first.thick_m
            mixed = first.height_m * widening + first.thick_m * rise
            piece = length * (plain + mixed / 2 + rise * widening / 3)
            lever = length * length * (plain / 2 + mixed / 3 + rise * widening / 4)
            volume += self.fill * piece
            moment += self.fill * (first.x_m * piece + lever)
        return volume, moment


@dataclass(frozen=True, slots=True)
class Body:
    """A mass and the place of its own balance."""

    mass_kg: float
    x_m: float


def body(solid: Solid, density_kg_m3: float, voids: Iterable[Solid] = ()) -> Body:
    """Return the body of a solid less its voids (the voids are cut to the solid's length).

    Raises ShopError when the voids take all of it.
    """
    volume, moment = solid.measure()
    for void in voids:
        piece = void.between(solid.back_m, solid.front_m)
        if piece is not None:
            taken = piece.measure()
            volume, moment = volume - taken[0], moment - taken[1]
    if not volume > 0:
        raise ShopError("the hole in a part is larger than the part; check its sizes")
    return Body(density_kg_m3 * volume, moment / volume)


def common(bodies: Iterable[Body]) -> Body:
    """Return all bodies as one: x = Σ m·x / Σ m. Raises ShopError when they weigh nothing."""
    parts = tuple(bodies)
    mass = sum(each.mass_kg for each in parts)
    if not mass > 0:
        raise ShopError("the parts weigh nothing; give at least one with a size or a weight")
    return Body(mass, sum(each.mass_kg * each.x_m for each in parts) / mass)


def without(whole: Body, taken: Body) -> Body:
    """Return what is left of a body when another is taken out of it."""
    return common((whole, Body(-taken.mass_kg, taken.x_m)))


def sticks_out(inner: Solid, outer: Solid) -> float | None:
    """Return the first place from the rear where `inner` is higher or thicker than `outer`, None if nowhere.

    Only where both are; straight sides between stations make the stations enough to look at.
    """
    places = sorted({each.x_m for each in (*inner.stations, *outer.stations)})
    for place in places:
        small, large = inner.at(place), outer.at(place)
        if small is None or large is None:
            continue
        if small.height_m > large.height_m + 1e-9 or small.thick_m > large.thick_m + 1e-9:
            return place
    return None


def holes_in(tang: Solid, hole_m: float, holes: int) -> tuple[tuple[float, float], ...]:
    """Return place (m) and volume (m³) of holes drilled across a tang, spaced evenly over its rear half.

    A hole through straight-tapering sides takes its area times the thickness at its middle,
    exactly. Raises ShopError where a hole leaves less than its own size beside it: the usual
    edge distance is one and a half diameters from its middle (common practice).
    """
    rear, middle = tang.back_m, (tang.back_m + tang.front_m) / 2
    found = []
    for each in range(holes):
        place = rear + (middle - rear) * (each + 0.5) / holes
        section = tang.at(place)
        if section is None or section.height_m < 3 * hole_m:
            height = 0.0 if section is None else section.height_m
            raise ShopError(
                f"a hole of {1000 * hole_m:.4g} mm is too large for the tang, {1000 * height:.3g} mm high "
                "there; keep one and a half diameters from its middle to each edge"
            )
        if holes > 1 and (middle - rear) / holes < 2 * hole_m:
            raise ShopError(
                f"{holes} holes of {1000 * hole_m:.4g} mm do not go into the rear half of the tang, "
                f"{1000 * (middle - rear):.3g} mm: take fewer or smaller"
            )
        found.append((place, pi * hole_m**2 / 4 * section.thick_m))
    return tuple(found)
