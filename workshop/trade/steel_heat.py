"""How carbon steel takes up, carries and gives off heat.

Source: EN 1993-1-2:2005, 3.2.2 (density) and 3.4.1 (specific heat, conductivity), carbon steel,
20 to 1200 °C. The specific heat has a peak of 5000 J/kgK at 735 °C, where the structure changes.
Alloyed steel conducts worse: a 5 % chromium tool steel about half as well.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

DENSITY = 7850.0
"""kg/m³, taken as constant (EN 1993-1-2, 3.2.2)."""

ZERO_C = 273.15
STEFAN = 5.670374419e-8
"""Stefan-Boltzmann constant, W/m²K⁴ (CODATA 2018)."""

STILL_AIR = 10.0
"""W/m²K: loss to still air (common practice, within the 5 to 25 handbooks give)."""

EMISSIVITY = 0.8
"""Of steel once it has oxidised (from memory; EN 1993-1-2 takes 0.7)."""

TOP_K = 1600
"""Tables end here, far above anything a tang should see."""


def specific_heat(temperature_K: float) -> float:
    """Specific heat, J/kgK, for 20 to 1200 °C (EN 1993-1-2, 3.4.1.2); the ends are carried on."""
    celsius = temperature_K - ZERO_C
    if celsius < 600.0:
        return 425.0 + 0.773 * celsius - 1.69e-3 * celsius**2 + 2.22e-6 * celsius**3
    if celsius < 735.0:
        return 666.0 + 13002.0 / (738.0 - celsius)
    if celsius < 900.0:
        return 545.0 + 17820.0 / (celsius - 731.0)
    return 650.0


def conductivity(temperature_K: float) -> float:
    """Thermal conductivity, W/mK, for 20 to 1200 °C (EN 1993-1-2, 3.4.1.3)."""
    celsius = temperature_K - ZERO_C
    return 54.0 - 0.0333 * celsius if celsius < 800.0 else 27.3


def heat_content(temperature_K: float) -> float:
    """Heat held above 0 °C, J/kg: the specific heat integrated in closed form, peak and all."""
    celsius = temperature_K - ZERO_C
    low = min(celsius, 600.0)
    held = 425.0 * low + 0.773 / 2 * low**2 - 1.69e-3 / 3 * low**3 + 2.22e-6 / 4 * low**4
    if celsius > 600.0:
        top = min(celsius, 735.0)
        held += 666.0 * (top - 600.0) - 13002.0 * math.log((738.0 - top) / 138.0)
    if celsius > 735.0:
        top = min(celsius, 900.0)
        held += 545.0 * (top - 735.0) + 17820.0 * math.log((top - 731.0) / 4.0)
    if celsius > 900.0:
        held += 650.0 * (celsius - 900.0)
    return held


@dataclass(frozen=True, slots=True)
class Material:
    """A solid's properties at every whole kelvin, for quick reading in a loop.

    content: J/m³ at i K. capacity: J/m³K between i and i+1 K (the slope of content, so that no
    heat is lost in the reading). conduct: W/mK at i+½ K.
    """

    content: tuple[float, ...]
    capacity: tuple[float, ...]
    conduct: tuple[float, ...]


@lru_cache(maxsize=1)
def carbon_steel() -> Material:
    """Carbon steel by EN 1993-1-2, tabulated once."""
    content = tuple(DENSITY * heat_content(float(i)) for i in range(TOP_K + 2))
    return Material(
        content,
        tuple(content[i + 1] - content[i] for i in range(TOP_K + 1)),
        tuple(conductivity(i + 0.5) for i in range(TOP_K + 1)),
    )


def plain(conductivity_W_mK: float, density: float, heat_J_kgK: float) -> Material:
    """A solid whose properties do not change with temperature, as textbooks' exact answers need."""
    per_m3 = density * heat_J_kgK
    return Material(
        tuple(per_m3 * i for i in range(TOP_K + 2)),
        (per_m3,) * (TOP_K + 1),
        (conductivity_W_mK,) * (TOP_K + 1),
    )
