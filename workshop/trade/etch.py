"""Mixing ferric chloride etchant by mass balance: masses add, volumes do not."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass


def _between(xs: Sequence[float], ys: Sequence[float], x: float) -> float:
    """Straight between two of a rising table's points; ValueError outside it."""
    if not xs[0] - 1e-9 <= x <= xs[-1] + 1e-9:
        raise ValueError(f"{x:g} is outside {xs[0]:g} to {xs[-1]:g}")
    i = min(max(bisect_right(xs, x) - 1, 0), len(xs) - 2)
    return ys[i] + (ys[i + 1] - ys[i]) * (x - xs[i]) / (xs[i + 1] - xs[i])


@dataclass(frozen=True, slots=True)
class Densities:
    """Density of ferric chloride in water, kg/m³, by share of weight and temperature.

    shares: rising, 0 for water alone. temperatures_K: rising. table[i][j]: at shares[i] and
    temperatures_K[j].
    """

    shares: tuple[float, ...]
    temperatures_K: tuple[float, ...]
    table: tuple[tuple[float, ...], ...]

    def column(self, kelvin: float) -> list[float]:
        """Density of every tabulated share at one temperature; ValueError outside the table."""
        return [_between(self.temperatures_K, row, kelvin) for row in self.table]

    def density(self, share: float, kelvin: float) -> float:
        """Density, kg/m³; ValueError outside the table."""
        return _between(self.shares, self.column(kelvin), share)

    def share(self, density: float, kelvin: float) -> float:
        """Share of weight that has this density; ValueError outside the table."""
        return _between(self.column(kelvin), self.shares, density)


def specific_gravity(baume: float, modulus: float = 145.0) -> float:
    """Specific gravity at 60 °F of a liquid heavier than water, from degrees Baumé.

    The modulus is 145 on the common scale; old books use 152 or 144.3.
    """
    return modulus / (modulus - baume)


@dataclass(frozen=True, slots=True)
class Mixture:
    """What to pour and what comes of it: volumes m³, share of weight, density kg/m³."""

    stock_m3: float
    water_m3: float
    share: float
    density: float
    made_m3: float


def mix(table: Densities, stock_share: float, parts: float, made_m3: float, kelvin: float) -> Mixture:
    """Mix one part of stock with `parts` of water by volume so that `made_m3` results.

    Masses are added and the mixture's density read from the table; it fills about 1 % less than
    its parts did. ValueError outside the table.
    """
    stock_density, water_density = table.density(stock_share, kelvin), table.density(0.0, kelvin)
    stock_kg, water_kg = stock_density, parts * water_density
    share = stock_kg * stock_share / (stock_kg + water_kg)
    density = table.density(share, kelvin)
    scale = made_m3 * density / (stock_kg + water_kg)
    return Mixture(scale, scale * parts, share, density, made_m3)


def parts_for(table: Densities, stock_share: float, target_share: float, kelvin: float) -> float:
    """Parts of water to one of stock, by volume, that bring it down to a share of weight."""
    water_kg = table.density(stock_share, kelvin) * (stock_share / target_share - 1.0)
    return water_kg / table.density(0.0, kelvin)
