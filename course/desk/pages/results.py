"""Results: letters and reports made, read here before they go, and the tables for an office."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

from flask import Blueprint, abort, render_template

from course.desk.app import desk, one_line
from course.desk.pages.kept import kept_file, zipped
from course.desk.pages.today import begun
from course.desk.work import Worker
from course.office import papers, settling

pages = Blueprint("results", __name__)


@pages.get("/results")
def whole() -> Any:
    """List what was written: letters by name, tables by what they are for."""
    reports = desk().place.reports
    files = [path.relative_to(reports).as_posix() for path in _written()]
    waiting, issued, people, grown = 0, [], {}, False
    if desk().place.book.exists():
        with desk().book(read_only=True) as book:
            waiting = book.waiting()
            issued = [one.name for one in book.papers() if one.state == "issued"]
            students = book.students()
            people = {
                one.token: (students[one.student].name or one.student, one.paper, one.sitting)
                for one in book.sheets(needs="head")
            }
            record = reports / "record.txt"
            grown = record.is_file() and book.head() not in record.read_text(encoding="utf-8")
    letters = [(name, people.get(_token(name))) for name in files if name.startswith(LETTERS)]
    return render_template(
        "results.html",
        letters=sorted(letters, key=lambda one: (one[1] is None, one[1] or (), one[0])),
        others=[(name, _what(name)) for name in files if not name.startswith(LETTERS)],
        waiting=waiting,
        papers=issued,
        grown=grown,
    )


LETTERS = "letters/"
WHAT = {
    "-class-report.html": "the class report",
    "-final.csv": "one row for each student, with the mark that counts",
    "-marks.csv": "every mark, as plain text",
    "-marks.xlsx": "every mark, as a workbook",
    "-resit.csv": "who has not passed yet: a class list for another sitting",
}
ACROSS = {"results.csv": "one row across papers", "results.xlsx": "the same as a workbook"}


def _written() -> list[Path]:
    """Return what reports wrote, without the sheets for second marks."""
    return [
        path
        for path in sorted(desk().place.reports.rglob("*"))
        if path.is_file()
        and path.suffix in (".html", ".csv", ".xlsx", ".zip")
        and path.parent.name != "second"
    ]


def _token(name: str) -> str:
    return Path(name).stem.rpartition("_")[2]


def _what(name: str) -> str:
    """Return what a table is for."""
    ending = next((said for end, said in WHAT.items() if name.endswith(end)), "")
    return ACROSS.get(name, ending)


@pages.get("/results/take/<what>")
def take(what: str) -> Any:
    """Give all letters, or all reports and tables, as one file."""
    if what not in ("letters", "tables"):
        abort(404)
    files = [(path, path.relative_to(desk().place.reports)) for path in _written()]
    letters = what == "letters"
    return zipped(
        f"{what}.zip", (one for one in files if one[1].as_posix().startswith(LETTERS) == letters)
    )


@pages.post("/results/make")
def make() -> Any:
    """Write letters, class reports and tables anew."""
    out, opened = desk().place.reports, desk().book
    signed = one_line("signed")

    def do(worker: Worker) -> Iterable[str]:
        with opened() as book:
            worker.progress(0, 1)
            return papers.report(book, out, None, signed=signed)

    return begun("Writing letters, reports and tables", "/results", do)


@pages.get("/results/kept/<path:name>")
def kept(name: str) -> Any:
    """Give one of them as it is."""
    return kept_file(desk().place.reports, name)


@pages.get("/results/record")
def record() -> Any:
    """Say whether the record was changed from outside."""
    with desk().book(read_only=True) as book:
        lines, _ = settling.verify(book, "")
    return render_template("said.html", title="The record", lines=lines, back="/results")
