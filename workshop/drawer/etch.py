"""Mixing the etch bath from ferric chloride stock, as the drawer offers it."""

from __future__ import annotations

import re

from workshop import measure
from workshop.drawer.declare import Answer, Calculator, Example, Field, Given, Result, Source
from workshop.drawer.steels import degrees, to_kelvin
from workshop.errors import ShopError
from workshop.trade import etch
from workshop.trade.steel_heat import ZERO_C

COOLEST_K, WARMEST_K = ZERO_C, ZERO_C + 60.0
ORDER = (
    "water into the vessel first, all of it; then the stock into the water, slowly, stirring; "
    "never water into the stock"
)

ACID = (
    "Concentrate into water, never the other way: dilution warms it. Goggles, nitrile gloves, "
    "apron, plastic vessel, "
    "moving air. Usual cautions; the safety data sheet, local codes and licensed practice decide.",
    "It eats aluminium, steel, copper alloys and nylon and stains for good; its vapour rusts "
    "every tool in the room.",
    "Spent etchant carries dissolved metal: not to the drain; hazardous waste by local rule.",
)

_BAUME = re.compile(r"(\d{1,3}(?:[.,]\d{1,3})?)\s*°?\s*(?:be|bé|baume|baumé)\.?", re.IGNORECASE)
_RIGHT = "right would be like 42Be, 40% or 1.42 g/ml"


def _table(given: Given) -> etch.Densities:
    """The store's density table up to 60 °C, water first, in kg/m³ and kelvin."""
    ferric, water = given.stores["etchants"]["ferric-chloride"], given.stores["etchants"]["water"]
    heats = [to_kelvin(float(t), str(ferric["temperature-unit"])) for t in ferric["temperatures"]]
    kept = [i for i, kelvin in enumerate(heats) if kelvin <= WARMEST_K + 0.01]
    pure = [1000.0 * float(d) for d in water["densities"]]
    if [float(t) for t in water["temperatures"]] != [float(ferric["temperatures"][i]) for i in kept]:
        raise ShopError(
            "etchants: water's temperatures are not those of ferric chloride up to 60 °C in the store."
        )
    rows = [tuple(1000.0 * float(row[1 + i]) for i in kept) for row in ferric["rows"]]
    shares = [float(row[0]) / 100.0 for row in ferric["rows"]]
    return etch.Densities((0.0, *shares), tuple(heats[i] for i in kept), (tuple(pure), *rows))


def _stock(given: Given, table: etch.Densities, air_K: float) -> tuple[float, str]:
    """The stock's share of weight, and how it was read."""
    text = " ".join(given.word("stock").removesuffix("by weight").split())
    if len(text) > 40:
        raise ShopError(f"stock: too long to be a strength; {_RIGHT}.")
    try:
        share, read_as = _read_stock(given, table, air_K, text)
        if share < table.shares[1]:
            raise ValueError
    except ValueError:
        raise ShopError(
            f"stock: {text!r} is outside the table, which runs from 1 to 44 % by weight; {_RIGHT}."
        ) from None
    return share, read_as


def _read_stock(given: Given, table: etch.Densities, air_K: float, text: str) -> tuple[float, str]:
    """Read degrees Baumé, a percentage or a density; ValueError outside the table."""
    baume = _BAUME.fullmatch(text)
    if baume:
        return _from_baume(given, table, float(baume.group(1).replace(",", ".")))
    if text.endswith("%"):
        share = float(measure.read(text, "share", unit="%", field="stock"))
        table.density(share, air_K)
        return share, f"stock {share * 100:g} % by weight"
    plain = re.sub(r"kg/l$", "g/ml", text, flags=re.IGNORECASE)
    example = "42Be, 40% or 1.42 g/ml"
    density = float(measure.read(plain, "density", unit="g/cm³", field="stock", example=example))
    share = table.share(density, air_K)
    return share, f"{density / 1000:.3f} g/ml at {degrees(air_K)} is {share * 100:.1f} % by the table"


def _from_baume(given: Given, table: etch.Densities, baume: float) -> tuple[float, str]:
    scale = given.stores["etchants"]["baume"]
    modulus = float(scale["modulus"])
    if not 0.0 < baume < 0.5 * modulus:
        raise ValueError
    gravity = etch.specific_gravity(baume, modulus)
    density = gravity * 1000.0 * float(scale["water-at-reference"])
    share = table.share(
        density, float(measure.read(str(scale["reference"]), "temperature", field="reference"))
    )
    return share, (
        f"{baume:g} °Bé is {modulus:g}/({modulus:g} − {baume:g}) = {gravity:.4f} at 60 °F, "
        f"{share * 100:.1f} % by the table"
    )


def _etch_mix(given: Given) -> Answer:
    air_K = given.number("air")
    table = _table(given)
    stock, read_as = _stock(given, table, air_K)
    parts, target = given.maybe("parts"), given.maybe("target")
    if parts is None and target is None:
        raise ShopError("etch-mix needs parts (of water to one of stock), as 3, or a target, as 10 %.")
    if parts is not None and target is not None:
        raise ShopError("etch-mix takes parts or a target, not both; right would be to empty one of them.")
    if target is not None:
        if not target < stock:
            raise ShopError(
                f"target: {target * 100:g} % is not under the stock's {stock * 100:.1f} %; water "
                "only weakens it."
            )
        parts = etch.parts_for(table, stock, target, air_K)
    assert parts is not None
    mixed = etch.mix(table, stock, parts, given.number("volume"), air_K)
    found: dict[str, float | str] = {
        "stock-volume": mixed.stock_m3,
        "water-volume": mixed.water_m3,
        "parts": parts,
        "percent": mixed.share,
        "density": mixed.density,
        "made": mixed.made_m3,
        "order": ORDER,
    }
    crude = stock / (1.0 + parts)
    working = (
        read_as,
        f"mass: stock {mixed.stock_m3 * table.density(stock, air_K) * 1000:.0f} g, water "
        f"{mixed.water_m3 * table.density(0.0, air_K) * 1000:.0f} g",
        f"{mixed.share * 100:.1f} % by weight; the rule of thumb by volume would say "
        f"{crude * 100:.1f} % and reads low",
        f"fills {mixed.made_m3 / (mixed.stock_m3 + mixed.water_m3) * 100:.1f} % of what its parts did",
    )
    return Answer(found, _strength(given, parts), working, _ASSUMED)


_ASSUMED = ("no free acid in the stock (commercial stock has some: its density then reads a little strong)",)


def _strength(given: Given, parts: float) -> tuple[str, ...]:
    """Which of the makers' usual baths this is nearest to."""
    baths = given.stores["etchants"].get("bath", ())
    for bath in baths:
        if bath["parts"][0] - 0.5 <= parts <= bath["parts"][1] + 0.5:
            low, high = bath["minutes"]
            return (
                f"{bath['title']}: {low} to {high} min a dip. {bath['note']} ({bath['source']}; "
                f"{bath['standing']})",
            )
    return (
        "Makers use one to seven parts of water to one of stock; this is outside that (common practice).",
    )


ETCH_MIX = Calculator(
    name="etch-mix",
    title="Etch bath, mixing",
    purpose="Stock and water for a bath of the wanted strength and volume, by mass balance",
    fields=(
        Field(
            "stock",
            "text",
            "ferric chloride stock: 42Be, 40% by weight, or its density",
            default="42Be",
            alike=True,
        ),
        Field(
            "parts",
            "number",
            "parts of water to one of stock, by volume",
            optional=True,
            hard=("0", "30"),
            likely=("1", "7"),
        ),
        Field(
            "target",
            "share",
            "strength wanted, by weight",
            "%",
            optional=True,
            hard=("1 %", "44 %"),
            likely=("5 %", "25 %"),
        ),
        Field(
            "volume", "volume", "bath wanted", "l", "1 l", hard=("10 ml", "200 l"), likely=("200 ml", "10 l")
        ),
        Field(
            "air",
            "temperature",
            "all of it is at",
            "°C",
            "20 °C",
            hard=("0 °C", "60 °C"),
            likely=("15 °C", "30 °C"),
            fills_from=("air",),
        ),
    ),
    results=(
        Result("stock-volume", "volume", "stock", "ml", 0),
        Result("water-volume", "volume", "water", "ml", 0),
        Result("parts", "number", "parts of water to one of stock", "", 2),
        Result("percent", "share", "strength by weight", "%", 1),
        Result("density", "density", "density of the bath", "g/cm³", 3),
        Result("made", "volume", "bath that results", "ml", 0),
        Result("order", "text", "order of mixing"),
    ),
    work=_etch_mix,
    sources=(
        Source(
            "Density of ferric chloride solutions, a manufacturer's table, 1 to 44 %, 0 to 60 °C", "secondary"
        ),
        Source(
            "Degrees Baumé, heavier than water: 145 / (145 − Bé) at 60 °F; old books use 152 or 144.3",
            "secondary",
        ),
        Source("Mass balance: masses add, volumes do not", "computed"),
        Source("Strength of baths and minutes a dip", "common practice"),
    ),
    valid="Ferric chloride in water, 1 to 44 % by weight, 0 to 60 °C, little free acid.",
    example=Example(
        {"stock": "42Be", "parts": "1", "volume": "1 l"},
        {"percent": 22.9, "density": 1.2136},
        Source("worked by mass balance from a 39.2 % stock of 1.4047 at 20 °C", "computed"),
        within=0.1,
    ),
    stores=("etchants",),
    cautions=ACID,
)

CALCULATORS: tuple[Calculator, ...] = (ETCH_MIX,)
