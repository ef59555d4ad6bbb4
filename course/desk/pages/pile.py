"""The pile: files dropped here are kept as they came, read and marked; what came is told."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from pathlib import Path
from typing import Any

from flask import Blueprint, render_template, request
from werkzeug.datastructures import FileStorage

from calculators.faults import fault_error, visible
from course.desk.app import desk, one_line
from course.desk.pages.today import begun
from course.desk.place import file_name, free
from course.desk.work import Worker
from course.office.papers import mark_pile, new_states, questions_for
from exercises.book.records import must_name
from exercises.marking import run
from exercises.questions.answer_boxes import answer_boxes

pages = Blueprint("pile", __name__)
SHOWN = 100  # hand-ins of which the page tells, the newest
MOST_FILES = 2000  # that are dropped at once


@pages.get("/pile")
def whole() -> Any:
    """Say what came, and for whom nothing did."""
    came: list[dict[str, Any]] = []
    missing: list[tuple[str, str, str]] = []
    count = 0
    if desk().place.book.exists():
        with desk().book(read_only=True) as book:
            people = book.students()
            count, held = book.came_in()
            sheets = {one.token: one for one in book.sheets(needs="head")}
            for one in book.handins(newest=SHOWN):
                sheet = sheets.get(one.token or "")
                came.append(
                    {
                        "id": one.id,
                        "who": people[sheet.student].name or sheet.student if sheet else "",
                        "file": visible(one.path.rpartition("/")[2]),
                        "state": one.state,
                        "reason": visible(one.reason),
                        "receipt": book.receipt(one.id),
                    }
                )
            missing = [
                (people[one.student].name or one.student, one.paper, one.token)
                for one in sheets.values()
                if one.token not in held
            ]
    return render_template("pile.html", came=came, count=count, missing=missing)


# --- a sheet on paper -----------------------------------------------------------------------


@pages.get("/pile/on-paper")
def on_paper() -> Any:
    """Show the boxes of a sheet, to key in what stands on its paper."""
    token = request.args.get("sheet", "").strip()
    if not token:
        raise fault_error("The sheet", "is not named", "", "It stands on each page", "Type it")
    with desk().book(read_only=True) as book:
        sheet = book.sheet(token)
        who = book.students()[sheet.student]
    boxes = answer_boxes(sheet.questions)
    return render_template("on_paper.html", sheet=sheet, who=who, boxes=boxes)


@pages.post("/pile/on-paper")
def key_in() -> Any:
    """Record and mark what was keyed in from paper."""
    form = request.form
    by = one_line("by")
    must_name(by)
    scheme = desk().scheme()
    questions_for(scheme)
    typed = {
        what: {
            key.partition(":")[2]: text.strip()
            for key, text in form.items()
            if key.startswith(f"{what}:") and text.strip()
        }
        for what in ("answer", "working")
    }
    if not typed["answer"]:
        raise fault_error("No answer", "was keyed in", "", "", "Type what stands on the paper")
    with desk().book() as book:
        done = run.key_in(
            book,
            form.get("sheet", ""),
            typed["answer"],
            by,
            working=typed["working"],
            received_at=form.get("received", "").strip() or None,
        )
        marks, receipt = book.marks(done.id), book.receipt(done.id)
    desk().name = by
    got, total = sum(mark.awarded for mark in marks), sum(mark.total for mark in marks)
    lines = [f"Recorded as hand-in {done.id}: {got:g} of {total:g} marks. Receipt {receipt}."]
    if done.needs_a_look:
        lines.append("Something in it needs a look: it is among the matters.")
    return render_template("said.html", title="Keyed in", lines=lines, back="/pile")


def keep(files: Iterable[FileStorage], where: Path) -> Path:
    """Keep files that were dropped, as they came, in a folder of their own.

    Parameters
    ----------
    files : iterable of FileStorage
        What the browser sent.
    where : Path
        The folder in which that folder is made.

    Raises
    ------
    FaultsError
        Where there is none, or there are too many at once.
    """
    sent = [one for one in files if one.filename]
    if not sent:
        raise fault_error("No file", "was chosen", "", "", "Drop files, or choose them")
    if len(sent) > MOST_FILES:
        raise fault_error(
            "The pile",
            "has too many files at once",
            str(len(sent)),
            f"At most {MOST_FILES}",
            "Put them into an archive, or send them in lots",
        )
    folder = free(where / datetime.now().strftime("%Y-%m-%d %H-%M-%S"))
    folder.mkdir(parents=True)
    for one in sent:
        one.save(free(folder / file_name(one.filename or "")))
    return folder


@pages.post("/pile")
def take_in() -> Any:
    """Keep what was dropped in a folder of its own, and mark it."""
    place = desk().place
    if not place.book.exists():
        raise fault_error(
            "The mark book", "is not there yet", "", "", "It is made when a paper is drafted"
        )
    by = one_line("by")
    received = request.form.get("received", "").strip()
    if received:
        must_name(by)
    scheme = desk().scheme()
    folder = keep(request.files.getlist("files"), place.hand_ins)

    def do(worker: Worker) -> Iterable[str]:
        questions_for(scheme)
        with desk_book() as book:
            done = mark_pile(book, folder, scheme, worker.progress, received or None, by)
            receipts = [
                f"{token}: receipt {number}" for token, _, number in book.receipts(done.pile)
            ]
        yield f"{done.met} {'file' if done.met == 1 else 'files'} read, {done.known} known before."
        yield from (*new_states(done), *receipts)
        for path, why in done.look:
            yield f"To be looked at: {visible(path)}: {visible(why)}"

    desk_book = desk().book
    return begun("Reading and marking what came in", "/matters", do)
