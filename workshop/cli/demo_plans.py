"""What the example blades are: four plans of work, of our own invention, for `workshop.cli.demo` to walk."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import timedelta

AIR = "17.5 °C"
HUMIDITY = "61 %"


@dataclass(frozen=True)
class Stretch:
    """Steps done one after another, in route order: on the morning some days ago, or so long before now."""

    first: str
    last: str
    days: int = 0
    before: timedelta | None = None


@dataclass(frozen=True)
class Running:
    """The clock that is left running: one of its marks opens so long after now."""

    step: str
    clock: str
    mark: str
    ahead: timedelta


@dataclass(frozen=True)
class Plan:
    """One example blade. whys: reasons for a value outside its limits. left_out, notes: by step.

    redone: steps done over once, and why. slips: at a step, a calculator and what is typed into it.
    rehearsed: a step run through dry, how long before now and how long it took.
    """

    name: str
    maker_for: str
    about: str
    choices: Mapping[str, str]
    stretches: Sequence[Stretch]
    values: Mapping[str, str]
    whys: Mapping[str, str] = field(default_factory=dict)
    left_out: Mapping[str, str] = field(default_factory=dict)
    notes: Mapping[str, str] = field(default_factory=dict)
    redone: Mapping[str, str] = field(default_factory=dict)
    slips: Mapping[str, tuple[str, Mapping[str, str]]] = field(default_factory=dict)
    running: Running | None = None
    rehearsed: tuple[str, timedelta, timedelta] | None = None


HOURS = {
    **dict.fromkeys(("monday", "tuesday", "wednesday", "thursday", "friday"), "07:30 to 19:00"),
    "saturday": "09:00 to 16:00",
    "sleep": "22:30 to 06:30",
}
NIGHT = "16.5 °C"
EARLY = "10 min"

HERON = Plan(
    name="Heron",
    maker_for="a hunter in the fells",
    about="Small hunter, twist pattern, walnut with a copper spacer",
    choices={"steel": "pattern-welded", "pin": "peened"},
    stretches=(
        Stretch("A1", "A5", days=19),
        Stretch("B1", "B4", days=17),
        Stretch("B5", "B7", days=16),
        Stretch("C1", "C7", days=14),
        Stretch("D1", "D8", days=13),
        Stretch("E1", "E9", days=12),
        Stretch("F1", "F3", days=10),
        Stretch("G1", "G4", days=9),
        Stretch("G5", "G6", days=8),
        Stretch("H1", "H4", days=2),
        Stretch("H5", "H6", days=1),
    ),
    values={
        "ordered-for": "a hunter in the fells, for dressing deer, bare hands",
        "palm-width": "88 mm",
        "hand-length": "192 mm",
        "target-hardness": "60 HRC",
        "blade-length": "98 mm",
        "blade-height": "26 mm",
        "ricasso-length": "12 mm",
        "spine-thickness": "3.8 mm",
        "guard-thickness": "6 mm",
        "handle-length": "112 mm",
        "tang-length": "96 mm",
        "pin-from-front": "38 mm",
        "steel-name": "1084 and 15N20",
        "guard-metal": "brass",
        "adhesive-opened": "slow, tin opened in spring",
        "pattern": "twist",
        "start-layers": "11",
        "target-layers": "88",
        "final-thickness": "4.2 mm",
        "stack-height": "44 mm",
        "stack-mass": "1240 g",
        "weld-heat": "1260 °C",
        "weld-heats": "3",
        "restack-pieces": "4",
        "restack-rounds": "1",
        "layers-now": "44",
        "twist-turns": "7.5",
        "billet-mass": "870 g",
        "ricasso-thickness": "4.05 mm",
        "tang-height-front": "15.5 mm",
        "tang-height-end": "8 mm",
        "tang-thick-front": "3.9 mm",
        "tang-thick-end": "2.4 mm",
        "edge-thickness": "0.75 mm",
        "blade-mass": "142 g",
        "file-skates": "yes",
        "warp": "0.3 mm",
        "temper-temperature": "204 °C",
        "hardness-1": "60 HRC",
        "hardness-2": "60.5 HRC",
        "guard-slot-width": "3.98 mm",
        "guard-slot-length": "15.4 mm",
        "interference": "0.02 mm",
        "spacer-stack": "1.6 mm",
        "spacer-order": "fibre, copper, fibre",
        "wood": "black walnut",
        "block-oily": "no",
        "block-mass": "168 g",
        "block-moisture": "9.5 %",
        "block-length": "124 mm",
        "block-width": "32 mm",
        "block-height": "42 mm",
        "slot-width": "5.2 mm",
        "slot-height": "17 mm",
        "slot-depth": "100 mm",
        "front-gap": "0.02 mm",
        "pin-diameter": "5/32 in",
        "pin-hole": "0.161 in",
        "humidity": HUMIDITY,
        "air": AIR,
        "part-temperature": "19 °C",
        "bedding-resin": "4.2 g",
        "bedding-hardener": "1.9 g",
        "bedding-ratio": "2:1 by volume",
    },
    notes={
        "B3": "one corner opened at the second heat; fluxed and closed again",
        "G4": "drives to 8 mm by hand, the rest with six taps on brass",
    },
    redone={"H5": "light showed under the left edge against the lamp"},
    slips={
        "H1": ("wood-swing", {"species": "black walnut", "width": "32 mm"}),
        "H6": ("pin-drill", {"clearance": "0.003 in"}),
        "H7": ("slot-fill", {"extra": "30 %"}),
    },
    running=Running("H7", "bedding", "pull", timedelta(minutes=24)),
)

WREN = Plan(
    name="Wren",
    maker_for="a cook by the harbour",
    about="Kitchen knife, long and thin, ash handle",
    choices={"steel": "one steel", "pin": "none", "finish": "satin"},
    stretches=(
        Stretch("A1", "A4", days=9),
        Stretch("C1", "C7", days=6),
        Stretch("D1", "D8", days=3),
        Stretch("E1", "E6", before=timedelta(hours=6, minutes=50)),
    ),
    values={
        "ordered-for": "a cook by the harbour, for fish and herbs",
        "palm-width": "81 mm",
        "target-hardness": "62 HRC",
        "blade-length": "212 mm",
        "blade-height": "46 mm",
        "spine-thickness": "2.4 mm",
        "handle-length": "128 mm",
        "tang-length": "104 mm",
        "steel-name": "1.2 % carbon, water quality",
        "guard-metal": "nickel silver",
        "ricasso-thickness": "2.6 mm",
        "edge-thickness": "0.6 mm",
        "blade-mass": "176 g",
        "tang-height-front": "17 mm",
        "file-skates": "yes",
        "warp": "0.8 mm",
        "warp-direction": "left",
        "temper-temperature": "185 °C",
        "temper-set": "190 °C",
        "oil-temperature": "52 °C",
        "hardening-heat": "795 °C",
        "humidity": HUMIDITY,
    },
    left_out={"C6": "normalised three times and drills well as it is"},
    notes={"E5": "eased over the brass bar while warm; the rest comes out in the second temper"},
    running=Running("E7", "temper-2", "out", timedelta(minutes=43)),
)

DIPPER = Plan(
    name="Dipper",
    maker_for="a river keeper",
    about="Bird and trout knife in curly birch; the bed is to be poured",
    choices={"steel": "one steel", "pin": "flush", "spacers": "no"},
    stretches=(
        Stretch("A1", "A4", days=24),
        Stretch("C1", "C7", days=21),
        Stretch("D1", "D8", days=20),
        Stretch("E1", "E9", days=18),
        Stretch("F1", "F3", days=14),
        Stretch("G1", "G5", days=6),
        Stretch("H1", "H6", days=1),
    ),
    values={
        "ordered-for": "a river keeper, wet hands, small fish and birds",
        "palm-width": "84 mm",
        "target-hardness": "59 HRC",
        "blade-length": "92 mm",
        "blade-height": "22 mm",
        "spine-thickness": "3.0 mm",
        "guard-thickness": "5 mm",
        "handle-length": "108 mm",
        "tang-length": "92 mm",
        "pin-from-front": "36 mm",
        "steel-name": "plain steel, 0.8 % carbon",
        "guard-metal": "nickel silver",
        "ricasso-thickness": "3.2 mm",
        "tang-height-front": "13 mm",
        "tang-height-end": "7 mm",
        "tang-thick-front": "3.1 mm",
        "tang-thick-end": "2.2 mm",
        "edge-thickness": "0.7 mm",
        "blade-mass": "96 g",
        "file-skates": "yes",
        "warp": "0.2 mm",
        "temper-temperature": "210 °C",
        "wood": "curly birch",
        "block-oily": "no",
        "slot-width": "4.4 mm",
        "slot-height": "14.5 mm",
        "slot-depth": "96 mm",
        "pin-diameter": "1/8 in",
        "pin-hole": "0.128 in",
        "humidity": HUMIDITY,
    },
    left_out={"C6": "drills well as it is"},
    notes={"H6": "rehearsed the bed with the real clamp: too long, the block fouled the guard twice"},
    rehearsed=("H7", timedelta(hours=1, minutes=50), timedelta(minutes=36, seconds=20)),
)

BITTERN = Plan(
    name="Bittern",
    maker_for="a warden on the moss",
    about="Camp knife in bog oak, heavy, plain guard",
    choices={"steel": "one steel", "spacers": "no", "pin": "flush"},
    stretches=(
        Stretch("A1", "A4", days=33),
        Stretch("C1", "C7", days=30),
        Stretch("D1", "D8", days=26),
        Stretch("E1", "E9", days=25),
        Stretch("F1", "F3", days=11),
        Stretch("G1", "G2", before=timedelta(hours=2, minutes=50)),
    ),
    values={
        "ordered-for": "a warden on the moss, gloves in winter",
        "palm-width": "94 mm",
        "target-hardness": "58 HRC",
        "blade-length": "186 mm",
        "blade-height": "38 mm",
        "ricasso-length": "15 mm",
        "spine-thickness": "5.2 mm",
        "guard-thickness": "8 mm",
        "handle-length": "124 mm",
        "tang-length": "110 mm",
        "pin-from-front": "42 mm",
        "steel-name": "spring steel, 0.6 % carbon",
        "guard-metal": "mild steel",
        "ricasso-thickness": "5.10 mm",
        "ricasso-parallel": "0.05 mm",
        "edge-thickness": "0.9 mm",
        "blade-mass": "318 g",
        "tang-height-front": "19 mm",
        "tang-height-end": "10 mm",
        "tang-thick-front": "5.0 mm",
        "tang-thick-end": "3.2 mm",
        "file-skates": "yes",
        "warp": "0.4 mm",
        "temper-temperature": "230 °C",
        "hardness-1": "58 HRC",
        "hardness-2": "57.5 HRC",
        "humidity": HUMIDITY,
    },
    whys={"ricasso-parallel": "the old surface grinder; the slot is filed to the taper"},
    notes={"F1": "small inclusion near the heel, ground out"},
    redone={"C3": "still a bow of 0.6 mm when cold"},
)

PLANS = (BITTERN, HERON, WREN, DIPPER)
