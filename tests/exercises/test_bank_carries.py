"""The bank can carry a paper: enough questions of an outcome's own kind, kept from practice."""

from __future__ import annotations

import pytest

from exercises.questions.building import build
from exercises.questions.outcomes import outcomes
from exercises.questions.registry import Question, bank
from tests.exercises.test_bank import KITCHEN

ASKED = [one for one in outcomes().values() if one.evidence != "do"]


def of_its_kind(outcome: str, evidence: str) -> list[Question]:
    """Return the questions that are evidence of an outcome's own kind."""
    wanted = {"calculate": {"quantity", "table"}, "decide": {"choice", "choices", "order"}}
    return [
        one
        for one in bank().values()
        if one.outcome == outcome
        and {part["kind"] for part in build(one, "kind", KITCHEN).to_json()["parts"]}
        & wanted[evidence]
        and (evidence == "calculate" or one.level == "decide")
    ]


@pytest.mark.parametrize("asked", ASKED, ids=[one.id for one in ASKED])
def test_an_outcome_has_questions_of_its_kind_that_are_kept_from_practice(asked):
    fitting = of_its_kind(asked.id, asked.evidence)
    kept = [one.id for one in fitting if one.use == "assessed"]
    opened = [one.id for one in fitting if one.use in ("practice", "both")]
    if asked.evidence == "calculate":
        assert len(fitting) >= 3
        assert kept
        assert opened
    else:
        assert len(kept) >= 3, kept
        assert len(opened) >= 2, opened
