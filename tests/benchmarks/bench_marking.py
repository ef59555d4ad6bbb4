"""How fast a pile is marked, and how much memory that takes.

    python -m tests.benchmarks.bench_marking [count] [notebook|file|memory ...]

Sheets of the bank with twelve parts or a few more, a fifth of the answers wrong.  The
marking runs in a process of its own, several times; the best run counts.
"""

import json
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import nbformat
from nbclient import NotebookClient

from calculators.faults import FaultsError
from exercises.book.book import create, open_book
from exercises.book.records import NewSheet, Student
from exercises.marking.run import mark_folder
from exercises.questions.building import build
from exercises.questions.parts import DrawnQuestion
from exercises.questions.registry import bank
from exercises.sheets.notebook import notebook
from exercises.sheets.sheet import Sheet
from tests.benchmarks.measuring import CORES, Targets, measured, own_process, peak
from tests.exercises.pile_of_ours import CARDS, answer_file, right_answers

PARTS = 12
KINDS_OF_NUMBERS = 100
AT_A_TIME = 500  # sheets issued together, so that this script stays small too
RUNS = 3
TIMES_PARSING, TIMES_FASTER, FILES_A_SECOND = 8.0, 1000.0, 2000.0
MOST_MB, FLAT, IN_PROPORTION = 300.0, 1.15, 1.3


# --- making a pile -----------------------------------------------------------------------


def _questions(seed):
    """Return questions of the bank with twelve parts or a few more."""
    chosen, parts = [], 0
    for card in [*bank().values(), *CARDS, *CARDS, *CARDS]:
        try:
            built = build(card, seed)
        except FaultsError:  # asks about a kitchen, which the benchmark has not
            continue
        chosen.append(built.to_json())
        parts += len(built.parts)
        if parts >= PARTS:
            return chosen
    return chosen


def make(where, count, form):
    """Make a book of so many students and the pile of what they hand in.

    Returns
    -------
    int
        How many parts a sheet has.
    """
    drawn = [_questions(f"seed {n}") for n in range(min(count, KINDS_OF_NUMBERS))]
    folder = where / "pile"
    folder.mkdir()
    with create(where / "class.db") as book:
        book.draft_paper("bench", {"questions": []})
        book.check_paper("bench", "M. Checker")
        for start in range(0, count, AT_A_TIME):
            some = range(start, min(count, start + AT_A_TIME))
            book.enrol([Student(f"s{n}", f"Person {n}") for n in some])
            new = (NewSheet(f"s{n}", "", drawn[n % len(drawn)]) for n in some)
            sheets = book.issue_paper("bench", new, "L. Lecturer")
            for n, sheet in zip(some, sheets, strict=True):
                _hand_in(folder, n, sheet, form)
    return sum(len(each["parts"]) for each in drawn[0])


def _hand_in(folder, n, sheet, form):
    answers = right_answers(sheet)
    for key in list(answers)[n % 5 :: 5]:
        answers[key] = _another(answers[key])
    working = {next(iter(answers)): f"Worked by person {n}."}
    if form == "file":
        path = folder / f"{sheet.token}.handin.json"
        path.write_bytes(answer_file(sheet.token, answers, working))
        return
    asked = [DrawnQuestion.from_json(one) for one in sheet.questions]
    thing = json.loads(notebook(Sheet(sheet.token, f"Person {n}", "Bench", asked)))
    for cell in thing["cells"]:
        about = cell["metadata"].get("glossbook", {})
        if about.get("part") in answers:
            text = json.dumps(answers[about["part"]], ensure_ascii=False)
            cell["source"] = f"answer = {text}"
        if about.get("working") in working:
            cell["source"] += working[about["working"]]
    (folder / f"{n:06}.ipynb").write_text(
        json.dumps(thing, indent=1, ensure_ascii=False), encoding="utf-8"
    )


def _another(answer):
    """Return a wrong answer of the kind of a right one."""
    if answer.isalpha():
        return "a" if answer != "a" else "b"
    if "," in answer:
        return ", ".join(reversed(answer.split(", ")))
    number, blank, unit = answer.partition(" ")
    return f"{1.3 * float(number):.5g}{blank}{unit}"


# --- measuring -----------------------------------------------------------------------------


def _parse(folder):
    for path in sorted(folder.iterdir()):
        json.loads(path.read_bytes())


def _ran(paths):
    """Return the seconds that one notebook takes to run, kernel and all."""
    start = time.perf_counter()
    for path in paths:
        NotebookClient(nbformat.read(path, 4)).execute()
    return (time.perf_counter() - start) / len(paths)


def mark(book, folder):
    """Mark in this process; print seconds and peak of memory as JSON."""
    with open_book(book) as opened:
        summary, took, worked = measured(lambda: mark_folder(folder, opened))
    print(json.dumps([took, worked, summary.new, dict(summary.states), peak()]))


def _marked(where, count):
    """Mark a copy of the book in a process of its own; return what that took."""
    book = where / "marked.db"
    for end in ("", "-wal", "-shm"):
        book.with_name(book.name + end).unlink(missing_ok=True)
    shutil.copy(where / "class.db", book)
    here = own_process("bench_marking", "--mark", book, where / "pile")
    took, worked, _, states, most = json.loads(subprocess.check_output(**here))
    assert states == {"marked": count}, states
    again = json.loads(subprocess.check_output(**here))
    assert again[2] == 0
    return took, worked, most


def speed(count, form, tell, runs=RUNS):
    """Make a pile, mark it, and tell what that took."""
    with tempfile.TemporaryDirectory() as root:
        where = Path(root)
        parts = make(where, count, form)
        folder = where / "pile"
        plain = min(measured(lambda: _parse(folder))[2] for _ in range(runs))
        marked = [_marked(where, count) for _ in range(runs)]
        took, worked = (min(each[n] for each in marked) for n in (0, 1))
        size = sum(path.stat().st_size for path in folder.iterdir()) / count / 1000
        print(
            f"{count} x {form}, {parts} parts, {size:.1f} kB each: read and parsed in "
            f"{plain:.2f} s of one core; marked in {took:.2f} s on the clock, "
            f"{worked:.2f} s of work for {CORES} cores"
        )
        idle = worked / CORES
        if form == "notebook":
            name = "ratio of marking to reading and parsing"
            tell(f"{name}, on the clock", took / plain, TIMES_PARSING, counts=False)
            tell(f"{name}, on idle cores", idle / plain, TIMES_PARSING)
            ran = _ran(sorted(folder.iterdir())[:runs]) * count
            name = "ratio of running to marking"
            tell(f"{name}, on the clock", ran / took, TIMES_FASTER, least=True, counts=False)
            tell(f"{name}, on idle cores", ran / idle, TIMES_FASTER, least=True)
        else:
            name = "answer files a second"
            tell(f"{name}, on the clock", count / took, FILES_A_SECOND, least=True, counts=False)
            tell(f"{name}, on idle cores", count / idle, FILES_A_SECOND, least=True)


def memory(few, many, tell):
    """Mark a small and a large pile; tell how memory and work grow."""
    most, work = [], []
    for count in (few, many):
        with tempfile.TemporaryDirectory() as root:
            make(Path(root), count, "file")
            _, worked, peaked = _marked(Path(root), count)
            most.append(peaked)
            work.append(worked / count)
    print(f"memory: {most[0]:.0f} MB for {few}, {most[1]:.0f} MB for {many}")
    tell("peak of memory in MB", max(most), MOST_MB)
    tell(f"ratio of memory, {many} to {few}", most[1] / most[0], FLAT)
    tell(f"ratio of work a hand-in, {many} to {few}", work[1] / work[0], IN_PROPORTION)


def main(count=5000, *forms, runs=RUNS, few=1000, many=20_000):
    """Run what is asked for; return 1 where a target was missed."""
    tell = Targets()
    for form in forms or ("notebook", "file", "memory"):
        if form == "memory":
            memory(few, many, tell)
        else:
            speed(int(count), form, tell, runs)
    return tell.end()


if __name__ == "__main__":
    if sys.argv[1:2] == ["--mark"]:
        mark(*sys.argv[2:])
    else:
        sys.exit(main(*sys.argv[1:]))
