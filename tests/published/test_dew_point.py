"""Dew points, and the pressures of vapour they rest on.

Source: PsychroLib 2.5 (ASHRAE Handbook, Fundamentals 2017, chapter 1); saturation
pressures of IAPWS-95 by CoolProp 8.0; over ice WMO-No. 8, and IAPWS R14-08 by iapws.  All published.
Columns: air °C, humidity %, dew point °C with 0.05 °C.
"""

import iapws
import psychrolib
import pytest
from CoolProp.CoolProp import PropsSI

from calculators.cooling import dew_point, moisture
from calculators.units import q

psychrolib.SetUnitSystem(psychrolib.SI)

ROWS = [
    (20, 50, 9.27),
    (22, 60, 13.89),
    (25, 50, 13.86),
    (25, 60, 16.70),
    (25, 80, 21.31),
    (30, 70, 23.93),
    (18, 40, 4.21),
    (4, 85, 1.71),
    (20, 30, 1.91),
]


@pytest.mark.parametrize(("air", "humidity", "expected"), ROWS)
def test_the_dew_point_agrees_with_the_table(air, humidity, expected):
    found = dew_point(q(air, "degC"), q(humidity, "percent"))
    assert found.m_as("degC") == pytest.approx(expected, abs=0.05)


@pytest.mark.parametrize("air", [2, 5, 12, 22, 35, 45])
@pytest.mark.parametrize("humidity", [5, 20, 40, 60, 80, 100])
def test_the_dew_point_agrees_with_the_library(air, humidity):
    theirs = psychrolib.GetTDewPointFromRelHum(air, humidity / 100)
    if theirs < 0:  # the library tells frost there
        return
    found = dew_point(q(air, "degC"), q(humidity, "percent"))
    assert found.m_as("degC") == pytest.approx(theirs, abs=0.06)


@pytest.mark.parametrize("humidity", [1, 20, 50, 80, 100])
@pytest.mark.parametrize("air", [51, 55, 60])
def test_the_dew_point_of_very_warm_air_is_within_a_tenth(air, humidity):
    theirs = psychrolib.GetTDewPointFromRelHum(air, humidity / 100)
    if theirs < 0:  # the library tells frost there
        return
    found = dew_point(q(air, "degC"), q(humidity, "percent"))
    assert found.m_as("degC") == pytest.approx(theirs, abs=0.1)


@pytest.mark.parametrize("celsius", [0.5, 10, 20, 25, 40, 55])
def test_the_pressure_over_water_is_within_the_formulas_error(celsius):
    # The formula is 0.31 % low between 25 and 30 °C, so 0.35 %.
    theirs = PropsSI("P", "T", celsius + 273.15, "Q", 0, "Water")
    assert moisture._over(moisture._WATER, celsius) == pytest.approx(theirs, rel=0.0035)


@pytest.mark.parametrize("celsius", [-40, -30, -20, -10, -1])
def test_the_pressure_over_ice_agrees_with_iapws(celsius):
    theirs = iapws._iapws._Sublimation_Pressure(celsius + 273.15) * 1e6
    assert moisture._over(moisture._ICE, celsius) == pytest.approx(theirs, rel=0.001)


@pytest.mark.parametrize(("celsius", "hpa"), [(-20, 1.033), (-10, 2.599)])
def test_the_pressure_over_ice_agrees_with_the_table(celsius, hpa):
    assert moisture._over(moisture._ICE, celsius) / 100 == pytest.approx(hpa, rel=0.003)
