"""Density of a formula of sugar and water at 20 °C.

Source: CRC Handbook, "Concentrative properties of aqueous solutions: sucrose",
20 °C column, kg/m³.  Provenance: published.  The formula's density is good to 2 %
for any glaze; for a plain syrup it must come within 0.1 %.
"""

import pytest

from calculators.formula import Formula, density
from calculators.kitchen import Line
from calculators.units import q

#        % m/m  kg/m³
TABLE = [
    (10, 1038.1),
    (20, 1081.0),
    (40, 1176.5),
    (60, 1286.4),
    (70, 1347.2),
]


@pytest.mark.parametrize(("strength", "table"), TABLE)
def test_a_formula_of_sugar_and_water_weighs_what_the_handbook_says(strength, table):
    made = Formula(
        "syrup",
        [
            Line("sugar", q(10 * strength, "g")),
            Line("water", q(1000 - 10 * strength, "g")),
        ],
    )
    assert density(made).m == pytest.approx(table, rel=1e-3)
