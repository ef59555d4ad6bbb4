"""An outcome is judged only by questions of its own kind, and by enough of them."""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import combinations

import pytest

from exercises.book.book import create
from exercises.book.records import NewSheet, Student
from exercises.marking.run import mark_folder
from exercises.questions.answer_boxes import answer_boxes
from exercises.questions.building import build
from exercises.questions.outcomes import outcomes
from exercises.questions.registry import bank
from exercises.reports.letters import letter
from exercises.reports.marks_tables import marks_csv
from exercises.reports.standing import MET, NOT_JUDGED, PASSED, standing
from exercises.sheets.blueprint import (
    ENOUGH,
    ENOUGH_TO_PASS,
    JUDGEMENT,
    Asked,
    is_evidence,
    longest_honest,
    pass_rule_said,
)
from exercises.sheets.choice import PaperPlan, choose, could_ask, honest_papers, paper_blueprint
from exercises.sheets.drafting import check, draft
from tests.exercises.pile_of_ours import answer_file
from tests.exercises.test_bank import KITCHEN

BANK = bank()
SHEETS = [one.id for one in outcomes().values() if one.evidence != "do"]
MODULES = {
    "kitchen": ["what-can-hurt", "make-it", "thermometer-and-scale"],
    "syrup": ["how-strong", "boiling", "crystals"],
    "glucose": ["glucose-tub"],
    "gelatin": ["gelatin-grades", "gelatin-care"],
    "base": ["shine", "blending"],
    "colour": ["colour-and-marbling"],
    "pour": ["pour", "what-went-wrong"],
}


def asked(*names):
    return [Asked(BANK[name], build(BANK[name], "worth", KITCHEN)) for name in names]


def plan(outcomes_asked, levels=None, **more):
    return PaperPlan("p", "P", outcomes_asked, levels or {}, kitchen=KITCHEN, **more)


# --- what is evidence -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "shows"),
    [
        ("syrup-brix-weighed", True),  # works it out
        ("syrup-handbook", True),  # a table of numbers
        ("boil-what-raises-it", False),  # a tick for an outcome that is worked out
        ("syrup-brix-means", False),  # recall
        ("gelatin-both-rules", True),  # numbers, at the level of a decision
        ("kitchen-near-miss", True),  # a decision
        ("kitchen-white-limit", False),  # a number for an outcome that is decided
        ("kitchen-sugar-or-water", False),  # recall of a decision
        ("pour-in-one-stroke", False),  # an order that was given
        ("boil-more-to-lose", True),  # a choice and a number: the number shows it
    ],
)
def test_a_question_is_evidence_only_by_its_own_kind(name, shows):
    (one,) = asked(name)
    assert one.evidence is shows


def test_of_a_mixed_question_only_the_fitting_parts_are_evidence():
    (one,) = asked("boil-more-to-lose")
    kinds = {box.part.kind: is_evidence(box) for box in answer_boxes([one.drawn])}
    assert kinds == {"choice": False, "quantity": True}


# --- what is reported ------------------------------------------------------------------------


def result_of(tmp_path, names, must=(), rule=True):
    """Return paper and result of a student who answered every question of a sheet rightly."""
    wanted = tuple(dict.fromkeys(BANK[name].outcome for name in names))
    with create(tmp_path / "class.db") as book:
        book.enrol([Student("s1", "Ana Brook")])
        paper = plan(wanted, only=names, must_pass=must)
        check(draft(paper, BANK, book), "M. Checker", book)
        built = [build(BANK[n], book.seed("p", "s1"), KITCHEN).to_json() for n in names]
        (sheet,) = book.issue_paper("p", [NewSheet("s1", book.seed("p", "s1"), built)], "L. L.")
        right = {key.key: key.part.exact_answer() for key in answer_boxes(sheet.questions)}
        pile = tmp_path / "pile"
        pile.mkdir()
        (pile / "one.handin.json").write_bytes(answer_file(sheet.token, right))
        mark_folder(pile, book, workers=1)
        (row,) = book.results("p")
        about = book.paper("p")
        if not rule:
            about = replace(about, pass_rule={**about.pass_rule, "evidence": False})
        table = marks_csv(book, "p", tmp_path / "marks.csv").read_text("utf-8-sig")
    return about, row, table


def test_one_question_judges_nothing_and_letter_and_table_say_so(tmp_path):
    about, row, table = result_of(tmp_path, ["boil-two-weighings", "boil-point-here"])
    stands = standing(row, about)
    assert {one.state for one in stands.shown} == {NOT_JUDGED}
    assert stands.awarded == stands.total
    text = letter(row, about)
    assert "not judged" in text
    assert "One question is not enough." in text
    assert "show that you can" not in text
    assert table.count(NOT_JUDGED) == 2


def test_two_questions_of_its_kind_judge_an_outcome(tmp_path):
    about, row, _ = result_of(tmp_path, ["boil-two-weighings", "boil-spatula-left-in"])
    (shown,) = standing(row, about).shown
    assert (shown.state, shown.why) == (MET, "")
    assert "show that you can work out from two weighings" in letter(row, about)


def test_a_tick_and_a_calculation_do_not_judge_what_is_worked_out(tmp_path):
    about, row, _ = result_of(tmp_path, ["boil-point-here", "boil-what-raises-it"])
    (shown,) = standing(row, about).shown
    assert (shown.state, shown.why) == (NOT_JUDGED, "one question is not enough")


def test_what_must_be_met_takes_three(tmp_path):
    two = ["kitchen-near-miss", "kitchen-stop-which"]
    (tmp_path / "a").mkdir()
    about, row, _ = result_of(tmp_path / "a", two, ("kitchen-hazards",))
    (shown,) = standing(row, about).shown
    assert shown.state == NOT_JUDGED
    assert shown.why == "two questions are not enough for what must be met"
    (tmp_path / "b").mkdir()
    three = [*two, "kitchen-what-first"]
    about, row, _ = result_of(tmp_path / "b", three, ("kitchen-hazards",))
    stands = standing(row, about)
    assert (stands.shown[0].state, stands.state) == (MET, PASSED)


def test_a_paper_under_the_earlier_rule_is_passed_as_it_was_and_claims_no_more(tmp_path):
    about, row, _ = result_of(tmp_path, ["gelatin-which-rule"], ("gelatin-rule",), rule=False)
    stands = standing(row, about)
    assert (stands.shown[0].state, stands.shown[0].hurdle) == (NOT_JUDGED, MET)
    assert stands.state == PASSED
    assert "three or more" not in pass_rule_said(about.pass_rule)


# --- the blueprint ------------------------------------------------------------------------------


def test_the_blueprint_says_what_is_judged_by_what_and_what_goes_unasked():
    names = ["kitchen-near-miss", "syrup-brix-weighed", "syrup-blend", "boil-what-raises-it"]
    wanted = ["kitchen-hazards", "syrup-strength", "boiling-point", "gelatin-leaf"]
    printed = paper_blueprint(plan(wanted, must_pass=wanted[:1]), [BANK[n] for n in names])
    said = "\n".join(printed.lines())
    assert "kitchen-hazards (decide; must be met): not judged, one question is not enough" in said
    assert "missing: 2 questions of the kind decide" in said
    assert "syrup-strength (calculate): judged by 2 questions" in said
    assert "  2. syrup-brix-weighed: carry out, 6 marks, 4 minutes" in said
    assert (
        "4. boil-what-raises-it: recall, 2 marks, 2 minutes; practice shows which option is "
        "right; no evidence of it"
    ) in said
    assert "Nothing is asked about: gelatin-leaf." in said
    assert printed.minutes == sum(BANK[name].minutes for name in names)
    assert printed.unasked == ("gelatin-leaf",)


def test_a_paper_spends_its_questions_on_what_it_can_judge():
    wanted = ["syrup-strength", "boiling-water-lost", "boiling-point", "kitchen-hazards"]
    chosen = choose(
        plan(wanted, {"carry out": 5, "decide": 3}, must_pass=["kitchen-hazards"]), BANK, "a"
    )
    printed = paper_blueprint(plan(wanted, must_pass=["kitchen-hazards"]), chosen)
    assert {row.outcome: len(row.evidence) for row in printed.rows} == {
        "syrup-strength": 3,
        "boiling-water-lost": 2,
        "boiling-point": 0,
        "kitchen-hazards": 3,
    }


def test_no_two_looks_at_one_group_of_plates_stand_on_a_sheet():
    asked_for = plan(["fault-see"], {"decide": 6})
    for secret in "abcdef":
        groups = [one.id.split("-")[2] for one in choose(asked_for, BANK, secret)]
        assert sorted(groups) == ["colour", "edge", "face", "flow", "open", "specks"]


def test_the_longest_honest_paper_fits_and_can_be_had():
    wanted = ["syrup-strength", "syrup-scales", "boiling-point", "boiling-stage", "gelatin-rule"]
    asked_for = plan(wanted, {"carry out": 3, "decide": 2}, must_pass=["gelatin-rule"])
    within, without = honest_papers(asked_for, BANK)
    assert within.outcomes == ("syrup-strength", "gelatin-rule")
    assert sum(dict(within.levels).values()) <= 5
    assert without.outcomes == tuple(wanted)
    for one in (within, without):
        offered = plan(one.outcomes, dict(one.levels), must_pass=["gelatin-rule"])
        printed = paper_blueprint(offered, choose(offered, BANK, "s"))
        assert printed.not_judged == ()
        assert printed.judgement >= JUDGEMENT
    assert within.said() == (
        'outcomes = ["syrup-strength", "gelatin-rule"], carry_out = 2, decide = 3'
    )


def test_where_nothing_can_be_judged_nothing_is_offered():
    assert longest_honest(asked("syrup-brix-means"), ["syrup-scales"]) is None


def lessons_of(*modules):
    taught = {lesson for name in modules for lesson in MODULES[name]}
    return [name for name in SHEETS if outcomes()[name].lesson in taught]


ROUTES = [("kitchen", *more) for n in (1, 2, 6) for more in combinations(list(MODULES)[1:], n)]


@pytest.mark.parametrize("route", ROUTES, ids=["+".join(one[1:]) for one in ROUTES])
def test_each_paper_that_a_scheme_can_ask_for_can_be_honest(route):
    """Of each set of modules: every outcome judged, safety a hurdle, a third judgement."""
    wanted = lessons_of(*route)
    must = ("kitchen-hazards",)
    found = longest_honest(could_ask(plan(wanted), BANK), wanted, must)
    assert found is not None
    assert found.outcomes == tuple(wanted)
    offered = plan(found.outcomes, dict(found.levels), must_pass=must)
    for secret in ("one", "two"):
        printed = paper_blueprint(offered, choose(offered, BANK, secret))
        assert printed.not_judged == ()
        assert printed.judgement >= JUDGEMENT
        assert not any(one.key_is_shown for one in printed.asked)


@pytest.mark.parametrize("outcome", SHEETS)
def test_each_outcome_alone_can_be_judged_with_safety_before_it(outcome):
    wanted = list(dict.fromkeys(["kitchen-hazards", outcome]))
    must = ("kitchen-hazards",)
    found = longest_honest(could_ask(plan(wanted), BANK), wanted, must)
    assert found is not None
    assert found.outcomes == tuple(wanted)
    offered = plan(wanted, dict(found.levels), must_pass=must)
    printed = paper_blueprint(offered, choose(offered, BANK, "s"))
    assert printed.not_judged == ()
    assert printed.judgement >= JUDGEMENT
    assert {row.outcome: len(row.evidence) >= (3 if row.must else 2) for row in printed.rows} == (
        dict.fromkeys(wanted, True)
    )


def test_the_numbers_of_the_rule():
    assert (ENOUGH, ENOUGH_TO_PASS, JUDGEMENT) == (2, 3, 1 / 3)
    assert json.loads(json.dumps(plan(["boiling-point"]).pass_rule))["evidence"] is True
