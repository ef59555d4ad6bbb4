"""The refractive index of glucose syrup, and what a sucrose scale makes of it.

Source: GOST R 50546-93 (ISO 1743-73), first table; provenance: published.
Columns: solids in %, index at 20, 30, 45 and 60 °C.  Rows marked in HELD are in our
table; the others are between its rows and test the reading between them.
One misprint of the source is left out: 66 % at 45 °C, 1.46768 for 1.45768.
"""

import pytest

from calculators import glucose
from calculators.units import q

HELD = [
    (10, 1.34852, 1.34734, 1.34508, 1.34236),
    (20, 1.36534, 1.36402, 1.36161, 1.35877),
    (40, 1.40319, 1.40163, 1.39894, 1.39592),
    (50, 1.42452, 1.42284, 1.42003, 1.41694),
    (60, 1.44767, 1.44588, 1.44296, 1.43981),
]
BETWEEN = [
    (2, 1.33597, 1.33490, 1.33277, 1.33015),
    (4, 1.33904, 1.33793, 1.33578, 1.33313),
    (16, 1.35846, 1.35719, 1.35484, 1.35205),
    (24, 1.37244, 1.37107, 1.36860, 1.36572),
    (36, 1.39513, 1.39362, 1.39098, 1.38799),
    (44, 1.41152, 1.40991, 1.40717, 1.40411),
    (56, 1.43818, 1.43643, 1.43356, 1.43042),
    (64, 1.45748, 1.45565, 1.45269, 1.44952),
]
BEYOND = [(68, 1.46762, 1.46576)]  # past the last row of ours; 20 and 30 °C


@pytest.mark.parametrize("row", HELD + BETWEEN)
def test_the_index_is_that_of_the_standard_at_four_temperatures(row):
    solids, *indices = row
    for celsius, index in zip((20, 30, 45, 60), indices, strict=True):
        found = glucose.refractive_index(q(solids, "percent"), q(celsius, "degC"))
        assert found.m == pytest.approx(index, abs=1e-4)


@pytest.mark.parametrize("row", BEYOND)
def test_the_line_goes_on_rightly_just_past_the_table(row):
    solids, *indices = row
    for celsius, index in zip((20, 30), indices, strict=True):
        found = glucose.refractive_index(q(solids, "percent"), q(celsius, "degC"))
        assert found.m == pytest.approx(index, abs=1e-4)


# true solids in %, reading of the sucrose scale (0.3 either way): the index above on
# the ICUMSA scale of sucrose
READINGS = [(10, 10.5), (20, 20.9), (40, 41.7), (60, 62.5)]


@pytest.mark.parametrize(("solids", "reading"), READINGS)
def test_a_sucrose_scale_reads_glucose_syrup_too_high(solids, reading):
    tub = glucose.Syrup(q(42, "percent"), q(solids, "percent"))
    band = glucose.refractometer_reading(tub)
    assert band.typical.m == pytest.approx(reading, abs=0.3)
    assert band.typical.m > solids
    assert band.provenance == "published"


@pytest.mark.parametrize("name", ["confectioner", "light corn"])
def test_a_reading_beyond_the_table_is_a_wider_band_from_memory(name):
    band = glucose.refractometer_reading(name)
    assert band.provenance == "from memory"
    assert band.high.m - band.low.m == pytest.approx(2)
