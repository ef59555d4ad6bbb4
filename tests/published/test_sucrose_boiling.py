"""Where a syrup boils.

[starzak-peacock1997] with IAPWS saturation pressure (CoolProp), evaluated by
others: constants published, form from memory.
[browne1912], table of boiling points as copied in later handbooks: published; it is
held to its own column only, for it lies a quarter to a third too high from 70 % up.
[hugot1986], table after Claassen, from memory: held to 10 % up to 85 % and to 15 %
above, which is what our curve claims.
[fsis-altitude], feet and °F, from memory: half a degree Celsius.
Water at altitude: ISO 2533 pressure with IAPWS saturation (CoolProp): published.
"""

import pytest

from calculators import instruments, syrup, water
from calculators.units import q

MODERN = [  # percent, elevation in K at 101.325 kPa; 0.05 K
    (10, 0.17),
    (20, 0.39),
    (30, 0.70),
    (40, 1.15),
    (50, 1.82),
    (60, 2.94),
    (70, 4.99),
    (76, 7.19),
    (80, 9.46),
    (84, 12.89),
    (85, 14.02),
    (88, 18.38),
    (90, 22.43),
    (92, 27.81),
    (94, 35.00),
    (95, 39.40),
]
BROWNE = [
    (10, 0.4),
    (20, 0.6),
    (30, 1.0),
    (40, 1.5),
    (50, 2.0),
    (60, 3.0),
    (66, 4.8),
    (70, 6.5),
    (76, 9.4),
    (80, 12.0),
    (84, 16.3),
    (88, 23.1),
    (90, 27.8),
]
HUGOT = [  # percent, elevation in K
    (50, 1.8),
    (60, 3.0),
    (70, 5.1),
    (75, 7.0),
    (80, 9.4),
    (85, 13.0),
    (90, 19.6),
    (94, 30.5),
]
FEET = [(2000, 208), (5000, 203), (7500, 198), (10000, 194)]  # ft, °F
ALTITUDE = [  # m, Pa, °C of boiling water; 0.05 °C
    (0, 101325, 99.974),
    (500, 95461, 98.31),
    (1000, 89875, 96.65),
    (1500, 84556, 94.98),
    (2000, 79495, 93.32),
    (3000, 70109, 89.97),
]
INVERSE = [  # °C at 101.325 kPa, percent; 0.1 %
    (110, 80.79),
    (113, 84.13),
    (115, 85.8),
    (118, 87.79),
    (127.8, 92.01),
    (130, 92.7),
    (132, 93.24),
    (138, 94.7),
    (143, 95.75),
    (149, 96.92),
]


def elevation(brix, **how):
    here = syrup.boiling_point(q(brix, "percent"), **how).m
    return here - syrup.boiling_point(q(0, "percent"), **how).m


@pytest.mark.parametrize(("brix", "printed"), MODERN)
def test_elevation_agrees_with_the_modern_curve(brix, printed):
    assert elevation(brix) == pytest.approx(printed, abs=0.05)


@pytest.mark.parametrize(("brix", "printed"), HUGOT)
def test_elevation_agrees_with_the_table_of_the_sugar_factories(brix, printed):
    assert elevation(brix) == pytest.approx(printed, rel=0.10 if brix <= 85 else 0.15)


@pytest.mark.parametrize(("feet", "fahrenheit"), FEET)
def test_water_boils_where_the_leaflet_for_cooks_says(feet, fahrenheit):
    here = instruments.boiling_here(q(0.3048 * feet, "m")).typical
    assert here.m_as("degF") == pytest.approx(fahrenheit, abs=0.9)


@pytest.mark.parametrize(("brix", "printed"), BROWNE)
def test_brownes_column_can_be_shown_beside_it(brix, printed):
    assert elevation(brix, following="Browne 1912") == pytest.approx(printed, abs=0.01)


def test_browne_stands_a_quarter_to_a_third_too_high_from_70_percent():
    for brix in (70, 72, 76, 80, 84, 88, 90):
        beside = elevation(brix, following="Browne 1912") / elevation(brix)
        assert 1.23 < beside < 1.34


@pytest.mark.parametrize(("metres", "pascal", "printed"), ALTITUDE)
def test_water_boils_where_the_steam_tables_say_at_each_height(metres, pascal, printed):
    pressure = water.air_pressure(q(metres, "m"))
    assert pressure.m_as("Pa") == pytest.approx(pascal, abs=1)
    assert water.boiling_point(pressure).m == pytest.approx(printed, abs=0.01)
    plain = syrup.boiling_point(q(0, "percent"), q(metres, "m")).m
    assert plain == pytest.approx(printed, abs=0.01)


def test_a_syrup_of_85_percent_at_2000_metres_boils_at_106_88():
    high = syrup.boiling_point(q(85, "percent"), q(2000, "m")).m
    assert high == pytest.approx(106.88, abs=0.05)


def test_at_3000_metres_the_elevation_of_90_percent_is_21_34():
    assert elevation(90, altitude=q(3000, "m")) == pytest.approx(21.34, abs=0.05)


@pytest.mark.parametrize(("t", "printed"), INVERSE)
def test_strength_at_a_boiling_temperature(t, printed):
    assert syrup.brix_at_boiling(q(t, "degC")).m == pytest.approx(printed, abs=0.1)


def test_weak_syrup_boils_where_raoult_says():
    """Physics, no fit: 0.5127 K for each mol in a kilogram of water."""
    for brix in (2, 5, 10):
        molality = 1000 * brix / (100 - brix) / 342.30
        assert elevation(brix) == pytest.approx(0.5127 * molality, rel=0.08)
