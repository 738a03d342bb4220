"""The drawer's glue: what a slot takes around its tang, and how a batch is split."""

from __future__ import annotations

from math import isclose

from workshop.drawer import mixing
from workshop.drawer.declare import Answer, Calculator, Example, Field, Given, Result, Source
from workshop.errors import ShopError
from workshop.trade import glue
from workshop.trade.geometry import say_length

PRISMATOID = Source("Prismatoid, V = L(A₀ + 4Aₘ + A₁)/6 (Machinery's Handbook, 31st ed., pp. 88-93)")
ROW = Source("A row of equal circles: Nπr² − (N−1)L(p), exact for every pitch", "computed")
SQUEEZE = Source(
    "20 to 30 % more than the void is mixed for what squeezes out and stays in the cup", "common practice"
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
    label, step = mixing.two_part(given), given.number("scale-step")
    extra = given.number("extra")
    mix = mixing.split(label, void.volume_m3 * (1 + extra) * label.density_kg_m3, step)
    working = (
        f"slot = {void.area_m2 * 1e6:.2f} mm² × {given.number('slot-depth') * 1000:.4g} mm = "
        f"{void.slot_m3 * 1e6:.2f} ml",
        f"tang = L(A₀ + 4Aₘ + A₁)/6 over {say_length(given.number('tang-length'))} = "
        f"{void.tang_m3 * 1e6:.2f} ml",
        f"mix = ({void.slot_m3 * 1e6:.2f} − {void.tang_m3 * 1e6:.2f}) ml × (1 + {extra * 100:g} %) × "
        f"{label.density_kg_m3 / 1000:.3f} g/ml = {mix.mix_kg * 1000:.2f} g",
        *mixing.split_working(mix, label.by),
    )
    notices = void.notices
    found: dict[str, float | str] = {"void": void.volume_m3, "mix": mix.mix_kg}
    if mix.mix_kg > 0:
        found |= {"mix-volume": void.volume_m3 * (1 + extra), **mixing.split_found(mix)}
        notices += mixing.split_notices(mix, step)
    else:
        found["least-batch"] = mix.least_kg
        notices += (
            f"There is no void to fill. For the film alone mix the least batch, {mix.least_kg * 1000:.1f} g.",
        )
    return Answer(found, notices, working, (*assumed, *label.assumed, "both parts are weighed"))


def _tang(name: str, says: str, likely: tuple[str, str]) -> Field:
    return Field(name, "length", says, "mm", hard=("0.1 mm", "400 mm"), likely=likely, fills_from=(name,))


def _row(name: str, kind: str, says: str, likely: tuple[str, str]) -> Field:
    return Field(name, kind, says, "mm", optional=True, hard=("0.1 mm", "100 mm"), likely=likely)


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
            hard=("0.1 mm", "400 mm"),
            likely=("2 mm", "20 mm"),
            fills_from=("slot-width",),
        ),
        Field(
            "slot-height",
            "length",
            "the slot from edge side to spine side",
            "mm",
            optional=True,
            hard=("0.1 mm", "400 mm"),
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
        _row("hole", "drill", "their drill", ("2 mm", "20 mm")),
        _row("pitch", "length", "centre to centre", ("1 mm", "20 mm")),
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
        *mixing.RATIO_FIELDS,
    ),
    results=(
        Result("void", "volume", "what is left in the slot around the tang", "ml", 2),
        Result("mix", "mass", "the whole batch", "g", 1),
        Result("mix-volume", "volume", "the whole batch by volume", "ml", 1),
        *mixing.SPLIT_RESULTS,
    ),
    work=_slot_fill,
    sources=(PRISMATOID, ROW, SQUEEZE, mixing.DENSITIES, mixing.WEIGHED, mixing.RATIO, mixing.STORED),
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
    stores=("drills", "adhesives"),
    cautions=mixing.EPOXY,
)

CALCULATORS: tuple[Calculator, ...] = (SLOT_FILL, mixing.MIX_SPLIT)
