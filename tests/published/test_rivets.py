"""Pin heads against published rivet proportions."""

from __future__ import annotations

from math import pi

import pytest

from workshop.trade.geometry import cap_volume, circle_area, radius_of_arc
from workshop.trade.pins import head_volume, pin_for_heads, sink_depth

INCH = 0.0254


def shank(volume_m3: float, pin_m: float) -> float:
    """Return a volume as a length of shank, in pin diameters."""
    return volume_m3 / circle_area(pin_m) / pin_m


# ANSI/ASME B18.1.1-1972 (R2016), Machinery's Handbook 31st ed. p. 1871, Table 2a (published): button heads of
# small rivets: width A and height H, least and most, and the radius R, in inches.
BUTTON = {
    1 / 16: ((0.102, 0.122), (0.042, 0.052), 0.055),
    3 / 32: ((0.162, 0.182), (0.065, 0.077), 0.084),
    1 / 8: ((0.215, 0.235), (0.088, 0.100), 0.111),
    5 / 32: ((0.268, 0.290), (0.110, 0.124), 0.138),
    3 / 16: ((0.322, 0.348), (0.133, 0.147), 0.166),
    7 / 32: ((0.379, 0.405), (0.158, 0.172), 0.195),
    1 / 4: ((0.430, 0.460), (0.180, 0.196), 0.221),
}


@pytest.mark.parametrize("size", BUTTON)
def test_button_heads_are_domes(size: float) -> None:
    # A head 1.75 D wide and 0.75 D high (as remembered for small rivets) lies inside the printed bands; as a
    # spherical cap its radius is 0.885 D, which is the one printed beside them to 0.0015 in: a dome is meant.
    (narrow, wide), (low, high), radius = BUTTON[size]
    assert narrow <= 1.75 * size <= wide
    assert low <= 0.75 * size <= high
    assert radius_of_arc(1.75 * size, 0.75 * size) == pytest.approx(radius, abs=0.0015)


@pytest.mark.parametrize("size", BUTTON)
def test_metal_of_a_button_head(size: float) -> None:
    # A head of 1.75 D by 0.75 D is 1.12287 D^3, 1.42969 D of shank (worked by hand from the cap formula); the
    # printed bands' smallest and largest heads enclose what the calculation asks for.
    (narrow, wide), (low, high), _ = BUTTON[size]
    pin = size * INCH
    head = head_volume("dome", 1.75 * pin, 0.75 * pin, pin)
    assert head / pin**3 == pytest.approx(1.12287, abs=0.00001)
    assert shank(head, pin) == pytest.approx(1.42969, abs=0.00001)
    assert cap_volume(narrow * INCH, low * INCH) <= head <= cap_volume(wide * INCH, high * INCH)


def test_usual_stick_out_of_one_and_a_half() -> None:
    # Rule of thumb (secondary): 1.5 d stands out for a full head. Worked by hand: pin 1/8, grip .250,
    # hole #30
    # (.1285), button head: head .1787 + fill of the whole gap .0142 = .1929 in = 1.543 d.
    pin, grip, hole = 0.125 * INCH, 0.250 * INCH, 0.1285 * INCH
    need = pin_for_heads("dome", pin, 1.75 * pin, 0.75 * pin, hole, grip)
    head, fill = need.head_m3 / circle_area(pin) / INCH, 2 * need.gap_m3 / circle_area(pin) / INCH
    assert head == pytest.approx(0.1787, abs=0.00006)
    assert fill == pytest.approx(0.0142, abs=0.00006)
    # A bought rivet fills the whole gap from its one formed end, a pin half of it from each.
    assert (head + fill) / 0.125 == pytest.approx(1.543, abs=0.0006)
    assert need.stick_out_m / INCH == pytest.approx(head + fill / 2, abs=1e-9)


def test_flat_heads() -> None:
    # Worked by hand: a disc 1.5 D by 0.5 D is 1.125 D of shank; the usual 1.5 D of stick-out makes a disc of
    # 0.6667 D, the upper bound of what is accepted (0.4 to 0.67 d, secondary).
    pin = 0.004
    assert shank(head_volume("flat", 1.5 * pin, 0.5 * pin, pin), pin) == pytest.approx(1.125, abs=1e-9)
    assert shank(head_volume("flat", 1.5 * pin, 2 / 3 * pin, pin), pin) == pytest.approx(1.5, abs=1e-9)


def test_domes_and_half_balls() -> None:
    # Worked by hand: a cap 1.5 D wide and 0.5 D high is 0.6458 D of shank, a half ball of 1.5 D 1.125 D.
    pin = 0.004
    assert shank(head_volume("dome", 1.5 * pin, 0.5 * pin, pin), pin) == pytest.approx(0.6458, abs=0.0001)
    assert shank(head_volume("dome", 1.5 * pin, 0.75 * pin, pin), pin) == pytest.approx(1.125, abs=1e-9)
    assert head_volume("dome", 1.5 * pin, 0.75 * pin, pin) == pytest.approx(
        pi / 12 * (1.5 * pin) ** 3, rel=1e-12
    )


# ANSI/ASME B18.1.1-1972 (R2016), Table 2c (published): 90° countersunk heads: widest edge A when
# sharp, least A,
# and the depth H for reference, in inches.
COUNTERSUNK = {
    1 / 16: (0.118, 0.110, 0.027),
    3 / 32: (0.176, 0.163, 0.040),
    1 / 8: (0.235, 0.217, 0.053),
    5 / 32: (0.293, 0.272, 0.066),
    3 / 16: (0.351, 0.326, 0.079),
    7 / 32: (0.413, 0.384, 0.094),
    1 / 4: (0.469, 0.437, 0.106),
}


@pytest.mark.parametrize("size", COUNTERSUNK)
def test_countersunk_heads_of_ninety_degrees(size: float) -> None:
    # The printed depth lies between the depths of the least and the widest head.
    widest, least, depth = COUNTERSUNK[size]
    assert sink_depth(least, size) <= depth <= sink_depth(widest, size)


def test_metal_of_a_countersunk_head() -> None:
    # Worked by hand: 1.85 D at the surface, 0.425 D deep down to D, the whole cone: 0.8886 D of shank.
    pin = 0.004
    assert shank(head_volume("countersunk", 1.85 * pin, 0.0, pin), pin) == pytest.approx(0.8886, abs=0.0001)
    need = pin_for_heads("countersunk", pin, 1.85 * pin, 0.5 * pin, pin, 0.02)
    assert need.stick_out_m / pin == pytest.approx(0.8886 - 0.425, abs=0.0001)
