"""What a knife must cost, and where the money goes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Price:
    """The price asked, the floor under it, and each part's amount of the price."""

    price: float
    floor: float
    parts: Mapping[str, float]


def price(
    *,
    labour: float,
    materials: float,
    markup: float,
    others: Mapping[str, float],
    reserve: float,
    tax: float,
) -> Price:
    """Return the price of a knife from its hours and costs.

    labour: hours times rate. materials: what they cost; markup multiplies them (1.2 to 1.5
    is usual). others: consumables, machine and fuel, sheath, as they cost. reserve: share
    set aside for the knife that fails (10 to 20 % is usual). tax: share added at the end.
    The floor is the same without markup and tax: under it the maker pays to work.
    """
    costs = labour + materials + sum(others.values())
    sold = costs + materials * (markup - 1)
    set_aside = sold * reserve
    duty = (sold + set_aside) * tax
    parts = {"labour": labour, "materials": materials, "markup": materials * (markup - 1), **others}
    parts |= {"reserve": set_aside, "tax": duty}
    return Price(sold + set_aside + duty, costs * (1 + reserve), parts)
