"""How thick a glaze is: limits, directions, and what one reading does."""

import math
from itertools import pairwise

import pytest

from calculators.faults import FaultsError
from calculators.glaze_flow import (
    SPOONS,
    calibrated,
    gelatin_factor,
    viscosity,
    viscosity_from_cup,
    viscosity_from_spoon,
)
from calculators.units import q

SERUM = q(0.18, "Pa*s")
GELATIN, FAT = q(18, "kg/m**3"), q(10, "percent")


def _cup(seconds=36.0, first=80.0, last=40.0, hole=8.0):
    marks = q(first, "mm"), q(last, "mm"), q(hole, "mm")
    return viscosity_from_cup(q(seconds, "s"), q(60, "mm"), *marks, q(1, "mm"))


def test_without_gelatin_and_fat_it_is_the_serum():
    assert viscosity(SERUM).typical.m == pytest.approx(0.18)
    plain = gelatin_factor(q(0, "kg/m**3"))
    assert (plain.low.m, plain.typical.m, plain.high.m) == (1, 1, 1)


def test_more_gelatin_and_more_fat_are_thicker_and_solid_fat_most():
    by_gelatin = [viscosity(SERUM, q(c, "kg/m**3")).typical.m for c in range(0, 120, 10)]
    by_fat = [viscosity(SERUM, GELATIN, q(f, "percent")).typical.m for f in range(0, 40, 5)]
    assert all(a < b for a, b in pairwise(by_gelatin))
    assert all(a < b for a, b in pairwise(by_fat))
    melted, solid = (viscosity(SERUM, GELATIN, FAT, s).typical.m for s in ("melted", "solid"))
    assert solid > melted


def test_a_glaze_at_34_degrees_is_near_half_a_pascal_second():
    # An independent sum from remembered parts gave 0.46; a factor of two either way.
    made = viscosity(q(0.18, "Pa*s"), GELATIN, FAT)
    assert made.low.m < 0.46 < made.high.m
    assert 2 < made.high.m / made.low.m < 6


def test_a_cup_twice_as_slow_is_twice_as_thick():
    assert _cup(72).m == pytest.approx(2 * _cup(36).m)


def test_a_cup_empties_by_halves_in_equal_times():
    assert _cup(36, 80, 40).m == pytest.approx(_cup(36, 40, 20).m)


def test_a_cup_that_runs_too_fast_and_marks_upside_down_are_refused():
    with pytest.raises(FaultsError, match="too short for a slow stream"):
        _cup(0.5)
    with pytest.raises(FaultsError, match="not below the first mark"):
        _cup(36, 40, 80)


def test_the_words_of_the_spoon_follow_each_other_and_touch():
    seen = [viscosity_from_spoon(words) for words in SPOONS]
    assert all(a.typical < b.typical and a.high >= b.low for a, b in pairwise(seen))


@pytest.mark.parametrize("by", ["cup", "bubble", "spoon"])
def test_a_reading_that_agrees_moves_nothing(by):
    made = viscosity(SERUM, GELATIN, FAT)
    same = calibrated(made, made.typical, by, made, q(34, "degC"), q(34, "degC"))
    assert same.typical.m == pytest.approx(made.typical.m)
    narrower = math.log(same.high.m / same.low.m) < math.log(made.high.m / made.low.m)
    assert narrower == (by != "spoon")


def test_a_thicker_reading_makes_it_thicker_everywhere_and_far_off_less_sure():
    hot, cool = viscosity(q(0.13, "Pa*s"), GELATIN), viscosity(SERUM, GELATIN)
    read = hot.typical * 1.5
    own = calibrated(hot, read, "cup", cool, q(40, "degC"), q(34, "degC"))
    assert own.typical.m == pytest.approx(1.5 * cool.typical.m)
    near = calibrated(cool, cool.typical, "cup", cool, q(34, "degC"), q(34, "degC"))
    assert own.high.m / own.low.m > near.high.m / near.low.m
