"""The quench bath: how hot the oil gets and how long it wants to cool, as the drawer offers it."""

from __future__ import annotations

from workshop.drawer.declare import Answer, Calculator, Example, Field, Given, Result, Source
from workshop.drawer.steels import degrees, step
from workshop.errors import ShopError
from workshop.trade import quench
from workshop.trade.steel_heat import ZERO_C, heat_content

BACK_WITHIN_K = 5.0
"""The next blade goes in when the oil is back within this of its start (common practice)."""

MANY = 50
"""Blades in a row beyond which nobody asks."""

FIRE = (
    "Quench oil burns: metal lid and a dry chemical or CO2 extinguisher in reach, no water near, "
    "face shield, "
    "gloves, cotton or wool; never alone without a way out. Usual cautions; local codes and "
    "licensed practice decide.",
    "Water in the oil foams over when it is heated: keep the bath covered and dry.",
    "Blade straight down and wholly under: half in, it lights the surface whatever the bath's heat.",
)


def _quench(given: Given) -> Answer:
    steel_kg, hot = given.number("mass"), given.number("from")
    start, flash, air = given.number("oil-start"), given.number("flash-point"), given.number("air")
    volume = given.number("oil-volume")
    oil_kg = volume * given.number("oil-density")
    blades = round(given.number("blades"))
    if start >= flash:
        raise ShopError(
            f"oil-start: {degrees(start)} is not under the oil's flash point of {degrees(flash)}; "
            "right would be "
            "the bath's own temperature, as 50 °C, and the flash point on the oil's data sheet."
        )
    after = quench.one_after_another(steel_kg, hot, oil_kg, start, MANY)
    oil_after = after[blades - 1]
    margin = flash - oil_after
    most = sum(1 for kelvin in after if flash - kelvin >= quench.SAFE_MARGIN_K)
    wanted = max(start, air) + BACK_WITHIN_K
    pause = quench.wait(oil_after, wanted, air, oil_kg, quench.tank_surface(volume))
    found: dict[str, float | str] = {"oil-after": oil_after, "rise": oil_after - start, "margin": margin}
    if pause is not None:
        found["wait"] = pause
    found["most"] = float(most)
    cautions = _cautions(margin, most, steel_kg * blades, volume, blades)
    return Answer(found, cautions, _working(steel_kg, hot, oil_kg, start, after[0], wanted), _ASSUMED)


def _cautions(margin: float, most: int, steel_kg: float, volume: float, blades: int) -> tuple[str, ...]:
    said = []
    if margin < 0.0:
        said.append(
            f"The oil passes its flash point by {step(-margin)}: do not quench. More oil, or fewer blades."
        )
    elif margin < quench.SAFE_MARGIN_K:
        said.append(
            f"Only {step(margin)} under the flash point; keep at least {step(quench.SAFE_MARGIN_K)} (50 °F). "
            "More oil, or fewer blades."
        )
    if most == 0 and margin >= 0.0:
        said.append("Not one blade keeps that margin with this bath.")
    litres_wanted = steel_kg / 0.45359237 * 3.785411784
    if volume * 1000.0 < litres_wanted:
        said.append(
            f"Trade's rule of one gallon of oil to a pound of steel would want {litres_wanted:.1f} l for "
            f"{blades} blade{'s' if blades > 1 else ''} (secondary)."
        )
    return tuple(said)


_ASSUMED = (
    "all the steel's heat stays in the oil, which is stirred; oil takes 1884 J/kgK (0.45 cal/g°C)",
    "the tank stands twice as tall as wide and loses 10 W/m²K to still air; a lid or a slim tube "
    "changes the wait",
    "the bath is back when it is within 5 °C of its start, or of the air where that is warmer",
)


def _working(
    steel_kg: float, hot: float, oil_kg: float, start: float, first: float, wanted: float
) -> tuple[str, ...]:
    heat = steel_kg * (heat_content(hot) - heat_content(first))
    return (
        f"one blade gives {heat / 1000:.0f} kJ from {degrees(hot)} to {degrees(first)} "
        f"({heat / steel_kg / (hot - first):.0f} J/kgK on the way)",
        f"oil {oil_kg:.2f} kg × 1884 J/kgK × {first - start:.1f} °C takes it up",
        "wait: oil mass × 1884 / (10 × tank's outside) × ln of what it stands over air, to "
        f"{wanted - ZERO_C:.0f} °C",
    )


QUENCH = Calculator(
    name="quench",
    title="Quench bath",
    purpose="How hot the oil gets, how far that is from its flash point, and how long to wait",
    fields=(
        Field(
            "mass",
            "mass",
            "steel of one blade, tang and all",
            "g",
            hard=("1 g", "20 kg"),
            likely=("50 g", "1.5 kg"),
        ),
        Field(
            "from",
            "temperature",
            "hardening heat",
            "°C",
            "810 °C",
            hard=("400 °C", "1150 °C"),
            likely=("760 °C", "1080 °C"),
        ),
        Field(
            "oil-volume",
            "volume",
            "oil in the bath",
            "l",
            "8 l",
            hard=("0.2 l", "500 l"),
            likely=("4 l", "40 l"),
        ),
        Field(
            "oil-start",
            "temperature",
            "oil before the quench",
            "°C",
            "50 °C",
            hard=("-10 °C", "200 °C"),
            likely=("18 °C", "65 °C"),
        ),
        Field(
            "flash-point",
            "temperature",
            "flash point, from the oil's data sheet",
            "°C",
            "177 °C",
            hard=("60 °C", "400 °C"),
            likely=("150 °C", "330 °C"),
        ),
        Field(
            "blades", "count", "blades one after another", "", "1", hard=("1", str(MANY)), likely=("1", "8")
        ),
        Field("air", "temperature", "shop air", "°C", "20 °C", hard=("-30 °C", "60 °C"), fills_from=("air",)),
        Field(
            "oil-density",
            "density",
            "density of the oil",
            "g/cm³",
            "0.87 g/cm³",
            hard=("0.7 g/cm³", "1.1 g/cm³"),
        ),
    ),
    results=(
        Result("oil-after", "temperature", "oil after the last blade", "°C", 0),
        Result("rise", "temperature step", "how much it rose", "°C", 0),
        Result("margin", "temperature step", "under the flash point", "°C", 0),
        Result("wait", "time", "until the oil is back", "min", 0),
        Result("most", "count", "blades in a row that keep 28 °C (50 °F) under the flash point", "", 0),
    ),
    work=_quench,
    sources=(
        Source("Heat of the steel: EN 1993-1-2:2005, 3.4.1, integrated", "published"),
        Source(
            "Quench oil 0.45 cal/g°C; a gallon to a pound rises about 38 °C (70 °F): a heat "
            "treaters' journal",
            "secondary",
        ),
        Source(
            "Oil kept 50 °F (28 °C) under its flash point; 350 °F about the least flash point to use",
            "secondary",
        ),
        Source("Oil density 0.87 g/cm³; loss of the tank 10 W/m²K", "from memory"),
    ),
    valid="Carbon and low-alloy steel into oil; not water, brine, polymer or plates. It tells of "
    "the whole bath, "
    "not of the film of oil at the blade, which boils and may light at any bath heat.",
    example=Example(
        {"mass": "1 lb", "from": "1550 °F", "oil-volume": "1 gal", "oil-start": "70 °F"},
        {"rise": 38.0},
        Source("a heat treaters' journal: one gallon to one pound rises about 38 °C (70 °F)", "secondary"),
        within=4.5,
    ),
    cautions=FIRE,
)

CALCULATORS: tuple[Calculator, ...] = (QUENCH,)
