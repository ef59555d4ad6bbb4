"""A new type of part is one module, one renderer in it and one handler for the page.

This file adds such a type from outside: no line of the house knows of it, and yet it is
drawn, stored, shown in every form, handed in, marked and reported.
"""

from __future__ import annotations

import html
import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar

import pytest

from course.live.cards import asked_html
from exercises.book.book import create
from exercises.book.records import NewSheet, Student
from exercises.marking.rules import mark_sheet
from exercises.marking.run import mark_folder
from exercises.questions.building import build
from exercises.questions.parts import PART_TYPES, DrawnPart, DrawnQuestion, Part, part_type
from exercises.questions.parts.shown import PublicPart, read_back
from exercises.questions.registry import Question
from exercises.questions.verdicts import PARTLY, RIGHT, UNREAD, WRONG, Earned, half_marks, unread
from exercises.sheets.mark_scheme import mark_scheme
from exercises.sheets.notebook import notebook
from exercises.sheets.sheet import Sheet
from exercises.sheets.worksheet import paper, web_page
from tests.exercises.pile_of_ours import answer_file

# --- the new type: each statement is true or false -------------------------------------


@dataclass(frozen=True)
class TrueFalsePart(Part):
    """Statements, each of which is true or false; written like ``TFT``."""

    prompt: str
    statements: Sequence[tuple[str, bool]]
    worked: str = ""
    safety: bool = False

    def drawn(self, name, draw, earlier):
        """Return the part with its statements in drawn order."""
        statements = draw.shuffled(f"statements {name}", self.statements)
        return DrawnTrueFalse(
            name=name,
            prompt=self.prompt,
            worked=self.worked,
            safety=self.safety,
            marks={"each": len(statements)},
            statements=tuple(text for text, _ in statements),
            right="".join("T" if true else "F" for _, true in statements),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnTrueFalse(DrawnPart):
    """Statements in drawn order, and which are true."""

    kind: ClassVar[str] = "true-false"
    statements: Sequence[str] = ()
    right: str = ""

    def public(self, place, name_units):
        """Return what a student may see."""
        key = f"{place}{self.name}"
        return PublicTrueFalse(
            key, self.prompt, self.marks_in_words(), statements=tuple(self.statements)
        )

    def earned(self, text, box, sheet):
        """Return a mark for each statement that is judged rightly."""
        given = text.strip().upper()
        if len(given) != len(self.right) or set(given) - {"T", "F"}:
            raise unread("is not a letter for each statement", text, "", "Write T or F for each")
        hits = sum(one == other for one, other in zip(given, self.right, strict=True))
        won = half_marks(hits)
        if hits == len(self.right):
            return Earned(RIGHT, "Right: every statement.", won)
        return Earned(PARTLY if won else WRONG, f"{hits} of {len(self.right)} are right.", won)

    def right_answer(self):
        """Return the letters."""
        return self.right

    def wrong_answer(self):
        """Return the other letters."""
        return self.right.translate(str.maketrans("TF", "FT"))

    def solution(self):
        """Return the letters and the worked solution."""
        return f"{self.right}\n\n{self.worked}".strip()


@dataclass(frozen=True)
class PublicTrueFalse(PublicPart):
    """The statements alone."""

    handler = "true-false"
    how = 'Answer with a letter for each, like `answer = "TFT"`.'

    statements: Sequence[str] = ()

    def listed(self):
        """Return the numbered statements."""
        return [(f"{n}.", text) for n, text in enumerate(self.statements, 1)]

    def asked_html(self, dress):
        """Return the statements and one box."""
        items = "".join(f"<li>{html.escape(text)}</li>" for text in self.statements)
        return (
            f'<ol>{items}</ol><input {dress.css("answer")} name="{self.key}" '
            f'id="{dress.ident("answer", self.key)}" aria-label="T or F for each">'
            f"{read_back(dress, self.key)}"
        )

    def paper_html(self):
        """Return the statements, each with a square."""
        return "".join(
            f'<p>{html.escape(text)} <span class="square"></span></p>' for text in self.statements
        )


HANDLER = """kinds["true-false"] = {
  answer: (part) => find("answer-" + part.key).value.trim(),
  fill: (part, value) => { find("answer-" + part.key).value = value; },
  look: (part) => find("answer-" + part.key).value.trim() ? "read" : "empty",
};
"""


# --- and the house, which has never heard of it ------------------------------------------


@pytest.fixture(autouse=True)
def _registered(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("exercises.questions.parts.part.PART_TYPES", kept := dict(PART_TYPES))
    part_type(DrawnTrueFalse)
    assert kept["true-false"] is DrawnTrueFalse
    (tmp_path / "true-false.js").write_text(HANDLER, encoding="utf-8")
    script = classmethod(lambda cls: tmp_path / "true-false.js")
    monkeypatch.setattr(PublicTrueFalse, "script", script)


SAID = [("Sugar & water freeze below 0 °C", True), ("Gelatin melts at 90 °C", False)]
CARD = Question(
    "x-true-false",
    lambda draw: TrueFalsePart("Which hold?", SAID, worked="Look at the table."),
    "gelatin-rule",
    "decide",
    "both",
)


def a_question() -> DrawnQuestion:
    return build(CARD, "seed")


def a_sheet() -> Sheet:
    return Sheet("ABCD", "Ada Example", "Statements", [a_question()])


def test_it_goes_to_a_stored_sheet_and_back():
    asked = a_question()
    stored = json.loads(json.dumps(asked.to_json()))
    assert stored["parts"][0]["kind"] == "true-false"
    back = DrawnQuestion.from_json(stored)
    assert isinstance(back.parts[0], DrawnTrueFalse)
    assert back.to_json() == stored


@pytest.mark.parametrize("form", [web_page, paper, notebook])
def test_every_form_asks_it_and_none_tells(form):
    text = html.unescape(form(a_sheet())).replace("\\\\&", "&")
    for words in ("Which hold?", *(words for words, _ in SAID)):
        assert words in text
    for secret in ("Look at the table.", f">{a_question().parts[0].right_answer()}<", '"right"'):
        assert secret not in text


def test_a_practice_card_asks_it_and_has_its_worked_solution():
    text = html.unescape(asked_html(a_question()))
    for words in ("Which hold?", *(words for words, _ in SAID), "Look at the table."):
        assert words in text
    assert 'class="gb-write" name="1a"' in text
    assert 'data-verdict="1a"' in text


def test_the_page_has_its_handler_and_no_other():
    text = web_page(a_sheet())
    assert HANDLER in text
    assert '{"key":"1a","kind":"true-false"}' in text
    assert "kinds.quantity" not in text
    assert "kinds.order" not in text


def test_the_mark_scheme_has_its_answer():
    right = a_question().parts[0].right_answer()
    assert f">{right}<" in mark_scheme([a_sheet()])


def test_it_is_marked_by_its_own_rule():
    (part,) = a_question().parts
    assert isinstance(part, DrawnTrueFalse)
    wrong = part.wrong_answer()

    def marked(text):
        (verdict,) = mark_sheet([a_question()], {"1a": text})
        return verdict.verdict, verdict.awarded

    assert marked(part.right.lower()) == (RIGHT, 2.0)
    assert marked(part.right[0] + wrong[1]) == (PARTLY, 1.0)
    assert marked(wrong) == (WRONG, 0.0)
    assert marked("perhaps") == (UNREAD, 0.0)


def test_a_class_hands_it_in_and_gets_its_marks(tmp_path: Path):
    with create(tmp_path / "class.db") as book:
        book.enrol([Student("s1", "Ada Example")])
        book.draft_paper("first", {"title": "Statements"})
        book.check_paper("first", "M. Checker")
        new = NewSheet("s1", "seed", [a_question().to_json()])
        (sheet,) = book.issue_paper("first", [new], "L. Lecturer")
        right = a_question().parts[0].right_answer()
        folder = tmp_path / "pile"
        folder.mkdir()
        (folder / "one.json").write_bytes(answer_file(sheet.token, {"1a": right}))
        mark_folder(folder, book, workers=1)
        (result,) = book.results("first")
        assert result.awarded == result.total == 2
