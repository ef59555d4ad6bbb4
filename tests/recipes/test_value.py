"""The recipe *Add a value*, carried out: the heat that melts ice."""

import pytest

from tests.recipes.tree import Tree, commands

pytestmark = pytest.mark.slow
HEADING = "Add a value"
ROW = (
    "heat of melting,333.43,333.4,333.5,kJ/kg,ice at 0 °C and normal air pressure,"
    "iapws-r10,table 6,published,ice of tap water melts a little below 0 °C\n"
)
SOURCE = """
@standard{iapws-r10,
  author = {International Association for the Properties of Water and Steam},
  title = {Revised Release on the Equation of State 2006 for Water Ice Ih, R10-06},
  year = {2009},
}
"""


@pytest.fixture
def tree(tmp_path):
    """A tree with the row of step 1."""
    tree = Tree(tmp_path)
    tree.add("calculators/data/thaw.csv", ROW)
    return tree


def test_a_value_is_added(tree):
    tree.add("calculators/data/sources.bib", SOURCE)
    tree.carries_out(HEADING, subject="thaw")


def test_failing_looks_as_the_recipe_says(tree):
    (command,) = commands(HEADING, subject="thaw")
    tree.fails(f"{command} -k source", "iapws-r10 is not in the bibliography")
    tree.fails(f"{command} -k source", "is not in the bibliography", HEADING)


def test_a_row_whose_low_is_above_its_value_is_named(tree):
    tree.add("calculators/data/sources.bib", SOURCE)
    tree.change("calculators/data/thaw.csv", "333.43,333.4,", "333.43,334.4,")
    (command,) = commands(HEADING, subject="thaw")
    tree.fails(f"{command} -k row", "heat of melting")
