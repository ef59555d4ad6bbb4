"""Water activity of syrups of one and of several sugars.

[sloan-labuza1975], grams of water to 100 g of solids at one water activity, as reprinted:
published.  The dextrose equivalent of their corn syrup is not told; 42 is taken.  Rows of
the amorphous state up to 80 % of solids, of sorbitol by adsorption; those of glucose stand
for crystals, and sucrose and fructose below 25 g of water for glass: not used.
[robinson-stokes1961]: osmotic coefficients of sucrose, from memory.  Flower honey, 706
samples of Turkish honeys (doi 10.1590/1678-457X.31716), range by range: published.
"""

import pytest

from calculators import mixture
from calculators.glucose import Syrup
from calculators.mixture import Mixture, Tub
from calculators.units import q

DRY_42 = Syrup(q(42, "percent"), q(100, "percent"))


def of(water, sugars=(), tubs=()):
    made = Mixture(q(water, "g"), {n: q(g, "g") for n, g in dict(sugars).items()}, tubs)
    return mixture.water_activity(made)


CORN_SYRUP = [  # g of water to 100 g of solids, water activity, tolerance
    (14, 0.60, 0.03),
    (20, 0.70, 0.03),
    (30, 0.80, 0.02),
    (54, 0.90, 0.02),
]


@pytest.mark.parametrize(("water", "printed", "tolerance"), CORN_SYRUP)
def test_corn_syrup_leaves_as_much_water_free_as_was_measured(water, printed, tolerance):
    found = of(water, tubs=[Tub(q(100, "g"), DRY_42)])
    assert found.typical.m == pytest.approx(printed, abs=tolerance)
    assert q(printed) in found


SUGARS = [  # g of water to 100 g of sugar
    ("sucrose", 35, 0.80, 0.02),
    ("sucrose", 65, 0.90, 0.02),
    ("fructose", 30, 0.70, 0.05),  # isopiestic work lies lower, 0.755 at the next row
    ("fructose", 44, 0.80, 0.05),
    ("fructose", 80, 0.90, 0.05),
    ("sorbitol", 25, 0.60, 0.02),
    ("sorbitol", 35, 0.70, 0.02),
    ("sorbitol", 55, 0.80, 0.02),
    ("sorbitol", 110, 0.90, 0.02),
]


@pytest.mark.parametrize(("sugar", "water", "printed", "tolerance"), SUGARS)
def test_a_sugar_leaves_as_much_water_free_as_was_measured(sugar, water, printed, tolerance):
    assert of(water, {sugar: 100}).typical.m == pytest.approx(printed, abs=tolerance)


OSMOTIC = [  # mol of sucrose in a kilogram of water, water activity, tolerance
    (1, 0.9806, 0.0005),
    (5, 0.8776, 0.0015),
    (6, 0.849, 0.002),
]


@pytest.mark.parametrize(("molal", "remembered", "tolerance"), OSMOTIC)
def test_sucrose_stands_where_its_osmotic_coefficient_puts_it(molal, remembered, tolerance):
    found = of(1000, {"sucrose": molal * 342.30})
    assert found.typical.m == pytest.approx(remembered, abs=tolerance)
    assert q(remembered) in found


HONEY = [(15.0, 0.470), (20.4, 0.563)]  # percent of water, water activity


@pytest.mark.parametrize(("water", "printed"), HONEY)
def test_a_honey_is_near_what_turkish_honeys_have(water, printed):
    """Of fructose 41.5, glucose 37.2 and the rest maltose: the split is a usual one."""
    rest = 100 - water - 41.5 - 37.2
    found = of(water, {"fructose": 41.5, "glucose": 37.2, "maltose": rest})
    assert found.low.m - 0.06 <= printed <= found.high.m + 0.06


def test_glucose_stands_where_two_models_agree():
    """5 mol in a kilogram of water: Norrish with -2.25 by hand, (1 - x) exp(-2.25 x²)."""
    assert of(1000, {"glucose": 5 * 180.16}).typical.m == pytest.approx(0.9034, abs=0.002)


def test_lactose_that_crystallised_frees_water():
    """Condensed milk, mostly crystals of lactose: 0.85 to 0.88, from memory."""
    milk = Mixture(q(27.16, "g"), {"sucrose": q(43.1, "g")}, milk_solids=q(20.7, "g"))
    found = mixture.water_activity(milk)
    assert found.low.m < 0.85
    assert found.high.m > 0.86
