"""The drawer's glue: what a slot takes around its tang, and how a batch is split."""

from __future__ import annotations

from math import isclose

from workshop.drawer.declare import Answer, Calculator, Example, Field, Given, Result, Source
from workshop.errors import ShopError
from workshop.trade import glue
from workshop.trade.geometry import say_length

PRISMATOID = Source("Prismatoid, V = L(A₀ + 4Aₘ + A₁)/6 (Machinery's Handbook, 31st ed., pp. 88-93)")
ROW = Source("A row of equal circles: Nπr² − (N−1)L(p), exact for every pitch", "computed")
SQUEEZE = Source(
    "20 to 30 % more than the void is mixed for what squeezes out and stays in the cup", "common practice"
)
DENSITIES = Source(
    "Mixed unfilled epoxy is 1.1 to 1.2 g/ml; the label's own figures are better", "common practice"
)
RATIO = Source("A ratio kept within 3 to 5 % cures well", "common practice")
WEIGHED = Source(
    "Each weighing may be half a step of the scale off; the worst is one heavy, one light", "computed"
)

EPOXY = (
    "Uncured epoxy sensitises for life: nitrile gloves, no skin contact, soap and not solvent on skin. "
    "Air the room; "
    "sanded before full cure its dust is harmful. The label and its safety sheet come first.",
    "A full cup heats itself: a large batch can run away, smoke and burn. Mix small, spread it out.",
)

_RATIO_FIELDS = (
    Field(
        "ratio",
        "ratio",
        "resin to hardener, from the label",
        default="2:1",
        hard=("1:50", "50:1"),
        alike=True,
    ),
    Field(
        "ratio-by",
        "choice",
        "whether the label's ratio is by weight or by volume",
        default="volume",
        choices=("weight", "volume"),
        alike=True,
    ),
    Field(
        "density-resin",
        "density",
        "the resin's density, from the label or its data sheet",
        "g/ml",
        default="1.15 g/ml",
        hard=("0.5 g/ml", "4 g/ml"),
        likely=("1 g/ml", "1.8 g/ml"),
    ),
    Field(
        "density-hardener",
        "density",
        "the hardener's density",
        "g/ml",
        default="1.0 g/ml",
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

_SPLIT_RESULTS = (
    Result("resin", "mass", "resin to weigh out", "g", 2),
    Result("hardener", "mass", "hardener to weigh out", "g", 2),
    Result("resin-volume", "volume", "resin by volume", "ml", 2),
    Result("hardener-volume", "volume", "hardener by volume", "ml", 2),
    Result("ratio-error", "share", "the worst error of the ratio from the scale's step", "%", 1),
    Result("least-batch", "mass", "the smallest batch that keeps the ratio within 3 %", "g", 1),
)


def _split_found(mix: glue.Mix) -> dict[str, float | str]:
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


def _split_notices(mix: glue.Mix, step_kg: float) -> tuple[str, ...]:
    notices = []
    least = f"{mix.least_kg * 1000:.1f} g"
    if mix.ratio_error is None:
        notices.append(
            f"A scale in steps of {step_kg * 1000:g} g cannot weigh so little. Mix at least {least}, "
            "or use a finer scale."
        )
    elif mix.ratio_error > glue.KEEPS_WITHIN * (1 + 1e-9):
        notices.append(
            f"The scale alone can put the ratio {mix.ratio_error:.1%} out. Mix at least {least} to "
            "stay within 3 %, "
            "or use a finer scale."
        )
    if mix.mix_kg > 0.03:
        notices.append(
            "More than about 30 g in one cup can halve the pot life: spread it out, or mix it in two."
        )
    return tuple(notices)


def _split_working(mix: glue.Mix, by: str) -> tuple[str, ...]:
    grams, ratio = mix.mix_kg * 1000, mix.ratio_by_weight
    said = "by weight" if by == "weight" else "by weight (volumes times densities)"
    return (
        f"resin : hardener {said} = {ratio:.3f} : 1",
        f"hardener = {grams:.2f} g / (1 + {ratio:.3f}) = {mix.hardener_kg * 1000:.2f} g; the rest, "
        f"{mix.resin_kg * 1000:.2f} g, is resin",
    )


def _split_of(given: Given, mix_kg: float) -> glue.Mix:
    return glue.split(
        mix_kg,
        given.number("ratio"),
        given.word("ratio-by"),
        given.number("density-resin"),
        given.number("density-hardener"),
        given.number("scale-step"),
    )


def _mix_split(given: Given) -> Answer:
    if given.number("mix") <= 0:
        raise ShopError("mix is nothing; give the whole batch, like 12 g")
    mix = _split_of(given, given.number("mix"))
    return Answer(
        _split_found(mix),
        _split_notices(mix, given.number("scale-step")),
        _split_working(mix, given.word("ratio-by")),
        ("both parts are weighed",),
    )


def _void(given: Given) -> tuple[glue.Void, tuple[str, ...]]:
    """Return the void of either kind of slot, and what had to be assumed."""
    tang = glue.Tang(
        given.number("tang-length"),
        given.number("tang-height-front"),
        given.number("tang-height-end"),
        given.number("tang-thick-front"),
        given.number("tang-thick-end"),
    )
    depth = given.number("slot-depth")
    flat = "the slot's bottom is flat and the tang tapers straight"
    if given.maybe("holes") is None and given.maybe("hole") is None:
        width, height = given.maybe("slot-width"), given.maybe("slot-height")
        if width is None or height is None:
            raise ShopError(
                "the slot is not known: give slot-width and slot-height, or holes, hole and pitch for "
                "a row of "
                "drilled holes"
            )
        return glue.void_in_slot(width, height, depth, tang), (flat, "its corners are square")
    holes, hole, pitch = given.maybe("holes"), given.maybe("hole"), given.maybe("pitch")
    if holes is None or hole is None or (pitch is None and holes > 1):
        raise ShopError(
            "a row of drilled holes needs all three: holes (how many), hole (their diameter) and pitch "
            "(centre to centre)"
        )
    if not isclose(holes, round(holes)):
        raise ShopError(f"holes is {holes:g}; it must be a whole number, like 3")
    assumed = [flat, "the ridges between the holes are left standing"]
    if given.maybe("slot-width") is not None or given.maybe("slot-height") is not None:
        assumed.append("the row of holes is what counts; slot-width and slot-height are not used")
    return glue.void_in_holes(round(holes), hole, pitch or 0.0, depth, tang), tuple(assumed)


def _slot_fill(given: Given) -> Answer:
    void, assumed = _void(given)
    by_weight = glue.weight_ratio(
        given.number("ratio"),
        given.word("ratio-by"),
        given.number("density-resin"),
        given.number("density-hardener"),
    )
    density = glue.mix_density(by_weight, given.number("density-resin"), given.number("density-hardener"))
    extra = given.number("extra")
    mix = _split_of(given, void.volume_m3 * (1 + extra) * density)
    working = (
        f"slot = {void.area_m2 * 1e6:.2f} mm² × {given.number('slot-depth') * 1000:.4g} mm = "
        f"{void.slot_m3 * 1e6:.2f} ml",
        f"tang = L(A₀ + 4Aₘ + A₁)/6 over {say_length(given.number('tang-length'))} = "
        f"{void.tang_m3 * 1e6:.2f} ml",
        f"mix = ({void.slot_m3 * 1e6:.2f} − {void.tang_m3 * 1e6:.2f}) ml × (1 + {extra:.0%}) × "
        f"{density / 1000:.3f} g/ml = {mix.mix_kg * 1000:.2f} g",
        *_split_working(mix, given.word("ratio-by")),
    )
    notices = void.notices
    found: dict[str, float | str] = {"void": void.volume_m3, "mix": mix.mix_kg}
    if mix.mix_kg > 0:
        found |= {"mix-volume": void.volume_m3 * (1 + extra), **_split_found(mix)}
        notices += _split_notices(mix, given.number("scale-step"))
    else:
        found["least-batch"] = mix.least_kg
        notices += (
            f"There is no void to fill. For the film alone mix the least batch, {mix.least_kg * 1000:.1f} g.",
        )
    return Answer(found, notices, working, (*assumed, "both parts are weighed"))


def _tang(name: str, says: str, likely: tuple[str, str]) -> Field:
    return Field(name, "length", says, "mm", hard=("0.1 mm", "400 mm"), likely=likely, fills_from=(name,))


SLOT_FILL = Calculator(
    name="slot-fill",
    title="Glue for a slot",
    purpose="How much glue the slot takes around the tang, and how to split it",
    fields=(
        Field(
            "slot-width",
            "length",
            "the slot across the handle",
            "mm",
            optional=True,
            likely=("2 mm", "20 mm"),
            fills_from=("slot-width",),
        ),
        Field(
            "slot-height",
            "length",
            "the slot from edge side to spine side",
            "mm",
            optional=True,
            likely=("5 mm", "40 mm"),
            fills_from=("slot-height",),
        ),
        Field(
            "slot-depth",
            "length",
            "how deep it goes",
            "mm",
            hard=("0.1 mm", "400 mm"),
            likely=("20 mm", "150 mm"),
            fills_from=("slot-depth",),
        ),
        Field("holes", "count", "a row of drilled holes instead: how many", optional=True, hard=("1", "50")),
        Field("hole", "drill", "their drill", "mm", optional=True, likely=("2 mm", "20 mm")),
        Field("pitch", "length", "centre to centre", "mm", optional=True, likely=("1 mm", "20 mm")),
        _tang("tang-length", "the tang from the shoulder to its end", ("30 mm", "150 mm")),
        _tang("tang-height-front", "its height at the shoulder", ("6 mm", "35 mm")),
        _tang("tang-height-end", "its height at the end", ("3 mm", "30 mm")),
        _tang("tang-thick-front", "its thickness at the shoulder", ("2 mm", "8 mm")),
        _tang("tang-thick-end", "its thickness at the end", ("1 mm", "8 mm")),
        Field(
            "extra",
            "share",
            "more for what squeezes out and stays in the cup",
            "%",
            default="25 %",
            hard=("0 %", "300 %"),
            likely=("10 %", "50 %"),
        ),
        *_RATIO_FIELDS,
    ),
    results=(
        Result("void", "volume", "what is left in the slot around the tang", "ml", 2),
        Result("mix", "mass", "the whole batch", "g", 1),
        Result("mix-volume", "volume", "the whole batch by volume", "ml", 1),
        *_SPLIT_RESULTS,
    ),
    work=_slot_fill,
    sources=(PRISMATOID, ROW, SQUEEZE, DENSITIES, WEIGHED, RATIO),
    valid="Straight slots and rows of holes with a flat bottom, tangs that taper straight; a bedded "
    "tang needs little",
    example=Example(
        given={
            "slot-width": "6.5 mm",
            "slot-height": "20 mm",
            "slot-depth": "95 mm",
            "tang-length": "90 mm",
            "tang-height-front": "13.5 mm",
            "tang-height-end": "13.5 mm",
            "tang-thick-front": "4 mm",
            "tang-thick-end": "4 mm",
            "extra": "25 %",
            "ratio": "2:1",
            "ratio-by": "volume",
            "density-resin": "1.15 g/ml",
            "density-hardener": "1.15 g/ml",
        },
        found={"void": 7.49, "mix": 10.77, "resin": 7.18, "hardener": 3.59},
        source=Source(
            "By hand: 20 × 6.5 × 95 − 13.5 × 4 × 90 = 12.35 − 4.86 = 7.49 ml; × 1.25 × 1.15 = 10.77 g, "
            "where practice "
            "says 10 to 11",
            "computed",
        ),
    ),
    stores=("drills",),
    cautions=EPOXY,
)

MIX_SPLIT = Calculator(
    name="mix-split",
    title="Splitting a mix",
    purpose="What to weigh out of each part, and whether the scale is fine enough",
    fields=(
        Field("mix", "mass", "the whole batch", "g", hard=("0.01 g", "5 kg"), likely=("2 g", "100 g")),
        *_RATIO_FIELDS,
    ),
    results=_SPLIT_RESULTS,
    work=_mix_split,
    sources=(WEIGHED, RATIO, DENSITIES),
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
    cautions=EPOXY,
)

CALCULATORS: tuple[Calculator, ...] = (SLOT_FILL, MIX_SPLIT)
