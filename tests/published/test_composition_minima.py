"""The ingredients pass the least amounts that their names ask for by law.

Sources: Codex CXS 282-1971 (sweetened condensed milk: fat 8 %, milk solids 28 %,
protein 34 % of the milk solids not fat), CXS 87-1981 (white chocolate: cocoa butter
20 %, milk solids 14 %), CXS 212-1999 (glucose syrup), Directive 2001/111/EC (dried
glucose syrup 93 %), Directive 2001/113/EC (jam 60 % soluble solids), CXS 207-1999
(skimmed milk powder), CXS 281-1971 (evaporated milk), Directive 2000/36/EC (chocolate
35, 18 and 14 %, milk chocolate 25, 14, 3.5 and 25 %, cocoa 20 %), Standard 2.5.2 of
Australia and New Zealand (cream 35 %).
Provenance: published; 70 % solids of glucose syrup, and the 16 % of butter and 18 % of
gelatin (CXS 279, JECFA: most water), from memory.
"""

import pytest

from calculators.ingredients import SUGARS, ingredient
from calculators.safety import legal_note


def _holds(name, *parts):
    return sum(ingredient(name).share(part).typical.m for part in parts)


def test_condensed_milk_holds_its_fat_its_milk_solids_and_its_protein():
    fat, solids, protein = (n.limit.m for n in legal_note("condensed milk", "NZ"))
    name = "condensed milk, sweetened"
    not_fat = _holds(name, "lactose", "protein", "other")
    assert _holds(name, "fat") >= fat
    assert not_fat + _holds(name, "fat") >= solids
    assert 100 * _holds(name, "protein") / not_fat >= protein


def test_white_chocolate_has_room_for_its_cocoa_butter_and_holds_its_milk_solids():
    butter, milk = (n.limit.m for n in legal_note("white chocolate", "NZ"))
    dry = 100 - _holds("white chocolate", "water")
    milk_fat = 3.5  # % at least, Directive 2000/36/EC, from memory
    milk_solids = _holds("white chocolate", "lactose", "protein") + milk_fat
    assert 100 * (_holds("white chocolate", "fat") - milk_fat) / dry >= butter
    assert 100 * milk_solids / dry >= milk


@pytest.mark.parametrize(
    ("name", "lawful"),
    [
        ("glucose syrup, confectioner's", True),
        ("light corn syrup", True),
        ("liquid glucose, home pack", False),  # 60 % as packs state: below the name
    ],
)
def test_a_glucose_syrup_reaches_seventy_per_cent_or_is_known_not_to(name, lawful):
    least = max(n.limit.m for n in legal_note("glucose syrup", "EU"))
    assert (100 - _holds(name, "water") >= least) is lawful


def test_dried_glucose_syrup_reaches_its_dry_matter():
    (note,) = legal_note("dried glucose syrup", "EU")
    assert 100 - _holds("glucose powder, dried", "water") >= note.limit.m


def test_apricot_jam_holds_its_soluble_solids():
    (note,) = legal_note("jam solids", "EU")
    assert _holds("apricot jam", *SUGARS) >= note.limit.m


@pytest.mark.parametrize(
    ("name", "subject"),
    [
        ("milk powder, skimmed", "skimmed milk powder"),
        ("evaporated milk", "evaporated milk"),
    ],
)
def test_a_milk_without_its_water_keeps_the_three_figures_of_its_standard(name, subject):
    first, second, protein = (n.limit.m for n in legal_note(subject, "NZ"))
    water, fat = _holds(name, "water"), _holds(name, "fat")
    if subject == "skimmed milk powder":
        assert fat <= first
        assert water <= second
    else:
        assert fat >= first
        assert 100 - water >= second
    assert 100 * _holds(name, "protein") / (100 - water - fat) >= protein


@pytest.mark.parametrize("region", ["AU", "NZ", "US"])
def test_cream_is_fat_enough_for_its_name(region):
    least = max(n.limit.m_as("percent") for n in legal_note("cream", region))
    assert least >= 35
    assert _holds("cream, whipping", "fat") >= least


def test_dark_chocolate_reaches_the_cocoa_that_its_name_asks_for():
    name = "dark chocolate, 70 %"
    cocoa = 100 - _holds(name, "water", *SUGARS)
    assert cocoa >= 70
    assert _holds(name, "fat") >= 18
    assert cocoa - _holds(name, "fat") >= 14


def test_milk_chocolate_has_room_for_its_cocoa_and_holds_its_milk():
    name, milk_fat = "milk chocolate", 3.5
    milk = _holds(name, "lactose") / 0.52 + milk_fat  # lactose is 52 % of milk solids not fat
    assert milk >= 14
    assert _holds(name, "fat") >= 25
    assert 100 - _holds(name, "water", "sucrose") - milk >= 25


def test_cocoa_of_the_food_table_is_fat_reduced_in_the_eu_and_says_so():
    (note,) = legal_note("cocoa", "EU")
    dry = 100 - _holds("cocoa powder", "water")
    assert 100 * _holds("cocoa powder", "fat") / dry < note.limit.m
    assert "fat-reduced" in ingredient("cocoa powder").note


def test_butter_of_the_food_table_is_wetter_than_the_codex_lets_it_be_and_says_so():
    least, most = (n.limit.m for n in legal_note("butter", "NZ"))
    butter = ingredient("butter")
    assert butter.share("fat").typical.m >= least
    assert butter.share("water").low.m < most < butter.share("water").typical.m
    assert "16 %" in butter.share("water").why


@pytest.mark.parametrize("name", ["gelatin leaf", "gelatin powder", "gelatin, fish"])
def test_gelatin_is_drier_than_its_specification_asks_for(name):
    assert ingredient(name).share("water").high.m <= 18
