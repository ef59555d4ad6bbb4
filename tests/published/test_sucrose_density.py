"""Density of sucrose solutions.

Three tables.  [crc-sucrose], "Concentrative properties: sucrose", 20 °C column,
published: older than ICUMSA and lower above 46 %, hence its tolerances.
[icumsa-sps4], the polynomial of 1990 as evaluated by others, published.
[mohos2010], appendix 2, text under Table A2.1, published; its table prints 27.5 at
50 and 40.3 at 75 °Brix, which are misprints and are left out.
"""

import pytest

from calculators import syrup, water
from calculators.units import q

CRC = [  # percent, kg/m³ at 20 °C, tolerance
    (0, 998.2, 0.1),
    (5, 1017.8, 0.1),
    (10, 1038.1, 0.1),
    (15, 1059.2, 0.1),
    (20, 1081.0, 0.1),
    (30, 1127.0, 0.1),
    (40, 1176.5, 0.1),
    (50, 1229.5, 0.4),
    (60, 1286.4, 0.4),
    (66, 1322.4, 0.4),
    (70, 1347.2, 0.4),
    (76, 1385.5, 0.4),
    (80, 1411.7, 0.7),
]
ICUMSA = [  # percent, °C, kg/m³; tolerance 0.5
    (20, 50, 1068.82),
    (40, 0, 1183.19),
    (40, 50, 1162.33),
    (60, 50, 1270.62),
    (60, 80, 1252.00),
    (65, 20, 1316.56),
    (75, 20, 1379.37),
    (0, 20, 998.20),
    (10, 20, 1038.12),
    (20, 20, 1080.98),
    (30, 20, 1127.03),
    (40, 20, 1176.52),
    (50, 20, 1229.65),
    (60, 20, 1286.61),
    (70, 20, 1347.48),
    (80, 20, 1412.20),
]
GRAVITY = [  # percent, 20/20; tolerance 0.0003
    (0, 1.00000),
    (10, 1.03998),
    (20, 1.08292),
    (30, 1.12906),
    (40, 1.17864),
    (50, 1.23187),
    (60, 1.28893),
    (65, 1.31892),
    (70, 1.34990),
    (75, 1.38185),
    (80, 1.41474),
]
BAUME = [  # percent, °Bé with modulus 145, tolerance
    (10, 5.57, 0.03),
    (15, 8.34, 0.03),
    (60, 32.49, 0.05),
    (65, 35.04, 0.05),
    (80, 42.47, 0.06),
]


@pytest.mark.parametrize(("brix", "printed", "tolerance"), CRC)
def test_density_agrees_with_the_handbook(brix, printed, tolerance):
    found = syrup.density(q(brix, "percent"), q(20, "degC")).m_as("kg/m**3")
    assert found == pytest.approx(printed, abs=tolerance)


@pytest.mark.parametrize(("brix", "t", "printed"), ICUMSA)
def test_density_agrees_with_the_trades_equation(brix, t, printed):
    found = syrup.density(q(brix, "percent"), q(t, "degC")).m_as("kg/m**3")
    assert found == pytest.approx(printed, abs=0.01)  # as printed; 0.5 as physics


@pytest.mark.parametrize(("brix", "printed", "tolerance"), BAUME)
def test_baume_agrees_with_the_confectioners_table(brix, printed, tolerance):
    found = syrup.baume(q(brix, "percent")).m_as("degree_baume")
    assert found == pytest.approx(printed, abs=tolerance)


def test_a_hot_saturated_syrup_is_lighter_than_the_copied_table_says():
    # The copied table prints 1435.94 "at 100 °C" for 82.87 %; it was measured cool.
    hot = syrup.density(q(82.87, "percent"), q(100, "degC")).m
    assert hot == pytest.approx(1383.7, abs=1)
    assert hot < 1435.9 - 40


def test_density_without_sugar_is_that_of_water():
    for t in (0, 20, 50, 99):
        there = q(t, "degC")
        assert syrup.density(q(0, "percent"), there).m == water.density(there).m


def test_density_agrees_with_laliberte_in_the_range_of_his_fit():
    """Library: thermo, Laliberté's density, fitted up to 50.7 % and 15 to 55 °C."""
    electrochem = pytest.importorskip("thermo.electrochem")
    for w in (0.1, 0.2, 0.3, 0.4, 0.5):
        for t in (15, 20, 35, 50):
            theirs = electrochem.Laliberte_density(t + 273.15, [w], ["57-50-1"])
            ours = syrup.density(q(100 * w, "percent"), q(t, "degC")).m
            assert ours == pytest.approx(theirs, rel=0.002)
