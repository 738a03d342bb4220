"""Movement of wood against printed coefficients and worked examples."""

import tomllib
from pathlib import Path

import pytest

from workshop.trade import wood

INCH = 0.0254
STORE = tomllib.loads(
    (Path(__file__).parents[2] / "recipes" / "stores" / "woods.toml").read_text(encoding="utf-8")
)
WOODS = {each["name"]: each for each in STORE["wood"]}

# Wood Handbook, FPL-GTR-190, Table 13-5 (C_R, C_T) and Table 4-3 (S_R, S_T), typed from the tables.
TABLES = {
    "red alder": (0.00151, 0.00256, 4.4, 7.3),
    "black ash": (0.00172, 0.00274, 5.0, 7.8),
    "white ash": (0.00169, 0.00274, 4.9, 7.8),
    "American basswood": (0.00230, 0.00330, 6.6, 9.3),
    "American beech": (0.00190, 0.00431, 5.5, 11.9),
    "paper birch": (0.00219, 0.00304, 6.3, 8.6),
    "yellow birch": (0.00256, 0.00338, 7.3, 9.5),
    "butternut": (0.00116, 0.00223, 3.4, 6.4),
    "black cherry": (0.00126, 0.00248, 3.7, 7.1),
    "American chestnut": (0.00116, 0.00234, 3.4, 6.7),
    "American elm": (0.00144, 0.00338, 4.2, 9.5),
    "hackberry": (0.00165, 0.00315, 4.8, 8.9),
    "pecan hickory": (0.00169, 0.00315, 4.9, 8.9),
    "live oak": (0.00230, 0.00338, 6.6, 9.5),
    "common persimmon": (0.00278, 0.00403, 7.9, 11.2),
    "sassafras": (0.00137, 0.00216, 4.0, 6.2),
    "sweetgum": (0.00183, 0.00365, 5.3, 10.2),
    "American sycamore": (0.00172, 0.00296, 5.0, 8.4),
    "black walnut": (0.00190, 0.00274, 5.5, 7.8),
}


@pytest.mark.parametrize(("name", "printed"), TABLES.items())
def test_store_carries_the_printed_values(name, printed):
    keys = ("radial", "tangential", "shrinkage-radial", "shrinkage-tangential")
    assert tuple(WOODS[name][key]["value"] for key in keys) == printed
    assert {WOODS[name][key]["standing"] for key in keys} == {"published"}


@pytest.mark.parametrize(("name", "printed"), TABLES.items())
def test_the_two_tables_belong_together(name, printed):
    # Eq. 13-3 taken at 10 % moisture gives Table 13-5 back to its last digit or one beside it.
    across, along, shrink_across, shrink_along = printed
    assert wood.coefficient_from_shrinkage(shrink_across / 100) == pytest.approx(across, abs=1.1e-5)
    assert wood.coefficient_from_shrinkage(shrink_along / 100) == pytest.approx(along, abs=1.1e-5)
    assert 100 * wood.shrinkage_from_coefficient(along) == pytest.approx(shrink_along, abs=0.05)


def test_mesquite_five_inches():
    # Flooring trade's worked example (secondary): 3 × .00129 × 5 in = .019 in.
    found = wood.swing_by_coefficient(5 * INCH, WOODS["mesquite"]["tangential"]["value"], 0.06, 0.09)
    assert found / INCH == pytest.approx(0.019, abs=0.0005)


def test_red_alder_eight_inches():
    # A woodworking magazine, September 2021 (secondary): 8 × .0026 × 6 = .1248 in, its C rounded.
    assert wood.swing_by_coefficient(8 * INCH, 0.0026, 0.06, 0.12) / INCH == pytest.approx(0.1248, abs=1e-4)


def test_black_walnut_thirty_millimetres():
    # By hand from Table 13-5: 30 × 0.00274 × 3 and 30 × 0.00190 × 3.
    along, across = (WOODS["black walnut"][key]["value"] for key in ("tangential", "radial"))
    assert wood.swing_by_coefficient(0.030, along, 0.08, 0.11) == pytest.approx(0.2466e-3, abs=1e-8)
    assert wood.swing_by_coefficient(0.030, across, 0.08, 0.11) == pytest.approx(0.171e-3, abs=1e-8)


def test_softwood_lumber_of_thirteen_inches():
    # FPL-RP-489: 13.25 in, 19 to 10 %, 0.2 % per 1 %: 0.2385 in; its other formula gives 13.02 in left.
    found = wood.swing_by_coefficient(13.25 * INCH, 0.002, 0.19, 0.10) / INCH
    assert found == pytest.approx(-0.2385, abs=5e-5)
    # The handbook's formula with that paper's own total shrinkage (6.031 %) lands within 0.02 in of it.
    by_shrinkage = wood.swing_by_shrinkage(13.25 * INCH, 0.06031, 0.19, 0.10, 0.19) / INCH
    assert 13.25 + by_shrinkage == pytest.approx(13.02, abs=0.02)


def test_white_fir_of_the_handbook_from_memory():
    # Wood Handbook, ch. 13 (from memory): 232 mm, 8 to 11 %, C 0.00245: 1.705 mm.
    assert wood.swing_by_coefficient(0.232, 0.00245, 0.08, 0.11) == pytest.approx(1.705e-3, abs=1e-6)


def test_green_to_oven_dry_is_the_total_shrinkage():
    # What S means in Table 4-3: black walnut, 7.8 % of the green size from green to oven dry.
    found = wood.swing_by_shrinkage(0.100, 0.078, wood.FIBRE_SATURATION, 0.0, wood.FIBRE_SATURATION)
    assert found == pytest.approx(-0.0078, abs=1e-9)


def test_a_point_in_a_hundred_and_twenty_rule():
    # Common practice, no source: about 4 % of moisture is about 1 % of size in many woods.
    for each in ("black walnut", "sugar maple", "black cherry"):
        share = wood.swing_by_coefficient(1.0, WOODS[each]["tangential"]["value"], 0.08, 0.12)
        assert 0.008 < share < 0.015
