"""An invented class at the bench, and what observers of it save."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from calculators.units import q
from course.demo import FOLDER
from course.scheme.reading import read_scheme
from exercises.book.book import Book, create
from exercises.book.records import Student
from exercises.observing.rows import Limits
from exercises.observing.sheet import Rule, content_of

KITCHEN = read_scheme(FOLDER / "scheme.toml").as_kitchen()
BEGAN = datetime(2027, 3, 23, 9, 0, tzinfo=UTC)
CLASS = [Student(f"s{n:02d}", f"Student {n}") for n in range(1, 13)]


def content(**rule: Any) -> dict[str, Any]:
    return content_of(
        KITCHEN,
        Limits(hold=q(3, "h")),
        title="White chocolate mirror glaze",
        school="A school",
        rule=Rule(**rule),
    )


def book_with_sheets(path: Path, students=CLASS, **rule: Any) -> Book:
    book = create(path, {"keep_data": "400 d"})
    book.enrol(students)
    book.issue_observation_sheets([one.id for one in students], content(**rule), "M. Oswin")
    return book


def at(minutes: float) -> str:
    return (BEGAN + timedelta(minutes=minutes)).isoformat()


def seen(sheet, without=(), unseen=()) -> dict[str, Any]:
    """Return what an observer saves of one student: all seen, but for some rows."""
    rows = {
        row["id"]: {
            "answer": "not done" if row["id"] in without else "seen",
            "at": at(n),
        }
        for n, row in enumerate(sheet.content["rows"])
        if row["id"] not in unseen
    }
    return {
        "token": sheet.token,
        "rows": rows,
        "numbers": {},
        "log": [],
        "judgement": "sound",
        "remark": "",
        "second": "",
    }


def saved(folder: Path, observer: str, sheets: list[dict[str, Any]]) -> Path:
    path = folder / f"{observer.lower().replace(' ', '-')}.observed.json"
    held = {
        "glossbook": 1,
        "kind": "observed",
        "observer": observer,
        "saved": at(200),
        "sheets": sheets,
    }
    path.write_text(json.dumps(held), encoding="utf-8")
    return path
