"""Gloss: its limits and directions."""

from itertools import pairwise

import pytest

from calculators.gloss import gloss, mirrored, reflectance
from calculators.units import q


def test_air_on_air_mirrors_nothing():
    assert reflectance(q(1.0)).m == pytest.approx(0, abs=1e-12)


def test_a_smooth_surface_keeps_its_whole_mirror():
    assert mirrored(q(0, "um")).m == 100


@pytest.mark.parametrize("degrees", [20, 60, 85])
def test_roughness_dulls(degrees):
    seen = [gloss(angle=q(degrees, "degree"), roughness=q(r / 100, "um")).m for r in range(12)]
    assert all(a > b for a, b in pairwise(seen))


def test_a_denser_glaze_mirrors_more_and_a_slant_too():
    seen = [reflectance(q(1 + n / 20)).m for n in range(20)]
    assert all(a < b for a, b in pairwise(seen))
    seen = [reflectance(angle=q(d, "degree")).m for d in range(0, 90, 10)]
    assert all(a < b for a, b in pairwise(seen))


def test_a_slant_forgives_roughness():
    low, high = (mirrored(q(0.1, "um"), q(d, "degree")).m for d in (20, 85))
    assert low < 1
    assert high > 90
