"""What the commands on a class do: mark, report, moderate; lines come back to be said."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable, Mapping
from functools import partial
from itertools import islice
from pathlib import Path

from calculators.faults import fault_error
from calculators.units import say
from course.office.rehearsing import know_dry_runs
from course.scheme.model import Scheme
from course.scheme.reading import read_scheme
from course.site.building import all_titles
from course.site.signposts import signposts
from exercises.book.book import Book, create, open_book
from exercises.book.records import must_name
from exercises.book.times import parse_time
from exercises.craft import own_pictures
from exercises.marking import checks, run
from exercises.questions import own
from exercises.questions.answer_boxes import answer_boxes
from exercises.questions.registry import Question, bank
from exercises.reports import (
    class_report,
    corrections,
    letters,
    oneroster,
    personal_data,
)
from exercises.reports.at_the_bench import write_bench_reports
from exercises.reports.evidence import evidence_packs
from exercises.reports.moved_answers import moved_answers
from exercises.reports.rehearsals import write_comments
from exercises.reports.second_marks import (
    adjudicate,
    agreement,
    blind_sheets,
    read_second_marks,
    sample,
    to_adjudicate,
)
from exercises.reports.signposts import checked_site
from exercises.reports.spreadsheets import safe_cell


def questions_for(scheme: Scheme | None) -> dict[str, Question]:
    """Return the bank, with the lecturer's own questions where the scheme names a folder."""
    own_pictures.load(scheme.pictures_folder if scheme else None)
    if scheme and scheme.questions_folder:
        own.load(scheme.questions_folder)
    else:
        own.forget()
    return bank()


def book_for(scheme: Scheme, path: Path, *, secret: str | None = None) -> Book:
    """Return the mark book; a new one knows whose it is and how long data are kept.

    It gets to know the dry runs of the scheme.  A ``secret`` is given by the demonstration
    alone.
    """
    book = _book_for(scheme, path, secret)
    know_dry_runs(book, scheme)
    return book


def _book_for(scheme: Scheme, path: Path, secret: str | None) -> Book:
    if path.exists():
        book = open_book(path)
        book.say_about(site=scheme.school.site)
        return book
    about = {
        "school": scheme.school.name,
        "keep_data": say(scheme.keep_data),
        "site": scheme.school.site,
    }
    return create(path, about, secret=secret)


# --- marking ----------------------------------------------------------------------------


def mark(
    book: Book,
    folder: Path | None,
    scheme: Path | None,
    said: Callable[[int, int], None],
    received: str | None = None,
    by: str = "",
    receipts: Path | None = None,
) -> tuple[list[str], bool]:
    """Mark a folder; return what to say, and whether something needs a look."""
    if received:
        must_name(by, "--by")
    held = read_scheme(scheme) if scheme else None
    questions = questions_for(held)  # its faults are told before a file is marked
    summary = mark_pile(book, folder or Path(), held, said, received, by)
    lines = [_files(summary.met, summary.known), *new_states(summary)]
    if summary.rehearsed:
        one = summary.rehearsed == 1
        lines.append(
            f"{summary.rehearsed} of them {'is a dry run' if one else 'are dry runs'}: recorded, "
            f"and commented on by glossbook report; {'it earns' if one else 'they earn'} no marks."
        )
    lines += _receipts(book, summary, receipts)
    if summary.to_look:
        lines.append(f"{_need_a_look(summary.to_look)}:")
        lines += [f"  {path}: {why}" for path, why in summary.look]
        if summary.to_look > len(summary.look):
            lines.append(f"  and {summary.to_look - len(summary.look)} more: glossbook settle")
    earlier = book.waiting() - summary.to_look
    if earlier > 0:
        also = "And " if summary.to_look else ""
        lines.append(f"{also}{_need_a_look(earlier)} from before: glossbook settle")
    return [*lines, *_unknown(book, questions)], bool(summary.to_look or earlier > 0)


def mark_pile(
    book: Book,
    folder: Path,
    scheme: Scheme | None,
    said: Callable[[int, int], None],
    received: str | None,
    by: str,
) -> run.Summary:
    """Mark what lies in a folder, and note when it came where somebody says so."""
    beside = None
    if scheme:
        know_dry_runs(book, scheme)
        beside = scheme.questions_folder
    summary = run.mark_folder(
        folder,
        book,
        received_at=received,
        tell=lambda progress: said(progress.done, progress.total),
        prepare=partial(own.prepare, beside) if beside else None,
    )
    if summary.new and received:
        detail = {"received": received, "files": summary.new}
        decisions = [{"what": "received", "detail": detail}]
        book.append(by=by, reason="Time of receipt", decisions=decisions)
    return summary


def new_states(summary: run.Summary) -> list[str]:
    """Return how many new hand-ins are in which state, as a line; none where nothing is new."""
    states = ", ".join(f"{n} {state}" for state, n in sorted(summary.states.items()))
    return [f"New: {states}."] if states else []


def _files(count: int, known: int) -> str:
    read = f"{count} {'file' if count == 1 else 'files'} read"
    if not known:
        return f"{read}."
    return f"{read}; {'all' if known == count else known} were already recorded."


MOST_RECEIPTS = 40  # that are printed; a file holds all of them


def _receipts(book: Book, summary: run.Summary, path: Path | None) -> list[str]:
    """Return a line for each receipt, or write them all to a file."""
    given = book.receipts(summary.pile)
    if path is not None:
        with path.open("w", encoding="utf-8-sig", newline="") as file:
            writer = csv.writer(file, quoting=csv.QUOTE_ALL)
            for row in [("Sheet", "File", "Receipt"), *given]:
                writer.writerow(map(safe_cell, row))
        return [f"Receipts: {path}"]
    first = islice(given, MOST_RECEIPTS)
    shown = [f"  {token}: receipt {number}" for token, _, number in first]
    if summary.receipts > MOST_RECEIPTS:
        more = summary.receipts - MOST_RECEIPTS
        shown.append(f"  and {more} more: write them with --receipts FILE")
    return ["Receipts for students:", *shown] if shown else []


def _need_a_look(count: int) -> str:
    return f"{count} {'needs' if count == 1 else 'need'} a look"


def _unknown(book: Book, questions: Mapping[str, Question]) -> list[str]:
    """Say which papers ask what is not at hand, so that nothing follows through."""
    return [
        f"Paper {paper.name} asks questions of your own. Mark with --scheme, so that "
        "what follows from an earlier answer is marked too."
        for paper in book.papers()
        if paper.state == "issued" and set(paper.plan.get("questions", ())) - questions.keys()
    ]


def key_in(
    book: Book,
    token: str,
    by: str,
    scheme: Path | None,
    received: str | None,
    ask: Callable[[str], str],
) -> tuple[list[str], bool]:
    """Ask for each answer of a sheet on paper, record them, say what came of it."""
    must_name(by)
    questions_for(read_scheme(scheme) if scheme else None)
    when = parse_time(received) if received else None
    answers = {}
    for key in answer_boxes(book.sheet(token).questions):
        label = key.label
        text = ask(f"{key.key}{' ' + label if label else ''}").strip()
        if text:
            answers[key.key] = text
    handin = run.key_in(book, token, answers, by, received_at=when)
    marks = book.marks(handin.id)
    got, total = sum(m.awarded for m in marks), sum(m.total for m in marks)
    lines = [f"Recorded as hand-in {handin.id}: {got:g} of {total:g} marks."]
    if handin.needs_a_look:
        lines += [f"  {text}" for text in checks.what_to_settle(handin, book.students())]
    return lines, handin.needs_a_look


# --- reports -------------------------------------------------------------------------------------


def report(
    book: Book,
    out: Path,
    paper: str | None,
    *,
    solutions: bool = False,
    signed: str = "",
    evidence: bool = False,
    roster: tuple[str, str, str] = ("", "", ""),
    site: str = "",
) -> list[str]:
    """Write letters, class reports and marks, and what else is asked for."""
    titles = all_titles()
    lines = []
    course = signposts(checked_site(site) or str(book.about.get("site", "")))
    for one in class_report.write_reports(
        book, out, paper=paper, solutions=solutions, lessons=titles, signed=signed, course=course
    ):
        count = len(one.letters)
        lines.append(
            f"{one.paper}: {count} {'letter' if count == 1 else 'letters'} in {out / 'letters'}."
        )
        lines.append(f"  Class report: {one.report}")
        lines += [f"  Marks: {path}" for path in one.marks]
        lines += [f"  {note}" for note in one.notes]
        moved = moved_answers(book.sheets(one.paper), bank())
        if moved:
            lines.append("  Formulas have changed since these sheets; their answers stand:")
            lines += [f"  {each.said()}" for each in moved]
        if evidence:
            packs = evidence_packs(book, out / "evidence", one.paper, lessons=titles)
            lines.append(f"  {len(packs)} evidence packs in {out / 'evidence'}.")
    if paper is None and (seen := write_bench_reports(book, out, lessons=titles, signed=signed)):
        lines.append(f"The practical: {len(seen.letters)} letters in {out / 'letters'}.")
        lines += [f"  Class report: {seen.report}", f"  Both kinds: {seen.results}"]
    if paper is None and (told := write_comments(book, out, lessons=titles, signed=signed)):
        count = len(told.sheets)
        lines.append(
            f"Dry runs: {count} {'sheet' if count == 1 else 'sheets'} of comments in "
            f"{out / 'letters' / 'dry-runs'}; they carry no marks."
        )
        lines += [f"  {one}" for one in told.sentences]
    class_id, category, term = roster
    if class_id:
        made = oneroster.oneroster(
            book,
            out / "oneroster.zip",
            oneroster.Roster(class_id, category_id=category, session_id=term),
            papers=[paper] if paper else None,
        )
        lines += [
            f"OneRoster results: {made.path}",
            *(f"  {note}" for note in made.notes),
        ]
    if lines and not paper:
        lines.append(f"Results across papers: {out / 'results.csv'}, {out / 'results.xlsx'}")
    if lines:
        lines.append(f"Record of the mark book: {book.head()} (glossbook verify)")
    return [*(lines or ["No paper has been issued yet."]), *_too_old(book)]


def _too_old(book: Book) -> list[str]:
    """Say whose data are older than the book says they are kept."""
    keep = str(book.about.get("keep_data", ""))
    people = personal_data.kept_too_long(book, keep) if keep else []
    if not people:
        return []
    shown = ", ".join(people[:20]) + (" ..." if len(people) > 20 else "")
    return [
        f"Data are kept for {letters.keep_in_words(keep)}, and those of {len(people)} "
        f"are older: {shown}.",
        "Erase each: glossbook person ID --erase --by NAME --reason WHY",
    ]


def open_solutions(book: Book, paper: str | None, by: str, reason: str) -> list[str]:
    """Record that the worked solutions of a paper are open from now on."""
    if paper is None:
        raise fault_error("--paper", "is not given", "", "", "Name the paper whose solutions open")
    letters.open_solutions(book, paper, by, reason)
    return [f"The worked solutions of {paper} are open: letters may show them."]


# --- moderation, corrections, people ------------------------------------------------------------------


def moderate(
    book: Book,
    paper: str,
    out: Path,
    one_in: int,
    second_marks: Path | None,
    by: str,
    final_marks: Path | None = None,
) -> list[str]:
    """Write a blind sample, or read second or final marks back; say how far they agree."""
    if final_marks:
        new = adjudicate(book, paper, final_marks, by)
        return [f"{new} marks given by {by}.", *agreement(book, paper).sentences]
    if second_marks:
        new = read_second_marks(book, paper, second_marks, by)
        table = to_adjudicate(book, paper, out)
        left = [f"To decide by a third person: {table}. Then: --final-marks {table} --by NAME"]
        return [
            f"{new} second marks noted.",
            *agreement(book, paper).sentences,
            *(left if table else []),
        ]
    chosen = sample(book, paper, one_in=one_in)
    page, table = blind_sheets(chosen, out)
    return [
        f"{len(chosen.picks)} sheets to mark a second time. {chosen.rule}",
        f"To print: {page}",
        f"To fill in: {table}. Then: --second-marks {table} --by NAME",
    ]


def remark(
    book: Book,
    paper: str,
    fix: corrections.Correction,
    by: str,
    reason: str,
    scheme: Path | None = None,
    lower: Iterable[str] = (),
) -> list[str]:
    """Show who moves by a correction; change marks only where a name confirms it."""
    questions_for(read_scheme(scheme) if scheme else None)
    preview = corrections.preview_remark(book, paper, fix)
    if not by:
        return [
            *preview.sentences,
            "Nothing is changed yet. Confirm with --by NAME --reason WHY.",
        ]
    new = corrections.remark(book, preview, by=by, reason=reason, lower=lower)
    return [
        *preview.sentences,
        f"{new} new marks; the old ones are kept in the history.",
    ]


def person(
    book: Book, student: str, export: Path | None, erase_by: str, reason: str, out: Path
) -> list[str]:
    """Export what the book holds about a person, or erase the person from it."""
    if export:
        return [
            f"All that the book holds about {student}: "
            f"{personal_data.export_person(book, student, export)}"
        ]
    erased = personal_data.erase_person(book, student, erase_by, reason, reports=out)
    return [
        f"Erased. The marks are kept as numbers, under {erased.kept_as}.",
        *(f"Deleted: {path}" for path in erased.deleted),
        *(f"By hand: {text}" for text in erased.left),
    ]
