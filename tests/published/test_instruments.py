"""Thermometers and scales against the rules for them.

[fda-food-code], 4-203.11: 1 °C in Celsius, 2 °F in Fahrenheit: published, read in the
copies codified by states.
[usp41]: the spread of a balance counts as no less than 0.41 of its step, the spread of
two roundings; the smallest weight is twice that over the error allowed: 820 steps for
0.1 %.  From memory.
Where water boils: ISO 2533 as in ``fluids`` and ``psychrolib``, IAPWS-95 by CoolProp
and IF-97 by ``iapws``.  Computed here by the libraries.
Columns of USP: error in %, smallest weight in steps.
"""

import math

import fluids
import iapws
import psychrolib
import pytest
from CoolProp.CoolProp import PropsSI

from calculators import instruments
from calculators.units import q

psychrolib.SetUnitSystem(psychrolib.SI)
USP = [(0.1, 820), (1, 82), (5, 16.4)]


def test_a_thermometer_for_safety_is_right_to_one_degree():
    allowed = instruments.error_for_safety()
    assert allowed.m_as("delta_degC") == 1
    assert allowed.m_as("delta_degF") == pytest.approx(2, abs=0.25)
    assert allowed < instruments.retire_from().low


@pytest.mark.parametrize(("percent", "steps"), USP)
@pytest.mark.parametrize("step", [0.01, 0.1, 1, 5])
def test_the_most_that_a_step_can_do_is_a_little_more_than_what_it_mostly_does(
    percent, steps, step
):
    # The pharmacopoeia takes twice the spread, we the whole width: 0.82 steps and 1.
    least = instruments.smallest_mass(q(step, "g"), q(percent, "percent")).m_as("g")
    assert steps * step < least < 1.25 * steps * step
    assert instruments.scale_error(q(least, "g"), q(step, "g")).m == pytest.approx(percent)


def test_the_pharmacopoeias_spread_is_that_of_two_roundings():
    assert math.sqrt(2 / 12) == pytest.approx(0.41, abs=0.005)


@pytest.mark.parametrize("metres", [-430, 0, 430, 1609, 2240, 3640, 5364, 9000])
def test_water_boils_where_two_pairs_of_libraries_say(metres):
    band = instruments.boiling_here(q(metres, "m"))
    pressure = psychrolib.GetStandardAtmPressure(metres)
    theirs = PropsSI("T", "P", pressure, "Q", 0, "Water") - 273.15
    assert band.typical.m_as("degC") == pytest.approx(theirs, abs=0.02)
    # The library's metres are geometric: 0.2 % of the pressure at 9000 m.
    pressure = fluids.ATMOSPHERE_1976(metres).P
    theirs = iapws.iapws97._TSat_P(pressure / 1e6) - 273.15
    assert band.typical.m_as("degC") == pytest.approx(theirs, abs=0.06)
