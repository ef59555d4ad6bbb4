"""Papers: what each would ask, its draft, the signature, the sheets, and who holds which."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path
from typing import Any

from flask import Blueprint, redirect, render_template, request, send_file

from calculators.faults import FaultsError, fault_error
from course.desk.app import desk
from course.desk.pages.kept import kept_file
from course.office import setting
from exercises.sheets.class_list import read_class

pages = Blueprint("papers", __name__)
LARGEST_LIST = 4_000_000  # bytes


@pages.get("/papers")
def whole() -> Any:
    """Show every paper of the scheme: blueprint, state, sheets."""
    scheme, place = desk().scheme(), desk().place
    asked: dict[str, list[str]] = {}
    faults: list[str] = []
    try:
        asked = setting.try_papers(scheme)
    except FaultsError as error:
        faults = [str(one) for one in error.faults]
    states: dict[str, tuple[str, int, str]] = {}
    if place.book.exists():
        with desk().book(read_only=True) as book:
            states = {
                one.name: (
                    one.state,
                    len(book.sheets(one.name, needs="head")),
                    one.checked_by or "",
                )
                for one in book.papers()
            }
    return render_template(
        "papers.html",
        scheme=scheme,
        blueprints=asked,
        faults=faults,
        states=states,
        has_list=place.class_list.exists(),
    )


@pages.post("/papers/class-list")
def class_list() -> Any:
    """Take a class list in, once it is read without a fault."""
    sent = request.files.get("list")
    if sent is None or not sent.filename:
        raise fault_error("The class list", "was not chosen", "", "", "Choose a file first")
    data = sent.read(LARGEST_LIST + 1)
    if len(data) > LARGEST_LIST:
        raise fault_error("The class list", "is larger than 4 MB", "", "", "Send the list alone")
    place = desk().place
    beside = place.folder / f".sent{Path(sent.filename).suffix[:8]}"
    try:
        beside.write_bytes(data)
        read_class(beside)
        beside.replace(place.class_list)
    finally:
        beside.unlink(missing_ok=True)
    return redirect("/papers")


@pages.post("/papers/<name>/draft")
def draft(name: str) -> Any:
    """Draft a paper, to be looked through."""
    place = desk().place
    setting.issue(desk().scheme(), name, _list(), place.book, place.sheets, None, 1)
    return redirect(f"/papers/{name}")


@pages.get("/papers/<name>")
def one(name: str) -> Any:
    """Show the draft to be checked, and who holds a sheet."""
    place = desk().place
    plan = desk().scheme().paper_plan(name)
    record, holders = None, []
    if place.book.exists():
        with desk().book(read_only=True) as book:
            record = next((one for one in book.papers() if one.name == name), None)
            people = book.students()
            holders = [
                (people[sheet.student], sheet.token, sheet.sitting, sheet.issued_at[:10])
                for sheet in book.sheets(name, needs="head")
            ]
    return render_template(
        "paper.html",
        plan=plan,
        name=name,
        record=record,
        holders=holders,
        drafts=[n for n in range(1, 10) if (place.sheets / setting.draft_name(name, n)).is_file()],
        has_list=place.class_list.exists(),
    )


@pages.get("/papers/<name>/to-check")
def to_check(name: str) -> Any:
    """Give the draft as it is."""
    sitting = request.args.get("sitting", "1")
    number = int(sitting) if sitting.isdecimal() else 1
    return kept_file(desk().place.sheets, setting.draft_name(name, number))


@pages.get("/papers/<name>/mark-scheme")
def scheme_of(name: str) -> Any:
    """Give the mark scheme."""
    return kept_file(desk().place.sheets, f"{name}-mark-scheme.html")


@pages.post("/papers/<name>/issue")
def issue(name: str) -> Any:
    """Issue the paper under the name of whoever looked through it."""
    place, form = desk().place, request.form
    by = " ".join(form.get("by", "").split())
    if not by:
        raise fault_error("Your name", "is missing", "", "", "Say who looked through the draft")
    desk().name = by
    sitting = form.get("sitting", "1")
    lines = setting.issue(
        desk().scheme(),
        name,
        _list(),
        place.book,
        place.sheets,
        by,
        int(sitting) if sitting.isdecimal() and 1 <= int(sitting) <= 9 else 1,
        (form.get("opens_on", "").strip(), form.get("hand_in_by", "").strip()),
    )
    return render_template("said.html", title="Issued", lines=lines, back=f"/papers/{name}")


def _list() -> Path | None:
    path = desk().place.class_list
    return path if path.exists() else None


@pages.get("/papers/<name>/print-run")
def print_run(name: str) -> Any:
    """Give every sheet of a paper as one file, a folder for each student."""
    place = desk().place
    with desk().book(read_only=True) as book:
        tokens = {sheet.token for sheet in book.sheets(name, needs="head")}
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as archive:
        for path in sorted(place.sheets.rglob("*")):
            if path.is_file() and any(token in path.name for token in tokens):
                archive.write(path, path.relative_to(place.sheets))
    held.seek(0)
    return send_file(held, "application/zip", as_attachment=True, download_name=f"{name}.zip")
