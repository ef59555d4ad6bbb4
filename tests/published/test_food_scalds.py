"""Time to a third-degree scald of adult skin.

Source: CPSC document 5098, as restated by others: 150 °F 2 s, 140 °F 6 s, 130 °F
30 s, 120 °F 5 min.  Provenance: published; good to a factor of 1.5.
"""

import pytest

from calculators import safety
from calculators.units import q

#        °F   s
TABLE = [(150, 2), (140, 6), (130, 30), (120, 300)]


@pytest.mark.parametrize(("fahrenheit", "seconds"), TABLE)
def test_the_table_lies_in_the_band_within_its_factor(fahrenheit, seconds):
    band = safety.contact_burn(q(fahrenheit, "degF").to("degC")).time
    assert band.low.m <= 1.5 * seconds
    assert band.high.m >= seconds / 1.5


def test_scald_rows_are_those_of_the_table():
    rows = [(round(t * 1.8 + 32), usual) for t, _, usual, _ in safety.scald_times()]
    assert rows == sorted(TABLE)
