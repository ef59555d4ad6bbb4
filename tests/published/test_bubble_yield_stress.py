"""The yield stress that holds a bubble, in both conventions.

Source: Beris, Tsamopoulos, Armstrong and Brown 1985, J. Fluid Mech. 158, 219,
abstract: a sphere falls only where the critical yield number is below 0.143
(published; that the number is 3 tau / (drho g d) is from memory); for the bubble
Tsamopoulos and others 2008 (from memory).
Columns: diameter mm, critical stress as a sphere Pa, as a bubble Pa, at 1300 kg/m³
and g = 9.81 m/s².
"""

import pytest

from calculators.blending import held_by_yield_stress
from calculators.units import q

GLAZE = q(1300, "kg/m**3")
ROWS = [(0.5, 0.304, 0.456), (1.0, 0.608, 0.912), (2.0, 1.216, 1.824)]


@pytest.mark.parametrize(("mm", "sphere", "bubble"), ROWS)
def test_both_conventions_agree_with_the_table(mm, sphere, bubble):
    held = held_by_yield_stress(q(mm, "mm"), q(1, "Pa"), GLAZE)
    assert held.as_sphere.m_as("Pa") == pytest.approx(sphere, rel=0.01)
    assert held.as_bubble.m_as("Pa") == pytest.approx(bubble, rel=0.01)


def test_the_yield_number_of_beris_comes_back():
    held = held_by_yield_stress(q(1, "mm"), q(1, "Pa"), GLAZE)
    number = 3 * held.as_sphere.m_as("Pa") / (1300 * 9.80665 * 0.001)
    assert number == pytest.approx(0.143, abs=0.001)
