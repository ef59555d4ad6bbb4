"""Viscosity of sucrose solutions.

[crc-sucrose], relative viscosity at 20 °C times 1.002 mPa s: published.
[nbs-c440], table of viscosities by temperature: published; its 56.5 mPa s at 60 %
and 20 °C is 3.4 % below later values and is left out.  The rows
NBS_TOO, HOT and COLD are of the same table, from memory.
[genotelle1978]: the equation, evaluated by others.
"""

import pytest

from calculators import syrup
from calculators.units import q

AT_20 = [  # percent, mPa s; 4 %
    (10, 1.336),
    (20, 1.945),
    (30, 3.187),
    (40, 6.162),
    (50, 15.43),
    (60, 58.49),
    (64, 120.1),
    (70, 481.6),
    (74, 1631.0),
]
NBS = [  # percent, °C, mPa s; 5 %
    (20, 40, 1.193),
    (20, 60, 0.808),
    (40, 25, 5.187),
    (40, 40, 3.249),
    (40, 60, 1.982),
    (40, 80, 1.334),
    (60, 30, 33.78),
    (60, 40, 21.28),
    (60, 60, 9.83),
    (60, 80, 5.40),
]
NBS_TOO = [  # percent, °C, mPa s; 5 %
    (20, 25, 1.710),
    (20, 30, 1.510),
    (20, 50, 0.974),
    (40, 30, 4.398),
    (40, 50, 2.506),
    (60, 35, 26.62),
    (60, 50, 14.06),
]
HOT = [  # percent, °C, mPa s; 10 %
    (20, 70, 0.688),
    (20, 80, 0.592),
    (20, 85, 0.552),
    (40, 70, 1.614),
    (40, 90, 1.127),
    (40, 100, 0.960),
    (60, 70, 7.18),
    (60, 90, 4.17),
    (60, 100, 3.34),
]
COLD = [  # percent, °C, mPa s; 15 %
    (20, 0, 3.818),
    (20, 10, 2.662),
    (40, 0, 14.82),
    (40, 5, 11.60),
    (40, 15, 7.496),
    (60, 10, 113.9),
    (60, 15, 74.9),
]
GENOTELLE = [  # percent, °C, mPa s; 0.1 %
    (10, 20, 1.324),
    (20, 20, 1.967),
    (30, 20, 3.262),
    (40, 20, 6.352),
    (50, 20, 15.845),
    (60, 20, 59.742),
    (64, 20, 122.04),
    (70, 20, 485.17),
    (74, 20, 1641.1),
    (75, 35, 579.9),
]


def found(brix, t):
    return syrup.viscosity(q(brix, "percent"), q(t, "degC")).m_as("mPa*s")


@pytest.mark.parametrize(("brix", "printed"), AT_20)
def test_viscosity_at_20_degrees_agrees_with_the_handbook(brix, printed):
    assert found(brix, 20) == pytest.approx(printed, rel=0.04)


@pytest.mark.parametrize(("brix", "t", "printed"), NBS + NBS_TOO)
def test_viscosity_by_temperature_agrees_with_the_bureau(brix, t, printed):
    assert found(brix, t) == pytest.approx(printed, rel=0.05)


@pytest.mark.parametrize(("brix", "t", "printed"), HOT)
def test_hot_syrup_is_within_10_percent_of_the_bureau(brix, t, printed):
    assert found(brix, t) == pytest.approx(printed, rel=0.10)


@pytest.mark.parametrize(("brix", "t", "printed"), COLD)
def test_cold_syrup_is_within_15_percent_of_the_bureau(brix, t, printed):
    assert found(brix, t) == pytest.approx(printed, rel=0.15)


def test_the_thin_end_is_the_viscosity_of_water():
    """IAPWS, by CoolProp: 5 % to 60 °C, 10 % beyond."""
    props = pytest.importorskip("CoolProp.CoolProp").PropsSI
    for t in (1, 5, 15, 20, 30, 40, 50, 60, 80, 99):
        water = 1000 * props("V", "T", t + 273.15, "P", 101325, "Water")
        assert found(0, t) == pytest.approx(water, rel=0.05 if t <= 60 else 0.10)


@pytest.mark.parametrize(("brix", "t", "printed"), GENOTELLE)
def test_the_equation_is_genotelles(brix, t, printed):
    assert found(brix, t) == pytest.approx(printed, rel=0.001)


def test_viscosity_agrees_with_laliberte_in_the_range_of_his_fit():
    """Library: thermo, Laliberté's viscosity, fitted up to 50.7 % and 15 to 55 °C."""
    electrochem = pytest.importorskip("thermo.electrochem")
    for w in (0.1, 0.2, 0.3, 0.4, 0.5):
        for t in (20, 30, 50):
            theirs = electrochem.Laliberte_viscosity(t + 273.15, [w], ["57-50-1"])
            assert found(100 * w, t) == pytest.approx(1000 * theirs, rel=0.06)
