"""The recipe *Add a value*, carried out: how heavy ice is."""

import pytest

from tests.recipes.tree import Tree, commands

pytestmark = pytest.mark.slow
HEADING = "Add a value"
ROW = (
    "density of ice,916.72,916.7,916.8,kg/m**3,ice at 0 °C and normal air pressure,"
    "feistel-wagner2006,density at the melting point,published,ice of tap water holds some air\n"
)
SOURCE = """
@article{feistel-wagner2006,
  author = {Feistel, R. and Wagner, W.},
  title = {A new equation of state for H2O ice Ih},
  journal = {Journal of Physical and Chemical Reference Data},
  year = {2006},
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
    tree.fails(f"{command} -k source", "feistel-wagner2006 is not in the bibliography")
    tree.fails(f"{command} -k source", "is not in the bibliography", HEADING)


def test_a_row_whose_low_is_above_its_value_is_named(tree):
    tree.add("calculators/data/sources.bib", SOURCE)
    tree.change("calculators/data/thaw.csv", "916.72,916.7,", "916.72,917.7,")
    (command,) = commands(HEADING, subject="thaw")
    tree.fails(f"{command} -k row", "density of ice")
