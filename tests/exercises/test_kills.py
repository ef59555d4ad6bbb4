"""Killed while a person's work is written: decisions, a correction, second marks.

Nothing that was said to be done is lost, nothing is done twice, and who goes on from
where it stopped ends with the record of a run that nobody disturbed.
"""

import csv
import multiprocessing
import os
import random
import shutil
import signal
import time

import pytest

from exercises.book.book import open_book
from exercises.book.records import UNREAD_PART
from exercises.marking.corrections import REMARKED, Correction
from exercises.marking.matters import Proposal, confirm, preview
from exercises.marking.run import mark_folder
from exercises.reports.corrections import preview_remark, remark
from exercises.reports.second_marks import SECOND, read_second_marks
from tests.exercises.pile_of_ours import answer_file, issue, right_answers

BY = {"by": "A. Sessor", "reason": "Looked at it"}
FIX = Correction("ours-scale", tolerances={"a": "5 % of the answer"})
TABLES = 4


@pytest.fixture
def begun(tmp_path):
    """A marked book, and a folder of tables with second marks."""
    book, sheets = issue(tmp_path / "fresh.db")
    folder = tmp_path / "pile"
    folder.mkdir()
    pick = random.Random(3)
    for n, sheet in enumerate(sheets * 2):
        answers = right_answers(sheet)
        answers["1a"] = f"{1.03 * float(answers['1a'].split()[0]):.4g} g"  # the correction's
        for key in pick.sample(list(answers)[1:], 2):
            answers[key] = pick.choice(["3 or 4", "nonsense", "7 g"])
        (folder / f"{n:02}.json").write_bytes(answer_file(sheet.token, answers))
    with book:
        mark_folder(folder, book, received_at="2030-02-20 12:00", workers=1)
        rows = [
            {"sheet": row.sheet.token, "part": part, "marks possible": mark.total, "second mark": 1}
            for row in book.results("first")
            for part, mark in row.marks.items()
        ]
    tables = tmp_path / "tables"
    tables.mkdir()
    for n in range(TABLES):
        with (tables / f"{n}.csv").open("w", newline="") as file:
            writer = csv.DictWriter(file, rows[0])
            writer.writeheader()
            writer.writerows(rows[n::TABLES])
    return book.path, tables


def _work(book, tables):
    """Do what is left to do, one transaction at a time."""
    if not any(one.what == REMARKED for one in book.decisions()):
        remark(book, preview_remark(book, "first", FIX), by="L. Lecturer", reason="Too narrow")
        yield
    noted = sum(one.what == SECOND for one in book.decisions())
    for table in sorted(tables.iterdir()):
        noted -= len(table.read_text().splitlines()) - 1
        if noted < 0:  # else it is in the book already, whole
            read_second_marks(book, "first", table, "S. Econd")
            yield
    yield from _closed(book)
    for matter in book.matters()[::3]:
        if not any(one.undoes and one.matter == matter.id for one in book.decisions()):
            book.reopen(matter.id, **BY)
            yield
            yield from _closed(book)


def _closed(book):
    for matter in book.matters(waiting=True):
        part = {matter.part: 1.0} if matter.kind == UNREAD_PART else {}
        confirm(book, [preview(book, matter.id, Proposal(marks=part))], **BY)
        yield


def _at_work(path, tables, said):
    with open_book(path) as book, said.open("a") as out:
        for _ in _work(book, tables):
            print(len(book.decisions()), file=out, flush=True)


def _record(book):
    """Return decisions, marks and matters as they stand, without times."""
    decided = [
        (o.id, o.handin, o.mark, o.matter, o.what, o.detail, o.by, o.reason, o.told, o.undoes)
        for o in book.decisions()
    ]
    marks = [
        (m.id, m.part, m.awarded, m.verdict, m.by, m.supersedes, m.decision)
        for one in book.handins()
        for m in book.marks(one.id, history=True)
    ]
    return decided, marks, [(m.id, m.kind, m.part, m.closed_by) for m in book.matters()]


def _killed_at(begun, tmp_path, times):
    fresh, tables = begun
    path, said = tmp_path / "killed.db", tmp_path / "said.txt"
    shutil.copy(fresh, path)
    with open_book(path) as undisturbed:
        steps = sum(1 for _ in _work(undisturbed, tables))
        wanted = _record(undisturbed)
        assert undisturbed.waiting() == 0
    assert steps > 20
    context = multiprocessing.get_context("spawn")
    pick, stopped = random.Random(11), 0
    for n in range(times):
        for end in ("", "-wal", "-shm"):
            path.with_name(path.name + end).unlink(missing_ok=True)
        shutil.copy(fresh, path)
        said.write_text("")
        run = context.Process(target=_at_work, args=(path, tables, said))
        run.start()
        begun_at = time.monotonic()
        while run.is_alive() and time.monotonic() < begun_at + 60:
            if len(said.read_text().splitlines()) >= n * steps // times:
                break
            time.sleep(0.001)
        time.sleep(pick.random() * 0.02)
        if run.is_alive():
            stopped += 1
            os.kill(run.pid, signal.SIGKILL)
        run.join(60)
        done = said.read_text().splitlines()
        with open_book(path) as again:
            assert again.verify().faults == []
            held = again.decisions()
            assert len(held) >= int(done[-1] if done else 0)  # what was said is there
            assert _record(again)[0] == wanted[0][: len(held)]
            for _ in _work(again, tables):
                pass
            for one, other in zip(_record(again), wanted, strict=True):
                assert one == other
            assert again.verify().faults == []
    assert stopped > times / 2


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="kills as these systems do")
def test_killed_while_decisions_are_written_nothing_is_lost_or_done_twice(begun, tmp_path):
    _killed_at(begun, tmp_path, 3)


@pytest.mark.slow
def test_killed_at_twenty_five_moments_of_decisions_corrections_and_second_marks(begun, tmp_path):
    _killed_at(begun, tmp_path, 25)
