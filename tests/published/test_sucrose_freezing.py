"""Freezing point of sucrose solutions.

[starzak-peacock1997] with the heat of melting of ice, evaluated by others:
published constants.  [clarke2012], text to figure 2.8: published.
[leighton1927] after Pickering, the table of ice-cream practice: from memory.
[goff-freezing], worked mix: published.
"""

import pytest

from calculators import syrup
from calculators.units import q

MODEL = [  # percent, K below 0 °C; 0.03 K or 2.5 %
    (5, 0.292),
    (10, 0.629),
    (15, 1.021),
    (20, 1.482),
    (30, 2.684),
    (40, 4.453),
    (50, 7.22),
    (60, 11.9),
]
LEIGHTON = [  # g of sucrose in 100 g of water, K
    (6, 0.35),
    (12, 0.72),
    (18, 1.10),
    (24, 1.47),
    (30, 1.86),
    (42, 2.60),
    (60, 3.85),
    (90, 6.23),
    (120, 8.92),
]


def depression(brix):
    return -syrup.freezing_point(q(brix, "percent")).m


@pytest.mark.parametrize(("brix", "printed"), MODEL)
def test_freezing_point_agrees_with_the_model(brix, printed):
    assert depression(brix) == pytest.approx(printed, abs=max(0.03, 0.025 * printed))


def test_12_percent_freezes_at_minus_0_77():
    assert depression(12) == pytest.approx(0.77, abs=0.02)


@pytest.mark.parametrize(("grams", "printed"), LEIGHTON)
def test_freezing_point_is_near_the_table_of_ice_cream_practice(grams, printed):
    found = depression(100 * grams / (100 + grams))
    assert found == pytest.approx(printed, rel=0.07)


def test_the_sugars_of_goffs_mix_lower_it_as_his_sheet_says():
    # 34.43 g of sucrose equivalent in 100 g of water; his salts add 0.474 K: 2.59 K.
    sugars = depression(100 * 34.43 / 134.43)
    assert sugars + 0.474 == pytest.approx(2.59, abs=0.03)
    assert sugars == pytest.approx(2.12, abs=0.03)


def test_weak_syrup_freezes_where_raoult_says():
    """Physics, no fit: 1.86 K for each mol in a kilogram of water."""
    for brix in (1, 2, 4):
        molality = 1000 * brix / (100 - brix) / 342.30
        assert depression(brix) == pytest.approx(1.86 * molality, rel=0.03)
