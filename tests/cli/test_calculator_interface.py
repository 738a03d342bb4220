"""The calculators' interface: the names typed and the names found stay as they were promised.

Each row stands for one calculator: what it must ask for, what it must find, and command lines that between
them find all of it. The lines are other than the calculators' own examples.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import pytest

from workshop.drawer import registry


@dataclass(frozen=True)
class Promise:
    name: str
    asks: str
    finds: str
    lines: tuple[str, ...]
    """Command lines; fields with | between, so that a value may hold spaces."""


SECTION = "height=31 mm|width=23 mm|palm=88 mm"

PART_ONE = (
    Promise(
        "convert",
        "value to",
        "value fraction error",
        ("value=3/16 in|to=mm", "value=7 mm|to=in"),
    ),
    Promise(
        "pin-drill",
        "pin clearance set",
        "drill hole clearance under over tang-hole",
        ("pin=3/16 in|clearance=0.004 in|set=inch", "pin=5 mm|set=metric", "pin=1/8 in|set=all"),
    ),
    Promise(
        "pin-head",
        "pin head rise hole grip form",
        "stick-out length in-pin-diameters",
        (
            "pin=3/16 in|grip=22 mm|hole=#9|form=dome",
            "pin=1/8 in|grip=20 mm|hole=#30|form=flat",
            "pin=5 mm|grip=24 mm|hole=5.1 mm|head=8 mm|rise=1.5 mm|form=countersunk",
        ),
    ),
    Promise(
        "slot-fill",
        "slot-width slot-height slot-depth holes hole pitch tang-length tang-height-front tang-height-end "
        "tang-thick-front tang-thick-end extra ratio ratio-by density-resin density-hardener scale-step",
        "void mix resin hardener ratio-error least-batch resin-volume hardener-volume",
        (
            "slot-width=8 mm|slot-height=24 mm|slot-depth=105 mm|tang-length=98 mm|tang-height-front=20 mm|"
            "tang-height-end=9 mm|tang-thick-front=4.8 mm|tang-thick-end=3 mm|ratio=1:1|ratio-by=volume|"
            "density-resin=1.16 g/ml|density-hardener=0.98 g/ml|scale-step=0.01 g",
            "holes=3|hole=8 mm|pitch=6 mm|slot-depth=100 mm|tang-length=90 mm|tang-height-front=14 mm|"
            "tang-height-end=8 mm|tang-thick-front=4 mm|tang-thick-end=3 mm|extra=10 %|ratio=100:45|"
            "ratio-by=weight|density-resin=1.16 g/ml|density-hardener=0.98 g/ml",
        ),
    ),
    Promise(
        "mix-split",
        "mix ratio ratio-by density-resin density-hardener scale-step",
        "resin hardener ratio-error",
        ("mix=27 g|ratio=100:45|ratio-by=weight|scale-step=0.01 g",),
    ),
    Promise(
        "cure",
        "store air mixed-at",
        "opens shuts opens-after shuts-after",
        ("store=slow|air=18 °C|mixed-at=2026-03-02 08:00", "store=slow|air=8 °C"),
    ),
    Promise(
        "arc",
        "chord rise radius",
        "radius sweep arc-length wheel",
        (
            "chord=80 mm|rise=7 mm|wheels=100 mm; 200 mm; 250 mm",
            "radius=100 mm|chord=60 mm",
            "radius=40 mm|rise=5 mm",
        ),
    ),
    Promise(
        "taper", "front end length step", "angle width", ("front=30 mm|end=22 mm|length=110 mm|step=25 mm",)
    ),
    Promise(
        "handle-section",
        "height width form palm glove",
        "girth advised-girth area",
        (
            *(f"{SECTION}|form={form}|glove=thick" for form in ("ellipse", "egg", "octagon")),
            f"{SECTION}|form=rectangle|radius=6 mm",
        ),
    ),
    Promise("octagon", "width height", "corner-mark flats off-corner", ("width=22 mm|height=30 mm",)),
    Promise(
        "square-up",
        "width length out angle",
        "angle packing removed",
        ("width=32 mm|length=130 mm|out=0.7 mm", "width=32 mm|length=130 mm|angle=0.5 deg"),
    ),
    Promise("wood-moisture", "air humidity", "moisture", ("air=12 °C|humidity=72 %",)),
    Promise(
        "wood-swing",
        "species coefficient width grain humidity-low humidity-high air stabilised",
        "swing each-side reveal",
        (
            "species=hard maple|width=32 mm|grain=radial|humidity-low=35 %|humidity-high=60 %|stabilised=yes",
            "coefficient=0.003|width=28 mm|humidity-low=40 %|humidity-high=55 %|air=18 °C",
        ),
    ),
    Promise(
        "wall",
        "handle-width handle-height slot-width slot-height offset station",
        "thinnest-wall where",
        (
            "handle-width=22 mm|handle-height=31 mm|slot-width=6 mm|slot-height=16 mm|offset=1.5 mm|"
            "station=40 mm",
        ),
    ),
    Promise(
        "balance",
        "blade tang guard spacers handle cap",
        "mass balance share guard-shift drill-shift",
        (
            "blade=180 x 34 x 4.5 to 1.2 mm wedge|tang=100 x 16 to 8 x 4 to 3 mm|guard=6 x 40 x 14 mm brass|"
            "spacers=2 x 30 x 22 mm copper|handle=115 x 31 x 23 mm oval|wood=black walnut|slot=105 x 20 x 6|"
            "cap=5 x 30 x 22 mm brass|tang-hole=2 mm",
        ),
    ),
    Promise(
        "dew-point",
        "air humidity steel",
        "dew-point margin rust-risk",
        ("air=14 °C|humidity=78 %|steel=11 °C", "air=22 °C|humidity=45 %"),
    ),
)

PART_TWO = (
    Promise(
        "layers",
        "start ends repeats final-thickness bevel target welds",
        "nominal true layer shown plans",
        (
            "start=13|repeats=4x2x2|final-thickness=4.5 mm|bevel=4 deg",
            "start=16|ends=different|repeats=f4",
            "start=11|ends=same|repeats=4xf1|final-thickness=4 mm|bevel=3 deg",
            "target=300|start=13; 15; 21|welds=3",
        ),
    ),
    Promise(
        "stock",
        "length height thickness mass grind-loss weld-loss bars width",
        "billet-mass cut-length carbon nickel",
        (
            "length=260 mm|height=34 mm|thickness=4.5 mm|grind-loss=30 %|weld-loss=40 %|width=40 mm|"
            "bars=8 x 4 mm 1095; 7 x 2 mm 15N20",
            "mass=240 g|width=38 mm|bars=6 x 3 mm 1084; 5 x 1.5 mm 15N20",
        ),
    ),
    Promise(
        "draw-out",
        "length width height to-width to-height scale-loss piece",
        "length ratio pieces",
        (
            "length=130 mm|width=40 mm|height=50 mm|to-width=38 mm|to-height=10 mm|scale-loss=6 %|"
            "piece=120 mm",
        ),
    ),
    Promise(
        "pattern-cut",
        "final-thickness allowance depth pitch kind",
        "cut-thickness depth left fails",
        (
            "final-thickness=3.5 mm|allowance=1 mm|depth=1/3|pitch=8 mm|kind=ladder",
            "final-thickness=5 mm|kind=raindrop",
        ),
    ),
    Promise(
        "feather",
        "density drawn-length split-height",
        "start",
        ("density=2/mm|drawn-length=280 mm|split-height=70 mm",),
    ),
    Promise(
        "bevel",
        "spine edge height wheel",
        "half-angle included offset hollow thinnest",
        ("spine=4.8 mm|edge=0.4 mm|height=26 mm|wheel=300 mm",),
    ),
    Promise(
        "distal", "heel tip length step", "thickness", ("heel=4.6 mm|tip=0.35|length=190 mm|step=30 mm",)
    ),
    Promise(
        "guard-slot",
        "ricasso tang-height later-loss",
        "start last-file final slot-length",
        ("ricasso=4.6 mm|tang-height=17 mm|later-loss=0.03 mm",),
    ),
    Promise(
        "critical",
        "steel composition",
        "ac1-andrews ac3-andrews ac1-grange ac3-grange published holds",
        ("composition=c=0.5,mn=0.7,si=0.25,ni=1", "steel=D2", "steel=1084"),
    ),
    Promise(
        "temper",
        "steel temperature time cycles hardness",
        "parameter one-hour hardness-low hardness-high colour temperature-low temperature-high",
        ("steel=1095|temperature=230 °C|time=90 min|cycles=2", "steel=O1|hardness=59 HRC"),
    ),
    Promise(
        "tang-heat",
        "steel tang-height tang-thickness hole heated target time-to-heat hold air limit sink sink-at",
        "peak peak-at longest-heat least-distance verdict hottest",
        (
            "tang-height=16 mm|tang-thickness=4 mm|hole=35 mm|heated=10 mm|target=700 °C|time-to-heat=15 s|"
            "hold=3 s|air=15 °C|limit=200 °C|sink=jaws|sink-at=2 mm",
        ),
    ),
    Promise(
        "heat-colour",
        "temperature colour",
        "colour temperature-low temperature-high spread",
        ("temperature=225 °C", "colour=straw"),
    ),
    Promise(
        "grits",
        "from to scale ratio",
        "run equal",
        ("from=80|to=400|scale=ANSI|ratio=1.8", "from=P220|to=P1000", "from=60|to=10|scale=micron"),
    ),
    Promise(
        "etch-mix",
        "stock parts target volume",
        "stock-volume water-volume percent density made order",
        ("stock=40%|parts=3|volume=0.8 l", "stock=42Be|target=12 %|volume=2 l", "stock=1.42 g/cm³|parts=4"),
    ),
    Promise(
        "bath",
        "diameter width depth blade-length blade-height blade-thickness cover",
        "volume rise",
        (
            "diameter=76 mm|blade-length=260 mm|blade-height=34 mm|blade-thickness=4.5 mm|cover=15 mm",
            "width=60 mm|depth=300 mm|blade-length=260 mm|blade-height=34 mm|blade-thickness=4.5 mm",
        ),
    ),
    Promise(
        "belt-speed",
        "wheel rpm hertz rated-hertz speed",
        "speed rpm hertz",
        (
            "wheel=8 in|rpm=1725 rpm|hertz=45 Hz|rated-hertz=60 Hz",
            "wheel=250 mm|rpm=1440 rpm|rated-hertz=50 Hz|speed=12 m/s",
        ),
    ),
    Promise(
        "drill-speed",
        "diameter metal tool",
        "rpm-low rpm-high",
        (
            "diameter=#20|metal=brass|tool=HSS",
            "diameter=4 mm|metal=tang|tool=cobalt",
            "diameter=3 mm|metal=tang|tool=carbide",
        ),
    ),
    Promise(
        "edge-lift",
        "height angle lift",
        "lift angle fold",
        ("height=38 mm|angle=17 deg", "height=42 mm|lift=9 mm"),
    ),
    Promise(
        "quench",
        "mass from oil-volume oil-start flash-point blades",
        "oil-after margin wait",
        ("mass=310 g|from=815 °C|oil-volume=12 l|oil-start=45 °C|flash-point=180 °C|blades=3",),
    ),
    Promise(
        "price",
        "hours rate materials markup consumables reserve tax",
        "price floor shares",
        ("hours=28 h|rate=32|materials=85|markup=1.25|consumables=22|reserve=12 %|tax=19 %",),
    ),
)

EVERY = (*PART_ONE, *PART_TWO)
each_row = pytest.mark.parametrize("row", EVERY, ids=lambda row: row.name)


def test_every_calculator_is_promised_and_every_promise_has_its_calculator() -> None:
    assert sorted(row.name for row in EVERY) == sorted(registry.NAMES)


@each_row
def test_it_asks_for_and_declares_what_was_promised(row: Promise) -> None:
    asked = registry.calculator(row.name)
    assert set(row.asks.split()) <= {field.name for field in asked.fields}
    assert set(row.finds.split()) <= {result.name for result in asked.results}


@each_row
def test_its_lines_find_all_that_was_promised(workshop: Any, row: Promise) -> None:
    asked = registry.calculator(row.name)
    families = {result.name for result in asked.results if result.family}
    found: set[str] = set()
    for line in row.lines:
        data = workshop.well("calc", row.name, *line.split("|"), "--json").data()
        assert data["calculator"] == row.name
        assert data["sources"]
        found |= set(data["found"])
        found |= {name.split(" ")[0] for name in data["found"]} & families
    assert set(row.finds.split()) <= found


@each_row
def test_the_same_lines_read_as_text(workshop: Any, row: Promise) -> None:
    for line in row.lines:
        said = workshop.well("calc", row.name, *line.split("|")).out
        assert "Holds for: " in said
        assert "From\n" in said
