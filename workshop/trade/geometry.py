"""Solids, circles and straight tapers, as a handle maker meets them.

Everything is in metres and radians. The formulas are the handbook ones (Machinery's
Handbook, 31st ed., pp. 88-93, unless said otherwise); each was worked again by hand.
"""

from __future__ import annotations

from math import acos, atan2, cos, hypot, isfinite, pi, sin, sqrt

from workshop.errors import ShopError

INCH_M = 0.0254
"""One inch in metres, exact since 1959."""


def say_length(length_m: float) -> str:
    """Return a length for a sentence, in both of the shop's systems: ``"3.97 mm (0.156 in)"``."""
    return f"{length_m * 1000:.4g} mm ({length_m / INCH_M:.3g} in)"


def must_be_more_than_nothing(**lengths_m: float) -> None:
    """Refuse any length that is nothing, less than nothing or no number.

    The names are those of the fields, with ``_`` for ``-``. Raises ShopError.
    """
    for name, value in lengths_m.items():
        if not isfinite(value) or value <= 0:
            raise ShopError(f"{name.replace('_', '-')} is {say_length(value)}; it must be more than nothing")


def circle_area(diameter_m: float) -> float:
    """Return the area of a circle (m²)."""
    return pi * diameter_m**2 / 4


def cap_volume(base_m: float, rise_m: float) -> float:
    """Return the volume of a spherical cap (m³): `base_m` its diameter where it sits, `rise_m` its height.

    V = πh(3a² + h²)/6 with a the base radius. Holds for any rise, past the half ball too.
    """
    return pi * rise_m * (3 * (base_m / 2) ** 2 + rise_m**2) / 6


def frustum_volume(wide_m: float, narrow_m: float, height_m: float) -> float:
    """Return the volume of a cut-off cone (m³) between two diameters.

    V = πh(D² + Dd + d²)/12.
    """
    return pi * height_m * (wide_m**2 + wide_m * narrow_m + narrow_m**2) / 12


def tapered_bar_volume(
    length_m: float, height_front_m: float, height_end_m: float, thick_front_m: float, thick_end_m: float
) -> float:
    """Return the volume of a bar of rectangular section whose height and thickness both taper straight (m³).

    The prismatoid formula V = L(A₀ + 4Aₘ + A₁)/6 is exact here, because the section's area is
    a quadratic in the length. The mean height times the mean thickness is not: it is high or low by
    L(h₀ − h₁)(t₀ − t₁)/12.
    """
    front = height_front_m * thick_front_m
    end = height_end_m * thick_end_m
    middle = (height_front_m + height_end_m) * (thick_front_m + thick_end_m) / 4
    return length_m * (front + 4 * middle + end) / 6


def lens_area(diameter_m: float, pitch_m: float) -> float:
    """Return the area two equal circles have in common (m²), 0 when they do not meet.

    L = 2r² acos(p/2r) − (p/2)√(4r² − p²).
    """
    radius = diameter_m / 2
    if pitch_m >= diameter_m:
        return 0.0
    return 2 * radius**2 * acos(pitch_m / diameter_m) - pitch_m / 2 * sqrt(4 * radius**2 - pitch_m**2)


def hole_row_area(holes: int, hole_m: float, pitch_m: float) -> float:
    """Return the true area of a straight row of equal, overlapping holes (m²).

    A = Nπr² − (N−1)L(p). It stays exact when holes that are not neighbours overlap too: what
    two of them share lies wholly inside the hole or holes between them.
    Raises ShopError for less than one hole or a pitch of nothing.
    """
    if holes < 1:
        raise ShopError(f"holes is {holes}; a row needs at least one hole")
    must_be_more_than_nothing(hole=hole_m)
    if holes > 1:
        must_be_more_than_nothing(pitch=pitch_m)
    return holes * circle_area(hole_m) - (holes - 1) * lens_area(hole_m, pitch_m)


def waist_of_row(hole_m: float, pitch_m: float) -> float:
    """Return how wide a row of holes is midway between two of them (m); 0 if they do not meet."""
    return sqrt(max(0.0, hole_m**2 - pitch_m**2))


def radius_of_arc(chord_m: float, rise_m: float) -> float:
    """Return the radius of the arc with this chord and rise (m): R = (c²/4 + s²)/(2s).

    Exact for every rise, past the half circle too. Raises ShopError when either is nothing.
    """
    must_be_more_than_nothing(chord=chord_m, rise=rise_m)
    return (chord_m**2 / 4 + rise_m**2) / (2 * rise_m)


def rise_of_arc(radius_m: float, chord_m: float) -> float:
    """Return the rise at mid-chord (m) of the shallower of the two arcs: s = R − √(R² − c²/4).

    Raises ShopError when the chord is longer than the circle is wide.
    """
    must_be_more_than_nothing(radius=radius_m, chord=chord_m)
    if chord_m > 2 * radius_m * (1 + 1e-12):
        raise ShopError(
            f"a chord of {say_length(chord_m)} does not go into a circle of radius {say_length(radius_m)}; "
            f"the longest is its diameter, {say_length(2 * radius_m)}"
        )
    flat = sqrt(max(0.0, radius_m**2 - chord_m**2 / 4))
    # The same as R − flat, without losing the digits of a shallow arc.
    return chord_m**2 / 4 / (radius_m + flat)


def chord_of_arc(radius_m: float, rise_m: float) -> float:
    """Return the chord (m) of an arc of this radius and rise: c = 2√(s(2R − s)).

    Raises ShopError when the rise is not less than the circle is high.
    """
    must_be_more_than_nothing(radius=radius_m, rise=rise_m)
    if rise_m >= 2 * radius_m:
        raise ShopError(
            f"a rise of {say_length(rise_m)} does not go into a circle of radius {say_length(radius_m)}; "
            f"it must be less than its diameter, {say_length(2 * radius_m)}"
        )
    return 2 * sqrt(rise_m * (2 * radius_m - rise_m))


def sweep_of_arc(chord_m: float, rise_m: float) -> float:
    """Return the angle an arc takes up as seen from its centre (rad), 0 to 2π: 4·atan(2s/c)."""
    return 4 * atan2(2 * rise_m, chord_m)


def taper_angle(front_m: float, end_m: float, length_m: float) -> float:
    """Return the angle of each side to the centre line (rad), positive when it narrows to the end."""
    return atan2((front_m - end_m) / 2, length_m)


def at_station(front_m: float, end_m: float, length_m: float, from_front_m: float) -> float:
    """Return the width of a straight taper at a station (m)."""
    return front_m + (end_m - front_m) * from_front_m / length_m


def sine_bar_packing(length_m: float, angle_rad: float) -> float:
    """Return the packing (m) that tilts a bar of this length by an angle: h = L sin A."""
    return length_m * sin(angle_rad)


def point_to_ellipse(across_m: float, up_m: float, half_width_m: float, half_height_m: float) -> float:
    """Return the shortest distance (m) from a point inside an ellipse, or on it, to the ellipse.

    By symmetry in one quarter: a coarse look along it finds the nearest stretch, golden sections walk to the
    nearest point of that, and the quarter's two ends are looked at as well.
    """
    x, y = abs(across_m), abs(up_m)
    a, b = half_width_m, half_height_m

    def distance(phi: float) -> float:
        return hypot(a * cos(phi) - x, b * sin(phi) - y)

    steps = 90
    best = min(range(steps + 1), key=lambda i: distance(pi / 2 * i / steps))
    low = pi / 2 * max(0, best - 1) / steps
    high = pi / 2 * min(steps, best + 1) / steps
    golden = (sqrt(5) - 1) / 2
    for _ in range(80):
        inner, outer = high - golden * (high - low), low + golden * (high - low)
        if distance(inner) <= distance(outer):
            high = outer
        else:
            low = inner
    return min(distance((low + high) / 2), distance(0.0), distance(pi / 2))


def angle_of_out(width_m: float, out_m: float) -> float:
    """Return the angle (rad) a face is out of square when it is `out_m` away at `width_m` from the corner."""
    return atan2(out_m, width_m)
