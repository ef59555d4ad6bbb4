"""Forty points that no table or constant of the house was made or chosen with.

Sources: Antokolskaya and others 1964, sucrose that water holds, as [mohos2010] prints it
(table A2.2, the rows between those of Herzfeld); a table of a maker of sugar machines, the
same in kg for each kg of water; Browne 1912 between the rows that the house holds, as
reprinted; osmotic coefficients of physiological solutions; the heat carrier of glycerol and
water of CoolProp (Melinder); the standard atmosphere of fluids with IAPWS-95.  Published.
"""

import math

import pytest
from CoolProp.CoolProp import PropsSI
from fluids.atmosphere import ATMOSPHERE_1976

from calculators import mixture, syrup, water
from calculators.mixture import Mixture
from calculators.units import q

HELD = [  # °C, g of sucrose in 100 g of water; the house promises 2.5 %
    (5, 184.7),
    (15, 197.0),
    (35, 228.4),
    (40, 238.1),
    (45, 248.7),
    (55, 273.1),
    (65, 302.9),
    (75, 339.9),
    (85, 386.8),
    (95, 448.6),
]
HELD_IN_KG = [(0, 1.812), (20, 2.007), (40, 2.358), (60, 2.894), (80, 3.704), (100, 4.844)]
BROWNE = [  # percent, °C above water
    (62, 3.4),
    (64, 4.0),
    (68, 5.6),
    (72, 7.4),
    (74, 8.4),
    (78, 10.6),
    (82, 13.9),
]
OSMOTIC = [  # 0.29 mol in a kilogram of water
    ("glucose", 180.16, 1.01),
    ("sucrose", 342.30, 1.02),
    ("maltose", 342.30, 1.01),
    ("lactose", 342.30, 1.01),
]
HEIGHTS = [250, 800, 1900, 2750, 3640, 4200]  # m


def held(t):
    return syrup.sugar_per_water(syrup.solubility(q(t, "degC"))).m_as("g/kg")


@pytest.mark.parametrize(("t", "printed"), HELD)
def test_water_holds_as_much_sucrose_as_a_third_table_prints(t, printed):
    assert held(t) / 10 == pytest.approx(printed, rel=0.025)


@pytest.mark.parametrize(("t", "printed"), HELD_IN_KG)
def test_water_holds_as_much_sucrose_as_machine_makers_count_on(t, printed):
    assert held(t) / 1000 == pytest.approx(printed, rel=0.02)


@pytest.mark.parametrize(("percent", "printed"), BROWNE)
def test_the_old_table_is_met_between_its_rows(percent, printed):
    boils = syrup.boiling_point(q(percent, "percent"), q(0, "m"), syrup.BROWNE)
    rise = (boils - syrup.boiling_point(q(0, "percent"))).m_as("delta_degC")
    assert rise == pytest.approx(printed, abs=0.3)


@pytest.mark.parametrize(("sugar", "molar_mass", "coefficient"), OSMOTIC)
def test_a_weak_sugar_leaves_the_water_that_its_osmotic_coefficient_says(
    sugar, molar_mass, coefficient
):
    weak = Mixture(q(1000, "g"), {sugar: q(0.29 * molar_mass, "g")})
    told = math.exp(-0.018015 * 0.29 * coefficient)
    assert mixture.water_activity(weak).typical.m == pytest.approx(told, abs=2e-4)


@pytest.mark.parametrize("percent", [15, 25, 35])
def test_glycerol_freezes_near_the_heat_carrier(percent):
    found = mixture.freezing_point(
        Mixture(q(100 - percent, "g"), {"glycerol": q(percent, "g")})
    ).typical.m
    theirs = PropsSI("T_freeze", "T", 300, "P", 101325, f"INCOMP::MGL[{percent / 100}]")
    assert found == pytest.approx(theirs - 273.15, rel=0.1)


@pytest.mark.parametrize("percent", [20, 40, 50])
def test_glycerol_flows_like_the_heat_carrier(percent):
    made = Mixture(q(100 - percent, "g"), {"glycerol": q(percent, "g")})
    found = mixture.viscosity(made, q(20, "degC")).typical.m_as("Pa*s")
    theirs = PropsSI("V", "T", 293.15, "P", 101325, f"INCOMP::MGL[{percent / 100}]")
    assert found == pytest.approx(theirs, rel=0.08)


@pytest.mark.parametrize("height", HEIGHTS)
def test_water_boils_at_a_height_as_the_two_libraries_say(height):
    theirs = PropsSI("T", "P", ATMOSPHERE_1976(height).P, "Q", 0, "Water") - 273.15
    found = water.boiling_point(water.air_pressure(q(height, "m")))
    assert found.m_as("degC") == pytest.approx(theirs, abs=0.02)


def test_a_boiled_sweet_of_ninety_percent_boils_near_the_textbook():
    """A textbook of the trade says about 125 °C; old tables say 128, modern data 122."""
    assert syrup.boiling_point(q(90, "percent")).m_as("degC") == pytest.approx(125, abs=4)
