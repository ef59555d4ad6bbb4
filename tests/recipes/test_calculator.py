"""The recipe *Add a calculator*, carried out: how long a pan of water takes to warm."""

import pytest

from tests.recipes.tree import Tree, commands, recipe

pytestmark = pytest.mark.slow
HEADING = "Add a calculator"

MODULE = '''\
"""How long a hob takes to warm a pan of water."""

from __future__ import annotations

from calculators.sources import table
from calculators.units import Measure, Quantity, calculator, q


@calculator(
    returns="min",
    mass=Measure("g", 0),
    power=Measure("W", above=0),
    rise=Measure("delta_degC", 0, 100),
)
def time_to_warm(mass: Quantity, power: Quantity, rise: Quantity) -> Quantity:
    """Return how long a pan of water needs to grow warmer.

    time = mass x specific heat x rise / power

    Parameters
    ----------
    mass : quantity
        Of the water, 0 g or more.
    power : quantity
        That reaches the water, above 0 W.
    rise : quantity
        By how much it grows warmer, 0 to 100 degrees.

    Returns
    -------
    quantity
        In min, good to 1 % for the power given.

    Examples
    --------
    >>> print(say(time_to_warm(q(1, "kg"), q(1, "kW"), q(80, "delta_degC"))))
    5.59 min

    Notes
    -----
    *Watch out*: the pan takes heat too, and so does the kitchen.
    Source: [iapws-r7].
    """
    heat = table("warming")["specific heat"].quantity.m_as("J/g/K")
    return q(mass.m * heat * rise.m / power.m / 60, "min")
'''
TABLE = """\
name,value,low,high,unit,condition,source,where,provenance,note
specific heat,4.19,4.18,4.22,J/g/K,"water, 0 to 100 °C",iapws-r7,region 1,published,its mean
"""
SOURCE = """
@standard{iapws-r7,
  author = {International Association for the Properties of Water and Steam},
  title = {Revised Release on the IAPWS Industrial Formulation 1997, R7-97},
  year = {2012},
}
"""
PUBLISHED = '''\
"""Warming water against the enthalpies of IAPWS IF-97, by the library iapws."""

import pytest
from iapws import IAPWS97

from calculators import warming
from calculators.units import q


@pytest.mark.parametrize(("start", "end"), [(20, 95), (20, 60), (40, 90)])
def test_the_time_is_that_of_the_heat_in_the_steam_tables(start, end):
    heat = IAPWS97(T=end + 273.15, P=0.101325).h - IAPWS97(T=start + 273.15, P=0.101325).h
    time = warming.time_to_warm(q(1, "kg"), q(1, "kW"), q(end - start, "delta_degC"))
    assert time.m_as("s") == pytest.approx(heat, rel=0.005)
'''
OWN = '''\
"""What is its own of warming water."""

from calculators import warming
from calculators.units import q


def test_no_water_takes_no_time():
    assert warming.time_to_warm(q(0, "g"), q(1, "kW"), q(80, "delta_degC")).m == 0
'''
EVERY = "tests/calculators/test_every_calculator.py"
DECLARED = "tests/calculators/declared.py"
OTHERS = '    "delta_degC": ("delta_degF", "K"),\n'


@pytest.fixture
def tree(tmp_path):
    """A tree with steps 1 to 5 of the recipe done."""
    tree = Tree(tmp_path)
    tree.write("calculators/warming.py", MODULE)
    tree.write("calculators/data/warming.csv", TABLE)
    tree.add("calculators/data/sources.bib", SOURCE)
    tree.write("tests/published/test_warming.py", PUBLISHED)
    tree.write("tests/calculators/test_warming.py", OWN)
    tree.change(DECLARED, '    "percent": ("", ', f'{OTHERS}    "percent": ("", ')
    tree.change(EVERY, "    thaw,\n", "    thaw,\n    warming,\n")
    tree.change(
        EVERY,
        "\nDIRECTIONS = {\n",
        '\n_KW, _WARMER = q(1, "kW"), q(9, "delta_degC")\nDIRECTIONS = {\n'
        '    "more water warms slower": (\n        UP,\n'
        "        lambda m: warming.time_to_warm(m, _KW, _WARMER),\n"
        "        _over(0, 900, G),\n    ),\n",
    )
    tree.change(
        "course/lessons/how-strong.md",
        "\n## Baumé counts",
        "\n```{calculator} warming.time_to_warm\nmass: 500 g\npower: kitchen.hob\n"
        "rise: 50 delta_degC\n```\n\n## Baumé counts",
    )
    return tree


def test_a_calculator_is_added(tree):
    tree.carries_out(HEADING, subject="warming")


def test_failing_looks_as_the_recipe_says(tree):
    (command,) = commands(HEADING, subject="warming")
    tree.change(DECLARED, OTHERS, "")
    tree.fails(command, "add its other units to tests/calculators/declared.py", HEADING)
    tree.change("calculators/warming.py", '    rise=Measure("delta_degC", 0, 100),\n', "")
    tree.fails(command, "declared {...}, takes {...}", HEADING)
    tree.change(
        "calculators/warming.py",
        '    power=Measure("W", above=0),\n',
        '    power=Measure("W", above=0),\n    rise=InstanceOf(object, "a rise"),\n',
    )
    tree.change("calculators/warming.py", "import Measure", "import InstanceOf, Measure")
    tree.fails(command, "add a good one to tests/calculators/declared.py", HEADING)


def test_a_calculator_that_nothing_asks_is_named(tree):
    (command,) = commands(HEADING, subject="warming")
    tree.change("course/lessons/how-strong.md", "warming.time_to_warm", "water.viscosity")
    tree.fails(command, "nothing asks warming.time_to_warm")
    assert "*nothing asks <subject>.<name>*" in recipe(HEADING)
