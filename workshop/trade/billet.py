"""Weight of the raw stack, drawing out, and the cuts that open a pattern."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from workshop.errors import ShopError

STEEL_KG_M3 = 7850.0
CARBON_LOSS = (0.0005, 0.0010)
"""Carbon lost in the welding heats, as a fraction: 0.05 to 0.10 % (common practice)."""


@dataclass(frozen=True, slots=True)
class Bar:
    """Pieces of one steel in the stack: how many, how thick, and its carbon and nickel where known."""

    steel: str
    pieces: int
    thickness_m: float
    carbon: float | None = None
    nickel: float | None = None

    @property
    def height_m(self) -> float:
        """Height these pieces take in the stack."""
        return self.pieces * self.thickness_m


def before_loss(kept_kg: float, loss: float) -> float:
    """Return what must be there before a share of it (0 to under 1) is lost."""
    if not 0 <= loss < 1:
        raise ShopError(f"loss: {loss * 100:.4g} % cannot be lost; give 0 to under 100 %, like 25 %")
    return kept_kg / (1 - loss)


def stack_height(bars: Iterable[Bar]) -> float:
    """Return the height of the whole stack."""
    return sum(bar.height_m for bar in bars)


def cut_length(mass_kg: float, height_m: float, width_m: float) -> float:
    """Return how long to cut every piece so that the stack weighs this much."""
    if height_m <= 0 or width_m <= 0:
        raise ShopError("bars: a stack needs pieces with a thickness and a width, like 7 x 3.2 mm 1084")
    return mass_kg / (STEEL_KG_M3 * height_m * width_m)


def average(parts: Iterable[tuple[float, float]]) -> float:
    """Return the mean of shares, each weighted by its thickness: (thickness_m, share)."""
    pairs = list(parts)
    return sum(t * share for t, share in pairs) / sum(t for t, _ in pairs)


def section_ratio(width_m: float, height_m: float, to_width_m: float, to_height_m: float) -> float:
    """Return how many times longer drawing out makes a bar, volume kept; refuses a growing section."""
    ratio = (width_m * height_m) / (to_width_m * to_height_m)
    if ratio < 1:
        raise ShopError(
            f"to-width, to-height: {to_width_m * 1000:.4g} × {to_height_m * 1000:.4g} mm is a larger section "
            f"than {width_m * 1000:.4g} × {height_m * 1000:.4g} mm; drawing out makes it smaller"
        )
    return ratio


def drawn_length(length_m: float, ratio: float, scale_loss: float) -> float:
    """Return the length after drawing out, less the share that goes as scale."""
    return length_m * ratio * (1 - scale_loss)


def whole_pieces(length_m: float, piece_m: float) -> int:
    """Return how many whole pieces a length gives; a hair short of whole counts as whole."""
    return math.floor(length_m / piece_m + 1e-9)


@dataclass(frozen=True, slots=True)
class PatternCut:
    """A ladder or raindrop cut: thickness to cut at, depth a face, and what is left."""

    thickness_m: float
    depth_m: float
    left_m: float
    one_face_m: float
    meet: bool
    fails: bool


def pattern_cut(
    final_m: float, allowance_m: float | None, depth_share: float, pitch_m: float, groove_m: float
) -> PatternCut:
    """Return the cut that still leaves the finished thickness.

    Cut at three times the finished thickness; with an allowance given, at twice the
    finished thickness and the allowance (the other common practice). depth_share: part of
    the thickness cut away from each face, over 0 to under 1/2. Cuts on the two faces stand
    half a pitch apart, so they overlap when a groove is wider than that. Common practice.
    """
    if not 0 < depth_share < 0.5:
        raise ShopError(f"depth: {depth_share:.4g} of the thickness from each face; give under 1/2, like 1/4")
    if groove_m >= pitch_m:
        raise ShopError(
            f"groove-width: {groove_m * 1000:.4g} mm leaves nothing between cuts {pitch_m * 1000:.4g} mm "
            "apart; give a groove narrower than the pitch, like 3 mm"
        )
    thickness_m = 3 * final_m if allowance_m is None else 2 * final_m + allowance_m
    depth_m = depth_share * thickness_m
    left_m, one_face_m = thickness_m - 2 * depth_m, thickness_m - depth_m
    meet = groove_m > pitch_m / 2
    hair = 1e-9
    fails = one_face_m < final_m - hair or (meet and left_m < final_m - hair)
    return PatternCut(thickness_m, depth_m, left_m, one_face_m, meet, fails)


def feather_stack(per_m: float, drawn_m: float, split_height_m: float) -> tuple[float, int]:
    """Return what a feather's stack must hold: layers per metre of its height, and layers in all.

    per_m: layers wanted per metre along the blade. The height at the split is drawn out to
    the length, which spreads the layers: per metre of height there must be as many more as
    the bar gets longer. All of them together, rounded up, end up along the length.
    """
    return per_m * drawn_m / split_height_m, math.ceil(per_m * drawn_m - 1e-9)
