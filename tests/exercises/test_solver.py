"""Public files and one's own notebook give no key away: it takes pastry to answer a sheet."""

from __future__ import annotations

import hashlib
import json

import pytest

from exercises.book import book as book_module
from exercises.book.book import create
from exercises.book.records import Student
from exercises.questions.answer_boxes import answer_boxes
from exercises.questions.registry import bank
from exercises.sheets.choice import PaperPlan
from exercises.sheets.drafting import check, draft
from exercises.sheets.issuing import issue_sheets
from tests.exercises.solver import Solver
from tests.exercises.test_bank import KITCHEN

BANK = bank()
PUBLIC = [one for one in BANK.values() if one.use != "assessed" and not one.private]
CLASS = [Student(f"s{n:02}", f"Student {n}") for n in range(10)]
SAFETY = "kitchen-hazards"
PAPERS = {
    "safety-and-syrups": ((SAFETY, "syrup-strength", "boiling-stage", "crystal-cause"), 2, 9),
    "gelatin": ((SAFETY, "gelatin-leaf", "gelatin-rule", "gelatin-killers"), 2, 9),
    "the-pour": ((SAFETY, "pour-amount", "pour-decide", "fault-diagnose", "fault-see"), 2, 11),
}


@pytest.fixture(scope="module")
def solver():
    return Solver(PUBLIC, KITCHEN)


def earned(solver, tmp_path, plan):
    """Return marks of the solver and of chance over a class, for what is chosen."""
    with create(tmp_path / "class.db") as book:
        paper = check(draft(plan, BANK, book), "M. Checker", book)
        issue_sheets(paper, BANK, CLASS, book, tmp_path / "out", "L. Lecturer", workers=1)
        won = chance = whole = 0.0
        for sheet in book.sheets(plan.name):
            text = next((tmp_path / "out").rglob(f"*{sheet.token}.ipynb")).read_text("utf-8")
            guesses = (sheet.token, f"{plan.name}\x1f{sheet.student}\x1f1")
            guesses = guesses if sheet.student in ("s00", "s01") else ()
            answers = solver.answers(text, guesses)
            for box in answer_boxes(sheet.questions):
                if box.part.kind not in ("choice", "choices", "order"):
                    continue
                assert box.key in answers
                whole += box.part.total
                won += box.part.earned(answers[box.key], box, None).value
                if box.part.kind == "choice":
                    chance += box.part.total / len(box.part.options)
                elif box.part.kind == "choices":
                    right = len(box.part.right)
                    chance += box.part.total / len(box.part.options) if right else 0
    return won / whole, chance / whole


@pytest.fixture(autouse=True)
def one_secret(monkeypatch):
    """Let books have secrets that are the same in each run."""
    count = iter(range(10**6))
    monkeypatch.setattr(
        book_module.secrets,
        "token_hex",
        lambda size: hashlib.blake2b(str(next(count)).encode(), digest_size=size).hexdigest(),
    )


@pytest.mark.parametrize("name", PAPERS)
def test_stored_flags_earn_no_more_than_chance(solver, tmp_path, name):
    wanted, carry_out, decide = PAPERS[name]
    levels = {"carry out": carry_out, "decide": decide}
    plan = PaperPlan(name, name, wanted, levels, must_pass=(SAFETY,), kitchen=KITCHEN)
    won, chance = earned(solver, tmp_path, plan)
    assert 0.15 < chance < 0.4
    assert won <= chance + 0.12  # 90 to 110 choices: two standard deviations are 0.09


def test_the_solver_has_teeth_where_practice_shows_the_right_option(solver, tmp_path):
    shown = (
        "kitchen-ready-to-boil",
        "gelatin-which-rule",
        "glucose-colleagues-tub",
        "kitchen-sugar-or-water",
        "boil-what-raises-it",
    )
    plan = PaperPlan("shown", "Shown", (), {}, only=shown, kitchen=KITCHEN)
    won, chance = earned(solver, tmp_path, plan)
    assert won > chance + 0.2


def test_a_notebook_holds_no_flag_no_seed_and_no_name_of_a_question(tmp_path):
    plan = PaperPlan(
        "p", "P", (SAFETY, "gelatin-rule"), {"decide": 6}, must_pass=(SAFETY,), kitchen=KITCHEN
    )
    with create(tmp_path / "class.db") as book:
        paper = check(draft(plan, BANK, book), "M. Checker", book)
        issue_sheets(paper, BANK, CLASS[:2], book, tmp_path / "out", "L. Lecturer", workers=1)
        sheets = book.sheets("p")
    names = [one["id"] for one in sheets[0].questions]
    for sheet in sheets:
        paths = list((tmp_path / "out").rglob(f"*{sheet.token}*"))
        assert len(paths) == 3
        for path in paths:
            text = path.read_text("utf-8")
            assert sheet.seed not in text
            assert not [name for name in names if name in text]
        book_of = json.loads(next((tmp_path / "out").rglob(f"*{sheet.token}.ipynb")).read_text())
        held = [cell["metadata"].get("glossbook", {}).keys() for cell in book_of["cells"]]
        assert {key for keys in held for key in keys} == {"part", "working"}


def test_which_questions_are_asked_depends_on_the_secret_of_the_book_alone(tmp_path):
    plan = PaperPlan(
        "p", "P", (SAFETY, "syrup-strength", "fault-see"), {"carry out": 2, "decide": 8}
    )
    chosen = []
    for n in range(6):
        with create(tmp_path / f"{n}.db") as book:
            first, again = (
                tuple(draft(plan_of(plan), BANK, book).plan["questions"]) for _ in range(2)
            )
            assert first == again
            chosen.append(first)
    assert len(set(chosen)) > 3


def plan_of(plan):
    return PaperPlan(plan.name, plan.title, plan.outcomes, plan.levels, kitchen=KITCHEN)
