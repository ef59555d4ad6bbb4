"""How fast heat stops bromelain in pineapple juice.

Sources: Sriwatanapongse and others, Transactions of the ASAE 43 (2000) 1703, abstract:
first order, 1.37e50 per minute, 3.26e5 J/mol, fitted from 55 to 67 °C.  Jutamongkon
and Charoenrein, Kasetsart Journal (Natural Science) 44 (2010) 943, abstract: almost
83 % left after 60 min at 50 °C, almost none after 8 min at 80 °C, 313.18 ± 57.44
kJ/mol from 40 to 80 °C.
Provenance: published; the half-lives are worked out from the constants of the first,
50 and 70 to 80 °C beyond its range.  Columns: temperature in °C, half-life in minutes.
"""

from math import exp

import pytest

from calculators import gelatin
from calculators.units import q

HALF_LIVES = [(55, 39.4), (60, 6.56), (67, 0.58), (70, 0.2124), (75, 0.04116)]
GAS_CONSTANT = 8.314462618e-3  # kJ/mol/K
SECOND_LABORATORY = (313.18 - 57.44, 313.18 + 57.44)  # kJ/mol


def _life(celsius):
    return gelatin.enzyme_half_life("pineapple", q(celsius, "degC"))


@pytest.mark.parametrize(("celsius", "minutes"), HALF_LIVES)
def test_half_life_is_that_of_the_published_constants(celsius, minutes):
    band = _life(celsius)
    assert band.typical.to("min").m == pytest.approx(minutes, rel=0.01)
    assert band.provenance == "published"
    assert ("extrapolated" in band.why) is (celsius > 67)


@pytest.mark.parametrize(("celsius", "minutes"), HALF_LIVES[:3])
def test_where_it_was_measured_the_band_is_a_factor_of_one_and_a_half(celsius, minutes):
    band = _life(celsius)
    assert band.low.m == pytest.approx(minutes / 1.5, rel=0.01)
    assert band.high.m == pytest.approx(minutes * 1.5, rel=0.01)


@pytest.mark.parametrize(("celsius", "edge"), [(50, 55), (70, 67), (75, 67), (80, 67)])
def test_beyond_it_the_band_holds_both_energies_of_the_second_laboratory(celsius, edge):
    band, known = _life(celsius), _life(edge)
    for energy in SECOND_LABORATORY:
        apart = 1 / (celsius + 273.15) - 1 / (edge + 273.15)
        carried = exp(energy / GAS_CONSTANT * apart)
        for minutes in (known.low.m, known.high.m):
            assert band.low.m <= minutes * carried * 1.001
            assert minutes * carried <= band.high.m * 1.001


def test_the_band_opens_the_further_it_is_carried_and_has_no_step_at_its_edges():
    widths = [_life(t).high.m / _life(t).low.m for t in (50, 52.5, 55, 67, 70, 75, 80)]
    assert widths[0] > widths[1] > widths[2]
    assert widths[2] == pytest.approx(widths[3])
    assert widths[3] < widths[4] < widths[5] < widths[6]
    for edge, beyond in ((55, 54.999), (67, 67.001)):
        assert _life(edge).high.m == pytest.approx(_life(beyond).high.m, rel=0.001)


def test_an_hour_at_50_degrees_leaves_what_another_laboratory_found():
    life = _life(50)
    left = [100 * 0.5 ** (60 / at.m_as("min")) for at in (life.low, life.typical, life.high)]
    assert left[0] < 83 < left[2]
    assert left[1] == pytest.approx(83, abs=3)


def test_eight_minutes_at_80_degrees_leave_almost_none_as_another_laboratory_found():
    assert 0.5 ** (8 / _life(80).high.m_as("min")) < 0.01
