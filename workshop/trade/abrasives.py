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
    """Return the fewest papers from coarse to fine with no step over the ratio, steps as even as they go.

    papers: one scale. ratio: coarser grain over finer, over 1. Where the scale itself has a
    wider gap the next paper is taken and marked. Raises ShopError when the last is not finer
    than the first.
    """
    if not ratio > 1:
        raise ShopError(f"ratio: {ratio:.4g} is no step finer; give over 1, like 2")
    if last.grain_m >= first.grain_m:
        raise ShopError(
            f"to: {last.grade} ({last.grain_m * 1e6:.4g} µm) is not finer than {first.grade} "
            f"({first.grain_m * 1e6:.4g} µm); a run goes from coarse to fine"
        )
    between = [paper for paper in papers if last.grain_m < paper.grain_m < first.grain_m]
    line = [first, *sorted(between, key=lambda paper: -paper.grain_m), last]
    # Best way to each paper: fewest steps too wide, then fewest papers, then the smallest widest step.
    best: list[tuple[int, int, float, int]] = [(0, 0, 1.0, -1)]
    for here in range(1, len(line)):
        ways = []
        for before in range(here):
            step = line[before].grain_m / line[here].grain_m
            too_far = step > ratio * (1 + 1e-9)
            if not too_far or before == here - 1:
                wide, count, widest, _ = best[before]
                ways.append((wide + too_far, count + 1, max(widest, step), before))
        best.append(min(ways))
    return _steps(line, [way[3] for way in best], ratio)


def _steps(line: Sequence[Paper], came_from: Sequence[int], ratio: float) -> tuple[Step, ...]:
    """Walk the best way back from the last paper and name its steps."""
    steps: list[Step] = []
    here = len(line) - 1
    while here > 0:
        before = came_from[here]
        step = line[before].grain_m / line[here].grain_m
        steps.append(Step(line[here], step, step > ratio * (1 + 1e-9)))
        here = before
    return (Step(line[0], None), *reversed(steps))
