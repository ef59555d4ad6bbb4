"""Foods by water activity, in groups.

Source: New York State Department of Agriculture and Markets, Water Activity: principal
groups of foods based on water activity, as read on its page.  Provenance: published.
The groups are broad, so a band must reach into its group and need not lie inside.
Milk by its freezing point: -0.53 °C, from memory, ice of 6.01 kJ/mol.
Columns: ingredient, water activity from, to.
"""

from math import exp

import pytest

from calculators.faults import FaultsError
from calculators.formula import Formula, analysis, water_activity
from calculators.kitchen import Line
from calculators.units import q

TABLE = [
    ("milk, whole", 0.98, 1.00),
    ("raspberry purée", 0.98, 1.00),
    ("evaporated milk", 0.93, 0.98),
    ("condensed milk, sweetened", 0.85, 0.93),
    ("apricot jam", 0.60, 0.85),
    ("honey", 0.00, 0.60),
]
# dry powders: hardly any water is free in them, and no syrup equation holds
_PRINTED = 0.005  # the groups are told to 0.01; evaporated milk lies at an edge
DRY = ["gelatin leaf", "cocoa powder", "salt", "titanium white", "milk powder, skimmed"]


def _alone(name):
    return Formula(name, [Line(name, q(1, "kg"))])


@pytest.mark.parametrize(("name", "lowest", "highest"), TABLE)
def test_the_band_of_a_food_reaches_into_its_group(name, lowest, highest):
    band = water_activity(_alone(name))
    assert band.low <= band.typical <= band.high
    assert band.low.m <= highest + _PRINTED
    assert band.high.m >= lowest - _PRINTED


def test_milk_has_the_water_activity_that_its_freezing_point_tells():
    kelvin = 273.15 - 0.53
    from_ice = exp(6010 / 8.3145 * (1 / 273.15 - 1 / kelvin))
    assert q(from_ice) in water_activity(_alone("milk, whole"))


@pytest.mark.parametrize("name", DRY)
def test_a_dry_powder_is_no_syrup_and_gets_no_water_activity(name):
    with pytest.raises(FaultsError, match=r"too dry|next to no water"):
        water_activity(_alone(name))


def test_an_analysis_says_nothing_of_a_paste_that_is_too_dry():
    paste = Formula("p", [Line("cocoa powder", q(300, "g")), Line("water", q(25, "g"))])
    assert analysis(paste).water_activity is None
