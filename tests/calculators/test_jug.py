"""A jug cools: its limits, its balances, its directions."""

import math
from dataclasses import replace
from itertools import pairwise

import pytest

from calculators import cooling
from calculators.faults import FaultsError
from calculators.jug import (
    COVERS,
    WALLS,
    begin,
    bench,
    fridge,
    jug,
    meeting,
    read_from_own,
    temperature_after,
    time_on_the_bench,
    time_to,
    tray,
    water_bath,
    water_lost,
)
from calculators.jug.steps import State, after, step
from calculators.units import q

ROOM = bench(q(22, "degC"), q(60, "percent"))
HOT, READY = q(60, "degC"), q(34, "degC")


def _pot(grams=600, wall="plastic", cover="stirred", **more):
    return jug(q(grams, "g"), q(11, "cm"), wall, cover, **more)


def _wait(pot, place=ROOM):
    return time_to(READY, HOT, pot, place)


# --- limits ---------------------------------------------------------------------------


def test_without_drying_wall_and_shine_it_is_newton_s_law():
    state, setting = begin(60, _pot(cover="filmed"), ROOM)
    bare = replace(
        setting, wall=0.0, shine=0.0, top_shine=0.0, moved=10.5, capacity=0.6 * 2900, drying=0.0
    )
    area = q((bare.side + bare.floor) * 1e4, "cm**2")
    pace = cooling.time_constant(q(600, "g"), q(2.9, "kJ/kg/K"), area, q(10.5, "W/m**2/K"))
    for minutes in (1, 30, 118, 600):
        simple = cooling.temperature_after(q(minutes, "min"), HOT, q(22, "degC"), pace)
        assert after(state, bare, minutes * 60).celsius == pytest.approx(simple.m, abs=0.02)


def test_without_drying_it_is_today_s_bath():
    state, setting = begin(60, _pot(1000, cover="filmed"), water_bath(q(15, "degC"), q(5, "kg")))
    bare = replace(setting, wall=0.0, top_shine=0.0, moved=1e-9, capacity=2900.0)
    wet = q((bare.side + bare.floor) * 1e4, "cm**2")
    simple = cooling.water_bath(
        q(1, "kg"), HOT, q(33, "degC"), q(15, "degC"), wet, bath_mass=q(5, "kg")
    )
    then = after(state, bare, simple.time.m * 60)
    assert then.celsius == pytest.approx(33, abs=0.05)
    assert then.bath == pytest.approx(simple.bath_end.m, abs=0.05)


def test_in_its_own_room_nothing_happens_under_film():
    here = temperature_after(q(24, "h"), q(22, "degC"), _pot(cover="filmed"), ROOM)
    assert here.typical.m == pytest.approx(22, abs=1e-9)
    assert here.low.m == pytest.approx(22, abs=0.05)
    assert here.high.m == pytest.approx(22, abs=1e-3)


def test_an_open_glaze_ends_below_the_room_and_above_the_wet_bulb():
    # 16.9 °C is the wet bulb of 22 °C and 60 %; the glaze holds its water back.
    state, setting = begin(40, _pot(), ROOM)
    assert 16.9 < after(state, setting, 24 * 3600).celsius < 22


def test_no_more_water_leaves_than_was_there():
    thin = tray(q(50, "g"), q(30, "cm"), q(20, "cm"), cover="stirred")
    state, setting = begin(60, thin, bench(q(22, "degC"), q(5, "percent")))
    dried = after(state, setting, 10 * 86400)
    assert 0 <= dried.water < 0.5 * state.water


def test_glaze_and_air_at_rest_share_their_humidity_in_the_end():
    thin = tray(q(50, "g"), q(30, "cm"), q(20, "cm"), cover="stirred")
    state, setting = begin(22, thin, ROOM)
    dried = after(state, setting, 10 * 86400)
    assert dried.water / (dried.water + setting.bound) == pytest.approx(0.60, abs=0.005)


# --- balances --------------------------------------------------------------------------


@pytest.mark.parametrize("cover", COVERS)
@pytest.mark.parametrize("wall", WALLS)
def test_the_heat_that_leaves_is_the_heat_that_was_there(wall, cover):
    state, setting = begin(60, _pot(wall=wall, cover=cover), ROOM)
    left = vapour = 0.0
    lighter = state
    while lighter.celsius > 30:
        loss = setting.losses(lighter)
        left, vapour = left + loss.heat, vapour + loss.vapour
        lighter = step(lighter, setting, 1.0)
    assert vapour == pytest.approx(state.water - lighter.water, rel=5e-3, abs=1e-12)
    holds = setting.capacity - 4180 * vapour / 2
    assert left == pytest.approx(holds * (60 - lighter.celsius), rel=5e-3)


def test_what_the_glaze_gives_the_bath_takes():
    state, setting = begin(
        60, _pot(cover="filmed"), water_bath(q(5, "degC"), q(3, "kg"), air=q(22, "degC"))
    )
    dark = replace(setting, top_shine=0.0, moved=1e-9)
    end = after(state, dark, 7200)
    given = dark.capacity * (60 - end.celsius)
    assert dark.bath_capacity * (end.bath - 5) == pytest.approx(given, rel=5e-3)


def test_small_steps_and_the_chosen_ones_agree():
    state, setting = begin(80, _pot(300), ROOM)
    fine = state
    for _ in range(3600):
        fine = step(fine, setting, 1.0)
    coarse = after(state, setting, 3600)
    assert coarse.celsius == pytest.approx(fine.celsius, abs=0.01)
    assert coarse.water == pytest.approx(fine.water, rel=1e-4)


def test_a_clock_may_stop_anywhere():
    state, setting = begin(60, _pot(), ROOM)
    parts = state
    for minutes in (7, 11, 42):
        parts = after(parts, setting, minutes * 60)
    assert isinstance(parts, State)
    assert parts.seconds == pytest.approx(3600)
    assert parts.celsius == pytest.approx(after(state, setting, 3600).celsius, abs=0.01)


def test_time_and_temperature_undo_each_other():
    wait = _wait(_pot()).typical
    assert temperature_after(wait, HOT, _pot(), ROOM).typical.m == pytest.approx(34, abs=0.02)


# --- directions -------------------------------------------------------------------------


def test_a_film_keeps_a_jug_warm_and_a_skin_a_little():
    waits = [_wait(_pot(cover=cover)).typical for cover in ("stirred", "open", "filmed")]
    assert waits[0] < waits[1] < waits[2]


def test_steel_keeps_warmer_than_plastic():
    assert _wait(_pot(wall="steel", cover="filmed")).typical > _wait(_pot(cover="filmed")).typical


def test_more_glaze_takes_longer():
    waits = [_wait(_pot(grams)).typical.m for grams in (30, 300, 600, 2000, 20_000)]
    assert all(a < b for a, b in pairwise(waits))


def test_wet_air_lets_less_water_go():
    gone = [
        water_lost(q(30, "min"), HOT, _pot(), bench(q(22, "degC"), q(h, "percent"))).typical.m
        for h in (20, 60, 95)
    ]
    assert gone[0] > gone[1] > gone[2] > 0


def test_thin_mountain_air_carries_less_heat_but_more_vapour():
    high = bench(q(22, "degC"), q(60, "percent"), q(65, "kPa"))
    for cover, slower in (("filmed", True), ("stirred", False)):
        pot = _pot(cover=cover)
        assert (_wait(pot, high).typical > _wait(pot).typical) == slower


def test_a_tray_beats_a_jug_and_a_fan_beats_still_air():
    start, cold = q(21, "degC"), q(5, "degC")
    deep = jug(q(1140, "g"), q(11, "cm"), cover="filmed")
    flat = tray(q(1140, "g"), q(40, "cm"), q(30, "cm"))
    for fan in ("still", "moving"):
        here = fridge(q(4, "degC"), fan=fan)
        assert (
            time_to(cold, start, flat, here).typical < time_to(cold, start, deep, here).typical / 2
        )
    assert (
        time_to(cold, start, deep, fridge(q(4, "degC"))).typical
        < time_to(cold, start, deep, fridge(q(4, "degC"), fan="still")).typical
    )


def test_a_bath_is_far_quicker_than_the_bench():
    held = water_bath(q(15, "degC"), q(5, "kg"))
    assert time_to(READY, HOT, _pot(), held).high < _wait(_pot()).low


def test_a_cold_glaze_gathers_dew():
    gone = water_lost(q(30, "min"), q(4, "degC"), _pot(), ROOM)
    assert gone.high.m < 0


# --- the band, and your own readings ------------------------------------------------------


@pytest.mark.parametrize("cover", COVERS)
def test_two_readings_narrow_the_band_and_stay_inside_what_they_say(cover):
    pot = _pot(cover=cover)
    middle = temperature_after(q(20, "min"), HOT, pot, ROOM).typical
    mine = read_from_own(HOT, middle, q(20, "min"), pot, ROOM)
    assert mine.pace[0] < mine.pace[1] < mine.pace[2]
    assert mine.pace[1] == pytest.approx(1, abs=0.01)
    wide, own = _wait(pot), _wait(mine)
    assert own.high - own.low < wide.high - wide.low
    assert own.typical.m == pytest.approx(wide.typical.m, rel=0.01)


def test_a_draughty_kitchen_shows_in_the_readings():
    quick = replace(_pot(), pace=(1.4, 1.4, 1.4))
    seen = temperature_after(q(15, "min"), HOT, quick, ROOM).typical
    mine = read_from_own(HOT, seen, q(15, "min"), _pot(), ROOM)
    assert mine.pace[1] == pytest.approx(1.4, rel=0.01)


@pytest.mark.parametrize("second", [60.2, 75, -4])
def test_readings_that_no_jug_could_give_are_refused(second):
    with pytest.raises(FaultsError, match="does not fit this jug"):
        read_from_own(HOT, q(second, "degC"), q(10, "min"), _pot(), ROOM)


def test_a_target_below_the_room_is_refused_with_where_it_stays():
    with pytest.raises(FaultsError, match="not surely reached") as met:
        time_to(q(15, "degC"), HOT, _pot(cover="filmed"), ROOM)
    assert "22 °C" in str(met.value)


def test_near_the_boil_is_refused():
    with pytest.raises(FaultsError, match="too near the boil"):
        time_to(READY, q(95, "degC"), _pot(), bench(q(22, "degC"), pressure=q(60, "kPa")))


def test_the_short_way_is_the_long_way():
    short = time_on_the_bench(q(600, "g"), q(11, "cm"), HOT, READY, q(22, "degC"))
    long = time_to(READY, HOT, _pot(), bench(q(22, "degC")))
    assert short.typical.m == pytest.approx(long.typical.m, rel=1e-9)
    assert math.isfinite(short.high.m)


@pytest.mark.parametrize(
    "made", [lambda g: tray(g, q(40, "cm"), q(30, "cm")), lambda g: jug(g, q(39, "cm"))]
)
def test_a_smear_is_no_glaze_that_cools(made):
    with pytest.raises(FaultsError, match="spread too thin") as met:
        made(q(5, "g"))
    assert "half a millimetre" in str(met.value)
    assert made(q(80, "g")).depth.m > 0.05


# --- jugs side by side --------------------------------------------------------------------


def test_equal_jugs_meet_for_as_long_as_the_window_lasts():
    both = meeting([_pot(), _pot()], HOT, ROOM)
    assert both.verdict == "together"
    one = (
        time_to(q(31, "degC"), HOT, _pot(), ROOM).typical
        - time_to(READY, HOT, _pot(), ROOM).typical
    )
    assert both.shared.typical.m == pytest.approx(one.m)
    assert "at once" in str(both)


def test_unequal_jugs_miss_each_other_and_a_held_bath_brings_them_together():
    pots = [_pot(600), _pot(150)]
    alone = meeting(pots, HOT, ROOM)
    assert alone.verdict == "apart"
    assert "hold them in one bath" in str(alone)
    assert alone.enters[0].typical > alone.leaves[1].typical
    held = meeting(pots, HOT, water_bath(q(32.5, "degC"), air=q(32.5, "degC")))
    assert held.verdict == "together"
    assert "stay in it" in str(held)


def test_a_meeting_of_nothing_or_of_cold_jugs_is_refused():
    with pytest.raises(FaultsError, match="no jugs that cool"):
        meeting([], HOT, ROOM)
    with pytest.raises(FaultsError, match="no jugs that cool"):
        meeting([_pot()], q(20, "degC"), ROOM)
    with pytest.raises(FaultsError) as met:
        meeting([_pot(), 5, "jug"], HOT, ROOM)
    assert [fault.where for fault in met.value.faults] == ["meeting, jug 2", "meeting, jug 3"]
