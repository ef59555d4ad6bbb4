"""Questions as sheets stored them before parts were classes: read, kept and marked alike.

``stored_questions.json`` holds such questions with answers and the verdicts of that day.
None of these verdicts asks the bank, so that a later change of a question moves none.
"""

import json
from pathlib import Path

import pytest

from exercises.marking.rules import mark_sheet
from exercises.questions.parts import PART_TYPES, DrawnQuestion

STORED = json.loads(Path(__file__).with_name("stored_questions.json").read_text("utf-8"))
every_one = pytest.mark.parametrize("case", STORED, ids=lambda case: case["question"]["id"])


@every_one
def test_a_stored_question_goes_through_its_classes_unchanged(case):
    stored = case["question"]
    kept = DrawnQuestion.from_json(stored).to_json()
    assert kept == {key: value for key, value in stored.items() if key != "digest"}


@every_one
def test_regression_a_stored_question_is_marked_as_on_that_day(case):
    policy = {"unit_alone": True} | (case["policy"] or {})  # the rule of that day
    got = mark_sheet([case["question"]], case["answers"], policy, questions_now=dict)
    assert [list(verdict) for verdict in got] == case["verdicts"]


def test_every_type_of_that_day_is_among_them():
    kinds = {part["kind"] for case in STORED for part in case["question"]["parts"]}
    assert kinds == {"quantity", "choice", "choices", "order", "table"} <= set(PART_TYPES)
