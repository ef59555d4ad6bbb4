"""How much sucrose water holds.

[vavrinecz1962], the equation of ICUMSA SPS-2, evaluated by others: from memory.
[herzfeld1892], the table of the older handbooks: published.  Copies print 66.53 at
15 °C, 68.8 at 30 °C, 75.88 at 65 °C and 80.84 at 90 °C: misprints.
[charles1960]: from memory.
"""

from itertools import pairwise

import pytest

from calculators import syrup
from calculators.sources import table
from calculators.units import q

ROWS = [  # °C, Herzfeld, Vavrinecz, Charles, g in 100 g of water (Vavrinecz)
    (0, 64.18, 64.45, 64.40, 181.3),
    (10, 65.58, 65.43, 65.32, 189.3),
    (20, 67.09, 66.72, 66.60, 200.5),
    (25, 67.89, 67.47, 67.35, 207.4),
    (30, 68.70, 68.29, 68.18, 215.4),
    (50, 72.25, 72.12, 72.04, 258.6),
    (60, 74.18, 74.26, 74.20, 288.6),
    (80, 78.36, 78.68, 78.74, 369.0),
    (100, 82.87, 82.65, 83.18, 476.4),
]


@pytest.mark.parametrize(("t", "herzfeld", "vavrinecz", "charles", "per_100"), ROWS)
def test_each_source_gives_its_own_column(t, herzfeld, vavrinecz, charles, per_100):
    there = q(t, "degC")
    assert syrup.solubility(there).m == pytest.approx(vavrinecz, abs=0.01)
    old = syrup.solubility(there, following="Herzfeld 1892").m
    assert old == pytest.approx(herzfeld, abs=0.05)
    third = syrup.solubility(there, following="Charles 1960").m
    assert third == pytest.approx(charles, abs=0.01)
    held = syrup.sugar_per_water(syrup.solubility(there)).m_as("g/kg") / 10
    assert held == pytest.approx(per_100, abs=0.15)


@pytest.mark.parametrize(("t", "printed"), [(70, 76.22), (90, 80.61)])
def test_herzfelds_other_rows_are_met(t, printed):
    old = syrup.solubility(q(t, "degC"), following="Herzfeld 1892").m
    assert old == pytest.approx(printed, abs=0.05)


def test_the_three_lie_as_near_as_is_promised():
    for t in range(0, 101, 5):
        there = q(t, "degC")
        vavrinecz, *others = (
            syrup.solubility(there, how).m
            for how in ("Vavrinecz 1962", "Herzfeld 1892", "Charles 1960")
        )
        for other in others:
            assert other == pytest.approx(vavrinecz, abs=0.5 if t < 100 else 0.6)
            held = [s / (100 - s) for s in (other, vavrinecz)]
            assert held[0] == pytest.approx(held[1], rel=0.025 if t < 95 else 0.04)


def test_the_famous_204_grams_is_herzfelds_and_the_modern_figure_is_200():
    old = syrup.sugar_per_water(syrup.solubility(q(20, "degC"), "Herzfeld 1892"))
    new = syrup.sugar_per_water(syrup.solubility(q(20, "degC")))
    assert old.m / 10 == pytest.approx(203.9, abs=0.3)
    assert new.m / 10 == pytest.approx(200.5, abs=0.5)


def test_the_sources_lie_within_six_tenths_of_a_percent():
    for t in range(0, 101, 5):
        each = [
            syrup.solubility(q(t, "degC"), f).m
            for f in ("Vavrinecz 1962", "Herzfeld 1892", "Charles 1960")
        ]
        assert max(each) - min(each) < 0.6


def test_herzfelds_table_runs_smoothly_so_that_no_digit_is_wrong():
    values = [row.value for row in table("syrup_solubility_herzfeld").values()]
    steps = [b - a for a, b in pairwise(values)]
    assert all(-0.06 <= b - a <= 0.12 for a, b in pairwise(steps))
    assert len(values) == 21
