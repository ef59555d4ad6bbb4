"""Marks as tables for people: CSV and XLSX."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

import xlsxwriter
from xlsxwriter.utility import xl_rowcol_to_cell

from exercises.book.book import Book
from exercises.book.records import Result
from exercises.book.schema import UNREADABLE
from exercises.questions.answer_boxes import answer_boxes
from exercises.reports.letters import make_folder, write
from exercises.reports.standing import MET, Standing, marks_said, rule, standing

_FORMULA = re.compile(r"^[\s'\"]*[=+\-@＝＋－＠]|^['\"]*[\t\r\n]")
_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?\Z")


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
        keys = answer_boxes(row.sheet.questions)
        for key in keys:
            heads.setdefault(key.key, f"{key.key} (of {marks_said(key.part.total)})")
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
    kinds |= {one.state for one in ones if one.state == UNREADABLE and one.needs_a_look}
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
    workbook.set_properties(
        {
            "title": title,
            "created": made.replace(tzinfo=None),
            "comments": f"Head of the mark book's record: {book.head()}",
        }
    )
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
