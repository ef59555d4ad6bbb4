"""The test solution of the Bloom test, reckoned as gelatin in the water phase.

Source: ISO 9665, AOAC 948.21, JIS K6503: 7.50 g in 105 g of water, 6.67 % by mass.
Provenance: published.
"""

import pytest

from calculators.formula import Formula, gelatin_in_water
from calculators.kitchen import Line
from calculators.units import q


@pytest.mark.parametrize("gelatin", ["gelatin powder", "gelatin leaf", "gelatin, fish"])
def test_the_test_solution_is_6_67_per_cent(gelatin):
    made = Formula("test", [Line(gelatin, q(7.5, "g")), Line("water", q(105, "g"))])
    assert gelatin_in_water(made).m == pytest.approx(6.67, abs=0.005)
