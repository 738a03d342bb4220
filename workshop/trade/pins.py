"""Pin heads: how far a pin must stand out to fill its hole and form its heads.

Metal is neither made nor lost in peening, so everything is by volume. Lengths in metres.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from workshop.errors import ShopError
from workshop.trade.geometry import (
    cap_volume,
    circle_area,
    frustum_volume,
    must_be_more_than_nothing,
    say_length,
)

Form = Literal["dome", "flat", "countersunk"]
FORMS: tuple[Form, ...] = ("dome", "flat", "countersunk")

USUAL_HEAD = (1.3, 1.67)
USUAL_RISE = (0.4, 0.67)
"""What is accepted of a formed rivet head, in shank diameters (handbook guidance, secondary)."""


@dataclass(frozen=True, slots=True)
class PinHead:
    """What a pin needs. head_m3: one head's metal outside the straight hole. gap_m3: metal that one side's
    half of the hole takes around the pin. sink_m: how deep a countersink goes, else 0."""

    stick_out_m: float
    length_m: float
    head_m3: float
    gap_m3: float
    sink_m: float


def head_volume(form: Form, head_m: float, rise_m: float, hole_m: float) -> float:
    """Return the metal of one head (m³).

    dome: a spherical cap, `head_m` wide and `rise_m` high. flat: a disc of that width and height.
    countersunk: the 90° cut-off cone from `head_m` at the surface down to the hole's width, flush
    (`rise_m` is not used); the straight middle that the pin already fills is part of it.
    Raises ShopError for a dome past the half ball.
    """
    if form == "dome":
        if rise_m > head_m / 2 * (1 + 1e-9):
            raise ShopError(
                f"a dome {say_length(head_m)} wide cannot rise {say_length(rise_m)}: past half its width it "
                "would be an undercut ball; give a rise of at most half the head"
            )
        return cap_volume(head_m, rise_m)
    if form == "flat":
        return circle_area(head_m) * rise_m
    return frustum_volume(head_m, hole_m, sink_depth(head_m, hole_m))


def sink_depth(head_m: float, hole_m: float) -> float:
    """Return how deep a 90° countersink of width `head_m` goes into a hole (m): half the difference."""
    return (head_m - hole_m) / 2


def pin_for_heads(
    form: Form, pin_m: float, head_m: float, rise_m: float, hole_m: float, grip_m: float
) -> PinHead:
    """Return how far a pin must stand out of each side, and how long it is cut.

    grip_m: the whole thickness the pin goes through, surface to surface, countersinks included. Each
    side's stick-out makes one head and fills half the grip's gap between pin and hole.
    Raises ShopError for a hole under the pin, a head no wider than the hole, countersinks that meet.
    """
    must_be_more_than_nothing(pin=pin_m, head=head_m, rise=rise_m, hole=hole_m, grip=grip_m)
    if hole_m < pin_m * (1 - 1e-9):
        raise ShopError(
            f"hole {say_length(hole_m)} is smaller than pin {say_length(pin_m)}; the pin would not go in"
        )
    if head_m <= max(hole_m, pin_m):
        raise ShopError(
            f"head {say_length(head_m)} is not wider than its hole of {say_length(max(hole_m, pin_m))}; "
            "it would hold nothing, so give a head wider than the hole, usually 1.5 pin diameters"
        )
    head = head_volume(form, head_m, rise_m, hole_m)
    sink = sink_depth(head_m, hole_m) if form == "countersunk" else 0.0
    straight = grip_m / 2 - sink
    if straight <= 0:
        raise ShopError(
            f"two 90° countersinks of {say_length(head_m)} go {say_length(sink)} deep each and would meet "
            f"in a grip of {say_length(grip_m)}; give a smaller head or another form"
        )
    gap = (circle_area(hole_m) - circle_area(pin_m)) * straight
    # What the pin itself fills of a countersink is there already.
    wanted = head + gap - circle_area(pin_m) * sink
    stick_out = wanted / circle_area(pin_m)
    return PinHead(stick_out, grip_m + 2 * stick_out, head, gap, sink)
