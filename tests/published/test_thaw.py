"""How long freezing and thawing take: Plank's law, and Pham's stages.

Sources: Pham 1984, Int. J. Refrigeration 7, 377, by its erratum (published: log-mean
31.7 K from 28.5 to -2.1 °C in air of -20.9 °C, and 18.8 K for the freezing stage);
Plank's law as in an examination's worked slab and in Earle, Unit Operations in Food
Processing (inputs from memory).
"""

import pytest

from calculators.thaw import _Body, heat_between, ice
from calculators.units import q

SLAB = _Body(25, 0.040, 1.6, 1050 * 0.020, -20)


def test_plank_s_slab_of_the_examination_takes_its_hours():
    # 40 mm, both faces, 1050 kg/m³, 280 kJ/kg, 20 K, h 25 W/m²/K, k 1.6 W/m/K: 3.78 h.
    assert SLAB.stage(280e3, 20) / 3600 == pytest.approx(3.78, abs=0.01)


def test_plank_s_slab_of_meat_takes_two_hours():
    # 10 cm, h 600, k 1.6, 1090 kg/m³, 256 kJ/kg, 32 K: 2.09 h; inputs from memory.
    meat = _Body(600, 0.10, 1.6, 1090 * 0.05, 0)
    assert meat.stage(256e3, 32) / 3600 == pytest.approx(2.09, abs=0.02)


@pytest.mark.parametrize(("shape", "share"), [("slab", 2), ("cylinder", 4), ("ball", 6)])
def test_the_full_thickness_gives_plank_s_p_and_r_for_each_shape(shape, share):
    # P, R = 1/2, 1/8; 1/4, 1/16; 1/6, 1/24 of the full thickness.
    d, h, k, density, heat, push = 0.06, 12.0, 0.3, 600, 170e3, 22
    p, r = {"slab": (1 / 2, 1 / 8), "cylinder": (1 / 4, 1 / 16), "ball": (1 / 6, 1 / 24)}[shape]
    told = density * heat / push * (p * d / h + r * d * d / k)
    assert _Body(h, d, k, density * d / share, 0).stage(heat, push) == pytest.approx(told)


def test_cooling_before_the_ice_uses_the_log_mean_of_the_erratum():
    air, mass, h, thick, k, water = -20.9, 20.0, 25.0, 0.04, 1.5, 0.75
    body = _Body(h, thick, k, mass, air)
    heat = (
        -1000 * heat_between(q(28.5, "degC"), q(-2.1, "degC"), q(-2.1, "degC"), q(75, "percent")).m
    )
    told = mass * heat / (h * 31.7) * (1 + body.biot / 6)
    assert body.seconds(28.5, -2.1, -2.1, water) == pytest.approx(told, rel=2e-3)


def test_the_mean_at_the_end_is_that_of_the_erratum():
    # Middle -10 °C, mean -13.7 °C in air of -20.9 °C, where Bi is near 4.2.
    body = _Body(4.2, 1.0, 1.0, 1.0, -20.9)
    assert body.mean_when_the_middle_is(-10) == pytest.approx(-13.7, abs=0.05)


def test_a_sweet_mousse_is_not_water_and_keeps_a_third_of_it_liquid():
    # About a third of the water of a mousse with 25 % sugar is liquid at -18 °C.
    frozen = ice(q(-18, "degC"), water=q(55, "percent")).m / 55
    assert 1 - frozen == pytest.approx(1 / 3, abs=0.12)
    whole = heat_between(q(-18, "degC"), q(0, "degC")).m
    assert whole < 0.95 * 0.55 * 334 + 0.45 * 1.7 * 18 + 0.55 * 2.1 * 18


def test_water_alone_takes_the_heat_of_fusion():
    # Nearly pure water, freezing at -0.3 °C: 333.6 kJ/kg and a little warmth.
    taken = heat_between(q(-20, "degC"), q(0, "degC"), q(-0.3, "degC"), q(95, "percent")).m
    free = 0.95 - 0.3 * 0.05
    assert taken == pytest.approx(free * (333.6 + 2.05 * 20) + 2.1, rel=0.03)
