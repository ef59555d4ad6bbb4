"""How fast sheets are issued: 1,000 sheets of 12 questions in all forms.

Run with ``python tests/benchmarks/bench_issuing.py``; the target is 100 a second on
two cores, book and mark scheme included.
"""

from __future__ import annotations

import resource
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from calculators.units import q
from exercises.issue import PaperPlan, check, draft, issue_sheets
from exercises.markbook import Student, create
from exercises.question import LEVELS, bank

QUESTIONS = 12
TARGET = 100.0


def plan_of_twelve() -> PaperPlan:
    """Return a plan with twelve questions over the first three lessons."""
    lessons = ("how-strong", "boiling", "gelatin-grades")
    fitting = [one for one in bank().values() if one.lesson in lessons]
    held = Counter(one.level for one in fitting)
    levels = {"recall": 2, "carry out": 6, "decide": 4}
    assert all(levels[level] <= held[level] for level in LEVELS)
    assert sum(levels.values()) == QUESTIONS
    return PaperPlan(
        "bench", "Benchmark", sorted({one.outcome for one in fitting}), levels,
        opens_on="2027-03-01", hand_in_by="2027-03-08",
        kitchen={"altitude": q(35, "m")},
    )  # fmt: skip


def main(sheets: int = 1000) -> float:
    """Issue to an invented class, print the rate and return it."""
    plan, everything = plan_of_twelve(), bank()
    students = [Student(f"s{n:05d}", f"Student Number {n}") for n in range(sheets)]
    with tempfile.TemporaryDirectory() as folder:
        with create(Path(folder) / "class.db") as book:
            paper = check(draft(plan, everything, book), "B. Bench", book)
            start = time.perf_counter()
            done = issue_sheets(
                paper, everything, students, book, Path(folder) / "out", "B. Bench"
            )
            took = time.perf_counter() - start
            kept = len(book.sheets("bench"))
        files = sum(
            1 for path in Path(folder).rglob("*") if path.suffix in (".html", ".ipynb")
        )
    assert done.written == kept == sheets
    assert files == 3 * sheets + 1
    rate = sheets / took
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{sheets} sheets of {QUESTIONS} questions in three forms: {took:.1f} s")
    print(f"{rate:.0f} sheets a second (target {TARGET:.0f}); peak {peak:.0f} MB")
    return rate


if __name__ == "__main__":
    sys.exit(0 if main(*map(int, sys.argv[1:2])) >= TARGET else 1)
