"""Viscosity of sugars, of two together, and of corn syrup.

[crc-aqueous2021] at 20 °C: published.  Sucrose in an older handbook table: published.
Corn syrup of 77 % solids: a laboratory's fit for a model fluid, from 23.5 to 46 °C, its
dextrose equivalent not told: published; 42 is taken.  [telis2007] at 45 °C: published.
"""

import math

import pytest

from calculators import mixture
from calculators.glucose import Syrup
from calculators.mixture import Mixture, Tub
from calculators.units import q

HANDBOOK = [  # sugar, percent, mPa s, share
    ("glucose", 40, 5.493, 0.05),
    ("glucose", 60, 37.45, 0.05),
    ("maltose", 40, 6.926, 0.06),
    ("maltose", 56, 38.23, 0.06),
    ("fructose", 40, 5.046, 0.05),
    ("fructose", 44, 6.644, 0.05),
    ("fructose", 48, 9.06, 0.05),
    ("lactose", 15, 1.657, 0.03),
    ("lactose", 18, 1.869, 0.03),
    ("sucrose", 70, 481.6, 0.03),
]
WARM = [(40, 21.28), (80, 5.40), (100, 3.34)]  # sucrose of 60 %: °C, mPa s; 3 %


def flows(percent, sugars, celsius=20.0):
    made = Mixture(
        q(100 - percent, "g"), {n: q(percent * share, "g") for n, share in sugars.items()}
    )
    return mixture.viscosity(made, q(celsius, "degC"))


@pytest.mark.parametrize(("sugar", "percent", "printed", "share"), HANDBOOK)
def test_a_sugar_flows_as_the_handbook_says(sugar, percent, printed, share):
    assert flows(percent, {sugar: 1}).typical.m == pytest.approx(printed, rel=share)


@pytest.mark.parametrize(("celsius", "printed"), WARM)
def test_warm_sucrose_flows_as_the_older_table_says(celsius, printed):
    assert flows(60, {"sucrose": 1}, celsius).typical.m == pytest.approx(printed, rel=0.03)


def test_two_sugars_flow_as_the_mean_of_their_logarithms():
    """58.49 and 37.45 mPa s of the handbook, half and half: 46.8."""
    found = flows(60, {"sucrose": 0.5, "glucose": 0.5})
    assert found.typical.m == pytest.approx(math.sqrt(58.49 * 37.45), rel=0.15)
    assert q(46.8, "mPa*s") in found


@pytest.mark.parametrize(("celsius", "printed"), [(25, 6.06), (30, 3.88)])
def test_corn_syrup_flows_as_the_laboratory_says(celsius, printed):
    dry = Syrup(q(42, "percent"), q(77, "percent"))
    found = mixture.viscosity(
        Mixture(q(1e-6, "g"), tubs=[Tub(q(100, "g"), dry)]), q(celsius, "degC")
    )
    assert found.typical.m_as("Pa*s") == pytest.approx(printed, rel=0.4)


@pytest.mark.parametrize(("percent", "printed"), [(50, 3.65), (60, 8.0)])
def test_warm_glucose_is_thicker_than_one_laboratory_found(percent, printed):
    """By a third: its row of 10 % lies below what water allows, so it is not followed."""
    found = flows(percent, {"glucose": 1}, 45)
    assert printed < found.typical.m < 1.5 * printed
