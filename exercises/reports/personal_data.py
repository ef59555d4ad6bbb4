"""Everything the book holds about one person, exported or erased."""

from __future__ import annotations

import re
from dataclasses import asdict, dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from calculators.faults import fault_error
from calculators.units import read
from exercises.book.book import Book
from exercises.book.records import must_name
from exercises.files.replacing import may_replace
from exercises.files.writing import make_folder, write
from exercises.marking.checks import naming
from exercises.questions.parts import DrawnQuestion
from exercises.reports.evidence import as_json
from exercises.reports.letters import solutions_opened
from exercises.sheets.names import folder_of
from exercises.sheets.sheet import Sheet, public

# --- for a person: everything about them, and its erasure ----------------------------------


def export_person(book: Book, student: str, path: str | Path) -> Path:
    """Write everything the book holds about a person as one JSON file.

    A sheet's questions are in it as the student sees them; answers, tolerances and
    solutions only where the paper's solutions are open.
    """
    path = may_replace(Path(path), "data", "--export")
    held = book.export(student)
    sheets = book.sheets_by_token([one["token"] for one in held["sheets"]])
    for one in held["sheets"]:
        sheet = sheets[one["token"]]
        opened = solutions_opened(book, sheet.paper) is not None
        drawn = [DrawnQuestion.from_json(question) for question in sheet.questions]
        shown = Sheet(sheet.token, held["student"]["name"], sheet.paper, drawn)
        one["questions"] = sheet.questions if opened else _as_seen(shown)
    make_folder(path.parent)
    write(path, as_json(held))
    return path


def _as_seen(shown: Sheet) -> list[dict[str, Any]]:
    """Return the questions of a sheet as its student sees them."""
    return [
        {**question, "parts": [asdict(part) for part in question["parts"]]}
        for question in public(shown)["questions"]
    ]


@dataclass(frozen=True)
class Erased:
    """What erasing a person did.

    Parameters
    ----------
    kept_as : str
        The id under which the marks are kept, only as numbers.
    deleted : list of Path
        Files about the person that were deleted.
    left : list of str
        What has to be done by hand.
    """

    kept_as: str
    deleted: list[Path]
    left: list[str]


def erase_person(
    book: Book, student: str, by: str, reason: str, *, reports: str | Path | None = None
) -> Erased:
    """Erase a person from the book, and their letters and packs from a folder.

    Parameters
    ----------
    book : Book
        The mark book; marks stay as numbers without a name.
    student : str
        The id.
    by, reason : str
        Who erases, and on whose wish.
    reports : str or Path, optional
        The folder of reports, in which files about this person are deleted.
    """
    must_name(by)
    person = book.students().get(student)
    if person is None:
        raise fault_error("student", "is not in this book", student, "", "Check the id")
    name = folder_of(person)
    kept_as = book.erase(student, by, reason, naming(book, student))
    deleted = []
    if reports is not None:
        ours = re.compile(re.escape(name) + r"(?:-\d+|_[\w-]+)?\.(?:html|zip|json)")
        for path in sorted(Path(reports).rglob(f"{name}*")):
            if path.is_file() and not path.is_symlink() and ours.fullmatch(path.name):
                path.unlink()
                deleted.append(path)
    return Erased(
        kept_as,
        deleted,
        [
            "Write the class report and the tables of marks again: earlier ones hold the name.",
            "Delete the sheet, the hand-ins and the copies of the mark book that lie elsewhere.",
        ],
    )


def kept_too_long(book: Book, keep: str, today: date | None = None) -> list[str]:
    """Return the ids of people whose data are older than the scheme says they are kept.

    Parameters
    ----------
    book : Book
        The mark book.
    keep : str
        How long, as the scheme says it, such as ``"400 d"``.
    today : date, optional
        By default the day of today.
    """
    days = read(keep, "day", "keep_data").to("day").magnitude
    oldest = (today or date.today()) - timedelta(days=float(days))
    last: dict[str, str] = {}
    issued = [(one.student, one.issued_at[:10]) for one in book.sheets()]
    issued += [(one.student, one.issued_at[:10]) for one in book.observation_sheets()]
    issued += [(one.student, one.recorded_at[:10]) for one in book.rehearsals()]
    for student, day in issued:
        last[student] = max(last.get(student, ""), day)
    people = book.students()
    return [
        name
        for name, when in last.items()
        if date.fromisoformat(when) < oldest and not people[name].erased_at
    ]
