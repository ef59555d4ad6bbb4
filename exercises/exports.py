"""Takes marks and evidence out of the mark book: for people, for machines, for a person.

What people open in a spreadsheet runs no formula of a student's; what goes to another
system keeps its texts as they are, and is refused where they are not safe to keep.
"""

from __future__ import annotations

import csv
import io
import json
import re
import zipfile
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import xlsxwriter
from xlsxwriter.utility import xl_rowcol_to_cell

from calculators.faults import Fault, FaultsError, refuse
from calculators.units import read
from exercises.issue import folder_of
from exercises.letters import make_folder, name_of, slug, write
from exercises.markbook import (
    ISSUED,
    MARKED,
    RECEIVED,
    UNREADABLE,
    Book,
    Mark,
    Paper,
    Result,
    Student,
    answer_keys,
    must_name,
)
from exercises.pile import naming, what_to_settle
from exercises.standing import MET, Standing, lesson_title, marks_said, rule, standing
from exercises.worksheet import (
    Sheet,
    page_template,
    right_answer,
    say_date,
    static_text,
)
from exercises.worksheet import (
    paper as paper_page,
)

_FORMULA = re.compile(r"^[\s'\"]*[=+\-@＝＋－＠]|^['\"]*[\t\r\n]")
_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?\Z")
_ZIP_TIME = (1980, 1, 1, 0, 0, 0)  # one time for all, so that a pack is the same twice


# --- for people: CSV and XLSX ----------------------------------------------------------


def safe_cell(value: object) -> str:
    """Return a text that no spreadsheet takes for a formula.

    >>> safe_cell("=1+1"), safe_cell("-3.5"), safe_cell("Ada")
    ("'=1+1", '-3.5', 'Ada')
    """
    text = str(value)
    if _FORMULA.match(text) and not _NUMBER.match(text):
        return "'" + text
    return text


@dataclass(frozen=True)
class _Table:
    """The marks of a paper as rows: facts, then marks a part, then what they come to."""

    parts: list[str]
    part_heads: list[str]
    rows: list[tuple[Result, Standing, list[float | None]]]
    outcomes: list[tuple[str, str]]


def _table(book: Book, paper: str, results: Sequence[Result] | None) -> _Table:
    about = book.paper(paper)
    rows = list(book.results(paper) if results is None else results)
    heads: dict[str, str] = {}
    wordings: dict[str, str] = {}
    out = []
    for row in rows:
        keys = answer_keys(row.sheet.questions)
        for key in keys:
            heads.setdefault(key.key, f"{key.key} (of {marks_said(key.part['total'])})")
        stands = standing(row, about, keys)
        wordings.update({each.id: each.wording for each in stands.shown})
        out.append((row, stands, keys))
    return _Table(
        list(heads),
        list(heads.values()),
        [
            (
                row,
                stands,
                [row.marks[k].awarded if k in row.marks else None for k in heads],
            )
            for row, stands, _ in out
        ],
        list(wordings.items()),
    )


_FACTS = ("Student", "Name", "Sheet", "Sitting", "State", "Received")
_ENDS = ("Total", "Out of", "Result", "To look at")


def _facts(row: Result) -> list[str]:
    return [
        row.student.id,
        row.student.name,
        row.sheet.token,
        str(row.sheet.sitting),
        row.state,
        row.handin.received_at[:10] if row.handin else "",
    ]


def _look(row: Result) -> str:
    if not row.needs_a_look:
        return ""
    ones = ([row.handin] if row.handin else []) + row.others
    kinds = {flag for one in ones if one.needs_a_look for flag in one.flags}
    kinds |= {one.state for one in ones if one.state == UNREADABLE}
    return ", ".join(sorted(kinds))


def marks_csv(
    book: Book,
    paper: str,
    path: str | Path,
    *,
    results: Sequence[Result] | None = None,
) -> Path:
    """Write the marks of a paper as CSV for people: a row a sheet, a column a part.

    UTF-8 with its mark, so that a spreadsheet opens it rightly; every cell quoted; a
    text that a spreadsheet would run begins with an apostrophe.
    """
    table = _table(book, paper, results)
    out = io.StringIO()
    writer = csv.writer(out, quoting=csv.QUOTE_ALL)
    heads = [*_FACTS, *table.part_heads, *_ENDS, *(text for _, text in table.outcomes)]
    writer.writerow(map(safe_cell, heads))
    for row, stands, marks in table.rows:
        states = {each.id: each.state for each in stands.shown if row.marks}
        writer.writerow(
            map(
                safe_cell,
                [
                    *_facts(row),
                    *("" if mark is None else marks_said(mark) for mark in marks),
                    marks_said(stands.awarded) if row.marks else "",
                    marks_said(stands.total),
                    stands.state,
                    _look(row),
                    *(states.get(name, "") for name, _ in table.outcomes),
                ],
            )
        )
    path = Path(path)
    make_folder(path.parent)
    write(path, b"\xef\xbb\xbf" + out.getvalue().encode("utf-8", "backslashreplace"))
    return path


def marks_xlsx(
    book: Book,
    paper: str,
    path: str | Path,
    *,
    results: Sequence[Result] | None = None,
) -> Path:
    """Write the marks of a paper as a workbook whose totals are formulas with values.

    The same book gives the same bytes.
    """
    table, about, path = _table(book, paper, results), book.paper(paper), Path(path)
    file = io.BytesIO()
    workbook = xlsxwriter.Workbook(
        file,
        {"strings_to_formulas": False, "strings_to_urls": False, "in_memory": True},
    )
    made = datetime.fromisoformat(about.issued_at or about.drafted_at)
    title = str(about.plan.get("title") or paper)
    workbook.set_properties({"title": title, "created": made.replace(tzinfo=None)})
    head = workbook.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"})
    bold = workbook.add_format({"bold": True})
    _marks_page(workbook, table, head, bold)
    _outcomes_page(workbook, table, head)
    page = workbook.add_worksheet("How it is made")
    page.set_column(0, 0, 110)
    for line, text in enumerate(
        (
            title,
            rule(about),
            "Totals are sums of the marks beside them; change a mark in the mark book "
            "and not here.",
            "An empty mark: nothing was handed in that could be marked.",
        )
    ):
        page.write_string(line, 0, text)
    workbook.close()
    make_folder(path.parent)
    write(path, file.getvalue())
    return path


def _marks_page(workbook: Any, table: _Table, head: Any, bold: Any) -> None:
    page = workbook.add_worksheet("Marks")
    first = len(_FACTS)
    last = first + len(table.parts) - 1
    for column, text in enumerate((*_FACTS, *table.part_heads, *_ENDS)):
        page.write_string(0, column, text, head)
    for line, (row, stands, marks) in enumerate(table.rows, 1):
        for column, text in enumerate(_facts(row)):
            page.write_string(line, column, text)
        for column, mark in enumerate(marks, first):
            if mark is not None:
                page.write_number(line, column, mark)
        if row.marks:
            start, end = (xl_rowcol_to_cell(line, c) for c in (first, last))
            page.write_formula(line, last + 1, f"=SUM({start}:{end})", bold, stands.awarded)
        page.write_number(line, last + 2, stands.total)
        page.write_string(line, last + 3, stands.state)
        page.write_string(line, last + 4, _look(row))
    page.freeze_panes(1, 2)
    page.set_column(0, 0, 12)
    page.set_column(1, 1, 26)
    page.set_column(2, 2, 26)
    page.set_column(3, last + 2, 10)
    page.set_column(last + 3, last + 4, 20)
    page.autofilter(0, 0, max(1, len(table.rows)), last + 4)


def _outcomes_page(workbook: Any, table: _Table, head: Any) -> None:
    page = workbook.add_worksheet("Outcomes")
    heads = ("Student", "Name", *(text for _, text in table.outcomes))
    for column, text in enumerate(heads):
        page.write_string(0, column, text, head)
    for line, (row, stands, _) in enumerate(table.rows, 1):
        page.write_string(line, 0, row.student.id)
        page.write_string(line, 1, row.student.name)
        states = {each.id: each.state for each in stands.shown if row.marks}
        for column, (name, _text) in enumerate(table.outcomes, 2):
            page.write_string(line, column, states.get(name, ""))
    foot = len(table.rows) + 1
    page.write_string(foot, 1, "Met", head)
    for column, (name, _text) in enumerate(table.outcomes, 2):
        start, end = (xl_rowcol_to_cell(line, column) for line in (1, foot - 1))
        count = sum(
            each.id == name and each.state == MET
            for row, stands, _ in table.rows
            if row.marks
            for each in stands.shown
        )
        page.write_formula(foot, column, f'=COUNTIF({start}:{end},"{MET}")', head, count)
    page.set_column(0, 0, 12)
    page.set_column(1, 1, 26)
    page.set_column(2, 2 + len(table.outcomes), 22)
    page.freeze_panes(1, 2)


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
    system, code : str
        What this source is called in the manifest.
    """

    class_id: str
    school_id: str = ""
    category_id: str = ""
    session_id: str = ""
    system: str = "Glossbook"
    code: str = "glossbook"


@dataclass(frozen=True)
class Exported:
    """What was written, and what should be said about it."""

    path: Path
    files: tuple[str, ...]
    notes: tuple[str, ...] = field(default_factory=tuple)


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
        item = f"paper-{slug(paper.name)}"
        rows = book.results(paper.name)
        ends = [row.sheet.hand_in_by[:10] for row in rows if row.sheet.hand_in_by]
        starts = [row.sheet.opens_on[:10] for row in rows if row.sheet.opens_on]
        issued = (paper.issued_at or paper.drafted_at)[:10]
        title = str(paper.plan.get("title") or paper.name)
        for sitting in sorted({row.sheet.sitting for row in rows}):
            mine = [row for row in rows if row.sheet.sitting == sitting]
            name = item if sitting == 1 else f"{item}-{sitting}"
            items.append(
                {
                    "sourcedId": name,
                    "title": title if sitting == 1 else f"{title}, sitting {sitting}",
                    "assignDate": min(starts, default=issued),
                    "dueDate": max(ends, default=issued),
                    "classSourcedId": roster.class_id,
                    "categorySourcedId": roster.category_id,
                    "academicSessionSourcedId": roster.session_id,
                    "resultValueMin": "0",
                    "resultValueMax": marks_said(max(row.total for row in mine)),
                    "schoolSourcedId": roster.school_id,
                }
            )
            for row in mine:
                if row.student.erased_at:
                    notes.append("Results of erased people are left out.")
                    continue
                stands = standing(row, paper)
                results.append(_result_row(row, stands, name, roster, issued))
                users[row.student.id] = _user_row(row)
    files = {"lineItems": (_LINE_ITEMS, items), "results": (_RESULTS, results)}
    if with_users:
        files["users"] = (_USERS, list(users.values()))
        notes.append(
            "Given and family name were split at the last blank of each name: look "
            "through users.csv."
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
                ("source.systemName", roster.system),
                ("source.systemCode", roster.code),
            )
        ],
    )
    path = _put_set(Path(out), texts)
    return Exported(path, tuple(sorted(texts)), tuple(dict.fromkeys(notes)))


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
    late = row.handin is not None and "late" in row.handin.flags
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
    given, _, family = row.student.name.rpartition(" ")
    held = row.student.about
    return {
        "sourcedId": row.student.id,
        "enabledUser": "true",
        "username": str(held.get("username") or row.student.id),
        "givenName": given or family,
        "familyName": family if given else "",
        "identifier": str(held.get("identifier", "")),
        "email": str(held.get("email", "")),
    }


def _refuse_formulas(
    files: Mapping[str, tuple[Sequence[str], Sequence[Mapping[str, str]]]],
) -> None:
    faults = [
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
    ]
    if faults:
        raise FaultsError(faults)


def _rfc4180(heads: Sequence[str], rows: Iterable[Mapping[str, str]]) -> str:
    out = io.StringIO()
    writer = csv.DictWriter(out, heads, restval="", lineterminator="\r\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def _put_set(out: Path, texts: Mapping[str, str]) -> Path:
    if out.suffix.casefold() == ".zip":
        make_folder(out.parent)
        write(out, _zipped(texts))
        return out
    make_folder(out)
    for name, text in texts.items():
        write(out / name, text)
    return out


def _zipped(files: Mapping[str, str | bytes]) -> bytes:
    """Return an archive whose bytes depend on nothing but what is in it."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in sorted(files):
            about = zipfile.ZipInfo(name, _ZIP_TIME)
            about.compress_type = zipfile.ZIP_DEFLATED
            about.external_attr = 0o644 << 16
            data = files[name]
            archive.writestr(
                about,
                data if isinstance(data, bytes) else data.encode("utf-8", "replace"),
            )
    return out.getvalue()


# --- evidence: for a moderator ------------------------------------------------------------


def evidence_packs(
    book: Book,
    out: str | Path,
    paper: str,
    *,
    students: Iterable[str] | None = None,
    lessons: Mapping[str, str] | None = None,
) -> list[Path]:
    """Write an evidence pack a student: sheet, hand-ins as read, verdicts, decisions.

    Parameters
    ----------
    book : Book
        The mark book.
    out : str or Path
        The folder for ``<paper>/<student id>-<name>.zip``.
    paper : str
        The paper.
    students : iterable of str, optional
        Only these ids.
    lessons : mapping of str to str, optional
        Titles of the lessons, by id.

    Notes
    -----
    A pack holds right answers: it is for assessors and moderators.  The files that
    students handed in are not in the mark book; what was read from them is.
    """
    about, out = book.paper(paper), Path(out) / slug(paper)
    wanted = None if students is None else set(students)
    make_folder(out)
    paths, people = [], book.students()
    for row in book.results(paper):
        if wanted is not None and row.sheet.student not in wanted:
            continue
        path = out / f"{name_of(row)}.zip"
        write(path, _zipped(_pack(book, row, about, lessons or {}, people)))
        paths.append(path)
    if wanted is not None and not paths:
        raise refuse(
            f"paper {paper}",
            "has no sheet for these students",
            ", ".join(sorted(wanted)),
            "",
            "Compare with the class list",
        )
    return paths


def _pack(
    book: Book,
    row: Result,
    about: Paper,
    lessons: Mapping[str, str],
    students: Mapping[str, Student],
) -> dict[str, str | bytes]:
    title = str(about.plan.get("title") or about.name)
    came = ([row.handin] if row.handin else []) + row.others
    came.sort(key=lambda one: one.id)
    history = {one.id: book.marks(one.id, history=True) for one in came}
    decisions = [d for one in came for d in book.decisions(one.id)]
    stands = standing(row, about)
    page = page_template("evidence.html").render(
        title=title,
        name=row.student.name,
        student=row.student.id,
        token=row.sheet.token,
        state=row.state,
        awarded=marks_said(stands.awarded) if row.marks else "none yet",
        total=marks_said(stands.total),
        result=stands.state,
        issued=say_date(row.sheet.issued_at[:16]),
        checked=about.checked_by or "",
        checked_at=say_date((about.checked_at or "")[:10]),
        by=about.issued_by or "",
        rule=rule(about),
        outcomes=[
            (each.wording, each.state, lesson_title(each.lesson, lessons)) for each in stands.shown
        ],
        handins=[
            {
                "number": one.id,
                "path": one.path,
                "digest": one.digest,
                "received": say_date(one.received_at[:16]),
                "state": one.state,
                "reason": one.reason,
                "counts": one is row.handin,
                "look": what_to_settle(one, students),
                "lines": [
                    _evidence_line(key, one, history[one.id])
                    for key in answer_keys(row.sheet.questions)
                ],
                "working": sorted(one.working.items()),
            }
            for one in came
        ],
        decisions=[
            {
                "at": say_date(d.at[:16]),
                "by": d.by,
                "what": d.what,
                "reason": d.reason,
                "detail": ", ".join(f"{k}: {v}" for k, v in d.detail.items()),
            }
            for d in decisions
        ],
        css=static_text("worksheet.css", "report.css"),
    )
    sheet = Sheet(
        row.sheet.token,
        row.student.name,
        title,
        row.sheet.questions,
        row.sheet.opens_on,
        row.sheet.hand_in_by,
    )
    return {
        "evidence.html": page,
        "sheet.html": paper_page(sheet),
        "sheet.json": _json(vars(row.sheet)),
        "hand-ins.json": _json([{**vars(one), "marks": []} for one in came]),
        "marks.json": _json([vars(m) for marks in history.values() for m in marks]),
        "decisions.json": _json([vars(d) for d in decisions]),
    }


def _evidence_line(key: Any, one: Any, marks: Sequence[Mark]) -> dict[str, Any]:
    mine = [mark for mark in marks if mark.part == key.key]
    stands = mine[-1] if mine else None
    return {
        "key": key.key,
        "wrote": str(one.answers.get(key.key, "")),
        "answer": right_answer(key.part),
        "marks": f"{marks_said(stands.awarded)} of {marks_said(stands.total)}"
        if stands
        else "none",
        "verdict": stands.verdict if stands else "",
        "reason": stands.reason if stands else "",
        "earlier": [
            f"{marks_said(m.awarded)} by {m.by}, {m.verdict}, {say_date(m.at[:10])}"
            for m in mine[:-1]
        ],
        "by": stands.by if stands else "",
    }


def _json(thing: Any) -> str:
    return json.dumps(thing, ensure_ascii=False, indent=1, sort_keys=True, default=str)


# --- for a person: everything about them, and its erasure ----------------------------------


def export_person(book: Book, student: str, path: str | Path) -> Path:
    """Write everything the book holds about a person as one JSON file."""
    path = Path(path)
    held = book.export(student)
    make_folder(path.parent)
    write(path, _json(held))
    return path


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
        raise refuse("student", "is not in this book", student, "", "Check the id")
    name = folder_of(person)
    kept_as = book.erase(student, by, reason, naming(book, student))
    deleted = []
    if reports is not None:
        ours = re.compile(re.escape(name) + r"(?:-\d+)?\.(?:html|zip|json)")
        for path in sorted(Path(reports).rglob(f"{name}*")):
            if path.is_file() and not path.is_symlink() and ours.fullmatch(path.name):
                path.unlink()
                deleted.append(path)
    return Erased(
        kept_as,
        deleted,
        [
            "Write the class report and the tables of marks anew: earlier ones hold the name.",
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
    for sheet in book.sheets():
        last[sheet.student] = max(last.get(sheet.student, ""), sheet.issued_at[:10])
    people = book.students()
    return [
        name
        for name, when in last.items()
        if date.fromisoformat(when) < oldest and not people[name].erased_at
    ]
