"""Dry air against CoolProp.

Source: CoolProp, fluid "Air" (Lemmon and others 2000, Lemmon and Jacobsen 2004).
Columns: temperature °C; pressures of a kitchen by the sea and one at 2250 m, and the ends that are
accepted.
Provenance: computed here by the library.
"""

import pytest
from CoolProp.CoolProp import PropsSI

from calculators.cooling import air
from calculators.units import q


@pytest.mark.parametrize("celsius", [-60, -18, 0, 20, 40, 60, 100, 150])
@pytest.mark.parametrize("kpa", [30, 77.1, 101.325, 110])
def test_air_agrees_with_the_library(celsius, kpa):
    ours = air(q(celsius, "degC"), q(kpa, "kPa"))

    def theirs(letter):
        return PropsSI(letter, "T", celsius + 273.15, "P", kpa * 1000, "Air")

    assert ours.density.m_as("kg/m**3") == pytest.approx(theirs("D"), rel=0.0025)
    assert ours.viscosity.m_as("Pa*s") == pytest.approx(theirs("V"), rel=0.02)
    assert ours.conductivity.m_as("W/m/K") == pytest.approx(theirs("L"), rel=0.02)
    assert ours.specific_heat.m_as("J/kg/K") == pytest.approx(theirs("C"), rel=0.02)
