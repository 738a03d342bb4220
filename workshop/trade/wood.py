"""How much water wood holds in the air around it, and how much it moves with that.

Moistures are fractions of the oven-dry mass (0.12 for 12 %), humidities 0 to 1,
temperatures K, sizes m. Coefficients are the change of size per 1 % of moisture, as
the tables print them.
"""

from __future__ import annotations

from workshop.errors import ShopError

ZERO_C_K = 273.15

TABLE_AIR_K = (272.0388888888889, 405.3722222222222)
"""30 °F and 270 °F: the table behind the equation ends there."""

TABLE_HUMIDITY = (0.05, 0.95)
"""The table behind the equation holds 5 to 95 % relative humidity."""

COEFFICIENT_MOISTURE = (0.06, 0.14)
"""Where the change coefficients hold."""

FIBRE_SATURATION = 0.30
"""Above about this moisture wood no longer moves (average; species 0.22 to 0.35)."""

SMALLEST_HIDE_M = 0.0001
"""Added to half the swing, so that a step never quite closes (common practice)."""

STABILISED_SHARE = (0.1, 0.3)
"""What stabilising leaves of the swing (common practice; no source)."""


def equilibrium_moisture(air_K: float, humidity: float) -> float:
    """Return the moisture wood settles at in still air, as a fraction of its dry mass.

    EMC% = (1800/W)·[Kh/(1−Kh) + (K1·Kh + 2·K1·K2·K²h²)/(1 + K1·Kh + K1·K2·K²h²)], with
    W, K, K1, K2 quadratics in °C. Source: Wood Handbook, FPL-GTR-282, ch. 4, Eq. 4-5.
    Holds 30 to 270 °F and 5 to 95 % humidity; derived mainly from Sitka spruce, and lies
    midway between wood that is drying and wood that is taking on water, which differ by
    1 to 4 points at 50 %. Raises ShopError for a humidity outside 0 to 1.

    >>> round(100 * equilibrium_moisture(294.26, 0.50), 1)
    9.2
    """
    if not 0.0 <= humidity <= 1.0:
        raise ShopError(f"humidity is {humidity:.0%}; it is between 0 % and 100 %")
    t = air_K - ZERO_C_K
    mass = 349.0 + 1.29 * t + 0.0135 * t * t
    k = 0.805 + 0.000736 * t - 0.00000273 * t * t
    k1 = 6.27 - 0.00938 * t - 0.000303 * t * t
    k2 = 1.91 + 0.0407 * t - 0.000293 * t * t
    kh = k * humidity
    bound = k1 * kh + k1 * k2 * kh * kh
    twice = k1 * kh + 2.0 * k1 * k2 * kh * kh
    return 18.0 / mass * (kh / (1.0 - kh) + twice / (1.0 + bound))


def coefficient_from_shrinkage(shrinkage: float) -> float:
    """Return the change per 1 % moisture that belongs to a total shrinkage (fraction).

    C = 1 / (30·100/S − 30 + 10): the Wood Handbook's shrinkage formula taken at 10 %
    moisture. It gives back Table 13-5 to its last digit for the species that have both.
    """
    return 1.0 / (30.0 / shrinkage - 30.0 + 10.0)


def shrinkage_from_coefficient(coefficient: float) -> float:
    """Return the total shrinkage (fraction) that belongs to a change per 1 % moisture.

    The formula of `coefficient_from_shrinkage`, turned round.
    """
    return 30.0 / (1.0 / coefficient + 20.0)


def within_coefficients(*moistures: float) -> bool:
    """Return whether all moistures lie in the 6 to 14 % for which coefficients hold."""
    least, most = COEFFICIENT_MOISTURE
    return all(least - 1e-12 <= moisture <= most + 1e-12 for moisture in moistures)


def swing_by_coefficient(width_m: float, coefficient: float, start: float, end: float) -> float:
    """Return the change of width (m, growth positive) between two moistures.

    ΔD = D·C·(M_end − M_start), M in per cent. Source: Wood Handbook, FPL-GTR-190, ch. 13,
    Eq. 13-2. Holds between 6 and 14 % moisture: see `within_coefficients`.
    """
    return width_m * coefficient * 100.0 * (end - start)


def swing_by_shrinkage(width_m: float, shrinkage: float, start: float, end: float, measured: float) -> float:
    """Return the change of width (m, growth positive) between two moistures.

    ΔD = D·(M_end − M_start) / (30·100/S − 30 + M), where D is the width at the moisture
    M it was measured at. Source: Wood Handbook, FPL-GTR-190, ch. 13, Eq. 13-3 (there M is
    M_start). Shrinkage S is green to oven dry, a fraction. Above 30 % wood stands still,
    so moistures are cut off there.
    """
    start, end, measured = (min(each, FIBRE_SATURATION) for each in (start, end, measured))
    return width_m * 100.0 * (end - start) / (30.0 / shrinkage - 30.0 + 100.0 * measured)


def reveal(swing_m: float) -> float:
    """Return the least chamfer or step (m) that hides a swing: half of it and 0.1 mm.

    Common practice, no source: the movement shows at two sides, and a hair is kept open.
    """
    return abs(swing_m) / 2.0 + SMALLEST_HIDE_M
