"""What water does, and what the calculators of water refuse."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators import water
from calculators.faults import FaultsError
from calculators.units import q

few = settings(max_examples=50, deadline=None)


@few
@given(st.floats(0.5, 199))
def test_boiling_under_its_own_vapour_pressure_gives_the_temperature_back(t):
    pressure = water.vapour_pressure(q(t, "degC"))
    if 1 <= pressure.m_as("kPa") <= 1000:
        assert water.boiling_point(pressure).m == pytest.approx(t, abs=1e-6)


@few
@given(st.floats(0, 199), st.floats(0.1, 1))
def test_steam_pushes_harder_when_hotter(t, more):
    cool, hot = q(t, "degC"), q(t + more, "degC")
    assert water.vapour_pressure(hot) > water.vapour_pressure(cool)


@few
@given(st.floats(0, 99), st.floats(0.1, 1))
def test_water_thins_as_it_warms(t, more):
    assert water.viscosity(q(t + more, "degC")) < water.viscosity(q(t, "degC"))


@few
@given(st.floats(-430, 8900), st.floats(1, 100))
def test_air_thins_with_height_and_water_boils_cooler(metres, more):
    low, high = (water.air_pressure(q(m, "m")) for m in (metres, metres + more))
    assert high < low
    assert water.boiling_point(high) < water.boiling_point(low)


def test_water_is_heaviest_at_4_degrees():
    at_4 = water.density(q(4, "degC"))
    assert at_4 > water.density(q(3, "degC"))
    assert at_4 > water.density(q(5, "degC"))


def test_any_unit_in_gives_the_same_answer():
    assert water.density(q(68, "degF")).m == pytest.approx(water.density().m)
    assert water.density(q(293.15, "K")).m == pytest.approx(water.density().m)
    assert water.air_pressure(q(1.6, "km")).m == pytest.approx(water.air_pressure(q(1600, "m")).m)
    assert water.boiling_point(q(1.01325, "bar")).m == pytest.approx(water.boiling_point().m)


@pytest.mark.parametrize(
    ("answer", "unit"),
    [
        (water.density(), "kg/m**3"),
        (water.viscosity(), "mPa*s"),
        (water.vapour_pressure(q(20, "degC")), "kPa"),
        (water.latent_heat(), "kJ/kg"),
        (water.air_pressure(), "kPa"),
        (water.boiling_point(), "degC"),
    ],
)
def test_answer_comes_in_its_kitchen_unit(answer, unit):
    assert answer.units == q(1, unit).units


@pytest.mark.parametrize(
    ("function", "value"),
    [
        (water.density, q(-1, "degC")),
        (water.density, q(101, "degC")),
        (water.viscosity, q(-0.1, "degC")),
        (water.vapour_pressure, q(250, "degC")),
        (water.latent_heat, q(-0.1, "degC")),
        (water.air_pressure, q(10, "km")),
        (water.boiling_point, q(0, "kPa")),
    ],
)
def test_what_is_out_of_range_is_refused_with_the_limit(function, value):
    with pytest.raises(FaultsError, match=r"out of range .*It must be from"):
        function(value)


def test_a_kilowatt_needs_the_latent_heat_of_the_steam_tables_and_no_less():
    """IAPWS (CoolProp): 2256.5 kJ/kg at 100 °C, so 1 kg takes 2256.5 s at 1 kW."""
    time = water.time_to_boil_off(q(1, "kg"), q(1, "kW"))
    assert time.m_as("s") == pytest.approx(2256.5, rel=0.001)
    assert water.time_to_boil_off(q(1000, "g"), q(1000, "W")) == time


@few
@given(st.floats(1, 5000), st.floats(100, 5000), st.floats(0, 4000))
def test_twice_the_water_takes_twice_as_long_and_twice_the_power_half(g, w, m):
    mass, power, here = q(g, "g"), q(w, "W"), q(m, "m")
    once = water.time_to_boil_off(mass, power, here).m
    assert water.time_to_boil_off(2 * mass, power, here).m == pytest.approx(2 * once)
    assert water.time_to_boil_off(mass, 2 * power, here).m == pytest.approx(once / 2)


def test_a_hob_without_power_is_refused():
    with pytest.raises(FaultsError, match="power"):
        water.time_to_boil_off(q(1, "kg"), q(0, "W"))
