"""The demo's class at the bench: sheets issued, two observers played, what they saw read."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from course.office.observing import Asked, issue
from course.scheme.model import Scheme
from exercises.book.book import Book
from exercises.book.observations import ObservationSheet
from exercises.observing.reading import read_files

OBSERVERS = ("Marit Oswin", "Tove Haskett")
# Rows that a student missed, by the place in the class: one lifts the blade, one stops
# while pouring.  The second observer watches three, and sees one row otherwise.
_MISSED = {3: ["blade"], 7: ["one pour", "trim"]}
_OTHERWISE = {1: ["wiped"]}
_LOG = ((0, 4), (20, 36), (45, 35), (70, 33), (95, 33))


def watch(scheme: Scheme, class_file: Path, book: Book, out: Path) -> Path:
    """Issue the sheets, play two observers, and read their files; return the folder."""
    issue(scheme, book.path, Asked(class_list=class_file, out=out, by=OBSERVERS[0]))
    sheets = book.observation_sheets()
    for observer, watched in zip(OBSERVERS, (sheets, sheets[:3]), strict=True):
        missed = _MISSED if observer == OBSERVERS[0] else _OTHERWISE
        held = {
            "glossbook": 1,
            "kind": "observed",
            "observer": observer,
            "saved": _at(scheme, 180),
            "sheets": [
                _seen(scheme, one, missed.get(place, [])) for place, one in enumerate(watched)
            ],
        }
        name = observer.lower().replace(" ", "-")
        (out / f"{name}.observed.json").write_text(json.dumps(held, indent=1), encoding="utf-8")
    read_files(book, out, OBSERVERS[0])
    return out


def _seen(scheme: Scheme, sheet: ObservationSheet, missed: list[str]) -> dict[str, Any]:
    rows = [row["id"] for row in sheet.content["rows"]]
    return {
        "token": sheet.token,
        "rows": {
            row: {
                "answer": "not done" if row in missed else "seen",
                "at": _at(scheme, 8 * place),
            }
            for place, row in enumerate(rows)
        },
        "numbers": {"cake": "dome 7 cm", "before": "212", "after": "229", "temperature": "32.5"},
        "log": [{"at": _at(scheme, minutes), "temperature": heat} for minutes, heat in _LOG],
        "judgement": "just" if missed else "sound",
    }


def _at(scheme: Scheme, minutes: int) -> str:
    day = scheme.group.practical or datetime(2027, 3, 23).date()
    return (
        datetime(day.year, day.month, day.day, 9, tzinfo=UTC) + timedelta(minutes=minutes)
    ).isoformat()
