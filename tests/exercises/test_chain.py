"""The chain of digests: whatever is changed from outside shows, and erasing does not."""

import shutil
import sqlite3
from pathlib import Path

import pytest

from exercises.book.book import open_book
from exercises.book.decisions import Closing
from exercises.book.records import HandIn
from exercises.book.schema import MARKED
from exercises.marking.rules import Verdict
from tests.exercises.pile_of_ours import issue
from tests.exercises.test_old_book import copied as copied


@pytest.fixture
def book(tmp_path):
    made, sheets = issue(tmp_path / "class.db")
    with made:
        for n, sheet in enumerate(sheets[:3]):
            verdict = Verdict("ours-scale", "1a", 1.0, 0.0, 1.0, 3.0, "near", "Near.")
            late = {"late": {"minutes": 5, "until": "", "clock": "given"}}
            made.record(
                [
                    HandIn(
                        f"{sheet.student} file.json",
                        f"d{n}",
                        token=sheet.token,
                        state=MARKED,
                        answers={"1a": f"my answer {n}"},
                        marks=[verdict],
                        flags=late if n < 2 else {},
                    )
                ]
            )
        matter = made.matters()[0]
        made.close_matters([Closing(matter.id)], by="A. Sessor", reason="st00001 was ill")
        mark = made.marks(2)[0]
        made.decide("marks", by="A. Sessor", reason="r", mark=mark.id, detail={"awarded": 2})
        yield made


def test_a_book_that_nobody_touched_verifies(book):
    found = book.verify()
    assert found.faults == []
    # six sheets, three hand-ins, two matters, two decisions
    assert found.entries == 6 + 3 + 2 + 2
    assert found.head == book.head() != ""


@pytest.mark.parametrize(
    ("statement", "where"),
    [
        ("UPDATE mark SET awarded = 3, value = 3 WHERE handin = 3", "hand-in 3 was changed"),
        ("UPDATE mark SET awarded = 3 WHERE decision IS NOT NULL", "decision 2 was changed"),
        ("UPDATE mark SET reason = 'x' WHERE handin = 3", "hand-in 3 was changed: reasons"),
        ("UPDATE handin SET answers = '{}' WHERE id = 1", "hand-in 1 was changed: answers"),
        ("UPDATE handin SET state = 'settled' WHERE id = 1", "hand-in 1 was changed"),
        ("UPDATE decision SET \"by\" = 'B' WHERE id = 1", "decision 1 was changed"),
        ("UPDATE decision SET reason = 'B' WHERE id = 1", "decision 1 was changed: reason"),
        ("DELETE FROM decision WHERE id = 1", "decision 1 is gone"),
        ("UPDATE matter SET part = '1a' WHERE id = 1", "matter 1 was changed"),
        ("UPDATE sheet SET questions = '[]' WHERE student = 'st00002'", "was changed"),
        ("UPDATE sheet SET student = 'st00006' WHERE student = 'st00005'", "student"),
        ("DELETE FROM chain WHERE id = 8", "added from outside"),
        (
            'INSERT INTO decision (what, detail, "by", reason, at, told)'
            " VALUES ('x', '{}', 'B', 'r', '', '')",
            "decision 3 was added from outside",
        ),
        (
            "INSERT INTO mark (handin, question, part, value, unit, awarded, total, verdict,"
            ' reason, road, "by", at, supersedes) SELECT handin, question, part, 3, 0, 3,'
            ' total, verdict, reason, road, "by", at, id FROM mark WHERE handin = 3',
            "hand-in 3 was changed",
        ),
    ],
)
def test_whatever_is_changed_from_outside_is_found_and_where(book, statement, where):
    book.close()
    with sqlite3.connect(book.path) as raw:
        if "st00005" in statement:
            raw.execute("DELETE FROM sheet WHERE student = 'st00006'")
        raw.execute(statement)
    raw.close()
    assert where in " ".join(book.verify().faults)


def test_an_erased_person_leaves_a_chain_that_verifies(book):
    before = book.head()
    with book._reading() as connection:
        sealed = connection.exec_driver_sql("SELECT salt FROM chain").scalars().all()
    book.erase("st00001", "A. Sessor", "asked on paper")
    found = book.verify(before)
    assert (found.faults, found.known) == ([], True)
    assert found.head != before
    book.close()
    raw = b"".join(path.read_bytes() for path in book.path.parent.glob("class.db*"))
    assert b"my answer 0" not in raw
    assert b"my answer 1" in raw
    # the salts by which the answers could be guessed from their digests are gone too
    assert sum(salt.encode() not in raw for salt in sealed) >= 3


def test_a_hand_in_with_the_number_of_the_decision_that_erased_it_is_sealed_again(tmp_path):
    made, sheets = issue(tmp_path / "class.db")
    with made as book:
        book.record([HandIn("a.json", "d", token=sheets[0].token, answers={"1a": "3 g"})])
        book.erase(sheets[0].student, "A. Sessor", "asked on paper")
        assert [one.id for one in book.decisions()] == [one.id for one in book.handins()] == [1]
        assert book.verify().faults == []


def test_a_head_that_was_exported_is_known_later_and_a_strange_one_is_not(book):
    head = book.head()
    mark = book.marks(3)[0]
    book.decide("marks", by="A. Sessor", reason="r", mark=mark.id, detail={"awarded": 0})
    assert book.verify(head[:12]).known is True
    assert book.verify("f" * 12).known is False
    assert book.verify().known is None


def test_the_end_of_a_chain_that_was_cut_off_is_found_by_its_exported_head(book):
    head = book.head()
    book.close()
    with sqlite3.connect(book.path) as raw:
        raw.execute("DELETE FROM mark WHERE decision = 2")
        raw.execute("DELETE FROM decision WHERE id = 2")
        raw.execute("DELETE FROM chain WHERE kind = 'decision' AND subject = '2'")
    raw.close()
    found = book.verify(head)
    assert (found.faults, found.known) == ([], False)


def test_an_old_book_is_sealed_as_it_is_found(copied):
    with open_book(copied) as book:
        found = book.verify()
    assert found.faults == []
    assert found.entries > 12 + 14


def test_a_book_that_an_earlier_version_sealed_verifies_with_the_head_that_it_had(tmp_path):
    """A column of a later version may stand among the personal fields, never the plain ones."""
    kept = Path(__file__).parents[1] / "fixtures" / "sealed_book" / "class.db"
    shutil.copy(kept, tmp_path / "class.db")
    with open_book(tmp_path / "class.db") as book:
        found = book.verify("132f53cb684d4cc5")
    assert (found.faults, found.known) == ([], True)
