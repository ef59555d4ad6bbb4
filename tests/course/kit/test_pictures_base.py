"""Pictures of the base: the same each time, with words that say what is seen."""

import math

import pytest

from calculators import blending, formula
from calculators.kitchen import Line
from calculators.units import q
from course.kit.pictures import base

OWN = formula.Formula(
    "Own",
    [
        Line("water", q(300, "g")),
        Line("sugar", q(400, "g")),
        Line("gelatin leaf", q(12, "g")),
    ],
)
HEAVY = q(1290, "kg/m**3")


def drawn():
    return [
        base.surfaces(),
        base.side_by_side([OWN, OWN]),
        base.thinned(OWN),
        base.ladder(OWN, q(9, "cm"), q(31, "degC"), q(60, "degC"), q(10, "min"), HEAVY),
        base.jugs_and_blade(
            [("a", q(600, "g")), ("b", q(300, "g"))], q(11, "cm"), q(2.5, "cm"), HEAVY
        ),
    ]


def test_each_picture_is_drawn_the_same_again():
    assert [p.svg for p in drawn()] == [p.svg for p in drawn()]


def test_each_picture_has_words_and_a_caption():
    for one in drawn():
        assert len(one.alt) > 40
        assert one.caption.endswith(".")


def test_a_ray_leaves_a_mirror_as_steeply_as_it_came():
    right, up = base._mirrored(0.6, -0.8, 0.0)
    assert (right, up) == (pytest.approx(0.6), pytest.approx(0.8))
    turned = base._mirrored(0.6, -0.8, 0.3)
    assert math.hypot(*turned) == pytest.approx(1)


def test_a_bubble_climbs_for_as_long_as_its_time_to_clear():
    size, thick = q(0.5, "mm"), q(0.4, "Pa*s")
    time = blending.time_to_clear(q(6, "cm"), size, thick, HEAVY)
    assert base.climbed(size, thick, time, HEAVY).m_as("cm") == pytest.approx(6)


def test_the_jugs_say_which_share_covers_the_blade():
    words = base.jugs_and_blade(
        [("large", q(900, "g")), ("small", q(200, "g"))],
        q(11, "cm"),
        q(2.5, "cm"),
        HEAVY,
    ).alt
    assert "large, 900 g" in words
    assert words.rstrip(".").endswith("too little")


def test_a_glaze_without_gelatin_is_thinned_in_one_line():
    bare = formula.Formula("Syrup", OWN.lines[:2])
    assert "gelatin" not in base.thinned(bare).alt
