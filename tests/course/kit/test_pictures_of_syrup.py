"""What the pictures of syrups show, in kitchens at the sea, on a mountain and below."""

import re

import pytest

from calculators.units import q
from course.kit.pictures import syrup

HEIGHTS = (-400, 0, 430, 2250)
HALF, STRONG = q(60, "percent"), q(75, "percent")


def drawn(metres):
    here, cold = q(metres, "m"), q(4, "degC")
    return [
        syrup.strength_and_density(HALF, q(22, "degC")),
        syrup.strength_and_heat(HALF, q(22, "degC")),
        syrup.before_and_after(q(600, "g"), q(400, "g"), q(200, "g")),
        syrup.boiling_curve(STRONG, here),
        syrup.stage_ladder(here),
        syrup.two_boiling_tables(STRONG),
        syrup.time_on_the_hob(q(200, "g"), q(2, "kW"), here, q(30, "percent"), q(90, "percent")),
        syrup.sugar_water_holds(cold),
        syrup.state_diagram(HALF, STRONG, cold, here),
        syrup.glucose_guard(q(21, "percent"), q(10, "percent"), q(25, "percent")),
    ]


@pytest.mark.parametrize("metres", HEIGHTS)
def test_each_picture_says_in_words_what_is_seen_with_numbers(metres):
    for picture in drawn(metres):
        assert picture.svg.startswith("<svg")
        assert re.search(r"\d", picture.alt), picture.alt
        assert len(picture.caption) > 30
        assert "nan" not in picture.alt


def test_the_same_kitchen_gives_the_same_pictures():
    assert [p.svg for p in drawn(430)] == [p.svg for p in drawn(430)]


def test_a_kitchen_at_the_sea_gets_no_second_curve_and_one_on_a_mountain_does():
    assert "at the sea" not in syrup.boiling_curve(STRONG, q(0, "m")).svg
    assert "at the sea" in syrup.boiling_curve(STRONG, q(2250, "m")).svg


def test_the_ladder_of_a_mountain_names_other_degrees_than_the_books():
    """[mcgee2004]: soft ball 112 to 116 °C at the sea; 1 °C lower each 305 m."""
    assert "soft ball 112 °C to 116 °C" in syrup.stage_ladder(q(0, "m")).alt
    low = re.search(r"soft ball (\d+) °C", syrup.stage_ladder(q(2250, "m")).alt)
    assert int(low[1]) == pytest.approx(112 - 2250 / 305, abs=1.2)


def test_the_path_of_the_pan_crosses_the_full_syrup_where_herzfeld_has_it():
    """[herzfeld1892]: 74.18 % at 60 °C and 75.18 % at 65 °C, so 75 % near 64 °C."""
    alt = syrup.state_diagram(HALF, STRONG, q(4, "degC"), q(0, "m")).alt
    crossing = re.search(r"meets the full curve at (\d+) °C", alt)
    assert int(crossing[1]) == pytest.approx(64, abs=2)
