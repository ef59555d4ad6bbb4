"""Two invented glazes: made with what the kitchen holds, priced with what it pays."""

import pytest

from calculators import formula
from calculators.ingredients import ingredient
from calculators.kitchen import Line, kitchen_of
from calculators.units import q
from course.kit import glazes

KITCHEN = {
    "altitude": "35 m",
    "room": "21 °C",
    "humidity": "55 %",
    "freezer": "-18 °C",
    "hob": "2 kW",
    "blender": "600 W",
    "jug": "12 cm",
    "blade": "4 cm",
    "scale": "1 g",
    "gelatin_grade": "gold",
    "gelatin_bloom": "200 bloom",
    "gelatin_wanted": "gold",
    "glucose": "confectioner",
    "window_low": "31 °C",
    "window_high": "34 °C",
    "storage": "4 °C",
    "display": "4 °C",
    "region": "US",
    "formula_name": "Own",
}
WATER = ("water", "300 g", "", "")
SUGAR = ("sugar", "500 g", "2 USD", "1 kg")
BOTH = pytest.mark.parametrize("make", [glazes.jam_glaze, glazes.neutral_base])


def kitchen(*lines):
    return kitchen_of(**KITCHEN, formula=list(lines))


def kinds(made):
    return {ingredient(line.ingredient).kind: line.ingredient for line in made.lines}


@BOTH
def test_it_takes_the_syrup_and_the_gelatin_that_the_kitchen_holds(make):
    held = [("light corn syrup", "200 g", "", ""), ("gelatin powder", "9 g", "", "")]
    made = kinds(make(kitchen(WATER, *held)))
    assert made["glucose syrup"] == "light corn syrup"
    assert made["gelatin"] == "gelatin powder"


@BOTH
def test_it_takes_the_usual_ones_where_the_kitchen_holds_none(make):
    made = kinds(make(kitchen(WATER, SUGAR, ("agar", "5 g", "", ""))))
    assert made["glucose syrup"] == "glucose syrup"
    assert made["gelatin"] == "gelatin leaf"


@BOTH
def test_without_prices_it_has_none(make):
    assert make(kitchen(WATER, ("sugar", "500 g", "", ""))).currency == ""


@BOTH
def test_it_costs_twice_as_much_where_everything_does(make):
    dear = ("sugar", "500 g", "4 USD", "1 kg")
    once, twice = (formula.cost(make(kitchen(WATER, sugar))).used for sugar in (SUGAR, dear))
    assert twice.m == pytest.approx(2 * once.m)
    assert str(once.units) == "USD"


def test_a_price_of_the_kitchen_is_taken_as_it_is():
    jam = ("apricot jam", "100 g", "9 USD", "450 g")
    (line,) = [
        line
        for line in glazes.jam_glaze(kitchen(SUGAR, jam)).lines
        if line.ingredient == "apricot jam"
    ]
    assert line == Line("apricot jam", q(600, "g"), q(9, "USD"), q(450, "g"))


def test_the_cheapest_line_stands_for_the_sugar_where_sugar_has_no_price():
    cream = ("cream", "200 g", "8 USD", "2 kg")
    (line,) = [
        line
        for line in glazes.jam_glaze(kitchen(WATER, cream)).lines
        if line.ingredient == "apricot jam"
    ]
    assert line.price.m == pytest.approx(4 * 4.0)
