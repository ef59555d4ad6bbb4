"""From plan to sheets: chosen once, checked by a person, issued once, resumable."""

from __future__ import annotations

import json
import re

import pytest

from calculators.faults import FaultsError
from calculators.units import q
from exercises.book.book import create
from exercises.book.records import Student
from exercises.sheets import issuing
from exercises.sheets.choice import PaperPlan, Rules, choose
from exercises.sheets.drafting import check, draft, draft_text
from exercises.sheets.issuing import issue_sheets, practice, unwritten
from exercises.sheets.names import folder_of
from tests.exercises.sheets_for_tests import QUESTIONS

CLASS = [
    Student("s01", "Ana Brook"),
    Student("s02", "Bo Dee", extra_time="2 d", print="large"),
    Student("s03", "Zoë Årø", other_date="2027-03-20 12:00", print="plain"),
]


@pytest.fixture
def plan():
    return PaperPlan(
        "first",
        "Syrup and gelatin",
        ("gelatin-powder", "syrup-instrument", "gelatin-rule", "boiling-stage"),
        {"recall": 1, "carry out": 1, "decide": 2},
        opens_on="2027-03-01",
        hand_in_by="2027-03-08T17:00",
        must_pass=("boiling-stage",),
        kitchen={"altitude": q(35, "m")},
        rules=Rules("", "the kitchen office"),
    )


@pytest.fixture
def book(tmp_path):
    with create(tmp_path / "class.db") as opened:
        yield opened


def checked(plan, book):
    return check(draft(plan, QUESTIONS, book), "M. Checker", book)


def texts(folder):
    return {
        path.relative_to(folder).as_posix(): path.read_text(encoding="utf-8")
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def test_the_same_plan_and_bank_choose_the_same_questions(plan):
    chosen = [one.id for one in choose(plan, QUESTIONS)]
    assert chosen == [one.id for one in choose(plan, dict(reversed(QUESTIONS.items())))]
    assert sorted(chosen) == sorted(QUESTIONS)


def test_every_fault_of_a_plan_is_told_at_once(plan):
    wrong = PaperPlan(
        "p",
        "P",
        ("gelatin-powder", "no-such", "pour-amount"),
        {"recall": 3, "guess": 1},
        must_pass=("syrup-scales",),
    )
    with pytest.raises(FaultsError) as caught:
        choose(wrong, QUESTIONS)
    told = [str(fault) for fault in caught.value.faults]
    assert len(told) == 5
    assert "paper p, outcomes: is not known (given: no-such)" in told[0]
    assert "paper p, levels: is not known (given: guess)" in told[1]
    assert "must_pass" in told[2]
    assert "asks for more recall questions than there are (given: 3)" in told[3]
    assert "has no question that a sheet could ask (given: pour-amount)" in told[4]


def test_marks_that_cannot_be_met_name_the_totals_that_can(plan):
    from dataclasses import replace

    assert choose(replace(plan, marks=20), QUESTIONS)
    with pytest.raises(FaultsError, match=r"Totals that can: 20\."):
        choose(replace(plan, marks=23), QUESTIONS)


def test_an_unchecked_paper_is_not_issued(plan, book, tmp_path):
    drafted = draft(plan, QUESTIONS, book)
    with pytest.raises(FaultsError, match="is drafted"):
        issue_sheets(drafted, QUESTIONS, CLASS, book, tmp_path / "out", "L. Lecturer")
    assert not list((tmp_path / "out").rglob("*.html"))


def test_the_paper_to_be_checked_shows_answers_marks_and_the_named_questions(plan, book):
    text = draft_text(draft(plan, QUESTIONS, book), QUESTIONS)
    assert "Sample sheet" in text
    for name in QUESTIONS:
        assert name in text
    assert "secret reason" in text


def test_the_paper_to_be_checked_shows_what_is_to_be_looked_at(plan, book):
    text = draft_text(draft(plan, QUESTIONS, book), QUESTIONS)
    assert text.count('<figure class="exhibit">') == 2
    assert "1240 g" in text  # the log
    assert 'alt="A line that rises."' in text
    assert "Monday, three cakes." in text  # a stem


def test_the_paper_to_be_checked_shows_what_is_judged_by_what(plan, book):
    text = draft_text(draft(plan, QUESTIONS, book), QUESTIONS)
    assert "What it judges, and by what" in text
    assert "gelatin-powder (calculate): not judged, one question is not enough" in text
    assert "16 minutes; " in text
    assert "of the marks ask for a decision" in text


def test_each_form_of_a_sheet_says_how_it_is_passed_and_how_long_it_takes(plan, book, tmp_path):
    out = tmp_path / "out"
    issue_sheets(checked(plan, book), QUESTIONS, CLASS, book, out, "L. Lecturer")
    forms = [text for name, text in texts(out).items() if name.startswith("s01") and "." in name]
    assert len(forms) == 3
    for text in forms:
        assert "You pass with at least 50\N{NO-BREAK SPACE}% of all marks, if you also meet" in text
        assert "three or more where it must be met" in text
        assert "about 16 minutes" in text


def test_each_student_gets_all_forms_in_a_folder_of_their_own(plan, book, tmp_path):
    out = tmp_path / "out"
    done = issue_sheets(checked(plan, book), QUESTIONS, CLASS, book, out, "L. Lecturer")
    assert (done.sheets, done.written) == (3, 3)
    assert sorted(p.name for p in out.iterdir()) == [
        "first-mark-scheme.html",
        "s01-ana-brook",
        "s02-bo-dee",
        "s03-zoe-aro",
    ]
    for sheet in book.sheets("first"):
        student = next(s for s in CLASS if s.id == sheet.student)
        names = {p.name for p in (out / folder_of(student)).iterdir()}
        stem = f"{folder_of(student)[4:]}_first_{sheet.token}"
        assert names == {f"{stem}{e}" for e in (".ipynb", ".html", "-paper.html")}
    scheme = (out / "first-mark-scheme.html").read_text(encoding="utf-8")
    assert all(sheet.token in scheme for sheet in book.sheets("first"))


def test_everyone_has_the_same_questions_and_numbers_of_their_own(plan, book, tmp_path):
    issue_sheets(checked(plan, book), QUESTIONS, CLASS, book, tmp_path / "o", "L. L.")
    sheets = book.sheets("first")
    assert len({tuple(one["id"] for one in s.questions) for s in sheets}) == 1
    assert len({json.dumps([one["values"] for one in s.questions]) for s in sheets}) == 3


def test_arrangements_change_the_date_and_the_print(plan, book, tmp_path):
    out = tmp_path / "out"
    issue_sheets(checked(plan, book), QUESTIONS, CLASS, book, out, "L. Lecturer")
    pages = {
        folder.name[:3]: next(folder.glob("*-paper.html")).read_text(encoding="utf-8")
        for folder in out.iterdir()
        if folder.is_dir()
    }
    assert "Monday 8 March 2027, 17:00" in pages["s01"]
    assert "Wednesday 10 March 2027, 17:00" in pages["s02"]  # two days more
    assert "Saturday 20 March 2027, 12:00" in pages["s03"]
    assert '<html lang="en-GB" class="large">' in pages["s02"]
    assert '<html lang="en-GB" class="plain">' in pages["s03"]


def test_issuing_again_changes_nothing_and_writes_what_is_missing(plan, book, tmp_path):
    out, paper = tmp_path / "out", checked(plan, book)
    issue_sheets(paper, QUESTIONS, CLASS, book, out, "L. Lecturer")
    before = texts(out)
    again = issue_sheets(book.paper("first"), QUESTIONS, CLASS, book, out, "L. Lecturer")
    assert again.written == 0
    next(out.rglob("*.ipynb")).unlink()
    mended = issue_sheets(book.paper("first"), QUESTIONS, CLASS, book, out, "L. Lecturer")
    assert mended.written == 1
    assert texts(out) == before


def test_an_interruption_while_writing_loses_nothing(plan, book, tmp_path, monkeypatch):
    out, paper = tmp_path / "out", checked(plan, book)
    put, count = issuing.write, []

    def stops(path, text):
        if len(count) == 4:
            raise KeyboardInterrupt
        count.append(path)
        put(path, text)

    monkeypatch.setattr(issuing, "write", stops)
    with pytest.raises(KeyboardInterrupt):
        issue_sheets(paper, QUESTIONS, CLASS, book, out, "L. Lecturer")
    monkeypatch.undo()
    tokens = [sheet.token for sheet in book.sheets("first")]
    done = issue_sheets(book.paper("first"), QUESTIONS, CLASS, book, out, "L. Lecturer")
    assert done.written == 2
    assert [sheet.token for sheet in book.sheets("first")] == tokens
    assert len(list(out.rglob("*.ipynb"))) == 3


def test_who_joins_later_gets_a_sheet_and_the_others_keep_theirs(plan, book, tmp_path):
    out, paper = tmp_path / "out", checked(plan, book)
    issue_sheets(paper, QUESTIONS, CLASS[:2], book, out, "L. Lecturer")
    kept = {s.student: s.token for s in book.sheets("first")}
    done = issue_sheets(book.paper("first"), QUESTIONS, CLASS, book, out, "L. Lecturer")
    assert (done.sheets, done.written) == (3, 1)
    assert kept.items() <= {s.student: s.token for s in book.sheets("first")}.items()


def test_a_resit_has_new_numbers_and_the_same_questions(plan, book, tmp_path):
    paper = checked(plan, book)
    issue_sheets(paper, QUESTIONS, CLASS, book, tmp_path / "one", "L. Lecturer")
    issue_sheets(paper, QUESTIONS, CLASS[:1], book, tmp_path / "two", "L. L.", sitting=2)
    first, second = (s for s in book.sheets("first") if s.student == "s01")
    assert (first.sitting, second.sitting) == (1, 2)
    assert [q_["id"] for q_ in first.questions] == [q_["id"] for q_ in second.questions]
    assert [q_["values"] for q_ in first.questions] != [q_["values"] for q_ in second.questions]
    assert first.token != second.token


def test_a_resit_beside_the_first_sheet_says_which_it_is_on_itself_and_in_its_name(
    plan, book, tmp_path
):
    paper, out = checked(plan, book), tmp_path / "out"
    for sitting in (1, 2):
        issue_sheets(paper, QUESTIONS, CLASS[:1], book, out, "L. Lecturer", sitting=sitting)
    held = {sheet.sitting: sheet.token for sheet in book.sheets("first")}
    for sitting, token in held.items():
        forms = list(out.rglob(f"*_{token}*"))
        assert len(forms) == 3
        for form in forms:
            assert ("sitting-2" in form.name) is (sitting == 2)
            assert ("sitting 2" in form.read_text(encoding="utf-8")) is (sitting == 2)
    assert unwritten(held.values(), out) == []


def test_the_mark_scheme_states_the_sheets_of_every_list(plan, book, tmp_path):
    paper, out = checked(plan, book), tmp_path / "out"
    issue_sheets(paper, QUESTIONS, CLASS[:2], book, out, "L. Lecturer")
    done = issue_sheets(paper, QUESTIONS, CLASS[2:], book, out, "L. Lecturer")
    scheme = done.scheme.read_text(encoding="utf-8")
    assert all(sheet.token in scheme for sheet in book.sheets("first"))
    assert (done.sheets, done.written) == (3, 1)


def test_a_resit_has_its_own_dates_and_its_own_mark_scheme(plan, book, tmp_path):
    paper, out = checked(plan, book), tmp_path / "out"
    issue_sheets(paper, QUESTIONS, CLASS, book, out, "L. Lecturer")
    first = (out / "first-mark-scheme.html").read_text(encoding="utf-8")
    again = issue_sheets(
        paper,
        QUESTIONS,
        CLASS[:1],
        book,
        out,
        "L. Lecturer",
        sitting=2,
        opens_on="2027-05-01",
        hand_in_by="2027-05-08",
    )
    assert again.scheme.name == "first-mark-scheme-sitting-2.html"
    assert (out / "first-mark-scheme.html").read_text(encoding="utf-8") == first
    (sheet,) = (s for s in book.sheets("first") if s.sitting == 2)
    assert (sheet.opens_on, sheet.hand_in_by) == ("2027-05-01", "2027-05-08")
    (path,) = (out / folder_of(CLASS[0])).glob(f"*{sheet.token}.html")
    page = path.read_text(encoding="utf-8")
    assert "Saturday 8 May 2027" in page


def test_a_changed_arrangement_is_printed_anew_with_the_same_sheet(plan, book, tmp_path):
    paper, out = checked(plan, book), tmp_path / "out"
    issue_sheets(paper, QUESTIONS, CLASS, book, out, "L. Lecturer")
    tokens = [sheet.token for sheet in book.sheets("first")]
    later = [Student("s01", "Ana Brook", print="large"), *CLASS[1:]]
    done = issue_sheets(paper, QUESTIONS, later, book, out, "L. Lecturer")
    assert done.written == 1
    assert [sheet.token for sheet in book.sheets("first")] == tokens
    page = next((out / "s01-ana-brook").glob("*-paper.html")).read_text(encoding="utf-8")
    assert 'class="large"' in page


def test_a_question_that_changed_after_the_check_stops_the_issue(plan, book, tmp_path):
    from dataclasses import replace

    paper = checked(plan, book)
    moved = QUESTIONS | {"t-swap": replace(QUESTIONS["t-swap"], ask=QUESTIONS["t-safe"].ask)}
    with pytest.raises(FaultsError, match="has changed since it was checked") as caught:
        issue_sheets(paper, moved, CLASS, book, tmp_path / "out", "L. Lecturer")
    assert "t-swap" in str(caught.value)
    assert book.sheets("first") == []


def test_what_is_issued_is_what_was_checked_last(plan, book, tmp_path):
    from dataclasses import replace

    old = draft(plan, QUESTIONS, book)
    draft(replace(plan, title="The newer title"), QUESTIONS, book)
    book.check_paper("first", "M. Checker")
    done = issue_sheets(old, QUESTIONS, CLASS, book, tmp_path / "out", "L. Lecturer")
    assert "The newer title" in done.scheme.read_text(encoding="utf-8")


def test_a_question_that_left_the_bank_is_told(plan, book, tmp_path):
    paper = checked(plan, book)
    less = {name: one for name, one in QUESTIONS.items() if name != "t-swap"}
    with pytest.raises(FaultsError, match="not in the bank") as caught:
        issue_sheets(paper, less, CLASS, book, tmp_path / "out", "L. Lecturer")
    assert "t-swap" in str(caught.value)


def test_progress_is_told_to_the_end(plan, book, tmp_path):
    told = []
    issue_sheets(
        checked(plan, book),
        QUESTIONS,
        CLASS,
        book,
        tmp_path / "out",
        "L. L.",
        said=lambda done, of: told.append((done, of)),
    )
    assert told == [(3, 3)]


def test_several_processes_write_the_same_files_as_one(plan, book, tmp_path):
    paper = checked(plan, book)
    issue_sheets(paper, QUESTIONS, CLASS, book, tmp_path / "one", "L. L.", workers=1)
    issue_sheets(paper, QUESTIONS, CLASS, book, tmp_path / "two", "L. L.", workers=2)
    assert texts(tmp_path / "one") == texts(tmp_path / "two")


def test_no_seed_stands_in_any_file_of_a_student(plan, book, tmp_path):
    out = tmp_path / "out"
    issue_sheets(checked(plan, book), QUESTIONS, CLASS, book, out, "L. Lecturer")
    seeds = [sheet.seed for sheet in book.sheets("first")]
    assert not [name for name, text in texts(out).items() for s in seeds if s in text]


def test_a_folder_that_cannot_be_made_is_told(plan, book, tmp_path):
    (tmp_path / "out").write_text("in the way")
    with pytest.raises(FaultsError, match="can't be made"):
        issue_sheets(checked(plan, book), QUESTIONS, CLASS, book, tmp_path / "out", "L. L.")


@pytest.mark.parametrize(
    "student",
    [
        Student("../../etc", "x"),
        Student("a/b", "../x"),
        Student("CON", "a:b"),
        Student("名", "名前"),
        Student("s 1", "  "),
        Student("s1", "x" * 500),
        Student(".", "."),
    ],
)
def test_a_folder_name_is_safe_whatever_the_list_says(student):
    assert re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9_-]{0,90}", folder_of(student))


def test_no_two_ids_share_a_folder():
    names = [folder_of(Student(i, "A")) for i in ("a/b", "a-b", "a b", "a\\b", "a_b")]
    assert len(set(names)) == 5


def test_practice_is_drawn_as_often_as_one_likes_and_holds_no_assessed_question(plan):
    from dataclasses import replace

    small = replace(
        plan,
        outcomes=plan.outcomes[:2] + plan.outcomes[3:],
        levels={"carry out": 1, "decide": 2},
    )
    one, two = practice(small, QUESTIONS, "1"), practice(small, QUESTIONS, "2")
    assert one.questions != two.questions
    assert one == practice(small, QUESTIONS, "1")
    assert "t-order" not in {each.id for each in one.questions}
