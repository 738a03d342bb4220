"""The drawer's mixing: what a label's ratio means on the scale, and how a batch is split."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from workshop import measure
from workshop.drawer.cure import find_adhesive
from workshop.drawer.declare import Answer, Calculator, Example, Field, Given, Result, Source
from workshop.errors import ShopError
from workshop.trade import glue

DENSITIES = Source(
    "Mixed unfilled epoxy is 1.1 to 1.2 g/ml; the label's own figures are better", "common practice"
)
RATIO = Source("A ratio kept within 3 to 5 % cures well", "common practice")
STORED = Source("Ratio and densities of the store's classes; your label decides", "from memory")
WEIGHED = Source(
    "Each weighing may be half a step of the scale off; the worst is one heavy, one light", "computed"
)

EPOXY = (
    "Uncured epoxy sensitises for life: nitrile gloves, no skin contact, soap and not solvent on skin. "
    "Air the room; sanded before full cure its dust is harmful. The label and its safety sheet come first.",
    "A full cup heats itself: a large batch can run away, smoke and burn. Mix small, spread it out.",
)

RATIO_FIELDS = (
    Field(
        "store",
        "word",
        "which adhesive of the store, for what you leave empty below",
        default="slow",
        alike=True,
    ),
    Field(
        "ratio",
        "ratio",
        "resin to hardener, from the label",
        optional=True,
        hard=("1:50", "50:1"),
        alike=True,
    ),
    Field(
        "ratio-by",
        "choice",
        "whether the label's ratio is by weight or by volume",
        optional=True,
        choices=("weight", "volume"),
        alike=True,
    ),
    Field(
        "density-resin",
        "density",
        "the resin's density, from the label or its data sheet",
        "g/ml",
        optional=True,
        hard=("0.5 g/ml", "4 g/ml"),
        likely=("1 g/ml", "1.8 g/ml"),
    ),
    Field(
        "density-hardener",
        "density",
        "the hardener's density",
        "g/ml",
        optional=True,
        hard=("0.5 g/ml", "4 g/ml"),
        likely=("0.9 g/ml", "1.8 g/ml"),
    ),
    Field(
        "scale-step",
        "mass",
        "the smallest step your scale shows",
        "g",
        default="0.1 g",
        hard=("0.0001 g", "100 g"),
        likely=("0.001 g", "1 g"),
    ),
)

SPLIT_RESULTS = (
    Result("resin", "mass", "resin to weigh out", "g", 2),
    Result("hardener", "mass", "hardener to weigh out", "g", 2),
    Result("resin-volume", "volume", "resin by volume", "ml", 2),
    Result("hardener-volume", "volume", "hardener by volume", "ml", 2),
    Result("ratio-error", "share", "the worst error of the ratio from the scale's step", "%", 1),
    Result("least-batch", "mass", "the smallest batch that keeps the ratio within 3 %", "g", 1),
)


@dataclass(frozen=True, slots=True)
class TwoPart:
    """A two-part glue as its label says it. Densities kg/m³. assumed: what came from the store, in words."""

    ratio: float
    by: str
    resin_kg_m3: float
    hardener_kg_m3: float
    assumed: tuple[str, ...]

    @property
    def density_kg_m3(self) -> float:
        """The density of the mix."""
        by_weight = glue.weight_ratio(self.ratio, self.by, self.resin_kg_m3, self.hardener_kg_m3)
        return glue.mix_density(by_weight, self.resin_kg_m3, self.hardener_kg_m3)


def _stored(entry: Mapping[str, Any], key: str, kind: str) -> float:
    text, where = entry.get(key), f'adhesive "{entry.get("id", "")}"'
    if not isinstance(text, str) or not text:
        raise ShopError(f"{key} is not known of {where}; give it from the label")
    return float(measure.read(text, kind, field=f"{where}: {key}"))


def two_part(given: Given) -> TwoPart:
    """Return the glue's ratio and densities: as given, and from the store's entry where left empty.

    Raises ShopError when the entry is unknown or has no value for what was left empty.
    """
    fields = (("ratio", "ratio"), ("density-resin", "density"), ("density-hardener", "density"))
    by = given.word("ratio-by")
    values = {name: given.maybe(name) for name, _ in fields}
    if by and None not in values.values():
        entry: Mapping[str, Any] = {}
    else:
        entry = find_adhesive(given.stores["adhesives"].get("adhesive", ()), given.word("store"))
    known, said = {}, []
    for name, kind in fields:
        value = values[name]
        known[name] = _stored(entry, name, kind) if value is None else value
        said += [f"{name} {entry[name]}"] if value is None else []
    if not by:
        by = str(entry.get("ratio-by", ""))
        if by not in ("weight", "volume"):
            raise ShopError(
                f'ratio-by is not known of adhesive "{entry.get("id", "")}"; give weight or volume'
            )
        said.append(f"ratio by {by}")
    assumed = (f"{', '.join(said)}, of {entry.get('title', 'the store')}",) if said else ()
    return TwoPart(known["ratio"], by, known["density-resin"], known["density-hardener"], assumed)


def split(label: TwoPart, mix_kg: float, step_kg: float) -> glue.Mix:
    """Return what to weigh out of a batch."""
    return glue.split(mix_kg, label.ratio, label.by, label.resin_kg_m3, label.hardener_kg_m3, step_kg)


def split_found(mix: glue.Mix) -> dict[str, float | str]:
    """Return a batch by result."""
    found: dict[str, float | str] = {
        "resin": mix.resin_kg,
        "hardener": mix.hardener_kg,
        "resin-volume": mix.resin_m3,
        "hardener-volume": mix.hardener_m3,
        "least-batch": mix.least_kg,
    }
    if mix.ratio_error is not None:
        found["ratio-error"] = mix.ratio_error
    return found


def split_notices(mix: glue.Mix, step_kg: float) -> tuple[str, ...]:
    """Return what to say of a batch: too small for the scale, or too large for a cup."""
    notices = []
    least = f"{mix.least_kg * 1000:.1f} g"
    if mix.ratio_error is None:
        notices.append(
            f"A scale in steps of {step_kg * 1000:g} g cannot weigh so little. Mix at least {least}, "
            "or use a finer scale."
        )
    elif mix.ratio_error > glue.KEEPS_WITHIN * (1 + 1e-9):
        notices.append(
            f"The scale alone can put the ratio {mix.ratio_error * 100:.1f} % out. Mix at least {least} to "
            "stay within 3 %, or use a finer scale."
        )
    if mix.mix_kg > 0.03:
        notices.append(
            "More than about 30 g in one cup can halve the pot life: spread it out, or mix it in two."
        )
    return tuple(notices)


def split_working(mix: glue.Mix, by: str) -> tuple[str, ...]:
    """Return the split with its numbers put in. by: how the label gives its ratio."""
    grams, ratio = mix.mix_kg * 1000, mix.ratio_by_weight
    said = "by weight" if by == "weight" else "by weight (volumes times densities)"
    return (
        f"resin : hardener {said} = {ratio:.3f} : 1",
        f"hardener = {grams:.2f} g / (1 + {ratio:.3f}) = {mix.hardener_kg * 1000:.2f} g; the rest, "
        f"{mix.resin_kg * 1000:.2f} g, is resin",
    )


def _mix_split(given: Given) -> Answer:
    if given.number("mix") <= 0:
        raise ShopError("mix is nothing; give the whole batch, like 12 g")
    label, step = two_part(given), given.number("scale-step")
    mix = split(label, given.number("mix"), step)
    assumed = (*label.assumed, "both parts are weighed")
    return Answer(split_found(mix), split_notices(mix, step), split_working(mix, label.by), assumed)


MIX_SPLIT = Calculator(
    name="mix-split",
    title="Splitting a mix",
    purpose="What to weigh out of each part, and whether the scale is fine enough",
    fields=(
        Field("mix", "mass", "the whole batch", "g", hard=("0.01 g", "5 kg"), likely=("2 g", "100 g")),
        *RATIO_FIELDS,
    ),
    results=SPLIT_RESULTS,
    work=_mix_split,
    sources=(WEIGHED, RATIO, DENSITIES, STORED),
    valid="Two-part glue and resin by the label's ratio; never changed to hurry or slow a cure",
    example=Example(
        given={"mix": "10 g", "ratio": "10:1", "ratio-by": "weight", "scale-step": "0.1 g"},
        found={"resin": 9.09, "hardener": 0.91, "ratio-error": 6.4, "least-batch": 20.7},
        source=Source(
            "By hand: 10/11 = 0.909 g; (1 + 0.05/9.091)/(1 − 0.05/0.909) − 1 = 6.4 %; practice asks at "
            "least 20 g",
            "computed",
        ),
        within=0.06,
    ),
    stores=("adhesives",),
    cautions=EPOXY,
)
