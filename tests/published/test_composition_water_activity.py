"""Water activity of a formula of one sugar and water at 25 °C.

Sources: Robinson and Stokes, sucrose, by molality; Norrish with the constants of
Chirife and others 1982 (glucose, the 80 % syrup of 42 DE).  Provenance: from memory,
so every value is held against the band and not against a number.
"""

import pytest

from calculators.formula import Formula, water_activity
from calculators.kitchen import Line
from calculators.units import q

#        mol sucrose in 1 kg of water, water activity
SUCROSE = [(1, 0.9806), (2, 0.9582), (4, 0.9056), (5, 0.8776), (6, 0.8496)]


@pytest.mark.parametrize(("molality", "aw"), SUCROSE)
def test_a_sucrose_syrup_has_the_measured_value_in_its_band(molality, aw):
    sugar = q(342.30 * molality / 0.998, "g")
    made = Formula("syrup", [Line("sugar", sugar), Line("water", q(1000, "g"))])
    assert q(aw) in water_activity(made)


def test_dextrose_at_sixty_per_cent_has_the_remembered_value_in_its_band():
    made = Formula("d", [Line("dextrose", q(660, "g")), Line("water", q(340, "g"))])
    assert q(0.837) in water_activity(made)


def test_the_remembered_value_of_the_80_per_cent_glucose_syrup_is_in_its_band():
    tub = Formula("tub", [Line("glucose syrup, confectioner's", q(1, "kg"))])
    assert q(0.767) in water_activity(tub)
