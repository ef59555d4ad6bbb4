"""Specific heat of sucrose solutions.

The sugar trade's equation for pure sugar, as given by Lyle and repeated in
[honig1953] and by Llano 2005; evaluated by others: published.
"""

import pytest

from calculators import syrup
from calculators.units import q

ROWS = [  # percent, °C, J/kg/K; 3 J/kg/K as equation
    (20, 20, 3712),
    (40, 60, 3360),
    (60, 20, 2767),
    (60, 60, 2947),
    (80, 100, 2775),
]


@pytest.mark.parametrize(("brix", "t", "printed"), ROWS)
def test_specific_heat_agrees_with_the_equation(brix, t, printed):
    found = syrup.specific_heat(q(brix, "percent"), q(t, "degC")).m_as("J/kg/K")
    assert found == pytest.approx(printed, abs=3)


def test_without_sugar_it_is_that_of_water():
    """Library: iapws, water at 0.1 MPa."""
    iapws = pytest.importorskip("iapws")
    for t in (5, 20, 50, 90):
        theirs = iapws.IAPWS97(T=t + 273.15, P=0.101325).cp
        found = syrup.specific_heat(q(0, "percent"), q(t, "degC")).m_as("kJ/kg/K")
        assert found == pytest.approx(theirs, rel=0.01)


def test_the_rough_linear_rule_of_kitchens_is_near():
    """4.19 (1 - 0.6 w ... 0.66 w) kJ/kg/K at room temperature, common practice."""
    for w in (0.2, 0.4, 0.6):
        found = syrup.specific_heat(q(100 * w, "percent")).m_as("kJ/kg/K")
        assert 4.19 * (1 - 0.66 * w) <= found <= 4.19 * (1 - 0.50 * w)
