"""Constants of molecules, ice and groups, as two public libraries carry them.

Sources: [iupac-weights2022] and [hansen1991] as chemicals and thermo restate them, the
IAPWS equation of ice (R10-06) as iapws evaluates it.  Provenance: published.
"""

import re

import pytest
from chemicals import molecular_weight
from iapws._iapws import _Ice
from thermo.unifac import UFSG

from calculators.sources import table

#        sugar        C   H   O
FORMULAS = [
    ("sucrose", 12, 22, 11),
    ("glucose", 6, 12, 6),
    ("fructose", 6, 12, 6),
    ("maltose", 12, 22, 11),
    ("lactose", 12, 22, 11),
    ("sorbitol", 6, 14, 6),
    ("glycerol", 3, 8, 3),
    ("xylitol", 5, 12, 5),
]
# The number of a group in the table of UNIFAC; CHO is an ether's.
GROUPS = {"CH2": 2, "CH": 3, "C": 4, "OH": 14, "H2O": 16, "CHO": 26}


@pytest.mark.parametrize(("name", "carbon", "hydrogen", "oxygen"), FORMULAS)
def test_a_molar_mass_is_that_of_its_atoms(name, carbon, hydrogen, oxygen):
    row = table("syrup_sugars")[f"{name} molar mass"]
    theirs = molecular_weight({"C": carbon, "H": hydrogen, "O": oxygen})
    assert row.value == pytest.approx(theirs, abs=0.01)


@pytest.mark.parametrize(
    "name", ["water", "glucose", "sucrose", "fructose", "glycerol", "sorbitol", "xylitol"]
)
def test_size_and_surface_are_the_sums_of_their_groups(name):
    rows = table("mixture_sugars")
    for of, letter in (("size", "R"), ("surface", "Q")):
        row = rows[f"{name} {of}"]
        parts = re.findall(r"(?:(\d+) )?(CH2|CHO|CH|C|OH|H2O)\b", row.where)
        theirs = sum(int(n or 1) * getattr(UFSG[GROUPS[group]], letter) for n, group in parts)
        assert row.value == pytest.approx(theirs, abs=2e-4)


def test_ice_melts_and_warms_as_its_equation_says():
    rows = table("thaw")
    melting, cold = _Ice(273.15, 0.101325), _Ice(263.15, 0.101325)
    water_at_zero = 0.06  # kJ/kg above liquid water at its triple point, IAPWS-95
    assert rows["heat of fusion"].value == pytest.approx(water_at_zero - melting["h"], abs=0.1)
    assert rows["ice heat"].value == pytest.approx(cold["cp"], abs=0.01)
