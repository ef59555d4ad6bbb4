"""A kitchen's own ingredients in its scheme: read, ordered, priced, and told with faults."""

import pytest

from calculators import formula, ingredients
from calculators.faults import FaultsError
from calculators.units import q
from course.demo import FOLDER
from course.making.blocks import kitchen_cell
from course.practical.amounts import refuse_forbidden
from course.practical.orders import in_stores, orders_for
from course.scheme.reading import read_scheme

TEXT = (FOLDER / "scheme.toml").read_text(encoding="utf-8")
BAR = """
[[own_ingredients]]
name = "oat white bar"
kind = "chocolate"
of = "plant"
water = "1 %"
fat = "36 %"
sugars = "48 %"
allergens = ["gluten"]
may_contain = ["milk"]
price = "31.00 EUR"
pack = "2 kg"

[[own_ingredients]]
name = "house syrup"
kind = "glucose syrup"
of = "plant"
solids = "81 %"
de = "44 %"
allergens = []
density = "1.4 g/ml"
price = "9.00 EUR"
pack = "1000 ml"
"""


@pytest.fixture(autouse=True)
def shelf(monkeypatch):
    monkeypatch.setattr(ingredients, "_shelved", {})


def scheme_of(tmp_path, more=BAR, text=TEXT):
    text = text.replace('ingredient = "white chocolate"', 'ingredient = "Oat white bar"')
    text = text.replace('price = "27.50 EUR"\npack = "2.5 kg"\n', "")
    path = tmp_path / "scheme.toml"
    path.write_text(text + more, encoding="utf-8")
    return read_scheme(path)


def test_an_own_ingredient_is_used_by_formula_allergens_and_order_list(tmp_path):
    scheme = scheme_of(tmp_path)
    made = scheme.formula.as_formula()
    assert "oat white bar" in [line.ingredient for line in made.lines]
    told = {one.allergen: one.certain for one in formula.allergens(made)}
    assert told["gluten"]
    total = q(4000, "g")
    orders, cost = orders_for(scheme, formula.Formula("g", tuple(in_stores(scheme, total))), total)
    line = next(one for one in orders if one.ingredient == "oat white bar")
    # 280 g of 1278 g, so 876 g of 4000 g: one pack of 2 kg at 31.00 EUR.
    assert line.needed.m_as("g") == pytest.approx(4000 * 280 / 1278)
    assert (line.packs, line.cost.m) == (1, pytest.approx(31.0))
    assert cost is not None
    refuse_forbidden(scheme)


def test_a_pack_in_millilitres_is_weighed_by_its_density(tmp_path):
    own = {one.label.name: one for one in scheme_of(tmp_path).own_ingredients}
    assert own["house syrup"].pack.m_as("g") == pytest.approx(1400)


def test_a_pack_of_the_table_s_own_in_millilitres_is_weighed_too(tmp_path):
    text = TEXT.replace('mass = "190 g"\nprice = "2.65 EUR"\npack = "397 g"', "")
    text = text.replace(
        'ingredient = "sweetened condensed milk"',
        'ingredient = "sweetened condensed milk"\nmass = "190 g"\nprice = "2.65 EUR"\npack = "300 ml"',
    )
    scheme = scheme_of(tmp_path, text=text)
    line = next(one for one in scheme.formula.lines if one.ingredient.startswith("condensed"))
    weighed = 300 * 38.2 / 29.5735  # a US fluid ounce of 29.5735 ml weighs 38.2 g, usda-legacy
    assert line.pack.m_as("g") == pytest.approx(weighed, abs=0.2)


def test_the_labels_may_lie_in_a_file_beside_the_scheme(tmp_path):
    (tmp_path / "labels.toml").write_text(BAR, encoding="utf-8")
    scheme = scheme_of(tmp_path, '\n[own]\ningredients = "labels.toml"\n')
    assert [one.label.name for one in scheme.own_ingredients] == ["oat white bar", "house syrup"]


def test_lessons_are_told_of_them(tmp_path):
    cell = kitchen_cell(scheme_of(tmp_path))
    ingredients._shelved.clear()
    held = {}
    exec(cell, held)
    assert held["kitchen"].own[0]["name"] == "oat white bar"
    assert ingredients.ingredient("oat white bar").kind == "chocolate"


def test_a_scheme_never_finds_the_ingredients_of_another(tmp_path):
    scheme_of(tmp_path)
    with pytest.raises(FaultsError, match="is not in the ingredient table"):
        scheme_of(tmp_path, "")


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('allergens = ["gluten"]\n', "", "Silence is not an answer here"),
        ('water = "1 %"\n', "", "neither its water nor its solids"),
        ('kind = "chocolate"', 'kind = "chocolat"', "Did you mean chocolate"),
        ('of = "plant"\nwater', 'of = "milk"\nwater', 'Add "milk"'),
        ('density = "1.4 g/ml"\n', "", "its density is not known"),
        ('de = "44 %"\n', "", "without its dextrose equivalent"),
        ('name = "house syrup"', 'name = "Oat White Bar"', "is there twice"),
        ('fat = "36 %"', 'fat = "36 %"\nfett = "2 %"', "is not a name that"),
    ],
)
def test_each_fault_of_a_label_has_its_line(tmp_path, old, new, words):
    assert old in BAR
    with pytest.raises(FaultsError) as caught:
        scheme_of(tmp_path, BAR.replace(old, new, 1))
    assert words in str(caught.value)
    assert all("scheme.toml:" in fault.where for fault in caught.value.faults)


def test_a_name_that_is_there_twice_has_its_own_line_after_a_label_with_a_fault(tmp_path):
    bad, twice = BAR.replace("1 %", "one", 1), BAR.split("[[own_ingredients]]")[2]
    (tmp_path / "labels.toml").write_text(f"{bad}[[own_ingredients]]{twice}", encoding="utf-8")
    with pytest.raises(FaultsError) as caught:
        scheme_of(tmp_path, '\n[own]\ningredients = "labels.toml"\n')
    lines = (tmp_path / "labels.toml").read_text(encoding="utf-8").splitlines()
    last = max(n for n, line in enumerate(lines, 1) if line == 'name = "house syrup"')
    (told,) = [one for one in caught.value.faults if "there twice" in str(one)]
    assert f"labels.toml:{last}" in told.where


def test_a_label_with_a_fault_is_told_once_and_not_as_an_ingredient_that_is_nowhere(tmp_path):
    with pytest.raises(FaultsError) as caught:
        scheme_of(tmp_path, BAR.replace('fat = "36 %"', 'fat = "66 %"'))
    (fault,) = caught.value.faults
    assert "has more than 100 g in 100 g" in str(fault)


def test_a_fault_in_the_file_beside_names_that_file(tmp_path):
    (tmp_path / "labels.toml").write_text(BAR.replace('"1 %"', '"one"', 1), encoding="utf-8")
    with pytest.raises(FaultsError, match=r"labels.toml:6"):
        scheme_of(tmp_path, '\n[own]\ningredients = "labels.toml"\n')
    with pytest.raises(FaultsError, match=r"none\.toml"):
        scheme_of(tmp_path, '\n[own]\ningredients = "none.toml"\n')


# --- what the stores hold -------------------------------------------------------------------


def test_an_own_syrup_is_bought_in_place_of_the_formula_s_and_the_water_is_put_right(tmp_path):
    text = TEXT.replace(
        'glucose = "confectioner"', 'glucose = "confectioner"\nown_glucose = "house syrup"'
    )
    scheme = scheme_of(tmp_path, text=text)
    lines = {line.ingredient: line for line in in_stores(scheme, scheme.formula.mass)}
    # 280 g of 80 % are 224 g of solids; of 81 % that is 276.5 g, with 3.5 g of water more.
    solids = 280 * (100 - ingredients.ingredient("glucose syrup").share("water").typical.m) / 100
    assert lines["house syrup"].mass.m_as("g") == pytest.approx(solids / 0.81)
    assert lines["water"].mass.m_as("g") == pytest.approx(230 + 280 - solids / 0.81)
    assert "glucose syrup, confectioner's" not in lines
    assert lines["house syrup"].price.m == 9.0
    dry = formula.share(scheme.formula.as_formula(), "solids").m
    swapped = formula.Formula("g", tuple(lines.values()))
    gelatin = lines["gelatin leaf"].mass.m_as("g") - 18  # silver for gold weighs more
    assert formula.share(swapped, "solids").m == pytest.approx(dry, abs=0.1 + gelatin / 10)
    orders, _ = orders_for(scheme, swapped, scheme.formula.mass)
    note = next(one.note for one in orders if one.ingredient == "house syrup")
    assert "the water is put right" in note


def test_the_lesson_weighs_what_the_plan_weighs(tmp_path):
    from course.practical.lesson import as_scheme

    text = TEXT.replace(
        'glucose = "confectioner"', 'glucose = "confectioner"\nown_glucose = "house syrup"'
    )
    scheme = scheme_of(tmp_path, text=text)
    taught = as_scheme(scheme.as_kitchen())
    total = q(4000, "g")
    weighed = {line.ingredient: line.mass.m for line in in_stores(taught, total)}
    assert weighed == pytest.approx({x.ingredient: x.mass.m for x in in_stores(scheme, total)})
    assert "house syrup" in weighed


def test_an_own_syrup_that_is_none_is_told(tmp_path):
    text = TEXT.replace('glucose = "confectioner"', 'own_glucose = "oat white bar"')
    with pytest.raises(FaultsError, match="own_glucose"):
        scheme_of(tmp_path, text=text)


def test_other_gelatins_on_the_shelf_are_told_with_what_they_weigh(tmp_path):
    more = """
[[stores.more_gelatins]]
gelatin_grade = "powder"
gelatin_bloom = "275 bloom"
"""
    text = TEXT.replace("[formula]\n", f"{more}\n[formula]\n", 1)
    scheme = scheme_of(tmp_path, text=text)
    total = scheme.formula.mass
    orders, _ = orders_for(scheme, formula.Formula("g", tuple(in_stores(scheme, total))), total)
    note = next(one.note for one in orders if one.ingredient == "gelatin leaf")
    # 18 g of 200 bloom by the square root: 18 * sqrt(200 / 275) = 15.35 g of 275 bloom.
    assert "Or: 15.4 g of powder of 275 bloom" in note
    assert "read the pack" in note
