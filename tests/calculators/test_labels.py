"""A tub from its label: what it says is used, and what it doesn't say is never guessed."""

import pytest

from calculators import formula, ingredients, mixture
from calculators.faults import FaultsError
from calculators.formula import Formula
from calculators.kitchen import Line, kitchen_of
from calculators.labels import Label, label_of
from calculators.units import q

# Invented labels, with the figures that such labels have.
VEGAN = Label(
    "oat white bar",
    "chocolate",
    "plant",
    {"water": 1, "fat": 36, "sugars": 48, "protein": 3},
    ("gluten",),
    ("milk", "nuts"),
)
SYRUP = Label(
    "house glucose",
    "glucose syrup",
    "plant",
    {"solids": 80},
    (),
    ("sulphites",),
    dextrose_equivalent=q(40, "percent"),
)


@pytest.fixture(autouse=True)
def shelf(monkeypatch):
    monkeypatch.setattr(ingredients, "_shelved", {})
    ingredients.shelve([VEGAN.as_ingredient(), SYRUP.as_ingredient()])


def glaze(*lines):
    return Formula("glaze", tuple(Line(name, q(grams, "g")) for name, grams in lines))


def test_the_parts_are_those_of_the_label():
    item = VEGAN.as_ingredient()
    assert item.share("fat").typical.m == 36
    assert item.share("sucrose").typical.m == 48
    assert item.share("other").typical.m == pytest.approx(100 - 1 - 36 - 48 - 3)


def test_sugars_that_are_named_are_not_counted_twice():
    milk = Label(
        "goat cream",
        "milk",
        "milk",
        {"water": 60, "fat": 33, "sugars": 4, "lactose": 3.5},
        ("milk",),
    ).as_ingredient()
    assert milk.share("lactose").typical.m == 3.5
    assert milk.share("sucrose").typical.m == pytest.approx(0.5)


def test_allergens_and_what_it_may_contain_reach_the_formula():
    made = glaze(("water", 100), ("sugar", 100), ("oat white bar", 100))
    told = {one.allergen: one for one in formula.allergens(made)}
    assert told["gluten"].certain
    assert told["gluten"].ingredients == ("oat white bar",)
    assert not told["milk"].certain
    assert not told["nuts"].certain
    assert formula.diets(made)["vegan"].answer == "ask"  # it may contain milk
    assert formula.diets(made)["vegetarian"].answer == "yes"


def test_a_syrup_by_its_two_figures_does_what_the_table_s_tub_of_these_figures_does():
    tub = ingredients.ingredient("glucose syrup, confectioner's")
    de = tub.dextrose_equivalent[1]
    solids = 100 - tub.share("water").typical.m
    same = Label(
        "same tub",
        "glucose syrup",
        "plant",
        {"solids": solids},
        (),
        dextrose_equivalent=q(de, "percent"),
    )
    ingredients.shelve([same.as_ingredient()])
    ours = glaze(("water", 230), ("sugar", 280), ("same tub", 280))
    theirs = glaze(("water", 230), ("sugar", 280), ("glucose syrup", 280))
    for works in (mixture.water_activity, mixture.boiling_point):
        one, other = works(mixture.glaze(ours)), works(mixture.glaze(theirs))
        one, other = getattr(one, "typical", one), getattr(other, "typical", other)
        assert one.m == pytest.approx(other.m, rel=1e-4)
    assert formula.share(ours, "water").m == pytest.approx(formula.share(theirs, "water").m)


def test_more_dextrose_equivalent_binds_more_water():
    strong = Label(
        "strong", "glucose syrup", "plant", {"solids": 80}, (), dextrose_equivalent=q(60, "percent")
    )
    ingredients.shelve([strong.as_ingredient()])
    weak = mixture.water_activity(mixture.glaze(glaze(("water", 200), ("house glucose", 300))))
    more = mixture.water_activity(mixture.glaze(glaze(("water", 200), ("strong", 300))))
    assert more.typical.m < weak.typical.m


def test_a_label_comes_back_from_its_text():
    for one in (VEGAN, SYRUP):
        again = label_of(one.as_text())
        assert again.as_ingredient().typical == one.as_ingredient().typical
        assert again.allergens == one.allergens
        assert again.may_contain == one.may_contain


def test_a_kitchen_from_text_finds_its_own_ingredients(monkeypatch):
    monkeypatch.setattr(ingredients, "_shelved", {})
    kitchen = kitchen_of(
        **_KITCHEN,
        own=[VEGAN.as_text()],
        formula=[("water", "300 g", "", ""), ("oat white bar", "200 g", "", "")],
    )
    assert formula.mass(Formula("g", kitchen.formula)).m == 500


_KITCHEN = {
    **dict.fromkeys(("gelatin_grade", "gelatin_wanted"), "gold"),
    **{"altitude": "0 m", "room": "21 °C", "humidity": "50 %", "freezer": "-18 °C"},
    **{"hob": "2 kW", "blender": "600 W", "jug": "12 cm", "blade": "3 cm", "scale": "1 g"},
    **{"gelatin_bloom": "200 bloom", "glucose": "confectioner", "region": "EU"},
    **{"window_low": "31 °C", "window_high": "34 °C", "storage": "4 °C", "display": "4 °C"},
    **{"formula_name": "g"},
}


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"name": "white chocolate"}, "has the name of another ingredient"),
        ({"kind": "paint"}, "kind: is not known"),
        ({"origin": "yak"}, "of: is not known"),
        ({"allergens": ("oats",)}, "allergens: is not known"),
        ({"per_100_g": {"fat": 36}}, "neither its water nor its solids"),
        ({"per_100_g": {"water": 30, "solids": 30}}, "don't make 100 g"),
        ({"per_100_g": {"water": 30, "fat": 90}}, "more than 100 g in 100 g"),
        ({"per_100_g": {"water": 30, "sugars": 5, "lactose": 9}}, "more sugars by name"),
        ({"kind": "glucose syrup"}, "without its dextrose equivalent"),
        ({"kind": "colour"}, "without its name in the law"),
        ({"origin": "fish"}, 'Add "fish"'),
    ],
)
def test_what_no_label_says_is_refused(change, words):
    given = {
        "name": "oat bar",
        "kind": "chocolate",
        "origin": "plant",
        "per_100_g": {"water": 1, "fat": 36},
        "allergens": (),
    }
    with pytest.raises(FaultsError) as caught:
        Label(**given | change)
    assert words in str(caught.value)


# --- a name that nobody knows ---------------------------------------------------------------

ANOTHER = [
    "vegan white chocolate",
    "oat white chocolate",
    "lactose-free condensed milk",
    "goat milk",
    "coconut cream",
    "almond milk",
    "soy milk",
    "vegan butter",
    "sunflower lecithin",
    "vegetarian gelatin leaf",
    "halal gelatin powder",
    "gelatin, pork",
    "rice syrup",
]


@pytest.mark.parametrize("name", ANOTHER)
def test_an_unknown_ingredient_is_never_answered_with_a_likeness(name):
    with pytest.raises(FaultsError) as caught:
        ingredients.ingredient(name)
    told = str(caught.value)
    assert "Did you mean" not in told
    assert "write its label under [[own_ingredients]]" in told


def test_a_word_that_several_names_hold_is_answered_with_all_of_them():
    with pytest.raises(FaultsError) as caught:
        ingredients.ingredient("chocolate")
    told = str(caught.value)
    for one in ("white chocolate", "milk chocolate", "dark chocolate, 70 %"):
        assert f'"{one}"' in told
    assert "write the one that you mean" in told
