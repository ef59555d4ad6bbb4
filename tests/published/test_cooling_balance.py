"""Balances of heat worked by hand.

Source: closed forms (from memory, exact): a lumped body, mixing, the pot that does
not keep one temperature.  Rows as in the notes of the course's check values.
"""

import pytest

from calculators.cooling import time_constant, time_to
from calculators.units import q


def test_a_kilogram_takes_194_and_a_half_minutes_from_80_to_32():
    # 1 kg, 2900 J/kg/K, 0.4 W/K, room 20 °C.
    pace = time_constant(q(1, "kg"), q(2900, "J/kg/K"), q(0.04, "m**2"), q(10, "W/m**2/K"))
    found = time_to(q(32, "degC"), q(80, "degC"), q(20, "degC"), pace)
    assert found.m_as("min") == pytest.approx(194.5, abs=0.1)
