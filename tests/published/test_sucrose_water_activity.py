"""Water activity of sugar solutions at 25 °C.

[robinson-stokes1961], isopiestic polynomial, to 6 mol in a kilogram of water: from
memory.  [norrish1966] with the constants of [chirife1982], [money-born1951] and
[grover1947]: from memory, evaluated by others.
"""

import pytest

from calculators import syrup
from calculators.faults import FaultsError
from calculators.units import q

ROBINSON_STOKES = [  # mol in 1 kg of water, aw; 0.0015
    (0.5, 0.9907),
    (1, 0.9806),
    (2, 0.9582),
    (4, 0.9056),
    (5, 0.8776),
    (6, 0.8496),
]
NORRISH = [  # sugar, percent, aw; 0.0005
    ("sucrose", 40, 0.9589),
    ("sucrose", 50, 0.9348),
    ("sucrose", 60, 0.8953),
    ("sucrose", 65, 0.8654),
    ("sucrose", 70, 0.8243),
    ("sucrose", 80, 0.6793),
    ("glucose", 20, 0.9743),
    ("glucose", 60, 0.8369),
    ("glucose", 70, 0.7481),
]
MONEY_BORN = [(50, 0.9269), (60, 0.8942)]
GROVER = [(1.0, 0.9445), (1.5, 0.9001), (7 / 3, 0.8312)]  # g of sucrose to 1 g, aw


def alone(sugar, brix, following="Norrish and Ross"):
    masses = {sugar: q(brix, "g")}
    return syrup.water_activity_of_mixture(q(100 - brix, "g"), masses, following).m


def brix_of(molality):
    sugar = molality * 342.30
    return q(100 * sugar / (sugar + 1000), "percent")


@pytest.mark.parametrize(("molality", "printed"), ROBINSON_STOKES)
def test_sucrose_agrees_with_robinson_and_stokes(molality, printed):
    found = syrup.water_activity(brix_of(molality), q(25, "degC")).m
    assert found == pytest.approx(printed, abs=0.0015)


@pytest.mark.parametrize(("molality", "printed"), ROBINSON_STOKES)
def test_the_three_ways_for_mixtures_are_as_near_as_is_promised(molality, printed):
    share = brix_of(molality).m
    assert alone("sucrose", share) == pytest.approx(printed, abs=0.005)
    assert alone("sucrose", share, "Money and Born 1951") == pytest.approx(printed, abs=0.012)
    if share > 50:
        assert alone("sucrose", share, "Grover 1947") == pytest.approx(printed, abs=0.012)


@pytest.mark.parametrize(("sugar", "brix", "printed"), NORRISH)
def test_norrish_gives_his_own_values(sugar, brix, printed):
    assert alone(sugar, brix) == pytest.approx(printed, abs=0.0005)


@pytest.mark.parametrize(("brix", "printed"), MONEY_BORN)
def test_money_and_born_give_their_own_values(brix, printed):
    found = alone("sucrose", brix, "Money and Born 1951")
    assert found == pytest.approx(printed, abs=0.0005)
    assert found == pytest.approx(syrup.water_activity(q(brix, "percent")).m, abs=0.01)


@pytest.mark.parametrize(("e", "printed"), GROVER)
def test_grover_gives_his_own_values(e, printed):
    masses = {"sucrose": q(100 * e, "g")}
    found = syrup.water_activity_of_mixture(q(100, "g"), masses, "Grover 1947").m
    assert found == pytest.approx(printed, abs=0.0005)
    pure = syrup.water_activity(q(100 * e / (1 + e), "percent")).m
    assert found == pytest.approx(pure, abs=0.012)


def test_grover_refuses_a_weak_mixture():
    with pytest.raises(FaultsError, match="too weak a mixture for Grover"):
        alone("sucrose", 40, "Grover 1947")


def test_grover_refuses_what_lies_beyond_the_foot_of_his_curve():
    """1.04 - 0.1 E + 0.0045 E² rises again from E = 0.1 / 0.009, which is 11.1."""
    alone("sucrose", 100 * 10 / 11, "Grover 1947")
    with pytest.raises(FaultsError, match="too strong a mixture for Grover"):
        alone("sucrose", 100 * 11 / 12, "Grover 1947")


def test_a_saturated_syrup_stands_at_0_845():
    full = syrup.solubility(q(25, "degC"))
    found = syrup.water_activity(full, q(25, "degC")).m
    assert found == pytest.approx(0.845, abs=0.005)


def test_norrish_and_the_boiling_curve_agree_up_to_70_percent():
    for brix in range(5, 71, 5):
        ours = syrup.water_activity(q(brix, "percent")).m
        assert alone("sucrose", brix) == pytest.approx(ours, abs=0.005)
