"""Results: letters and reports made, read here before they go, and the tables for an office."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from flask import Blueprint, render_template, request

from course.desk.app import desk
from course.desk.pages.kept import kept_file
from course.desk.pages.today import begun
from course.desk.work import Worker
from course.office import papers, settling

pages = Blueprint("results", __name__)


@pages.get("/results")
def whole() -> Any:
    """List what was written, letters first."""
    reports = desk().place.reports
    files = [
        path.relative_to(reports).as_posix()
        for path in sorted(reports.rglob("*"))
        if path.is_file()
        and path.suffix in (".html", ".csv", ".xlsx", ".zip")
        and path.parent.name != "second"
    ]
    waiting, issued = 0, []
    if desk().place.book.exists():
        with desk().book(read_only=True) as book:
            waiting = book.waiting()
            issued = [one.name for one in book.papers() if one.state == "issued"]
    return render_template(
        "results.html",
        letters=[name for name in files if name.startswith("letters/")],
        others=[name for name in files if not name.startswith("letters/")],
        waiting=waiting,
        papers=issued,
    )


@pages.post("/results/make")
def make() -> Any:
    """Write letters, class reports and tables anew."""
    out, opened = desk().place.reports, desk().book
    signed = " ".join(request.form.get("signed", "").split())

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
