"""Which calculators there are and where each is declared.

The names are known at once; a declaration is imported when it is first asked for, so that no
calculator slows the start of the program.
"""

from __future__ import annotations

from functools import cache
from importlib import import_module

from workshop.drawer.declare import Calculator
from workshop.errors import ShopError

HOMES: dict[str, tuple[str, ...]] = {
    "convert": ("convert",),
    "layers": ("layers",),
    "stock": ("stock",),
    "billet": ("draw-out", "pattern-cut", "feather"),
    "heat": ("critical", "temper"),
    "tang_heat": ("tang-heat",),
    "colours": ("heat-colour",),
    "quench": ("quench",),
    "grind": ("bevel", "distal"),
    "abrasives": ("grits",),
    "speeds": ("belt-speed", "drill-speed"),
    "guard_slot": ("guard-slot",),
    "pins": ("pin-drill", "pin-head"),
    "glue": ("slot-fill", "mix-split"),
    "cure": ("cure",),
    "geometry": ("arc", "wall"),
    "layout": ("taper", "octagon", "square-up"),
    "handle": ("handle-section",),
    "wood": ("wood-moisture", "wood-swing"),
    "balance": ("balance",),
    "air": ("dew-point",),
    "etch": ("etch-mix",),
    "bath": ("bath",),
    "edge_lift": ("edge-lift",),
    "price": ("price",),
}
"""By module of this room, the calculators it declares; listed in the order of the work."""

NAMES: tuple[str, ...] = tuple(name for names in HOMES.values() for name in names)


@cache
def calculator(name: str) -> Calculator:
    """Return a calculator by name, or raise ShopError with the names there are."""
    wanted = name.strip().lower()
    for home, names in HOMES.items():
        if wanted in names:
            module = import_module(f"workshop.drawer.{home}")
            declared: tuple[Calculator, ...] = module.CALCULATORS
            return next(one for one in declared if one.name == wanted)
    raise ShopError(f"There is no calculator '{name}'; right would be one of: {', '.join(NAMES)}.")
