"""Answers as people write them, each with the verdict that a fair person would give.

The table was argued before the reader was written; a row is changed only where a better
argument is found, never because the reader says otherwise.
"""

import csv
import re
import sys
from collections import Counter
from pathlib import Path

import pytest

from calculators.units import read
from exercises.marking.rules import (
    ASSESSOR,
    MISSING,
    NEAR,
    PARTLY,
    RIGHT,
    ROAD,
    UNIT_LOST,
    UNREAD,
    WRONG,
    Verdict,
    mark_sheet,
)
from exercises.questions.building import build
from exercises.questions.outcomes import outcomes
from exercises.questions.parts import QuantityPart
from exercises.questions.registry import Question

OUTCOME = next(key for key, one in outcomes().items() if one.evidence != "do")
LEAST_AGREEMENT = 0.99
FAIR = {
    RIGHT: "right",
    NEAR: "near",
    WRONG: "wrong",
    ROAD: "wrong",
    PARTLY: "partly",
    MISSING: "blank",
    UNREAD: "ask",
    ASSESSOR: "ask",
}
# How many marks each verdict leaves of value (2) and unit (1): what a lost mark is seen by.
EARNED = {"right": 3, "right-unit-missing": 2, "wrong-unit": 2, "near": 0, "wrong": 0}


def _table():
    rows = []
    for name in ("written_answers.csv", "held_out_answers.csv"):
        with Path(__file__).with_name(name).open(encoding="utf-8", newline="") as file:
            rows += csv.DictReader(file)
    for row in rows:
        row["written"] = re.sub(
            r"\\u([0-9a-f]{4})|\\U([0-9a-f]{8})",
            lambda code: chr(int(code[1] or code[2], 16)),
            row["written"],
        )
    return rows


ROWS = _table()


def _built(row):
    """Return the part of a row as a sheet would have it."""
    kind = row["kind"]
    if kind in ("quantity", "safety"):
        part = QuantityPart(
            row["asked"], read(row["answer"]), row["tolerance"], safety=kind == "safety"
        )
        card = Question("test-written", lambda draw: part, OUTCOME, "carry out", "both")
        return build(card, "seed")
    listed = dict(re.findall(r"(\w): ([^|]+?)(?= \||$)", row["asked"]))
    right = row["answer"].split()
    part = {"name": "a", "kind": kind, "prompt": row["asked"], "safety": False, "marks": {kind: 3}}
    if kind == "order":
        part |= {"steps": list(listed.values()), "right": [int(n) for n in right], "says": ""}
    else:
        options = [{"key": key, "text": text, "says": ""} for key, text in listed.items()]
        part |= {"options": options, "right": right}
    return {"id": "test-written", "outcome": OUTCOME, "safety": False, "parts": [part]}


def _judged(row) -> Verdict:
    (verdict,) = mark_sheet([_built(row)], {"1a": row["written"]}, questions_now=dict)
    return verdict


def _seen(row, verdict):
    """Return the marking's verdict in the words of the table."""
    if verdict.verdict == UNIT_LOST:
        return "right-unit-missing" if "is missing" in verdict.reason else "wrong-unit"
    return FAIR[verdict.verdict]


def _missed(row, verdict):
    return "" if (seen := _seen(row, verdict)) == row["fair"] else seen


def test_the_table_is_large_and_every_row_of_it_is_argued():
    assert len(ROWS) >= 400
    assert len({(row["asked"], row["written"]) for row in ROWS}) == len(ROWS)
    assert all(row["why"] for row in ROWS)
    counted = Counter(row["fair"] for row in ROWS)
    assert min(counted[one] for one in (*EARNED, "blank", "ask", "partly")) >= 5


@pytest.fixture(scope="module")
def judged():
    return [(row, _judged(row)) for row in ROWS]


def test_the_marking_agrees_with_a_fair_person_and_what_differs_is_printed(judged, capsys):
    differing = [(row, seen, v) for row, v in judged if (seen := _missed(row, v))]
    with capsys.disabled():
        for row, seen, verdict in differing:
            sys.stdout.write(
                f"\n{row['answer']}: {row['written']!r} is {row['fair']} ({row['why']})"
                f"\n   marked {seen}: {verdict.reason}"
            )
    share = 1 - len(differing) / len(ROWS)
    assert share >= LEAST_AGREEMENT, f"{share:.1%} of {len(ROWS)} answers are judged alike"


def test_no_mark_is_lost_in_silence(judged):
    lost = [
        (row["answer"], row["written"], row["fair"], verdict)
        for row, verdict in judged
        if not verdict.to_settle and verdict.awarded < EARNED.get(row["fair"], 0)
    ]
    assert lost == []


def test_no_mark_is_given_that_a_fair_person_would_not_give(judged):
    given = [
        (row["answer"], row["written"], row["fair"], verdict)
        for row, verdict in judged
        if row["fair"] not in ("right", "partly") and verdict.awarded > EARNED.get(row["fair"], 0)
    ]
    assert given == []


def test_what_is_left_to_the_assessor_earns_nothing_until_it_is_settled(judged):
    assert all(verdict.awarded == 0 for _, verdict in judged if verdict.to_settle)
