"""Freezing point of sugars and of milk.

[crc-aqueous2021]: percent by mass, and how far below 0 °C, published.  [leighton1927]:
lactose's share of what freezes milk, published.  The salts of milk by the sheet of
[goff-freezing]: published.  Splitting the lactose of a mix for ice cream, one sentence of
a study: published.  Glycerol: Lange's Handbook of Chemistry, 15th edition, table 5.13,
published; its row of 10 % (1.6 K) lies below Raoult's law (2.2 K) and is not used.
"""

import pytest

from calculators import mixture
from calculators.mixture import Mixture
from calculators.units import q

HANDBOOK = [  # sugar, percent, K below 0 °C, tolerance
    ("glucose", 10, 1.17, 0.05),
    ("glucose", 24, 3.48, 0.05),
    ("glucose", 30, 4.79, 0.05),
    ("fructose", 10, 1.16, 0.05),
    ("fructose", 28, 4.20, 0.12),
    ("maltose", 20, 1.43, 0.08),
    ("maltose", 40, 4.41, 0.08),
    ("maltose", 44, 5.35, 0.08),
    ("lactose", 5, 0.29, 0.02),
    ("sucrose", 16, 1.10, 0.05),
    ("sucrose", 36, 3.63, 0.05),
]


def freezes(made):
    return mixture.freezing_point(made)


@pytest.mark.parametrize(("sugar", "percent", "printed", "tolerance"), HANDBOOK)
def test_a_sugar_freezes_where_the_handbook_says(sugar, percent, printed, tolerance):
    found = freezes(Mixture(q(100 - percent, "g"), {sugar: q(percent, "g")}))
    assert -found.typical.m == pytest.approx(printed, abs=tolerance)
    assert -found.high.m - 0.02 <= printed <= -found.low.m + 0.02


@pytest.mark.parametrize(("percent", "printed"), [(20, 4.8), (30, 9.5), (40, 15.5)])
def test_glycerol_freezes_near_the_table_of_antifreeze(percent, printed):
    """It is worked out with the energies of glucose: good to a tenth."""
    found = freezes(Mixture(q(100 - percent, "g"), {"glycerol": q(percent, "g")}))
    assert -found.typical.m == pytest.approx(printed, rel=0.1)


def test_fructose_of_20_percent_lies_within_what_borrowed_energies_allow():
    """2.64 K; it is worked out with the energies of glucose, good to 0.1 K."""
    found = freezes(Mixture(q(80, "g"), {"fructose": q(20, "g")}))
    assert -found.typical.m == pytest.approx(2.64, abs=0.1)


def test_lactose_does_more_than_half_of_what_freezes_milk():
    milk = Mixture(q(87.11, "g"), {"lactose": q(4.9, "g")})
    assert -freezes(milk).typical.m == pytest.approx(0.306, abs=0.005)


def test_the_salts_of_milk_freeze_as_the_sheet_says():
    """10 % of milk solids and 2 % of whey solids in 60 % of water: 0.474 K of salts."""
    lactose = 12 * 0.545
    plain = freezes(Mixture(q(60, "g"), {"lactose": q(lactose, "g")})).typical.m
    whole = freezes(Mixture(q(60, "g"), milk_solids=q(12, "g"))).typical.m
    assert plain - whole == pytest.approx(0.474, abs=0.01)


def test_milk_freezes_where_milk_freezes():
    """87.11 g of water and 8.9 g of solids not fat: 0.55 K, of Leighton."""
    milk = Mixture(q(87.11, "g"), milk_solids=q(8.9, "g"), beside=q(4, "g"))
    assert -freezes(milk).typical.m == pytest.approx(0.55, abs=0.01)


def test_splitting_the_lactose_of_a_mix_lowers_its_freezing_point():
    """From -2.18 to -2.48 °C where over 75 % is split; 76 % is taken.

    The mix is not told: 14 % sucrose and 9 % milk solids not fat in 63 % water are taken,
    as such mixes have.  Splitting takes up a water for each lactose.
    """
    lactose = 9 * 0.545
    gone = 0.76 * lactose
    plain = {"sucrose": q(14, "g"), "lactose": q(lactose, "g")}
    split = {
        "sucrose": q(14, "g"),
        "lactose": q(lactose - gone, "g"),
        "glucose": q(2 * gone * 180.16 / 342.30, "g"),
    }
    before = freezes(Mixture(q(63, "g"), plain)).typical.m
    after = freezes(Mixture(q(63 - gone * 18.015 / 342.30, "g"), split)).typical.m
    assert after - before == pytest.approx(-0.30, abs=0.1)
    whole = Mixture(q(63, "g"), {"sucrose": q(14, "g")}, milk_solids=q(9, "g"))
    assert freezes(whole).typical.m == pytest.approx(-2.18, abs=0.25)
