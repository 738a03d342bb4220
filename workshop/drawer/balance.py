"""The drawer's balance: what a knife will weigh and where it will lie on the finger."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from workshop.drawer.declare import Answer, Calculator, Example, Field, Given, Result, Source
from workshop.drawer.parts import Material, Part, Usual, read_part
from workshop.drawer.stack import STACKED, Knife, Laid, lay, thicker
from workshop.errors import ShopError
from workshop.trade.balance import FILLS, Body, Solid, common, holes_in, without

COMMON = Source(
    "x = Σ m·x / Σ m; tapered solids worked exactly (Machinery's Handbook, prismatoid)", "published"
)
DENSITIES = Source("Densities of the stores of metals and woods, each with its own source there", "secondary")
TARGETS = Source(
    "Balance from the guard's front: hunter 0 to +10 mm, large camp knife +15 to +30, "
    "kitchen knife +10 to +25, octagon-handled +20 to +40",
    "common practice",
)

USUAL = {
    "blade": Usual("wedge", "", "130 x 30>20 x 4>2 wedge carbon-steel", forward=True),
    "tang": Usual("bar", "", "95 x 16>8 x 4>2.5 carbon-steel"),
    "guard": Usual("bar", "", "6 x 40 x 12 brass"),
    "spacers": Usual("bar", "", "3 x 34 x 22 oval copper"),
    "handle": Usual("oval", "", "0: 28 x 20, 50: 32 x 24, 110: 27 x 19 oval black-walnut"),
    "slot": Usual("bar", "1 g/cm3", "95 x 20 x 6", weighed=False),
    "cap": Usual("oval", "", "5 x 27 x 19 oval brass"),
    "other": Usual("bar", "", "8 g at -60 mm", weighed=False),
}


def _lines(given: Given, name: str) -> tuple[str, ...]:
    value = given.values.get(name)
    if value is None:
        return ()
    lines = value if isinstance(value, tuple) else (value,)
    return tuple(str(line) for line in lines if str(line).strip())


def _measured(given: Given, kind: str) -> str | None:
    """Return the line for a part that the blade's own measurements describe, None when they do not."""

    def known(*names: str) -> list[str] | None:
        values = [given.maybe(name) for name in names]
        return (
            None if any(each is None for each in values) else [f"{1000 * (each or 0):.6f}" for each in values]
        )

    if kind == "blade" and (sizes := known("blade-length", "blade-height", "spine-thickness")):
        length, height, thick = (float(each) for each in sizes)
        tip = 1000 * (given.maybe("tip-thickness") or thick / 1000)
        belly = thick + (tip - thick) * 2 / 3
        return (
            f"0: {height:.6f} x {thick:.6f}, {length * 2 / 3:.6f}: {height:.6f} x {belly:.6f}, "
            f"{length:.6f}: 0 x {tip:.6f} wedge"
        )
    if kind == "tang" and (sizes := known("tang-length", "tang-height-front", "tang-thick-front")):
        ends = [
            f"{1000 * (given.maybe(end) or float(front) / 1000):.6f}"
            for end, front in zip(("tang-height-end", "tang-thick-end"), sizes[1:], strict=True)
        ]
        return f"{sizes[0]} x {sizes[1]}>{ends[0]} x {sizes[2]}>{ends[1]}"
    names = {
        "handle": ("handle-length", "handle-height", "handle-width"),
        "slot": ("slot-depth", "slot-height", "slot-width"),
    }
    sizes = known(*names[kind]) if kind in names else None
    return " x ".join(sizes) if sizes else None


def _read(given: Given) -> tuple[Knife, list[str]]:
    """Return the knife as it was written or measured, and what had to be assumed for it."""
    parts: list[tuple[str, Part]] = []
    assumed: list[str] = []
    words = {"blade": given.word("steel"), "tang": given.word("steel"), "handle": given.word("wood")}
    for kind, usual in USUAL.items():
        if kind == "slot":
            continue
        lines = _lines(given, kind)
        if not lines and (line := _measured(given, kind)):
            lines = (line,)
            assumed.append(f"{kind} from the measurements of the blade")
            if kind == "blade":
                assumed.append(
                    "flat ground from the spine, full height for two thirds, then running to the point"
                )
        plain = replace(usual, material=words.get(kind) or usual.material)
        singular = kind.removesuffix("s")
        for number, line in enumerate(lines, start=1):
            label = kind if kind in ("blade", "tang", "handle") or len(lines) == 1 else f"{singular} {number}"
            label = singular if kind == "spacers" and len(lines) == 1 else label
            parts.append((kind, read_part(given, line, label, plain)))
    line = next(iter(_lines(given, "slot")), None) or _measured(given, "slot")
    slot = read_part(given, line, "slot", USUAL["slot"]) if line else None
    if slot is not None and slot.solid is None:
        raise ShopError(f"slot is a hole and has no weight; write its sizes, as in {USUAL['slot'].example}")
    return Knife(tuple(parts), slot, given.maybe("blade-mass")), assumed


def _guard_shift(knife: Knife, now: Body) -> float | None:
    """Return how far the balance moves (m) when the rearmost guard is 1 mm thicker."""
    guards = knife.only("guard")
    more = thicker(guards[-1]) if guards else None
    if more is None:
        return None
    parts = tuple((kind, more if part is guards[-1] else part) for kind, part in knife.parts)
    return common(each.body for each in lay(replace(knife, parts=parts))).x_m - now.x_m


def _drill_shift(given: Given, laid: list[Laid], now: Body) -> tuple[float, str] | None:
    """Return how far the balance moves (m) when the tang is drilled, and the working."""
    tang = next((each for each in laid if each.kind == "tang" and each.solid and each.part.material), None)
    holes = round(given.number("tang-holes"))
    if tang is None or tang.solid is None or tang.part.material is None or holes == 0:
        return None
    hole_m, density = given.number("tang-hole"), tang.part.material.density_kg_m3
    drilled = [Body(density * volume, place) for place, volume in holes_in(tang.solid, hole_m, holes)]
    left = now
    for each in drilled:
        left = without(left, each)
    out = common(drilled)
    words = (
        f"{holes} holes of {1000 * hole_m:g} mm in the rear half of the tang take "
        f"{1000 * out.mass_kg:.2f} g out at {1000 * out.x_m:+.1f} mm"
    )
    return left.x_m - now.x_m, words


def _letters(laid: list[Laid]) -> Iterator[tuple[str, str, Solid]]:
    marks = {"blade": "=", "guard": "G", "spacers": "s", "handle": "H", "cap": "C", "other": "o"}
    for each in laid:
        if each.solid is not None and each.kind in marks:
            yield marks[each.kind], each.kind, each.solid


def _draw(laid: list[Laid], x_m: float, columns: int = 56, rows: int = 5) -> tuple[str, ...]:
    """Draw the parts from the side, the blade to the right, and mark where it balances."""
    shapes = list(_letters(laid))
    if not shapes:
        return ()
    places = [solid.back_m for *_, solid in shapes] + [solid.front_m for *_, solid in shapes] + [x_m, 0.0]
    back, front = min(places), max(places)
    most = max(each.height_m for *_, solid in shapes for each in solid.stations) or 1.0
    grid = [[" "] * columns for _ in range(rows)]
    for mark, _, solid in shapes:
        for column in range(columns):
            left = back + (front - back) * column / columns
            piece = solid.between(left, left + (front - back) / columns)
            if piece is None:
                continue
            height = max(each.height_m for each in piece.stations)
            for row in range(rows):
                if abs(row - rows // 2) <= height / most * rows / 2 - 0.4 or row == rows // 2:
                    grid[row][column] = mark
    at = min(columns - 1, int((x_m - back) / (front - back) * columns))
    legend = " ".join(dict.fromkeys(f"{mark} {kind}" for mark, kind, _ in shapes))
    caret = f"{' ' * at}^" if at < columns - 16 else f"{'balances here ':>{at}}^"
    if at < columns - 16:
        caret += " balances here"
    return (*("".join(row).rstrip() or " " for row in grid), caret, legend)


def _materials(laid: list[Laid]) -> list[Material]:
    used = {each.part.material.note: each.part.material for each in laid if each.part.material}
    return list(used.values())


def _cautions(laid: list[Laid], knife: Knife) -> list[str]:
    cautions = list(dict.fromkeys(line for each in _materials(laid) for line in each.cautions))
    tang = next((each.solid for each in laid if each.kind == "tang" and each.solid), None)
    stack = [each.solid for each in laid if each.kind in STACKED and each.solid]
    if tang is not None and stack and tang.back_m < min(each.back_m for each in stack) - 1e-9:
        over = 1000 * (min(each.back_m for each in stack) - tang.back_m)
        cautions.append(f"the tang stands {over:.1f} mm out behind the last part")
    if knife.weighed_kg is not None and not knife.has_shape():
        cautions.append("blade-mass is not used: it needs the sizes of both blade and tang")
    if not any(each.kind == "blade" for each in laid):
        cautions.append("no blade is given: this is the balance of the other parts alone")
    return cautions


def _balance(given: Given) -> Answer:
    knife, assumed = _read(given)
    laid = lay(knife)
    now = common(each.body for each in laid)
    found: dict[str, float | str] = {"mass": now.mass_kg, "balance": now.x_m}
    working = [
        f"{each.part.label}: {1000 * each.body.mass_kg:.1f} g at {1000 * each.body.x_m:+.1f} mm"
        for each in laid
    ]
    moment = 1e6 * now.mass_kg * now.x_m
    working.append(f"Σ m·x / Σ m = {moment:.0f} g·mm / {1000 * now.mass_kg:.1f} g = {1000 * now.x_m:+.1f} mm")
    if (shift := _guard_shift(knife, now)) is not None:
        found["guard-shift"] = shift
        working.append(f"guard 1 mm thicker, all behind it 1 mm further back: {1000 * shift:+.2f} mm")
    cautions = _cautions(laid, knife)
    try:
        if (drilled := _drill_shift(given, laid, now)) is not None:
            found["drill-shift"] = drilled[0]
            working.append(drilled[1])
    except ShopError as too_large:  # a what-if that does not fit must not hide the balance itself
        cautions.append(f"drilled tang: {too_large}")
    for each in laid:
        found[f"share {each.part.label}"] = each.body.mass_kg / now.mass_kg
    if knife.weighed_kg is not None and knife.has_shape():
        assumed.append("blade and tang are scaled to their weight on the scale")
    if knife.slot is None and any(each.kind == "tang" and each.solid for each in laid):
        assumed.append("the slot is as tight as the tang; give slot for the room beside it")
    assumed += [each.note for each in _materials(laid)]
    return Answer(found, tuple(cautions), tuple(working), tuple(assumed), _draw(laid, now.x_m))


def _line(name: str, says: str, many: bool = False) -> Field:
    return Field(name, "text", f"{says}: {USUAL[name].example}", optional=True, many=many)


def _length(name: str, says: str, fills_from: tuple[str, ...] = ()) -> Field:
    return Field(
        name,
        "length",
        says,
        unit="mm",
        optional=True,
        hard=("0 mm", "2 m"),
        likely=(None, "500 mm"),
        fills_from=fills_from or (name,),
    )


BALANCE = Calculator(
    name="balance",
    title="Weight and balance of the knife",
    purpose="What it will weigh and where it will balance, before the guard and handle are cut",
    fields=(
        _line("blade", "length x height x thickness, or weighed"),
        _line("tang", "from the shoulder back"),
        _line("guard", "along the knife x height x thickness", many=True),
        _line("spacers", "behind the guard", many=True),
        _line("handle", "its stations, or length x height x width"),
        _line("slot", "the hole in the handle: depth x height x width"),
        _line("cap", "behind the handle", many=True),
        _line("other", "anything else, with its place", many=True),
        Field("steel", "word", "of blade and tang when they do not say", default="carbon-steel", alike=True),
        Field("wood", "word", "of the handle when it does not say", optional=True, fills_from=("wood",)),
        Field("tang-hole", "length", "hole of a drilled tang", "mm", "3 mm", hard=("0.5 mm", "30 mm")),
        Field("tang-holes", "count", "how many, in its rear half", default="3", hard=("0", "40")),
        _length("blade-length", "guard to point, when blade is not written"),
        _length("blade-height", "at the heel"),
        _length(
            "spine-thickness", "of the spine at the heel", fills_from=("spine-thickness", "ricasso-thickness")
        ),
        _length("tip-thickness", "of the spine near the point", fills_from=("spine-near-tip",)),
        Field(
            "blade-mass",
            "mass",
            "blade with tang on the scale",
            "g",
            optional=True,
            hard=("0.1 g", "20 kg"),
            fills_from=("blade-mass",),
        ),
        _length("tang-length", "shoulder to end, when tang is not written"),
        _length("tang-height-front", "at the shoulder"),
        _length("tang-height-end", "at the end"),
        _length("tang-thick-front", "at the shoulder"),
        _length("tang-thick-end", "at the end"),
        _length("slot-depth", "of the hole in the handle, when slot is not written"),
        _length("slot-height", "of the hole in the handle"),
        _length("slot-width", "of the hole in the handle"),
        _length("handle-length", "when handle is not written"),
        _length("handle-height", "back to edge side"),
        _length("handle-width", "across"),
    ),
    results=(
        Result("mass", "mass", "of the whole knife", "g", 1),
        Result("balance", "length", "from the guard's front face, blade side plus", "mm", 1),
        Result("guard-shift", "length", "what 1 mm more guard moves it", "mm", 2),
        Result("drill-shift", "length", "what the drilled tang moves it", "mm", 2),
        Result("share", "share", "share of the weight:", "%", 1, family=True),
    ),
    work=_balance,
    sources=(COMMON, DENSITIES, TARGETS),
    valid=f"parts straight from station to station; sections {', '.join(FILLS)}; "
    "wood at about 12 % moisture, a block differs by a tenth and more",
    example=Example(
        given={"blade": "210 g at 70 mm", "guard": "45 g at -4 mm", "handle": "70 g at -65 mm"},
        found={"mass": 325.0, "balance": 30.7},
        source=Source("(210·70 − 45·4 − 70·65)/325 = 30.68 mm, by hand", "computed"),
        within=0.05,
    ),
    stores=("metals", "woods"),
    cautions=("weigh the finished parts before you trust the figure to a millimetre",),
)

CALCULATORS: tuple[Calculator, ...] = (BALANCE,)
