"""The dry runs of a scheme, as the mark book keeps them: what is done, and what rows ask."""

from __future__ import annotations

from typing import Any

from course.dry_run.keeping import kitchen_for
from course.making.blocks import setting_of
from course.scheme.model import Scheme
from course.scheme.observing import observed_content
from exercises.book.book import Book
from exercises.observing.rows import pan_may_lack


def set_runs(scheme: Scheme) -> list[dict[str, Any]]:
    """Return what the book holds of each run that a scheme sets, as plain data."""
    if not scheme.dry_runs:
        return []
    setting, watched = setting_of(scheme), observed_content(scheme)
    asks = {key: watched[key] for key in ("rows", "window", "last word", "school")}
    asks["cover"] = scheme.practical.limits.cover.m_as("cm")
    asks["pan"] = pan_may_lack(scheme.as_kitchen()).m_as("g")
    return [
        {
            **{key: value for key, value in run.items() if key != "formula"},
            "kitchen": kitchen_for(run, setting["kitchen"]),
            **asks,
        }
        for run in setting["dry runs"]
    ]


def know_dry_runs(book: Book, scheme: Scheme) -> None:
    """Let a mark book know the runs of a scheme, so that their logs can be taken in."""
    book.set_dry_runs(set_runs(scheme))
