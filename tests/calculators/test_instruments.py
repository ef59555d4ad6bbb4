"""A thermometer put right by two readings, and a scale as good as its step."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators import instruments, water
from calculators.faults import FaultsError
from calculators.sources import bibliography, records
from calculators.units import COMMON_PRACTICE, FROM_MEMORY, PUBLISHED, q

C = "degC"
modest = settings(max_examples=50, deadline=None)
ice = st.floats(-5, 5)
boiling = st.floats(92, 104)
hot = st.floats(-20, 160)


def true(shown, in_ice, in_boiling, boils_at=100.0):
    return instruments.true_temperature(
        q(shown, C), q(in_ice, C), q(in_boiling, C), q(boils_at, C)
    ).m


# --- the thermometer ----------------------------------------------------------------


@pytest.mark.parametrize(
    ("altitude", "boils"),
    # Standard atmosphere and the reference equation of state for water (IAPWS).
    [(500, 98.31), (1000, 96.65), (1500, 94.98), (2000, 93.32), (3000, 89.97)],
)
def test_water_boils_where_the_reference_tables_say(altitude, boils):
    assert instruments.boiling_here(q(altitude, "m")).typical.m == pytest.approx(boils, abs=0.05)


def test_the_weather_moves_the_boiling_point_as_the_steam_tables_say():
    """99.3 kPa and 103.35 kPa, from the equations of another library."""
    iapws = pytest.importorskip("iapws.iapws97")
    here = instruments.boiling_here(q(0, "m"))
    assert here.low.m == pytest.approx(iapws._TSat_P(0.98 * 0.101325) - 273.15, abs=0.05)
    assert here.high.m == pytest.approx(iapws._TSat_P(1.02 * 0.101325) - 273.15, abs=0.05)
    assert here.provenance == FROM_MEMORY


def test_a_thermometer_that_is_right_at_both_ends_needs_no_correction():
    for shown in (0.0, 34.0, 98.5, 118.0):
        assert true(shown, 0, 98.5, 98.5) == pytest.approx(shown)


def test_a_line_worked_by_hand_comes_out():
    # In ice 1, boiling 99: 98 marks for 100 degrees.  25 shown is 24 marks up.
    assert true(25, 1, 99) == pytest.approx(24 * 100 / 98)
    # Out by 2 everywhere: take 2 off everywhere.
    assert true(36, 2, 102) == pytest.approx(34)


@modest
@given(ice, boiling)
def test_the_two_fixed_points_come_out_as_they_are(in_ice, in_boiling):
    assert true(in_ice, in_ice, in_boiling, 97.3) == pytest.approx(0, abs=1e-9)
    assert true(in_boiling, in_ice, in_boiling, 97.3) == pytest.approx(97.3)


@modest
@given(hot, ice, boiling)
def test_what_it_must_show_is_the_correction_turned_round(temperature, in_ice, in_boiling):
    given_ = (q(in_ice, C), q(in_boiling, C), q(98, C))
    shown = instruments.reading_for(q(temperature, C), *given_)
    back = instruments.true_temperature(shown, *given_)
    assert back.m == pytest.approx(temperature, abs=1e-9)


@modest
@given(hot, hot, ice, boiling)
def test_a_higher_reading_is_a_higher_temperature(a, b, in_ice, in_boiling):
    if a < b - 0.01:
        assert true(a, in_ice, in_boiling) < true(b, in_ice, in_boiling)


def test_fahrenheit_in_gives_the_same_answer():
    celsius = instruments.true_temperature(q(50, C), q(1, C), q(99, C))
    other = instruments.true_temperature(q(122, "degF"), q(33.8, "degF"), q(210.2, "degF"))
    assert other.m == pytest.approx(celsius.m)
    assert str(other.units) == "degree_Celsius"


def test_a_broken_thermometer_is_refused_and_not_corrected():
    with pytest.raises(FaultsError) as told:
        true(50, 0, 85, 98.5)
    assert "85 °C" in str(told.value)
    assert "98.5 °C" in str(told.value)
    assert "out of use" in str(told.value)
    assert str(told.value).startswith("true_temperature, in_boiling:")
    with pytest.raises(FaultsError, match=r"^reading_for, in_boiling: is too far"):
        instruments.reading_for(q(50, C), q(0, C), q(85, C))


@pytest.mark.parametrize("metres", [-430, 0, 9000])
def test_where_water_boils_at_the_ends_of_the_world_can_be_given_on(metres):
    here = instruments.boiling_here(q(metres, "m"))
    for boils in (here.low, here.typical, here.high):
        assert true(boils.m, 0, boils.m, boils.m) == pytest.approx(boils.m)


def test_readings_that_no_thermometer_gives_are_all_told_at_once():
    with pytest.raises(FaultsError) as told:
        true(500, 30, 20)
    assert len(told.value.faults) == 3


# --- the scale ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("mass", "step", "percent"),
    [(3, 1, 100 / 3), (300, 1, 1 / 3), (3, 0.1, 10 / 3), (50, 5, 10)],
)
def test_the_error_is_the_step_shared_over_the_mass(mass, step, percent):
    assert instruments.scale_error(q(mass, "g"), q(step, "g")).m == pytest.approx(percent)


@modest
@given(st.floats(0.5, 5000), st.sampled_from([0.01, 0.1, 1.0, 5.0]))
def test_no_weighing_on_a_rounding_scale_is_further_out_than_the_error(mass, step):
    """Tare is rounded to the step, then the load: half a step each at the most."""
    tare = 123.456789
    shown = round((tare + mass) / step) * step - round(tare / step) * step
    allowed = instruments.scale_error(q(mass, "g"), q(step, "g")).m_as("") * mass
    assert abs(shown - mass) <= allowed * (1 + 1e-6) + 1e-6


def test_kilograms_in_give_the_same_answer():
    here = instruments.scale_error(q(0.003, "kg"), q(1000, "mg"))
    assert here.m == pytest.approx(100 / 3)


@pytest.mark.parametrize(("mass", "step"), [(0, 1), (3, 0), (-1, 1)])
def test_a_mass_or_step_of_nought_is_refused(mass, step):
    with pytest.raises(FaultsError):
        instruments.scale_error(q(mass, "g"), q(step, "g"))


# --- the table ----------------------------------------------------------------------------


def test_what_nobody_published_is_a_band():
    for row in records("instruments"):
        if row["provenance"] in (FROM_MEMORY, COMMON_PRACTICE):
            assert float(row["low"]) < float(row["value"]) < float(row["high"])
        else:
            assert (row["provenance"], row["source"] in bibliography()) == (
                PUBLISHED,
                True,
            )
    for band in (instruments.retire_from(), instruments.error_allowed()):
        assert band.low < band.typical < band.high


def test_the_typical_boiling_point_is_that_of_the_water_module():
    for altitude in (0, 430, 2250):
        pressure = water.air_pressure(q(altitude, "m"))
        here = instruments.boiling_here(q(altitude, "m"))
        assert here.typical.m == pytest.approx(water.boiling_point(pressure).m)
        assert here.typical in here
