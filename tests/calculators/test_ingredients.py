"""The shelf: every ingredient sums to 100 g, says its sources and is found by its names."""

import pytest

from calculators import ingredients, safety
from calculators.faults import FaultsError
from calculators.sources import bibliography, records
from calculators.units import PROVENANCES, PUBLISHED, q

ALL = ingredients.ingredients()
PLACE = {
    "ciqual2020": "food ",
    "gb-cream": "double cream",
    "usda-foundation": "FDC ",
    "ifct2017": "food ",
}  # how each table names a food


def test_there_are_at_least_twenty_eight_ingredients_and_their_number_is_known():
    assert len(records("ingredients")) == len(ALL) == 50


def test_regression_the_composition_table_has_its_rows_and_its_sum():
    rows = records("composition")
    assert len(rows) == 138
    assert sum(float(row["value"]) for row in rows) == pytest.approx(3504.96)


@pytest.mark.parametrize("name", ALL)
def test_the_parts_of_an_ingredient_make_100_g_and_lie_in_their_ranges(name):
    item = ALL[name]
    assert sum(item.typical) == pytest.approx(100, abs=0.1)
    for part in item.parts.values():
        assert part.name in ingredients.PARTS
        assert 0 <= part.low <= part.typical <= part.high <= 100
        assert part.provenance in PROVENANCES


@pytest.mark.parametrize("name", ALL)
def test_what_an_ingredient_may_harm_is_named_as_the_law_table_names_it(name):
    item = ALL[name]
    assert set(item.allergens) | set(item.ask) <= set(safety.allergens())
    assert item.origin in {row["origin"] for row in records("origins")}
    if item.colourant and item.colourant != "a colour without a name":
        assert item.colourant in safety.legal_subjects()


def test_every_row_of_composition_belongs_to_an_ingredient_and_a_published_one_has_a_source():
    for row in records("composition"):
        assert row["ingredient"] in ALL
        assert row["provenance"] in PROVENANCES
        assert not row["source"] or row["source"] in bibliography()
        if row["provenance"] == PUBLISHED:
            assert row["source"], row
            assert PLACE.get(row["source"], "NDB") in row["where"], row


def test_no_two_ingredients_share_a_name():
    names = [
        ingredients._plain(name)
        for key, item in ingredients.ingredients().items()
        for name in (key, *item.also)
    ]
    assert len(set(names)) == len(names)


@pytest.mark.parametrize(
    ("written", "found"),
    [
        ("Sugar", "sugar"),
        ("raspberry puree", "raspberry purée"),
        ("glucose syrup", "glucose syrup, confectioner's"),
        ("glucose syrup, confectioner’s", "glucose syrup, confectioner's"),
        ("  condensed   milk ", "condensed milk, sweetened"),
        ("E 171", "titanium white"),
        ("leaf gelatine", "gelatin leaf"),
        ("powdered gelatine", "gelatin powder"),
        ("heavy cream", "cream, whipping"),
        ("double cream", "cream, double"),
        ("skim milk powder", "milk powder, skimmed"),
        ("confectioners' sugar", "icing sugar"),
        ("agar agar", "agar"),
    ],
)
def test_an_ingredient_is_found_by_the_names_people_write(written, found):
    assert ingredients.ingredient(written).name == found


def test_a_name_nearly_right_gets_a_suggestion():
    with pytest.raises(FaultsError, match='Did you mean "white chocolate"'):
        ingredients.ingredient("whit chocolate")


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("glucose", "glucose syrup, confectioner's"),
        ("gelatin", "gelatin leaf"),
        ("cream 35 %", "See the list"),
        ("rum", "See the list"),
        ("glycerine", "See the list"),
        ("calcium carbonate", "See the list"),
        ("sucre", "sucrose"),
    ],
)
def test_a_suggestion_is_near_or_there_is_none(written, meant):
    with pytest.raises(FaultsError) as caught:
        ingredients.ingredient(written)
    known = ingredients._names().get(meant)
    assert (known.name if known else meant) in str(caught.value)


def test_double_cream_is_as_fat_as_its_name_asks_for_and_whipping_cream_is_not():
    """48 % in Great Britain, from memory; a formula of one is no formula of the other."""
    double, whipping = (ALL[name].share("fat") for name in ("cream, double", "cream, whipping"))
    assert double.low.m >= 48
    assert whipping.high < double.low


def test_the_three_glucose_syrups_are_those_of_the_glucose_module():
    from calculators import glucose

    for name, tub in {
        "glucose syrup, confectioner's": "confectioner",
        "light corn syrup": "light corn",
        "liquid glucose, home pack": "home pack",
    }.items():
        solids = glucose.TUBS[tub].solids
        assert ALL[name].share("water").typical.m == pytest.approx(100 - solids.m)


def test_what_was_weighed_lies_near_the_density_of_what_is_in_it():
    from calculators.formula import Formula, density
    from calculators.kitchen import Line

    for row in records("ingredients"):
        if row["weighed"]:
            made = density(Formula(row["name"], [Line(row["name"], q(1, "kg"))]))
            assert made.m == pytest.approx(float(row["weighed"]), rel=0.015), row["name"]


# grams in a US cup of 236.588 ml, usda-legacy and its later tables: honey, an oil
@pytest.mark.parametrize(
    ("name", "cup", "either_way"),
    [
        ("honey", 339, 15),
        ("vegetable oil", 218, 10),
    ],
)
def test_a_density_worked_out_is_near_a_cup_that_was_weighed(name, cup, either_way):
    assert ALL[name].density.typical.m == pytest.approx(cup / 236.588e-6 / 1000, abs=either_way)


def test_a_density_worked_out_is_no_surer_than_what_it_is_worked_out_from():
    assert ALL["honey"].density.provenance == "published"
    assert ALL["invert syrup"].density.provenance == "common practice"
    assert ALL["neutral glaze"].density is None
