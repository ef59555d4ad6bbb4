"""A paper for everybody: more time, large print, pictures told in words."""

from __future__ import annotations

import json

import pytest

from course.demo import FOLDER
from course.scheme.reading import read_scheme
from exercises.book.book import create
from exercises.book.records import Student
from exercises.questions.building import build
from exercises.questions.registry import bank
from exercises.sheets.choice import PaperPlan
from exercises.sheets.drafting import check, draft, draft_text
from exercises.sheets.issuing import issue_sheets
from exercises.sheets.notebook import notebook
from exercises.sheets.sheet import Sheet
from exercises.sheets.worksheet import paper, web_page
from tests.exercises.sheets_for_tests import TOKEN, a_sheet

EYE = "eye-kept-specks-log"
CURVE = "boil-two-curves"
CLASS = [
    Student("s1", "Ana Brook"),
    Student("s2", "Bo Dee", extra_time="2 d + 15 min", print="words"),
    Student("s3", "Cleo Fay", extra_time="25 %", print="large"),
]


@pytest.fixture(scope="module")
def issued(tmp_path_factory):
    """Return the book, the folder and the draft of a paper with a plate and a curve."""
    root = tmp_path_factory.mktemp("issued")
    few = {
        name: bank()[name]
        for name in (EYE, f"{EYE}-told", CURVE, "syrup-brix-weighed", "syrup-water-for-brix")
    }
    plan = PaperPlan(
        "first",
        "Seen",
        ("fault-see", "boiling-stage", "syrup-strength"),
        {"decide": 2, "carry out": 1},
        opens_on="2027-03-01",
        hand_in_by="2027-03-08",
        kitchen=read_scheme(FOLDER / "scheme.toml").kitchen_values(),
        only=(EYE, CURVE, "syrup-brix-weighed"),
    )
    with create(root / "class.db") as book:
        drafted = draft(plan, few, book)
        text = draft_text(drafted, few)
        issue_sheets(check(drafted, "M. Checker", book), few, CLASS, book, root / "out", "L. L.")
        yield book, root / "out", text


def form_of(out, student, ending):
    (path,) = [
        one
        for one in out.glob(f"{student}-*/*{ending}")
        if ending != ".html" or not one.name.endswith("-paper.html")
    ]
    return path.read_text("utf-8")


def asked(book, student):
    (sheet,) = [one for one in book.sheets("first") if one.student == student]
    return {one["id"]: one for one in sheet.questions}


def test_who_cannot_see_pictures_gets_an_equal_question_with_the_same_marks(issued):
    book, *_ = issued
    seen, told = asked(book, "s1"), asked(book, "s2")
    assert EYE in seen
    assert f"{EYE}-told" in told
    assert EYE not in told
    for one, other in zip(seen.values(), told.values(), strict=True):
        assert one["outcome"] == other["outcome"]
        totals = [[part["total"] for part in each["parts"]] for each in (one, other)]
        assert totals[0] == totals[1]


@pytest.mark.parametrize("ending", ["-paper.html", ".html", ".ipynb"])
def test_no_picture_stands_on_a_sheet_in_words_and_what_it_shows_does(issued, ending):
    book, out, _ = issued
    seen, told = form_of(out, "s1", ending), form_of(out, "s2", ending)
    mark = "attachment:" if ending == ".ipynb" else 'src="data:image/'
    assert mark in seen
    assert mark not in told
    alt = asked(book, "s2")[CURVE]["exhibit"]["alt"]
    assert alt.split(".")[0] in told
    assert alt.split(":")[-1].split(",")[0].strip() in told  # its numbers too


def test_minutes_at_the_table_are_printed_and_days_move_the_day(issued):
    book, out, _ = issued
    minutes = book.paper("first").plan["minutes"]
    plain, days, share = (form_of(out, one, "-paper.html") for one in ("s1", "s2", "s3"))
    assert "Extra time" not in plain
    assert f"15 minutes more, {minutes + 15:.0f} in all" in days
    assert "Wednesday 10 March 2027" in days
    more = -(-minutes * 25 // 100)
    assert f"{more:.0f} minutes more" in share
    head = json.loads(form_of(out, "s2", ".ipynb"))["cells"][0]["source"]
    assert "**Extra time:** 15 minutes more" in head


def test_who_signs_a_paper_sees_the_words_for_each_picture(issued):
    book, _, text = issued
    assert "In words, for who can&#39;t see it: Temperature against time. Pan A: " in text
    assert f"{EYE}-told" in book.paper("first").plan["digests"]


def test_every_picture_that_a_paper_can_show_has_words_or_an_equal_question():
    kitchen = read_scheme(FOLDER / "scheme.toml").kitchen_values()
    for name, card in bank().items():
        drawn = build(card, "words", kitchen)
        if drawn.exhibit and drawn.exhibit.plate:
            assert f"{name}-told" in bank(), name
        if drawn.exhibit and (drawn.exhibit.svg or drawn.exhibit.plate):
            assert len(drawn.exhibit.alt) > 30, name
            sheet = Sheet(TOKEN, "Ada", "T", [drawn], words=True)
            for form in (paper, web_page, notebook):
                text = form(sheet)
                assert 'src="data:image' not in text
                assert "attachment:" not in text


def test_every_form_of_a_large_sheet_says_so():
    for form in (paper, web_page):
        assert 'class="large"' in form(a_sheet(large=True))
