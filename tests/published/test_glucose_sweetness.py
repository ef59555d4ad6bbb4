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


@pytest.mark.parametrize(("sugar", "bender", "gaman"), SUGARS)
def test_both_books_lie_in_the_band_and_the_first_is_followed(sugar, bender, gaman):
    band = glucose.relative_sweetness(sugar)
    assert q(gaman, "percent") in band
    assert band.typical.m == pytest.approx(bender or gaman)
    assert band.high.m / band.typical.m == pytest.approx(1.15, abs=0.01)
    assert band.provenance == "published"


# dextrose equivalent, sweetness of the solids, either way; trade tables, from memory
@pytest.mark.parametrize(("equivalent", "value", "way"), [(42, 50, 10), (63, 67.5, 10)])
def test_the_solids_are_as_sweet_as_trade_tables_say(equivalent, value, way):
    tub = glucose.Syrup(q(equivalent, "percent"), q(80, "percent"))
    assert glucose.sweetness(tub).typical.m == pytest.approx(value, abs=way)


def test_pure_glucose_is_the_same_by_either_road():
    dry = glucose.Syrup(q(100, "percent"), q(100, "percent"))
    pure = glucose.relative_sweetness("glucose")
    assert glucose.sweetness(dry).typical.m == pytest.approx(pure.typical.m)
