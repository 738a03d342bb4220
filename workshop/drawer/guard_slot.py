"""The drawer's guard slot: how narrow to start it and where to stop filing."""

from __future__ import annotations

from workshop.drawer.declare import Answer, Calculator, Example, Field, Given, Result, Source
from workshop.drawer.wording import mm
from workshop.trade import grind

_SLOT = Source(
    "Start 0.8-1.0 mm under the ricasso, last file strokes 0.05 under, pressed fit 0.01-0.03 under; "
    "length 0.05-0.1 over the tang's height",
    "common practice",
)


def _guard_slot(given: Given) -> Answer:
    ricasso_m, tang_m, loss_m = (given.number(name) for name in ("ricasso", "tang-height", "later-loss"))
    slot = grind.guard_slot(ricasso_m, tang_m, loss_m)
    fit_m = ricasso_m - 2 * loss_m
    cautions = []
    if loss_m:
        cautions.append(
            f"made for a ricasso of {mm(fit_m)}: the guard will not go on before {mm(loss_m)} a side is off"
        )
    return Answer(
        {
            "start": slot.start_m[0],
            "start-most": slot.start_m[1],
            "last-file": slot.last_file_m,
            "final": slot.final_m[0],
            "final-most": slot.final_m[1],
            "slot-length": slot.length_m[0],
            "slot-length-most": slot.length_m[1],
        },
        cautions=tuple(cautions),
        working=(
            f"fit to {mm(ricasso_m)} − 2 × {mm(loss_m)} = {mm(fit_m)}",
            f"start {mm(fit_m)} − 1.0 to − 0.8; last file − 0.05; pressed fit − 0.03 to − 0.01",
            f"length {mm(tang_m)} + 0.05 to + 0.10",
        ),
    )


GUARD_SLOT = Calculator(
    name="guard-slot",
    title="Guard slot",
    purpose="How narrow to start the slot, where to stop filing, and the press that is left",
    fields=(
        Field(
            "ricasso",
            "length",
            "thickness of the ricasso where the guard seats",
            unit="mm",
            hard=("1.2 mm", "20 mm"),
            likely=("2 mm", "8 mm"),
            fills_from=("ricasso-thickness",),
        ),
        Field(
            "tang-height",
            "length",
            "height of the tang at the shoulder",
            unit="mm",
            hard=("2 mm", "100 mm"),
            likely=("8 mm", "40 mm"),
            fills_from=("tang-height-front",),
        ),
        Field(
            "later-loss",
            "length",
            "what each side of the ricasso will still lose in finishing",
            unit="mm",
            default="0 mm",
            hard=("0 mm", "5 mm"),
            likely=("0 mm", "0.2 mm"),
        ),
    ),
    results=(
        Result("start", "length", "width to start the slot at, the safer end", unit="mm", digits=2),
        Result("start-most", "length", "width to start the slot at, at most", unit="mm", digits=2),
        Result("last-file", "length", "width where the last file strokes begin", unit="mm", digits=2),
        Result("final", "length", "final width, the harder press", unit="mm", digits=2),
        Result("final-most", "length", "final width, the lighter press", unit="mm", digits=2),
        Result("slot-length", "length", "length of the slot, at least", unit="mm", digits=2),
        Result("slot-length-most", "length", "length of the slot, at most", unit="mm", digits=2),
    ),
    work=_guard_slot,
    sources=(_SLOT,),
    valid="a pressed guard on a hidden tang, ricasso sides parallel within 0.03 mm",
    example=Example(
        given={"ricasso": "4 mm", "tang-height": "14 mm"},
        found={"start": 3.0, "last-file": 3.95, "final": 3.97, "slot-length": 14.05},
        source=Source("4 − 1.0, − 0.05, − 0.03; 14 + 0.05, by hand", "computed"),
        within=0.001,
    ),
    cautions=(
        "Wide is not mended: sneak up, trying on the tang. Relieve from the back so that a land of "
        "0.2 to 0.3 mm at the front face is all that must fit.",
        "Drilling the row: clamp the guard, no gloves.",
    ),
)

CALCULATORS: tuple[Calculator, ...] = (GUARD_SLOT,)
