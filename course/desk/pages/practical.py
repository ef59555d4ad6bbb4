"""The plan of the practical: made, looked at, printed."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from flask import Blueprint, render_template

from course.desk.app import desk
from course.desk.pages.kept import kept_file
from course.desk.pages.today import begun
from course.desk.work import Worker, glossbook

pages = Blueprint("practical", __name__)


@pages.get("/practical")
def whole() -> Any:
    """Show whether there is a plan."""
    return render_template("practical.html", made=desk().place.plan.is_file())


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
