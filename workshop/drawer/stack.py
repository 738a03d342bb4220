"""A knife laid out along its length: each part in its place, hollow where another goes through it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from workshop.drawer.parts import Part
from workshop.errors import ShopError
from workshop.trade.balance import Body, Solid, Station, body, sticks_out

MORE_GUARD_M = 0.001

STACKED = ("guard", "spacers", "handle", "cap")
"""From the guard's front face back, each behind the one before."""


@dataclass(frozen=True, slots=True)
class Laid:
    """A part in its place, with the body it makes."""

    kind: str
    part: Part
    body: Body
    solid: Solid | None


@dataclass(frozen=True, slots=True)
class Knife:
    """All parts as given, and the weight of blade and tang together when it was taken."""

    parts: tuple[tuple[str, Part], ...]
    slot: Part | None
    weighed_kg: float | None

    def only(self, kind: str) -> list[Part]:
        """Return the parts of one kind."""
        return [part for each, part in self.parts if each == kind]

    def has_shape(self) -> bool:
        """Return whether blade and tang are both given by their sizes."""
        both = [self.only(kind) for kind in ("blade", "tang")]
        return all(parts and all(part.solid for part in parts) for parts in both)


def thicker(part: Part) -> Part | None:
    """Return the guard a millimetre thicker at its rear, None when its thickness is not known."""
    if part.solid is not None:
        rear = part.solid.stations[0]
        slab = Station(rear.x_m - MORE_GUARD_M, rear.height_m, rear.thick_m)
        return replace(part, solid=Solid((slab, *part.solid.stations), part.solid.fill))
    if part.mass_kg is not None and part.length_m and part.place_m is None:
        longer = part.length_m + MORE_GUARD_M
        return replace(part, mass_kg=part.mass_kg * longer / part.length_m, length_m=longer)
    return None


def _voids(kind: str, tang: Solid | None, slot: Solid | None, solid: Solid, label: str) -> list[Solid]:
    """Return what is hollow in a stacked part; refuses a hole the part does not hold."""
    hole = slot if kind == "handle" and slot is not None else tang
    if hole is None:
        return []
    name = "slot" if hole is slot else "tang"
    if (where := sticks_out(hole, solid)) is not None:
        raise ShopError(
            f"the {name} is larger than the {label} at {1000 * where:.0f} mm; check the sizes of both"
        )
    return [hole]


def _check_slot(tang: Solid | None, slot: Solid | None, handle: Solid) -> None:
    """Refuse a slot that the tang does not go into."""
    if tang is None or slot is None:
        return
    inside = tang.between(handle.back_m, handle.front_m)
    if inside is None:
        return
    if inside.back_m < slot.back_m - 1e-9 and slot.back_m > handle.back_m + 1e-9:
        short = 1000 * (slot.back_m - inside.back_m)
        raise ShopError(
            f"the slot ends {short:.1f} mm before the tang does; make it deeper or the tang shorter"
        )
    if (where := sticks_out(inside, slot)) is not None:
        raise ShopError(f"the tang is larger than the slot at {1000 * where:.0f} mm; check the sizes of both")


def lay(knife: Knife) -> list[Laid]:
    """Put every part in its place: blade ahead, tang and the stack behind the guard's front face."""
    tangs = [part.solid for part in knife.only("tang") if part.solid is not None]
    tang = tangs[0] if tangs else None
    cursor = 0.0
    laid: list[Laid] = []
    for kind, part in knife.parts:
        if part.solid is None or part.material is None:
            place = part.place_m
            if place is None:
                if kind not in STACKED:
                    raise ShopError(f"{part.label}: say where it balances, as in 45 g at -4 mm")
                place = cursor - (part.length_m or 0.0) / 2
            if kind in STACKED:
                cursor -= part.length_m or 0.0
            laid.append(Laid(kind, part, Body(part.mass_kg or 0.0, place), None))
            continue
        if kind == "other" and part.place_m is None:
            raise ShopError(f"{part.label}: say where it starts, as in from -20 mm")
        start = part.place_m if part.place_m is not None else cursor if kind in STACKED else 0.0
        solid = part.solid.moved(start)
        voids: list[Solid] = []
        if kind in STACKED:
            slot = knife.slot.solid.moved(start) if knife.slot and knife.slot.solid else None
            voids = _voids(kind, tang, slot, solid, part.label)
            if kind == "handle":
                _check_slot(tang, slot, solid)
            cursor = solid.back_m
        laid.append(Laid(kind, part, body(solid, part.material.density_kg_m3, voids), solid))
    return _scaled(laid, knife.weighed_kg) if knife.has_shape() else laid


def _scaled(laid: list[Laid], weighed_kg: float | None) -> list[Laid]:
    """Give blade and tang together the weight they had on the scale, in the shape they were given."""
    worked = [each for each in laid if each.kind in ("blade", "tang") and each.solid is not None]
    total = sum(each.body.mass_kg for each in worked)
    if weighed_kg is None or not total > 0:
        return laid
    share = weighed_kg / total
    return [
        replace(each, body=Body(each.body.mass_kg * share, each.body.x_m)) if each in worked else each
        for each in laid
    ]
