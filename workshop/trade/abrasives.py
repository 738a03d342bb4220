"""Runs of abrasive papers, and the same grain on another scale."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from workshop.errors import ShopError


@dataclass(frozen=True, slots=True)
class Paper:
    """One grade: its scale, its name there and the size of its grain."""

    scale: str
    grade: str
    grain_m: float
    standing: str = "secondary"


@dataclass(frozen=True, slots=True)
class Step:
    """A paper in a run: how much finer than the one before, and whether that is too much."""

    paper: Paper
    ratio: float | None
    too_far: bool = False


def nearest(papers: Sequence[Paper], grain_m: float) -> Paper:
    """Return the paper nearest in grain, by ratio (30 µm is as far from 15 as from 60)."""
    return min(papers, key=lambda paper: abs(math.log(paper.grain_m / grain_m)))


def run(papers: Sequence[Paper], first: Paper, last: Paper, ratio: float) -> tuple[Step, ...]:
    """Return the fewest papers from coarse to fine with no step over the ratio.

    papers: one scale. ratio: coarser grain over finer, over 1. Each next paper is the finest
    one within the ratio. Where the scale itself has a wider gap the next paper is taken
    and marked. Raises ShopError when the last is not finer than the first.
    """
    if not ratio > 1:
        raise ShopError(f"ratio: {ratio:.4g} is no step finer; give over 1, like 2")
    if last.grain_m >= first.grain_m:
        raise ShopError(
            f"to: {last.grade} ({last.grain_m * 1e6:.4g} µm) is not finer than {first.grade} "
            f"({first.grain_m * 1e6:.4g} µm); a run goes from coarse to fine"
        )
    between = sorted(
        (paper for paper in papers if last.grain_m <= paper.grain_m < first.grain_m),
        key=lambda paper: -paper.grain_m,
    )
    steps = [Step(first, None)]
    while between:
        here = steps[-1].paper
        within = [paper for paper in between if here.grain_m / paper.grain_m <= ratio * (1 + 1e-9)]
        paper = within[-1] if within else between[0]
        steps.append(Step(paper, here.grain_m / paper.grain_m, not within))
        between = [finer for finer in between if finer.grain_m < paper.grain_m]
    return tuple(steps)
