"""A mark book and its hand-ins made by the first version: today's code gives the same marks."""

import csv
import json
import shutil
import sqlite3
from pathlib import Path

import pytest

from exercises.book.book import open_book
from exercises.marking.run import key_in, mark_folder
from exercises.reports.class_report import write_reports

OLD = Path(__file__).parents[1] / "fixtures" / "old_book"
PAPER = "syrups-and-gelatin"


def _table(path):
    """Return the rows of a table of marks, by student, with the marks alone."""
    with path.open(encoding="utf-8-sig", newline="") as file:
        return {
            row["Student"]: {k: v for k, v in row.items() if k[:1].isdigit() or k == "Total"}
            for row in csv.DictReader(file)
        }


WANTED = _table(OLD / "marks.csv")


@pytest.fixture
def copied(tmp_path):
    path = tmp_path / "class.db"
    shutil.copy(OLD / "class.db", path)
    return path


def _marks(book):
    """Return the marks of each student in the words of the table."""
    return {
        row.student.id: {
            **{f"{part} (of {m.total:g})": f"{m.awarded:g}" for part, m in row.marks.items()},
            "Total": f"{row.awarded:g}" if row.marks else "",
        }
        for row in book.results(PAPER)
    }


def _without_blanks(table):
    return {who: {k: v for k, v in row.items() if v} for who, row in table.items()}


def test_an_old_book_opens_with_the_marks_that_it_had(copied):
    assert sum(len(row) > 1 for row in _without_blanks(WANTED).values()) == 11
    with open_book(copied) as book:
        assert _without_blanks(_marks(book)) == _without_blanks(WANTED)


def test_an_old_book_is_reported_with_the_marks_that_it_had(copied, tmp_path):
    with open_book(copied) as book:
        (made,) = write_reports(book, tmp_path / "reports")
    table = next(path for path in made.marks if path.suffix == ".csv")
    assert _table(table) == WANTED
    assert len(made.letters) == 12


def test_what_an_old_book_had_to_look_at_becomes_matters(copied):
    with open_book(copied) as book:
        found = {(one.handin, one.kind) for one in book.matters(waiting=True)}
    assert found == {
        (1, "unread file"),
        (2, "alike"),
        (5, "alike"),
        (11, "unread file"),
        (13, "late"),
        (13, "second hand-in"),
    }


def test_what_an_old_book_called_settled_is_closed_and_what_cant_be_read_never_counts(copied):
    with sqlite3.connect(copied) as raw:
        for handin in (1, 13):
            raw.execute("UPDATE handin SET state = 'settled' WHERE id = ?", (handin,))
            raw.execute(
                'INSERT INTO decision (handin, what, detail, "by", reason, at)'
                " VALUES (?, 'settled', '{}', 'A. Sessor', 'Seen', '2027-03-20')",
                (handin,),
            )
    raw.close()
    with open_book(copied) as book:
        assert {one.handin for one in book.matters(waiting=True)} == {2, 5, 11}
        assert [book.handin(n).state for n in (1, 13)] == ["can't be read", "settled"]
        closing = [one for one in book.decisions(13) if one.matter is not None]
        assert {(one.by, one.reason) for one in closing} == {("A. Sessor", "Seen")}
        assert _without_blanks(_marks(book)) == _without_blanks(WANTED)
        assert book.verify().faults == []


def test_old_hand_ins_are_marked_to_the_marks_that_they_had(copied):
    with sqlite3.connect(copied) as raw:
        (paper,) = raw.execute("SELECT answers FROM handin WHERE path LIKE 'on paper%'").fetchone()
        for table in ("mark", "decision", "handin"):
            raw.execute(f"DELETE FROM {table}")
    raw.close()
    answers = json.loads(paper)
    with open_book(copied) as book:
        assert book.handins() == []
        mark_folder(OLD / "hand-ins", book, received_at="2027-03-13 15:30", workers=1)
        key_in(book, "JPE9-T6EC-M9AM-HFJ4-QEJQ", answers, "Marit Oswin")
        now, then = _without_blanks(_marks(book)), _without_blanks(WANTED)
    # "How many leaves?" answered "9.5" is right without a unit; it lost a mark for it then.
    assert (then["BP-04"]["4a (of 3)"], then["BP-04"]["Total"]) == ("2", "15")
    then["BP-04"] |= {"4a (of 3)": "3", "Total": "16"}
    assert now == then
