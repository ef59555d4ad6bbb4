"""Marks as tables for people: CSV and XLSX."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from xlsxwriter.utility import xl_rowcol_to_cell

from exercises.book.book import Book
from exercises.book.records import PaperRecord, Result
from exercises.book.schema import UNREADABLE
from exercises.questions.answer_boxes import answer_boxes
from exercises.reports.finals import Final, finals
from exercises.reports.office import final_page
from exercises.reports.spreadsheets import (
    Cell,
    Page,
    Workbook,
    record_said,
    workbook,
    write_csv,
)
from exercises.reports.standing import MET, Standing, marks_said, rule, standing


@dataclass(frozen=True)
class _Table:
    """The marks of a paper as rows: facts, then marks a part, then what they come to."""

    parts: dict[str, str]  # the head of each
    rows: list[tuple[Result, Standing, list[float | None]]]
    outcomes: list[tuple[str, str]]

    def finals(self, paper: PaperRecord) -> list[Final]:
        """Return what the rows come to for each student."""
        return finals([row for row, _, _ in self.rows], paper, [s for _, s, _ in self.rows])


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
        heads,
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


def _cells(row: Result, stands: Standing, marks: Sequence[float | None]) -> list[Cell]:
    """Return the row of a sheet: whose it is, its marks, and what they come to."""
    return [
        row.student.id,
        row.student.name,
        row.sheet.token,
        str(row.sheet.sitting),
        row.state,
        row.handin.received_at[:10] if row.handin else "",
        *marks,
        stands.awarded if row.marks else None,
        stands.total,
        stands.state,
        _look(row),
    ]


def _states(table: _Table, row: Result, stands: Standing) -> list[str]:
    states = {each.id: each.state for each in stands.shown if row.marks}
    return [states.get(name, "") for name, _ in table.outcomes]


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
    """Write the marks of a paper as CSV for people: a row for each sheet, a column for each part."""
    table = _table(book, paper, results)
    heads = [*_FACTS, *table.parts.values(), *_ENDS, *(text for _, text in table.outcomes)]
    rows = ([*_cells(*row), *_states(table, *row[:2])] for row in table.rows)
    return write_csv(Path(path), heads, rows)


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
    made = about.issued_at or about.drafted_at
    with workbook(path, book, about.title, made) as out:
        _marks_page(out, table)
        out.page(final_page(about, table.finals(about)))
        _outcomes_page(out, table)
        out.lines(
            "How it is made",
            (
                about.title,
                rule(about),
                "Totals are sums of the marks beside them; change a mark in the mark book "
                "and not here.",
                "An empty mark: nothing was handed in that could be marked.",
                record_said(book),
            ),
        )
    return path


def _marks_page(out: Workbook, table: _Table) -> None:
    heads = (*_FACTS, *table.parts.values(), *_ENDS)
    page = out.page(Page("Marks", heads, [_cells(*row) for row in table.rows]))
    first = len(_FACTS)
    total = first + len(table.parts)
    for line, (row, stands, _) in enumerate(table.rows, 1):
        if row.marks:
            start, end = (xl_rowcol_to_cell(line, c) for c in (first, total - 1))
            page.write_formula(line, total, f"=SUM({start}:{end})", out.bold, stands.awarded)
    page.set_column(2, 2, 26)
    page.set_column(3, total + 1, 10)
    page.set_column(total + 2, total + 3, 20)


def _outcomes_page(out: Workbook, table: _Table) -> None:
    heads = ("Student", "Name", *(text for _, text in table.outcomes))
    rows = [
        [row.student.id, row.student.name, *_states(table, row, stands)]
        for row, stands, _ in table.rows
    ]
    page = out.page(Page("Outcomes", heads, rows), filtered=False)
    foot = len(rows) + 1
    page.write_string(foot, 1, "Met", out.head)
    for column in range(2, len(heads)):
        start, end = (xl_rowcol_to_cell(line, column) for line in (1, foot - 1))
        count = sum(row[column] == MET for row in rows)
        page.write_formula(foot, column, f'=COUNTIF({start}:{end},"{MET}")', out.head, count)
    page.set_column(2, len(heads), 22)
