"""What the command on observations does: issue sheets, read them back, say what came."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from calculators.faults import fault_error
from course.office.papers import book_for
from course.scheme.model import Scheme
from course.scheme.observing import observed_content
from course.scheme.reading import read_scheme
from exercises.book.book import Book, open_book
from exercises.book.observations import ObservationSheet
from exercises.book.records import must_name
from exercises.files.replacing import may_replace
from exercises.observing import reading
from exercises.observing.seen import agreement, at_odds, bench_of, benches, signed_once
from exercises.observing.sheet import own_page, page, paper_sheets
from exercises.sheets.class_list import read_class


@dataclass(frozen=True)
class Asked:
    """What was typed after ``glossbook observe``."""

    scheme: Path | None = None
    class_list: Path | None = None
    read: Path | None = None
    on_paper: str | None = None
    alone: bool = False
    out: Path = Path("observing")
    by: str = ""
    sitting: int = 1


def observed(book: Path, asked: Asked, ask: Callable[[str], str]) -> tuple[list[str], bool]:
    """Do what was asked; return what to say, and whether something needs a look."""
    if asked.alone:
        return alone(_scheme(asked), asked.out), False
    if asked.read is None and asked.on_paper is None:
        return issue(_scheme(asked), book, asked), False
    with open_book(book) as held:
        if asked.on_paper is not None:
            return key_in(held, asked.on_paper, asked.by, ask)
        return read_back(held, asked.read or Path(), asked.by)


def issue(scheme: Scheme, book: Path, asked: Asked) -> list[str]:
    """Issue a sheet to each student of the class: to print, and as a page for a tablet."""
    if asked.class_list is None:
        raise fault_error("--class", "is not given", "", "", "Give the class list, a CSV file")
    must_name(asked.by)
    read = read_class(asked.class_list)
    printed, tablet = asked.out / "observation-sheets.html", asked.out / "observe.html"
    for path in (printed, tablet):
        may_replace(path, "page")
    with book_for(scheme, book) as held:
        held.enrol(read.students)
        sheets = held.issue_observation_sheets(
            [one.id for one in read.students], observed_content(scheme), asked.by, asked.sitting
        )
    names = {one.id: one.name for one in read.students}
    asked.out.mkdir(parents=True, exist_ok=True)
    printed.write_text(paper_sheets(sheets, names), encoding="utf-8")
    tablet.write_text(page(sheets, names), encoding="utf-8")
    return [
        *read.notes,
        f"{len(sheets)} observation sheets, one A4 page each: {printed}",
        f"The same for a tablet, without a network: {tablet}",
        "Then: glossbook observe --read FOLDER --by NAME",
    ]


def alone(scheme: Scheme, out: Path) -> list[str]:
    """Write page and card for a student alone: the same rows, without marks."""
    page_there = may_replace(out / "my-bench.html", "page")
    card = may_replace(out / "my-bench-card.html", "page")
    held = observed_content(scheme)
    out.mkdir(parents=True, exist_ok=True)
    page_there.write_text(own_page(held), encoding="utf-8")
    sheet = ObservationSheet("", "", 1, "", "", held)
    card.write_text(paper_sheets([sheet], {}, marked=False), encoding="utf-8")
    return [f"For a student alone, without marks: {page_there}, and to print: {card}"]


def read_back(book: Book, where: Path, by: str) -> tuple[list[str], bool]:
    """Read files of observers into the mark book; say what they come to."""
    done = reading.read_files(book, where, by)
    lines = [
        f"{done.files} {'file' if done.files == 1 else 'files'} read: {done.new} observations "
        f"recorded{f', {done.known} were already there' if done.known else ''}."
    ]
    lines += [f"Left out: {fault}" for fault in done.faults]
    return [*lines, *_comes_to(book)], bool(done.faults)


def key_in(book: Book, token: str, by: str, ask: Callable[[str], str]) -> tuple[list[str], bool]:
    """Ask for a sheet on paper, record it, and say what it comes to."""
    one = reading.key_in(book, token, by, ask)
    sheet = book.observation_sheet(one.token)
    bench = bench_of(sheet, book.students()[sheet.student], book.observations(one.token))
    return [f"Recorded: {bench.student.name}, {bench.state}.", *bench.because], False


def _comes_to(book: Book) -> list[str]:
    """Say for each student what the practical comes to, and how far observers agree."""
    found = benches(book)
    lines = []
    for bench in found:
        again = f", sitting {bench.sheet.sitting}" if bench.sheet.sitting > 1 else ""
        who = bench.student.name or bench.student.id
        lines.append(f"{who}{again}: {bench.state}.")
        told = (*bench.because, *at_odds(bench)) if bench.observations else ()
        lines += [f"  {why}" for why in told]
    return [*lines, *agreement(found).sentences, *filter(None, [signed_once(found)])]


def _scheme(asked: Asked) -> Scheme:
    if asked.scheme is None:
        raise fault_error(
            "observe",
            "needs a scheme, or what to read",
            "",
            "",
            "Give SCHEME and --class to issue sheets, --read FOLDER, or --on-paper TOKEN",
        )
    return read_scheme(asked.scheme)
