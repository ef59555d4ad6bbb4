"""Water against the reference equations of IAPWS.

Libraries: CoolProp (IAPWS-95, viscosity 2008) and iapws (IF-97).  Beside them the
printed values of the steam tables: latent heat at five temperatures, published; and
rows of the handbooks' tables of water, from memory.
"""

import pytest

from calculators import water
from calculators.units import q

LATENT = [
    (0, 2500.9),
    (0.01, 2500.9),
    (20, 2453.5),
    (60, 2357.7),
    (100, 2256.4),
    (110, 2229.6),
]
# °C: kg/m³, mPa s, kPa, kJ/kg, as handbooks print them; from memory
HANDBOOK = [
    (0, 999.84, 1.792, 0.6112, 2500.9),
    (10, 999.70, 1.306, 1.2282, 2477.2),
    (25, 997.05, 0.890, 3.1699, 2441.7),
    (40, 992.22, 0.653, 7.3849, 2406.0),
    (50, 988.04, 0.547, 12.352, 2381.9),
    (75, 974.84, 0.378, 38.595, 2320.6),
    (90, 965.31, 0.314, 70.182, 2282.5),
    (100, 958.37, 0.282, 101.42, 2256.4),
]
MAGNUS = [  # °C, hPa: WMO-No. 8 annex 4.B, over water; within 0.35 %
    (10, 12.282),
    (20, 23.393),
    (25, 31.699),
    (40, 73.849),
]


@pytest.mark.parametrize(("t", "printed"), LATENT)
def test_latent_heat_agrees_with_the_steam_tables(t, printed):
    assert water.latent_heat(q(t, "degC")).m == pytest.approx(printed, abs=1)


@pytest.mark.parametrize(("t", "rho", "mu", "p", "heat"), HANDBOOK)
def test_each_row_of_the_handbook_is_met(t, rho, mu, p, heat):
    there = q(t, "degC")
    assert water.density(there).m == pytest.approx(rho, abs=0.02)
    assert water.viscosity(there).m == pytest.approx(mu, rel=0.01)
    assert water.vapour_pressure(there).m == pytest.approx(p, rel=0.001)
    assert water.latent_heat(there).m == pytest.approx(heat, rel=0.001)


@pytest.mark.parametrize(("t", "printed"), MAGNUS)
def test_vapour_pressure_agrees_with_the_weather_service(t, printed):
    found = water.vapour_pressure(q(t, "degC")).m_as("hPa")
    assert found == pytest.approx(printed, rel=0.0035)


@pytest.mark.parametrize("t", range(1, 100, 7))
def test_liquid_water_agrees_with_iapws_95(t):
    props = pytest.importorskip("CoolProp.CoolProp").PropsSI
    there = q(t, "degC")
    rho = props("D", "T", t + 273.15, "P", 101325, "Water")
    mu = props("V", "T", t + 273.15, "P", 101325, "Water")
    assert water.density(there).m == pytest.approx(rho, abs=0.02)
    assert water.viscosity(there).m_as("Pa*s") == pytest.approx(mu, rel=0.001)


@pytest.mark.parametrize("t", [0.01, 5, 20, 60, 90, 100, 115, 130, 160, 200])
def test_saturation_agrees_with_iapws_95_and_if_97(t):
    props = pytest.importorskip("CoolProp.CoolProp").PropsSI
    iapws = pytest.importorskip("iapws")
    kelvin, there = t + 273.15, q(t, "degC")
    p = props("P", "T", kelvin, "Q", 0, "Water")
    heat = props("H", "T", kelvin, "Q", 1, "Water") - props("H", "T", kelvin, "Q", 0, "Water")
    assert water.vapour_pressure(there).m_as("Pa") == pytest.approx(p, rel=2e-4)
    assert water.latent_heat(there).m_as("J/kg") == pytest.approx(heat, rel=3e-4)
    theirs = iapws.iapws97._PSat_T(kelvin)
    assert water.vapour_pressure(there).m_as("MPa") == pytest.approx(theirs, rel=5e-4)


@pytest.mark.parametrize("kilopascal", [1, 2, 20, 70.109, 84, 101.325, 150, 200, 900, 1000])
def test_boiling_point_agrees_with_iapws_95(kilopascal):
    props = pytest.importorskip("CoolProp.CoolProp").PropsSI
    theirs = props("T", "P", kilopascal * 1000, "Q", 0, "Water") - 273.15
    found = water.boiling_point(q(kilopascal, "kPa")).m
    assert found == pytest.approx(theirs, abs=0.01)


@pytest.mark.parametrize("metres", [-430, -300, 0, 500, 1600, 2250, 3000, 5000, 8800, 9000])
def test_air_pressure_agrees_with_two_libraries(metres):
    fluids = pytest.importorskip("fluids")
    psychrolib = pytest.importorskip("psychrolib")
    psychrolib.SetUnitSystem(psychrolib.SI)
    found = water.air_pressure(q(metres, "m")).m_as("Pa")
    assert found == pytest.approx(fluids.ATMOSPHERE_1976(metres).P, rel=2e-3)
    theirs = psychrolib.GetStandardAtmPressure(metres)
    assert found == pytest.approx(theirs, rel=2e-4)
