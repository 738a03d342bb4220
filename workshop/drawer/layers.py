"""The drawer's layer counts: nominal, true, what shows, and a way to a wanted count."""

from __future__ import annotations

from workshop.drawer.declare import Answer, Calculator, Example, Field, Given, Result, Source
from workshop.drawer.wording import deg, mm, series
from workshop.errors import ShopError
from workshop.trade import layers

_DISSOLVES_M = 4e-3 / 650
_MOST_STARTS = 12
_MERGING = Source("Faces of like steel that meet count as one layer; a fold meets itself", "common practice")
_SHOWN = Source("Width of a layer on a bevel: thickness / sin(angle), plane geometry", "computed")
_TARGETS = Source(
    "Usual counts: bold 20-80, twist 10-30 a bar, raindrop 100-300, random 100-300, ladder 300-400; "
    "past some 600-800 on a 4 mm blade the pattern dissolves",
    "common practice",
)


def _starts(given: Given) -> list[tuple[int, bool]]:
    """Return each start count with whether its outer faces are alike."""
    word, starts = given.word("ends"), series(given, "start")
    if not 1 <= len(starts) <= _MOST_STARTS:
        raise ShopError(
            f"start: {len(starts)} stacks; give 1 to {_MOST_STARTS} counts of pieces, like 13; 15; 16"
        )
    return [
        (round(each), word == "same" if word else layers.alternating_ends_alike(round(each)))
        for each in starts
    ]


def _ends_notes(given: Given, starts: list[tuple[int, bool]]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return what had to be assumed of the outer faces, and where what was said looks odd."""
    if not given.word("ends"):
        says = "; ".join(
            f"{start} pieces end on {'the same steel' if alike else 'different steels'}"
            for start, alike in starts
        )
        return (f"two steels laid in turn: {says}",), ()
    odd = [str(start) for start, alike in starts if alike != layers.alternating_ends_alike(start)]
    if not odd:
        return (), ()
    return (), (
        f"a stack of two steels laid in turn, {', '.join(odd)} pieces, does not end on "
        f"{given.word('ends')} faces; that holds for three steels or a doubled piece only",
    )


def _visible(given: Given, count: layers.Count) -> tuple[dict[str, float], list[str], list[str]]:
    """Return layer and shown width where the bar's thickness and the bevel are given."""
    thickness_m, bevel_rad = given.maybe("final-thickness"), given.maybe("bevel")
    if thickness_m is None:
        return {}, [], []
    layer_m = layers.layer_thickness(thickness_m, count.true)
    found, working, cautions = {"layer": layer_m}, [], []
    working.append(f"layer = {mm(thickness_m)} / {count.true} = {layer_m * 1e6:.1f} µm")
    if bevel_rad is not None:
        found["shown"] = layers.shown_width(layer_m, bevel_rad)
        working.append(f"shown = {layer_m * 1e6:.1f} µm / sin {deg(bevel_rad)} = {mm(found['shown'])}")
    if layer_m < _DISSOLVES_M:
        cautions.append(
            f"layers of {layer_m * 1e6:.1f} µm: past some 600 to 800 layers on 4 mm the pattern "
            "dissolves to the eye (common practice)"
        )
    return found, working, cautions


def _plan_says(plan: layers.Plan, target: int) -> str:
    off = plan.count.true - target
    beside = "to the layer" if off == 0 else f"{abs(off)} {'over' if off > 0 else 'under'}"
    return (
        f"{plan.start} pieces, {layers.write_moves(plan.moves)}: {plan.welds} welds, "
        f"nominal {plan.count.nominal}, true {plan.count.true}, {beside}"
    )


def _planned(given: Given, starts: list[tuple[int, bool]], target: int) -> Answer:
    """Answer a search for a wanted count; the first plan is the one the numbers belong to."""
    if given.word("repeats").strip():
        raise ShopError("repeats: give either the rounds or a target to find them for, not both")
    welds, pieces = round(given.number("welds")), round(given.number("pieces"))
    plans = layers.find_plans(starts, target, welds, pieces)
    best = plans[0]
    seen, working, cautions = _visible(given, best.count)
    assumed, odd = _ends_notes(given, starts)
    found: dict[str, float | str] = {"nominal": best.count.nominal, "true": best.count.true, **seen}
    found |= {f"plans {place}": _plan_says(plan, target) for place, plan in enumerate(plans, 1)}
    if abs(best.count.true - target) > target / 4:
        cautions.append(
            f"the nearest count found, {best.count.true}, is far from {target}: allow more welds or "
            "another start stack"
        )
    return Answer(
        found,
        cautions=(*cautions, *odd),
        working=(*_round_lines(best.start, best.moves, best.count, starts), *working),
        assumed=(*assumed, "nominal, true and what follows from them belong to plan 1"),
    )


def _round_lines(
    start: int, moves: tuple[layers.Move, ...], last: layers.Count, starts: list[tuple[int, bool]]
) -> list[str]:
    """Write out the count round by round."""
    # Moves either keep unlike ends unlike or make them alike, so the start's own ends are looked up.
    alike = dict(starts)[start]
    counts = layers.count_layers(start, alike, moves)
    lines = []
    for before, move, now in zip(counts, moves, counts[1:], strict=False):
        merged = move.pieces * before.true - now.true
        lines.append(f"{move}: {move.pieces} × {before.true} − {merged} like faces met = {now.true}")
    return lines or [f"first stack: {last.true}"]


def _layers(given: Given) -> Answer:
    starts, target = _starts(given), given.maybe("target")
    if target is not None:
        return _planned(given, starts, round(target))
    if len(starts) > 1:
        raise ShopError(
            "start: several stacks are only compared for a target; give one, or a target like 200"
        )
    (start, alike), moves = starts[0], layers.read_moves(given.word("repeats"))
    last = layers.count_layers(start, alike, moves)[-1]
    seen, working, cautions = _visible(given, last)
    assumed, odd = _ends_notes(given, starts)
    return Answer(
        {"nominal": last.nominal, "true": last.true, **seen},
        cautions=(*cautions, *odd),
        working=(*_round_lines(start, moves, last, starts), *working),
        assumed=(*assumed, "no whole layer was ground off when cleaning a face for the next weld"),
    )


LAYERS = Calculator(
    name="layers",
    title="Layers in the bar",
    purpose="Count what a stack and its restacks make, what shows on the bevel, or find a way to a count",
    fields=(
        Field(
            "start",
            "count",
            "pieces in the first stack (with a target: what is on hand, as 13; 15; 16)",
            hard=("1", "1000"),
            likely=("3", "60"),
            fills_from=("start-layers",),
            many=True,
        ),
        Field(
            "ends",
            "choice",
            "steel on the two outer faces of the first stack",
            optional=True,
            choices=("same", "different"),
        ),
        Field(
            "repeats",
            "text",
            "rounds: 4x3 cut and stacked by four, then by three; f4 folded four times; "
            "4t every second piece turned over",
            optional=True,
        ),
        Field(
            "final-thickness",
            "length",
            "thickness of the finished bar or blade",
            unit="mm",
            optional=True,
            hard=("0.2 mm", "200 mm"),
            fills_from=("final-thickness", "ricasso-thickness"),
        ),
        Field(
            "bevel",
            "angle",
            "angle of the bevel to the layers",
            unit="deg",
            optional=True,
            hard=("0.1 deg", "90 deg"),
            likely=("1 deg", "15 deg"),
        ),
        Field("target", "count", "true count wanted", optional=True, hard=("2", "20000")),
        Field(
            "welds",
            "count",
            "most welding rounds, the first stack included",
            default="4",
            hard=("1", "10"),
            likely=("1", "6"),
        ),
        Field(
            "pieces", "count", "most pieces in one restack", default="6", hard=("2", "12"), likely=("2", "8")
        ),
    ),
    results=(
        Result("nominal", "count", "layers in trade talk: start times every restack", digits=0),
        Result("true", "count", "layers in the bar: like faces that meet are one", digits=0),
        Result("layer", "length", "mean thickness of a layer", unit="µm", digits=1),
        Result("shown", "length", "how wide a layer shows on the bevel", unit="mm", digits=2),
        Result("plans", "text", "ways to the target, nearest first", family=True),
    ),
    work=_layers,
    sources=(_MERGING, _SHOWN, _TARGETS),
    valid="stacks of whole pieces welded face to face; an outer layer lost in cleaning is not counted",
    example=Example(
        given={"start": "25", "repeats": "4x3", "final-thickness": "4 mm", "bevel": "3.2 deg"},
        found={"nominal": 300, "true": 289, "layer": 13.8, "shown": 0.25},
        source=Source("25 pieces of like ends: 4 × 25 − 3 = 97, then 3 × 97 − 2 = 289; by hand", "computed"),
        within=0.05,
    ),
)

CALCULATORS: tuple[Calculator, ...] = (LAYERS,)
