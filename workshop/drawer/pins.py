"""The drawer's pins: which drill a pin wants, and how far it must stand out for its heads."""

from __future__ import annotations

from workshop.drawer.declare import Answer, Calculator, Example, Field, Given, Result, Source
from workshop.errors import ShopError
from workshop.trade import drills, pins
from workshop.trade.geometry import INCH_M, circle_area, say_length

SIZES = Source(
    "ASME B94.11M-1993 (numbers, letters) and ANSI B94.11M-1979 (64ths), as given in Machinery's Handbook; "
    "BS 328 (metric)"
)
GAP = Source("A pin wants a hole two to three thou over its size for the glue", "common practice")
PEENED = Source(
    "A tang's hole is 1.25 to 1.5 pin diameters for a pin that is peened, so that peening cannot lock it",
    "common practice",
)
CAP = Source("Machinery's Handbook, 31st ed., pp. 88-93: spherical segment, cylinder, frustum of a cone")
HEADS = Source("Formed rivet heads 1.3 to 1.67 d wide and 0.4 to 0.67 d high are accepted", "secondary")
UPSET = Source("Metal is neither made nor lost in peening: head and gap are what stands out", "computed")

DRILLING = (
    "Clamp the work: a grabbed piece spins like a propeller. No gloves at the drill, eyes protected, "
    "hair and "
    "sleeves tied.",
)
PEENING = (
    "Wear eye protection; back the pin well. Nothing is hammered before the glue has reached its mark.",
)


def _drill_for_pin(given: Given) -> Answer:
    pin, clearance = given.number("pin"), given.number("clearance")
    rack = drills.rack(given.stores["drills"], given.word("set"))
    found = drills.for_pin(rack, pin, clearance)
    results: dict[str, float | str] = {
        "drill": found.drill.name,
        "hole": found.drill.size_m,
        "clearance": found.clearance_m,
    }
    for side, drill, gap in (
        ("under", found.under, found.under_clearance_m),
        ("over", found.over, found.over_clearance_m),
    ):
        if drill is not None and gap is not None:
            results[side] = f"{drills.say_size(drill)} ({drills.say_gap(drill, gap)})"
            results[f"{side}-clearance"] = gap
    least, most = found.tang_least_m, found.tang_most_m
    fitting = drills.between(rack, least, most)
    results["tang-hole"] = _tang_hole(given.word("set"), least, most, fitting)
    results["tang-hole-least"], results["tang-hole-most"] = least, most
    return Answer(results, _drill_notices(found, clearance), _drill_working(found, pin, clearance))


def _tang_hole(set_name: str, least_m: float, most_m: float, fitting: tuple[drills.Drill, ...]) -> str:
    """Return the range of a tang's hole in words, with the drills at its two ends."""
    if set_name == "metric":
        words = f"{least_m * 1000:.2f} to {most_m * 1000:.2f} mm"
    else:
        words = f"{least_m / INCH_M:.4f} to {most_m / INCH_M:.4f} in"
    if not fitting:
        return words
    if len(fitting) == 1:
        return f"{words} (drill {fitting[0].name})"
    return f"{words} (drills {fitting[0].name} to {fitting[-1].name})"


def _drill_notices(found: drills.PinDrill, wanted_m: float) -> tuple[str, ...]:
    if found.clearance_m > wanted_m + 0.0025 * INCH_M:
        return (
            f"The set has a gap here: {found.drill.name} leaves "
            f"{drills.say_gap(found.drill, found.clearance_m)}, "
            "well over what was asked. Look at the next smaller, or drill under and ream or lap the "
            "pin to fit.",
        )
    return ()


def _drill_working(found: drills.PinDrill, pin_m: float, clearance_m: float) -> tuple[str, ...]:
    return (
        f"wanted: pin + clearance = {pin_m / INCH_M:.5g} in + {clearance_m / INCH_M:.4g} in = "
        f"{(pin_m + clearance_m) / INCH_M:.5g} in ({(pin_m + clearance_m) * 1000:.4g} mm); the "
        "smallest drill not "
        f"under it is {drills.say_size(found.drill)}",
        f"clearance = {found.drill.size_m / INCH_M:.5g} − {pin_m / INCH_M:.5g} = "
        f"{found.clearance_m / INCH_M * 1000:+.2f} thou ({found.clearance_m * 1000:+.3f} mm)",
        f"tang's hole = 1.25 to 1.5 × {pin_m * 1000:.4g} mm = {found.tang_least_m * 1000:.3f} to "
        f"{found.tang_most_m * 1000:.3f} mm",
    )


PIN = Field(
    "pin",
    "drill",
    "the pin's diameter, as a size or a drill's name",
    "in",
    hard=("0.2 mm", "25 mm"),
    likely=("1.5 mm", "10 mm"),
    fills_from=("pin-diameter",),
)

PIN_DRILL = Calculator(
    name="pin-drill",
    title="Drill for a pin",
    purpose="Which drill leaves a pin the gap it wants, and what its neighbours would leave",
    fields=(
        PIN,
        Field(
            "clearance",
            "length",
            "how much larger than the pin the hole should be, on the diameter",
            "in",
            default="0.003 in",
            hard=("0 in", "0.25 in"),
            likely=("0.0005 in", "0.01 in"),
        ),
        Field(
            "set",
            "choice",
            "which drills you have",
            default="inch",
            choices=("inch", "metric", "all"),
            alike=True,
        ),
    ),
    results=(
        Result("drill", "text", "the smallest drill with at least the wanted clearance"),
        Result("hole", "length", "its size", "in", 4),
        Result("clearance", "length", "what it leaves on the diameter", "thou", 2),
        Result("under", "text", "the next smaller drill and what it would leave"),
        Result(
            "under-clearance", "length", "what the next smaller would leave, minus for too tight", "thou", 2
        ),
        Result("over", "text", "the next larger drill and what it would leave"),
        Result("over-clearance", "length", "what the next larger would leave", "thou", 2),
        Result("tang-hole", "text", "the tang's hole for a pin that is peened"),
        Result("tang-hole-least", "length", "the least of it", "in", 4),
        Result("tang-hole-most", "length", "the most of it", "in", 4),
    ),
    work=_drill_for_pin,
    sources=(SIZES, GAP, PEENED),
    valid="Pins from 0.2 to 25 mm; sizes are the drills' own, a hole in wood or by a worn drill "
    "differs by a thou or two",
    example=Example(
        given={"pin": "5/32 in", "clearance": "0.003 in", "set": "inch"},
        found={"drill": "#20", "hole": 0.161, "clearance": 4.75, "under-clearance": 2.75},
        source=Source(
            "By hand from the table: 0.15625 + 0.003 = 0.15925; #21 is 0.159, #20 is 0.161 in", "computed"
        ),
    ),
    stores=("drills",),
    cautions=DRILLING,
)


def _sizes(given: Given) -> tuple[dict[str, float], tuple[str, ...]]:
    """Return pin, head, rise and hole (m), and in words what was taken from the pin's size."""
    pin = given.number("pin")
    usual = {"head": 1.5, "rise": 0.5, "hole": 1.0}
    sizes, assumed = {"pin": pin}, []
    for name, times in usual.items():
        value = given.maybe(name)
        if value is None and not (name == "rise" and given.word("form") == "countersunk"):
            words = "the pin's own size" if times == 1 else f"{times:g} pin diameters"
            assumed.append(f"{name} is {words}, {say_length(times * pin)}")
        sizes[name] = times * pin if value is None else value
    return sizes, tuple(assumed)


def _pin_heads(given: Given) -> Answer:
    sizes, assumed = _sizes(given)
    form = next((form for form in pins.FORMS if form == given.word("form")), None)
    if form is None:
        raise ShopError(f'form is "{given.word("form")}"; it must be one of {", ".join(pins.FORMS)}')
    pin, grip = sizes["pin"], given.number("grip")
    need = pins.pin_for_heads(form, pin, sizes["head"], sizes["rise"], sizes["hole"], grip)
    results: dict[str, float | str] = {
        "stick-out": need.stick_out_m,
        "length": need.length_m,
        "in-pin-diameters": need.stick_out_m / pin,
        "head-volume": need.head_m3,
    }
    working = [
        f"head, {form}, {say_length(sizes['head'])} wide = {need.head_m3 * 1e9:.2f} mm³",
        f"gap around the pin in half the grip = {need.gap_m3 * 1e9:.2f} mm³",
    ]
    if need.sink_m:
        inside = circle_area(pin) * need.sink_m
        working.append(
            f"the pin already fills {inside * 1e9:.2f} mm³ of a countersink {say_length(need.sink_m)} deep"
        )
    section = circle_area(pin) * 1e6
    working.append(
        f"stick-out = volume wanted / the pin's section {section:.3f} mm² = {say_length(need.stick_out_m)}"
    )
    working.append(
        f"length = {say_length(grip)} + 2 × {say_length(need.stick_out_m)} = {say_length(need.length_m)}"
    )
    return Answer(results, _head_notices(given, sizes), tuple(working), assumed)


def _head_notices(given: Given, sizes: dict[str, float]) -> tuple[str, ...]:
    notices = []
    pin, form = sizes["pin"], given.word("form")
    ranges = [("head", pins.USUAL_HEAD)] + ([] if form == "countersunk" else [("rise", pins.USUAL_RISE)])
    for name, (least, most) in ranges:
        times = sizes[name] / pin
        if form != "countersunk" and not least - 1e-9 <= times <= most + 1e-9:
            notices.append(
                f"{name} is {times:.2f} pin diameters; formed rivet heads are usually {least} to "
                f"{most} of them."
            )
    if form == "countersunk" and given.maybe("rise") is not None:
        notices.append("A countersunk head is worked out flush; the rise is not used.")
    return tuple(notices)


PIN_HEAD = Calculator(
    name="pin-head",
    title="Pin heads",
    purpose="How far a pin must stand out of each side to fill its hole and form its heads",
    fields=(
        PIN,
        Field(
            "head",
            "length",
            "how wide the finished head is (1.5 pin diameters)",
            "in",
            optional=True,
            hard=("0.2 mm", "80 mm"),
        ),
        Field(
            "rise",
            "length",
            "how high it stands (half a pin diameter)",
            "in",
            optional=True,
            hard=("0.05 mm", "40 mm"),
        ),
        Field(
            "hole",
            "drill",
            "the hole it stands in (the pin's own size)",
            "in",
            optional=True,
            hard=("0.2 mm", "30 mm"),
            fills_from=("pin-hole",),
        ),
        Field(
            "grip",
            "length",
            "the handle's thickness at the pin, surface to surface",
            "mm",
            hard=("0.1 mm", "200 mm"),
            likely=("8 mm", "50 mm"),
            fills_from=("handle-width-at-pin", "handle-width"),
        ),
        Field(
            "form",
            "choice",
            "the head's form",
            default="dome",
            choices=("dome", "flat", "countersunk"),
            alike=True,
        ),
    ),
    results=(
        Result("stick-out", "length", "how far the pin stands out of each side before peening", "mm", 2),
        Result("length", "length", "how long the pin is cut", "mm", 1),
        Result("in-pin-diameters", "number", "the stick-out, in pin diameters", "", 2),
        Result("head-volume", "volume", "the metal of one head", "mm³", 2),
    ),
    work=_pin_heads,
    sources=(UPSET, CAP, HEADS),
    valid="Round pins of soft metal, both ends headed alike, the gap filled whole; a countersink of 90°",
    example=Example(
        given={
            "pin": "4 mm",
            "head": "6 mm",
            "rise": "2 mm",
            "hole": "4 mm",
            "grip": "20 mm",
            "form": "dome",
        },
        found={"stick-out": 2.58, "length": 25.2, "in-pin-diameters": 0.65},
        source=Source(
            "By hand: πh(3a² + h²)/6 with a = 0.75 d, h = 0.5 d is 0.6458 d of shank; 0.6458 × 4 = 2.583 mm",
            "computed",
        ),
        within=0.05,
    ),
    stores=("drills",),
    cautions=PEENING,
)

CALCULATORS: tuple[Calculator, ...] = (PIN_DRILL, PIN_HEAD)
