"""Tables as files for people: CSV and XLSX, with nothing in them that is run."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from pathlib import Path
from typing import Any

import xlsxwriter

from exercises.book.book import Book
from exercises.files.writing import make_folder, write
from exercises.reports.standing import marks_said

Cell = str | float | None
_FORMULA = re.compile(r"^[\s'\"]*[=+\-@＝＋－＠]|^['\"]*[\t\r\n]")
_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?\Z")


@dataclass(frozen=True)
class Page:
    """A table: its name, its heads, its rows, and how it is made, line by line."""

    name: str
    heads: Sequence[str]
    rows: Sequence[Sequence[Cell]]
    about: Sequence[str] = ()


def safe_cell(value: object) -> str:
    """Return a text that no spreadsheet takes for a formula.

    >>> safe_cell("=1+1"), safe_cell("-3.5"), safe_cell("Ada")
    ("'=1+1", '-3.5', 'Ada')
    """
    text = str(value)
    if _FORMULA.match(text) and not _NUMBER.match(text):
        return "'" + text
    return text


def write_csv(path: Path, heads: Sequence[str], rows: Iterable[Sequence[Cell]]) -> Path:
    """Write a table as CSV and return where it lies.

    UTF-8 with its mark, so that a spreadsheet opens it rightly; every cell quoted; a
    text that a spreadsheet would run begins with an apostrophe.
    """
    out = io.StringIO()
    writer = csv.writer(out, quoting=csv.QUOTE_ALL)
    writer.writerow(map(safe_cell, heads))
    for row in rows:
        writer.writerow([_text(cell) for cell in row])
    make_folder(path.parent)
    write(path, b"\xef\xbb\xbf" + out.getvalue().encode("utf-8", "backslashreplace"))
    return path


def _text(cell: Cell) -> str:
    if cell is None:
        return ""
    return safe_cell(cell) if isinstance(cell, str) else marks_said(cell)


class Workbook:
    """An open workbook, with the formats that its pages share."""

    def __init__(self, book: Any) -> None:
        self.book = book
        self.head = book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"})
        self.bold = book.add_format({"bold": True})

    def page(self, page: Page, *, filtered: bool = True) -> Any:
        """Add a table whose first two columns say who it is, and return its sheet."""
        sheet = self.book.add_worksheet(page.name)
        for column, text in enumerate(page.heads):
            sheet.write_string(0, column, text, self.head)
        for line, row in enumerate(page.rows, 1):
            for column, cell in enumerate(row):
                if isinstance(cell, str):
                    sheet.write_string(line, column, cell)
                elif cell is not None:
                    sheet.write_number(line, column, cell)
        sheet.freeze_panes(1, 2)
        sheet.set_column(0, 0, 12)
        sheet.set_column(1, 1, 26)
        sheet.set_column(2, max(2, len(page.heads) - 1), 14)
        if filtered:
            sheet.autofilter(0, 0, max(1, len(page.rows)), len(page.heads) - 1)
        return sheet

    def lines(self, name: str, lines: Iterable[str]) -> None:
        """Add a page of sentences."""
        sheet = self.book.add_worksheet(name)
        sheet.set_column(0, 0, 110)
        for line, text in enumerate(lines):
            sheet.write_string(line, 0, text)


@contextmanager
def workbook(path: Path, book: Book, title: str, made: str) -> Iterator[Workbook]:
    """Give a workbook to write in, and put it in its place when all is written.

    The same mark book gives the same bytes.  Its last page says which record of the mark
    book it was made from.
    """
    file = io.BytesIO()
    held = xlsxwriter.Workbook(
        file,
        {"strings_to_formulas": False, "strings_to_urls": False, "in_memory": True},
    )
    held.set_properties(
        {
            "title": title,
            "created": datetime.fromisoformat(made).replace(tzinfo=None),
            "comments": f"Head of the mark book's record: {book.head()}",
        }
    )
    yield Workbook(held)
    held.close()
    make_folder(path.parent)
    write(path, file.getvalue())


def write_record(path: Path, book: Book, files: Iterable[Path]) -> None:
    """Write which record of the mark book tables were made from, with their digests.

    A table as CSV has no place for it; by the digest anybody sees whether it is still
    the one that was written.
    """
    lines = [record_said(book), "", "SHA-256 of each file as it was written:"]
    lines += [f"{sha256(one.read_bytes()).hexdigest()}  {one.name}" for one in files]
    write(path, "\n".join(lines) + "\n")


def record_said(book: Book) -> str:
    """Return which record of the mark book something was made from, in a sentence."""
    return f"Record of the mark book: {book.head()} (glossbook verify)"
