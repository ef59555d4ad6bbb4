"""How fast the desk answers: python -m tests.benchmarks.bench_desk [students] [hand-ins].

Milliseconds for each page over a book with 1,000 students and 10,000 hand-ins, and how
much memory they took.  Asked for: 200 ms a page, below 300 MB.
"""

import sys
import tempfile
from pathlib import Path

from course.demo import FOLDER
from course.desk.app import application
from course.desk.place import Place
from exercises.marking.run import mark_folder
from tests.benchmarks.measuring import Targets, measured, own_process, peak
from tests.exercises.pile_of_ours import answer_file, issue, right_answers

MILLISECONDS, MEGABYTES = 200.0, 300.0
HOST = "127.0.0.1:4100"
PAGES = (
    "/",
    "/scheme",
    "/scheme/labels",
    "/scheme/pictures",
    "/papers",
    "/papers/first",
    "/papers/first/questions",
    "/papers/class-list",
    "/pile",
    "/matters",
    "/matters/{m}",
    "/results",
)


def fill(where, students, handins):
    """Make a book with so many students and hand-ins, every fifth with an unread answer."""
    book, sheets = issue(where / "class.db", [f"Person {n}" for n in range(students)])
    pile = where / "pile"
    pile.mkdir()
    for turn in range(handins // students):
        for n, sheet in enumerate(sheets):
            answers = right_answers(sheet)
            first = next(iter(answers))
            answers[first] = "between two and three" if n % 5 == 0 else f"{turn + 2} g"
            name = f"{sheet.token}-{turn}.handin.json"
            (pile / name).write_bytes(answer_file(sheet.token, answers))
    mark_folder(pile, book, received_at="2030-02-20")
    book.close()


def pages_of(where):
    """Print how long each page takes, and return the slowest and the memory."""
    scheme = (FOLDER / "scheme.toml").read_text(encoding="utf-8")
    (where / "scheme.toml").write_text(
        scheme.replace("[papers.syrups-and-gelatin]", "[papers.first]"), encoding="utf-8"
    )
    app = application(Place(where), (HOST,))
    client = app.test_client()
    client.get(f"/?key={app.extensions['guard'].key}", headers={"Host": HOST})
    with app.app_context(), app.extensions["desk"].book(read_only=True) as book:
        some = book.matters(waiting=True)[0].id
    slowest = 0.0
    for page in PAGES:
        address = page.format(m=some)
        for _ in range(2):  # the first loads templates and modules
            answer, took, worked = measured(
                lambda to=address: client.get(to, headers={"Host": HOST})
            )
        assert answer.status_code in (200, 400), address
        print(f"{address:20} {1000 * took:7.0f} ms on the clock, {1000 * worked:7.0f} ms of work")
        slowest = max(slowest, 1000 * worked)
    return slowest, peak()


def main(students=1000, handins=10_000):
    """Measure the pages; return 1 where a target was missed."""
    tell = Targets()
    with tempfile.TemporaryDirectory() as root:
        where = Path(root)
        fill(where, int(students), int(handins))
        slowest, most = own_pages(where)
    tell("slowest page, milliseconds of work", slowest, MILLISECONDS)
    tell("ratio of that to the time allowed", slowest / MILLISECONDS, 1.0)
    tell("peak of memory in MB", most, MEGABYTES)
    return tell.end()


def own_pages(where):
    """Ask for the pages in a process of its own, so that making the book is not counted."""
    import json
    import subprocess

    said = subprocess.check_output(**own_process("bench_desk", "--pages", where), text=True)
    *lines, last = said.splitlines()
    print("\n".join(lines))
    return json.loads(last)


if __name__ == "__main__":
    if sys.argv[1:2] == ["--pages"]:
        print(list(pages_of(Path(sys.argv[2]))))
        sys.exit(0)
    sys.exit(main(*sys.argv[1:]))
