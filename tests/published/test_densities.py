"""Densities of the stores against printed tables."""

import tomllib
from pathlib import Path

import pytest

STORES = Path(__file__).parents[2] / "recipes" / "stores"
METALS = tomllib.loads((STORES / "metals.toml").read_text(encoding="utf-8"))
WOODS = tomllib.loads((STORES / "woods.toml").read_text(encoding="utf-8"))
DENSITY = {each["id"]: each["density"]["value"] for each in (*METALS["metal"], *METALS["other"])}
WOOD = {each["id"]: each["density"]["value"] for each in WOODS["wood"] if "density" in each}

# Mechanics of Materials, 5th ed., table of mass densities, kg/m³ (as printed, ranges where it has them).
MECHANICS = {
    "aluminium": (2700, 2800),
    "brass": (8400, 8600),
    "bronze": (8200, 8800),
    "copper": (8900, 8900),
    "nickel": (8800, 8800),
    "carbon-steel": (7850, 7850),
    "titanium": (4500, 4500),
}

# Engineering table of metals and alloys, kg/m³ (secondary).
ENGINEERING = {
    "brass": (8400, 8730),
    "bronze": (7400, 8920),
    "phosphor-bronze": (8780, 8920),
    "nickel-silver": (8400, 8900),
    "silver": (10490, 10490),
    "stainless-steel": (7480, 8000),
    "austenitic-stainless": (7480, 8000),
    "carbon-steel": (7850, 7850),
    "titanium": (4500, 4500),
}

# Data sheets of tool steels, kg/m³ (secondary).
SHEETS = {"a2": 7860, "d2": 7695, "o1": 7810}

# Common practice, a shop list, g/cm³ with what it gives as a range; no source.
SHOP = {
    "linen-laminate": (1.35, 1.35),
    "glass-laminate": (1.85, 1.85),
    "horn": (1.3, 1.3),
    "bone": (1.6, 1.9),
    "epoxy": (1.1, 1.2),
}


@pytest.mark.parametrize(("name", "limits"), MECHANICS.items())
def test_metals_lie_in_the_mechanics_table(name, limits):
    assert limits[0] <= DENSITY[name] <= limits[1]


@pytest.mark.parametrize(("name", "limits"), ENGINEERING.items())
def test_metals_lie_in_the_engineering_table(name, limits):
    assert limits[0] <= DENSITY[name] <= limits[1]


@pytest.mark.parametrize(("name", "printed"), SHEETS.items())
def test_tool_steels(name, printed):
    assert DENSITY[name] == printed


@pytest.mark.parametrize(("name", "limits"), SHOP.items())
def test_what_handles_and_spacers_are_made_of(name, limits):
    assert limits[0] <= DENSITY[name] / 1000 <= limits[1]


# Woodworkers' tables of seasoned woods, kg/m³ (secondary); the range of two pages where they differ.
@pytest.mark.parametrize(
    ("name", "least", "most"),
    [
        ("apple", 660, 830),
        ("black-ash", 540, 560),
        ("white-ash", 670, 680),
        ("teak", 630, 720),
        ("afrormosia", 705, 705),
        ("gaboon-ebony", 960, 1120),
        ("cocobolo", 1070, 1070),
        ("bocote", 855, 855),
    ],
)
def test_woods(name, least, most):
    assert least <= WOOD[name] <= most


def test_specific_gravity_at_twelve_per_cent_carries_its_water():
    # Wood Handbook: specific gravity on oven-dry mass and the volume at 12 %; density = gravity × 1.12.
    for name, gravity in (("white-ash", 0.60), ("black-cherry", 0.50), ("yellow-birch", 0.62)):
        assert WOOD[name] == pytest.approx(gravity * 1120, abs=1)


def test_every_value_has_a_source_and_a_standing():
    for entry in (*METALS["metal"], *METALS["other"]):
        assert entry["density"]["source"] in METALS["source"]
        assert entry["density"]["standing"] in {"published", "secondary", "common practice", "from memory"}


def test_zinc_is_warned_of():
    for name in ("brass", "nickel-silver"):
        entry = next(each for each in METALS["metal"] if each["id"] == name)
        assert "zinc fume" in entry["hazard"]
