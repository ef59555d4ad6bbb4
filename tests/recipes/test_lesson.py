"""The recipe *Add a lesson*, carried out: a short one about the water in a syrup."""

import json

import pytest

from tests.recipes.tree import ADDED, Tree, commands, recipe

pytestmark = pytest.mark.slow
HEADING = "Add a lesson"
SLUG = "how-much-water"
LESSON = f"course/lessons/{SLUG}.md"
OUTCOMES = """
[syrup-water]
lesson = "how-much-water"
verb = "work out"
wording = "work out how much of a syrup is water"
evidence = "calculate"
taught = "What is not sugar is water"
hazards = []

[syrup-wetter]
lesson = "how-much-water"
verb = "decide"
wording = "decide which of two syrups holds more water"
evidence = "decide"
taught = "The stronger pan is not always the drier one"
hazards = []
"""
WAYS = """
[syrup-water]
way = "Take the sugar from everything in the pan"
see = "What is not sugar is water"

[syrup-wetter]
way = "Work out the water of both, and hold them side by side"
see = "The stronger pan is not always the drier one"
"""


@pytest.fixture(scope="module")
def tree(tmp_path_factory):
    """A tree with steps 1 to 5 of the recipe done, and its questions recorded."""
    tree = Tree(tmp_path_factory.mktemp("lesson"))
    tree.write(LESSON, (ADDED / f"{SLUG}.md").read_text(encoding="utf-8"))
    questions = (ADDED / "how_much_water.py.txt").read_text(encoding="utf-8")
    tree.write("exercises/questions/bank/how_much_water.py", questions)
    tree.add("exercises/outcomes.toml", OUTCOMES)
    tree.add("course/lessons/ways.toml", WAYS)
    in_syrup = '"how-strong", "boiling"'
    tree.change("course/lessons/modules.toml", in_syrup, f'"how-strong", "{SLUG}", "boiling"')
    tree.passes("python -m tests.exercises.test_bank")
    return tree


def test_a_lesson_is_added(tree):
    tree.carries_out(HEADING, slug=SLUG)
    page = (tree.top / "site" / "lessons" / f"{SLUG}.html").read_text(encoding="utf-8")
    assert "<h1>How much of it is water?" in page
    tree.passes("pytest -n 0 tests/exercises/test_bank.py -k water-")
    tree.passes("pytest -n 0 tests/exercises/test_item_tells.py -k syrup-w")
    tree.passes("pytest -n 0 tests/lessons/test_practice.py")


def test_failing_looks_as_the_recipe_says(tree):
    _, record, tests, site = commands(HEADING, slug=SLUG)
    tree.passes(record)
    lesson = tree.top / LESSON
    whole = lesson.read_text(encoding="utf-8")
    tree.change(LESSON, 'whole, strong = q(800, "g")', 'whole, strong = q(800, "q")')
    stopped = f"{SLUG}.md:{whole[: whole.index('whole, strong')].count(chr(10)) + 1}: stopped with"
    tree.fails(site, stopped)
    assert "*lesson.md:line: stopped with ...*" in recipe(HEADING)
    lesson.write_text(whole, encoding="utf-8")
    recording = tree.top / f"tests/lessons/{SLUG}.json"
    kept = recording.read_text(encoding="utf-8")
    assert "280" in json.dumps(json.loads(kept)), "35 % of 800 g"
    recording.write_text(kept.replace("280", "290"), encoding="utf-8")
    tree.fails(tests, "290")
    recording.write_text(kept, encoding="utf-8")


def test_a_lesson_with_too_few_questions_is_named(tree):
    _, _, tests, _ = commands(HEADING, slug=SLUG)
    bank = tree.top / "exercises/questions/bank/how_much_water.py"
    kept = bank.read_text(encoding="utf-8")
    bank.write_text(kept[: kept.rindex("\n\n@question")], encoding="utf-8")
    tree.fails(tests, f"test_a_lesson_is_there_with_five_questions_or_more[{SLUG}]")
    bank.write_text(kept, encoding="utf-8")
