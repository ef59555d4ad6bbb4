"""A class with sheets and a run that was set, for the tests of logs that are handed in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from exercises.book.book import Book
from exercises.book.records import SheetRecord
from exercises.rehearsal.log import begin_set, written_log
from tests.exercises.pile_of_ours import issue
from tests.exercises.rehearsal.kitchens_of_rehearsal import careful, played
from tests.exercises.rehearsal.rows_of_rehearsal import MARBLED, asks

SET: dict[str, Any] = {
    **asks(),
    "name": "before-the-pour",
    "title": "Before the pour",
    "way": "with surprises",
    "seed": "spring",
    "surprises": ["frost"],
    "hand in by": "2030-03-01",
    "kitchen": MARBLED,
}


def class_with_a_run(path: Path) -> tuple[Book, list[SheetRecord]]:
    """Return a book with six students, a sheet for each, and a run that was set."""
    book, sheets = issue(path)
    assert book.set_dry_runs([SET]) == ["before-the-pour"]
    return book, sheets


def log_of(student: str, actions: Sequence[Mapping[str, Any]] | None = None, **other: Any) -> str:
    """Return the file of a run as this student saved it."""
    one = SET | other
    run = begin_set(one)
    done = played([dict(a) for a in (careful(run) if actions is None else actions)], run)
    return written_log(done.of(student))
