"""The fourteen allergens of Regulation (EU) No 1169/2011, Annex II, with exemptions.

Provenance: published (several language copies).  The lists of other regions (the nine
of the United States with sesame since 2023; Canada; Australia and New Zealand):
from memory.
"""

import pytest

from calculators import safety
from calculators.sources import records

ANNEX_II = [
    "gluten",
    "crustaceans",
    "eggs",
    "fish",
    "peanuts",
    "soya",
    "milk",
    "nuts",
    "celery",
    "mustard",
    "sesame",
    "sulphites",
    "lupin",
    "molluscs",
]


def test_the_list_is_the_annex_in_its_order():
    assert list(safety.allergens()) == ANNEX_II
    assert [int(row["annex"]) for row in records("allergens")] == list(range(1, 15))


def test_all_fourteen_are_declared_in_the_eu_in_northern_ireland_and_in_great_britain():
    for allergen in safety.allergens().values():
        assert {"EU", "NI", "GB"} <= set(allergen.regions)


def test_wheat_glucose_syrup_is_exempt_and_fish_gelatin_as_gelling_agent_is_not():
    gluten, fish = safety.allergens()["gluten"], safety.allergens()["fish"]
    assert "glucose syrups including dextrose" in gluten.exempt
    assert "only as carrier" in fish.exempt
    assert "is declared" in fish.kitchen


#   region, the names of its list in the words of ours
ELSEWHERE = [
    ("US", "milk eggs fish crustaceans nuts peanuts gluten soya sesame"),
    ("CA", "eggs milk mustard peanuts crustaceans molluscs fish sesame soya sulphites nuts gluten"),
    ("AU", "gluten fish crustaceans molluscs eggs milk lupin peanuts soya sesame nuts sulphites"),
    ("NZ", "gluten fish crustaceans molluscs eggs milk lupin peanuts soya sesame nuts sulphites"),
]


@pytest.mark.parametrize(("region", "names"), ELSEWHERE)
def test_another_region_declares_the_allergens_of_its_own_list(region, names):
    ours = {a.name for a in safety.allergens().values() if region in a.regions}
    assert ours == set(names.split())


def test_the_nine_of_the_united_states_are_nine():
    (note,) = safety.legal_note("allergens", "US")
    assert note.limit == len([a for a in safety.allergens().values() if "US" in a.regions])
