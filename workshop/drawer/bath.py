"""The drawer's etch bath: how much etchant a vessel wants and how far it rises."""

from __future__ import annotations

from typing import Any

from workshop.drawer.declare import Answer, Calculator, Example, Field, Given, Result, Source
from workshop.drawer.wording import mm
from workshop.errors import ShopError
from workshop.trade import bath


def _vessel(given: Given) -> tuple[float, bool, str]:
    """Return the vessel's inside area, whether the blade goes in, and the line that says how."""
    diameter_m, width_m, depth_m = (given.maybe(name) for name in ("diameter", "width", "depth"))
    height_m, thickness_m = given.number("blade-height"), given.number("blade-thickness")
    if diameter_m is not None:
        if width_m is not None or depth_m is not None:
            raise ShopError("diameter: give either a tube's diameter or a box's width and depth, not both")
        area_m2 = bath.round_area(diameter_m)
        fits = bath.fits_tube(diameter_m, height_m, thickness_m)
        return area_m2, fits, f"area = π / 4 × ({mm(diameter_m, 1)})² = {area_m2 * 1e4:.2f} cm²"
    if width_m is None or depth_m is None:
        raise ShopError(
            "diameter: give the vessel's inside diameter, like 60 mm, or its width and depth together"
        )
    area_m2 = width_m * depth_m
    fits = bath.fits_box(width_m, depth_m, height_m, thickness_m)
    return area_m2, fits, f"area = {mm(width_m, 1)} × {mm(depth_m, 1)} = {area_m2 * 1e4:.2f} cm²"


def _bath(given: Given) -> Answer:
    area_m2, fits, line = _vessel(given)
    length_m, height_m, thickness_m, cover_m = (
        given.number(name) for name in ("blade-length", "blade-height", "blade-thickness", "cover")
    )
    if not fits:
        raise ShopError(
            f"blade-height: a blade of {mm(height_m, 1)} × {mm(thickness_m, 1)} does not go into this "
            f"vessel; "
            "give a wider one"
        )
    full = bath.fill(area_m2, length_m, height_m, thickness_m, cover_m)
    blade_ml = length_m * height_m * thickness_m * 1e6
    return Answer(
        {
            "volume": full.volume_m3,
            "rise": full.rise_m,
            "level": full.level_m,
            "level-in": full.level_in_m,
        },
        working=(
            line,
            f"volume = area × ({mm(length_m, 1)} + {mm(cover_m, 1)}) − blade {blade_ml:.1f} ml = "
            f"{full.volume_m3 * 1e6:.0f} ml",
            f"rise = {blade_ml:.1f} ml / area = {mm(full.rise_m, 1)}",
        ),
        assumed=(
            "the blade as a full bar, point down: the rise is the most it can be; top up by what the "
            "bevels took off",
        ),
    )


def _size(name: str, says: str, hard: tuple[str, str], **more: Any) -> Field:
    return Field(name, "length", says, unit="mm", hard=hard, **more)


BATH = Calculator(
    name="bath",
    title="Etch bath",
    purpose="How much etchant to mix for this blade in this vessel, and how far it rises",
    fields=(
        _size("diameter", "inside diameter of a tube", ("10 mm", "1 m"), optional=True),
        _size("width", "inside width of a box, instead of a tube", ("5 mm", "2 m"), optional=True),
        _size("depth", "inside depth of a box, front to back", ("5 mm", "2 m"), optional=True),
        _size("blade-length", "length to be etched", ("10 mm", "1.5 m"), fills_from=("blade-length",)),
        _size("blade-height", "height of the blade", ("3 mm", "300 mm"), fills_from=("blade-height",)),
        _size(
            "blade-thickness",
            "thickness of the blade",
            ("0.3 mm", "30 mm"),
            fills_from=("ricasso-thickness", "spine-thickness"),
        ),
        _size(
            "cover",
            "etchant over the blade and under its point, together",
            ("0 mm", "500 mm"),
            default="20 mm",
            likely=("5 mm", "60 mm"),
        ),
    ),
    results=(
        Result("volume", "volume", "etchant to pour", unit="ml", digits=0),
        Result("rise", "length", "how far it rises when the blade goes in", unit="mm", digits=1),
        Result("level", "length", "level before the blade goes in", unit="mm", digits=0),
        Result(
            "level-in", "length", "level with the blade in; the vessel must be higher", unit="mm", digits=0
        ),
    ),
    work=_bath,
    sources=(
        Source("Volume of a cylinder or box less the blade in it, Machinery's Handbook 31st ed. pp. 88-93"),
    ),
    valid="an upright vessel of even inside section, blade hung point down clear of the walls",
    example=Example(
        given={
            "diameter": "50 mm",
            "blade-length": "150 mm",
            "blade-height": "32 mm",
            "blade-thickness": "4 mm",
            "cover": "20 mm",
        },
        found={"volume": 314.6, "rise": 9.78},
        source=Source("19.635 cm² × 17 − 19.2 ml; 19.2 / 19.635 cm, by hand", "computed"),
        within=0.05,
    ),
    cautions=(
        "Goggles, nitrile, apron, ventilation; plastic vessel, never aluminium. Concentrate into water, "
        "never the "
        "other way. Its vapour rusts tools nearby: lid on. Spent etchant carries metal: not to the drain, "
        "local "
        "rule decides.",
    ),
)

CALCULATORS: tuple[Calculator, ...] = (BATH,)
