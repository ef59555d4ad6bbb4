"""Setting and melting in sugar: the limit is water, the directions are known."""

import re
from itertools import pairwise

import pytest

from calculators import gelatin
from calculators.formula import techniques
from calculators.gelatin_sugar import lift, melting_point, setting_point
from calculators.units import q

GEL = q(4.6, "percent"), q(200, "bloom")


def test_without_sugar_it_sets_and_melts_as_in_water():
    none = q(0, "percent")
    for sugared, plain in (
        (setting_point(*GEL, none), gelatin.setting_point(*GEL)),
        (melting_point(*GEL, none, "fresh"), gelatin.melting_point(*GEL)),
    ):
        for end in ("low", "typical", "high"):
            assert getattr(sugared, end).m == pytest.approx(getattr(plain, end).m)


def test_sugar_lifts_both_points_steadily():
    for point in (setting_point, melting_point):
        seen = [point(*GEL, q(s, "percent")).typical.m for s in range(0, 81, 5)]
        assert all(a < b for a, b in pairwise(seen))


def test_the_lift_of_strong_sugar_is_not_that_of_a_jelly():
    strong, weak = lift(q(69, "percent")), lift(q(20, "percent"))
    assert strong.typical.m > 5
    assert weak.typical.m < 3
    assert strong.low < strong.typical < strong.high


def test_a_matured_gel_melts_warmer_and_a_quick_one_sets_colder():
    sugar = q(69, "percent")
    fresh, old = (melting_point(*GEL, sugar, age) for age in ("fresh", "matured"))
    slow, quick = (setting_point(*GEL, sugar, how) for how in ("slow", "within seconds"))
    assert old.typical > fresh.typical > slow.typical > quick.typical


def test_the_band_is_as_wide_as_what_is_not_known():
    band = setting_point(*GEL, q(69, "percent"))
    assert band.high.m - band.low.m > 8
    assert band.provenance == "from memory"


@pytest.mark.parametrize("point", [gelatin.setting_point, gelatin.melting_point])
def test_how_far_sugar_lifts_a_point_is_said_in_one_place(point):
    # A second figure beside this module's would contradict it.
    assert not re.search(r"\d", point(*GEL).why)


def test_a_kept_glaze_is_warmed_at_least_to_where_it_melts():
    # The words send it to one temperature; below its melting point lumps float in the window.
    told = re.search(r"(\d+) °C", techniques()["gelatin"].reuse)
    assert told
    for bloom in (160, 200, 250):
        matured = melting_point(q(5, "percent"), q(bloom, "bloom"), q(69, "percent"))
        assert q(float(told[1]), "degC") > matured.typical
