"""One press writes a question into the scheme, and nothing else in the file moves."""

from __future__ import annotations

import difflib
import tomllib

import pytest

from calculators.faults import FaultsError
from course.demo import FOLDER
from course.scheme.named_questions import with_question

PAPER = "syrups-and-gelatin"
DEMO = (FOLDER / "scheme.toml").read_text(encoding="utf-8")


def moved(before: str, after: str) -> list[str]:
    """Return the lines that are not in both."""
    rows = difflib.unified_diff(before.splitlines(), after.splitlines(), lineterm="", n=0)
    return [row for row in rows if row[0] in "+-" and row[:3] not in ("+++", "---")]


def test_a_question_is_named_beside_the_other_keys_of_its_paper() -> None:
    asked = with_question(DEMO, PAPER, "syrup-blend", "ask")
    assert moved(DEMO, asked) == ['+include = ["syrup-blend"]']
    assert tomllib.loads(asked)["papers"][PAPER]["include"] == ["syrup-blend"]


def test_what_was_named_and_is_left_again_leaves_the_file_as_it_was() -> None:
    text = DEMO
    for way in ("ask", "never", "never", "leave", "leave"):
        text = with_question(text, PAPER, "syrup-blend", way)
    assert text == DEMO


def test_a_question_is_never_asked_and_kept_out_at_once() -> None:
    text = with_question(with_question(DEMO, PAPER, "syrup-blend", "ask"), PAPER, "boil-x", "ask")
    text = with_question(text, PAPER, "syrup-blend", "never")
    paper = tomllib.loads(text)["papers"][PAPER]
    assert (paper["include"], paper["exclude"]) == (["boil-x"], ["syrup-blend"])


def test_pressed_twice_it_stands_there_once() -> None:
    once = with_question(DEMO, PAPER, "syrup-blend", "ask")
    assert with_question(once, PAPER, "syrup-blend", "ask") == once


def test_remarks_within_a_list_are_kept() -> None:
    listed = 'include = [\n  "one-a",  # the classic\n  "two-b",\n]\n'
    text = DEMO.replace("hand_in_by = 2027-03-15\n", f"hand_in_by = 2027-03-15\n{listed}")
    more = with_question(text, PAPER, "three-c", "ask")
    assert "# the classic" in more
    assert tomllib.loads(more)["papers"][PAPER]["include"] == ["one-a", "two-b", "three-c"]
    less = with_question(more, PAPER, "two-b", "leave")
    assert "# the classic" in less
    assert tomllib.loads(less)["papers"][PAPER]["include"] == ["one-a", "three-c"]


def test_a_paper_that_names_all_its_questions_gains_one_at_the_end_and_loses_one() -> None:
    text = '[papers.short]\nquestions = ["one-a", "two-b"]  # in this order\n'
    more = with_question(text, "short", "three-c", "ask")
    assert more == '[papers.short]\nquestions = ["one-a", "two-b", "three-c"]  # in this order\n'
    less = with_question(more, "short", "one-a", "never")
    assert tomllib.loads(less)["papers"]["short"] == {"questions": ["two-b", "three-c"]}


def test_the_remark_behind_a_list_stays_when_its_last_question_goes() -> None:
    text = DEMO.replace(
        "hand_in_by = 2027-03-15\n", 'hand_in_by = 2027-03-15\ninclude = ["one-a"]  # the classic\n'
    )
    less = with_question(text, PAPER, "one-a", "leave")
    assert "the classic" in less
    assert "include" not in tomllib.loads(less)["papers"][PAPER]


@pytest.mark.parametrize("text", ["", "papers = 3\n", "[papers.other]\n", "[papers"])
def test_a_scheme_without_the_paper_is_refused(text: str) -> None:
    with pytest.raises(FaultsError, match="has no table of this paper"):
        with_question(text, PAPER, "syrup-blend", "ask")
