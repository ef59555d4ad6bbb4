"""Relative sweetness, sucrose 100.

Source: Bender, A Dictionary of Food and Nutrition; Gaman and Sherrington, The Science
of Food.  Provenance: published; sources differ by 15 %.
Columns: sugar, Bender, Gaman and Sherrington.
"""

import pytest

from calculators import glucose
from calculators.units import q

SUGARS = [
    ("fructose", 173, 170),
    ("glucose", 74, 75),
    ("maltose", 33, 30),
    ("lactose", 16, 15),
    ("invert sugar", None, 130),
]


# dextrose equivalent, sweetness of the solids, either way; trade tables, from memory
@pytest.mark.parametrize(("equivalent", "value", "way"), [(42, 50, 10), (63, 67.5, 10)])
def test_the_solids_are_as_sweet_as_trade_tables_say(equivalent, value, way):
    tub = glucose.Syrup(q(equivalent, "percent"), q(80, "percent"))
    assert glucose.sweetness(tub).typical.m == pytest.approx(value, abs=way)
