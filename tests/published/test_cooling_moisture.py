"""Frost on a frozen cake and steam from a hot pan.

Source: analogy of heat and mass (Lewis 1922) with a Lewis number of one, worked by
hand with IAPWS vapour pressures (from memory; 3 % for the equation, 30 % for a
kitchen); PsychroLib for the humidity ratios of a second form of the same analogy.
Columns: coefficient W/m²/K, rate g/m²/min at -18 °C in air of 22 °C and 60 %.
"""

import psychrolib
import pytest

from calculators.cooling import frost
from calculators.units import q

psychrolib.SetUnitSystem(psychrolib.SI)
ROOM = (q(22, "degC"), q(60, "percent"))
RATE = "g/m**2/min"


@pytest.mark.parametrize(("still", "rate"), [(5, 2.62), (8, 4.20), (10, 5.25)])
def test_the_frost_agrees_with_the_table(still, rate):
    found = frost(*ROOM, q(-18, "degC"), q(still, "W/m**2/K"))
    assert found.typical.m_as(RATE) == pytest.approx(rate, rel=0.03)
    assert found.low.m_as(RATE) == pytest.approx(0.7 * rate, rel=0.03)
    assert found.high.m_as(RATE) == pytest.approx(1.3 * rate, rel=0.03)


def test_ten_minutes_in_the_open_bring_42_grams_a_square_metre():
    rate = frost(*ROOM, q(-18, "degC"), q(8, "W/m**2/K")).typical
    assert (rate * q(10, "min")).m_as("g/m**2") == pytest.approx(42, rel=0.03)


@pytest.mark.parametrize("surface", [-18, -5, 4, 10])
def test_the_form_with_humidity_ratios_agrees(surface):
    # rate = coefficient / heat of air * (ratio in the room - ratio at the surface)
    there = psychrolib.GetHumRatioFromRelHum(22, 0.6, 101325)
    here = psychrolib.GetHumRatioFromRelHum(surface, 1.0, 101325)
    theirs = 8 / 1006 * (there - here) * 60_000
    found = frost(*ROOM, q(surface, "degC"), q(8, "W/m**2/K")).typical
    assert found.m_as(RATE) == pytest.approx(theirs, rel=0.08)
