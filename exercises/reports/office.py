"""What an office asks for: one row for each student, in a paper and across papers.

And the list of those who sit a paper again, which issuing reads as a class list.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from exercises.book.book import Book
from exercises.book.records import PaperRecord
from exercises.reports.finals import (
    NOTHING_CAME,
    NOTHING_COUNTS,
    Final,
    sit_again,
    undecided,
)
from exercises.reports.spreadsheets import (
    Cell,
    Page,
    record_said,
    workbook,
    write_csv,
)
from exercises.reports.standing import PASSED, marks_said, rule
from exercises.sheets.blueprint import BEST, COUNTS

FINAL_MARKS = "Final marks"


def final_page(paper: PaperRecord, results: Sequence[Final]) -> Page:
    """Return one row for each student of a paper: each sitting, and what counts."""
    numbers = sorted({one.number for final in results for one in final.sittings})
    heads = ["Student", "Name", *(f"Sitting {n}" for n in numbers)]
    heads += ["Counts", "Final mark", "Out of", "Per cent", "Result", "To settle", "Sits again"]
    again = {one.student.id for one in sit_again(results)}
    rows: list[list[Cell]] = []
    for one in results:
        held = {each.number: each for each in one.sittings}
        marks = [held[n].stands.awarded if n in held and held[n].marked else None for n in numbers]
        counts = one.counts
        rows.append(
            [
                one.student.id,
                one.student.name,
                *marks,
                f"sitting {counts.number}" if counts else "",
                round(counts.counts_for, 2) if counts else None,
                (counts or one.sittings[-1]).stands.total,
                None if one.share is None else round(100 * one.share, 1),
                one.state,
                "yes" if one.open else "",
                "yes" if one.student.id in again else "",
            ]
        )
    about = [paper.title, *_rules(paper)]
    about.append("To settle: an assessor's decision may still change the final mark.")
    return Page(FINAL_MARKS, heads, rows, about)


def across_page(papers: Mapping[str, tuple[PaperRecord, Sequence[Final]]]) -> Page:
    """Return one row for each student, with the final mark of each paper."""
    heads = ["Student", "Name"]
    about = ["One row for each student, with the mark of each paper that counts in the end."]
    people = {}
    for paper, results in papers.values():
        heads += [f"{paper.title}: {what}" for what in ("mark", "out of", "result")]
        about.append(f"{paper.title}. {' '.join(_rules(paper))}")
        people.update({one.student.id: one.student for one in results})
    heads += ["Papers passed", "Papers taken", "To settle"]
    by_paper = [{one.student.id: one for one in results} for _, results in papers.values()]
    rows: list[list[Cell]] = []
    for person in sorted(people):
        mine = [held.get(person) for held in by_paper]
        cells: list[Cell] = []
        for one in mine:
            if one is None:
                cells += [None, None, ""]
                continue
            counts = one.counts
            cells.append(round(counts.counts_for, 2) if counts else None)
            cells += [(counts or one.sittings[-1]).stands.total, one.state]
        taken = [one for one in mine if one is not None]
        rows.append(
            [
                person,
                people[person].name,
                *cells,
                sum(one.state == PASSED for one in taken),
                sum(one.state not in (NOTHING_CAME, NOTHING_COUNTS) for one in taken),
                "yes" if any(one.open for one in taken) else "",
            ]
        )
    return Page("Results", heads, rows, about)


def _rules(paper: PaperRecord) -> list[str]:
    """Return by what rule a mark is final."""
    said = [rule(paper)] if "sittings" in paper.pass_rule else [rule(paper), COUNTS[BEST]]
    return [*said, "The best is one that is passed, then the one with the higher share of marks."]


RESIT_HEADS = ("id", "name", "extra_time", "print", "why")


def write_resit_list(results: Sequence[Final], path: Path) -> Path:
    """Write who sits a paper again, as a class list that issuing reads.

    Another date of a student is left out: it was a day of the earlier sitting.
    """
    rows = []
    for one in sit_again(results):
        student, counts = one.student, one.counts
        won = f"{marks_said(round(counts.counts_for, 2))} of " if counts else ""
        total = f"{marks_said(counts.stands.total)} marks, " if counts else ""
        why = f"{won}{total}{one.state}"
        rows.append([student.id, student.name, student.extra_time, student.print, why])
    return write_csv(path, RESIT_HEADS, rows)


def about_resit(paper: str, results: Sequence[Final], path: Path) -> list[str]:
    """Say how many sit a paper again, how that is done, and whom nobody can tell yet."""
    count, waiting = len(sit_again(results)), len(undecided(results))
    said = []
    if count:
        who = "1 student sits" if count == 1 else f"{count} students sit"
        said.append(
            f"{who} it again: {path}. To issue: glossbook issue SCHEME --paper {paper} "
            f"--sitting {1 + max(s.number for one in results for s in one.sittings)} "
            f"--class {path} --hand-in-by DAY"
        )
    if waiting:
        who = "1 student waits" if waiting == 1 else f"{waiting} students wait"
        said.append(f"{who} for a decision, and {'is' if waiting == 1 else 'are'} on no list yet.")
    return said


def write_across(
    book: Book, out: Path, papers: Mapping[str, tuple[PaperRecord, Sequence[Final]]]
) -> list[Path]:
    """Write the results across papers, as CSV and XLSX, and return where they lie."""
    page = across_page(papers)
    made = max(paper.issued_at or paper.drafted_at for paper, _ in papers.values())
    path = out / "results.xlsx"
    with workbook(path, book, page.name, made) as file:
        file.page(page)
        file.lines("How it is made", [*page.about, record_said(book)])
    return [write_csv(out / "results.csv", page.heads, page.rows), path]
