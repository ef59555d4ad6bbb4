"""Making the course: both editions, seen here, or taken along as one file."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

from flask import Blueprint, redirect, render_template, request

from calculators.faults import fault_error
from course.desk.app import desk
from course.desk.pages.kept import zipped
from course.desk.pages.today import begun
from course.desk.work import Worker, glossbook

pages = Blueprint("course", __name__)
EDITIONS = {"student": "for students", "lecturer": "with the lecturer's notes"}


def _site(edition: str) -> Path:
    if edition not in EDITIONS:
        raise fault_error("edition", "is not known", edition, ", ".join(EDITIONS), "Choose one")
    return desk().place.lecturer_site if edition == "lecturer" else desk().place.site


@pages.get("/course")
def whole() -> Any:
    """Show what is made, and what can be made."""
    made = {key: (_site(key) / "index.html").is_file() for key in EDITIONS}
    return render_template("course.html", editions=EDITIONS, made=made)


@pages.post("/course/make")
def make() -> Any:
    """Make the course in one edition."""
    edition = request.form.get("edition", "student")
    out, scheme = _site(edition), desk().place.scheme

    def do(worker: Worker) -> Iterable[str]:
        glossbook(worker, "course", str(scheme), "--out", str(out), "--edition", edition)
        return ()

    return begun(f"Making the course {EDITIONS[edition]}", "/course", do)


@pages.get("/course/see/<edition>")
def see(edition: str) -> Any:
    """Go to the course, which is shown at an address of its own."""
    return redirect(desk().address_of(_site(edition)))


@pages.get("/course/take/<edition>")
def take(edition: str) -> Any:
    """Give the course as one file, for a stick or a platform."""
    site = _site(edition)
    if not (site / "index.html").is_file():
        raise fault_error("The course", "is not made yet", "", "", "Make it first")
    files = (path for path in sorted(site.rglob("*")) if path.is_file() and not path.is_symlink())
    return zipped("course.zip", ((path, "course" / path.relative_to(site)) for path in files))
