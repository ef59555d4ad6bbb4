"""Water activity of sucrose solutions at 25 °C.

[robinson-stokes1961], isopiestic polynomial, to 6 mol in a kilogram of water: from
memory.  How mixtures of sugars keep is tested beside ``mixture``.
"""

import pytest

from calculators import syrup
from calculators.units import q

ROBINSON_STOKES = [  # mol in 1 kg of water, aw; 0.0015
    (0.5, 0.9907),
    (1, 0.9806),
    (2, 0.9582),
    (4, 0.9056),
    (5, 0.8776),
    (6, 0.8496),
]


def brix_of(molality):
    sugar = molality * 342.30
    return q(100 * sugar / (sugar + 1000), "percent")


@pytest.mark.parametrize(("molality", "printed"), ROBINSON_STOKES)
def test_sucrose_agrees_with_robinson_and_stokes(molality, printed):
    found = syrup.water_activity(brix_of(molality), q(25, "degC")).m
    assert found == pytest.approx(printed, abs=0.0015)


def test_a_saturated_syrup_stands_at_0_845():
    full = syrup.solubility(q(25, "degC"))
    found = syrup.water_activity(full, q(25, "degC")).m
    assert found == pytest.approx(0.845, abs=0.005)
