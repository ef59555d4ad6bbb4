"""How fast a class is told of: python -m tests.benchmarks.bench_reports [students].

Seconds for letters, class report, tables of marks and evidence packs of one paper of
12 questions, and how much memory they took.  Asked for: 1,000 students in 60 s.
"""

import sys
import tempfile
from pathlib import Path

from exercises.marking.run import mark_folder
from exercises.reports.class_report import write_class_report, write_reports
from exercises.reports.evidence import evidence_packs
from exercises.reports.letters import write_letters
from exercises.reports.marks_tables import marks_csv, marks_xlsx
from tests.benchmarks.measuring import Targets, measured, peak
from tests.exercises.pile_of_ours import answer_file, issue, right_answers

SECONDS_FOR_1000 = 60.0


def main(count=1000):
    """Tell of a class; return 1 where the target was missed."""
    count, tell = int(count), Targets()
    with tempfile.TemporaryDirectory() as root:
        where = Path(root)
        names = [f"Person {n}" for n in range(count)]
        book, sheets = issue(where / "class.db", names, repeat=3)
        folder = where / "pile"
        folder.mkdir()
        for n, sheet in enumerate(sheets):
            answers = right_answers(sheet)
            for key in list(answers)[n % 5 :: 5]:
                answers[key] = "3 g"
            (folder / f"{sheet.token}.handin.json").write_bytes(answer_file(sheet.token, answers))
        del sheets
        mark_folder(folder, book, received_at="2030-02-20")
        out = where / "out"
        steps = {
            "letters": lambda: write_letters(book, out),
            "class report": lambda: write_class_report(book, out, "first"),
            "CSV": lambda: marks_csv(book, "first", out / "m.csv"),
            "XLSX": lambda: marks_xlsx(book, "first", out / "m.xlsx"),
            "evidence packs": lambda: evidence_packs(book, out, "first"),
            "all reports at once": lambda: write_reports(book, out / "all"),
        }
        for name, step in steps.items():
            _, took, worked = measured(step)
            print(f"{name:20} {took:7.2f} s on the clock, {worked:7.2f} s of work")
        allowed = SECONDS_FOR_1000 * count / 1000
        name = f"all reports for {count} students, seconds"
        tell(f"{name}, on the clock", took, allowed, counts=False)
        tell(f"{name}, of work", worked, allowed)
        tell("ratio of that to the time allowed", worked / allowed, 1.0)
        size = sum(p.stat().st_size for p in (out / "first").iterdir()) / count / 1000
        book.close()
    print(f"{count} students, {size:.0f} kB a letter, {peak():.0f} MB at most")
    return tell.end()


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
