"""How fast heat stops bromelain in pineapple juice.

Source: Sriwatanapongse and others, Transactions of the ASAE 43 (2000) 1703, abstract:
first order, 1.37e50 per minute, 3.26e5 J/mol, fitted from 55 to 67 °C.
Provenance: published; the half-lives are worked out from its two constants, 70 and
75 °C beyond its range.  Columns: temperature in °C, half-life in minutes.
"""

import pytest

from calculators import gelatin
from calculators.units import q

HALF_LIVES = [(55, 39.4), (60, 6.56), (67, 0.58), (70, 0.2124), (75, 0.04116)]


@pytest.mark.parametrize(("celsius", "minutes"), HALF_LIVES)
def test_half_life_is_that_of_the_published_constants(celsius, minutes):
    band = gelatin.enzyme_half_life("pineapple", q(celsius, "degC"))
    assert band.typical.to("min").m == pytest.approx(minutes, rel=0.01)
    assert band.low.m == pytest.approx(minutes / 1.5, rel=0.01)
    assert band.high.m == pytest.approx(minutes * 1.5, rel=0.01)
    assert band.provenance == "published"
    assert ("extrapolated" in band.why) is (celsius > 67)


def test_an_hour_at_50_degrees_leaves_what_another_laboratory_found():
    """Jutamongkon and Charoenrein 2010, abstract: almost 83 % is left (published)."""
    life = gelatin.enzyme_half_life("pineapple", q(50, "degC"))
    left = [
        100 * 0.5 ** (60 / at.m_as("min")) for at in (life.low, life.typical, life.high)
    ]
    assert left[0] < 83 < left[2]
    assert left[1] == pytest.approx(83, abs=3)
