"""How fast a pile is marked: python tests/benchmarks/bench_marking.py [files].

Prints files a second, the ratio to reading and parsing the same files, and how much
memory the largest process took.
"""

import json
import os
import resource
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "exercises"))

from pile_of_ours import answer_file, issue, notebook_file, right_answers

from exercises.pile import mark_folder


def _memory():
    """Return the peak of this process and of its largest child, in MB."""
    return [
        round(resource.getrusage(who).ru_maxrss / 1024)
        for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    ]


def _parsed(folder):
    start = time.perf_counter()
    for path in sorted(folder.iterdir()):
        json.loads(path.read_bytes())
    return time.perf_counter() - start


def bench(count, form):
    with tempfile.TemporaryDirectory() as root:
        where = Path(root)
        # ten sheets of twelve and more parts would be copies of each other: one a file
        book, sheets = issue(
            where / "class.db", [f"Person {n}" for n in range(count)], repeat=3
        )
        folder = where / "pile"
        folder.mkdir()
        for n, sheet in enumerate(sheets):
            answers = right_answers(sheet)
            if n % 3 == 1:
                answers["1a"] = "3 g"
            if form == "notebook":
                data = notebook_file(sheet.token, answers, pad="A line of prose. " * 20)
                (folder / f"{n:06}.ipynb").write_bytes(data)
            else:
                (folder / f"{sheet.token}.handin.json").write_bytes(
                    answer_file(sheet.token, answers)
                )
        parts = len(answers)
        del sheets
        plain = min(_parsed(folder) for _ in range(3))
        size = sum(path.stat().st_size for path in folder.iterdir()) / count / 1000
        start = time.perf_counter()
        with book:
            summary = mark_folder(folder, book)
        took = time.perf_counter() - start
        assert summary.states == {"marked": count}, summary
        start = time.perf_counter()
        with book:
            again = mark_folder(folder, book)
        assert again.known == count
        print(
            f"{count} x {form}, {parts} parts, {size:.1f} kB each: {took:.2f} s, "
            f"{count / took:.0f} a second, {took / plain:.1f} times reading and parsing "
            f"({plain:.2f} s); again {time.perf_counter() - start:.2f} s; "
            f"peak MB self, child {_memory()}; {os.cpu_count()} cores"
        )


if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 5000
    for form in sys.argv[2:] or ("file", "notebook"):
        bench(count, form)
