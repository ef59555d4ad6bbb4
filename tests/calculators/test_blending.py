"""Blending: properties, limits and wording."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators import blending as b
from calculators.faults import FaultsError
from calculators.units import q, unit

GLAZE = q(1300, "kg/m**3")
few = settings(max_examples=50, deadline=None)
small = st.floats(0.02, 0.8)
thick = st.floats(1, 50)
surfaces = st.sampled_from(["rigid", "clean"])


@few
@given(small, thick, surfaces)
def test_the_smallest_bubble_cleared_is_the_one_whose_time_it_is(mm, pas, surface):
    rest = b.time_to_clear(q(10, "cm"), q(mm, "mm"), q(pas, "Pa*s"), GLAZE, surface)
    if rest.m > 14400:
        return
    left = b.smallest_cleared(q(10, "cm"), rest, q(pas, "Pa*s"), GLAZE, surface)
    assert left.m_as("mm") == pytest.approx(mm, rel=1e-9)


@few
@given(small, thick, surfaces)
def test_the_viscosity_comes_back_from_the_bubble(mm, pas, surface):
    speed = b.rise_speed(q(mm, "mm"), q(pas, "Pa*s"), GLAZE, surface)
    found = b.viscosity_from_bubble(q(mm, "mm"), speed, GLAZE, surface)
    assert found.m_as("Pa*s") == pytest.approx(pas, rel=1e-9)


@few
@given(small, thick)
def test_twice_the_size_is_four_times_the_speed(mm, pas):
    one = b.rise_speed(q(mm, "mm"), q(pas, "Pa*s"), GLAZE)
    two = b.rise_speed(q(2 * mm, "mm"), q(pas, "Pa*s"), GLAZE)
    assert (two / one).m_as("") == pytest.approx(4)


def test_another_unit_gives_the_same_answer():
    ours = b.rise_speed(q(500, "um"), q(2000, "mPa*s"), q(1.3, "g/ml"))
    same = b.rise_speed(q(0.5, "mm"), q(2, "Pa*s"), GLAZE)
    assert ours.units == unit("mm/s")
    assert ours.m == pytest.approx(same.m)


def test_a_bubble_too_fast_for_the_law_is_refused():
    with pytest.raises(FaultsError, match="too fast for Stokes' law") as error:
        b.rise_speed(q(1, "mm"), q(1, "mPa*s"), q(1000, "kg/m**3"))
    assert "Reynolds number must be at most 1" in str(error.value)


def test_a_bubble_too_large_to_stay_round_is_refused():
    with pytest.raises(FaultsError, match="too large to stay round"):
        b.rise_speed(q(3, "mm"), q(10, "Pa*s"), GLAZE)


def test_all_bad_arguments_are_told_at_once():
    with pytest.raises(FaultsError) as error:
        b.rise_speed(1, q(1, "g"), q(1300, "g"), "greasy")
    assert len(error.value.faults) == 4


@pytest.mark.parametrize(
    ("stress", "verdict"),
    [(2, "held"), (0.4, "in doubt"), (0.1, "rises"), (0, "rises")],
)
def test_the_verdict_on_a_half_millimetre_bubble(stress, verdict):
    held = b.held_by_yield_stress(q(0.5, "mm"), q(stress, "Pa"), GLAZE)
    assert held.verdict == verdict


def test_a_verdict_within_a_factor_of_two_says_that_it_is_not_sure():
    near = b.held_by_yield_stress(q(0.5, "mm"), q(0.6, "Pa"), GLAZE)
    assert "though not by a factor of two" in str(near)
    far = b.held_by_yield_stress(q(0.5, "mm"), q(1, "Pa"), GLAZE)
    assert "though" not in str(far)


@few
@given(st.floats(0, 0.6), st.floats(50, 1000))
def test_the_air_put_in_is_the_air_found(share, grams):
    found = b.air_fraction(q(grams * (1 - share), "g"), q(grams, "g"))
    assert found.m_as("percent") == pytest.approx(100 * share, abs=1e-9)


def test_densities_serve_as_well_as_cups():
    cups = b.air_fraction(q(0.27, "kg"), q(300, "g"))
    densities = b.air_fraction(q(1.08, "kg/l"), q(1200, "kg/m**3"))
    assert cups.m_as("percent") == pytest.approx(10)
    assert densities.m_as("percent") == pytest.approx(10)


def test_a_mass_beside_a_density_is_refused():
    with pytest.raises(FaultsError, match="a mass beside a density"):
        b.air_fraction(q(270, "g"), q(1.2, "kg/l"))


def test_a_cup_heavier_than_without_air_is_refused():
    with pytest.raises(FaultsError, match="See whether the two are swapped"):
        b.air_fraction(q(310, "g"), q(300, "g"))


def test_a_length_is_no_cup():
    with pytest.raises(FaultsError, match="a mass is wanted"):
        b.air_fraction(q(3, "cm"), q(300, "g"))


def test_the_blender_warms_by_the_energy_balance():
    # 300 W for 60 s into 1.2 kg at 3.0 kJ/kg/K: 18 kJ over 3.6 kJ/K.
    given = (q(300, "W"), q(1, "min"), q(1200, "g"), q(3000, "J/kg/K"))
    assert b.temperature_rise(*given).m_as("delta_degC") == pytest.approx(5.0, abs=0.01)
    half = b.temperature_rise(*given, q(50, "percent"))
    assert half.m_as("delta_degC") == pytest.approx(2.5, abs=0.01)


def test_the_smallest_batch_is_the_cylinder_over_the_guard():
    batch = b.smallest_batch(q(100, "mm"), q(4, "cm"), q(1, "cm"), q(1.2, "kg/l"))
    assert batch.volume.m_as("cm**3") == pytest.approx(math.pi * 25 * 5)
    assert batch.mass.m_as("g") == pytest.approx(math.pi * 25 * 5 * 1.2)
    deep = b.depth_in_jug(batch.mass, q(10, "cm"), q(1.2, "kg/l"))
    assert deep.m_as("cm") == pytest.approx(batch.depth.m_as("cm"))
