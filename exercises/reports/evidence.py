"""An evidence pack for each student, for a moderator."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from calculators.faults import fault_error
from exercises.book.book import Book
from exercises.book.records import Mark, PaperRecord, Result, Student
from exercises.files.writing import make_folder, write
from exercises.files.zipped import zipped
from exercises.marking.checks import what_to_settle
from exercises.questions.answer_boxes import answer_boxes
from exercises.questions.parts import DrawnQuestion
from exercises.reports.letters import name_of, slug
from exercises.reports.standing import lesson_title, marks_said, rule, said_state, standing
from exercises.sheets.sheet import Sheet, say_date
from exercises.sheets.worksheet import page_template, static_text
from exercises.sheets.worksheet import paper as paper_page

# --- evidence: for a moderator ------------------------------------------------------------


def evidence_packs(
    book: Book,
    out: str | Path,
    paper: str,
    *,
    students: Iterable[str] | None = None,
    lessons: Mapping[str, str] | None = None,
) -> list[Path]:
    """Write an evidence pack for each student: sheet, hand-ins as read, verdicts, decisions.

    Parameters
    ----------
    book : Book
        The mark book.
    out : str or Path
        The folder for ``<paper>/<student id>-<name>_<paper>_<token>.zip``.
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
        write(path, zipped(_pack(book, row, about, lessons or {}, people)))
        paths.append(path)
    if wanted is not None and not paths:
        raise fault_error(
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
    about: PaperRecord,
    lessons: Mapping[str, str],
    students: Mapping[str, Student],
) -> dict[str, str | bytes]:
    about = about.at(row.sheet.version)
    came = ([row.handin] if row.handin else []) + row.others
    came.sort(key=lambda one: one.id)
    history = {one.id: book.marks(one.id, history=True) for one in came}
    decisions = [d for one in came for d in book.decisions(one.id)]
    stands = standing(row, about)
    page = page_template("evidence.html").render(
        title=about.title,
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
            (each.wording, said_state(each), lesson_title(each.lesson, lessons))
            for each in stands.shown
            if row.marks
        ],
        handins=[
            {
                "number": one.id,
                "path": one.path,
                "digest": one.digest,
                "received": say_date(one.received_at[:16]),
                "state": one.state,
                "look": list(dict.fromkeys([one.reason, *what_to_settle(one, students)])),
                "counts": one is row.handin,
                "lines": [
                    _evidence_line(key, one, history[one.id])
                    for key in answer_boxes(row.sheet.questions)
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
                "detail": ", ".join(f"{k}: {_detail(v)}" for k, v in d.detail.items()),
            }
            for d in decisions
        ],
        css=static_text("tokens.css", "worksheet.css", "report.css"),
    )
    sheet = Sheet(
        row.sheet.token,
        row.student.name,
        about.title,
        list(map(DrawnQuestion.from_json, row.sheet.questions)),
        row.sheet.opens_on,
        row.sheet.hand_in_by,
    )
    return {
        "evidence.html": page,
        "sheet.html": paper_page(sheet),
        "sheet.json": as_json(vars(row.sheet)),
        "hand-ins.json": as_json([{**asdict(one), "marks": []} for one in came]),
        "marks.json": as_json([vars(m) for marks in history.values() for m in marks]),
        "decisions.json": as_json([vars(d) for d in decisions]),
        "matters.json": as_json([vars(m) for one in came for m in one.matters]),
        "record.json": as_json({"head": book.head()}),
    }


def _detail(value: Any) -> Any:
    return marks_said(value) if isinstance(value, float) else value


def _evidence_line(key: Any, one: Any, marks: Sequence[Mark]) -> dict[str, Any]:
    mine = [mark for mark in marks if mark.part == key.key]
    stands = mine[-1] if mine else None
    return {
        "key": key.key,
        "wrote": str(one.answers.get(key.key, "")),
        "answer": key.part.right_answer(),
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


def as_json(thing: Any) -> str:
    """Return a thing as JSON text."""
    return json.dumps(thing, ensure_ascii=False, indent=1, sort_keys=True, default=str)
