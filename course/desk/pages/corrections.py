"""Corrections of a question after marking, and second marks: previewed, then confirmed."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from flask import Blueprint, render_template, request

from calculators.faults import fault_error
from course.desk.app import desk, one_line
from course.desk.pages.kept import kept_file
from course.desk.place import file_name
from course.office import papers
from course.office.papers import questions_for
from exercises.book.book import Book
from exercises.questions.answer_boxes import answer_boxes
from exercises.reports import corrections

pages = Blueprint("corrections", __name__)
LARGEST_TABLE = 8_000_000  # bytes


@pages.get("/results/corrections/<paper>")
def whole(paper: str) -> Any:
    """Show the questions of a paper, each with its parts, and the gaps of a correction."""
    with desk().book(read_only=True) as book:
        return render_template("corrections.html", paper=paper, questions=_questions(book, paper))


def _questions(book: Book, paper: str) -> dict[str, list[str]]:
    """Return the ids of a paper's questions, each with the names of its parts."""
    sheets = book.sheets(paper)
    found: dict[str, list[str]] = {}
    for sheet in sheets[:1]:
        for box in answer_boxes(sheet.questions):
            parts = found.setdefault(box.question.id, [])
            name = box.whole_key.lstrip("0123456789")
            if name not in parts:
                parts.append(name)
    return found


def _correction(form: Mapping[str, str]) -> corrections.Correction:
    question, how = form.get("question", ""), form.get("how", "")
    part, width = form.get("part", "").strip(), form.get("width", "").strip()
    if how == "tolerance":
        if not part or not width:
            raise fault_error(
                "The correction", "needs a part and a width", "", "", "Fill in both, as a and 2 g"
            )
        return corrections.Correction(question, {part: width}, (), False)
    if how == "everyone":
        if not part:
            raise fault_error("The part", "is missing", "", "", "Say which part, such as a")
        return corrections.Correction(question, {}, (part,), False)
    if how == "bank":
        return corrections.Correction(question, {}, (), True)
    raise fault_error("The correction", "is not chosen", how, "", "Choose one of the three")


@pages.post("/results/corrections/<paper>")
def correct(paper: str) -> Any:
    """Show who moves by a correction; do it where it was confirmed with a name."""
    form = request.form
    fix = _correction(form)
    questions_for(desk().scheme() if desk().place.scheme.exists() else None)
    with desk().book() as book:
        preview = corrections.preview_remark(book, paper, fix)
        if form.get("sure") != "yes":
            return render_template("correction.html", paper=paper, preview=preview, form=form)
        by = one_line("by")
        lower = form.getlist("lower")
        reason = form.get("reason", "").strip()
        new = corrections.remark(book, preview, by=by, reason=reason, lower=lower)
    lines = [*preview.sentences, f"{new} new marks; the old ones are kept in the history."]
    return render_template("said.html", title="Corrected", lines=lines, back="/results")


@pages.post("/results/second/<paper>")
def choose(paper: str) -> Any:
    """Choose sheets to be marked a second time, blind."""
    out = desk().place.reports / "second"
    with desk().book() as book:
        lines = papers.moderate(book, paper, out, 8, None, "")
    return render_template(
        "second.html",
        paper=paper,
        lines=lines[:1],
        files=sorted(path.name for path in out.iterdir() if path.is_file()),
    )


@pages.get("/results/second/kept/<name>")
def kept(name: str) -> Any:
    """Give the sheets or the table."""
    return kept_file(desk().place.reports / "second", name)


@pages.post("/results/second/<paper>/back")
def back(paper: str) -> Any:
    """Read a table of second or final marks, and say how far markers agree."""
    sent = request.files.get("table")
    by = one_line("by")
    if sent is None or not sent.filename:
        raise fault_error("The table", "was not chosen", "", "", "Choose the file first")
    with tempfile.TemporaryDirectory() as aside, desk().book() as book:
        path = Path(aside) / file_name(sent.filename)
        data = sent.read(LARGEST_TABLE + 1)
        if len(data) > LARGEST_TABLE:
            raise fault_error("The table", "is larger than 8 MB", "", "", "Send the table alone")
        path.write_bytes(data)
        final = request.form.get("which") == "final"
        out = desk().place.reports / "second"
        second, last = (None, path) if final else (path, None)
        lines = papers.moderate(book, paper, out, 8, second, by, last)
    title = "Final marks" if final else "Second marks"
    said = [line.partition(" Then: ")[0] for line in lines]
    return render_template("said.html", title=title, lines=said, back="/results")
