"""A changed constant names the sheets that it concerns; an edited comment names none."""

from dataclasses import replace

import pytest

from calculators.units import q
from exercises.book.book import create
from exercises.book.records import NewSheet, Student
from exercises.questions.building import build
from exercises.questions.parts import QuantityPart
from exercises.questions.registry import Question
from exercises.reports.moved_answers import moved_answers

SHARES = {"now": 0.5}


def _ask(draw):
    mass = draw.mass("mass", 100, 900, 1)
    return [
        QuantityPart("Its sugar?", answer=mass * SHARES["now"], tolerance="1 g"),
        QuantityPart("A tenth of it?", answer=mass / 10, tolerance="1 g"),
    ]


CARD = Question("x-share", _ask, "syrup-strength", "carry out", "both")


@pytest.fixture
def sheets(tmp_path):
    with create(tmp_path / "class.db") as book:
        book.enrol([Student(f"s{n}", f"Person {n}") for n in range(3)])
        book.draft_paper("first", {"title": "Shares"})
        book.check_paper("first", "M. Checker")
        new = [NewSheet(f"s{n}", "", [build(CARD, f"seed {n}").to_json()]) for n in range(3)]
        yield book.issue_paper("first", new, "L. Lecturer")


def test_a_changed_constant_names_every_sheet_and_the_part_that_moves(sheets, monkeypatch):
    monkeypatch.setitem(SHARES, "now", 0.6)
    (moved,) = moved_answers(sheets, {"x-share": CARD})
    assert (moved.question, moved.key) == ("x-share", "1a")
    assert moved.sheets == [sheet.token for sheet in sheets]
    was = q(sheets[0].questions[0]["parts"][0]["answer"], "g")
    assert f"{was.m:.4g}" in moved.was
    assert f"{was.m / 0.5 * 0.6:.4g}" in moved.now
    assert sheets[0].token in moved.said()


def test_other_words_name_no_sheet(sheets):
    def ask(draw):
        """Ask the same, in other words and with another tolerance."""
        return [replace(part, prompt="In other words", tolerance="2 g") for part in _ask(draw)]

    assert moved_answers(sheets, {"x-share": replace(CARD, ask=ask)}) == []


def test_a_question_that_can_not_be_asked_again_is_named_and_one_that_is_gone_is_not(sheets):
    def ask(draw):
        return QuantityPart("?", answer=draw.mass("other", 1, 9), tolerance="1 g")

    moved = moved_answers(sheets, {"x-share": replace(CARD, ask=ask)})
    assert [(one.key, one.now) for one in moved] == [("1a", ""), ("1b", "")]
    assert moved_answers(sheets, {}) == []
