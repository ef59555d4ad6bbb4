"""Waves that level, a film that drains, and cold that comes from the cake.

Sources: Orchard 1963, Appl. Sci. Res. 11, 451, with the gravity of a thin film (closed
forms); Jeffreys 1930 for the wall; Carslaw and Jaeger for two half spaces; thin
films on a level top and on a ball, solved here step by step.
"""

import math

import pytest

from calculators.coating import Cylinder, Dome
from calculators.cooling import contact_temperature
from calculators.on_the_cake import (
    _BALL,
    _DISC,
    _LOG,
    _STRIP,
    TOP,
    WALL,
    _Case,
    _diffusivity,
    _followed,
    _ground,
    _race,
    depth_set,
    levelling_time,
)
from calculators.units import q

DENSITY, TENSION = q(1250, "kg/m**3"), q(45, "mN/m")
_WARM, _COLD = q(1200, "J/m**2/K/s**0.5"), q(800, "J/m**2/K/s**0.5")


@pytest.mark.parametrize(
    ("viscosity", "wave", "place", "seconds"),
    [(1, 5, WALL, 0.0267), (1, 5, TOP, 0.0228), (2, 20, WALL, 13.7), (2, 20, TOP, 3.64)],
)
def test_a_low_wave_falls_in_its_time(viscosity, wave, place, seconds):
    found = levelling_time(q(viscosity, "Pa*s"), q(wave, "mm"), q(1, "mm"), DENSITY, TENSION, place)
    assert found.m == pytest.approx(seconds, rel=0.01)


def test_glaze_and_cake_meet_where_two_half_spaces_do():
    met = contact_temperature(q(32, "degC"), q(-18, "degC"), _WARM, _COLD)
    assert met.typical.m == pytest.approx(12.0, abs=0.01)


def test_the_cold_has_come_so_deep_after_ten_seconds():
    deep = depth_set(q(10, "s"), q(32, "degC"), q(-18, "degC"), q(20, "degC"), _WARM, _COLD)
    assert deep.typical.m == pytest.approx(0.779, abs=0.003)


CASE = _Case(33, -18, 0.45, 24, 800, _ground(Cylinder(q(18, "cm"), q(4.5, "cm"))), 1250, 0.048)


def test_a_glaze_that_neither_cools_nor_sets_drains_as_jeffreys_says():
    # Cake as warm as the glaze: two minutes of draining, h = sqrt(viscosity z / (d g t)).
    same = CASE._replace(cake=32.9, sets=5)
    foot = _followed(same)[4] / 1000
    told = math.sqrt(0.45 * 0.045 / (1250 * 9.80665 * 120))
    assert foot == pytest.approx(told, rel=0.01)


def test_the_short_formula_of_the_wall_is_what_step_by_step_draining_gives():
    # Each layer of the film moves on its own; followed in time, not in the similarity.
    race, spread = _race(CASE), _diffusivity(1250)
    film = _followed(CASE)[4] / 1000
    contact = (math.sqrt(0.4 * 1250 * 2900) * 33 - 800 * 18) / (math.sqrt(0.4 * 1250 * 2900) + 800)

    def fluid(y, t):
        here = contact + (33 - contact) * math.erf(y / (2 * math.sqrt(spread * t)))
        cold = math.exp(-45 / 8.314462618e-3 * (1 / (here + 273.15) - 1 / 306.15))
        return cold / 0.45 if here > 24 else 0.0

    way, time, layers = 2 * 1250 * 9.80665 * film**2 / 2 / 0.45 * 1e-4, 1e-4, 120
    while True:
        stride = time * 0.03
        depths = [(n + 0.5) * film / layers for n in range(layers)]
        moved = sum((film - y) * fluid(y, time + stride / 2) for y in depths) * film / layers
        if moved == 0:
            break
        way, time = way + 2 * 1250 * 9.80665 * moved * stride, time + stride
    assert way == pytest.approx(0.045, rel=0.02)
    assert time == pytest.approx(film**2 / (4 * spread * race.front**2), rel=0.03)


@pytest.mark.parametrize(("bend", "numbers"), [(1, _DISC), (0, _STRIP)])
def test_a_top_that_drains_over_its_edge_keeps_the_shape_that_its_numbers_say(bend, numbers):
    # psi = f⁴/4, psi'' + bend psi'/y = -(4 psi)^(1/4), psi(0) = 1/4; the edge is at psi = 0.
    def slopes(y, psi, slope):
        return slope, -(max(4 * psi, 0) ** 0.25) - bend * slope / y

    h = 5e-4
    y, psi, slope = h, 0.25 - h * h / 2 / (1 + bend), -h / (1 + bend)
    inside = h ** (1 + bend) / (1 + bend)
    while True:
        a = slopes(y, psi, slope)
        b = slopes(y + h / 2, psi + h / 2 * a[0], slope + h / 2 * a[1])
        then = psi + h * b[0]
        inside += h * (y + h / 2) ** bend * (4 * max((psi + max(then, 0)) / 2, 0)) ** 0.25
        if then <= 0:
            edge = y + h * psi / (psi - then)
            break
        y, psi, slope = y + h, then, slope + h * b[1]
    assert edge**2 == pytest.approx(numbers[0], rel=2e-3)
    assert (1 + bend) * inside / edge ** (1 + bend) == pytest.approx(numbers[1], rel=2e-3)


@pytest.mark.parametrize(("ways", "numbers"), [(2, _BALL), (1, _LOG)])
def test_a_round_face_keeps_the_profile_that_its_numbers_say(ways, numbers):
    # On a ball (1.5 u' sin + 2 cos u = 2), on a log (1.5 u' sin + cos u = 1), u = f².
    steps = 20_000
    width = math.pi / 2 / steps
    u, angle, whole, area = 1.0, 0.0, 0.0, 0.0
    for _ in range(steps):
        middle = angle + width / 2
        slope = ways * (1 - math.cos(middle) * u) / (1.5 * math.sin(middle))
        u, angle = u + slope * width, angle + width
        face = math.sin(middle) if ways == 2 else 1.0
        whole, area = whole + math.sqrt(u) * face * width, area + face * width
    assert whole / area == pytest.approx(numbers[0], rel=2e-3)
    assert math.sqrt(u) == pytest.approx(numbers[1], rel=2e-3)


def test_the_crown_of_a_warm_dome_thins_as_the_closed_form_says():
    # h = sqrt(3 viscosity radius / (4 density g t)), two minutes after a deep pour.
    dome = _ground(Dome(q(16, "cm")))
    crown = _followed(CASE._replace(cake=32.9, sets=5, ground=dome))[3] / 1000
    told = math.sqrt(3 * 0.45 * 0.08 / (4 * 1250 * 9.80665 * 120))
    assert crown == pytest.approx(told, rel=0.02)
