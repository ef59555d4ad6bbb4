"""The practical: its plan, and what was seen at the bench."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from flask import Blueprint, render_template, request

from calculators.faults import fault_error
from course.desk.app import desk, one_line
from course.desk.pages.kept import kept_file
from course.desk.pages.pile import keep
from course.desk.pages.today import begun
from course.desk.work import Worker, glossbook
from course.office import observing

pages = Blueprint("practical", __name__)
SHEETS = {
    "observation-sheets.html": "One sheet to print for each student",
    "observe.html": "The same for a tablet, without a network",
    "my-bench.html": "For a student alone, without marks",
}


@pages.get("/practical")
def whole() -> Any:
    """Show whether there is a plan."""
    place = desk().place
    sheets = [(name, words) for name, words in SHEETS.items() if (place.observing / name).is_file()]
    return render_template("practical.html", made=place.plan.is_file(), sheets=sheets)


@pages.post("/practical/make")
def make() -> Any:
    """Plan the practical."""
    place = desk().place

    def do(worker: Worker) -> Iterable[str]:
        glossbook(worker, "plan", str(place.scheme), "--out", str(place.plan))
        return ()

    return begun("Planning the practical", "/practical", do)


@pages.get("/practical/kept/<name>")
def kept(name: str) -> Any:
    """Give the plan or its calendar."""
    return kept_file(desk().place.folder, name if name.startswith("practical.") else "")


@pages.post("/practical/watch")
def watch() -> Any:
    """Issue observation sheets to the class."""
    place, by = desk().place, one_line("by")
    asked = observing.Asked(
        class_list=place.class_list if place.class_list.exists() else None,
        out=place.observing,
        by=by,
        sitting=2 if request.form.get("sitting") == "2" else 1,
    )
    scheme = desk().scheme()
    lines = observing.issue(scheme, place.book, asked)
    observing.alone(scheme, place.observing)
    return render_template(
        "said.html", title="Observation sheets", lines=lines[:-1], back="/practical"
    )


@pages.get("/practical/sheets/<name>")
def sheet(name: str) -> Any:
    """Give the sheets, or the page for a tablet: it runs on the tablet, not at the desk."""
    if name not in SHEETS:
        raise fault_error("The sheet", "is not known", name, ", ".join(SHEETS), "Go back")
    return kept_file(desk().place.observing, name, take_along=name != "observation-sheets.html")


@pages.post("/practical/seen")
def seen() -> Any:
    """Read what observers saved into the mark book."""
    place, by = desk().place, one_line("by")
    folder = keep(request.files.getlist("files"), place.observing / "came back")
    with desk().book() as book:
        lines, _ = observing.read_back(book, folder, by)
    return render_template("said.html", title="Seen at the bench", lines=lines, back="/practical")
