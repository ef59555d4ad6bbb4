"""Rise of a single bubble at rest against closed forms, a textbook and a library.

Source: Stokes 1851 and Hadamard 1911, worked by hand with g = 9.81 m/s²; one worked
problem of school physics (published, secondary); ``fluids.v_terminal``.
Columns: diameter mm, viscosity Pa s, rise as a rigid sphere mm/s, clean mm/s.
Provenance: closed form, so the printed digits and the two values of g bound it.
"""

import fluids
import pytest

from calculators.blending import rise_speed, time_to_clear, viscosity_from_bubble
from calculators.units import q

GLAZE = q(1300, "kg/m**3")
BY_HAND = [
    (1.0, 1.0, 0.7085, 1.063),
    (0.5, 2.0, 0.08856, 0.1328),
    (0.1, 0.5, 0.01417, 0.02126),
]


def _of_the_library(mm, pas):
    """Return m/s of a sphere as much heavier than glaze as a bubble is lighter.

    For a lighter one the library falls back on the law of Stokes itself.
    """
    return fluids.v_terminal(D=mm / 1000, rhop=2600.0, rho=1300.0, mu=pas)


@pytest.mark.parametrize(("mm", "pas", "rigid", "clean"), BY_HAND)
def test_the_rise_agrees_with_the_law_worked_by_hand(mm, pas, rigid, clean):
    bubble = (q(mm, "mm"), q(pas, "Pa*s"), GLAZE)
    assert rise_speed(*bubble).m_as("mm/s") == pytest.approx(rigid, rel=0.002)
    assert rise_speed(*bubble, "clean").m_as("mm/s") == pytest.approx(clean, rel=0.002)


def test_ten_centimetres_take_141_seconds_with_a_skin_and_94_without():
    column = (q(10, "cm"), q(1, "mm"), q(1, "Pa*s"), GLAZE)
    assert time_to_clear(*column).m_as("s") == pytest.approx(141, abs=0.5)
    assert time_to_clear(*column, "clean").m_as("s") == pytest.approx(94, abs=0.5)


def test_the_schoolbook_bubble_gives_the_schoolbook_viscosity():
    # Radius 0.1 mm, 0.35 cm/s, 1000 kg/m³, g = 9.8 m/s²: 6.2e-3 Pa s, two digits.
    found = viscosity_from_bubble(q(0.2, "mm"), q(0.35, "cm/s"), q(1000, "kg/m**3"))
    assert found.m_as("Pa*s") == pytest.approx(0.0062, rel=0.01)


@pytest.mark.parametrize("mm", [0.05, 0.2, 0.5, 1.0])
@pytest.mark.parametrize("pas", [0.5, 2.0, 20.0])
def test_the_library_of_terminal_speeds_agrees(mm, pas):
    ours = rise_speed(q(mm, "mm"), q(pas, "Pa*s"), GLAZE)
    assert ours.m_as("m/s") == pytest.approx(_of_the_library(mm, pas), rel=0.003)


#   diameter mm, viscosity Pa s: thin syrups, up to the limit of Reynolds number 1
THIN = [(0.1, 0.002), (0.15, 0.002), (0.3, 0.01), (0.7, 0.02), (1.2, 0.05)]


@pytest.mark.parametrize(("mm", "pas"), THIN)
def test_near_the_limit_the_law_is_too_fast_and_by_no_more_than_15_per_cent(mm, pas):
    ours = rise_speed(q(mm, "mm"), q(pas, "Pa*s"), GLAZE).m_as("m/s")
    assert 1.01 < ours / _of_the_library(mm, pas) <= 1.15
    # Schiller and Naumann 1933: the drag is 1 + 0.15 Re^0.687 times that of Stokes.
    v = ours
    for _ in range(60):
        v = ours / (1 + 0.15 * (1300 * v * mm / 1000 / pas) ** 0.687)
    assert 1.01 < ours / v <= 1.15


@pytest.mark.parametrize("mm", [0.1, 0.5, 1.0])
@pytest.mark.parametrize("pas", [0.02, 0.3, 3.0, 100.0])
def test_a_clean_bubble_agrees_with_the_law_that_counts_the_air_inside(mm, pas):
    """Hadamard and Rybczynski with air of 18 µPa s: (mu + air) / (2 mu / 3 + air)."""
    air = 1.8e-5
    rigid = 1300 * 9.80665 * (mm / 1000) ** 2 / (18 * pas)
    theirs = rigid * (pas + air) / (2 * pas / 3 + air)
    if 1300 * theirs * mm / 1000 / pas <= 1:
        ours = rise_speed(q(mm, "mm"), q(pas, "Pa*s"), GLAZE, "clean").m_as("m/s")
        assert ours == pytest.approx(theirs, rel=0.001)
