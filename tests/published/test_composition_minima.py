"""The ingredients pass the least amounts that their names ask for by law.

Sources: Codex CXS 282-1971 (sweetened condensed milk: fat 8 %, milk solids 28 %,
protein 34 % of the milk solids not fat), CXS 87-1981 (white chocolate: cocoa butter
20 %, milk solids 14 %), CXS 212-1999 (glucose syrup), Directive 2001/111/EC (dried
glucose syrup 93 %), Directive 2001/113/EC (jam 60 % soluble solids).
Provenance: published; 70 % solids of glucose syrup from memory.
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
