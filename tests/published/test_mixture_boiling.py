"""Boiling of mixtures, beside water, sucrose and milk.

Water under the standard atmosphere: the reference equations of IAPWS through CoolProp.
Sucrose in water: rise = 1.78 x + 6.22 x² for a mass fraction x (Geankoplis 1983), good
below 60 %: published, and of the old tables.  A caramel cooked to 10 or 12 % of water, one sentence of a study
that is not identified: published; its sugars and its height are taken, as told below.
Milk concentrate: table in an encyclopaedia (Hui), published; its rows below 30 % are
rounded up and not used.
"""

import pytest
from CoolProp.CoolProp import PropsSI

from calculators import mixture, water
from calculators.glucose import Syrup
from calculators.mixture import Mixture, Tub
from calculators.units import q


@pytest.mark.parametrize("altitude", [0, 430, 1450, 3640])
def test_water_without_sugar_boils_as_water_does(altitude):
    pressure = water.air_pressure(q(altitude, "m"))
    found = mixture.boiling_point(Mixture(q(100, "g")), q(altitude, "m"))
    wanted = PropsSI("T", "P", pressure.m_as("Pa"), "Q", 0, "Water") - 273.15
    for end in (found.low, found.typical, found.high):
        assert end.m == pytest.approx(wanted, abs=0.02)


@pytest.mark.parametrize("percent", [20, 30, 40, 50])
def test_the_textbook_rule_for_sucrose_follows_the_old_tables_and_lies_above(percent):
    """It gives 1.09 K at 30 %, where Raoult's law has 0.64 K; Browne 1912 has 1.0 K."""
    x = percent / 100
    found = mixture.boiling_point(Mixture(q(100 - percent, "g"), {"sucrose": q(percent, "g")}))
    rule = 1.78 * x + 6.22 * x * x
    assert 0.1 < rule - (found.typical.m - 99.974) < 0.65


def caramel(percent, de):
    """Sucrose 38 : syrup solids 46 : lactose 16, fat 14 % and protein 5 %: all assumed."""
    sugars = 100 - percent - 14 - 5
    return Mixture(
        q(percent, "g"),
        {"sucrose": q(0.38 * sugars, "g"), "lactose": q(0.16 * sugars, "g")},
        [Tub(q(0.46 * sugars, "g"), Syrup(q(de, "percent"), q(100, "percent")))],
        beside=q(19, "g"),
    )


def cooked(percent, de=42):
    return mixture.boiling_point(caramel(percent, de), q(270, "m"))


@pytest.mark.parametrize(("percent", "printed"), [(10, 116.7), (12, 113.3)])
def test_a_caramel_is_cooked_to_the_temperature_of_the_study(percent, printed):
    assert cooked(percent).typical.m == pytest.approx(printed, abs=3)


def test_a_finer_syrup_makes_the_same_caramel_boil_hotter():
    rise = cooked(10, 62).typical.m - cooked(10).typical.m
    assert rise == pytest.approx(1.1, abs=0.7)


def test_concentrated_milk_boils_where_the_encyclopaedia_says():
    """69 % of solids not fat: 4 K above water, a little of it from the salts."""
    milk = Mixture(q(31, "g"), milk_solids=q(69, "g"))
    assert mixture.boiling_point(milk).typical.m - 99.974 == pytest.approx(4, abs=1.2)


def test_the_pan_reads_back_what_is_left_in_it():
    for percent in (60, 69, 75, 85):
        pan = Mixture(q(100 - percent, "g"), {"sucrose": q(percent, "g")})
        reading = mixture.boiling_point(pan).typical
        left = mixture.left_at_boiling(Mixture(q(500, "g"), pan.sugars), reading)
        assert left.strength.typical.m == pytest.approx(percent, abs=1e-6)
        assert left.water.low < left.water.typical < left.water.high
