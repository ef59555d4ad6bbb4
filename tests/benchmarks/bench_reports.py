"""How fast a class is told of: python tests/benchmarks/bench_reports.py [students].

Prints seconds and students a second for letters, class report and tables of marks of
one paper of 12 questions, and how much memory it took.  Asked for: 1,000 in 60 s.
"""

import resource
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "exercises"))

from pile_of_ours import answer_file, issue, right_answers

from exercises.exports import evidence_packs, marks_csv, marks_xlsx
from exercises.letters import write_letters
from exercises.pile import mark_folder
from exercises.reports import write_class_report, write_reports


def bench(count):
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
            (folder / f"{sheet.token}.handin.json").write_bytes(
                answer_file(sheet.token, answers)
            )
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
            start = time.perf_counter()
            step()
            took = time.perf_counter() - start
            print(f"{name:20} {took:7.2f} s  {count / took:8.0f} students/s")
        size = sum(p.stat().st_size for p in (out / "first").iterdir()) / count / 1000
        book.close()
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{count} students, {size:.0f} kB a letter, {memory:.0f} MB at most")


if __name__ == "__main__":
    bench(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
