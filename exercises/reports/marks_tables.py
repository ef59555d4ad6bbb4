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
    Workbook,
    record_said,
    workbook,
    write_csv,
)
from exercises.reports.standing import MET, Standing, marks_said, rule, standing


@dataclass(frozen=True)
class _Table:
    """The marks of a paper as rows: facts, then marks a part, then what they come to."""

    parts: list[str]
    part_heads: list[str]
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
    """Write the marks of a paper as CSV for people: a row for each sheet, a column for each part."""
    table = _table(book, paper, results)
    heads = [*_FACTS, *table.part_heads, *_ENDS, *(text for _, text in table.outcomes)]
    return write_csv(Path(path), heads, (_csv_row(table, *row) for row in table.rows))


def _csv_row(
    table: _Table, row: Result, stands: Standing, marks: Sequence[float | None]
) -> list[Cell]:
    states = {each.id: each.state for each in stands.shown if row.marks}
    return [
        *_facts(row),
        *marks,
        stands.awarded if row.marks else None,
        stands.total,
        stands.state,
        _look(row),
        *(states.get(name, "") for name, _ in table.outcomes),
    ]


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
    page, head, bold = out.book.add_worksheet("Marks"), out.head, out.bold
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


def _outcomes_page(out: Workbook, table: _Table) -> None:
    page, head = out.book.add_worksheet("Outcomes"), out.head
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
