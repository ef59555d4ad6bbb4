"""The ratio K/S: Kubelka and Munk (1931), Zeitschrift für technische Physik 12, 593.

Provenance: published for the ratio; the two mixtures are its closed form.
Columns: reflectance, K/S to four places (five for the last).
"""

import pytest

from calculators.colour import absorption, mix_reflectances, reflectance
from calculators.units import q

TABLE = [(0.1, 4.05), (0.2, 1.6), (0.5, 0.25), (0.9, 0.00556)]
MIXTURES = [(50, 0.30278), (5, 0.6636)]  # % of 0.2 in 0.9, reflectance


@pytest.mark.parametrize(("r", "ks"), TABLE)
def test_the_ratio_is_the_one_tabled(r, ks):
    assert absorption(r).m == pytest.approx(ks, abs=1e-4)


@pytest.mark.parametrize(("r", "ks"), TABLE)
def test_the_reflectance_comes_back_from_the_tabled_ratio(r, ks):
    assert reflectance(ks).m == pytest.approx(r, abs=5e-4)


@pytest.mark.parametrize(("dark", "tabled"), MIXTURES)
def test_a_mixture_reflects_what_the_mean_ratio_says(dark, tabled):
    parts = [(0.9, q(100 - dark, "percent")), (0.2, q(dark, "percent"))]
    assert mix_reflectances(parts).m == pytest.approx(tabled, abs=1e-4)
