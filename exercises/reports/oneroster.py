"""Results for another system, in OneRoster 1.2."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from calculators.faults import Fault, refuse
from exercises.book.book import Book
from exercises.book.records import LATE, PaperRecord, Result
from exercises.book.schema import ISSUED, MARKED, RECEIVED, UNREADABLE
from exercises.files.writing import make_folder, write
from exercises.files.zipped import zipped
from exercises.reports.letters import slug
from exercises.reports.spreadsheets import safe_cell
from exercises.reports.standing import Standing, marks_said, standing
from exercises.sheets.names import first_and_last

# --- for another system: OneRoster 1.2 -------------------------------------------------

_USERS = [
    "sourcedId",
    "status",
    "dateLastModified",
    "enabledUser",
    "username",
    "userIds",
    "givenName",
    "familyName",
    "middleName",
    "identifier",
    "email",
    "sms",
    "phone",
    "agentSourcedIds",
    "grades",
    "password",
    "userMasterIdentifier",
    "preferredGivenName",
    "preferredMiddleName",
    "preferredFamilyName",
    "primaryOrgSourcedId",
    "pronouns",
]
_LINE_ITEMS = [
    "sourcedId",
    "status",
    "dateLastModified",
    "title",
    "description",
    "assignDate",
    "dueDate",
    "classSourcedId",
    "categorySourcedId",
    "academicSessionSourcedId",
    "resultValueMin",
    "resultValueMax",
    "schoolSourcedId",
]
_RESULTS = [
    "sourcedId",
    "status",
    "dateLastModified",
    "lineItemSourcedId",
    "studentSourcedId",
    "scoreStatus",
    "score",
    "scoreDate",
    "comment",
    "textScore",
    "classSourcedId",
    "inProgress",
    "incomplete",
    "late",
    "missing",
]
_FILES = (
    "academicSessions",
    "categories",
    "classes",
    "classResources",
    "courses",
    "courseResources",
    "demographics",
    "enrollments",
    "lineItemLearningObjectiveIds",
    "lineItems",
    "lineItemScoreScales",
    "orgs",
    "resources",
    "resultLearningObjectiveIds",
    "results",
    "resultScoreScales",
    "roles",
    "scoreScales",
    "userProfiles",
    "userResources",
    "users",
)


@dataclass(frozen=True)
class Roster:
    """What the other system calls the things that a result belongs to.

    Parameters
    ----------
    class_id : str
        The class, as that system knows it.
    school_id, category_id, session_id : str
        The school, the category of the work, and the term.
    """

    class_id: str
    school_id: str = ""
    category_id: str = ""
    session_id: str = ""


@dataclass(frozen=True)
class Exported:
    """What was written, and what should be said about it."""

    path: Path
    files: tuple[str, ...]
    notes: tuple[str, ...]


def oneroster(
    book: Book,
    out: str | Path,
    roster: Roster,
    *,
    papers: Iterable[str] | None = None,
    with_users: bool = False,
) -> Exported:
    """Write the results of papers as a OneRoster 1.2 set of CSV files.

    Parameters
    ----------
    book : Book
        The mark book; a student's id is taken as the *sourcedId*.
    out : str or Path
        A folder, or a file that ends in ``.zip``.
    roster : Roster
        What the other system calls class, school, category and term.
    papers : iterable of str, optional
        By default every issued paper.
    with_users : bool
        Whether to write ``users.csv`` too, for a system that does not know the class.

    Returns
    -------
    Exported
        Where it lies, its files, and notes.

    Raises
    ------
    FaultsError
        Where a text begins like a formula: an apostrophe before it would change it,
        and without one a spreadsheet would run it.

    Notes
    -----
    OneRoster 1.2 CSV binding, 1EdTech.  Names of the manifest's files are from memory.
    """
    chosen = [
        one
        for one in book.papers()
        if one.state == "issued" and (papers is None or one.name in set(papers))
    ]
    items, results, users, notes = [], [], {}, []
    for paper in chosen:
        rows = book.results(paper.name)
        issued = (paper.issued_at or paper.drafted_at)[:10]
        for sitting in sorted({row.sheet.sitting for row in rows}):
            line = _line_item(paper, rows, sitting, roster, issued)
            items.append(line)
            for row in (row for row in rows if row.sheet.sitting == sitting):
                if row.student.erased_at:
                    notes.append("Results of erased people are left out.")
                    continue
                stands = standing(row, paper)
                results.append(_result_row(row, stands, line["sourcedId"], roster, issued))
                users[row.student.id] = _user_row(row)
    files = {"lineItems": (_LINE_ITEMS, items), "results": (_RESULTS, results)}
    if with_users:
        files["users"] = (_USERS, list(users.values()))
        notes.append(
            "Given and family name were split at the comma or the last blank of each "
            "name: look through users.csv."
        )
    _refuse_formulas(files)
    if not roster.category_id or not roster.session_id:
        notes.append(
            "Category or term is blank; many systems ask for both: --category and --term, "
            "as the other system calls them."
        )
    texts = {f"{name}.csv": _rfc4180(*rows) for name, rows in files.items()}
    texts["manifest.csv"] = _rfc4180(
        ["propertyName", "value"],
        [
            {"propertyName": name, "value": value}
            for name, value in (
                ("manifest.version", "1.0"),
                ("oneroster.version", "1.2"),
                *((f"file.{n}", "bulk" if n in files else "absent") for n in _FILES),
                ("source.systemName", "Glossbook"),
                ("source.systemCode", "glossbook"),
            )
        ],
    )
    path = _put_set(Path(out), texts)
    return Exported(path, tuple(sorted(texts)), tuple(dict.fromkeys(notes)))


def _line_item(
    paper: PaperRecord, rows: Sequence[Result], sitting: int, roster: Roster, issued: str
) -> dict[str, str]:
    """Return a sitting of a paper as a piece of work that is marked."""
    ends = [row.sheet.hand_in_by[:10] for row in rows if row.sheet.hand_in_by]
    starts = [row.sheet.opens_on[:10] for row in rows if row.sheet.opens_on]
    item = f"paper-{slug(paper.name)}"
    return {
        "sourcedId": item if sitting == 1 else f"{item}-{sitting}",
        "title": paper.title if sitting == 1 else f"{paper.title}, sitting {sitting}",
        "assignDate": min(starts, default=issued),
        "dueDate": max(ends, default=issued),
        "classSourcedId": roster.class_id,
        "categorySourcedId": roster.category_id,
        "academicSessionSourcedId": roster.session_id,
        "resultValueMin": "0",
        "resultValueMax": marks_said(max(r.total for r in rows if r.sheet.sitting == sitting)),
        "schoolSourcedId": roster.school_id,
    }


def _result_row(
    row: Result, stands: Standing, item: str, roster: Roster, issued: str
) -> dict[str, str]:
    open_ = bool(stands.open) or (row.needs_a_look and row.state == MARKED)
    status = (
        "not submitted"
        if row.state == ISSUED
        else "submitted"
        if row.state in (RECEIVED, UNREADABLE) or not row.marks
        else "partially graded"
        if open_
        else "fully graded"
    )
    dated = max((m.at[:10] for m in row.marks.values()), default="")
    late = row.handin is not None and any(m.kind == LATE for m in row.handin.matters)
    return {
        "sourcedId": f"result-{row.sheet.token}",
        "lineItemSourcedId": item,
        "studentSourcedId": row.student.id,
        "scoreStatus": status,
        "score": marks_said(stands.awarded) if row.marks else "",
        "scoreDate": dated or (row.handin.received_at[:10] if row.handin else issued),
        "classSourcedId": roster.class_id,
        "inProgress": "false",
        "incomplete": "true" if status == "partially graded" else "false",
        "late": "true" if late else "false",
        "missing": "true" if row.state == ISSUED else "false",
    }


def _user_row(row: Result) -> dict[str, str]:
    given, family = first_and_last(row.student.name)
    held = row.student.about
    return {
        "sourcedId": row.student.id,
        "enabledUser": "true",
        "username": str(held.get("username") or row.student.id),
        "givenName": given,
        "familyName": family,
        "identifier": str(held.get("identifier", "")),
        "email": str(held.get("email", "")),
    }


def _refuse_formulas(
    files: Mapping[str, tuple[Sequence[str], Sequence[Mapping[str, str]]]],
) -> None:
    refuse(
        Fault(
            f"{name}.csv, row {line}, {column}",
            "begins like a formula",
            text[:60],
            "OneRoster keeps a text as it is, and a spreadsheet would run this one",
            "Change it in the class list or the scheme, then export again",
        )
        for name, (_, rows) in files.items()
        for line, row in enumerate(rows, 2)
        for column, text in row.items()
        if safe_cell(text) != text
    )


def _rfc4180(heads: Sequence[str], rows: Iterable[Mapping[str, str]]) -> str:
    out = io.StringIO()
    writer = csv.DictWriter(out, heads, restval="", lineterminator="\r\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def _put_set(out: Path, texts: Mapping[str, str]) -> Path:
    if out.suffix.casefold() == ".zip":
        make_folder(out.parent)
        write(out, zipped(texts))
        return out
    make_folder(out)
    for name, text in texts.items():
        write(out / name, text)
    return out
