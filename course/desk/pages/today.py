"""The first page: what is there, what waits, and what comes next; the work that runs."""

from __future__ import annotations

import shutil
from collections.abc import Mapping
from typing import Any

from flask import Blueprint, Response, redirect, render_template, request

from calculators.faults import FaultsError, fault_error
from course.demo import FOLDER as DEMO
from course.desk.app import desk, one_line
from course.desk.guard import REFUSED
from course.desk.work import Worker
from course.scheme.wizard import questions, write
from exercises.files.writing import write as write_file

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
    _still_empty()
    shutil.copyfile(DEMO / "scheme.toml", place.scheme)
    if not place.class_list.exists():
        shutil.copyfile(DEMO / "class.csv", place.class_list)
    return redirect("/")


def _still_empty() -> None:
    place = desk().place
    if place.scheme.exists():
        raise fault_error(
            str(place.scheme), "is there already", "", "", "Go on with it, or open another folder"
        )


@pages.get("/begin/own")
def begin_own() -> Any:
    """Ask the dozen questions from whose answers a scheme of one's own is written."""
    _still_empty()
    return _asked({}, {})


def _asked(typed: Mapping[str, str], faults: Mapping[str, str]) -> str:
    return render_template("begin_own.html", asks=questions(), typed=typed, faults=faults)


@pages.post("/begin/own")
def begun_own() -> Any:
    """Write a scheme of one's own from the answers."""
    _still_empty()
    typed = {ask.key: request.form.get(ask.key, "").strip() for ask in questions()}
    faults: dict[str, str] = {}
    for ask in questions():
        try:
            ask.check(typed[ask.key] or ask.default)
        except FaultsError as error:
            faults[ask.key] = str(error.faults[0]).partition(": ")[2]
    if faults:
        return _asked(typed, faults), REFUSED
    write_file(desk().place.scheme, write(typed))
    return redirect("/scheme")


@pages.post("/name")
def name() -> Any:
    """Note who is at the desk: the name that stands under decisions."""
    desk().name = one_line("name")[:120]
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
