"""Thawing: limits, a balance, and directions."""

from bisect import bisect
from itertools import pairwise

import pytest

from calculators.faults import FaultsError
from calculators.thaw import _Body, _enthalpy, heat_between, ice, thaw
from calculators.units import q

CAKE = q(18, "cm"), q(4.5, "cm")
COLD = q(-18, "degC")


def _hours(*, size=CAKE, cake=COLD, **more):
    return thaw(*size, cake, **more).time.typical.m


def test_no_ice_above_the_freezing_point_and_more_the_colder():
    assert ice(q(-1, "degC")).m == 0
    seen = [ice(q(-t, "degC")).m for t in range(4, 40)]
    assert all(a < b for a, b in pairwise(seen))
    assert seen[-1] < 55


def test_heat_is_the_same_in_one_way_or_in_many():
    whole = heat_between(q(-30, "degC"), q(10, "degC")).m
    parts = sum(heat_between(q(t, "degC"), q(t + 5, "degC")).m for t in range(-30, 10, 5))
    assert parts == pytest.approx(whole)


def test_heat_is_what_its_slope_adds_up_to():
    # The slope by differences never falls below that of dry solids and ice.
    slopes = [
        (_enthalpy(t / 10 + 0.05, -3, 0.55) - _enthalpy(t / 10, -3, 0.55)) / 0.05
        for t in range(-300, 100)
    ]
    assert min(slopes) > 0.45 * 1700 + 0.55 * 2000
    assert slopes.index(max(slopes)) == 269  # just below the freezing point


def test_the_heat_has_no_step_at_the_freezing_point():
    below, above = _enthalpy(-3 - 1e-9, -3, 0.55), _enthalpy(-3, -3, 0.55)
    assert below == pytest.approx(above, abs=0.01)


def test_without_ice_and_without_inner_resistance_it_is_newton_s_law():
    from calculators.cooling import temperature_after

    body = _Body(8, 1e-9, 0.3, 20, 20)
    heat = heat_between(q(1, "degC"), q(2, "degC")).m  # kJ/kg/K
    pace = 20 * heat * 1000 / 8
    seconds = body.seconds(1, 15, -3, 0.55)
    simple = temperature_after(q(seconds, "s"), q(1, "degC"), q(20, "degC"), q(pace, "s"))
    assert simple.m == pytest.approx(15, abs=0.05)


@pytest.mark.parametrize(
    ("slow", "quick"),
    [
        ({"place": "boxed"}, {"place": "still fridge"}),
        ({"place": "still fridge"}, {"place": "moving fridge"}),
        ({"size": (q(22, "cm"), q(6, "cm"))}, {}),
        ({}, {"size": (q(7, "cm"), q(4, "cm"))}),
        ({"cake": q(-30, "degC")}, {}),
        ({"fridge": q(4, "degC")}, {"fridge": q(7, "degC")}),
        ({"target": q(3, "degC")}, {"target": q(0, "degC")}),
        ({"water": q(65, "percent")}, {"water": q(45, "percent")}),
        ({"density": q(900, "kg/m**3")}, {}),
    ],
)
def test_what_makes_it_slower(slow, quick):
    assert _hours(**slow) > _hours(**quick)


def test_dry_air_makes_no_dew_and_damp_air_does_until_the_face_is_warm():
    dry = thaw(*CAKE, q(-5, "degC"), humidity=q(30, "percent"))
    assert dry.dry_after is None
    assert "no dew" in str(dry)
    damp = thaw(*CAKE, COLD, humidity=q(85, "percent"))
    assert damp.dry_after.typical < damp.time.typical
    wet = thaw(*CAKE, COLD, humidity=q(60, "percent"))
    assert wet.dry_after.typical < damp.dry_after.typical


def test_a_cake_that_is_not_frozen_and_a_target_above_the_fridge_are_told_at_once():
    with pytest.raises(FaultsError) as met:
        thaw(*CAKE, q(-2, "degC"), q(8, "degC"))
    assert [fault.where for fault in met.value.faults] == ["thaw, target", "thaw, cake"]


@pytest.mark.parametrize(("h", "k"), [(8, 0.3), (15, 0.3), (4, 0.4)])
def test_a_slab_cut_into_layers_thaws_in_nearly_the_same_time(h, k):
    # 45 mm on a board that lets nothing in; -18 °C, air 4 °C, until the floor is at 2 °C.
    thick, density, air, layers = 0.045, 600.0, 4.0, 15
    grid = [-18 + n * 0.01 for n in range(2300)]
    heats = [_enthalpy(t, -3, 0.55) for t in grid]
    slice_, stride, seconds = thick / layers, 10.0, 0.0
    held = [_enthalpy(-18, -3, 0.55)] * layers
    while True:
        warm = [grid[min(bisect(heats, x), 2299)] for x in held]
        if warm[-1] >= 2:
            break
        inflow = [(air - warm[0]) / (1 / h + slice_ / 2 / k)]
        inflow += [k * (a - b) / slice_ for a, b in pairwise(warm)]
        inflow.append(0.0)
        held = [
            x + (a - b) * stride / (density * slice_)
            for x, (a, b) in zip(held, pairwise(inflow), strict=True)
        ]
        seconds += stride
    body = _Body(h, 2 * thick, k, density * thick, air)
    found = body.seconds(-18, body.mean_when_the_middle_is(2), -3, 0.55)
    assert found == pytest.approx(seconds, rel=0.15)
