"""Steel's properties against EN 1993-1-2, 3.4.1 (values read from copies that agree)."""

import pytest
from scipy.integrate import quad

from workshop.trade import steel_heat
from workshop.trade.steel_heat import carbon_steel, conductivity, heat_content, specific_heat

C = 273.15

# °C, J/kgK, W/mK
TABLE = (
    (20, 439.80, 53.33),
    (100, 487.62, 50.67),
    (200, 529.76, 47.34),
    (400, 605.88, 40.68),
    (600, 760.22, 34.02),
    (700, 1008.2, 30.69),
    (735, 5000.0, 29.52),
    (750, 1482.9, 29.02),
    (850, 694.75, 27.3),
    (900, 650.0, 27.3),
    (1100, 650.0, 27.3),
)


@pytest.mark.parametrize(("celsius", "heat", "conducts"), TABLE)
def test_properties_are_the_standards(celsius, heat, conducts):
    assert specific_heat(celsius + C) == pytest.approx(heat, rel=1e-4)
    assert conductivity(celsius + C) == pytest.approx(conducts, abs=0.01)


def test_density_is_the_standards():
    assert steel_heat.DENSITY == 7850.0


def test_heat_from_20_to_850_degrees():
    # Mean enthalpy worked independently from the standard's formulas: 598.56 kJ/kg.
    assert (heat_content(850 + C) - heat_content(20 + C)) / 1000.0 == pytest.approx(598.56, abs=0.05)


@pytest.mark.parametrize("top", [300.0, 600.0, 700.0, 735.0, 760.0, 900.0, 1100.0])
def test_closed_form_is_the_integral_of_the_specific_heat(top):
    breaks = [edge for edge in (600.0, 735.0, 900.0) if edge < top]
    worked, _ = quad(lambda t: specific_heat(t + C), 0.0, top, points=breaks or None, limit=400)
    assert heat_content(top + C) - heat_content(C) == pytest.approx(worked, rel=1e-4)


def test_table_holds_the_same_heat():
    steel = carbon_steel()
    for kelvin in (293, 600, 873, 1007, 1009, 1173):
        assert steel.content[kelvin] == pytest.approx(7850.0 * heat_content(kelvin), rel=1e-12)
        assert steel.content[kelvin] + steel.capacity[kelvin] == pytest.approx(steel.content[kelvin + 1])
