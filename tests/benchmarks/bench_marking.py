"""How fast a pile is marked, and how much memory that takes.

    python tests/benchmarks/bench_marking.py [count] [file|notebook|memory ...]

Sheets of the bank with twelve parts or a few more; the marking runs in a process of
its own, so that its memory is its own.
"""

import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "exercises"))

import nbformat
from nbclient import NotebookClient
from pile_of_ours import CARDS, answer_file, right_answers

from calculators.faults import FaultsError
from exercises.markbook import NewSheet, Student, create, open_book
from exercises.pile import mark_folder
from exercises.question import bank, build
from exercises.worksheet import Sheet, notebook

PARTS = 12
KINDS_OF_NUMBERS = 100


def _questions(seed):
    """Return questions of the bank with twelve parts or a few more."""
    chosen, parts = [], 0
    for card in [*bank().values(), *CARDS, *CARDS, *CARDS]:
        try:
            built = build(card, seed)
        except FaultsError:  # asks about a kitchen, which the benchmark has not
            continue
        chosen.append(built)
        parts += len(built["parts"])
        if parts >= PARTS:
            return chosen
    return chosen


def _issue(path, count):
    drawn = [_questions(f"seed {n}") for n in range(min(count, KINDS_OF_NUMBERS))]
    book = create(path)
    book.enrol([Student(f"s{n}", f"Person {n}") for n in range(count)])
    book.draft_paper("bench", {})
    book.check_paper("bench", "M. Checker")
    return book, book.issue_paper(
        "bench",
        (NewSheet(f"s{n}", "", drawn[n % len(drawn)]) for n in range(count)),
        "L. Lecturer",
    )


def _pile(folder, sheets, form):
    for n, sheet in enumerate(sheets):
        answers = right_answers(sheet)
        for key in list(answers)[n % 5 :: 5]:
            answers[key] = _another(answers[key])
        working = {next(iter(answers)): f"Worked by person {n}."}
        if form == "file":
            path = folder / f"{sheet.token}.handin.json"
            path.write_bytes(answer_file(sheet.token, answers, working))
            continue
        thing = json.loads(
            notebook(Sheet(sheet.token, f"Person {n}", "Bench", sheet.questions))
        )
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


def _parsed(folder):
    start = time.process_time()
    for path in sorted(folder.iterdir()):
        json.loads(path.read_bytes())
    return time.process_time() - start


def _ran(paths):
    """Return the seconds that one notebook takes to run, kernel and all."""
    start = time.perf_counter()
    for path in paths:
        NotebookClient(nbformat.read(path, 4)).execute()
    return (time.perf_counter() - start) / len(paths)


def _peak():
    """Return this program's peak of memory in MB; what started it does not count."""
    status = Path("/proc/self/status")
    if status.exists():
        return int(status.read_text().split("VmHWM:")[1].split()[0]) / 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def _mark(book, folder):
    """Mark in this process; print seconds and peaks of memory as JSON."""
    start, before = time.perf_counter(), time.process_time()
    with open_book(book) as opened:
        summary = mark_folder(folder, opened)
    took = time.perf_counter() - start
    used = [
        resource.getrusage(who)
        for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    ]
    busy = sum(each.ru_utime + each.ru_stime for each in used) - before
    peaks = [_peak(), used[1].ru_maxrss / 1024]
    print(json.dumps([took, busy, summary.new, dict(summary.states), peaks]))


def bench(count, form):
    """Make a pile, mark it, and print what it took."""
    with tempfile.TemporaryDirectory() as root:
        where = Path(root)
        folder = where / "pile"
        folder.mkdir()
        book, sheets = _issue(where / "class.db", count)
        book.close()
        parts = sum(len(each["parts"]) for each in sheets[0].questions)
        _pile(folder, sheets, form)
        plain = min(_parsed(folder) for _ in range(3))
        size = sum(path.stat().st_size for path in folder.iterdir()) / count / 1000
        here = [sys.executable, __file__, "--mark", where / "class.db", folder]
        took, busy, _, states, peaks = json.loads(subprocess.check_output(here))
        assert states == {"marked": count}, states
        again, _, none, *_ = json.loads(subprocess.check_output(here))
        assert none == 0
        if form == "notebook":
            each = _ran(sorted(folder.iterdir())[:3])
            print(
                f"running one in nbclient: {each:.2f} s, {each * count / took:.0f} times "
                "what marking takes"
            )
        cores = os.cpu_count() or 1
        print(
            f"{count} x {form}, {parts} parts, {size:.1f} kB each, {cores} cores: "
            f"{took:.2f} s, {count / took:.0f} a second, {took / plain:.1f} times reading "
            f"and parsing ({plain:.2f} s); the cores worked {busy:.2f} s together, so on "
            f"{cores} idle ones {count * cores / busy:.0f} a second and "
            f"{busy / cores / plain:.1f} times; run again {again:.2f} s; peak of memory "
            f"{peaks[0]:.0f} MB, largest worker {peaks[1]:.0f} MB"
        )


if __name__ == "__main__":
    if sys.argv[1:2] == ["--mark"]:
        _mark(*sys.argv[2:])
    else:
        count = int(sys.argv[1]) if len(sys.argv) > 1 else 5000
        for form in sys.argv[2:] or ("file", "notebook"):
            bench(count, form)
