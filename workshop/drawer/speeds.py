"""The drawer's belt and drill speeds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from workshop import measure
from workshop.drawer.declare import Answer, Calculator, Example, Field, Given, Result, Source
from workshop.drawer.grind import GRINDING_CAUTIONS
from workshop.errors import ShopError
from workshop.showable import showable
from workshop.trade import speeds

_RIM = Source(
    "Surface speed = π × diameter × turns; rpm = 12 V / (π D) with V in ft/min, D in inches", "secondary"
)
_FASTEST_BELT_M_S = 5500 * 0.3048 / 60
_SLOW_HERTZ = 15.0
_HAIR = 1 + 1e-9


def _rpm(turns_per_s: float) -> str:
    return f"{turns_per_s * 60:.0f} rpm"


def _speed(text_of: Mapping[str, Any], key: str, kind: str = "speed") -> float:
    """Read a speed of the store; a bare number there has no unit and is refused."""
    return float(measure.read(str(text_of.get(key, "")), kind, field=f"{key} in the cutting store"))


def _belt_turns(given: Given) -> tuple[float, float | None, str]:
    """Return the wheel's turns, the frequency where it is known, and the line that says how."""
    wheel_m, rated_turns = given.number("wheel"), given.maybe("rpm")
    hertz, rated_hertz, wanted = given.maybe("hertz"), given.number("rated-hertz"), given.maybe("speed")
    if wanted is not None:
        if hertz is not None:
            raise ShopError("speed, hertz: give one of the two; a wanted speed finds the hertz for itself")
        turns = speeds.turning_speed(wanted, wheel_m)
        line = f"turns = {wanted:.2f} m/s / (π × {wheel_m * 1000:.1f} mm) = {_rpm(turns)}"
        if rated_turns is None:
            return turns, None, line
        return turns, speeds.hertz_for(turns, rated_turns, rated_hertz), line
    if rated_turns is None:
        raise ShopError(
            "rpm: give the motor's turns at its rated hertz, like 3450 rpm, or a speed to find them for"
        )
    if hertz is None:
        return rated_turns, rated_hertz, f"turns at the rated {rated_hertz:g} Hz = {_rpm(rated_turns)}"
    turns = speeds.motor_turns(rated_turns, hertz, rated_hertz)
    return turns, hertz, f"turns = {_rpm(rated_turns)} × {hertz:g} / {rated_hertz:g} Hz = {_rpm(turns)}"


def _belt_speed(given: Given) -> Answer:
    wheel_m, wanted = given.number("wheel"), given.maybe("speed")
    turns, hertz, line = _belt_turns(given)
    speed = wanted if wanted is not None else speeds.surface_speed(wheel_m, turns)
    found: dict[str, float | str] = {"speed": speed, "rpm": turns}
    working = [
        line,
        f"speed = π × {wheel_m * 1000:.1f} mm × {_rpm(turns)} = {speed:.2f} m/s = {speed / 0.00508:.0f} "
        f"ft/min",
    ]
    if hertz is not None:
        found["hertz"] = hertz
        if wanted is not None:
            working.append(f"hertz = {hertz:.1f} of {given.number('rated-hertz'):g} rated")
    uses = [
        str(use["use"])
        for use in given.stores["cutting"].get("belt", ())
        if _speed(use, "low") / _HAIR <= speed <= _speed(use, "high") * _HAIR
    ]
    found["suits"] = ", ".join(uses) or "none of the usual uses"
    return Answer(found, cautions=_belt_cautions(given, speed, turns, hertz), working=tuple(working))


def _belt_cautions(given: Given, speed: float, turns: float, hertz: float | None) -> tuple[str, ...]:
    cautions = []
    rated_hertz, most = given.number("rated-hertz"), given.maybe("wheel-limit")
    if hertz is not None and hertz > rated_hertz * _HAIR:
        cautions.append(
            f"OVER THE RATING: {hertz:.1f} Hz on a motor rated {rated_hertz:g} Hz; its maker decides what "
            f"it bears"
        )
    if most is not None and turns > most * _HAIR:
        cautions.append(f"OVER THE RATING: {_rpm(turns)} on a wheel rated {_rpm(most)}; do not run it")
    if most is None:
        cautions.append(f"look up the wheel's own rating: it must bear {_rpm(turns)}")
    if hertz is not None and hertz < _SLOW_HERTZ:
        cautions.append(f"at {hertz:.1f} Hz the motor's own fan hardly cools it (below some 15 Hz)")
    if speed > _FASTEST_BELT_M_S * _HAIR:
        cautions.append(
            "over the usual 2500 to 5500 ft/min for blades (from memory): heat, and belts that part"
        )
    return tuple(cautions)


BELT_SPEED = Calculator(
    name="belt-speed",
    title="Belt speed",
    purpose="How fast the belt runs, or what to set the drive to for a speed",
    fields=(
        Field(
            "wheel",
            "length",
            "diameter of the drive wheel (or of a grinding wheel)",
            unit="mm",
            hard=("5 mm", "1 m"),
            likely=("50 mm", "300 mm"),
        ),
        Field(
            "rpm",
            "turning speed",
            "motor's turns at its rated hertz, off its plate",
            unit="rpm",
            optional=True,
            hard=("10 rpm", "30000 rpm"),
            likely=("700 rpm", "3600 rpm"),
        ),
        Field(
            "hertz",
            "frequency",
            "frequency the drive is set to",
            unit="Hz",
            optional=True,
            hard=("0.5 Hz", "500 Hz"),
        ),
        Field(
            "rated-hertz",
            "frequency",
            "frequency the motor is rated at",
            unit="Hz",
            default="60 Hz",
            hard=("10 Hz", "500 Hz"),
            likely=("50 Hz", "60 Hz"),
        ),
        Field(
            "speed",
            "speed",
            "belt speed wanted, instead of the hertz",
            unit="m/s",
            optional=True,
            hard=("0.1 m/s", "100 m/s"),
        ),
        Field(
            "wheel-limit",
            "turning speed",
            "the wheel's own rated turns, off its side",
            unit="rpm",
            optional=True,
            hard=("10 rpm", "100000 rpm"),
        ),
    ),
    results=(
        Result("speed", "speed", "belt speed", unit="m/s", digits=1),
        Result("rpm", "turning speed", "turns of the drive wheel", unit="rpm", digits=0),
        Result("hertz", "frequency", "frequency to set the drive to", unit="Hz", digits=1),
        Result("suits", "text", "what this speed is usual for"),
    ),
    work=_belt_speed,
    sources=(
        _RIM,
        Source("Motor turns follow the frequency (slip aside)", "common practice"),
        Source(
            "Belt speeds by use: rough 20-28, after heat treat 8-15, handle wood 5-12 m/s", "common practice"
        ),
        Source("Vitrified wheels usually at most 6500 ft/min (ANSI B7.1)", "from memory"),
    ),
    valid="wheel on the motor's own shaft, belt not slipping",
    example=Example(
        given={"wheel": "6 in", "rpm": "3450 rpm"},
        found={"speed": 27.53, "rpm": 3450},
        source=Source("6 in at 3450 rpm is 5419 ft/min: π × 6 × 3450 / 12, by hand", "computed"),
        within=0.05,
    ),
    stores=("cutting",),
    cautions=(
        *GRINDING_CAUTIONS,
        "Never run a wheel over its rated turns; ring-test a stone wheel, guards on, rest within 1/8 in "
        "(OSHA 1910.215). Stand aside while it runs up.",
    ),
)


@dataclass(frozen=True, slots=True)
class _Turns:
    """One source's drilling turns for a drill: low, high and the line that says how."""

    low: float
    high: float
    line: str


def _named(entries: tuple[Mapping[str, Any], ...], word: str, what: str) -> Mapping[str, Any]:
    """Return the store's entry with this name, title or other name."""
    wanted = word.strip().casefold()
    for entry in entries:
        names = (entry["id"], entry.get("title", ""), *entry.get("also", ()))
        if wanted in (str(name).casefold() for name in names):
            return entry
    known = ", ".join(str(entry["id"]) for entry in entries)
    raise ShopError(f"{what}: '{showable(word.strip(), 40)}' is not in the cutting store; it has {known}")


def _turns(entry: Mapping[str, Any], factor: float, diameter_m: float) -> _Turns:
    """Read one entry of the store and turn it into a drill's turns."""
    where = f"{entry.get('source', 'your own')} ({entry.get('standing', 'common practice')})"
    if "turns-low" in entry:
        low, high = (_speed(entry, key, "turning speed") for key in ("turns-low", "turns-high"))
        return _Turns(low, high, f"{_rpm(low)} to {_rpm(high)}: {where}")
    low_v, high_v = _speed(entry, "low") * factor, _speed(entry, "high") * factor
    low, high = (speeds.turning_speed(v, diameter_m) for v in (low_v, high_v))
    times = "" if factor == 1 else f" (with × {factor:g} for the tool)"
    span = f"{low_v * 60:.1f}" if low_v == high_v else f"{low_v * 60:.1f} to {high_v * 60:.1f}"
    line = (
        f"{span} m/min{times} / (π × {diameter_m * 1000:.2f} mm) = "
        f"{_rpm(low) if low == high else f'{low * 60:.0f} to {_rpm(high)}'}: {where}"
    )
    return _Turns(low, high, line)


def _drill_speed(given: Given) -> Answer:
    store, diameter_m = given.stores["cutting"], given.number("diameter")
    metal = _named(tuple(store.get("metal", ())), given.word("metal"), "metal")
    tool = _named(tuple(store.get("tool", ())), given.word("tool"), "tool")
    listed = list(metal.get("speed", ()))
    own = [(entry, 1.0) for entry in listed if entry.get("tool") == tool["id"]]
    pairs = own or [(entry, float(tool["factor"])) for entry in listed if entry.get("tool") == "HSS"]
    if not pairs:
        able = ", ".join(sorted({str(entry.get("tool")) for entry in listed}))
        raise ShopError(
            f"tool: {tool['id']} has no speed for {metal['title']}; use {able}, or soften the steel first"
        )
    turns = [_turns(entry, factor, diameter_m) for entry, factor in pairs]
    low, high = speeds.spread((each.low, each.high) for each in turns)
    working, cautions = [each.line for each in turns], []
    top = given.maybe("fastest")
    if top is not None and high > top:
        cautions.append(f"the press tops out at {_rpm(top)}: {_rpm(high)} is more than it turns")
        low, high = min(low, top), top
    if len(turns) > 1 and high > 1.5 * low:
        cautions.append("the sources differ: begin at the low end and go up while chips come clean")
    if metal["id"] == "hardened":
        cautions.append(
            "carbide chips at the least chatter: rigid clamping, steady feed, eye and face shield"
        )
    assumed = (
        () if own or tool["id"] == "HSS" else (f"{tool['title']}: {tool['source']} ({tool['standing']})",)
    )
    return Answer({"rpm-low": low, "rpm-high": high}, tuple(cautions), tuple(working), assumed)


DRILL_SPEED = Calculator(
    name="drill-speed",
    title="Drill speed",
    purpose="What to set the drill press to for this drill in this metal",
    fields=(
        Field(
            "diameter",
            "drill",
            "the drill: a size, or its name as #30 or F",
            unit="mm",
            hard=("0.2 mm", "50 mm"),
            likely=("1 mm", "16 mm"),
            fills_from=("pin-diameter",),
        ),
        Field(
            "metal",
            "word",
            "what is drilled, as tang, brass, nickel-silver, hardened",
            default="tang",
            alike=True,
        ),
        Field(
            "tool", "choice", "what the drill is made of", default="HSS", choices=("HSS", "cobalt", "carbide")
        ),
        Field(
            "fastest",
            "turning speed",
            "fastest the drill press turns",
            unit="rpm",
            optional=True,
            hard=("50 rpm", "60000 rpm"),
        ),
    ),
    results=(
        Result("rpm-low", "turning speed", "slowest the sources give", unit="rpm", digits=0),
        Result("rpm-high", "turning speed", "fastest the sources give", unit="rpm", digits=0),
    ),
    work=_drill_speed,
    sources=(
        _RIM,
        Source(
            "Drilling speeds by metal: general tables, and the layout of Machinery's Handbook, from copies",
            "secondary",
        ),
        Source(
            "Softened tang 8-10 m/min, brass 40, stainless guard 12; carbide in a hard tang 20-30",
            "common practice",
        ),
    ),
    valid="twist drills of 0.2 to 50 mm, sharp, with oil in steel; deep holes slower, and peck",
    example=Example(
        given={"diameter": "1/2 in", "metal": "W1", "tool": "HSS"},
        found={"rpm-low": 649.4, "rpm-high": 649.4},
        source=Source("12 × 85 / (π × 0.5), by hand", "computed"),
        within=0.1,
    ),
    stores=("cutting", "drills"),
    cautions=(
        "Clamp the work: a blade the drill grabs spins as a propeller. Small work in a vise, never in the "
        "hand. "
        "Eyes; no gloves, hair and sleeves tied. Usual cautions; the machine's manual decides.",
    ),
)

CALCULATORS: tuple[Calculator, ...] = (BELT_SPEED, DRILL_SPEED)
