"""Areas of six ideal shapes, in cm and cm².

Source: solid geometry (closed form; any book of tables of mensuration).
Provenance: exact.  Columns: shape, area that takes glaze, tolerance 0.02 cm².
"""

import pytest

from calculators.coating import Cylinder, Dome, Ring, Savarin, Torus, YuleLog, area
from calculators.units import q


def cm(value):
    return q(value, "cm")


# fmt: off
TABLE = [
    # shape                                   cm²
    (Cylinder(cm(18), cm(4.5)),               508.94),  # top and wall
    (Dome(cm(7)),                              76.97),  # curved face only
    (Ring(cm(18), cm(6), cm(5)),              603.19),  # annulus and both walls
    (Torus(cm(17), cm(7)),                    592.18),  # R 6, r 2.5
    (Savarin(cm(17), cm(7)),                  296.09),  # its upper half
    (YuleLog(cm(8), cm(25)),                      364.42),  # r 4, curved face and ends
]
# fmt: on


@pytest.mark.parametrize(("shape", "tabled"), TABLE)
def test_the_area_is_that_of_solid_geometry(shape, tabled):
    assert area(shape).to("cm**2").m == pytest.approx(tabled, abs=0.02)
