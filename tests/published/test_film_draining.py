"""The draining film: Jeffreys (1930), The draining of a vertical plate.

Proc. Camb. Phil. Soc. 26, 204.  Formula from memory; the numbers are its closed form
with g = 9.81 m/s² and density 1250 kg/m³.
Columns: viscosity Pa s, time s, distance cm, local thickness mm; tolerance 0.1 %.
"""

import pytest

from calculators.coating import film, mean_film, thickness
from calculators.units import q

TABLE = [(1, 60, 5, 0.2607), (2, 30, 5, 0.5214), (0.5, 30, 10, 0.3687)]
DENSITY = q(1250, "kg/m**3")


@pytest.mark.parametrize(("viscosity", "time", "distance", "tabled"), TABLE)
def test_the_local_thickness_is_that_of_jeffreys(viscosity, time, distance, tabled):
    found = film(q(viscosity, "Pa*s"), q(time, "s"), q(distance, "cm"), DENSITY)
    assert found.to("mm").m == pytest.approx(tabled, rel=1e-3)


@pytest.mark.parametrize(("viscosity", "time", "distance", "tabled"), TABLE)
def test_the_mean_is_two_thirds_of_the_foot(viscosity, time, distance, tabled):
    found = mean_film(q(viscosity, "Pa*s"), q(time, "s"), q(distance, "cm"), DENSITY)
    assert found.to("mm").m == pytest.approx(0.6667 * tabled, rel=1e-3)


def test_the_mean_is_what_adding_up_the_wall_gives():
    # Midpoint sum over a thousand strips, independent of the integral.
    args = (q(2, "Pa*s"), q(30, "s"))
    strips = [film(*args, q((i + 0.5) / 200, "cm"), DENSITY).m for i in range(1000)]
    assert mean_film(*args, q(5, "cm"), DENSITY).m == pytest.approx(sum(strips) / 1000, rel=1e-3)


def test_a_closed_thickness_agrees_with_its_coat():
    # 0.348 mm at 1250 kg/m³ is 0.043 g/cm²
    assert thickness(q(0.0435, "g/cm**2"), DENSITY).m == pytest.approx(0.348, abs=5e-4)
