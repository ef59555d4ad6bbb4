"""Still air on an upright wall.

Source: Churchill and Chu 1975, Int. J. Heat Mass Transfer 18, 1323, equation for all
Rayleigh numbers, with the air of CoolProp at the film temperature (published); the
library ``ht`` for the same equation and for those of others.
Columns: surface °C, room °C, height m, coefficient W/m²/K; 3 % for the equation.
"""

import ht
import pytest
from CoolProp.CoolProp import PropsSI

from calculators.cooling import natural_convection
from calculators.units import q

ROWS = [(-18, 22, 0.05, 7.38), (60, 20, 0.10, 6.13), (100, 25, 0.10, 7.07)]


@pytest.mark.parametrize(("surface", "room", "height", "expected"), ROWS)
def test_the_coefficient_agrees_with_the_table(surface, room, height, expected):
    found = natural_convection(q(surface, "degC"), q(room, "degC"), q(height, "m"))
    assert found.m_as("W/m**2/K") == pytest.approx(expected, rel=0.03)


def _library(surface, room, height, kpa, correlation):
    film = (surface + room) / 2 + 273.15
    d, v, k, pr = (
        PropsSI(letter, "T", film, "P", kpa * 1000, "Air") for letter in ("D", "V", "L", "PRANDTL")
    )
    grashof = 9.80665 * abs(surface - room) / film * height**3 * (d / v) ** 2
    return correlation(pr, grashof) * k / height


@pytest.mark.parametrize("surface", [-18, 5, 40, 60, 100])
@pytest.mark.parametrize("height", [0.02, 0.1, 0.5])
@pytest.mark.parametrize("kpa", [101.325, 77.1])
def test_the_library_of_heat_transfer_agrees(surface, height, kpa):
    theirs = _library(surface, 22, height, kpa, ht.Nu_vertical_plate_Churchill)
    ours = natural_convection(q(surface, "degC"), q(22, "degC"), q(height, "m"), q(kpa, "kPa"))
    assert ours.m_as("W/m**2/K") == pytest.approx(theirs, rel=0.02)
