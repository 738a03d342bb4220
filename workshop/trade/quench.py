"""How hot the oil gets when a blade goes into it, and how long it takes to cool again."""

from __future__ import annotations

import math

from workshop.trade.steel_heat import STILL_AIR, heat_content

OIL_HEAT = 1884.0
"""J/kgK: quench oil, 0.45 cal/g°C at 20 °C (a heat treaters' journal; secondary). It rises as oil
warms, so a bath gets a little less hot than this says."""

OIL_DENSITY = 870.0
"""kg/m³ (from memory; mineral quench oils run 850 to 900)."""

SAFE_MARGIN_K = 27.8
"""Keep the oil 50 °F under its flash point (secondary)."""


def oil_after(
    steel_kg: float, from_K: float, oil_kg: float, oil_K: float, oil_J_kgK: float = OIL_HEAT
) -> float:
    """Common temperature, K, once the steel has given its heat to the oil and nothing is lost.

    Carbon steel by EN 1993-1-2, so the heat of its change of structure is counted. from_K must
    be above oil_K.
    """
    held, brought = oil_kg * oil_J_kgK, heat_content(from_K)

    def short(kelvin: float) -> float:
        return held * (kelvin - oil_K) - steel_kg * (brought - heat_content(kelvin))

    low, high = oil_K, from_K
    for _ in range(40):  # halves a thousand kelvin to a billionth of one
        middle = 0.5 * (low + high)
        low, high = (middle, high) if short(middle) < 0.0 else (low, middle)
    return 0.5 * (low + high)


def one_after_another(
    steel_kg: float, from_K: float, oil_kg: float, oil_K: float, blades: int
) -> list[float]:
    """Oil temperature, K, after each of several like blades with no wait between them."""
    temperatures = []
    for _ in range(blades):
        oil_K = oil_after(steel_kg, from_K, oil_kg, oil_K) if from_K > oil_K else oil_K
        temperatures.append(oil_K)
    return temperatures


def tank_surface(oil_m3: float) -> float:
    """Outside, m², of oil standing twice as tall as wide, top and bottom counted."""
    radius = math.cbrt(oil_m3 / (4.0 * math.pi))
    return 2.0 * math.pi * radius**2 + 2.0 * math.pi * radius * 4.0 * radius


def wait(
    hot_K: float,
    wanted_K: float,
    air_K: float,
    oil_kg: float,
    surface_m2: float,
    film_W_m2K: float = STILL_AIR,
) -> float | None:
    """Time, s, for the oil to fall from hot to wanted in still air; None if air is too warm for it.

    The bath is taken as stirred, its surface losing heat to still air (10 W/m²K, common practice).
    """
    if hot_K <= wanted_K:
        return 0.0
    if wanted_K <= air_K:
        return None
    return oil_kg * OIL_HEAT / (film_W_m2K * surface_m2) * math.log((hot_K - air_K) / (wanted_K - air_K))
