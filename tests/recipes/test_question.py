"""The recipe *Add a question*, carried out: the water in a pan of known strength."""

import json

import pytest

from tests.recipes.tree import Tree, commands

pytestmark = pytest.mark.slow
HEADING = "Add a question"
FILLED = {"outcome": "syrup-strength", "id": "syrup-water-in-pan"}
BANK = "exercises/questions/bank/syrup.py"
STABLE = "tests/exercises/stable_draws.json"
SUGAR = "whole - water"
LOOK_AGAIN = "Look again at which of the two is asked for."
QUESTION = f'''

@question("syrup-water-in-pan", outcome="syrup-strength", level="carry out", minutes=3)
def water_in_pan(draw: Draw) -> Asked:
    """How much of a weighed syrup is water?"""
    whole = draw.mass("mass", 510, 990, step=20)
    strong = draw.percent("brix", 60, 70)
    water = whole * (1 - strong.m / 100)
    return Asked(
        [
            QuantityPart(
                f"A pan holds {{say(whole)}} of a syrup of {{strong.m:g}} °Bx. How much is water?",
                answer=water,
                tolerance="2 g",
                because=BENCH_SCALE + ", and the Brix is rounded",
                wrong_turns=[
                    WrongTurn(
                        "the sugar",
                        {SUGAR},
                        "This is the number you get for the sugar. {LOOK_AGAIN}",
                    ),
                    WrongTurn(
                        "water of the sugar",
                        (whole - water) * (1 - strong.m / 100),
                        "This is the number you get by taking the share of the sugar alone. "
                        "Ask yourself what Brix is a share of.",
                    ),
                ],
                working="water = whole × (1 − Brix)",
                worked=f"{{say(whole)}} × (1 − {{strong.m / 100:g}}) = {{say(water, digits=4)}}",
            ),
        ]
    )
'''


@pytest.fixture
def tree(tmp_path):
    """A tree with the function of step 2."""
    tree = Tree(tmp_path)
    tree.add(BANK, QUESTION)
    return tree


def test_a_question_is_added(tree):
    before = json.loads((tree.top / STABLE).read_text(encoding="utf-8"))
    tree.carries_out(HEADING, **FILLED)
    after = json.loads((tree.top / STABLE).read_text(encoding="utf-8"))
    assert set(after) - set(before) == {FILLED["id"]}
    assert {name: after[name] for name in before} == before


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        (
            'pan", outcome="syrup-strength"',
            'pan", outcome="bench-pour"',
            "is one that no sheet can prove",
        ),
        (f"{SUGAR},\n", "water * 1.001,\n", "was not fair in 200 draws"),
    ],
)
def test_failing_looks_as_the_recipe_says(tree, old, new, says):
    tree.change(BANK, old, new)
    tree.fails(commands(HEADING, **FILLED)[-1], says, HEADING)


def test_a_hint_that_two_wrong_turns_share_is_named(tree):
    tells, *_ = commands(HEADING, **FILLED)
    tree.change(BANK, f"for the sugar. {LOOK_AGAIN}", "by that. Think again.")
    shared = '"This is the number you get by taking the share of the sugar alone. "\n'
    tree.change(BANK, shared, '"This is the number you get by that. "\n')
    tree.change(BANK, "Ask yourself what Brix is a share of.", "Think again.")
    tree.fails(tells, "wrong options with the same hint")
