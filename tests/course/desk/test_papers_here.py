"""Papers at the desk: questions looked at and named, sittings, latecomers, the print run."""

from __future__ import annotations

import threading
import tomllib
from typing import Any

import pytest

from exercises.book.book import open_book
from exercises.questions.registry import bank
from tests.course.desk.conftest import Visitor, text_of

PAPER = "syrups-and-gelatin"
QUESTIONS = f"/papers/{PAPER}/questions"


def place(visitor: Visitor) -> Any:
    return visitor.app.extensions["desk"].place


def scheme_paper(visitor: Visitor) -> dict[str, Any]:
    held = tomllib.loads(place(visitor).scheme.read_text(encoding="utf-8"))
    return dict(held["papers"][PAPER])


def press(visitor: Visitor, way: str, question: str, **more: str) -> Any:
    return visitor.post(QUESTIONS, {"press": f"{way}:{question}", **more})


# --- questions -------------------------------------------------------------------------------


def test_every_question_of_the_papers_outcomes_is_listed_with_what_one_chooses_by(
    bramblemoor: Visitor,
) -> None:
    from course.office.papers import questions_for
    from course.scheme.reading import read_scheme

    scheme = read_scheme(place(bramblemoor).scheme)
    said = text_of(bramblemoor.get(QUESTIONS))
    for one in questions_for(scheme).values():
        if one.outcome in scheme.papers[PAPER].outcomes and one.use != "practice":
            assert f"{one.id} {one.level}, " in said
            assert f"{one.minutes:g} min" in said
    assert "judged by 3 questions" in said  # the blueprint stands beside them


def test_an_example_comes_with_its_mark_scheme_and_the_next_has_other_numbers(
    bramblemoor: Visitor,
) -> None:
    first = text_of(bramblemoor.get(f"{QUESTIONS}/syrup-blend"))
    second = text_of(bramblemoor.get(f"{QUESTIONS}/syrup-blend?example=2"))
    for page in (first, second):
        assert "Mark scheme" in page
        assert "accepted from" in page
        assert "Tolerance:" in page
    assert first.partition("Example 1")[2] != second.partition("Example 2")[2]
    assert "example=3" in bramblemoor.get(f"{QUESTIONS}/syrup-blend?example=2").text
    assert bramblemoor.get(f"{QUESTIONS}/no-such-question").status_code == 400


def test_one_press_names_a_question_and_the_paper_asks_it(bramblemoor: Visitor) -> None:
    before = place(bramblemoor).scheme.read_text(encoding="utf-8")
    said = text_of(press(bramblemoor, "ask", "kitchen-before-start"))
    assert "kitchen-before-start: decide, 3 marks" in said  # a line of the blueprint
    assert scheme_paper(bramblemoor)["include"] == ["kitchen-before-start"]
    said = text_of(press(bramblemoor, "never", "kitchen-before-start"))
    assert "kitchen-before-start: decide" not in said
    assert scheme_paper(bramblemoor)["exclude"] == ["kitchen-before-start"]
    press(bramblemoor, "leave", "kitchen-before-start")
    assert place(bramblemoor).scheme.read_text(encoding="utf-8") == before


def test_a_press_after_which_what_must_be_met_cannot_be_judged_says_so_at_once(
    bramblemoor: Visitor,
) -> None:
    said = ""
    for one in bank().values():
        if one.outcome == "gelatin-rule" and one.use != "practice" and one.level == "decide":
            said = text_of(press(bramblemoor, "never", one.id))
    assert "It can't be drafted as it stands." in said
    assert "gelatin-rule" in said


def test_questions_of_another_outcome_can_be_looked_at_and_asked(bramblemoor: Visitor) -> None:
    said = text_of(bramblemoor.get(f"{QUESTIONS}?outcome=kitchen-law"))
    assert "kitchen-guest-asks" in said
    press(bramblemoor, "ask", "kitchen-guest-asks", outcome="kitchen-law")
    said = text_of(bramblemoor.get(QUESTIONS))
    assert "kitchen-guest-asks: decide" in said  # in the blueprint, which counts it
    assert "decide = 7" in said  # for six can't judge the rest as well
    assert bramblemoor.get(f"{QUESTIONS}?outcome=nothing").status_code == 400


def test_the_mark_book_says_which_questions_are_asked_once_there_is_one(
    bramblemoor: Visitor,
) -> None:
    bramblemoor.post(f"/papers/{PAPER}/draft")
    with open_book(place(bramblemoor).book) as book:
        drafted = book.paper(PAPER).plan["questions"]
    page = bramblemoor.get(QUESTIONS).text
    asked = {part.split('"')[0] for part in page.split('class="part asked" id="')[1:]}
    assert asked == set(drafted)


def test_two_windows_name_two_questions_and_both_stay(bramblemoor: Visitor) -> None:
    for window, question in (("one", "syrup-blend"), ("two", "kitchen-near-miss")):
        assert bramblemoor.get(QUESTIONS).status_code == 200, window
        press(bramblemoor, "ask", question)
    assert scheme_paper(bramblemoor)["include"] == ["syrup-blend", "kitchen-near-miss"]


def test_presses_at_the_same_moment_lose_none(bramblemoor: Visitor) -> None:
    names = ["syrup-blend", "kitchen-near-miss", "boil-to-strength", "gelatin-three-cooks"]
    windows = []
    for name in names:
        window = Visitor(bramblemoor.app)
        window.opened()
        windows.append(threading.Thread(target=press, args=(window, "ask", name)))
    for one in windows:
        one.start()
    for one in windows:
        one.join(60)
    assert sorted(scheme_paper(bramblemoor)["include"]) == sorted(names)


@pytest.mark.parametrize("what", ["ask:no-such", "burn:syrup-blend", "", "ask:"])
def test_a_press_that_names_nothing_changes_nothing(bramblemoor: Visitor, what: str) -> None:
    before = place(bramblemoor).scheme.read_bytes()
    assert bramblemoor.post(QUESTIONS, {"press": what}).status_code == 400
    assert place(bramblemoor).scheme.read_bytes() == before
