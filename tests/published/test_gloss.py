"""Gloss: Fresnel, the standard glass of the meters, and a slightly rough mirror.

Sources: ISO 2813 (published: black glass of index 1.567 reads 100 at each angle);
Bennett and Porteus 1961, J. Opt. Soc. Am. 51, 123, with Beckmann's cosine; the tabled
numbers are closed forms of Fresnel's equations.
"""

import math

import pytest

from calculators.gloss import GLAZE_INDEX, gloss, mirrored, reflectance
from calculators.syrup import refractive_index
from calculators.units import q


def _at(degrees):
    return q(degrees, "degree")


@pytest.mark.parametrize(("degrees", "share"), [(20, 0.04908), (60, 0.10006), (85, 0.61915)])
def test_the_standard_glass_mirrors_what_fresnel_says_and_reads_100(degrees, share):
    assert reflectance(q(1.567), _at(degrees)).m / 100 == pytest.approx(share, abs=1e-4)
    assert gloss(q(1.567), _at(degrees)).m == pytest.approx(100, abs=1e-9)


@pytest.mark.parametrize(
    ("index", "degrees", "units"),
    [(1.50, 20, 82.05), (1.50, 60, 89.14), (1.50, 85, 98.97), (1.46, 60, 82.41)],
)
def test_another_index_reads_in_proportion(index, degrees, units):
    assert gloss(q(index), _at(degrees)).m == pytest.approx(units, abs=0.05)


@pytest.mark.parametrize(("degrees", "left"), [(0, 0.271), (60, 0.722)])
def test_a_twentieth_of_a_micrometre_takes_the_mirror_away(degrees, left):
    found = mirrored(q(0.05, "um"), _at(degrees)).m / 100
    assert found == pytest.approx(left, abs=0.002)


def test_upright_it_is_the_known_square_and_at_brewster_s_angle_half_is_dark():
    n = 1.46
    assert reflectance(q(n), _at(0)).m / 100 == pytest.approx(((n - 1) / (n + 1)) ** 2)
    dark = math.degrees(math.atan(n))
    inside = math.radians(90 - dark)  # mirrored and bent ray stand square
    across = math.sin(math.radians(dark) - inside) / math.sin(math.radians(dark) + inside)
    assert reflectance(q(n), _at(dark)).m / 100 == pytest.approx(across**2 / 2)


def test_the_remembered_index_is_near_that_of_its_syrup():
    assert refractive_index(q(69, "percent")).m == pytest.approx(GLAZE_INDEX.m, abs=0.01)


@pytest.mark.parametrize("index", [1.45, 1.46, 1.47])
def test_no_wet_glaze_exceeds_85(index):
    assert gloss(q(index)).m < 85
