"""Every kind of question that a paper can ask has its like in practice."""

from __future__ import annotations

from typing import Any

import pytest

from course.lessons.modules import modules
from course.making.lessons import BLOCK, lessons_of
from exercises.questions.building import build
from exercises.questions.outcomes import outcomes
from exercises.questions.registry import bank
from tests.exercises.test_bank import KITCHEN

KIND = {
    "quantity": "a calculation",
    "table": "a calculation",
    "choice": "a choice",
    "choices": "a choice",
    "order": "an order",
}
PRACTISED = {
    block["words"].strip()
    for lesson in lessons_of(list(modules()))
    for block in BLOCK.finditer(lesson.text)
    if block["name"] == "practice"
}


def kinds(name: str) -> set[str]:
    """Return the kinds of a question's parts that are evidence of its outcome."""
    asked: dict[str, Any] = build(bank()[name], "kind", KITCHEN).to_json()
    found = {KIND.get(part["kind"], part["kind"]) for part in asked["parts"]}
    calculates = outcomes()[bank()[name].outcome].evidence == "calculate"
    return {kind for kind in found if (kind == "a calculation") == calculates}


@pytest.mark.parametrize("outcome", sorted({one.outcome for one in bank().values()}))
def test_what_a_paper_can_ask_was_practised(outcome):
    own = [name for name, one in bank().items() if one.outcome == outcome]
    practised = set().union(*(kinds(name) for name in own if name in PRACTISED))
    assert practised
    assert {name: kinds(name) - practised for name in own if kinds(name) - practised} == {}


def test_no_question_that_is_kept_from_practice_stands_in_a_lesson():
    assert {name for name in PRACTISED if bank()[name].use == "assessed"} == set()
