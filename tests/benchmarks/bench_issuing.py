"""How fast sheets are issued, and how much memory that takes.

    python -m tests.benchmarks.bench_issuing [sheets] [more sheets]

Sheets of 12 questions in all forms, book and mark scheme included; asked for are 100
a second on two cores.  A second, larger class shows how memory grows.
"""

import json
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path

from calculators.units import q
from exercises.book.book import create
from exercises.book.records import Student
from exercises.questions.registry import LEVELS, bank
from exercises.sheets.choice import PaperPlan
from exercises.sheets.drafting import check, draft
from exercises.sheets.issuing import issue_sheets
from tests.benchmarks.measuring import CORES, Targets, measured, own_process, peak

QUESTIONS = 12
SHEETS_A_SECOND, FLAT = 100.0, 1.3


def plan_of_twelve():
    """Return a plan with twelve questions over the first three lessons."""
    lessons = ("how-strong", "boiling", "gelatin-grades")
    fitting = [one for one in bank().values() if one.lesson in lessons]
    held = Counter(one.level for one in fitting)
    levels = {"recall": 2, "carry out": 6, "decide": 4}
    assert all(levels[level] <= held[level] for level in LEVELS)
    assert sum(levels.values()) == QUESTIONS
    return PaperPlan(
        "bench",
        "Benchmark",
        sorted({one.outcome for one in fitting}),
        levels,
        opens_on="2027-03-01",
        hand_in_by="2027-03-08",
        kitchen={"altitude": q(35, "m")},
    )


def issue(sheets):
    """Issue to an invented class; print seconds and peak of memory as JSON."""
    plan, everything = plan_of_twelve(), bank()
    students = [Student(f"s{n:05d}", f"Student Number {n}") for n in range(sheets)]
    with tempfile.TemporaryDirectory() as folder:
        with create(Path(folder) / "class.db") as book:
            paper = check(draft(plan, everything, book), "B. Bench", book)
            done, took, worked = measured(
                lambda: issue_sheets(
                    paper, everything, students, book, Path(folder) / "out", "B. Bench"
                )
            )
            most = peak()
            kept = len(book.sheets("bench", needs="head"))
        written = (path for path in Path(folder).rglob("*") if path.is_file())
        files = sum(path.suffix in (".html", ".ipynb") for path in written)
    assert done.written == kept == sheets
    assert files == 3 * sheets + 1
    print(json.dumps([took, worked, most]))


def main(sheets=1000, more=4000):
    """Issue to two classes; return 1 where a target was missed."""
    tell, most = Targets(), []
    for count in (int(sheets), int(more)):
        here = own_process("bench_issuing", "--issue", count)
        took, worked, peaked = json.loads(subprocess.check_output(**here))
        most.append(peaked)
        print(
            f"{count} sheets of {QUESTIONS} questions in three forms: {took:.1f} s on "
            f"the clock, {worked:.1f} s of work for {CORES} cores, {peaked:.0f} MB"
        )
        name = f"{count} sheets, sheets a second"
        tell(f"{name}, on the clock", count / took, SHEETS_A_SECOND, least=True, counts=False)
        tell(f"{name}, on idle cores", count * CORES / worked, SHEETS_A_SECOND, least=True)
    tell(f"ratio of memory, {more} to {sheets}", most[1] / most[0], FLAT)
    return tell.end()


if __name__ == "__main__":
    if sys.argv[1:2] == ["--issue"]:
        issue(int(sys.argv[2]))
    else:
        sys.exit(main(*sys.argv[1:]))
