"""Drill sizes against the published tables."""

from __future__ import annotations

import tomllib
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest

from workshop.trade import drills

INCH = 0.0254
STORE = tomllib.loads((Path(__file__).parents[2] / "recipes/stores/drills.toml").read_text("utf-8"))


def thou(drill: drills.Drill) -> float:
    return drill.size_m / INCH * 1000


# ASME B94.11M-1993, as given in Machinery's Handbook p. 827 (published); each tenth number, the ends and the
# places where the steps change.
@pytest.mark.parametrize(
    ("name", "inches"),
    [
        ("#97", 0.0059), ("#90", 0.0087), ("#80", 0.0135), ("#79", 0.0145), ("#78", 0.016), ("#70", 0.028),
        ("#69", 0.0292), ("#60", 0.04), ("#56", 0.0465), ("#52", 0.0635), ("#50", 0.07), ("#41", 0.096),
        ("#40", 0.098), ("#30", 0.1285), ("#29", 0.136), ("#22", 0.157), ("#21", 0.159), ("#20", 0.161),
        ("#12", 0.189), ("#11", 0.191), ("#10", 0.1935), ("#7", 0.201), ("#5", 0.2055), ("#1", 0.228),
        ("A", 0.234), ("E", 0.25), ("F", 0.257), ("K", 0.281), ("L", 0.29), ("Z", 0.413),
    ],
)  # fmt: skip
def test_number_and_letter_sizes(name: str, inches: float) -> None:
    assert drills.sizes(STORE)[name] == pytest.approx(inches * INCH, abs=1e-12)


def test_the_whole_of_numbers_and_letters_rises() -> None:
    # Computed on the published table: 97 numbers and 26 letters, strictly increasing.
    sizes = drills.sizes(STORE)
    names = [f"#{number}" for number in range(97, 0, -1)] + [chr(letter) for letter in range(65, 91)]
    row = [sizes[name] for name in names]
    assert len(row) == 123
    assert all(small < large for small, large in pairwise(row))


def test_sixty_fourths_to_one_inch() -> None:
    # ANSI B94.11M-1979 (published): every 64th to 1 in.
    sizes = drills.sizes(STORE)
    for count in range(1, 65):
        size = Fraction(count, 64)
        assert sizes[f"{size} in"] == pytest.approx(float(size) * INCH, abs=1e-15)


def test_metric_sizes_follow_the_standard_rule() -> None:
    # BS 328 (published): 0.2 to 0.98 at N/10 + 0, .02, .05, .08; 1.0 to 2.95 by 0.05; 3.0 to 13.9 by 0.1;
    # 14 to 25 by 0.25. The rule gives 227.
    expected = [Fraction(tenth * 100 + step, 1000) for tenth in range(2, 10) for step in (0, 20, 50, 80)]
    expected += [Fraction(five, 100) for five in range(100, 300, 5)]
    expected += [Fraction(tenth, 10) for tenth in range(30, 140)]
    expected += [Fraction(quarter, 4) for quarter in range(56, 101)]
    rack = drills.rack(STORE, "metric")
    assert [round(drill.size_m * 1e6) for drill in rack] == [size * 1000 for size in expected]
    assert len(rack) == 227


def test_spot_values_in_millimetres() -> None:
    # Published conversions, seen in copies (secondary): #41 is 2.438 mm, 3/8 in is 9.525 mm, #7 is .201 in.
    sizes = drills.sizes(STORE)
    assert sizes["#41"] * 1000 == pytest.approx(2.438, abs=0.0005)
    assert sizes["3/8 in"] * 1000 == pytest.approx(9.525, abs=1e-9)


@pytest.mark.parametrize(
    ("pin", "drill", "gap_thou"),
    [
        ("1/8", "#30", 3.5),
        ("3/16", "#12", 1.5),
        ("1/4", "F", 7.0),
        ("3/32", "#41", 2.25),
        ("1/16", "#52", 1.0),
    ],
)
def test_snug_holes_for_pin_stock(pin: str, drill: str, gap_thou: float) -> None:
    # Worked by hand from the published table: the first drill over each usual pin size and what it leaves.
    pin_m = float(Fraction(pin)) * INCH
    rack = drills.rack(STORE, "inch")
    found = drills.for_pin(rack, pin_m, (gap_thou - 0.2) * INCH / 1000)
    assert found.drill.name == drill
    assert found.clearance_m / INCH * 1000 == pytest.approx(gap_thou, abs=1e-6)


def test_a_pin_never_gets_its_own_nominal_drill() -> None:
    # Common practice, no source: a pin wants a hole several thou over its size.
    rack = drills.rack(STORE, "inch")
    for count in range(4, 33):
        pin_m = count / 64 * INCH
        assert drills.for_pin(rack, pin_m, 0.003 * INCH).drill.size_m > pin_m + 0.0029 * INCH


def test_ties_in_the_tables() -> None:
    # Computed on the published tables: letter E is 1/4 in, and 12.7 mm is 1/2 in; no other size has
    # two names.
    ties = [drill.names for drill in drills.rack(STORE, "all") if len(drill.names) > 1]
    assert ties == [("E", "1/4 in"), ("1/2 in", "12.7 mm")]
