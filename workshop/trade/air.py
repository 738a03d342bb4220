"""Water in the air: where it settles on cold steel, and how near that is.

Temperatures K, humidities 0 to 1, pressures Pa.
"""

from __future__ import annotations

import math

from workshop.errors import ShopError

ZERO_C_K = 273.15

WATER_RANGE_K = (228.15, 333.15)
"""-45 to 60 °C: where the formula over water holds (Sonntag 1990)."""

ICE_RANGE_K = (208.15, 273.16)
"""-65 to 0.01 °C: where the formula over ice holds (Sonntag 1990)."""

_REFERENCE_PA = 611.2
_WATER = (17.62, 243.12)
_ICE = (22.46, 272.62)


def _pressure(temperature_K: float, constants: tuple[float, float]) -> float:
    slope, offset = constants
    t = temperature_K - ZERO_C_K
    return _REFERENCE_PA * math.exp(slope * t / (offset + t))


def _temperature(pressure_Pa: float, constants: tuple[float, float]) -> float:
    slope, offset = constants
    ratio = math.log(pressure_Pa / _REFERENCE_PA)
    return ZERO_C_K + offset * ratio / (slope - ratio)


def saturation_pressure(temperature_K: float) -> float:
    """Return the pressure of water vapour (Pa) that air over water can hold.

    es = 611.2·exp(17.62·t/(243.12 + t)), t in °C. Source: Sonntag 1990. -45 to 60 °C.
    """
    return _pressure(temperature_K, _WATER)


def vapour_pressure(air_K: float, humidity: float) -> float:
    """Return the pressure of the water vapour in the air (Pa).

    Humidity is taken over water, as hygrometers read it, also below 0 °C. Raises
    ShopError for a humidity that is not above 0 and up to 1.
    """
    if not 0.0 < humidity <= 1.0:
        raise ShopError(f"humidity is {humidity:.0%}; it is above 0 % and up to 100 %")
    return humidity * saturation_pressure(air_K)


def dew_point(air_K: float, humidity: float) -> float:
    """Return the temperature (K) at which dew settles from this air.

    Td = 243.12·g/(17.62 − g), g = ln(h) + 17.62·t/(243.12 + t). Source: Sonntag 1990,
    over water. Below 0 °C frost comes first: see `frost_point`.

    >>> round(dew_point(293.15, 0.50) - 273.15, 1)
    9.3
    """
    return _temperature(vapour_pressure(air_K, humidity), _WATER)


def frost_point(air_K: float, humidity: float) -> float | None:
    """Return the temperature (K) at which frost settles from this air, None if dew comes first.

    Source: Sonntag 1990, over ice: 611.2·exp(22.46·t/(272.62 + t)). It lies above the dew
    point, by about 1 K at -9 °C.
    """
    found = _temperature(vapour_pressure(air_K, humidity), _ICE)
    return found if found < ZERO_C_K else None


def surface_humidity(air_K: float, humidity: float, steel_K: float) -> float:
    """Return the relative humidity (0 upward) of this air where it touches the steel.

    The vapour pressure of the air over what air at the steel's temperature can hold;
    above 1 water settles.
    """
    return vapour_pressure(air_K, humidity) / saturation_pressure(steel_K)
