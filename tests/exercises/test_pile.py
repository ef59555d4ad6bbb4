"""A whole pile: nothing lost, nothing doubled, nothing settled silently."""

import json
import multiprocessing
import os
import random
import shutil
import signal
import subprocess
import sys
import time
import zipfile
from datetime import timedelta

import pytest
import sqlalchemy as sa

from calculators.faults import FaultsError
from exercises.book.book import open_book
from exercises.book.records import NewSheet
from exercises.book.schema import MARKED, RECEIVED, UNREADABLE
from exercises.book.tokens import new_token
from exercises.marking import copied_line, finding
from exercises.marking.checks import what_to_settle
from exercises.marking.comparing import Comparison
from exercises.marking.finding import find
from exercises.marking.matters import Proposal, confirm, dates_after, in_words, preview
from exercises.marking.run import key_in, mark_folder
from tests.exercises.pile_of_ours import NAMES, answer_file, issue, notebook_file, right_answers

IN_TIME = "2030-02-20 12:00"


@pytest.fixture
def ours(tmp_path):
    book, sheets = issue(tmp_path / "class.db")
    folder = tmp_path / "pile"
    folder.mkdir()
    with book:
        yield book, sheets, folder


def _put(folder, name, data):
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data)
    return path


def _mark(book, folder, **how):
    return mark_folder(folder, book, **{"received_at": IN_TIME, "workers": 1, **how})


def _states(book):
    return {one.path: one.state for one in book.handins()}


def test_a_folder_of_every_form_is_marked_and_everything_is_on_record(ours):
    book, sheets, folder = ours
    right = [right_answers(sheet) for sheet in sheets]
    token = [sheet.token for sheet in sheets]
    _put(folder, f"{token[0]}.handin.json", answer_file(token[0], right[0]))
    _put(folder, "deep/er/sheet.ipynb", notebook_file(token[1], right[1]))
    thing = json.loads(answer_file(token[2], right[2]))
    _put(folder, "message.txt", copied_line.pack_line(thing).encode())
    with zipfile.ZipFile(folder / "all.zip", "w") as made:
        made.writestr("x/one.json", answer_file(token[3], right[3]))
        made.writestr("../up.json", answer_file(token[4], right[4]))
        made.writestr("__MACOSX/._one.json", b"\x00\x05")
        with zipfile.ZipFile(folder / "inner.tmp", "w") as inner:
            inner.writestr("two.json", answer_file(token[4], right[4]))
        made.write(folder / "inner.tmp", "inner.zip")
    (folder / "inner.tmp").unlink()
    _put(folder, "empty.json", b"")
    _put(folder, "photo.jpg", b"\xff\xd8\xff\xe0....")
    _put(folder, "damaged.zip", b"PK\x03\x04 nothing")
    _put(folder, "other.json", answer_file(new_token(), {"1a": "1 g"}))
    _put(folder, ".DS_Store", b"x")
    (folder / "link.json").symlink_to(folder / "empty.json")
    (folder / "loop").symlink_to(folder)
    summary = _mark(book, folder)
    states = _states(book)
    assert states == {
        f"{token[0]}.handin.json": MARKED,
        "deep/er/sheet.ipynb": MARKED,
        "message.txt": MARKED,
        "all.zip!x/one.json": MARKED,
        "all.zip!inner.zip!two.json": MARKED,
        "all.zip!../up.json": UNREADABLE,
        "all.zip!__MACOSX/._one.json": RECEIVED,
        "empty.json": UNREADABLE,
        "photo.jpg": UNREADABLE,
        "damaged.zip": UNREADABLE,
        "other.json": UNREADABLE,
        ".DS_Store": RECEIVED,
        "link.json": UNREADABLE,
        "loop": UNREADABLE,
    }
    assert summary.met == summary.new == len(states)
    assert summary.to_look == 7
    assert all(one.reason for one in book.handins() if one.state == UNREADABLE)
    assert {one.form for one in book.handins(state=MARKED)} == {
        "file",
        "notebook",
        "line",
    }
    for row in book.results("first")[:5]:
        assert (row.awarded, row.needs_a_look) == (row.total, False), row.student.name
    assert book.results("first")[5].state == "issued"
    again = _mark(book, folder)
    assert (again.known, again.new) == (len(states), 0)
    assert _states(book) == states


def test_marks_and_reasons_of_one_hand_in_are_in_the_book(ours):
    book, sheets, folder = ours
    answers = {**right_answers(sheets[0]), "1a": "7 g", "4a": "9 9 9", "9z": "x"}
    _put(folder, "a.json", answer_file(sheets[0].token, answers))
    _mark(book, folder)
    marks = {mark.part: mark for mark in book.marks(1)}
    assert list(marks) == ["1a", "1b", "2a", "3a", "4a"]
    assert (marks["1a"].value, marks["1a"].unit, marks["1a"].by) == (0, 0, "machine")
    assert marks["1b"].awarded == 3
    assert marks["4a"].verdict == "can't be read"
    assert book.handins()[0].flags == {"to settle": ["4a"]}
    assert "4a" in what_to_settle(book.handins()[0], book.students())[0]


def test_late_knows_the_arrangements_of_the_student(tmp_path):
    from exercises.book.records import Student

    book, sheets = issue(tmp_path / "class.db", hand_in_by="2030-03-01 12:00")
    book.enrol(
        [
            Student("st00002", NAMES[1], "30 min"),
            Student("st00003", NAMES[2], "", "2030-03-02"),
        ]
    )
    folder = tmp_path / "pile"
    for n in range(3):
        _put(folder, f"{n}.json", answer_file(sheets[n].token, right_answers(sheets[n])))
    with book:
        _mark(book, folder, received_at="2030-03-01 12:20")
        late = [one.flags.get("late") for one in book.handins()]
        assert [bool(one) for one in late] == [True, False, False]
        assert late[0]["minutes"] == 20
        assert "20 min late" in what_to_settle(book.handins()[0], book.students())[0]
        assert book.results("first")[0].needs_a_look


def test_a_worksheet_page_sent_beside_its_answers_makes_no_further_hand_in(ours):
    book, sheets, folder = ours
    token = sheets[0].token
    page = f"<!doctype html><title>Sheet {token}</title>".encode()
    _put(folder, "a page.html", page)
    _put(folder, "b.json", answer_file(token, right_answers(sheets[0])))
    with book:
        _mark(book, folder)
        page, answers = book.handins()
        assert (page.token, page.state) == (token, "can't be read")
        assert (answers.flags, answers.needs_a_look) == ({}, False)
        assert book.results("first")[0].handin.id == answers.id


def test_what_an_assessor_has_marked_is_no_longer_listed_to_settle(ours):
    book, sheets, folder = ours
    answers = right_answers(sheets[0]) | {"1a": "3 g or more", "2a": "warm"}
    _put(folder, "b.json", answer_file(sheets[0].token, answers))
    with book:
        _mark(book, folder)
        (one,) = book.handins()
        assert what_to_settle(one, {}) == ["By hand: 1a, 2a."]
        for part, left in (("1a", ["By hand: 2a."]), ("2a", [])):
            mark = next(m for m in book.marks(one.id) if m.part == part)
            book.decide(
                "marks",
                by="A. Sessor",
                reason="Read",
                mark=mark.id,
                detail={"awarded": 1},
            )
            assert what_to_settle(book.handins()[0], {}) == left
        assert not book.handins()[0].needs_a_look
        assert book.waiting() == 0


def test_a_second_late_is_less_than_a_minute(ours):
    book, sheets, folder = ours
    _put(folder, "b.json", answer_file(sheets[0].token, right_answers(sheets[0])))
    limit = book.limits([sheets[0].token])[sheets[0].token][1]
    with book:
        _mark(book, folder, received_at=limit + timedelta(seconds=1))
        (said,) = what_to_settle(book.handins()[0], {})
    assert said.startswith("It came less than a minute late")


def test_dates_in_files_and_archives_are_hints_and_decide_nothing(ours):
    book, sheets, folder = ours
    path = _put(folder, "a.json", answer_file(sheets[0].token, right_answers(sheets[0])))
    os.utime(path, (1_900_000_000, 1_900_000_000))  # 17 March 2030
    with zipfile.ZipFile(folder / "b.zip", "w") as made:
        info = zipfile.ZipInfo("b.json", (2030, 2, 1, 10, 0, 0))
        made.writestr(info, answer_file(sheets[1].token, right_answers(sheets[1])))
    _mark(book, folder)
    one, two = book.handins()
    assert (one.dated, one.dated_by) == ("2030-03-17T17:46:40+00:00", "file")
    assert (two.dated[:10], two.dated_by) == ("2030-02-01", "archive")
    assert {each.clock for each in (one, two)} == {"given"}
    assert {each.received_at[:10] for each in (one, two)} == {"2030-02-20"}
    assert one.flags == two.flags == {}


def test_a_pile_that_may_be_late_sets_no_single_student_aside(tmp_path):
    book, sheets = issue(tmp_path / "class.db", hand_in_by="2020-03-01")
    folder = tmp_path / "pile"
    for n in range(3):
        _put(folder, f"{n}.json", answer_file(sheets[n].token, right_answers(sheets[n])))
    with book:
        mark_folder(folder, book, workers=1)
        (late,) = book.matters(kind="late")
        with pytest.raises(FaultsError, match=r"about a whole pile.*--hand-in NUMBER"):
            preview(book, late.id, Proposal("set aside"))
        book.decide("set aside", by="A. Sessor", reason="Late", handin=late.handin)
        assert [one.id for one in book.matters(waiting=True)] == [late.id]  # of the others still
        confirm(book, [preview(book, late.id, Proposal())], by="A. Sessor", reason="Rest in time")
        assert book.matters(waiting=True) == []
        _put(folder, "9.json", answer_file(sheets[3].token, right_answers(sheets[3])))
        mark_folder(folder, book, workers=1)
        (alone,) = book.matters(waiting=True)
        assert preview(book, alone.id, Proposal("set aside")).sheet
        book.decide("set aside", by="A. Sessor", reason="Late", handin=alone.handin)
        assert book.matters(waiting=True) == []  # nothing of its pile is left to decide


def test_where_nobody_says_when_a_pile_came_lateness_is_one_matter_for_the_pile(tmp_path):
    book, sheets = issue(tmp_path / "class.db", hand_in_by="2020-03-01")
    folder = tmp_path / "pile"
    for n in range(3):
        path = _put(folder, f"{n}.json", answer_file(sheets[n].token, right_answers(sheets[n])))
        os.utime(path, (1_500_000_000, 1_500_000_000))  # the date in the file says 2017
    with book:
        mark_folder(folder, book, workers=1)
        (late,) = book.matters(kind="late")
        assert late.detail["pile"] == 1
        assert {one.clock for one in book.handins()} == {"taken in"}
        assert {one.pile for one in book.handins()} == {1}
        assert "nobody said when it came in" in what_to_settle(book.handins()[0], {})[0]
        assert dates_after(book, 1) == []
        _put(folder, "9.json", answer_file(sheets[3].token, right_answers(sheets[3])))
        mark_folder(folder, book, workers=1)
        assert len(book.matters(kind="late")) == 2  # another pile
        path = _put(folder, "8.json", answer_file(sheets[4].token, right_answers(sheets[4])))
        os.utime(path, (1_600_000_000, 1_600_000_000))  # the date in the file says 2020-09
        mark_folder(folder, book, workers=1)
        (hint,) = dates_after(book, book.handins()[-1].pile)
        assert "the date in its file is 2020-09-13" in hint


def test_token_name_head_and_inside_are_compared_and_what_differs_is_shown(ours):
    book, sheets, folder = ours
    ada, bo = sheets[0].token, sheets[1].token
    right = right_answers(sheets[0])
    _put(folder, f"1 {bo}.handin.json", answer_file(ada, right))
    note = json.loads(notebook_file(ada, right_answers(sheets[0]) | {"1a": "1 g"}))
    note["cells"][0]["source"] = f"# Sheet\n\n**Name:** Bo Batter  \n**Sheet:** {ada}"
    _put(folder, "2.ipynb", json.dumps(note).encode())
    note["cells"][0]["source"] = f"# Sheet\n\n**Name:** Ada Ample  \n**Sheet:** {bo}"
    _put(folder, "3.ipynb", json.dumps(note).encode())
    note["cells"][0]["source"] = f"# Sheet\n\n**Name:** Ada Ample  \n**Sheet:** {ada}"
    _put(folder, "4.ipynb", json.dumps(note).encode())
    _mark(book, folder)
    assert [one.flags.get("swapped") for one in book.handins()] == [["st00002"]] * 3 + [None]
    assert {one.token for one in book.handins()} == {ada}


def test_an_id_of_several_words_is_found_in_a_file_name(tmp_path):
    from exercises.book.records import Student

    book, sheets = issue(tmp_path / "class.db")
    book.enrol([Student("D-04", "Dov Ember")])
    folder = tmp_path / "pile"
    _put(folder, "D-04.json", answer_file(sheets[0].token, right_answers(sheets[0])))
    with book:
        _mark(book, folder)
        assert book.handins()[0].flags["swapped"] == ["D-04"]


def test_every_hand_in_gets_a_receipt_that_the_record_knows(ours):
    book, sheets, folder = ours
    _put(folder, "a.json", answer_file(sheets[0].token, right_answers(sheets[0])))
    summary = _mark(book, folder)
    ((token, path, receipt),) = book.receipts(summary.pile)
    assert summary.receipts == 1
    assert (token, path) == (sheets[0].token, "a.json")
    assert receipt == book.receipt(1)
    assert len(receipt) == 16
    assert book.verify(receipt).known


def test_a_second_hand_in_of_a_sheet_is_shown_and_the_first_counts(ours):
    book, sheets, folder = ours
    right = right_answers(sheets[0])
    _put(folder, "a.json", answer_file(sheets[0].token, {**right, "1a": "7 g"}))
    _put(folder, "b.json", answer_file(sheets[0].token, right))
    _put(folder, "c.json", answer_file(sheets[0].token, {**right, "1a": "7 g"}) + b" ")
    _mark(book, folder)
    flags = [one.flags.get("repeated") for one in book.handins()]
    assert flags == [
        None,
        {"of": 1, "same answers": False},
        {"of": 1, "same answers": True},
    ]
    row = book.results("first")[0]
    assert (row.handin.path, row.needs_a_look) == ("a.json", True)


@pytest.fixture
def long_sheets(tmp_path):
    book, sheets = issue(tmp_path / "long.db", repeat=4)
    folder = tmp_path / "long pile"
    folder.mkdir()
    with book:
        yield book, sheets, folder


def test_a_copied_sheet_is_shown_on_both_sides_and_not_settled(long_sheets):
    book, sheets, folder = long_sheets
    right = right_answers(sheets[0])
    _put(folder, "a.json", answer_file(sheets[0].token, right))
    _put(folder, "b.json", answer_file(sheets[1].token, right))
    _put(folder, "c.json", answer_file(sheets[2].token, right_answers(sheets[2])))
    summary = _mark(book, folder)
    number = {one.path: one.id for one in book.handins()}
    assert {one.path: one.flags.get("copied") for one in book.handins()} == {
        "a.json": [number["b.json"]],
        "b.json": [number["a.json"]],
        "c.json": None,
    }
    assert all(row.needs_a_look for row in book.results("first")[:2])
    copy = book.handin(number["b.json"])
    assert "other numbers" in what_to_settle(copy, book.students())[0]
    assert {path for path, why in summary.look if "working alone" in why} == {"a.json", "b.json"}
    assert summary.to_look == 2
    for matter in book.matters(kind="alike"):
        words = in_words(matter, book.handin(matter.handin), {})
        assert words.startswith(f"Hand-in {matter.detail['with'][0]}. ")
        assert "what belongs to one sheet stands on the other" in words
        assert "fewer than one class in" in words


def test_a_copy_that_needs_a_look_for_something_else_too_is_counted_once(long_sheets):
    book, sheets, folder = long_sheets
    given = right_answers(sheets[0]) | {"2a": "warm"}
    _put(folder, "a.json", answer_file(sheets[0].token, given))
    _put(folder, "b.json", answer_file(sheets[1].token, given))
    summary = _mark(book, folder)
    assert summary.to_look == len(summary.look) == 2
    assert all("By hand: " in why and "working alone" in why for _, why in summary.look)


def test_receipts_are_those_of_one_pile_in_its_order(ours):
    book, sheets, folder = ours
    for n in (2, 0, 1):
        _put(folder, f"{n}.json", answer_file(sheets[n].token, right_answers(sheets[n])))
    first = _mark(book, folder)
    _put(folder, "lost.json", b"nothing")
    _put(folder, "more.json", answer_file(sheets[3].token, right_answers(sheets[3])))
    second = _mark(book, folder)
    assert [path for _, path, _ in book.receipts(first.pile)] == ["0.json", "1.json", "2.json"]
    ((token, path, receipt),) = book.receipts(second.pile)
    assert (token, path, receipt) == (sheets[3].token, "more.json", book.receipt(5))


def test_every_student_who_is_written_alike_is_named(tmp_path):
    book, sheets = issue(tmp_path / "class.db", [*NAMES, "Bo Batter"])
    folder = tmp_path / "pile"
    _put(folder, "bo batter.json", answer_file(sheets[0].token, right_answers(sheets[0])))
    with book:
        _mark(book, folder)
        assert book.handins()[0].flags["swapped"] == ["st00002", "st00007"]


def test_a_copy_is_recognised_in_a_later_run_too(long_sheets):
    book, sheets, folder = long_sheets
    right = right_answers(sheets[0])
    _put(folder, "b.json", answer_file(sheets[0].token, right))
    _mark(book, folder)
    _put(folder, "a.json", answer_file(sheets[1].token, right))
    _mark(book, folder)
    assert [one.flags.get("copied") for one in book.handins()] == [[2], [1]]


def test_what_a_run_that_was_ended_left_uncompared_is_compared_by_the_next(
    long_sheets, monkeypatch
):
    book, sheets, folder = long_sheets
    right = right_answers(sheets[0])
    for n in (0, 1):
        _put(folder, f"{n}.json", answer_file(sheets[n].token, right))
    with monkeypatch.context() as ended:
        ended.setattr(Comparison, "raise_matters", lambda self: [])
        _mark(book, folder)
    assert book.matters(kind="alike") == []
    _mark(book, folder)
    assert [one.flags.get("copied") for one in book.handins()] == [[2], [1]]
    _mark(book, folder)
    assert len(book.matters(kind="alike")) == 2
    assert book.not_compared() == {}
    assert book.verify().faults == []


def test_a_pile_that_was_ended_halfway_is_compared_whole_once_the_rest_is_marked(
    long_sheets, monkeypatch
):
    book, sheets, folder = long_sheets
    right = right_answers(sheets[0])
    _put(folder, "0.json", answer_file(sheets[3].token, right_answers(sheets[3])))
    _mark(book, folder)
    for n in (1, 2):
        _put(folder, f"{n}.json", answer_file(sheets[n - 1].token, right))
    with monkeypatch.context() as ended:
        ended.setattr(Comparison, "raise_matters", lambda self: [])
        _mark(book, folder)
    _put(folder, "3.json", answer_file(sheets[2].token, right_answers(sheets[2])))
    _mark(book, folder)
    assert [one.flags.get("copied") for one in book.handins()] == [None, [3], [2], None]
    assert book.not_compared() == {}


def test_a_copy_keyed_in_from_paper_and_one_handed_in_twice_are_recognised(long_sheets):
    book, sheets, folder = long_sheets
    right = right_answers(sheets[0])
    _put(folder, "a.json", answer_file(sheets[0].token, right))
    _mark(book, folder)
    _put(folder, "again.json", answer_file(sheets[0].token, right, {"1a": "Again."}))
    _mark(book, folder)
    keyed = key_in(book, sheets[1].token, right, "K. Keyer", received_at=IN_TIME)
    assert keyed.flags["copied"] == [1]
    assert [one.flags.get("copied") for one in book.handins()] == [[3], None, [1]]


def test_a_resit_is_not_held_against_the_first_sitting(long_sheets):
    book, sheets, folder = long_sheets
    (resit,) = book.issue_paper(
        "first",
        [NewSheet(sheets[1].student, "resit", sheets[1].questions, sitting=2)],
        "L. Lecturer",
    )
    right = right_answers(sheets[0])
    _put(folder, "a.json", answer_file(sheets[0].token, right))
    _put(folder, "b.json", answer_file(resit.token, right))
    _mark(book, folder)
    assert book.matters(kind="alike") == []


def test_equal_answers_to_equal_numbers_are_no_copy(ours):
    book, sheets, folder = ours
    for n in (0, 1):
        answers = {"2a": "31 °C", "3a": "a"}
        _put(folder, f"{n}.json", answer_file(sheets[n].token, answers))
    _mark(book, folder)
    assert not any("copied" in one.flags for one in book.handins())


@pytest.mark.parametrize(
    "name",
    [
        "Bo Batter.json",
        "batter_bo.json",
        "Batter, Bo/sheet.json",
        "st00002.json",
        "BoBatter-sheet1.json",
    ],
)
def test_a_sheet_in_a_file_with_another_name_is_shown(ours, name):
    book, sheets, folder = ours
    _put(folder, name, answer_file(sheets[0].token, {"1a": "1 g"}))
    _mark(book, folder)
    assert book.handins()[0].flags["swapped"] == ["st00002"]
    assert "Bo Batter" in what_to_settle(book.handins()[0], book.students())[0]


@pytest.mark.parametrize(
    "name", ["Ada Ample.json", "Bo Batter/Ada Ample.json", "batter.json", "x.json"]
)
def test_a_sheet_in_its_own_file_or_one_without_a_name_is_not(ours, name):
    book, sheets, folder = ours
    _put(folder, name, answer_file(sheets[0].token, {"1a": "1 g"}))
    _mark(book, folder)
    assert "swapped" not in book.handins()[0].flags


def test_paper_is_keyed_in_with_the_name_of_who_did_it(ours):
    book, sheets, _ = ours
    right = right_answers(sheets[0])
    typed = sheets[0].token.lower().replace("-", " ")
    one = key_in(book, typed, right, "A. Assessor", received_at=IN_TIME)
    assert (one.form, one.state, one.flags) == ("paper", MARKED, {})
    assert key_in(book, typed, right, "A. Assessor", received_at=IN_TIME).id == one.id
    assert len(book.handins()) == 1
    assert book.results("first")[0].awarded == sheets[0].total
    assert book.decisions(one.id)[0].by == "A. Assessor"
    for wrong in (
        lambda: key_in(book, typed, {"9a": "1"}, "A. Assessor"),
        lambda: key_in(book, typed, right, ""),
        lambda: key_in(book, typed[:-1], right, "A. Assessor"),
        lambda: key_in(book, new_token(), right, "A. Assessor"),
    ):
        with pytest.raises(FaultsError):
            wrong()
    corrected = key_in(book, typed, {**right, "1a": "7 g"}, "A. Assessor", received_at=IN_TIME)
    assert "repeated" in corrected.flags


def test_a_folder_that_is_none_is_told(ours):
    book, _, folder = ours
    with pytest.raises(FaultsError, match="is not a folder"):
        mark_folder(folder / "none", book)


def test_the_mark_book_itself_is_no_hand_in(ours):
    book, _, _ = ours
    assert _mark(book, book.path.parent).met == 0


def test_progress_is_told_up_to_the_end(ours):
    book, sheets, folder = ours
    for n in range(130):
        _put(folder, f"{n}.json", answer_file(sheets[n % 6].token, {"1a": f"{n} g"}))
    told = []
    _mark(book, folder, tell=told.append)
    assert [one.done for one in told] == [100, 130]
    assert {one.total for one in told} == {130}


# --- in parallel, killed, two at once ---------------------------------------------------


def _a_pile(folder, sheets, count, seed=1):
    pick = random.Random(seed)
    for n in range(count):
        sheet = pick.choice(sheets)
        answers = right_answers(sheet)
        for key in pick.sample(list(answers), 2):
            answers[key] = pick.choice(["", "7 g", "c", "4 3 2 1", "nonsense", "31"])
        form = pick.choice([answer_file, notebook_file])
        data = form(sheet.token, answers)
        if pick.random() < 0.1:
            data = data[: pick.randrange(len(data))]
        _put(folder, f"{n % 7}/{n:04}.any", data)
    with zipfile.ZipFile(folder / "more.zip", "w") as made:
        for n in range(150):
            sheet = pick.choice(sheets)
            made.writestr(f"{n}.json", answer_file(sheet.token, {"1a": f"{n} g"}))


def _whole(book):
    """Return all that marking leaves in a book, without times."""
    out = []
    for one in book.handins():
        marks = [(m.part, m.awarded, m.verdict, m.reason) for m in book.marks(one.id)]
        out.append((one.path, one.digest, one.state, one.reason, one.flags, marks))
    return out


def test_in_parallel_the_same_comes_out_as_one_after_another(ours, tmp_path):
    book, sheets, folder = ours
    _a_pile(folder, sheets, 150)
    other = tmp_path / "other.db"
    book.close()
    shutil.copy(book.path, other)
    one = _mark(book, folder)
    with open_book(other) as second:
        two = _mark(second, folder, workers=2)
        assert _whole(second) == _whole(book)
    assert one == two
    assert one.met == 300


def _run(path, folder, workers):
    os.setpgid(0, 0)
    with open_book(path) as book:
        _mark(book, folder, workers=workers)


def _kill_and_mark_again(ours, tmp_path, times):
    book, sheets, folder = ours
    _a_pile(folder, sheets, 250)
    fresh = tmp_path / "fresh.db"
    book.close()
    shutil.copy(book.path, fresh)
    _mark(book, folder)
    wanted = _whole(book)
    context = multiprocessing.get_context("spawn")
    pick, stopped = random.Random(7), 0
    for _ in range(times):
        path = tmp_path / "killed.db"
        for end in ("", "-wal", "-shm"):
            path.with_name(path.name + end).unlink(missing_ok=True)
        shutil.copy(fresh, path)
        run = context.Process(target=_run, args=(path, folder, 2))
        run.start()
        begun, done = time.monotonic(), pick.randrange(4)  # batches of a hundred
        while run.is_alive() and time.monotonic() < begun + 60:
            with open_book(path, read_only=True) as looked:
                if sum(looked.counts().values()) >= 100 * done:
                    break
        time.sleep(pick.random() * 0.02)
        if run.is_alive():
            stopped += 1
            try:
                os.killpg(run.pid, signal.SIGKILL)
            except ProcessLookupError:  # so early that it has no group yet
                run.kill()
        run.join(60)
        with open_book(path) as again:
            done = len(again.handins())
            summary = _mark(again, folder)
            assert summary.known == done
            assert _whole(again) == wanted
            assert again.verify().faults == []
    assert stopped > times / 2


def test_killed_and_run_again_the_marks_are_those_of_an_undisturbed_run(ours, tmp_path):
    _kill_and_mark_again(ours, tmp_path, 3)


@pytest.mark.slow
def test_killed_at_twenty_five_moments_the_marks_are_the_same(ours, tmp_path):
    _kill_and_mark_again(ours, tmp_path, 25)


def test_two_assessors_who_mark_one_folder_at_once_double_nothing(ours):
    book, sheets, folder = ours
    _a_pile(folder, sheets, 120)
    book.close()
    context = multiprocessing.get_context("spawn")
    both = [context.Process(target=_run, args=(book.path, folder, 1)) for _ in range(2)]
    for one in both:
        one.start()
    for one in both:
        one.join(120)
        assert one.exitcode == 0
    assert len(book.handins()) == len(list(find(folder))) - 1 + 150
    per = [len(book.marks(one.id, history=True)) for one in book.handins(state=MARKED)]
    assert set(per) == {5}


# --- no room, no right to write ------------------------------------------------------------


def _full_after(book, pages):
    """Leave room for so many pages more in a book's file."""
    with book._engine.connect() as connection:
        held = connection.exec_driver_sql("PRAGMA page_count").scalar()

    @sa.event.listens_for(book._engine, "connect")
    def limit(raw, _):
        raw.execute(f"PRAGMA max_page_count={held + pages}")

    book.close()


def _sound(book):
    with book._engine.connect() as connection:
        return connection.exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"


@pytest.mark.parametrize("workers", [1, 2])
def test_on_a_full_disk_marking_stops_and_goes_on_once_there_is_room(ours, tmp_path, workers):
    book, sheets, folder = ours
    _a_pile(folder, sheets, 250)
    book.close()
    fresh = tmp_path / "fresh.db"
    shutil.copy(book.path, fresh)
    with open_book(fresh) as undisturbed:
        _mark(undisturbed, folder)
        wanted = _whole(undisturbed)
    _full_after(book, 90)  # enough for the first batch
    with pytest.raises(FaultsError, match="the disk is full"):
        _mark(book, folder, workers=workers)
    book.close()
    with open_book(book.path) as again:
        assert _sound(again)
        held = _whole(again)
        assert 0 < len(held) < len(wanted)
        flags = 4  # a later hand-in may yet show that an earlier one was copied
        for one, other in zip(held, wanted, strict=False):
            assert [*one[:flags], one[-1]] == [*other[:flags], other[-1]]
        assert _mark(again, folder).known == len(held)
        assert _whole(again) == wanted


_NO_ROOM = """
import resource, signal, sys
from pathlib import Path
from calculators.faults import FaultsError
from exercises.book.book import open_book
from exercises.marking.run import mark_folder
path, folder = map(Path, sys.argv[1:])
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
book = open_book(path)
room = path.stat().st_size // 2
resource.setrlimit(resource.RLIMIT_FSIZE, (room, room))
try:
    mark_folder(folder, book, workers=1)
except FaultsError as error:
    print(error)
"""


@pytest.mark.skipif(not hasattr(signal, "SIGXFSZ"), reason="this system has no such limit")
def test_a_system_that_lets_no_file_grow_is_told_and_the_book_is_unharmed(ours):
    book, sheets, folder = ours
    _a_pile(folder, sheets, 250)
    book.close()
    done = subprocess.run(
        [sys.executable, "-c", _NO_ROOM, book.path, folder],
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    assert "nothing in the book was changed" in done.stdout
    assert "class.db" in done.stdout
    assert done.stderr == ""
    with open_book(book.path) as again:
        assert _sound(again)
        held = len(again.handins())
        assert _mark(again, folder).known == held


def test_into_a_read_only_book_nothing_is_marked_and_that_is_said(ours):
    book, sheets, folder = ours
    _put(folder, "a.json", answer_file(sheets[0].token, {"1a": "1 g"}))
    book.close()
    before = book.path.read_bytes()
    with (
        open_book(book.path, read_only=True) as looked,
        pytest.raises(FaultsError, match="can't be written"),
    ):
        _mark(looked, folder)
    assert book.path.read_bytes() == before


def test_a_folder_that_is_shut_is_on_record_and_the_rest_is_marked(ours, monkeypatch):
    book, sheets, folder = ours
    _put(folder, "a/1.json", answer_file(sheets[0].token, {"1a": "1 g"}))
    _put(folder, "shut/2.json", answer_file(sheets[1].token, {"1a": "1 g"}))
    names = finding.names_in
    monkeypatch.setattr(
        finding, "names_in", lambda path: None if path.endswith("shut") else names(path)
    )
    _mark(book, folder)
    assert _states(book) == {"a/1.json": MARKED, "shut": UNREADABLE}
    assert "can't be opened" in book.handins()[1].reason


def test_files_are_found_in_the_order_of_their_whole_paths(tmp_path):
    for name in (
        "b/x.json",
        "b.json",
        "b-c/y.json",
        "a",
        "b/c/d.json",
        "b/c.json",
        "c",
    ):
        _put(tmp_path, name, b"x")
    found = [task.shown for task in find(tmp_path)]
    assert found == sorted(found)
    assert len(found) == 7
