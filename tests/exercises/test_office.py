"""What an office gets: one row for each student, resit lists, files it can tell apart."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from datetime import timedelta

import openpyxl
import pytest

from exercises.book.deadlines import extra_minutes, limit_of
from exercises.book.records import NewSheet, Student
from exercises.book.times import parse_time
from exercises.marking.run import mark_folder
from exercises.questions import registry
from exercises.questions.answer_boxes import answer_boxes
from exercises.questions.building import build
from exercises.reports.at_the_bench import both_kinds
from exercises.reports.class_report import class_report, write_reports
from exercises.reports.class_summary import class_summary
from exercises.reports.finals import NOTHING_CAME, finals
from exercises.reports.letters import write_letters
from exercises.reports.oneroster import Roster, oneroster
from exercises.reports.standing import NOT_PASSED, PASSED
from exercises.sheets.blueprint import pass_rule_said
from exercises.sheets.class_list import read_class
from tests.exercises.marked_class import issued, right
from tests.exercises.pile_of_ours import answer_file
from tests.exercises.sheets_for_tests import QUESTIONS

OUTCOMES = ("gelatin-powder", "syrup-instrument", "gelatin-rule", "boiling-stage")
LEVELS = {"recall": 1, "carry out": 1, "decide": 2}


class Sittings:
    """A class of four and its sittings, which a test fills in."""

    def __init__(self, root, rule, must_pass=()):
        self.root, self.runs = root, 0
        self.book, first = issued(
            root / "class.db",
            QUESTIONS,
            OUTCOMES,
            LEVELS,
            4,
            sittings=rule,
            must_pass=must_pass,
        )
        self.sheets = {(one.student, 1): one for one in first}

    def resit(self, *students):
        names = self.book.paper("first").plan["questions"]
        new = []
        for student in students:
            seed = self.book.seed("first", student, 2)
            built = [build(QUESTIONS[name], seed, {}).to_json() for name in names]
            new.append(NewSheet(student, seed, built, "2030-04-01", "2030-05-01", 2))
        for one in self.book.issue_paper("first", new, "L. Lecturer"):
            self.sheets[one.student, 2] = one

    def hand_in(self, student, sitting, share, *, lose=()):
        """Hand in right answers to the first parts, up to a share of the marks."""
        sheet, self.runs = self.sheets[student, sitting], self.runs + 1
        won, answers = 0, {}
        for key in answer_boxes(sheet.questions):
            if key.outcome not in lose and won + key.part.total <= share * sheet.total:
                answers[key.key], won = right(key), won + key.part.total
        folder = self.root / f"pile {self.runs}"
        folder.mkdir()
        (folder / "x.handin.json").write_bytes(answer_file(sheet.token, answers))
        day = "2030-02-20" if sitting == 1 else "2030-04-20"
        mark_folder(folder, self.book, received_at=f"{day} 10:00", workers=1)
        return won

    def finals(self):
        found = finals(self.book.results("first"), self.book.paper("first"))
        return {one.student.id: one for one in found}


@pytest.fixture
def sat(tmp_path, monkeypatch):
    for name, card in QUESTIONS.items():
        monkeypatch.setitem(registry.bank.cards, name, card)
    opened = []

    def made(rule="best", **more):
        opened.append(Sittings(tmp_path, rule, **more))
        return opened[-1]

    yield made
    for one in opened:
        one.book.close()


def rows_of(path):
    return list(csv.DictReader(io.StringIO(path.read_text("utf-8-sig"))))


# --- which sitting counts ---------------------------------------------------------------


def test_the_best_sitting_counts(sat):
    ours = sat("best")
    ours.resit("s0000", "s0001")
    high, low = ours.hand_in("s0000", 1, 0.9), ours.hand_in("s0000", 2, 0.6)
    ours.hand_in("s0001", 1, 0.2)
    better = ours.hand_in("s0001", 2, 0.8)
    assert high > low
    found = ours.finals()
    assert (found["s0000"].counts.number, found["s0000"].counts.counts_for) == (1, high)
    assert (found["s0001"].counts.number, found["s0001"].counts.counts_for) == (2, better)


def test_a_passed_sitting_is_better_than_more_marks_that_do_not_pass(sat):
    ours = sat("best", must_pass=("gelatin-rule",))
    ours.resit("s0000")
    more = ours.hand_in("s0000", 1, 1, lose=("gelatin-rule",))
    fewer = ours.hand_in("s0000", 2, 1, lose=("gelatin-powder", "syrup-instrument"))
    one = ours.finals()["s0000"]
    assert [each.stands.state for each in one.sittings] == [NOT_PASSED, PASSED]
    assert more > fewer
    assert one.counts.number == 2


def test_the_last_sitting_that_came_in_counts_where_the_rule_says_so(sat):
    ours = sat("last")
    ours.resit("s0000", "s0001")
    ours.hand_in("s0000", 1, 0.9)
    low = ours.hand_in("s0000", 2, 0.6)
    kept = ours.hand_in("s0001", 1, 0.7)  # whose resit never comes in
    found = ours.finals()
    assert (found["s0000"].counts.number, found["s0000"].counts.counts_for) == (2, low)
    assert (found["s0001"].counts.number, found["s0001"].counts.counts_for) == (1, kept)


def test_a_capped_resit_counts_for_no_more_than_a_pass(sat):
    ours = sat("capped")
    ours.resit("s0000")
    ours.hand_in("s0000", 1, 0.2)
    full = ours.hand_in("s0000", 2, 1)
    one = ours.finals()["s0000"]
    needed = one.sittings[1].stands.needed
    assert full > needed
    assert (one.counts.number, one.counts.counts_for, one.state) == (2, needed, PASSED)


def test_results_of_both_kinds_take_the_sitting_that_the_paper_counts(sat):
    ours = sat("best")
    ours.resit("s0000", "s0001")
    ours.hand_in("s0000", 1, 0.9)
    ours.hand_in("s0000", 2, 0.2)
    ours.hand_in("s0001", 1, 0.2)  # whose resit never comes in
    page = both_kinds(ours.book, [])
    held = {row[0]: dict(zip(page.heads, row, strict=True))["first"] for row in page.rows}
    assert (held["s0000"], held["s0001"], held["s0002"]) == (PASSED, NOT_PASSED, NOTHING_CAME)


def test_a_first_sitting_is_never_capped(sat):
    ours = sat("capped")
    full = ours.hand_in("s0000", 1, 1)
    assert ours.finals()["s0000"].counts.counts_for == full


def test_who_handed_in_nothing_has_no_mark_and_a_book_without_the_rule_has_the_best(sat):
    ours = sat("best")
    ours.hand_in("s0000", 1, 0.9)
    paper = replace(ours.book.paper("first"), pass_rule={"share": 0.5})
    found = finals(ours.book.results("first"), paper)
    assert [one.state for one in found] == [PASSED, *[NOTHING_CAME] * 3]
    assert [one.share is None for one in found] == [False, True, True, True]


def test_of_whom_all_was_set_aside_nothing_counts_and_nobody_says_nothing_came(sat, tmp_path):
    ours = sat("best")
    ours.hand_in("s0000", 1, 0.9)
    ours.hand_in("s0001", 1, 0.9)
    one = ours.book.results("first")[1].handin
    ours.book.decide("set aside", by="A. Sessor", reason="Not own work", handin=one.id)
    write_reports(ours.book, tmp_path / "r")
    (final,) = [r for r in rows_of(tmp_path / "r" / "first-final.csv") if r["Student"] == "s0001"]
    assert (final["Result"], final["Final mark"]) == ("nothing that counts", "")
    assert final["Sits again"] == "yes"
    (across,) = [r for r in rows_of(tmp_path / "r" / "results.csv") if r["Student"] == "s0001"]
    assert across["Syrups and gelatin: result"] == "nothing that counts"
    assert across["Papers taken"] == "0"
    (again,) = [r for r in rows_of(tmp_path / "r" / "first-resit.csv") if r["id"] == "s0001"]
    assert again["why"] == "nothing that counts"


# --- tables and lists -------------------------------------------------------------------


def test_each_student_has_one_row_in_a_paper_and_one_across_papers(sat, tmp_path):
    ours = sat("capped")
    ours.resit("s0001")
    won = {"s0000": ours.hand_in("s0000", 1, 0.9), "s0001": ours.hand_in("s0001", 1, 0.2)}
    full = ours.hand_in("s0001", 2, 1)
    (made,) = write_reports(ours.book, tmp_path / "r")
    rows = rows_of(tmp_path / "r" / "first-final.csv")
    assert [row["Student"] for row in rows] == ["s0000", "s0001", "s0002", "s0003"]
    assert [row["Sitting 1"] for row in rows] == [f"{w:g}" for w in won.values()] + ["", ""]
    assert rows[1]["Sitting 2"] == f"{full:g}"
    needed = ours.finals()["s0001"].counts.stands.needed
    assert float(rows[1]["Final mark"]) == pytest.approx(needed)
    assert rows[1]["Counts"] == "sitting 2"
    across = rows_of(tmp_path / "r" / "results.csv")
    assert [row["Student"] for row in across] == [row["Student"] for row in rows]
    title = "Syrups and gelatin"
    assert [row[f"{title}: mark"] for row in across] == [row["Final mark"] for row in rows]
    assert [row["Papers passed"] for row in across] == ["1", "1", "0", "0"]
    workbook = openpyxl.load_workbook(tmp_path / "r" / "results.xlsx")
    cells = list(workbook["Results"].iter_rows(values_only=True))
    assert [row[0] for row in cells] == ["Student", "s0000", "s0001", "s0002", "s0003"]
    assert cells[1][2] == won["s0000"]
    told = [row[0] for row in workbook["How it is made"].iter_rows(values_only=True)]
    assert any("counts for no more" in text or "for no more than" in text for text in told)
    assert any(ours.book.head() in text for text in told)
    marks = next(path for path in made.marks if path.suffix == ".xlsx")
    final = openpyxl.load_workbook(marks)["Final marks"]
    assert [row[0] for row in final.iter_rows(2, values_only=True)] == list(ours.finals())


def test_the_resit_list_is_a_class_list_of_those_who_have_not_passed(sat, tmp_path):
    ours = sat("best")
    ours.book.enrol(
        [
            Student("s0001", "Bo Ample", "25 %", "2030-03-03", "large", {"email": "bo@x.example"}),
        ]
    )
    ours.hand_in("s0000", 1, 0.9)
    ours.hand_in("s0001", 1, 0.2)
    write_reports(ours.book, tmp_path / "r")
    path = tmp_path / "r" / "first-resit.csv"
    again = read_class(path)
    assert [one.id for one in again.students] == ["s0001", "s0002", "s0003"]
    bo = again.students[0]
    assert (bo.extra_time, bo.other_date, bo.print) == ("25 %", "", "large")
    assert "not yet passed" in rows_of(path)[0]["why"]
    ours.book.enrol(again.students)  # and nothing that was known is lost by it
    assert ours.book.students()["s0001"].about == {"email": "bo@x.example"}


def test_who_waits_for_a_decision_is_not_on_the_resit_list_and_that_is_said(sat, tmp_path):
    ours = sat("best")
    for n in range(4):
        if n:
            ours.hand_in(f"s000{n}", 1, 1)
    sheet = ours.sheets["s0000", 1]
    folder = tmp_path / "unread"
    folder.mkdir()
    answers = {key.key: "so so" for key in answer_boxes(sheet.questions)}
    (folder / "x.handin.json").write_bytes(answer_file(sheet.token, answers))
    mark_folder(folder, ours.book, received_at="2030-02-20 10:00", workers=1)
    (made,) = write_reports(ours.book, tmp_path / "r")
    assert rows_of(tmp_path / "r" / "first-resit.csv") == []
    assert any("1 student waits for a decision" in note for note in made.notes)


def test_extra_time_in_days_and_minutes_is_added_up():
    first, second = parse_time("2030-03-01"), parse_time("2030-03-03")
    assert limit_of("2030-03-01", "", "", "2 d") == second
    assert limit_of("2030-03-01", "", "", "2 d + 15 min") - first == timedelta(days=2, minutes=15)
    assert extra_minutes("2 d + 15 min", 40) == 15
    assert extra_minutes("25 % + 5 min", 40) == 15
    assert extra_minutes("2 d", 40) == 0
    assert extra_minutes("", 40) == 0


def test_another_date_from_an_earlier_sitting_does_not_hold_for_a_resit():
    assert limit_of("2030-03-01", "2030-02-01", "2030-03-05", "") == parse_time("2030-03-05")
    assert limit_of("2030-05-01", "2030-04-01", "2030-03-05", "") == parse_time("2030-05-01")


# --- letters and files --------------------------------------------------------------------


def test_only_those_who_handed_in_get_a_letter_and_the_others_are_listed(sat, tmp_path):
    ours = sat()
    ours.hand_in("s0002", 1, 0.5)
    (path,) = write_letters(ours.book, tmp_path / "l")
    token = ours.sheets["s0002", 1].token
    assert path.name == f"s0002-cleo-crumb_first_{token}.html"
    found = class_summary(ours.book, "first")
    assert found.missing == ["Ada Ample", "Bo Batter", "Dov Dough"]
    said = class_report(found)
    assert "Nothing has come in from 3: Ada Ample; Bo Batter; Dov Dough." in said


def test_a_surname_first_is_put_right_in_greeting_and_in_oneroster(sat, tmp_path):
    ours = sat()
    ours.book.enrol([Student("s0000", "Gößwein, Jörg")])
    ours.hand_in("s0000", 1, 0.5)
    (path,) = write_letters(ours.book, tmp_path / "l")
    assert path.name.startswith("s0000-gosswein-jorg_first_")
    assert "<p>Dear Jörg Gößwein,</p>" in path.read_text("utf-8")
    out = oneroster(ours.book, tmp_path / "set", Roster("c"), with_users=True).path
    users = {row["sourcedId"]: row for row in rows_of(out / "users.csv")}
    assert (users["s0000"]["givenName"], users["s0000"]["familyName"]) == ("Jörg", "Gößwein")


def test_which_sitting_counts_is_said_on_the_sheet_and_in_the_letter(sat, tmp_path):
    ours = sat("capped")
    said = "a resit for no more than the marks needed to pass."
    assert said in pass_rule_said(ours.book.paper("first").pass_rule)
    ours.hand_in("s0000", 1, 0.5)
    (path,) = write_letters(ours.book, tmp_path / "l")
    assert said in path.read_text("utf-8")
    assert "Of several sittings" not in pass_rule_said({"share": 0.5})
