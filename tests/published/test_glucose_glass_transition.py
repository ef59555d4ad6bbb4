"""Glass transition of sugars and of glucose syrup solids.

Source: Roos 1993 and 1995 with the equation of Gordon and Taylor, water at -135 °C.
Provenance: from memory, so 3 °C for the dry points and 4 °C for moist sugar.
"""

import pytest

from calculators import glucose
from calculators.units import q

DRY = [("sucrose", 62), ("glucose", 31), ("fructose", 5), ("maltose", 87)]
# water in %, °C: sucrose with 335 K, k = 4.7 and 138 K, worked by hand
MOIST = [(2, 44.6), (5, 22.8), (10, -5.7)]
# dextrose equivalent, °C, dry
CHAINS = [(36, 100), (25, 121), (20, 141), (10, 160), (5, 188), (100, 31), (52.63, 87)]


@pytest.mark.parametrize(("sugar", "celsius"), DRY)
def test_dry_sugar_softens_at_its_remembered_point(sugar, celsius):
    band = glucose.glass_transition(q(0, "percent"), sugar)
    assert band.typical.m == pytest.approx(celsius, abs=3)
    assert band.provenance == "from memory"


@pytest.mark.parametrize(("water", "celsius"), MOIST)
def test_a_little_water_lowers_the_point_by_gordon_and_taylor(water, celsius):
    band = glucose.glass_transition(q(water, "percent"))
    assert band.typical.m == pytest.approx(celsius, abs=0.2)
    assert band.high.m - band.typical.m == pytest.approx(4)


@pytest.mark.parametrize(("equivalent", "celsius"), CHAINS)
def test_dry_syrup_softens_by_its_dextrose_equivalent(equivalent, celsius):
    band = glucose.glass_transition_of_syrup(q(0, "percent"), q(equivalent, "percent"))
    assert band.typical.m == pytest.approx(celsius, abs=3)


def test_water_itself_is_a_glass_below_minus_135():
    assert pytest.approx(-135, abs=0.2) == glucose.GLASSY_WATER - 273.15


@pytest.mark.parametrize(
    ("sugar", "k"), [("sucrose", 4.7), ("glucose", 4.2), ("fructose", 3.8), ("maltose", 6.0)]
)
def test_the_constant_of_each_sugar_shows_in_the_answer(sugar, k):
    # solve Gordon and Taylor for k at 10 % of water
    dry = glucose.glass_transition(q(0, "percent"), sugar).typical.m + 273.15
    moist = glucose.glass_transition(q(10, "percent"), sugar).typical.m + 273.15
    found = 0.9 * (dry - moist) / (0.1 * (moist - 138))
    assert found == pytest.approx(k, abs=0.01)
