"""The recipe *Add a type of part*, carried out with the type that is added from outside."""

import inspect

import pytest

from tests.recipes import test_part_type_from_outside as outside
from tests.recipes.tree import Tree, commands

pytestmark = pytest.mark.slow
HEADING = "Add a type of part"
PARTS = "exercises/questions/parts"
IMPORTED = "from exercises.questions.parts.table import DrawnTable, TablePart\n"
MODULE = '''\
"""A part in which each statement is true or false."""

from __future__ import annotations

import html
from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from exercises.questions.parts.part import DrawnPart, Part, part_type
from exercises.questions.parts.shown import PublicPart, read_back
from exercises.questions.verdicts import PARTLY, RIGHT, WRONG, Earned, half_marks, unread


{written}

@part_type
{drawn}

{public}'''
QUESTION = '''

@question("syrup-true-or-false", outcome="syrup-strength", level="recall", minutes=2)
def true_or_false(draw: Draw) -> Asked:
    """What holds of Brix?"""
    strong = draw.percent("brix", 55, 70)
    return Asked(
        [
            TrueFalsePart(
                f"A syrup has {strong.m:g} °Bx. Which of these hold?",
                [
                    (f"100 g of it hold {strong.m:g} g of sugar", True),
                    (f"100 g of water take up {strong.m:g} g of sugar", False),
                    ("More water makes its Brix lower", True),
                ],
                worked="Brix counts the sugar in 100 g of the whole syrup.",
            )
        ]
    )
'''


@pytest.fixture
def tree(tmp_path):
    """A tree with steps 1 and 2 done, and the import of step 3."""
    tree = Tree(tmp_path)
    source = {
        "written": inspect.getsource(outside.TrueFalsePart),
        "drawn": inspect.getsource(outside.DrawnTrueFalse),
        "public": inspect.getsource(outside.PublicTrueFalse),
    }
    tree.write(f"{PARTS}/true_false.py", MODULE.format(**source))
    tree.write("exercises/static/parts/true-false.js", outside.HANDLER)
    mine = "from exercises.questions.parts.true_false import DrawnTrueFalse, TrueFalsePart\n"
    tree.change(f"{PARTS}/__init__.py", IMPORTED, IMPORTED + mine)
    names = '    "DrawnTable",\n', '    "TablePart",\n'
    for name, new in zip(names, ("DrawnTrueFalse", "TrueFalsePart"), strict=True):
        tree.change(f"{PARTS}/__init__.py", name, f'{name}    "{new}",\n')
    return tree


def test_a_type_of_part_is_added(tree):
    tree.add("exercises/questions/bank/syrup.py", QUESTION)
    tree.change(
        "exercises/questions/bank/syrup.py",
        "    TablePart,\n",
        "    TablePart,\n    TrueFalsePart,\n",
    )
    tree.passes(commands("Add a question", outcome="syrup-strength", id="")[1])
    tree.carries_out(HEADING, id="syrup-true-or-false")
    tree.passes("pytest -n 0 tests/lessons/test_practice.py")


def test_failing_looks_as_the_recipe_says(tree):
    *_, in_the_bank = commands(HEADING, id="none")
    tree.fails(in_the_bank, "test_every_kind_of_part_is_in_the_bank", HEADING)
    tree.change(f"{PARTS}/true_false.py", "@part_type\n", "")
    tree.add("exercises/questions/bank/syrup.py", QUESTION)
    tree.change(
        "exercises/questions/bank/syrup.py",
        "    TablePart,\n",
        "    TablePart,\n    TrueFalsePart,\n",
    )
    stored = (
        "from exercises.questions.building import build; "
        "from exercises.questions.parts import DrawnQuestion; "
        "from exercises.questions.registry import bank; "
        "DrawnQuestion.from_json(build(bank()['syrup-true-or-false'], 's').to_json())"
    )
    tree.fails(f'python -c "{stored}"', "is of a type that is not known here", HEADING)
