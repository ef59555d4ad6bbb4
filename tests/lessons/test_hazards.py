"""Each hazard of an outcome stands as a caution in the lesson of that outcome."""

import re

import pytest

from course.making.lessons import LESSONS
from exercises.questions.outcomes import outcomes

BLOCK = re.compile(r"^`{3,}\{hazard\} (.*)$", re.MULTILINE)


@pytest.mark.parametrize("outcome", outcomes().values(), ids=lambda one: one.id)
def test_the_hazards_of_an_outcome_are_shown_in_its_lesson(outcome):
    text = (LESSONS / f"{outcome.lesson}.md").read_text("utf-8")
    shown = {name for words in BLOCK.findall(text) for name in words.split()}
    assert set(outcome.hazards) <= shown
