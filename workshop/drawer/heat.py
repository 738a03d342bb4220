"""Critical temperatures and tempering, as the drawer offers them."""

from __future__ import annotations

import math

from workshop.drawer.colours import COLOURS, FURNACE, said, tables
from workshop.drawer.declare import Answer, Calculator, Example, Field, Given, Result, Source
from workshop.drawer.steels import (
    Entry,
    degrees,
    hardening,
    known_or_said,
    ladders,
    middle,
    points,
    ranges,
    several,
    to_kelvin,
)
from workshop.errors import ShopError
from workshop.trade import colours, critical, temper

ANDREWS = Source("Andrews, JISI 203 (1965) 721-727, main terms, as given in Krauss", "published")
GRANGE = Source("Grange 1961, as quoted in copies", "secondary")
JAFFE = Source("Hollomon and Jaffe 1945, T (C + log t), with C = 20 and hours", "secondary")
LADDERS = Source("Ladders from the store of steels; each is named in the working", "secondary")
READING = Source(
    "A single printed or measured hardness is good to one point either way; a ladder that does not say "
    "was tempered for one to two hours",
    "common practice",
)

COUPON = (
    "Published hardness differs by 2 HRC and more between sources: your own coupon from this bar decides."
)
NICKEL_FROM = 1.0
PRACTICE_HARDENING_K = to_kelvin(1400.0, "°F")


def _formula(name: str) -> str:
    """Write ``ac1-andrews`` as it is read: Ac1 by Andrews."""
    point, author = name.split("-")
    return f"{point.capitalize()} by {author.capitalize()}"


def _verdict_line(verdict: critical.Verdict) -> str:
    said = "refused" if verdict.kelvin is None else "doubtful"
    return f"{_formula(verdict.name)} is {said}: {verdict.why}."


def _critical(given: Given) -> Answer:
    text, name = given.word("composition"), given.word("steel")
    entry: Entry | None = None
    others: list[Entry] = []
    if text.strip():
        made = critical.read_composition(text)
    elif name.strip():
        entry, *others = several(given, name)
        made = middle(entry)
    else:
        raise ShopError("critical needs a steel, as 1084, or a composition, as c=0.84, mn=0.75, si=0.2.")
    verdicts = critical.judged(made)
    found: dict[str, float | str] = {n: v.kelvin for n, v in verdicts.items() if v.kelvin is not None}
    found.update(_published(entry))
    good = [_formula(n) for n, v in verdicts.items() if v.holds]
    found["holds"] = ", ".join(good) if good else "neither formula holds for this steel"
    cautions = [_verdict_line(v) for v in verdicts.values() if not v.holds]
    cautions += _nickel(made, verdicts)
    for other in others:
        cautions += _beside(other)
    return Answer(found, tuple(cautions), _critical_working(made, entry), _critical_assumed(entry))


def _published(entry: Entry | None) -> dict[str, float | str]:
    """What was measured on the steel itself, or the words that nothing is known."""
    known = points(entry) if entry else ()
    if not known:
        return {"published": "none known for this steel" if entry else "give the steel's name to see any"}
    found: dict[str, float | str] = {"ac1-published": known[0].ac1_K}
    if known[0].ac3_K is not None:
        found["ac3-published"] = known[0].ac3_K
    found["published"] = "; ".join(
        f"Ac1 {degrees(p.ac1_K)}"
        + (f", Ac3 {degrees(p.ac3_K)}" if p.ac3_K else "")
        + f" ({p.source}; {p.standing})"
        for p in known
    )
    return found


def _nickel(made: critical.Composition, verdicts: dict[str, critical.Verdict]) -> list[str]:
    """What a nickel-bearing layer does to the heats that practice uses."""
    known = [v.kelvin for n, v in verdicts.items() if n.startswith("ac1") and v.kelvin is not None]
    if made.get("ni", 0.0) < NICKEL_FROM or not known:
        return []
    return [
        f"Nickel lowers Ac1: the formulas give {degrees(min(known))}, under the little over "
        f"{degrees(PRACTICE_HARDENING_K)} at which practice begins to harden and inside the 1300 to 1350 °F "
        "it softens tangs at (common practice): this layer can harden again in air from such a heat."
    ]


def _beside(entry: Entry) -> list[str]:
    """Where the bar's other steel begins its change, in a line."""
    made = middle(entry)
    verdicts = critical.judged(made)
    said = [f"Ac1 {degrees(point.ac1_K)} as published" for point in points(entry)]
    said += [
        f"Ac1 {degrees(verdict.kelvin)} by {name[4:].capitalize()}"
        for name, verdict in verdicts.items()
        if name.startswith("ac1") and verdict.kelvin is not None
    ]
    return [f"Beside it {entry['id']}: {', '.join(said) or 'no formula holds'}.", *_nickel(made, verdicts)]


def _critical_working(made: critical.Composition, entry: Entry | None) -> tuple[str, ...]:
    lines = [
        "made of " + ", ".join(f"{e.capitalize()} {v:.4g} %" for e, v in made.items()),
        "Andrews: Ac1 = 723 − 10.7 Mn − 16.9 Ni + 29.1 Si + 16.9 Cr + 290 As + 6.38 W (°C)",
        "Andrews: Ac3 = 910 − 203 √C − 15.2 Ni + 44.7 Si + 104 V + 31.5 Mo + 13.1 W (°C)",
        "Grange: Ac1 = 1333 − 25 Mn + 40 Si + 42 Cr − 26 Ni (°F)",
        "Grange: Ac3 = 1570 − 323 C − 25 Mn + 80 Si − 3 Cr − 32 Ni (°F)",
    ]
    if entry:
        spans = {name: critical.over_range(ranges(entry), name) for name in ("ac1-andrews", "ac1-grange")}
        lines += [
            f"over the standard's whole range Ac1 by {name[4:].capitalize()} runs "
            f"{degrees(low)} to {degrees(high)}"
            for name, (low, high) in spans.items()
        ]
        lines += [f"published hardening heat: {line}" for line in hardening(entry)]
        lines += [str(note) for note in entry.get("notes", ())]
    return tuple(lines)


def _critical_assumed(entry: Entry | None) -> tuple[str, ...]:
    if entry is None:
        return ("elements that are not given are taken as none",)
    return (
        f"the middle of each range of {entry['id']} ({entry.get('source', 'your own')}; "
        f"{entry.get('standing', 'common practice')})",
    )


CRITICAL = Calculator(
    name="critical",
    title="Critical temperatures",
    purpose="Where a steel begins (Ac1) and ends (Ac3) its change, by formula and as published",
    fields=(
        Field(
            "steel",
            "word",
            "standard designation, or the layers as 1084 + 15N20",
            optional=True,
            fills_from=("steel-name",),
            alike=True,
        ),
        Field(
            "composition",
            "text",
            "percent by weight, as c=0.84, mn=0.75; goes before the steel",
            optional=True,
        ),
    ),
    results=(
        Result("ac1-andrews", "temperature", "Ac1 by Andrews", "°C", 0),
        Result("ac3-andrews", "temperature", "Ac3 by Andrews", "°C", 0),
        Result("ac1-grange", "temperature", "Ac1 by Grange", "°C", 0),
        Result("ac3-grange", "temperature", "Ac3 by Grange", "°C", 0),
        Result("ac1-published", "temperature", "Ac1 as published", "°C", 0),
        Result("ac3-published", "temperature", "Ac3 as published", "°C", 0),
        Result("published", "text", "published points and their source"),
        Result("holds", "text", "which formulas hold for this steel"),
    ),
    work=_critical,
    sources=(
        ANDREWS,
        GRANGE,
        Source(
            "Limits of carbon 0.6 % for Ac3 and chromium 2 to 3 %: where worked values turn unphysical",
            "computed",
        ),
    ),
    valid="Carbon and low-alloy steel. Ac3 to 0.6 % carbon; flagged over 2 % and refused over 3 % chromium; "
    "refused where Ac3 comes out below Ac1.",
    example=Example(
        {"composition": "c=0.45, mn=0.75, si=0.22"},
        {"ac1-andrews": 721.4, "ac3-andrews": 783.7, "ac1-grange": 717.2, "ac3-grange": 773.1},
        Source("worked by hand from both formulas for 1045", "computed"),
        within=0.1,
    ),
    stores=("steels",),
    cautions=(FURNACE,),
)


def _hours(given: Given) -> float:
    return given.number("time") / 3600.0 * given.number("cycles")


def _temper(given: Given) -> Answer:
    kelvin, wanted = given.maybe("temperature"), given.maybe("hardness")
    if kelvin is None and wanted is None:
        raise ShopError("temper needs a temperature, as 204 °C, or a hardness wanted, as 60 HRC.")
    steels, unknown = known_or_said(given, given.word("steel"))
    if unknown and kelvin is None:
        raise ShopError(unknown[0])
    known = tuple(ladder for entry in steels for ladder in ladders(entry))
    hours = _hours(given)
    found: dict[str, float | str] = {}
    cautions = [
        f"{entry['id']}: no published ladder known; nothing is guessed, a coupon tells."
        for entry in steels
        if not ladders(entry)
    ]
    cautions += [f"No hardness is given. {why}" for why in unknown]
    working = [f"time at heat in all: {hours:g} h"]
    if kelvin is not None:
        found |= _forward(given, known, kelvin, hours, cautions, working)
    if wanted is not None:
        found |= _backward(known, wanted, hours, cautions, working)
    if len(steels) > 1:
        cautions.append(
            "Layers of two steels: the range holds every layer's ladder; the tester reads a mix of them."
        )
    return Answer(found, tuple(cautions), tuple(working), ("temper times add up (same heat each time)",))


def _forward(
    given: Given,
    known: tuple[temper.Ladder, ...],
    kelvin: float,
    hours: float,
    cautions: list[str],
    working: list[str],
) -> dict[str, float | str]:
    """Parameter, equal temperature, hardness and colour of one temper."""
    value = temper.parameter(kelvin, hours)
    equal = temper.equal_temperature(kelvin, hours)
    working.append(f"P = {kelvin:.2f} K × (20 + log10 {hours:g} h) / 1000 = {value:.4f}")
    working.append(f"one hour at {degrees(equal)} does the same")
    found: dict[str, float | str] = {"parameter": value, "one-hour": equal}
    band, readings = temper.hardness(known, kelvin, hours)
    for reading in readings:
        line = (
            f"{reading.band[0]:.1f} to {reading.band[1]:.1f} HRC"
            if reading.band
            else f"nothing: {reading.why}"
        )
        working.append(f"{reading.ladder.source} ({reading.ladder.standing}): {line}")
    if band:
        found["hardness-low"], found["hardness-high"] = math.floor(band[0] + 1e-9), math.ceil(band[1] - 1e-9)
    elif known:
        cautions.append("No ladder reaches this temper: no hardness is given.")
    names = colours.names_at(tables(given, "temper"), kelvin)
    found["colour"] = said(names) if names else "none: outside the temper colours"
    return found


def _backward(
    known: tuple[temper.Ladder, ...], wanted: float, hours: float, cautions: list[str], working: list[str]
) -> dict[str, float | str]:
    """Range of temper that some published ladder gives the wanted hardness at."""
    span = temper.temperatures_for(known, wanted, hours)
    if span is None:
        if known:
            cautions.append(f"No published ladder shows {wanted:g} HRC for this steel.")
        return {}
    cautions.append("Begin at the cool end: hotter is always free, too soft means hardening again.")
    low, high = span
    if low is None:
        cautions.append(
            f"{wanted:g} HRC lies between the quench and the first published row, {degrees(high)}: "
            "cooler than that, and no source says how much."
        )
        return {"temperature-high": high}
    working.append(f"some ladder has {wanted:g} HRC in its range from {degrees(low)} to {degrees(high)}")
    return {"temperature-low": low, "temperature-high": high}


TEMPER = Calculator(
    name="temper",
    title="Tempering",
    purpose="What a temper does, as a range of hardness from published ladders; or the heat for a hardness",
    fields=(
        Field(
            "steel",
            "word",
            "standard designation, or two as 1084 + 15N20",
            fills_from=("steel-name",),
            alike=True,
        ),
        Field(
            "temperature",
            "temperature",
            "temper heat, measured at the blade",
            "°C",
            optional=True,
            hard=("50 °C", "700 °C"),
            likely=("150 °C", "320 °C"),
            fills_from=("temper-temperature",),
        ),
        Field(
            "time",
            "time",
            "time at heat of one temper",
            "h",
            "2 h",
            hard=("1 min", "48 h"),
            likely=("30 min", "6 h"),
        ),
        Field("cycles", "count", "how many tempers", "", "2", hard=("1", "12"), likely=("1", "4")),
        Field("hardness", "hardness", "hardness wanted", "HRC", optional=True, hard=("20 HRC", "70 HRC")),
    ),
    results=(
        Result("parameter", "number", "time-temperature parameter, thousands, hours and C = 20", "", 3),
        Result("one-hour", "temperature", "one hour that does the same", "°C", 0),
        Result("hardness-low", "hardness", "hardness, least", "HRC", 0),
        Result("hardness-high", "hardness", "hardness, most", "HRC", 0),
        Result("colour", "text", "colour on clean steel, by source"),
        Result("temperature-low", "temperature", "temper, coolest any source gives", "°C", 0),
        Result("temperature-high", "temperature", "temper, hottest any source gives", "°C", 0),
    ),
    work=_temper,
    sources=(JAFFE, LADDERS, READING, COLOURS),
    valid="Tempered martensite of a fully hardened blade; only where a published ladder has rows on both "
    "sides. Scale, decarb and a soft quench read lower.",
    example=Example(
        {"steel": "1095", "temperature": "200 °C", "time": "2 h", "cycles": "1"},
        {"parameter": 9.6054, "one-hour": 207.1},
        Source("worked by hand: 473.15 (20 + log10 2) / 1000", "computed"),
        within=0.1,
    ),
    stores=("steels", "colours"),
    cautions=(COUPON, FURNACE),
)

CALCULATORS: tuple[Calculator, ...] = (CRITICAL, TEMPER)
