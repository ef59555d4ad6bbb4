"""Balances of heat worked by hand.

Source: closed forms (from memory, exact): a lumped body, mixing, the pot that does
not keep one temperature.  Rows as in the notes of the course's check values.
"""

import pytest

from calculators.cooling import biot_number, mixed_temperature, time_constant, time_to
from calculators.units import q


def test_a_kilogram_takes_194_and_a_half_minutes_from_80_to_32():
    # 1 kg, 2900 J/kg/K, 0.4 W/K, room 20 °C.
    pace = time_constant(q(1, "kg"), q(2900, "J/kg/K"), q(0.04, "m**2"), q(10, "W/m**2/K"))
    found = time_to(q(32, "degC"), q(80, "degC"), q(20, "degC"), pace)
    assert found.m_as("min") == pytest.approx(194.5, abs=0.1)


def test_syrup_and_chocolate_meet_at_71_degrees():
    parts = [
        (q(500, "g"), q(3.0, "kJ/kg/K"), q(85, "degC")),
        (q(200, "g"), q(2.0, "kJ/kg/K"), q(20, "degC")),
    ]
    assert mixed_temperature(parts).m_as("degC") == pytest.approx(71.32, abs=0.02)


def test_a_pot_that_stands_still_has_more_than_one_temperature():
    # 10 W/m²/K, 3 cm of volume by area, 0.4 W/m/K: 0.75.
    pot = biot_number(q(10, "W/m**2/K"), q(1200, "ml"), q(400, "cm**2"))
    assert pot.m_as("") == pytest.approx(0.75)
