"""Density of foods from what a cup of them weighs.

Source: U.S. Department of Agriculture, National Nutrient Database for Standard
Reference, Release 28, household measures, by NDB number.  Provenance: published; a US
cup is 236.588 ml, and masses are rounded to 1 g.  The density of a formula is good to
2 %.  Columns: NDB, ingredient, g in a cup.
"""

import pytest

from calculators.formula import Formula, density
from calculators.kitchen import Line
from calculators.units import q

CUP = 236.588  # ml
TABLE = [
    ("01153", "evaporated milk", 252),  # half a cup, 126 g
    ("01174", "milk, whole", 246),  # milk of 2 % fat
    ("09152", "lemon juice", 244),
    ("09233", "passion fruit purée", 247),  # juice
    ("19349", "light corn syrup", 328),  # dark corn syrup, of nearly the same water
]


@pytest.mark.parametrize(("ndb", "name", "grams"), TABLE)
def test_a_cup_weighs_what_the_food_table_says(ndb, name, grams):
    made = Formula(name, [Line(name, q(1, "kg"))])
    assert density(made).m == pytest.approx(1000 * grams / CUP, rel=0.02)
