"""Still air on walls and plates, radiation, and the flux of vapour from a hot top.

Sources: Incropera and others 2007, worked examples 5.1, 6.6, 9.2 and 9.4 (published,
read as restated); the library ``ht`` for Churchill and Chu and for McAdams; closed
forms for the rest.
"""

import math
from dataclasses import replace
from itertools import pairwise

import ht
import pytest
from CoolProp.HumidAirProp import HAPropsSI

from calculators.cooling.surroundings import up_a_wall
from calculators.jug import begin, bench, jug
from calculators.jug import temperature_after as cooled
from calculators.jug.steps import after, over_a_plate
from calculators.units import q

SIGMA = 5.670374e-8


@pytest.mark.parametrize(("prandtl", "grashof"), [(0.69, 2.63e9), (0.71, 1e5), (0.71, 3e7)])
def test_an_upright_wall_agrees_with_the_library(prandtl, grashof):
    theirs = ht.Nu_vertical_plate_Churchill(prandtl, grashof)
    assert up_a_wall(prandtl * grashof, prandtl) == pytest.approx(theirs, rel=1e-6)


def test_the_door_of_the_worked_example_loses_its_kilowatt():
    # Example 9.2: 0.71 m high, 1.02 m wide, 232 °C in 23 °C, k 0.0338 W/m/K: 1060 W.
    nusselt = up_a_wall(0.69 * 2.63e9, 0.69)
    assert nusselt == pytest.approx(147.16, abs=0.05)
    assert nusselt * 0.0338 / 0.71 * 0.71 * 1.02 * (232 - 23) == pytest.approx(1060, abs=5)


@pytest.mark.parametrize("grashof", [3.21e8, 1e5, 5e6])
@pytest.mark.parametrize("facing", [True, False])
def test_a_level_plate_agrees_with_the_library(grashof, facing):
    theirs = ht.Nu_horizontal_plate_McAdams(5.54, grashof, buoyancy=facing)
    assert over_a_plate(5.54 * grashof, facing=facing) == pytest.approx(theirs, rel=1e-6)


def test_the_two_faces_of_a_plate_have_the_tabled_numbers():
    assert over_a_plate(5.54 * 3.21e8, facing=True) == pytest.approx(181.73, abs=0.05)
    assert over_a_plate(5.54 * 3.21e8, facing=False) == pytest.approx(55.45, abs=0.05)


def _at(celsius, place, **kind):
    state, setting = begin(celsius, jug(q(1400, "g"), q(11, "cm"), **kind), place)
    return setting, setting.losses(state)


def test_a_hot_open_top_dries_as_the_closed_form_says():
    # 60 °C, aw 0.83, room 22 °C and 60 %, h 5 W/m²/K, Lewis number 0.865: 0.168
    # g/cm²/h, and 1.10 times that where the vapour carries itself away.
    place = bench(q(22, "degC"), q(60, "percent"))
    setting, loss = _at(60, place, water_activity=q(0.83))
    film = loss.top / (setting.floor * 38) - 0.95 * SIGMA * (333.15 + 295.15) * (
        333.15**2 + 295.15**2
    )
    per_hour = loss.vapour * 3600 * 1000 / (setting.floor * 1e4) * 5 / film
    assert per_hour == pytest.approx(0.168 * 1.10, rel=0.02)


def test_drying_and_not_air_cools_a_hot_open_top():
    # For the same top: 1100 W/m² by drying beside 190 W/m² by air of 5 W/m²/K.
    place = bench(q(22, "degC"), q(60, "percent"))
    setting, loss = _at(60, place, water_activity=q(0.83))
    radiant = 0.95 * SIGMA * (333.15**4 - 295.15**4) * setting.floor
    assert loss.drying / (loss.top - radiant) == pytest.approx(1.1 * 1100 / 190, rel=0.1)


def test_radiation_of_bright_steel_is_that_of_the_closed_form():
    place = bench(q(22, "degC"))
    (setting, steel), (_, plastic) = (_at(60, place, wall=w) for w in ("steel", "plastic"))
    assert setting.shine == 0.16
    radiant = SIGMA * (333.15 + 295.15) * (333.15**2 + 295.15**2)
    assert setting.shine * radiant == pytest.approx(1.129, abs=0.005)
    # 6.7 against 11.6 W/m²/K from the side; the height of that jug is not told: 12 cm here, loosely.
    for loss, told in ((steel, 6.7), (plastic, 11.6 * 0.89)):
        assert loss.side / (setting.side * 38) == pytest.approx(told, rel=0.12)


def test_a_body_of_one_temperature_follows_its_time_constant():
    # Example 5.1: time constant 1 s, from 25 to 199 °C in 200 °C takes 5.2 s.
    assert math.log((200 - 25) / (200 - 199)) == pytest.approx(5.16, abs=0.02)
    pot = jug(q(600, "g"), q(11, "cm"), cover="filmed")
    room = bench(q(22, "degC"))
    steps = [cooled(q(t, "min"), q(60, "degC"), pot, room).typical.m for t in (0, 60, 120)]
    first, second = (math.log((a - 22) / (b - 22)) for a, b in pairwise(steps))
    assert first > second > 0.7 * first  # still air lets go as the jug cools


@pytest.mark.parametrize("kpa", [101.325, 85.08])
def test_open_water_in_moved_air_settles_near_the_wet_bulb(kpa):
    # CoolProp; 16.87 and 16.56 °C at 22 °C and 60 %.  Vapour outruns heat a little in
    # air (Lewis number below one), so ours lies a quarter of a degree lower.
    told = HAPropsSI("Twb", "T", 295.15, "P", kpa * 1000, "R", 0.6) - 273.15
    place = bench(q(22, "degC"), q(60, "percent"), q(kpa, "kPa"))
    state, setting = begin(22, jug(q(600, "g"), q(11, "cm"), water_activity=q(1)), place)
    wick = replace(setting, side=0.0, top_shine=0.0, moved=10.0)
    assert told - 0.4 < after(state, wick, 8 * 3600).celsius < told
