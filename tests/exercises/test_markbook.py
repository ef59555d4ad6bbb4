"""The mark book: nothing overwritten, nothing lost, faults told in plain words."""

import multiprocessing
import os
import sqlite3
from datetime import UTC, datetime, timedelta

import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory

from calculators.faults import FaultsError
from exercises.book.book import create, open_book
from exercises.book.connecting import revisions
from exercises.book.deadlines import deadline_for
from exercises.book.records import HandIn, NewSheet, SheetRecord, Student
from exercises.book.schema import MARKED, MIGRATIONS, UNREADABLE, metadata
from exercises.book.times import parse_time
from exercises.book.tokens import ALPHABET, DRAWN, new_token, read_token
from exercises.marking.rules import Verdict
from exercises.questions.answer_boxes import answer_boxes

PART = {
    "name": "a",
    "kind": "quantity",
    "total": 3,
    "marks": {"value": 2, "unit": 1},
    "answer": 5.0,
    "tolerance": 0.5,
    "unit": "g",
    "base_unit": "gram",
    "safety": False,
    "follows": [],
    "roads": [],
}
QUESTION = {
    "id": "x",
    "outcome": "kitchen-law",
    "digest": "d",
    "safety": False,
    "parts": [PART],
}


def _mark(part="1a", awarded=3.0):
    return Verdict("x", part, awarded, 0.0, awarded, 3.0, "right", "Right.")


@pytest.fixture
def book(tmp_path):
    with create(tmp_path / "class.db", {"title": "Ours"}) as made:
        made.enrol([Student("s1", "Ada Ample"), Student("s2", "Bo Batter")])
        yield made


@pytest.fixture
def issued(book):
    book.draft_paper("first", {"marks": 3})
    book.check_paper("first", "M. Checker")
    sheets = book.issue_paper(
        "first",
        [NewSheet(s, book.seed("first", s), [QUESTION]) for s in ("s1", "s2")],
        "L. Lecturer",
    )
    return book, sheets


def _said(call, *words):
    with pytest.raises(FaultsError) as caught:
        call()
    for word in words:
        assert word in str(caught.value)
    return caught.value


# --- tokens ------------------------------------------------------------------------


def test_a_token_holds_80_random_bits_and_no_lookalikes():
    assert len(ALPHABET) ** DRAWN > 2**80
    assert not set("0O1IL2Z5SBGUD") & set(ALPHABET)
    assert len({new_token() for _ in range(2000)}) == 2000
    assert all(len(group) == 4 for group in new_token().split("-"))


def test_a_token_is_read_however_it_is_typed():
    token = new_token()
    for typed in (
        token.lower(),
        token.replace("-", ""),
        f" {token.replace('-', ' ')} ",
    ):
        assert read_token(typed) == token


def test_every_mistyped_sign_and_every_exchange_is_recognised():
    token = new_token()
    signs = token.replace("-", "")
    typed = set()
    for place in range(len(signs)):
        typed |= {signs[:place] + other + signs[place + 1 :] for other in ALPHABET}
        for later in range(place + 1, len(signs)):
            swapped = list(signs)
            swapped[place], swapped[later] = swapped[later], swapped[place]
            typed.add("".join(swapped))
    typed.discard(signs)
    assert len(typed) > 400
    for text in typed:
        with pytest.raises(FaultsError, match="mistyped"):
            read_token(text)


def test_a_token_with_strange_or_missing_signs_says_so():
    _said(lambda: read_token("0O1I-2222-3333-4444-5555"), "no token has")
    _said(lambda: read_token(new_token()[:-2]), "signs")
    _said(lambda: read_token(None), "not a token")


# --- times -------------------------------------------------------------------------------


def _sheet(**changes):
    plain = {
        "token": "t",
        "paper": "p",
        "student": "s",
        "sitting": 1,
        "seed": "",
        "questions": [],
        "bank": "",
        "calculators": "",
        "issued_at": "",
    }
    return SheetRecord(
        **{
            **plain,
            "opens_on": "2030-03-01",
            "hand_in_by": "2030-03-05 12:00",
            **changes,
        }
    )


def test_the_last_moment_knows_extra_time_and_another_date():
    limit = deadline_for(_sheet(), Student("s", ""))
    assert limit == datetime(2030, 3, 5, 12).astimezone()
    assert deadline_for(_sheet(), Student("s", "", "30 min")) == limit + timedelta(minutes=30)
    assert deadline_for(_sheet(), Student("s", "", "2 d")) == limit + timedelta(days=2)
    share = deadline_for(_sheet(), Student("s", "", "25 %"))
    assert share == limit + 0.25 * (limit - datetime(2030, 3, 1).astimezone())
    other = deadline_for(_sheet(), Student("s", "", "", "2030-03-09"))
    assert other == datetime(2030, 3, 9, 23, 59, 59).astimezone()
    assert deadline_for(_sheet(hand_in_by=""), Student("s", "")) is None


def test_a_date_that_is_none_is_refused():
    _said(lambda: parse_time("soon"), "not a date", "soon")
    assert parse_time("2030-03-01T10:00+00:00") == datetime(2030, 3, 1, 10, tzinfo=UTC)


# --- the way of a paper ----------------------------------------------------------------------


def test_a_paper_is_drafted_checked_by_a_named_person_and_issued_in_that_order(book):
    sheet = NewSheet("s1", book.seed("first", "s1"), [QUESTION])
    _said(lambda: book.check_paper("first", "M. Checker"), "not in this book")
    book.draft_paper("first", {})
    _said(lambda: book.issue_paper("first", [sheet], "L"), "drafted", "check it")
    _said(lambda: book.check_paper("first", " "), "does not name a person")
    _said(lambda: book.check_paper("first", "machine"), "does not name a person")
    assert book.check_paper("first", "M. Checker").checked_by == "M. Checker"
    assert book.draft_paper("first", {"new": 1}).state == "drafted"
    assert book.paper("first").checked_by is None
    book.check_paper("first", "M. Checker")
    book.issue_paper("first", [sheet], "L. Lecturer")
    assert book.paper("first").issued_by == "L. Lecturer"
    _said(lambda: book.draft_paper("first", {}), "is issued and stays")
    _said(lambda: book.paper("second"), "not in this book", "first")


def test_issuing_again_keeps_every_sheet_and_adds_who_joined_later(issued):
    book, sheets = issued
    book.enrol([Student("s3", "Cy Crumb")])
    again = book.issue_paper(
        "first",
        [NewSheet(s, "another seed", [QUESTION]) for s in ("s1", "s2", "s3")],
        "L. Lecturer",
    )
    assert again[:2] == sheets
    assert again[2].student == "s3"
    resit = book.issue_paper(
        "first",
        [NewSheet("s1", book.seed("first", "s1", 2), [QUESTION], sitting=2)],
        "L",
    )
    assert resit[0].token != sheets[0].token
    assert len(book.sheets("first")) == 4


def test_a_sheet_for_nobody_issues_none(book):
    book.draft_paper("first", {})
    book.check_paper("first", "M. Checker")
    two = [NewSheet("s1", "", [QUESTION]), NewSheet("s9", "", [QUESTION])]
    _said(lambda: book.issue_paper("first", two, "L"), "nobody in the book", "s9")
    assert book.sheets() == []
    assert book.paper("first").state == "checked"


def test_a_seed_is_the_same_for_ever_in_this_book_and_another_in_the_next(book, tmp_path):
    seed = book.seed("first", "s1")
    assert seed == book.seed("first", "s1")
    assert (
        len(
            {
                seed,
                book.seed("first", "s2"),
                book.seed("other", "s1"),
                book.seed("first", "s1", 2),
            }
        )
        == 4
    )
    with create(tmp_path / "other.db") as other:
        assert other.seed("first", "s1") != seed


def test_a_sheet_is_found_by_its_token_as_typed(issued):
    book, sheets = issued
    assert book.sheet(sheets[0].token.lower()) == sheets[0]
    _said(lambda: book.sheet(new_token()), "belongs to no sheet")


def test_enrolling_again_tells_what_is_new_and_what_changed(book):
    assert book.enrol([Student("s1", "Ada Ample"), Student("s2", "Bo B"), Student("s3", "C")]) == (
        1,
        1,
    )
    assert book.students()["s2"].name == "Bo B"


# --- hand-ins, marks, decisions -----------------------------------------------------------------


def test_recording_twice_changes_nothing(issued):
    book, sheets = issued
    entry = {
        "path": "a.json",
        "digest": "d1",
        "token": sheets[0].token,
        "state": MARKED,
    }
    for _ in range(2):
        book.record([HandIn(**entry, marks=[_mark()]), HandIn(**entry, marks=[_mark()])])
    assert len(book.handins()) == 1
    assert len(book.marks(1)) == 1
    assert book.record([HandIn(**{**entry, "digest": "d2"})])[0].id == 2


def test_text_that_no_file_can_hold_is_recorded_all_the_same(book):
    book.record([HandIn("bad\udcff.json", "d", state=UNREADABLE, reason="a\ud800b")])
    assert book.handins()[0].path == "bad\\udcff.json"


def test_a_mark_is_overruled_by_a_new_one_and_stays_in_the_history(issued):
    book, sheets = issued
    book.record(
        [
            HandIn(
                "a",
                "d",
                token=sheets[0].token,
                state=MARKED,
                marks=[_mark(awarded=1.0)],
            )
        ]
    )
    old = book.marks(1)[0]
    _said(lambda: book.decide("marks", by="", reason="r", mark=old.id), "name")
    _said(lambda: book.decide("marks", by="A. Assessor", reason=" ", mark=old.id), "empty")
    _said(lambda: book.decide("marks", by="A", reason="r"), "about nothing")
    _said(
        lambda: book.decide("marks", by="A", reason="r", mark=old.id, detail={"awarded": 4}),
        "out of range",
        "0 to 3",
    )
    assert book.decisions() == []
    book.decide(
        "marks",
        by="A. Assessor",
        reason="good working",
        mark=old.id,
        detail={"awarded": 2},
    )
    stands = book.marks(1)[0]
    assert (stands.awarded, stands.by, stands.supersedes) == (2, "A. Assessor", old.id)
    assert [m.awarded for m in book.marks(1, history=True)] == [1, 2]
    _said(
        lambda: book.decide("marks", by="A", reason="r", mark=old.id, detail={"awarded": 3}),
        "no longer stands",
    )
    assert book.results("first")[0].awarded == 2
    done = book.decisions(1)[0]
    assert (done.by, done.reason, done.what) == ("A. Assessor", "good working", "marks")


def test_the_first_hand_in_counts_until_an_assessor_decides_otherwise(issued):
    book, sheets = issued
    for n, awarded in enumerate((1.0, 3.0), 1):
        book.record(
            [
                HandIn(
                    f"f{n}",
                    f"d{n}",
                    token=sheets[0].token,
                    state=MARKED,
                    received_at=f"2030-01-0{n}T10:00:00+00:00",
                    marks=[_mark(awarded=awarded)],
                    flags={"repeated": {"of": 1}} if n == 2 else {},
                )
            ]
        )
    row = book.results("first")[0]
    assert (row.awarded, row.needs_a_look, len(row.others)) == (1, True, 1)
    book.decide("counts", by="A. Assessor", reason="the first was a draft", handin=2)
    row = book.results("first")[0]
    assert (row.awarded, row.needs_a_look, row.state) == (3, False, "settled")
    book.decide("set aside", by="A. Assessor", reason="not theirs", handin=2)
    assert book.results("first")[0].awarded == 1


def test_results_have_a_row_for_every_sheet_and_marks_by_outcome(issued):
    book, sheets = issued
    book.record([HandIn("a", "d", token=sheets[1].token, state=MARKED, marks=[_mark()])])
    rows = book.results("first")
    assert [(r.student.id, r.state, r.awarded, r.total) for r in rows] == [
        ("s1", "issued", 0, 3),
        ("s2", "marked", 3, 3),
    ]
    assert rows[1].outcomes == {"kitchen-law": (3, 3)}
    assert book.counts() == {"marked": 1}


def test_answer_keys_number_questions_parts_and_rows():
    table = {"name": "b", "kind": "table", "rows": [PART, PART]}
    keys = answer_boxes([QUESTION, {**QUESTION, "parts": [PART, table]}])
    assert [k.key for k in keys] == ["1a", "2a", "2b.1", "2b.2"]


# --- a person's data ----------------------------------------------------------------------------


def test_erasing_a_person_leaves_numbers_and_nothing_else(issued):
    book, sheets = issued
    book.record(
        [
            HandIn(
                "Ada Ample.json",
                "d",
                token=sheets[0].token,
                state=MARKED,
                answers={"1a": "secret text"},
                working={"1a": "my words"},
                marks=[_mark(awarded=2.0)],
            )
        ]
    )
    book.decide("note", by="A. Assessor", reason="Ada was ill", handin=1)
    held = book.export("s1")
    assert held["hand-ins"][0]["answers"] == {"1a": "secret text"}
    new = book.erase("s1", "A. Assessor", "asked on paper")
    book.close()
    raw = b"".join(p.read_bytes() for p in book.path.parent.iterdir())
    for word in (b"Ada", b"secret text", b"my words"):
        assert word not in raw, word
    row = book.results("first", new)[0]
    assert (row.awarded, row.student.name) == (2, "")
    assert book.record([HandIn("Ada Ample.json", "d")]) == []
    _said(lambda: book.export("s1"), "not in this book")
    _said(lambda: book.erase("s1", "A", "r"), "not in this book")


# --- the file ------------------------------------------------------------------------------------


def test_the_migrations_make_exactly_the_tables_that_the_book_uses(book):
    with book._engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, metadata) == []


def test_the_revisions_are_those_of_the_script_directory_in_one_line():
    script = ScriptDirectory(str(MIGRATIONS))
    assert [one.revision for one in script.walk_revisions()][::-1] == revisions()


def test_a_book_is_wal_and_keeps_its_references(book):
    with book._engine.connect() as connection:
        assert connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"
        assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar() == 1
    assert book.about == {"title": "Ours"}
    _said(lambda: book.record([HandIn("a", "d", token=new_token())]), "class.db")
    assert book.handins() == []


def test_a_book_that_is_there_is_not_made_again(book):
    _said(lambda: create(book.path), "is there already")
    with open_book(book.path) as again:
        assert len(again.students()) == 2


def test_a_missing_book_a_folder_and_a_file_that_is_no_database_are_told(tmp_path):
    _said(lambda: open_book(tmp_path / "none.db"), "is not there")
    _said(lambda: open_book(tmp_path), "is not a file")
    _said(lambda: create(tmp_path / "no" / "class.db"), "no folder")
    text = tmp_path / "text.db"
    text.write_bytes(b"This is a letter, and no database at all. " * 50)
    _said(lambda: open_book(text), "is not a mark book")
    assert text.read_bytes().startswith(b"This is a letter")
    other = tmp_path / "other.db"
    with sqlite3.connect(other) as made:
        made.execute("CREATE TABLE notes (x)")
    made.close()
    _said(lambda: open_book(other), "not a mark book")
    empty = tmp_path / "empty.db"
    empty.touch()
    _said(lambda: open_book(empty), "not a mark book")


def test_a_book_of_a_newer_version_is_refused_and_left_as_it_is(book):
    book.close()
    with sqlite3.connect(book.path) as raw:
        raw.execute("UPDATE alembic_version SET version_num = '9999'")
    raw.close()
    before = book.path.read_bytes()
    _said(lambda: open_book(book.path), "newer Glossbook", "9999", "left as it is")
    assert book.path.read_bytes() == before


def test_a_read_only_book_can_be_read_and_not_written(issued):
    book, _ = issued
    book.close()
    with open_book(book.path, read_only=True) as looked:
        assert len(looked.results("first")) == 2
        _said(lambda: looked.record([HandIn("a", "d")]), "can't be written")
        _said(lambda: looked.enrol([Student("s9", "x")]), "can't be written")


def test_a_write_protected_file_is_opened_for_reading(issued, monkeypatch):
    book, _ = issued
    book.close()
    monkeypatch.setattr(os, "access", lambda path, how: False)
    with open_book(book.path) as looked:
        assert looked.read_only
        assert len(looked.students()) == 2


def test_a_full_disk_is_told_and_the_book_is_unharmed(issued):
    book, sheets = issued
    with book._engine.connect() as connection:
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar()

    @sa.event.listens_for(book._engine, "connect")
    def limit(raw, _):
        raw.execute(f"PRAGMA max_page_count={pages + 2}")

    book.close()
    many = [
        HandIn(f"f{n}", f"d{n}", token=sheets[0].token, state=MARKED, marks=[_mark()] * 12)
        for n in range(500)
    ]
    _said(lambda: book.record(many), "disk is full", "nothing in the book was changed")
    book.close()
    with open_book(book.path) as again:
        assert again.handins() == []
        assert len(again.results("first")) == 2
        with again._engine.connect() as connection:
            assert connection.exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"


def _write_many(path, name):
    with open_book(path) as book:
        for n in range(20):
            book.record([HandIn(f"{name} {n}", f"{name}{n}"), HandIn(f"both {n}", f"both{n}")])


def test_two_who_write_at_once_lose_nothing_and_double_nothing(book):
    book.close()
    context = multiprocessing.get_context("spawn")
    both = [context.Process(target=_write_many, args=(book.path, name)) for name in "ab"]
    for one in both:
        one.start()
    for one in both:
        one.join(60)
        assert one.exitcode == 0
    paths = [one.path for one in book.handins()]
    assert len(paths) == len(set(paths)) == 60
