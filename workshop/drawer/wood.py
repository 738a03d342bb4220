"""The drawer's wood: what moisture it settles at, and how far it moves over a year."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from workshop.drawer.declare import Answer, Calculator, Example, Field, Given, Result, Source, Standing
from workshop.drawer.wording import plain
from workshop.errors import ShopError
from workshop.showable import showable
from workshop.trade import wood

MOISTURE = Source(
    "USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-282, ch. 4, Eq. 4-5 and Table 4-2", "published"
)
CHANGE = Source("Wood Handbook, FPL-GTR-190, ch. 13, Eq. 13-2, Table 13-5 (6 to 14 % moisture)", "published")
SHRINKAGE = Source("Wood Handbook, FPL-GTR-190, ch. 13, Eq. 13-3, with Table 4-3", "published")
REVEAL = Source(
    "Reveal of half the swing and 0.1 mm; stabilised wood keeps 0.1 to 0.3 of it", "common practice"
)

_STANDINGS: tuple[Standing, ...] = ("published", "secondary", "common practice", "computed", "from memory")
_OWN = "your own list of woods"

OWN_COEFFICIENT = "measure your own and give it as coefficient (change per 1 % moisture, such as 0.0025)"


@dataclass(frozen=True, slots=True)
class Noted:
    """A stored value with where it comes from."""

    value: float
    source: str
    standing: Standing


def noted(entry: Mapping[str, Any], key: str, sources: Mapping[str, str]) -> Noted | None:
    """Return a stored entry's value for `key`, or None where it has none.

    A plain number counts as the maker's own. Raises ShopError when it is not a number
    above zero, or its standing is none we know.
    """
    raw = entry.get(key)
    if raw is None:
        return None
    value, source, standing = raw, _OWN, "common practice"
    if isinstance(raw, Mapping):
        value, source = raw.get("value"), str(raw.get("source", _OWN))
        standing = str(raw.get("standing", "common practice"))
    where = f"{key} of {name_of(entry)}"
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not value > 0:
        raise ShopError(f"{where} is {value!r} in the store; a number above 0 would be right")
    for known in _STANDINGS:
        if standing == known:
            return Noted(float(value), sources.get(source, source), known)
    raise ShopError(f"{where} has the standing {standing!r}; right would be one of {', '.join(_STANDINGS)}")


def name_of(entry: Mapping[str, Any]) -> str:
    """Return what a stored entry is called: its name, else its id."""
    return str(entry.get("name") or entry.get("id") or "an entry without a name")


def find_entry(
    entries: list[Mapping[str, Any]], word: str, what: str, *, instead: str = "add an entry of your own"
) -> Mapping[str, Any]:
    """Return the one entry a word names: whole name, other name, or the only one that has its words.

    Case, commas, hyphens and the order of words do not matter. Raises ShopError with the
    choices when several fit, and with near names, and what would do `instead`, when none does.
    """
    wanted = set(plain(word).split())
    if not wanted:
        raise ShopError(f"{what} is empty; name one of the store, such as black walnut")
    partly: list[Mapping[str, Any]] = []
    names: dict[str, str] = {}
    for entry in entries:
        for name in (name_of(entry), str(entry.get("id", "")), *map(str, entry.get("also", ()))):
            words = set(plain(name).split())
            names[plain(name)] = name_of(entry)
            if words == wanted:
                return entry
            if wanted < words and entry not in partly:
                partly.append(entry)
    if len(partly) == 1:
        return partly[0]
    if partly:
        several = ", ".join(sorted(name_of(entry) for entry in partly))
        raise ShopError(f"{what} '{showable(word, 40)}' could be {several}: name one of them")
    near = get_close_matches(plain(word), names, n=3)
    hint = "perhaps " + " or ".join(dict.fromkeys(names[each] for each in near)) + "; or " if near else ""
    raise ShopError(f"{what} '{showable(word, 40)}' is not in the store: {hint}{instead}")


@dataclass(frozen=True, slots=True)
class _Movement:
    """What is known of a wood's movement in one direction of the grain."""

    coefficient: float
    shrinkage: float
    name: str
    notes: tuple[str, ...]
    cautions: tuple[str, ...]


def _species(given: Given, word: str) -> Mapping[str, Any] | None:
    """Return the wood of the store; None for one that is not there when the maker gives its coefficient."""
    woods = list(given.stores["woods"].get("wood", ()))
    try:
        return find_entry(woods, word, "species", instead=OWN_COEFFICIENT)
    except ShopError:
        if given.maybe("coefficient") is None:
            raise
        return None


def _movement(given: Given, grain: str) -> _Movement:
    own = given.maybe("coefficient")
    species = given.word("species")
    entry = _species(given, species) if species.strip() else None
    name = name_of(entry) if entry else species.strip() or "wood of your own coefficient"
    cautions = tuple(str(entry[key]) for key in ("hazard", "note") if key in entry) if entry else ()
    if own is not None:
        note = f"the change per 1 % is the one you gave, {own:.5f}"
        hazards = tuple(str(entry["hazard"]) for entry in (entry,) if entry and "hazard" in entry)
        return _Movement(own, wood.shrinkage_from_coefficient(own), name, (note,), hazards)
    if entry is None:
        raise ShopError("neither species nor coefficient is given: name the wood, or give its coefficient")
    sources: Mapping[str, str] = given.stores["woods"].get("source", {})
    change = noted(entry, grain, sources)
    total = noted(entry, f"shrinkage-{grain}", sources)
    if change is None and total is None:
        raise ShopError(f"species {name}: no published {grain} change is known for it; {OWN_COEFFICIENT}")
    notes = [f"{each.source} ({each.standing})" for each in (change, total) if each]
    if change is None and total is not None:
        notes.append("no coefficient in the table: computed from the total shrinkage by Eq. 13-3")
        coefficient = wood.coefficient_from_shrinkage(total.value / 100)
        return _Movement(coefficient, total.value / 100, name, tuple(notes), cautions)
    assert change is not None
    if total is None:
        notes.append("no total shrinkage in the table: outside 6 to 14 % it is computed from the coefficient")
    shrinkage = total.value / 100 if total else wood.shrinkage_from_coefficient(change.value)
    return _Movement(change.value, shrinkage, name, tuple(notes), cautions)


def _moisture(given: Given) -> Answer:
    air_K, humidity = given.number("air"), given.number("humidity")
    found = wood.equilibrium_moisture(air_K, humidity)
    t = air_K - wood.ZERO_C_K
    working = (
        f"h = {humidity:.3f}, T = {t:.1f} °C",
        f"M = 1800/W · [Kh/(1−Kh) + (K1·Kh + 2·K1·K2·K²h²)/(1 + K1·Kh + K1·K2·K²h²)] = {100 * found:.2f} %",
    )
    return Answer({"moisture": found}, working=working)


def _bars(width_m: float, low: float, high: float, size_at: list[tuple[float, float]]) -> tuple[str, ...]:
    """Draw the width against the humidity: a line a humidity, the bar from the driest end."""
    most = max(abs(change) for _, change in size_at) or 1.0
    lines = [f"humidity   {1000 * width_m:.1f} mm of wood, wider than at {100 * low:.0f} %"]
    for humidity, change in size_at:
        bar = "#" * round(30 * abs(change) / most)
        lines.append(f"{100 * humidity:6.0f} %   |{bar:<30}| {1000 * change:+6.2f} mm")
    return tuple(lines)


def _swing(given: Given) -> Answer:
    grain, width_m, air_K = given.word("grain"), given.number("width"), given.number("air")
    low, high = given.number("humidity-low"), given.number("humidity-high")
    made, stabilised = given.maybe("humidity-made"), given.word("stabilised") == "yes"
    moving = _movement(given, grain)
    ends = wood.equilibrium_moisture(air_K, low), wood.equilibrium_moisture(air_K, high)
    measured = min(ends) if made is None else wood.equilibrium_moisture(air_K, made)
    keeps = wood.STABILISED_SHARE[1] if stabilised else 1.0
    inside = wood.within_coefficients(*ends)

    def change(start: float, end: float) -> float:
        if inside:
            return keeps * wood.swing_by_coefficient(width_m, moving.coefficient, start, end)
        return keeps * wood.swing_by_shrinkage(width_m, moving.shrinkage, start, end, measured)

    swing_m = change(*ends)
    dry, wet = min(low, high), max(low, high)
    steps = [dry + (wet - dry) * each / 6 for each in range(7)]
    sizes = [(each, change(min(ends), wood.equilibrium_moisture(air_K, each))) for each in steps]
    found = {
        "swing": swing_m,
        "each-side": swing_m / 2,
        "reveal": wood.reveal(swing_m),
        "moisture-low": ends[0],
        "moisture-high": ends[1],
    }
    working = _swing_working(width_m, moving, ends, measured, keeps, swing_m)
    assumed = list(moving.notes)
    if made is None and not inside:
        assumed.append("the width was measured at the drier end (gives the larger swing)")
    return Answer(
        found,
        cautions=_swing_cautions(moving, inside, stabilised),
        working=working,
        assumed=tuple(assumed),
        figure=_bars(width_m, dry, wet, sizes) if wet > dry else (),
    )


def _swing_working(
    width_m: float,
    moving: _Movement,
    ends: tuple[float, float],
    measured: float,
    keeps: float,
    swing_m: float,
) -> tuple[str, ...]:
    start, end = (100 * each for each in ends)
    width, swing, kept = 1000 * width_m, 1000 * swing_m, "" if keeps == 1.0 else f" × {keeps:g}"
    first = f"moisture {start:.2f} % to {end:.2f} % ({moving.name})"
    if wood.within_coefficients(*ends):
        formula = (
            f"{width:.2f} mm × {moving.coefficient:.5f} × ({end:.2f} − {start:.2f}){kept} = {swing:.3f} mm"
        )
    else:
        total = 100 * moving.shrinkage
        formula = (
            f"{width:.2f} mm × ({end:.2f} − {start:.2f}) / "
            f"(3000/{total:.2f} − 30 + {100 * measured:.2f}){kept} = {swing:.3f} mm"
        )
    return first, formula, f"reveal = {abs(swing):.3f}/2 + 0.1 = {1000 * wood.reveal(swing_m):.2f} mm"


def _swing_cautions(moving: _Movement, inside: bool, stabilised: bool) -> tuple[str, ...]:
    cautions = list(moving.cautions)
    if not inside:
        cautions.append("moisture leaves 6 to 14 %: worked by the shrinkage formula, not by the coefficient")
    if stabilised:
        cautions.append("stabilised wood keeps 0.1 to 0.3 of its swing (common practice); 0.3 is taken")
    return tuple(cautions)


_AIR = Field(
    "air",
    "temperature",
    "temperature of the air",
    unit="°C",
    default="20 °C",
    hard=("30 °F", "270 °F"),
    likely=("5 °C", "40 °C"),
    fills_from=("air",),
)


def _humidity(name: str, says: str, **more: Any) -> Field:
    return Field(name, "humidity", says, unit="%", hard=("0 %", "100 %"), likely=("5 %", "95 %"), **more)


WOOD_MOISTURE = Calculator(
    name="wood-moisture",
    title="Wood moisture in this air",
    purpose="What moisture a block settles at, so that you know what it was when you measured it",
    fields=(_AIR, _humidity("humidity", "relative humidity of the air", fills_from=("humidity",))),
    results=(Result("moisture", "share", "moisture of wood that has settled", unit="%", digits=1),),
    work=_moisture,
    sources=(MOISTURE,),
    valid="30 to 270 °F and 5 to 95 % humidity, settled wood; midway between drying and wetting, "
    "which lie 1 to 4 points apart",
    example=Example(
        given={"air": "70 °F", "humidity": "50 %"},
        found={"moisture": 9.2},
        source=Source("Wood Handbook, FPL-GTR-282, Table 4-2, 70 °F", "published"),
        within=0.1,
    ),
    cautions=("a block needs weeks to settle; weigh it until it stands still",),
)

WOOD_SWING = Calculator(
    name="wood-swing",
    title="How far a handle moves over the year",
    purpose="The swing of the wood between the dry and the damp season, and the step that hides it",
    fields=(
        Field(
            "species", "word", "the wood, as in the store", optional=True, fills_from=("wood",), alike=True
        ),
        Field(
            "coefficient",
            "coefficient",
            "your own change per 1 % moisture",
            optional=True,
            hard=("0.0001", "0.01"),
            likely=("0.0008", "0.005"),
        ),
        Field(
            "width",
            "length",
            "size across the grain",
            unit="mm",
            hard=("0.1 mm", "2 m"),
            likely=("5 mm", "80 mm"),
            fills_from=("handle-width", "block-width"),
        ),
        Field(
            "grain",
            "choice",
            "does the size lie along the growth rings (tangential) or across them (radial)",
            default="tangential",
            choices=("tangential", "radial"),
        ),
        _humidity("humidity-low", "driest air it will live in", default="30 %"),
        _humidity("humidity-high", "dampest air it will live in", default="65 %"),
        _humidity("humidity-made", "air when it was measured", optional=True, fills_from=("humidity",)),
        _AIR,
        Field(
            "stabilised",
            "choice",
            "filled with resin",
            default="no",
            choices=("no", "yes"),
            fills_from=("stabilised",),
        ),
    ),
    results=(
        Result("swing", "length", "growth from humidity-low to humidity-high", unit="mm", digits=2),
        Result("each-side", "length", "half of it, at each side", unit="mm", digits=2),
        Result("reveal", "length", "least chamfer or step that hides it", unit="mm", digits=2),
        Result("moisture-low", "share", "moisture of the wood at humidity-low", unit="%", digits=1),
        Result("moisture-high", "share", "moisture of the wood at humidity-high", unit="%", digits=1),
    ),
    work=_swing,
    sources=(MOISTURE, CHANGE, SHRINKAGE, REVEAL),
    valid="coefficients from 6 to 14 % moisture, beyond them the shrinkage formula up to 30 %; "
    "settled wood of one species, no burl (a burl moves both ways)",
    example=Example(
        given={
            "species": "black walnut",
            "width": "30 mm",
            "grain": "tangential",
            "humidity-low": "41.99 %",
            "humidity-high": "60.19 %",
            "air": "70 °F",
        },
        found={"swing": 0.25},
        source=Source("30 mm, 8 to 11 %, 0.00274: 0.2466 mm (by hand, with Table 13-5)", "computed"),
        within=0.01,
    ),
    stores=("woods",),
    cautions=("wood dust harms: respirator and extraction when the step is cut",),
)

CALCULATORS: tuple[Calculator, ...] = (WOOD_MOISTURE, WOOD_SWING)
