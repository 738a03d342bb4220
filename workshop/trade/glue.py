"""Filling a slot and splitting a two-part mix. Lengths m, volumes m³, masses kg, densities kg/m³."""

from __future__ import annotations

from dataclasses import dataclass

from workshop.errors import ShopError
from workshop.trade.geometry import (
    hole_row_area,
    must_be_more_than_nothing,
    say_length,
    tapered_bar_volume,
    waist_of_row,
)

KEEPS_WITHIN = 0.03
"""How near a two-part ratio is kept, the finer end of the trade's ±3 to 5 % (common practice)."""


@dataclass(frozen=True, slots=True)
class Tang:
    """A tang that tapers straight in height and thickness from the shoulder to its end."""

    length_m: float
    height_front_m: float
    height_end_m: float
    thick_front_m: float
    thick_end_m: float

    def __post_init__(self) -> None:
        must_be_more_than_nothing(
            tang_length=self.length_m,
            tang_height_front=self.height_front_m,
            tang_height_end=self.height_end_m,
            tang_thick_front=self.thick_front_m,
            tang_thick_end=self.thick_end_m,
        )

    @property
    def volume_m3(self) -> float:
        """Its volume, exact for a straight taper."""
        return tapered_bar_volume(
            self.length_m, self.height_front_m, self.height_end_m, self.thick_front_m, self.thick_end_m
        )

    @property
    def height_most_m(self) -> float:
        """Its greatest height."""
        return max(self.height_front_m, self.height_end_m)

    @property
    def thick_most_m(self) -> float:
        """Its greatest thickness."""
        return max(self.thick_front_m, self.thick_end_m)


@dataclass(frozen=True, slots=True)
class Void:
    """What is left in a slot around a tang. area_m2: the slot's section. notices: what to look at."""

    volume_m3: float
    slot_m3: float
    tang_m3: float
    area_m2: float
    notices: tuple[str, ...] = ()


def _must_go_in(what: str, tang_m: float, where: str, slot_m: float) -> None:
    if tang_m > slot_m * (1 + 1e-9):
        raise ShopError(
            f"{what} {say_length(tang_m)} does not go into {where} {say_length(slot_m)}; "
            "the slot must be larger"
        )


def void_in_slot(width_m: float, height_m: float, depth_m: float, tang: Tang) -> Void:
    """Return the void around a tang in a straight slot with square corners and a flat bottom.

    Raises ShopError for a tang that does not go in.
    """
    must_be_more_than_nothing(slot_width=width_m, slot_height=height_m, slot_depth=depth_m)
    _must_go_in("a tang as thick as", tang.thick_most_m, "slot-width", width_m)
    _must_go_in("a tang as high as", tang.height_most_m, "slot-height", height_m)
    _must_go_in("tang-length", tang.length_m, "slot-depth", depth_m)
    slot = width_m * height_m * depth_m
    return Void(max(0.0, slot - tang.volume_m3), slot, tang.volume_m3, width_m * height_m)


def void_in_holes(holes: int, hole_m: float, pitch_m: float, depth_m: float, tang: Tang) -> Void:
    """Return the void around a tang in a row of drilled, overlapping holes with flat bottoms.

    The section is the true area of the overlapping circles, with the ridges between them left standing.
    Raises ShopError for holes that do not meet or a tang that cannot go in.
    """
    area = hole_row_area(holes, hole_m, pitch_m)
    must_be_more_than_nothing(slot_depth=depth_m)
    if holes > 1 and pitch_m >= hole_m:
        raise ShopError(
            f"holes of {say_length(hole_m)} at a pitch of {say_length(pitch_m)} do not meet; "
            "the pitch must be smaller than the hole, or no slot opens between them"
        )
    span = (holes - 1) * pitch_m + hole_m if holes > 1 else hole_m
    _must_go_in("a tang as thick as", tang.thick_most_m, "holes of", hole_m)
    _must_go_in("a tang as high as", tang.height_most_m, "a row of holes as long as", span)
    _must_go_in("tang-length", tang.length_m, "slot-depth", depth_m)
    slot = area * depth_m
    if slot < tang.volume_m3 * (1 - 1e-9):
        raise ShopError(
            f"the tang has more volume ({tang.volume_m3 * 1e6:.3g} ml) than the row of holes "
            f"({slot * 1e6:.3g} ml); drill more or larger holes"
        )
    notices = []
    waist = waist_of_row(hole_m, pitch_m) if holes > 1 else hole_m
    if waist < tang.thick_most_m:
        notices.append(
            f"The ridges between the holes leave only {say_length(waist)}, less than the tang's "
            f"{say_length(tang.thick_most_m)}: file them away first. The void is worked out with the ridges "
            "standing; what is filed comes on top."
        )
    corner = (hole_m**2 - min(tang.thick_most_m, hole_m) ** 2) ** 0.5
    if tang.height_most_m > span - hole_m + corner:
        notices.append("The tang's corners reach into the round ends of the row: file the ends square there.")
    return Void(max(0.0, slot - tang.volume_m3), slot, tang.volume_m3, area, tuple(notices))


@dataclass(frozen=True, slots=True)
class Mix:
    """A two-part mix. Masses kg, volumes m³.

    ratio_error: the worst error of the ratio when each part is weighed to half a step of the scale; None
    when the scale cannot weigh the smaller part at all. least_kg: the smallest batch that keeps the ratio
    within 3 %.
    """

    mix_kg: float
    resin_kg: float
    hardener_kg: float
    resin_m3: float
    hardener_m3: float
    ratio_by_weight: float
    ratio_error: float | None
    least_kg: float


def weight_ratio(ratio: float, by: str, resin_kg_m3: float, hardener_kg_m3: float) -> float:
    """Return resin : hardener by weight from a label's ratio by ``"weight"`` or by ``"volume"``.

    By volume, the weights go as the volumes times the densities. Raises ShopError for any of nothing.
    """
    if not ratio > 0:
        raise ShopError(f"ratio is {ratio:g}; it must be more than nothing, like 2:1")
    if not (resin_kg_m3 > 0 and hardener_kg_m3 > 0):
        raise ShopError("density-resin and density-hardener must be more than nothing, like 1.15 g/ml")
    if by == "weight":
        return ratio
    if by == "volume":
        return ratio * resin_kg_m3 / hardener_kg_m3
    raise ShopError(f'ratio-by is "{by}"; it must be weight or volume')


def mix_density(ratio_by_weight: float, resin_kg_m3: float, hardener_kg_m3: float) -> float:
    """Return the density of the mix (kg/m³) when the volumes add up; curing shrinks it a few per cent."""
    return (ratio_by_weight + 1) / (ratio_by_weight / resin_kg_m3 + 1 / hardener_kg_m3)


def worst_ratio_error(resin_kg: float, hardener_kg: float, step_kg: float) -> float | None:
    """Return the worst relative error of resin : hardener when each weighing may be half a step off.

    The worst is one part heavy and the other light: with half a step h, the greater of
    (1 + h/R)/(1 − h/H) − 1 and (1 + h/H)/(1 − h/R) − 1 (the second is an error of hardener : resin). None
    when half a step is as much as a part.
    """
    half = step_kg / 2
    if half >= min(resin_kg, hardener_kg):
        return None
    return max(
        (1 + half / resin_kg) / (1 - half / hardener_kg) - 1,
        (1 + half / hardener_kg) / (1 - half / resin_kg) - 1,
    )


def least_batch(ratio_by_weight: float, step_kg: float, within: float = KEEPS_WITHIN) -> float:
    """Return the smallest batch (kg) whose worst ratio error is `within`, for a scale's step.

    `worst_ratio_error` solved for the batch: M = (h/within)·(1/l + (1 + within)/s), l and s the larger and
    the smaller part's share.
    """
    resin = ratio_by_weight / (1 + ratio_by_weight)
    hardener = 1 - resin
    half = step_kg / 2
    # The smaller part light is always the worse way round.
    small, large = min(resin, hardener), max(resin, hardener)
    return half / within * (1 / large + (1 + within) / small)


def split(
    mix_kg: float, ratio: float, by: str, resin_kg_m3: float, hardener_kg_m3: float, step_kg: float
) -> Mix:
    """Return what to weigh out for a batch. Raises ShopError for a ratio, density or step of nothing."""
    if mix_kg < 0:
        raise ShopError(f"mix is {mix_kg * 1000:g} g; it cannot be less than nothing")
    if not step_kg > 0:
        raise ShopError(f"scale-step is {step_kg * 1000:g} g; it must be more than nothing, like 0.1 g")
    by_weight = weight_ratio(ratio, by, resin_kg_m3, hardener_kg_m3)
    hardener = mix_kg / (1 + by_weight)
    resin = mix_kg - hardener
    return Mix(
        mix_kg,
        resin,
        hardener,
        resin / resin_kg_m3,
        hardener / hardener_kg_m3,
        by_weight,
        worst_ratio_error(resin, hardener, step_kg),
        least_batch(by_weight, step_kg),
    )
