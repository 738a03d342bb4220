"""How glue and oil age with the shop's air.

A mark of an adhesive is an age at the label's temperature. Colder, the same age takes longer: by its
activation energy (the equivalent age of ASTM C1074), or, where a store gives none, by the shop's rule
that the time doubles for every `halving` kelvin of fall. Below a floor the cure stands still as long as
it stays cold; above a ceiling the rule is not known to hold. Damp air slows what dries. Times in
seconds, temperatures in kelvin, humidity 0 to 1.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import exp, inf, isfinite

from workshop.errors import ShopError

GAS_CONSTANT = 8.31446261815324
"""J/(mol·K), exact since 2019."""

AirRecord = Sequence[tuple[float, float]]
"""Since mixing (s) and the air's temperature from then on (K); the first at 0 s, times rising."""

RateRecord = Sequence[tuple[float, float]]
"""Since mixing (s) and the seconds of age gained in each second from then on; the first at 0 s."""

USUAL_ACTIVATION_J_PER_MOL = 52_000.0
"""What doubles the rate for ten kelvin near room temperature: 2.02 from 20 to 30 °C, computed."""


@dataclass(frozen=True, slots=True)
class CureRule:
    """How one adhesive's or oil's marks move with the air.

    reference_K: the label's temperature. activation_J_per_mol: how steeply the rate rises with warmth;
    None for the rule of thumb, by which halving_K is the fall that doubles every time. floor_K: below it
    nothing ages. ceiling_K: above it the rule is not known to hold and no faster ageing is counted.
    damp_from, damp_full, damp_times: from this humidity on the times lengthen, up to so many times.
    """

    reference_K: float
    halving_K: float = 10.0
    floor_K: float = 0.0
    ceiling_K: float = inf
    activation_J_per_mol: float | None = None
    damp_from: float = 1.0
    damp_full: float = 1.0
    damp_times: float = 1.0

    def __post_init__(self) -> None:
        if self.halving_K <= 0:
            raise ShopError(f"halving is {self.halving_K:g} K; it must be more than nothing, usually 10 K")
        if not self.floor_K < self.ceiling_K:
            raise ShopError(
                f"floor {self.floor_K - 273.15:g} °C is not below ceiling {self.ceiling_K - 273.15:g} °C"
            )
        if self.activation_J_per_mol is not None and not 0 < self.activation_J_per_mol <= 300_000:
            raise ShopError(
                f"activation is {self.activation_J_per_mol / 1000:g} kJ/mol; it must be from above 0 to 300 "
                "kJ/mol, for an epoxy about 52"
            )
        if self.damp_times < 1 or (self.damp_times > 1 and not self.damp_from < self.damp_full):
            raise ShopError(
                "damp air lengthens drying between two humidities, by 1 or more times; right would be from "
                "60 % to 85 %, 2 times"
            )


def scale(air_K: float, reference_K: float, halving_K: float = 10.0) -> float:
    """Return by how much a time of the label lengthens at a temperature: 2^((Tref − T)/halving).

    Common practice, from adhesive makers' guidance; a doubling per 10 K is what an activation energy
    of 51 to 53 kJ/mol gives between 20 and 35 °C. Valid about 10 to 40 °C: `CureRule` holds the limits.
    Raises ShopError for a halving of nothing.
    """
    if not halving_K > 0:
        raise ShopError(f"halving is {halving_K:g} K; it must be more than nothing, usually 10 K")
    return float(2.0 ** ((reference_K - air_K) / halving_K))


def rate(air_K: float, rule: CureRule, humidity: float | None = None) -> float:
    """Return seconds of age gained in one second: 0 below the floor, no more than at the ceiling.

    humidity (0 to 1): damp air slows what dries where the rule says so; None when it is not known.
    """
    if air_K < rule.floor_K:
        return 0.0
    held_K = min(air_K, rule.ceiling_K)
    if rule.activation_J_per_mol is None:
        speed = 1 / scale(held_K, rule.reference_K, rule.halving_K)
    else:
        speed = arrhenius(held_K, rule.reference_K, rule.activation_J_per_mol)
    return speed / damp(humidity, rule)


def damp(humidity: float | None, rule: CureRule) -> float:
    """Return by how much damp air lengthens drying: 1 when dry or not known, straight up to `damp_times`."""
    if humidity is None or rule.damp_times == 1 or humidity <= rule.damp_from:
        return 1.0
    share = min((humidity - rule.damp_from) / (rule.damp_full - rule.damp_from), 1.0)
    return 1.0 + share * (rule.damp_times - 1.0)


def check_record(record: AirRecord) -> None:
    """Refuse a record of temperatures that is empty, does not start at the mixing or runs backward."""
    if not record:
        raise ShopError("air is empty; give one temperature, like 18 °C, or times and temperatures")
    if record[0][0] != 0:
        raise ShopError(
            f"air starts {record[0][0] / 3600:g} h after the mixing; its first temperature must be from 0 h"
        )
    for (earlier, _), (later, _) in pairwise(record):
        if not later > earlier:
            raise ShopError(
                f"air has {later / 3600:g} h after {earlier / 3600:g} h; its times must rise, one to the next"
            )
    for _, air_K in record:
        if not isfinite(air_K) or air_K <= 0:
            raise ShopError(f"air has {air_K - 273.15:g} °C, which is no temperature")


def age_of(rates: RateRecord, until_s: float) -> float:
    """Return the age (s) gained by `until_s`: the sum of rate times time, each rate holding to the next."""
    ends = [since for since, _ in rates[1:]] + [inf]
    return sum(
        (min(end, until_s) - since) * speed
        for (since, speed), end in zip(rates, ends, strict=True)
        if until_s > since
    )


def time_of(rates: RateRecord, age_s: float) -> float | None:
    """Return when (s since mixing) an age is reached, or None for never at the last rate."""
    ends = [since for since, _ in rates[1:]] + [inf]
    aged = 0.0
    for (since, speed), end in zip(rates, ends, strict=True):
        if aged >= age_s:
            return since
        if speed > 0 and aged + (end - since) * speed >= age_s:
            return since + (age_s - aged) / speed
        aged += (end - since) * speed if isfinite(end) else 0.0
    return None


def rates_of(record: AirRecord, rule: CureRule) -> RateRecord:
    """Return the rates under a record of temperatures. Raises ShopError for a bad record."""
    check_record(record)
    return [(since, rate(air_K, rule)) for since, air_K in record]


def equivalent_age(record: AirRecord, until_s: float, rule: CureRule) -> float:
    """Return the age at the label's temperature (s) that a joint has `until_s` after mixing.

    With an activation energy this is ASTM C1074's te = Σ exp(−Q(1/Ta − 1/Ts))·Δt, Q = Ea/R. Below the
    floor nothing is added; above the ceiling no more than at it. Raises ShopError for a bad record.
    """
    return age_of(rates_of(record, rule), until_s)


def time_at_age(record: AirRecord, age_s: float, rule: CureRule) -> float | None:
    """Return when (s since mixing) a joint reaches an age, or None for never at the last temperature.

    The inverse of `equivalent_age`. Raises ShopError for a bad record.
    """
    return time_of(rates_of(record, rule), age_s)


def marks_scaled(
    marks_s: Sequence[tuple[float, float | None]], record: AirRecord, rule: CureRule
) -> tuple[tuple[float | None, float | None], ...]:
    """Return each mark's opening and shutting (s since mixing) under a record of temperatures.

    marks_s: openings and shuttings as ages at the label's temperature; a shutting may be None.
    In the answer None is a shutting that was None, or a time that is never reached while it stays so cold.
    Raises ShopError for a bad record.
    """
    return tuple(
        (time_at_age(record, opens, rule), None if shuts is None else time_at_age(record, shuts, rule))
        for opens, shuts in marks_s
    )


def arrhenius(air_K: float, reference_K: float, activation_J_per_mol: float) -> float:
    """Return how fast a reaction runs against its speed at the reference: exp(−(Ea/R)(1/T − 1/Ts)).

    The form of ASTM C1074's equivalent age, with Q = Ea/R. Valid where one reaction governs: for
    amine-cured epoxy the literature gives 55 to 60 kJ/mol; about 52 doubles the rate for ten kelvin.
    """
    return exp(-activation_J_per_mol / GAS_CONSTANT * (1 / air_K - 1 / reference_K))


def arrhenius_age(
    record: AirRecord, until_s: float, reference_K: float, activation_J_per_mol: float, floor_K: float = 0.0
) -> float:
    """Return the equivalent age (s) by ASTM C1074: Σ exp(−Q(1/Ta − 1/Ts))·dt, nothing below the floor."""
    rule = CureRule(reference_K, floor_K=floor_K, activation_J_per_mol=activation_J_per_mol)
    return equivalent_age(record, until_s, rule)
