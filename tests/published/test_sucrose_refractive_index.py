"""Refractive index of sucrose solutions, 20 °C, 589 nm.

[icumsa-sps3], scale of 1974 (also OIML R 142).  The ten rows below are from memory;
the library chemicals holds the whole table from another copy.
"""

import pytest

from calculators import syrup
from calculators.units import q

ROWS = [  # percent, index
    (0, 1.33299),
    (10, 1.34782),
    (20, 1.36384),
    (30, 1.38115),
    (40, 1.39986),
    (50, 1.42009),
    (60, 1.44193),
    (70, 1.46546),
    (75, 1.47787),
    (80, 1.49072),
    (85, 1.50398),
]
LATER = [  # °C, percent, correction; the table's own rows and columns
    (10, 10, -0.59),
    (10, 20, -0.65),
    (10, 30, -0.69),
    (10, 40, -0.72),
    (10, 50, -0.74),
    (10, 60, -0.75),
    (10, 75, -0.75),
    (15, 10, -0.32),
    (15, 20, -0.34),
    (15, 30, -0.36),
    (15, 40, -0.37),
    (15, 50, -0.38),
    (15, 60, -0.38),
    (17, 10, -0.20),
    (17, 30, -0.22),
    (17, 60, -0.23),
]


@pytest.mark.parametrize(("brix", "printed"), ROWS)
def test_index_agrees_with_the_table(brix, printed):
    found = syrup.refractive_index(q(brix, "percent")).m
    assert found == pytest.approx(printed, abs=2e-5)  # 1e-4 is what the rows support


def test_index_agrees_with_the_library_at_every_row_of_the_scale():
    refractivity = pytest.importorskip("chemicals.refractivity")
    for brix in range(86):
        theirs = refractivity.brix_to_RI(brix)
        assert syrup.refractive_index(q(brix, "percent")).m == pytest.approx(theirs, abs=2e-5)
        back = syrup.brix_from_refractive_index(q(theirs, "")).m
        assert back == pytest.approx(brix, abs=0.02)


def test_light_bending_per_gram_of_sugar_is_nearly_constant():
    """Lorentz and Lorenz: 0.2066 to 0.2045 cm³/g and falling; one bad digit shows."""
    last = 0.2067
    for brix in range(10, 86, 5):
        n, rho = syrup.refractive_index(q(brix, "percent")).m, 0.0
        rho = syrup.density(q(brix, "percent")).m_as("g/cm**3")
        n0 = syrup.refractive_index(q(0, "percent")).m
        bend, bend0 = ((m * m - 1) / (m * m + 2) for m in (n, n0))
        w = brix / 100
        sugar = (bend / rho - (1 - w) * bend0 / 0.998204) / w
        assert 0.2044 < sugar < last
        last = sugar
