"""What the trade says of gelatin: leaf masses, the two rules of swapping, the 80 °C.

Source: common practice, no source; the square root is the rule of the makers'
institutes, from memory.  The masses are worked by hand from the rules.
Columns as named at each table.
"""

import pytest

from calculators import gelatin
from calculators.units import q

# grade, bloom from, bloom to, mass of a leaf in g (0.3 g either way)
LEAVES = [
    ("bronze", 125, 155, 3.3),
    ("silver", 160, 160, 2.5),
    ("gold", 190, 220, 2.0),
    ("platinum", 235, 265, 1.7),
]
# bloom in stores, g for 10 g of 200 bloom by the square root, g leaf for leaf
SWAPS = [(140, 11.95, 14.29), (160, 11.18, 12.5), (240, 9.13, 8.33)]


@pytest.mark.parametrize(("grade", "low", "high", "grams"), LEAVES)
def test_a_leaf_weighs_what_the_trade_says(grade, low, high, grams):
    leaf = gelatin.GRADES[grade]
    assert leaf.leaf_mass.typical.m == pytest.approx(grams, abs=0.3)
    assert q(low, "bloom") in leaf.bloom
    assert q(high, "bloom") in leaf.bloom
    assert leaf.bloom.provenance == "common practice"


@pytest.mark.parametrize(("bloom", "root", "leaf"), SWAPS)
def test_ten_grams_of_200_bloom_are_replaced_by_either_rule(bloom, root, leaf):
    given = q(10, "g"), q(200, "bloom"), q(bloom, "bloom")
    assert gelatin.swap(*given).m == pytest.approx(root, abs=0.01)
    assert gelatin.swap(*given, rule="leaf for leaf").m == pytest.approx(leaf, abs=0.01)


def test_a_gel_at_half_the_test_concentration_keeps_a_quarter_of_its_bloom():
    # 250 bloom at 3.33 % behaves as 62.5: the square of a half
    band = gelatin.gel_strength(q(3.3333, "percent"), q(250, "bloom"))
    assert band.typical.m == pytest.approx(62.5, rel=0.001)
    assert band.provenance == "common practice"  # as the exponent's row


def test_gelatin_begins_to_lose_above_80_degrees():
    verdict = gelatin.good_for_gelatin(q(60, "degC"))
    assert verdict.highest == q(80, "degC")
    assert verdict.provenance == "common practice"


def test_doubling_the_concentration_raises_the_melting_point_by_2_4_kelvin():
    # Eldridge and Ferry 1954 with 220 kJ/mol near 29 °C: 2.39 K; physical 0.5 K
    low, high = (
        gelatin.melting_point(q(c, "percent"), q(150, "bloom")).typical.m for c in (7.07, 14.14)
    )
    assert (low + high) / 2 == pytest.approx(29, abs=0.1)
    assert high - low == pytest.approx(2.39, abs=0.05)


# bloom, melting and setting point of a 10 % gel in °C, from memory, 2 °C either way
POINTS = [(100, 28, 21), (150, 29, 23), (200, 31, 24), (250, 32.5, 26)]


@pytest.mark.parametrize(("bloom", "melts", "sets"), POINTS)
def test_a_ten_percent_gel_melts_and_sets_in_the_remembered_band(bloom, melts, sets):
    given = q(10, "percent"), q(bloom, "bloom")
    assert q(melts, "degC") in gelatin.melting_point(*given)
    assert q(sets, "degC") in gelatin.setting_point(*given)


# ratio of the rates of loss against 60 °C for 100 kJ/mol, by hand
@pytest.mark.parametrize(("celsius", "factor"), [(80, 7.7), (95, 31)])
def test_the_loss_in_heat_follows_arrhenius(celsius, factor):
    from math import log

    def rate(t):
        left = gelatin.strength_left(q(t, "degC"), q(1, "h")).typical
        return -log(left.m / 100)

    assert rate(celsius) / rate(60) == pytest.approx(factor, rel=0.02)
