"""Films drawn out of a bath, density 1250 kg/m³, surface tension 60 mN/m.

Landau and Levich (1942), Acta Physicochimica URSS 17, 42: coefficient 0.944 from
memory; tolerance 0.3 %.  Derjaguin (1943) as quoted in the abstract of Benilov and
Zubkov (2008), J. Fluid Mech. 617, 283: published; tolerance 0.2 %.
Columns: viscosity Pa s, speed mm/s, thickness mm.
"""

import pytest

from calculators.coating import dipped_film, drawn_film
from calculators.faults import FaultsError
from calculators.units import q

DENSITY, TENSION = q(1250, "kg/m**3"), q(60, "mN/m")
LANDAU_LEVICH = [(1, 1, 0.1362), (1, 10, 0.6324)]
DERJAGUIN = [(1, 10, 0.903)]


@pytest.mark.parametrize(("viscosity", "speed", "tabled"), LANDAU_LEVICH)
def test_a_slow_lift_draws_the_film_of_landau_and_levich(viscosity, speed, tabled):
    found = dipped_film(q(viscosity, "Pa*s"), q(speed, "mm/s"), DENSITY, TENSION)
    assert found.to("mm").m == pytest.approx(tabled, rel=3e-3)


@pytest.mark.parametrize(("viscosity", "speed", "tabled"), DERJAGUIN)
def test_a_quick_lift_draws_the_film_of_derjaguin(viscosity, speed, tabled):
    found = drawn_film(q(viscosity, "Pa*s"), q(speed, "mm/s"), DENSITY)
    assert found.to("mm").m == pytest.approx(tabled, rel=2e-3)


def test_a_lift_outside_the_theory_is_refused_with_the_speed_that_is_allowed():
    with pytest.raises(FaultsError, match=r"Ca must be at most 0\.2, here 12 mm/s"):
        dipped_film(q(1, "Pa*s"), q(20, "mm/s"), DENSITY, TENSION)
