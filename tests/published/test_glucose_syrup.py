"""Glucose syrup: dextrose equivalent, standards, tubs, water activity.

Sources at each table.  Provenance: definitions and standards published; molar masses
and the refiners' figures from memory, tested no tighter than they deserve.
"""

import pytest

from calculators import glucose
from calculators.safety import legal_note
from calculators.units import q

# Definition, one reducing end a chain: DE, number average molar mass in g/mol
MOLAR_MASSES = [(20, 901), (28, 643), (36, 500), (42, 429), (60, 300), (96, 188)]


@pytest.mark.parametrize(("equivalent", "grams"), MOLAR_MASSES)
def test_molar_mass_follows_from_the_definition(equivalent, grams):
    found = glucose.mean_molar_mass(q(equivalent, "percent"))
    assert found.m == pytest.approx(grams, abs=1)


def test_maltose_has_a_theoretical_dextrose_equivalent_of_52_6():
    # 100 * 180.16 / 342.30
    found = glucose.dextrose_equivalent(q(342.30, "g/mol"))
    assert found.m == pytest.approx(52.63, abs=0.05)


# Codex CXS 212-1999 and Directive 2001/111/EC, Annex A: DE, solids, name
NAMES = [
    (42, 80.3, "glucose syrup"),
    (20, 70, "glucose syrup"),
    (19.9, 80, "not glucose syrup"),
    (42, 69.9, "not glucose syrup"),
    (42, 92.9, "glucose syrup"),
    (42, 93, "dried glucose syrup"),
]


@pytest.mark.parametrize(("equivalent", "solids", "name"), NAMES)
@pytest.mark.parametrize("region", ["EU", "GB", "NI"])
def test_the_minima_of_the_standards_decide_the_name(equivalent, solids, name, region):
    tub = glucose.Syrup(q(equivalent, "percent"), q(solids, "percent"))
    assert glucose.lawful_name(tub, region).startswith(name)


# the three kinds of tub: name, solids in %, either way, where it comes from
TUBS = [
    ("confectioner", 80.3, 0.5, "common practice"),  # 43 °Bé, 42 DE, as tubs are sold
    ("light corn", 100 - 22.81, 0.01, "published"),  # USDA SR 26, NDB 19350
    ("home pack", 60, 1, "common practice"),  # 60 sugar to 40 water
]


@pytest.mark.parametrize(("name", "solids", "way", "provenance"), TUBS)
def test_the_three_tubs_hold_what_is_known_of_them(name, solids, way, provenance):
    assert glucose.TUBS[name].solids.m == pytest.approx(solids, abs=way)
    assert glucose.label(name)[0].provenance == provenance
    _, water = glucose.split(q(100, "g"), name)
    assert water.m == pytest.approx(100 - solids, abs=way)


# 42 DE of 43 °Bé: °C, Pa s; from memory, 30 % either way
@pytest.mark.parametrize(
    ("celsius", "thickness"), [(27, 56), (38, 14.5), (49, 4.9), (60, 2.0), (71, 0.9)]
)
def test_viscosity_is_near_the_remembered_points(celsius, thickness):
    band = glucose.viscosity("confectioner", q(celsius, "degC"))
    assert band.typical.m == pytest.approx(thickness, rel=0.3)
    assert band.low.m < 0.7 * thickness
    assert band.high.m > 1.3 * thickness


def test_the_minima_are_those_of_codex_and_of_the_directive():
    minima = sorted(n.limit.m for n in legal_note("glucose syrup", "EU") if n.limit)
    assert minima == [20, 20, 70, 70]
    assert [n.limit.m for n in legal_note("dried glucose syrup", "EU")] == [93]
