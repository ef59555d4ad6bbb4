"""What gelatin and drops of fat do to a liquid, and what a cup with a hole reads.

Sources: QB 2354 (published: least viscosity of 6.67 % gelatin at 60 °C, 3.2 to 6.0
mPa s by grade); Taylor 1932; Krieger and Dougherty 1959 with Batchelor's series for few
drops (closed forms); the library ``fluids`` for the flow through a tube.
Water at 60 °C has 0.466 mPa s.
"""

import math

import fluids
import pytest

from calculators.glaze_flow import _TABLE, _huggins, drop_number, fat_factor, viscosity_from_cup
from calculators.units import q


def test_the_makers_test_of_a_food_gelatin_comes_out():
    volume, crowd = _TABLE["gelatin volume"].three, _TABLE["huggins"].three
    usual, low, high = (0.466 * _huggins(volume[n] * 0.059, crowd[n]) for n in (1, 0, 2))
    assert usual == pytest.approx(4.00, abs=0.01)
    assert low < 3.2 < 6.0 < high


@pytest.mark.parametrize(
    ("ratio", "number"), [(0, 1.0), (0.5, 1.5), (1, 1.75), (5, 2.25), (1e9, 2.5)]
)
def test_a_drop_counts_as_taylor_says(ratio, number):
    assert drop_number(q(ratio)).m == pytest.approx(number, abs=1e-3)


@pytest.mark.parametrize(("share", "times"), [(10, 1.312), (20, 1.821), (35, 3.549)])
def test_hard_balls_thicken_as_krieger_and_dougherty_say(share, times):
    assert fat_factor(q(share, "percent"), q(2.5), q(0.64)).m == pytest.approx(times, abs=0.003)


def test_few_balls_thicken_as_batchelor_says():
    series = 1 + 2.5 * 0.1 + 6.2 * 0.1**2
    assert fat_factor(q(10, "percent"), q(2.5)).m == pytest.approx(series, abs=2e-3)


def test_a_long_tube_under_a_cup_flows_as_the_library_says():
    # 2 Pa s through 90 mm of 5 mm, from 150 to 100 mm; the cup falls in small steps.
    thick, density, tube, bore, floor = 2.0, 1250.0, 0.090, 0.005, math.pi * 0.03**2
    level, seconds, stride = 0.150, 0.0, 0.0005
    while level > 0.1 + 1e-9:
        drive = density * 9.80665 * (level - stride / 2)
        speed = 1.0
        for _ in range(3):  # laminar: the drop is straight in the speed
            friction = fluids.friction_factor(
                Re=fluids.Reynolds(V=speed, D=bore, rho=density, mu=thick)
            )
            drop = friction * tube / bore * density * speed**2 / 2
            speed *= drive / drop
        seconds += stride * floor / (speed * math.pi * (bore / 2) ** 2)
        level -= stride
    found = viscosity_from_cup(
        q(seconds, "s"),
        q(60, "mm"),
        q(150, "mm"),
        q(100, "mm"),
        q(5, "mm"),
        q(90, "mm"),
        q(density, "kg/m**3"),
    )
    entry = 1 + 3 * math.pi * (bore / 2) / (8 * tube)  # the hole itself, on top of the tube
    assert found.m * entry == pytest.approx(thick, rel=2e-3)
