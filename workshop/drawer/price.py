"""The drawer's price: what a knife must cost, the floor under it and where the money goes."""

from __future__ import annotations

from typing import Any

from workshop.drawer.declare import Answer, Calculator, Example, Field, Given, Result, Source
from workshop.drawer.wording import percent, series
from workshop.trade import price

_OTHERS = ("consumables", "machine", "sheath")


def _price(given: Given) -> Answer:
    hours = sum(series(given, "hours")) / 3600
    rate, materials = given.number("rate"), sum(series(given, "materials"))
    markup, reserve, tax = given.number("markup"), given.number("reserve"), given.number("tax")
    others = {name: given.number(name) for name in _OTHERS}
    worked = price.price(
        labour=hours * rate, materials=materials, markup=markup, others=others, reserve=reserve, tax=tax
    )
    found: dict[str, float | str] = {"price": worked.price, "floor": worked.floor}
    if worked.price > 0:
        found |= {f"shares {name}": part / worked.price for name, part in worked.parts.items() if part}
    rest = sum(others.values())
    before = hours * rate + materials * markup + rest
    cautions = []
    if not materials or not given.number("consumables"):
        cautions.append("belts, glue, fuel and sheath count too: a quote without them is under-priced")
    if hours < 15:
        cautions.append("25 to 45 hours is usual for a hidden-tang pattern-welded knife (common practice)")
    return Answer(
        found,
        cautions=tuple(cautions),
        working=(
            f"{hours:.2f} h × {rate:.2f} + {materials:.2f} × {markup:.2f} + {rest:.2f} = {before:.2f}",
            f"with {percent(reserve)} for the one that fails: {before * (1 + reserve):.2f}; "
            f"with {percent(tax)} tax: {worked.price:.2f}",
            f"floor: ({hours * rate:.2f} + {materials:.2f} + {rest:.2f}) × (1 + {percent(reserve)}) = "
            f"{worked.floor:.2f}",
        ),
    )


def _money(name: str, says: str, **more: Any) -> Field:
    return Field(name, "money", says, hard=("0", "1000000"), **more)


PRICE = Calculator(
    name="price",
    title="Price of a knife",
    purpose="What to ask, what not to go under, and where the money goes",
    fields=(
        Field(
            "hours",
            "time",
            "hands-on time; several stages as 3 h; 5.5 h",
            unit="h",
            hard=("0 h", "2000 h"),
            likely=("0 h", "60 h"),
            fills_from=("hours-by-hand",),
            many=True,
        ),
        _money("rate", "what an hour earns"),
        _money("materials", "steel, wood, fittings; several as 12.5; 6; 3", default="0", many=True),
        Field(
            "markup", "number", "materials times this", default="1.3", hard=("1", "5"), likely=("1.2", "1.5")
        ),
        _money("consumables", "belts, glue, etchant, oil", default="0"),
        _money("machine", "machine and fuel", default="0"),
        _money("sheath", "leather and what goes with it", default="0"),
        Field(
            "reserve",
            "share",
            "set aside for the knife that fails",
            unit="%",
            default="15 %",
            hard=("0 %", "100 %"),
            likely=("10 %", "20 %"),
        ),
        Field("tax", "share", "sales tax added at the end", unit="%", default="0 %", hard=("0 %", "50 %")),
    ),
    results=(
        Result("price", "money", "price to ask, tax included", digits=2),
        Result("floor", "money", "the least: no markup, no tax", digits=2),
        Result("shares", "share", "part of the price", unit="%", digits=1, family=True),
    ),
    work=_price,
    sources=(
        Source(
            "Hours × rate + materials × (1.2 to 1.5) + consumables + machine and fuel + sheath, a reserve of "
            "10-20 %, and tax",
            "common practice",
        ),
    ),
    valid="one currency throughout; tax and trade rules are local",
    example=Example(
        given={
            "hours": "30 h",
            "rate": "25",
            "materials": "100",
            "markup": "1.3",
            "consumables": "30",
            "reserve": "10 %",
            "tax": "20 %",
        },
        found={"price": 1201.2, "floor": 968.0},
        source=Source("(750 + 130 + 30) × 1.1 × 1.2; (750 + 100 + 30) × 1.1, by hand", "computed"),
        within=0.005,
    ),
)

CALCULATORS: tuple[Calculator, ...] = (PRICE,)
