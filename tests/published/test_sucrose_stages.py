"""The stages of boiled sugar.

Teaching tables as commonly taught; [mcgee2004].  Common practice: 2 °C, and 2 %
of sugar (2.5 % at hard crack); ours must lie within the stage by our own curve too.
[csu-candy], Table 1, °F by height in feet: published, read in copies.  The table takes
2 °F off for each 1000 feet at every stage.
"""

import pytest

from calculators import syrup
from calculators.units import q

ROWS = [  # stage, °C from, to, percent of sugar, its tolerance
    ("thread", 110, 112, 80, 2),
    ("soft ball", 112, 116, 85, 1.5),
    ("firm ball", 118, 121, 87, 1.5),
    ("hard ball", 121, 130, 92, 1.5),
    ("soft crack", 132, 143, 95, 1.5),
    ("hard crack", 146, 154, 99, 2.5),
]


HIGH = {  # stage: °F from, to at the sea, at 2000, 5000 and 7500 feet
    "soft ball": [(234, 240), (230, 236), (224, 230), (219, 225)],
    "firm ball": [(242, 248), (238, 244), (232, 238), (227, 233)],
    "hard ball": [(250, 268), (246, 264), (240, 258), (235, 253)],
    "soft crack": [(270, 290), (266, 286), (260, 280), (255, 275)],
    "hard crack": [(300, 310), (296, 306), (290, 300), (285, 295)],
}


@pytest.mark.parametrize(("column", "feet"), [(1, 2000), (2, 5000), (3, 7500)])
@pytest.mark.parametrize("stage", HIGH)
def test_stages_in_the_mountains_are_those_of_the_extension_service(stage, column, feet):
    tolerance = 2.0 if "crack" in stage else 0.5  # °C
    ends = zip(HIGH[stage][column], HIGH[stage][0], strict=True)
    for here, at_sea in ends:
        moved = syrup.sea_level_equivalent(q(here, "degF"), q(0.3048 * feet, "m"))
        expected = q(at_sea, "degF").to("degC").m
        assert moved.m == pytest.approx(expected, abs=tolerance)


@pytest.mark.parametrize(("name", "low", "high", "strength", "tolerance"), ROWS)
def test_stage_has_its_temperatures_and_its_strength(name, low, high, strength, tolerance):
    found = {stage.name: stage for stage in syrup.stages()}[name]
    assert found.low.m == pytest.approx(low, abs=0.01)
    assert found.high.m == pytest.approx(high, abs=0.01)
    assert found.strength.m == pytest.approx(strength, abs=tolerance)
    weakest, strongest = (syrup.brix_at_boiling(q(t, "degC")).m for t in (low, high))
    assert weakest <= found.strength.m <= strongest


def test_kitchens_rule_of_one_degree_for_300_metres_is_met_up_to_hard_ball():
    """[mcgee2004]: 1 °C for each 305 m of height, a rule of thumb: 15 %."""
    for metres in (500, 1000, 1500, 2000, 3000):
        here, sea = syrup.stages(q(metres, "m"))[:4], syrup.stages()[:4]
        for high, low in zip(here, sea, strict=True):
            assert low.low.m - high.low.m == pytest.approx(metres / 305, rel=0.15)


def test_the_modern_curve_meets_soft_ball_and_brownes_does_not():
    # At 85 % a syrup is at soft ball, 112 to 116 °C.
    modern = syrup.boiling_point(q(85, "percent")).m
    old = syrup.boiling_point(q(85, "percent"), following="Browne 1912").m
    assert 112 <= modern <= 116
    assert old > 117
