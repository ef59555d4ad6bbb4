"""The fourteen allergens of Regulation (EU) No 1169/2011, Annex II, with exemptions.

Provenance: published (several language copies).
"""

from calculators import safety
from calculators.sources import records

ANNEX_II = [
    "gluten", "crustaceans", "eggs", "fish", "peanuts", "soya", "milk", "nuts",
    "celery", "mustard", "sesame", "sulphites", "lupin", "molluscs",
]  # fmt: skip


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
