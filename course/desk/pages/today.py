"""The first page: what is there, what waits, and what comes next; the work that runs."""

from __future__ import annotations

import shutil
from typing import Any

from flask import Blueprint, Response, redirect, render_template, request

from calculators.faults import FaultsError, fault_error
from course.demo import FOLDER as DEMO
from course.desk.app import desk
from course.desk.work import Worker

pages = Blueprint("today", __name__)


@pages.get("/")
def first() -> Any:
    """Say in sentences where the work stands."""
    place = desk().place
    if not place.scheme.exists():
        return render_template("begin.html")
    faults, scheme = [], None
    try:
        scheme = desk().scheme()
    except FaultsError as error:
        faults = [str(one) for one in error.faults]
    held: dict[str, Any] = {"papers": [], "waiting": 0, "came": 0}
    if place.book.exists():
        with desk().book(read_only=True) as book:
            held = {
                "papers": [
                    (one.name, one.state, len(book.sheets(one.name, needs="head")))
                    for one in book.papers()
                ],
                "waiting": book.waiting(),
                "came": book.came_in()[0],
            }
    return render_template(
        "today.html",
        scheme=scheme,
        faults=faults,
        held=held,
        site=(place.site / "index.html").exists(),
        letters=any(place.reports.glob("letters/*/*.html")),
    )


@pages.post("/begin")
def begin() -> Any:
    """Put an invented school into an empty folder, to try everything on."""
    place = desk().place
    if place.scheme.exists():
        raise fault_error(
            str(place.scheme), "is there already", "", "", "Go on with it, or open another folder"
        )
    shutil.copyfile(DEMO / "scheme.toml", place.scheme)
    if not place.class_list.exists():
        shutil.copyfile(DEMO / "class.csv", place.class_list)
    return redirect("/")


@pages.post("/name")
def name() -> Any:
    """Note who is at the desk: the name that stands under decisions."""
    desk().name = " ".join(request.form.get("name", "").split())[:120]
    back = request.form.get("back", "/")
    return redirect(back if back.startswith("/") and not back.startswith("//") else "/")


@pages.get("/under-way")
def work() -> Any:
    """Show the work that runs, or the last that ended."""
    return render_template("work.html", piece=desk().worker.piece)


@pages.post("/under-way/stop")
def stop() -> Any:
    """Stop the work that runs."""
    desk().worker.stop()
    return redirect("/under-way")


def begun(name: str, back: str, do: Any) -> Response:
    """Begin a piece of work, and go to the page on which it is seen."""
    worker: Worker = desk().worker
    worker.start(name, back, do)
    return redirect("/under-way")  # type: ignore[return-value]
