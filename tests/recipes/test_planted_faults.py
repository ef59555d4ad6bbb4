"""Faults planted one by one in calculators and marking: the test that is named finds each."""

from __future__ import annotations

from typing import NamedTuple

import pytest

from tests.recipes.tree import Tree

pytestmark = pytest.mark.slow


class Planted(NamedTuple):
    """A fault: in which file, what stands there, what is written for it, who finds it."""

    what: str
    file: str
    old: str
    new: str
    found_by: str


MARKING = "tests/exercises/test_marking.py::test_"
PUBLISHED = "tests/published/test_"
QUANTITY = "exercises/questions/parts/quantity.py"
FAULTS = [
    Planted(
        "a wrong sign in the density of water",
        "calculators/water.py",
        "/ (1 + 16.879850e-3 * t)",
        "/ (1 - 16.879850e-3 * t)",
        f"{PUBLISHED}water_properties.py",
    ),
    Planted(
        "two digits exchanged in the pressure of the air",
        "calculators/water.py",
        "** 5.25588)",
        "** 5.52588)",
        f"{PUBLISHED}water_properties.py",
    ),
    Planted(
        "the two rules of the gelatin swap exchanged",
        "calculators/gelatin/grades.py",
        "(math.sqrt(ratio) if rule == SQUARE_ROOT else ratio)",
        "(ratio if rule == SQUARE_ROOT else math.sqrt(ratio))",
        f"{PUBLISHED}gelatin_trade.py",
    ),
    Planted(
        "the two strengths of a dilution exchanged",
        "calculators/syrup/dilution.py",
        "(brix.m / wanted.m - 1)",
        "(wanted.m / brix.m - 1)",
        "tests/calculators/test_syrup.py",
    ),
    Planted(
        "two constants of the dew point exchanged",
        "calculators/cooling/moisture.py",
        "slope, shift = _WATER",
        "shift, slope = _WATER",
        f"{PUBLISHED}dew_point.py",
    ),
    Planted(
        "a longer time allowed in a log of cooling",
        "calculators/cooling/cooling_log.py",
        "<= step.within.m + _ROUNDING",
        "<= 2 * step.within.m + _ROUNDING",
        "tests/calculators/test_cooling_log.py",
    ),
    Planted(
        "the tolerance doubled",
        QUANTITY,
        "if not abs(size - self.answer) <= width:",
        "if not abs(size - self.answer) <= 2 * width:",
        f"{MARKING}value_and_unit_have_marks_of_their_own",
    ),
    Planted(
        "the unit's mark given where it is lost",
        QUANTITY,
        "            if lost:\n",
        "            if not lost:\n",
        f"{MARKING}value_and_unit_have_marks_of_their_own",
    ),
    Planted(
        "follow-through lost",
        "exercises/marking/follow_through.py",
        "own = own or size != one.answer",
        "own = own and size != one.answer",
        f"{MARKING}a_later_part_is_right_from_ones_own_earlier_answer_without_double_penalty",
    ),
    Planted(
        "follow-through in a safety decision",
        QUANTITY,
        "no_follow = safety or state == MISFIT",
        "no_follow = state == MISFIT",
        f"{MARKING}nothing_follows_in_a_safety_decision",
    ),
    Planted(
        "one pair too many in an order",
        "exercises/questions/parts/order.py",
        "well = sum(",
        "well = 1 + sum(",
        f"{MARKING}an_order_earns_by_the_pairs_that_stand_right",
    ),
    Planted(
        "a wrong choice that costs nothing",
        "exercises/questions/parts/choice.py",
        "max(0, hits - len(extra))",
        "max(0, hits)",
        f"{MARKING}several_choices_win_and_lose_alike_but_not_below_nought",
    ),
    Planted(
        "half marks rounded up",
        "exercises/questions/verdicts.py",
        "floor(2 * value + 1e-9) / 2",
        "floor(2 * value + 1) / 2",
        f"{MARKING}an_order_earns_by_the_pairs_that_stand_right",
    ),
    Planted(
        "extra time taken off",
        "exercises/book/deadlines.py",
        "return limit + more",
        "return limit - more",
        "tests/exercises/test_markbook.py::test_the_last_moment_knows_extra_time_and_another_date",
    ),
]


@pytest.fixture(scope="module")
def tree(tmp_path_factory):
    """A tree in which every test that is named below ends well."""
    tree = Tree(tmp_path_factory.mktemp("planted"))
    tree.passes("pytest -n 0 " + " ".join(dict.fromkeys(one.found_by for one in FAULTS)))
    return tree


@pytest.mark.parametrize("one", FAULTS, ids=lambda one: one.what)
def test_it_is_found_by_the_test_that_is_named(tree, one):
    path = tree.top / one.file
    whole = path.read_text(encoding="utf-8")
    tree.change(one.file, one.old, one.new)
    try:
        tree.fails(f"pytest -n 0 -x {one.found_by}", "FAILED tests/")
    finally:
        path.write_text(whole, encoding="utf-8")
