"""Critical temperatures of a steel from what it is made of.

Andrews (1965), JISI 203, 721-727, main terms, as given in Krauss; Grange (1961), as quoted in
copies. Both were fitted to low-alloy steels. They are refused or flagged where they are known to
fail: above the carbon of the eutectoid Ac3 comes out below Ac1, which cannot be, and at 12 %
chromium Andrews' Ac1 is 143 K above what a producer measured.
"""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from workshop.errors import ShopError
from workshop.trade.steel_heat import ZERO_C

Composition = Mapping[str, float]
"""Percent by weight by element symbol in small letters: {"c": 0.84, "mn": 0.75}."""

ELEMENTS = ("c", "mn", "si", "ni", "cr", "mo", "v", "w", "cu", "p", "s", "as", "al", "ti", "co", "n")

CARBON_FOR_AC3 = 0.6
CHROMIUM_FLAGGED = 2.0
CHROMIUM_REFUSED = 3.0
OTHERS_FLAGGED = {"mn": 2.0, "si": 2.0, "ni": 5.0, "mo": 1.5, "w": 2.0}

_PART = re.compile(r"\s*([A-Za-z]{1,2})\s*[=:]?\s*(\d*[.,]?\d+)\s*%?\s*")


@dataclass(frozen=True, slots=True)
class Verdict:
    """A formula's answer for one steel.

    kelvin: None where the formula is refused. holds: it is inside what it was fitted to. why:
    what is wrong where it is not.
    """

    name: str
    kelvin: float | None
    holds: bool
    why: str = ""


def read_composition(text: str) -> dict[str, float]:
    """Read ``c=0.84, mn=0.75 si=0.2`` into percent by weight.

    Raises ShopError for an element that is not known, one given twice, more than 30 % of all
    together, or carbon that is missing or outside 0.05 to 2 %.
    """
    found: dict[str, float] = {}
    place = 0
    right = "right would be like c=0.84, mn=0.75, si=0.2 (percent by weight)"
    while place < len(text):
        if text[place] in " ,;\t":
            place += 1
            continue
        match = _PART.match(text, place)
        element = match.group(1).lower() if match else ""
        if match is None or element not in ELEMENTS:
            raise ShopError(
                f"composition: {text[place : place + 12]!r} is no element with its percent; {right}."
            )
        if element in found:
            raise ShopError(f"composition: {element} is given twice; {right}.")
        found[element] = float(match.group(2).replace(",", "."))
        place = match.end()
    if not 0.05 <= found.get("c", 0.0) <= 2.0:
        raise ShopError(f"composition: carbon must be given, from 0.05 to 2 %; {right}.")
    if sum(found.values()) > 30.0:
        raise ShopError(f"composition: adds up to {sum(found.values()):.1f} %, more than 30; {right}.")
    return found


def andrews_ac1(made: Composition) -> float:
    """Ac1, K, by Andrews 1965; percent by weight. Low-alloy steel."""
    get = _get(made)
    return ZERO_C + (
        723.0
        - 10.7 * get("mn")
        - 16.9 * get("ni")
        + 29.1 * get("si")
        + 16.9 * get("cr")
        + 290.0 * get("as")
        + 6.38 * get("w")
    )


def andrews_ac3(made: Composition) -> float:
    """Ac3, K, by Andrews 1965, main terms; percent by weight. Low alloy, under 0.6 % carbon."""
    get = _get(made)
    return ZERO_C + (
        910.0
        - 203.0 * math.sqrt(get("c"))
        - 15.2 * get("ni")
        + 44.7 * get("si")
        + 104.0 * get("v")
        + 31.5 * get("mo")
        + 13.1 * get("w")
    )


def grange_ac1(made: Composition) -> float:
    """Ac1, K, by Grange 1961 (given in °F); percent by weight. Low-alloy steel."""
    get = _get(made)
    return _from_F(1333.0 - 25.0 * get("mn") + 40.0 * get("si") + 42.0 * get("cr") - 26.0 * get("ni"))


def grange_ac3(made: Composition) -> float:
    """Ac3, K, by Grange 1961 (given in °F); percent by weight. Low alloy, under 0.6 % carbon."""
    get = _get(made)
    return _from_F(
        1570.0 - 323.0 * get("c") - 25.0 * get("mn") + 80.0 * get("si") - 3.0 * get("cr") - 32.0 * get("ni")
    )


FORMULAS: dict[str, Callable[[Composition], float]] = {
    "ac1-andrews": andrews_ac1,
    "ac3-andrews": andrews_ac3,
    "ac1-grange": grange_ac1,
    "ac3-grange": grange_ac3,
}


def judged(made: Composition) -> dict[str, Verdict]:
    """Work all four formulas for a steel and say which hold, and why the others do not."""
    get = _get(made)
    verdicts: dict[str, Verdict] = {}
    for name, formula in FORMULAS.items():
        first = verdicts.get(name.replace("ac3", "ac1"))
        value = formula(made)
        refused, flagged = _doubts(name, get)
        if not refused and name.startswith("ac3") and first and first.kelvin and value < first.kelvin:
            refused = "Ac3 comes out below Ac1, which cannot be: the steel lies past the eutectoid"
        if refused:
            verdicts[name] = Verdict(name, None, False, refused)
        else:
            verdicts[name] = Verdict(name, value, not flagged, flagged)
    return verdicts


def _doubts(name: str, get: Callable[[str], float]) -> tuple[str, str]:
    """What refuses a formula for this steel, and what only flags it."""
    if get("cr") > CHROMIUM_REFUSED:
        return f"{get('cr'):g} % chromium is past the 3 % where it goes far wrong", ""
    flags = []
    if get("cr") > CHROMIUM_FLAGGED:
        flags.append(f"{get('cr'):g} % chromium is more than 2 %")
    if name.startswith("ac3") and get("c") > CARBON_FOR_AC3:
        flags.append(f"{get('c'):g} % carbon is more than the 0.6 % Ac3 holds to")
    flags += [
        f"{get(e):g} % {e.capitalize()} is no low alloy"
        for e, most in OTHERS_FLAGGED.items()
        if get(e) > most
    ]
    return "", "; ".join(flags)


def over_range(ranges: Mapping[str, tuple[float, float]], name: str) -> tuple[float, float]:
    """Lowest and highest answer, K, of one formula over a standard's composition ranges.

    Each formula rises or falls steadily with each element, so the corners hold the extremes.
    """
    formula = FORMULAS[name]
    answers = [
        formula(dict(zip(ranges, corner, strict=True))) for corner in itertools.product(*ranges.values())
    ]
    return min(answers), max(answers)


def _get(made: Composition) -> Callable[[str], float]:
    return lambda element: made.get(element, 0.0)


def _from_F(fahrenheit: float) -> float:
    return (fahrenheit - 32.0) / 1.8 + ZERO_C
