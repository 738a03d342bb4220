"""The drawer's run of papers: which grits from here to there, and the same paper on the other scale."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from itertools import pairwise
from typing import Any

from workshop.drawer.declare import Answer, Calculator, Example, Field, Given, Result, Source
from workshop.errors import ShopError
from workshop.showable import showable
from workshop.trade import abrasives

_SCALES = {"p": "P", "ansi": "ANSI", "cami": "ANSI", "jis": "stone", "": ""}
_OTHER = {"P": "ANSI", "ANSI": "P", "micron": "P", "stone": "P"}
_NEAR = 1.15
"""Grain ratio past which two papers are not called about equal."""
_GRADE = re.compile(
    r"(?P<scale>p|ansi|cami|jis)?\s*(?:#|-)?\s*(?P<number>[0-9]{1,5}(?:\.[0-9]{1,2})?)\s*"
    r"(?P<micron>µm|μm|um|microns?)?",
    re.IGNORECASE,
)


def read_papers(store: Mapping[str, Any]) -> dict[str, tuple[abrasives.Paper, ...]]:
    """Return the store's papers by scale, coarse to fine; refuses an entry that makes no sense."""
    standings = {
        str(scale["id"]): str(scale.get("standing", "common practice")) for scale in store.get("scale", ())
    }
    found: dict[str, list[abrasives.Paper]] = {name: [] for name in standings}
    for entry in store.get("paper", ()):
        scale, grade, grain = str(entry.get("scale")), str(entry.get("grade", "?")), entry.get("grain")
        if scale not in found:
            raise ShopError(
                f"abrasives: {grade} is on the scale '{scale}', which the store does not describe"
            )
        if isinstance(grain, bool) or not isinstance(grain, (int, float)) or not 0 < grain < 10_000:
            raise ShopError(f"abrasives: the grain of {grade} is {grain!r}; give micron, like 125")
        found[scale].append(abrasives.Paper(scale, grade, grain / 1e6, standings[scale]))
    return {name: tuple(sorted(papers, key=lambda paper: -paper.grain_m)) for name, papers in found.items()}


def _number(paper: abrasives.Paper) -> str:
    return re.sub(r"[^0-9.]", "", paper.grade)


def read_paper(
    text: str, field: str, scale: str, papers: Mapping[str, tuple[abrasives.Paper, ...]]
) -> tuple[abrasives.Paper, str]:
    """Read a paper on a scale: ``P400``, ``400``, ``ANSI 220``, ``30 micron``.

    A grade of another scale, or a size, becomes the nearest paper of this scale, and the
    note returned beside it says so (empty when nothing had to be changed).
    """
    shown = showable(text.strip(), 40)
    found = _GRADE.fullmatch(text.strip()) if len(text) <= 60 else None
    if found is None:
        raise ShopError(f"{field}: '{shown}' is not a paper; write P400, ANSI 220 or 30 micron")
    named = _SCALES[(found["scale"] or "").lower()]
    if found["micron"] or (not named and scale == "micron"):
        size_m = float(found["number"]) / 1e6
        if not 0.1e-6 <= size_m <= 5e-3:
            raise ShopError(
                f"{field}: '{shown}' is no abrasive grain; give 0.1 to 5000 micron, like 30 micron"
            )
        nearest = abrasives.nearest(papers[scale], size_m)
        same = math.isclose(nearest.grain_m, size_m, rel_tol=1e-9)
        return nearest, "" if same else f"{shown}: nearest on this scale is {says(nearest)}"
    home = named or scale
    paper = next((each for each in papers[home] if _number(each) == found["number"]), None)
    if paper is None:
        near = sorted(
            papers[home],
            key=lambda each: abs(math.log(float(_number(each)) / max(float(found["number"]), 1))),
        )
        hint = " and ".join(each.grade for each in near[:2])
        raise ShopError(f"{field}: '{shown}' is not made on the {home} scale; near it are {hint}")
    if home == scale:
        return paper, ""
    nearest = abrasives.nearest(papers[scale], paper.grain_m)
    return nearest, f"{says(paper)} taken as {says(nearest)}"


def says(paper: abrasives.Paper) -> str:
    """Name a paper with its grain."""
    return f"{paper.grade} ({paper.grain_m * 1e6:.4g} µm)"


def _equal(paper: abrasives.Paper, others: tuple[abrasives.Paper, ...], scale: str) -> str:
    """Name the paper of another scale that is about the same, or say there is none."""
    near = abrasives.nearest(others, paper.grain_m)
    ratio = max(near.grain_m / paper.grain_m, paper.grain_m / near.grain_m)
    return f"about {says(near)}" if ratio <= _NEAR else f"no {scale} paper near"


def _grits(given: Given) -> Answer:
    papers, scale, ratio = read_papers(given.stores["abrasives"]), given.word("scale"), given.number("ratio")
    if not papers.get(scale) or not papers.get(_OTHER[scale]):
        raise ShopError(
            f"scale: the abrasives store has no papers on the {scale} or {_OTHER[scale]} scale; add them"
        )
    first, first_note = read_paper(given.word("from"), "from", scale, papers)
    last, last_note = read_paper(given.word("to"), "to", scale, papers)
    steps = abrasives.run(papers[scale], first, last, ratio)
    others = papers[_OTHER[scale]]
    found: dict[str, float | str] = {"papers": len(steps)}
    for place, step in enumerate(steps, 1):
        finer = "start" if step.ratio is None else f"{step.ratio:.2f} times finer"
        found[f"run {place}"] = f"{says(step.paper)}, {finer}, {_equal(step.paper, others, _OTHER[scale])}"
    found["equal"] = _equal(last, others, _OTHER[scale])
    working = tuple(
        f"{before.paper.grain_m * 1e6:.4g} / {step.paper.grain_m * 1e6:.4g} µm = {step.ratio:.2f}"
        for before, step in pairwise(steps)
        if step.ratio is not None
    )
    notes = tuple(note for note in (first_note, last_note) if note)
    return Answer(found, cautions=_run_cautions(steps, scale, ratio), working=working, assumed=notes)


def _run_cautions(steps: tuple[abrasives.Step, ...], scale: str, ratio: float) -> tuple[str, ...]:
    cautions = [
        f"{before.paper.grade} to {step.paper.grade} is {step.ratio:.2f} times finer, over {ratio:.4g}: "
        "the scale has no paper between"
        for before, step in pairwise(steps)
        if step.too_far
    ]
    if steps[0].paper.standing == "from memory":
        cautions.append(f"grain of the {scale} scale is from memory: trust the look of the scratch first")
    return tuple(cautions)


GRITS = Calculator(
    name="grits",
    title="Run of papers",
    purpose="Which papers to lay out from here to there, and what each is on the other scale",
    fields=(
        Field("from", "text", "coarsest paper, as P80, ANSI 80 or 200 micron (bare number: on the scale)"),
        Field("to", "text", "finest paper"),
        Field(
            "scale",
            "choice",
            "scale of the papers on hand",
            default="P",
            choices=("P", "ANSI", "micron", "stone"),
            alike=True,
        ),
        Field(
            "ratio",
            "number",
            "most times finer in one step (1.5 careful, 2 quick)",
            default="2",
            hard=("1.05", "10"),
            likely=("1.4", "2"),
        ),
    ),
    results=(
        Result("papers", "count", "papers in the run", digits=0),
        Result("run", "text", "paper", family=True),
        Result("equal", "text", "the last paper on the other scale"),
    ),
    work=_grits,
    sources=(
        Source("P grain: ISO 6344, two agreeing copies", "secondary"),
        Source("ANSI grain: ANSI B74.18 averages, two copies that differ by up to 1.5 %", "secondary"),
        Source("Micron grades and water stones (JIS R 6001)", "from memory"),
        Source("Next paper at most 1.5 to 2 times finer in micron", "common practice"),
        Source("Before the etch at least 1000 grit; more layers need less", "common practice"),
    ),
    valid="P12 to P2500, ANSI 16 to 1000; equal papers within 15 % of grain",
    example=Example(
        given={"from": "P120", "to": "P600", "ratio": "2"},
        found={"papers": 4, "run 2": "P180 (82 µm), 1.52 times finer, about ANSI 180 (82 µm)"},
        source=Source("ISO 6344 grain: P120 125, P180 82, so 125 / 82 = 1.52; by hand", "computed"),
    ),
    stores=("abrasives",),
    cautions=(
        "P and ANSI numbers are different papers (ANSI 320 is about P400): write down which. Dust mask; a "
        "clean "
        "bench and a fresh towel for each grit.",
    ),
)

CALCULATORS: tuple[Calculator, ...] = (GRITS,)
