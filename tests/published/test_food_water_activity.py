"""Lowest water activities at which kinds of microbe grow.

Source: Beuchat 1981, Cereal Foods World 26, 345-349, table of bands (as restated by
others); for Staphylococcus the growth factors of the Agricultural Research Service, as
restated by a university.  Provenance: published.
"""

from itertools import pairwise

import pytest

from calculators import safety, syrup
from calculators.sources import table
from calculators.units import q

#        lowest  what grows from there on
TABLE = [
    (0.95, "Pseudomonas"),
    (0.91, "Salmonella"),
    (0.87, "many yeasts"),
    (0.83, "Staphylococcus"),
    (0.80, "most moulds"),
    (0.75, "salt"),
    (0.65, "moulds that like it dry"),
    (0.60, "yeasts that live in sugar"),
]


@pytest.mark.parametrize(("lowest", "what"), TABLE)
def test_it_may_grow_from_its_line_on_and_not_below(lowest, what):
    assert any(what in name for name in safety.may_grow(q(lowest)))
    assert not any(what in name for name in safety.may_grow(lowest - 0.001))


def test_nothing_is_known_to_grow_below_0_60():
    assert safety.may_grow(0.59) == ()
    assert safety.may_grow(0) == ()


def test_wetter_food_lets_everything_grow_that_drier_food_does():
    lists = [set(safety.may_grow(x / 100)) for x in range(101)]
    assert all(a <= b for a, b in pairwise(lists))
    assert len(safety.may_grow(1)) == len(table("growth")) == 8


def test_a_full_syrup_of_sugar_still_feeds_moulds_and_yeasts():
    """Saturated at 20 °C it stands near 0.85, where most moulds grow: Beuchat."""
    grows = safety.may_grow(syrup.water_activity(syrup.solubility()))
    assert "most moulds" in grows
    assert "many yeasts" not in grows
