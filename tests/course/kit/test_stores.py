"""What the formula asks for and what is in stores, for the kitchens a scheme may name."""

from dataclasses import replace
from pathlib import Path

import pytest

from calculators import gelatin
from calculators.kitchen import Kitchen, Line
from calculators.units import q
from course.kit import stores
from course.scheme.reading import read_scheme

DEMO = Path(__file__).parents[3] / "course" / "demo" / "scheme.toml"
LEAVES = ("bronze", "silver", "gold", "platinum", "titanium")


@pytest.fixture(scope="module")
def demo() -> Kitchen:
    return read_scheme(DEMO).as_kitchen()


def with_gelatin(kitchen: Kitchen, held: str, wanted: str) -> Kitchen:
    def bloom(grade: str):
        leaf = gelatin.GRADES.get(grade)
        return leaf.bloom.typical if leaf else q(200, "bloom")

    return replace(
        kitchen,
        gelatin_grade=held,
        gelatin_bloom=bloom(held),
        gelatin_wanted=wanted,
        gelatin_wanted_bloom=bloom(wanted),
    )


def test_silver_in_stores_and_gold_in_the_formula_go_leaf_for_leaf(demo):
    case = stores.gelatin_case(with_gelatin(demo, "silver", "gold"))
    assert case.own
    assert case.rule == gelatin.LEAF_FOR_LEAF
    assert case.mass.m_as("g") == pytest.approx(18)
    assert case.to_weigh.m_as("g") == pytest.approx(22.5)  # 9 leaves of 2.5 g


@pytest.mark.parametrize("held", [*LEAVES, "powder"])
@pytest.mark.parametrize("wanted", [*LEAVES, "powder"])
def test_there_is_always_something_to_swap(demo, held, wanted):
    case = stores.gelatin_case(with_gelatin(demo, held, wanted))
    assert case.held.grade == held
    assert case.wanted.bloom != case.held.bloom
    assert case.own == (case.wanted.grade == wanted)
    first, second = case.leaf_grades
    assert first != second
    assert {first, second} <= set(LEAVES)
    assert case.held.grade in (second, "powder")
    assert (case.to_weigh > case.mass) == (case.held.bloom < case.wanted.bloom)


def test_powder_goes_by_the_square_root(demo):
    case = stores.gelatin_case(with_gelatin(demo, "powder", "platinum"))
    assert case.rule == gelatin.SQUARE_ROOT
    assert case.to_weigh.m_as("g") == pytest.approx(18 * (250 / 200) ** 0.5)


def test_where_stores_and_formula_agree_the_story_says_that_the_rest_is_made_up(demo):
    case = stores.gelatin_case(with_gelatin(demo, "gold", "gold"))
    assert not case.own
    assert case.wanted.grade == "platinum"
    assert "Nothing has to be swapped" in case.story


def test_a_glaze_without_gelatin_says_so(demo):
    lines = tuple(x for x in demo.formula if "gelatin" not in x.ingredient)
    case = stores.gelatin_case(replace(demo, formula=lines))
    assert not case.own
    assert case.story.startswith("Your own glaze holds no gelatin")


def test_the_syrup_of_the_formula_is_the_one_it_names(demo):
    case = stores.glucose_case(demo)
    assert case.mass.m_as("g") == pytest.approx(280)
    assert (case.sugar.m_as("g"), case.water.m_as("g")) == pytest.approx((280, 230))
    assert case.wanted.solids.m_as("percent") == pytest.approx(80.3)
    packs = (Line("liquid glucose, home pack", q(100, "g")),)
    other = stores.glucose_case(replace(demo, formula=packs, glucose="light corn"))
    assert other.wanted.solids.m_as("percent") == pytest.approx(60)
    assert other.held_name == "light corn"
    assert other.sugar == other.mass  # none is weighed: as much as the syrup


def test_a_glaze_without_glucose_says_so(demo):
    case = stores.glucose_case(replace(demo, formula=(Line("water", q(1, "kg")),)))
    assert case.story.startswith("Your own glaze holds no glucose syrup")


@pytest.mark.parametrize("odd", ["bronze", "titanium"])
@pytest.mark.parametrize("other", ["silver", "gold", "platinum"])
def test_a_leaf_that_does_not_replace_a_leaf_goes_by_the_square_root(demo, odd, other):
    for held, wanted in ((odd, other), (other, odd)):
        case = stores.gelatin_case(with_gelatin(demo, held, wanted))
        assert case.rule == gelatin.SQUARE_ROOT


@pytest.mark.parametrize("held", ["silver", "gold", "platinum"])
@pytest.mark.parametrize("wanted", ["silver", "gold", "platinum"])
def test_silver_gold_and_platinum_replace_each_other_leaf_for_leaf(demo, held, wanted):
    if held != wanted:
        case = stores.gelatin_case(with_gelatin(demo, held, wanted))
        assert case.rule == gelatin.LEAF_FOR_LEAF
