"""Softening the tang at its pin hole: how hot the shoulder gets, as the drawer offers it."""

from __future__ import annotations

from collections.abc import Sequence

from workshop.drawer.declare import Answer, Calculator, Example, Field, Given, Result, Source
from workshop.drawer.steels import Entry, degrees, known_or_said, middle, points, step
from workshop.drawer.tang_figure import figure, hottest_at
from workshop.errors import ShopError
from workshop.trade import critical
from workshop.trade.tang_heat import (
    FARTHEST_M,
    LONGEST_S,
    Creep,
    Heat,
    Tang,
    creep,
    least_distance,
    longest_rise,
)

CLOSE_K = 20.0
"""Nearer the limit than this is called close (common practice: shop thermometers and torches)."""

UNDER_CRITICAL_K = 25.0
"""Stay this far under the lowest Ac1 (common practice)."""

LESSON = "The same heat put in faster reaches less far: a small hot flame and a short heat, then let it cool."

TORCH = (
    "Torch work: face shield, gloves, extinguisher near, nothing that burns behind the flame; "
    "gas shut at the "
    "bottle after. Usual cautions; local codes and licensed practice decide.",
    "Never heat brass, galvanised or plated parts with the tang: zinc and cadmium fume. Take the guard off.",
    "Steel stays hot long after its glow is gone; a wet rag makes steam.",
    "Keep a bare polished band at the ricasso: the first straw colour there means stop, whatever "
    "is shown here.",
)


def _tang(given: Given) -> Tang:
    height, thick = given.number("tang-height"), given.number("tang-thickness")
    return Tang(
        height,
        thick,
        max(given.number("tang-length"), given.number("hole") + given.number("heated") / 2.0),
        given.maybe("ricasso-height") or height,
        given.maybe("ricasso-thickness") or thick,
    )


def _heat(given: Given) -> Heat:
    hole, heated = given.number("hole"), given.number("heated")
    if hole - heated / 2.0 < 0.0005:
        raise ShopError(
            f"hole: at {hole * 1000:g} mm with {heated * 1000:g} mm heated, the heat reaches over "
            "the shoulder; "
            f"right would be a hole farther than {heated * 500 + 0.5:g} mm, or a shorter heated length."
        )
    air, target = given.number("air"), given.number("target")
    sink = given.word("sink")
    at, wide = given.number("sink-at"), given.number("sink-width")
    on = given.word("sink-on")
    if sink != "none" and on == "tang" and at + wide > hole - heated / 2.0:
        raise ShopError(
            f"sink-at: a sink {at * 1000:g} to {(at + wide) * 1000:g} mm up the tang sits in the "
            "heated length, "
            f"which begins at {(hole - heated / 2) * 1000:g} mm; right would be one that ends before it."
        )
    return Heat(
        hole, heated, target, given.number("time-to-heat"), given.number("hold"), air, sink, on, at, wide
    )


def _limit(given: Given) -> float:
    limit = given.number("limit")
    if limit <= given.number("air"):
        raise ShopError(
            f"limit: {degrees(limit)} is not above the shop's {degrees(given.number('air'))}; "
            "right would be the "
            "blade's temper, as 200 °C."
        )
    return limit


def _verdict(peak_K: float, limit_K: float) -> str:
    room = limit_K - peak_K
    if room < 0.0:
        return f"too hot: the shoulder passes the limit by {step(-room)}; its temper is at risk"
    if room < CLOSE_K:
        return f"close: only {step(room)} under the limit; heat faster, set a sink, or move the hole"
    return f"safe: the shoulder stays {step(room)} under the limit"


def _tang_heat(given: Given) -> Answer:
    tang, heat, limit = _tang(given), _heat(given), _limit(given)
    result = creep(tang, heat)
    found: dict[str, float | str] = {
        "peak": result.peak_K,
        "peak-at": result.peak_s,
        "verdict": _verdict(result.peak_K, limit),
    }
    found |= _stations(result)
    steels, unknown = known_or_said(given, given.word("steel"))
    cautions = [LESSON, *_target_cautions(steels, heat.target_K)]
    cautions += [f"The target is not held against Ac1 and air hardening. {why}" for why in unknown]
    return Answer(
        found,
        tuple(cautions),
        _working(tang, heat, result),
        _assumed(given, heat),
        figure(result, heat, limit),
    )


def _stations(result: Creep) -> dict[str, float | str]:
    """The hottest each 5 mm of tang got, from the shoulder to the heated length."""
    layout = result.layout
    begins = layout.middles_m[layout.last - 1] - layout.bar.width_m[layout.last - 1] / 2.0
    gap_mm = int(begins * 1000.0 + 1e-6)
    every = max(5, 5 * -(-gap_mm // 60))
    return {f"hottest {at} mm": hottest_at(result, at / 1000.0) for at in range(every, gap_mm + 1, every)}


def _target_cautions(steels: Sequence[Entry], target_K: float) -> list[str]:
    """Where the target comes near hardening the tang again, and steel these properties do not fit."""
    cautions = []
    for entry in steels:
        made = middle(entry)
        known = [p.ac1_K for p in points(entry)] or [
            v.kelvin for n, v in critical.judged(made).items() if n.startswith("ac1") and v.kelvin is not None
        ]
        if known and target_K > min(known):
            more = (
                "1300 to 1350 °F and then air, as is common practice, is too hot for this layer."
                if made.get("ni", 0.0) >= 1.0
                else "a nickel-bearing layer beside it sooner still."
            )
            cautions.append(
                f"{entry['id']}: {degrees(target_K)} is over its Ac1 of {degrees(min(known))}: it can harden "
                f"again in air; {more}"
            )
        elif known and target_K > min(known) - UNDER_CRITICAL_K:
            cautions.append(
                f"{entry['id']}: {degrees(target_K)} is within {step(UNDER_CRITICAL_K)} of its Ac1 of "
                f"{degrees(min(known))}; a torch is not that exact."
            )
        if made.get("cr", 0.0) > 2.0:
            cautions.append(
                f"{entry['id']}: more than 2 % chromium; it carries heat about half as well as "
                "the carbon steel "
                "worked with here, and hardens in air from less."
            )
    return cautions


def _working(tang: Tang, heat: Heat, result: Creep) -> tuple[str, ...]:
    cells, steps = len(result.layout.middles_m), len(result.course.times_s) - 1
    gap = heat.hole_m - heat.heated_m / 2.0
    return (
        f"tang {tang.height_m * 1000:g} × {tang.thickness_m * 1000:g} mm into ricasso "
        f"{tang.ricasso_height_m * 1000:g} × {tang.ricasso_thickness_m * 1000:g} mm",
        f"heat begins {gap * 1000:g} mm from the shoulder; {degrees(heat.air_K)} to "
        f"{degrees(heat.target_K)} in "
        f"{heat.rise_s:g} s, held {heat.hold_s:g} s, then still air",
        "ρ c(T) ∂T/∂t = ∂/∂x (k(T) ∂T/∂x) − girth/section × (h (T − air) + ε σ (T⁴ − air⁴))",
        "k = 54 − 0.0333 T W/mK, c = 440 J/kgK at 20 °C to 760 at 600 with its peak of 5000 at 735 °C, "
        "7850 kg/m³; h = 10 W/m²K, ε = 0.8",
        f"implicit, {cells} lengths and {steps} growing time steps; halving both moves the peak "
        "by under 1 °C",
    )


def _assumed(given: Given, heat: Heat) -> tuple[str, ...]:
    said = [
        "heat is even through the tang's thickness and over the heated length; the flame spills nowhere else"
    ]
    if given.maybe("ricasso-height") is None or given.maybe("ricasso-thickness") is None:
        said.append("where the ricasso is not given it is taken no larger than the tang, which errs hot")
    if heat.sink == "jaws":
        said.append("jaws tight and held at shop heat, 1500 W/m²K (from memory); warm jaws hold back less")
    if heat.sink == "wet":
        said.append("rag dripping, re-wetted every 20 to 30 s, 1000 W/m²K above boiling only (from memory)")
    return tuple(said)


def _searched(given: Given) -> Answer:
    """The longest heat and the nearest hole that keep the limit; needs some twenty runs."""
    tang, heat, limit = _tang(given), _heat(given), _limit(given)
    found: dict[str, float | str] = {}
    cautions, working = [], []
    longest = longest_rise(tang, heat, limit)
    if longest is None:
        cautions.append(
            "No heat is fast enough for this hole: set a sink, heat less length, or move the hole."
        )
    else:
        found["longest-heat"] = longest
        more = ", and longer still holds" if longest >= LONGEST_S * 0.99 else ""
        working.append(
            f"longest time to heat that keeps {degrees(limit)} at the shoulder: {longest:.0f} s{more}"
        )
    least = least_distance(tang, heat, limit)
    if least is None:
        cautions.append(
            f"Even a hole {FARTHEST_M * 1000:.0f} mm from the shoulder is too near for this heat."
        )
    else:
        found["least-distance"] = least
        working.append(f"nearest hole that keeps it with this heat: {least * 1000:.1f} mm")
    return Answer(found, tuple(cautions), tuple(working))


_FIELDS = (
    Field(
        "steel",
        "word",
        "standard designation, or two as 1084 + 75Ni8",
        default="1084 + 75Ni8",
        fills_from=("steel-name",),
        alike=True,
    ),
    Field(
        "tang-height",
        "length",
        "height of the tang at the shoulder",
        "mm",
        hard=("2 mm", "80 mm"),
        likely=("8 mm", "35 mm"),
        fills_from=("tang-height-front",),
    ),
    Field(
        "tang-thickness",
        "length",
        "thickness of the tang at the shoulder",
        "mm",
        hard=("0.5 mm", "15 mm"),
        likely=("2 mm", "8 mm"),
        fills_from=("tang-thick-front",),
    ),
    Field(
        "hole",
        "length",
        "centre of the pin hole from the shoulder",
        "mm",
        hard=("3 mm", "200 mm"),
        likely=("12 mm", "100 mm"),
        fills_from=("pin-from-front",),
    ),
    Field(
        "heated",
        "length",
        "length of tang the flame heats, round the hole",
        "mm",
        "12 mm",
        hard=("2 mm", "80 mm"),
        likely=("6 mm", "25 mm"),
    ),
    Field(
        "target",
        "temperature",
        "how hot the hole gets",
        "°C",
        "650 °C",
        hard=("300 °C", "900 °C"),
        likely=("500 °C", "740 °C"),
    ),
    Field(
        "time-to-heat",
        "time",
        "from the flame's touch to the target",
        "s",
        "30 s",
        hard=("1 s", "30 min"),
        likely=("5 s", "2 min"),
    ),
    Field("hold", "time", "held at the target", "s", "5 s", hard=("0 s", "30 min"), likely=("0 s", "60 s")),
    Field(
        "air",
        "temperature",
        "shop and blade before",
        "°C",
        "20 °C",
        hard=("-30 °C", "60 °C"),
        likely=("5 °C", "40 °C"),
        fills_from=("air",),
    ),
    Field(
        "limit",
        "temperature",
        "hottest the shoulder may get: the blade's temper",
        "°C",
        "200 °C",
        hard=("40 °C", "500 °C"),
        likely=("150 °C", "260 °C"),
        fills_from=("temper-temperature",),
    ),
    Field("sink", "choice", "what holds the heat back", default="none", choices=("none", "jaws", "wet")),
    Field("sink-at", "length", "its near edge from the shoulder", "mm", "0 mm", hard=("0 mm", "100 mm")),
    Field("sink-on", "choice", "which side of the shoulder", default="ricasso", choices=("ricasso", "tang")),
    Field("sink-width", "length", "how much of the bar it covers", "mm", "20 mm", hard=("2 mm", "100 mm")),
    Field(
        "tang-length",
        "length",
        "whole tang",
        "mm",
        "90 mm",
        hard=("10 mm", "300 mm"),
        fills_from=("tang-length",),
    ),
    Field(
        "ricasso-height",
        "length",
        "height of the ricasso",
        "mm",
        optional=True,
        hard=("2 mm", "120 mm"),
        fills_from=("ricasso-height",),
    ),
    Field(
        "ricasso-thickness",
        "length",
        "thickness of the ricasso",
        "mm",
        optional=True,
        hard=("0.5 mm", "15 mm"),
        fills_from=("ricasso-thickness",),
    ),
)

TANG_HEAT = Calculator(
    name="tang-heat",
    title="Heat creep in the tang",
    purpose="Whether softening the tang for its pin spoils the temper at the shoulder",
    fields=_FIELDS,
    results=(
        Result("peak", "temperature", "shoulder at its hottest", "°C", 0),
        Result("peak-at", "time", "when, from the flame's touch", "s", 0),
        Result("verdict", "text", "verdict"),
        Result("hottest", "temperature", "hottest the tang got, from the shoulder", "°C", 0, family=True),
        Result("longest-heat", "time", "longest time to heat that keeps the limit", "s", 0),
        Result("least-distance", "length", "nearest hole that keeps the limit", "mm", 1),
    ),
    work=_tang_heat,
    later=_searched,
    sources=(
        Source("Properties of carbon steel: EN 1993-1-2:2005, 3.2.2 and 3.4.1", "published"),
        Source(
            "Heat conduction along a bar, implicit finite volumes; agrees with exact solutions", "computed"
        ),
        Source("Loss to still air 10 W/m²K, emissivity 0.8, cling of jaws and rag", "from memory"),
        Source(
            "Target 550 to 650 °C in a dim shop, below Ac1; small flame, two or three heats",
            "common practice",
        ),
        Source("Ac1: Andrews 1965, Grange 1961, or the store's published points", "published"),
    ),
    valid="Carbon and low-alloy steel, one heat, a tang thin against its length; a torch is less exact than "
    "this: treat 20 °C either way as nothing.",
    example=Example(
        {
            "tang-height": "18 mm",
            "tang-thickness": "4 mm",
            "hole": "30 mm",
            "ricasso-height": "30 mm",
            "ricasso-thickness": "4.5 mm",
            "time-to-heat": "20 s",
        },
        {"peak": 150.6},
        Source("the same model on a grid four times finer in length and time", "computed"),
        within=0.5,
    ),
    stores=("steels",),
    cautions=TORCH,
)

CALCULATORS: tuple[Calculator, ...] = (TANG_HEAT,)
