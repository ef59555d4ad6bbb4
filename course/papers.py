"""What the commands on papers do: issue, mark, settle, report; lines come back to be said."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from typing import Any

from calculators.faults import Fault, FaultsError, refuse
from calculators.units import say
from course.book import all_titles
from course.scheme import Scheme, read_scheme
from exercises import (
    classlist,
    exports,
    letters,
    moderation,
    own,
    pile,
    reports,
    worksheet,
)
from exercises import issue as issuing
from exercises.keys import answer_keys
from exercises.markbook import Book, HandIn, create, open_book
from exercises.question import Question, bank

DRAFT = "paper-to-check.html"


def questions_for(scheme: Scheme | None) -> dict[str, Question]:
    """Return the bank, with the lecturer's own questions where the scheme names a folder."""
    if scheme and scheme.questions_folder:
        own.load(scheme.questions_folder)
    else:
        own.forget()
    return bank()


def try_papers(scheme: Scheme) -> None:
    """Load the lecturer's own questions and try every paper; tell all faults at once."""
    questions = questions_for(scheme)
    faults: list[Fault] = []
    for name in scheme.papers:
        try:
            issuing.choose(scheme.paper_plan(name), questions)
        except FaultsError as error:
            faults += error.faults
    if faults:
        raise FaultsError(faults)


def book_for(scheme: Scheme, path: Path) -> Book:
    """Return the mark book; a new one knows whose it is and how long data are kept."""
    if path.exists():
        return open_book(path)
    about = {"school": scheme.school.name, "keep_data": say(scheme.keep_data)}
    return create(path, about)


# --- issuing --------------------------------------------------------------------------


def issue(
    scheme: Scheme,
    paper: str,
    class_list: Path | None,
    book: Path,
    out: Path,
    checked_by: str | None,
    sitting: int,
) -> list[str]:
    """Draft a paper, or issue it once a named person has looked through it."""
    plan = scheme.paper_plan(paper)
    questions = questions_for(scheme)
    with book_for(scheme, book) as held:
        known = {one.name: one for one in held.papers()}
        drafted = known.get(paper)
        if drafted is None or (drafted.state == "drafted" and not checked_by):
            drafted = issuing.draft(plan, questions, held)
        if drafted.state == "drafted":
            draft = out / DRAFT
            out.mkdir(parents=True, exist_ok=True)
            draft.write_text(issuing.draft_text(drafted, questions), encoding="utf-8")
            if not checked_by:
                return [
                    f"Drafted. Look through {draft}: questions, answers, marks.",
                    'Then run the same again with --checked-by "Your Name".',
                ]
            drafted = issuing.check(drafted, checked_by, held)
        if class_list is None:
            raise refuse(
                "--class", "is not given", "", "", "Give the class list, a CSV file"
            )
        read = classlist.read_class(class_list)
        issued = issuing.issue_sheets(
            drafted,
            questions,
            read.students,
            held,
            out,
            checked_by or "",
            sitting=sitting,
        )
    return [
        *read.notes,
        f"{issued.sheets} sheets, {issued.written} written now, in {issued.out}.",
        f"The mark scheme is {issued.scheme}: for the assessor, not for students.",
        f"The mark book is {book}. Keep it: marking needs it.",
    ]


def practice_sets(scheme: Scheme, paper: str, out: Path, sets: int) -> list[str]:
    """Draw practice sets; they are in no mark book."""
    plan = scheme.paper_plan(paper)
    questions = questions_for(scheme)
    out.mkdir(parents=True, exist_ok=True)
    for n in range(1, sets + 1):
        sheet = issuing.practice(plan, questions, f"{paper} {n}")
        for ending, text in (
            (".html", worksheet.web_page(sheet)),
            ("-paper.html", worksheet.paper(sheet)),
            (".ipynb", worksheet.notebook(sheet)),
            ("-answers.html", worksheet.mark_scheme([sheet])),
        ):
            (out / f"{paper}-{n}{ending}").write_text(text, encoding="utf-8")
    return [
        f"{sets} practice {'set' if sets == 1 else 'sets'} in {out}, each with its answers."
    ]


# --- marking ----------------------------------------------------------------------------


def mark(
    book: Book,
    folder: Path | None,
    scheme: Path | None,
    said: Callable[[int, int], None],
) -> tuple[list[str], bool]:
    """Mark a folder; return what to say, and whether something needs a look."""
    held = read_scheme(scheme) if scheme else None
    questions_for(held)  # its faults are told here, before a file is marked
    beside = held.questions_folder if held else None
    summary = pile.mark_folder(
        folder or Path(),
        book,
        tell=lambda progress: said(progress.done, progress.total),
        prepare=partial(own.prepare, beside) if beside else None,
    )
    states = ", ".join(f"{n} {state}" for state, n in sorted(summary.states.items()))
    lines = [f"{summary.met} files met, {summary.known} of them known from before."]
    if states:
        lines.append(f"New: {states}.")
    if summary.to_look:
        lines.append(f"{summary.to_look} need a look:")
        lines += [f"  {path}: {why}" for path, why in summary.look]
        if summary.to_look > len(summary.look):
            lines.append(
                f"  and {summary.to_look - len(summary.look)} more: glossbook settle"
            )
    return lines, bool(summary.to_look)


def keyed(book: Book, token: str, ask: Callable[[str], str]) -> dict[str, str]:
    """Ask for each answer of a sheet on paper; an empty one is left out."""
    sheet = book.sheet(token)
    answers = {}
    for key in answer_keys(sheet.questions):
        label = key.part.get("label", "")
        answers[key.key] = ask(f"{key.key}{' ' + label if label else ''}").strip()
    return {key: text for key, text in answers.items() if text}


def key_in(
    book: Book, token: str, answers: Mapping[str, str], by: str
) -> tuple[list[str], bool]:
    """Record a sheet from paper; return what to say, and whether it needs a look."""
    handin = pile.key_in(book, token, answers, by)
    marks = book.marks(handin.id)
    got, total = sum(m.awarded for m in marks), sum(m.total for m in marks)
    return [
        f"Recorded as hand-in {handin.id}: {got:g} of {total:g} marks."
    ], handin.needs_a_look


# --- settling ---------------------------------------------------------------------------------


def to_settle(book: Book) -> list[str]:
    """Return what needs a look, a hand-in a line, with what there is to settle."""
    students = book.students()
    waiting = [one for one in book.handins() if one.needs_a_look]
    if not waiting:
        return ["Nothing needs a look."]
    lines = [f"{len(waiting)} hand-ins need a look."]
    lines += [
        f"  {one.id}  {one.path}: {' '.join(pile.what_to_settle(one, students))}"
        for one in waiting
    ]
    return [
        *lines,
        'Settle one: glossbook settle NUMBER --decision settled --by "Name" --reason "why"',
    ]


def settle(
    book: Book,
    handin: int,
    decision: str | None,
    part: str | None,
    marks: float | None,
    by: str,
    reason: str,
) -> list[str]:
    """Record a decision on a hand-in, or other marks for one of its parts."""
    if part is not None and marks is not None:
        held = {m.part: m for m in book.marks(handin)}
        if part not in held:
            raise refuse(
                "--part", "is not a part of this hand-in", part, ", ".join(held) or "It has none",
                "Look at the mark scheme",
            )  # fmt: skip
        detail: dict[str, Any] = {"awarded": marks, "reason": reason}
        book.decide("marks", by=by, reason=reason, mark=held[part].id, detail=detail)
        return [f"{part}: {marks:g} of {held[part].total:g} marks, decided by {by}."]
    if decision is None:
        return _one(book, handin)
    book.decide(decision, by=by, reason=reason, handin=handin)
    return [f"Hand-in {handin}: {decision}, decided by {by}."]


def _one(book: Book, handin: int) -> list[str]:
    found: list[HandIn] = [one for one in book.handins() if one.id == handin]
    if not found:
        raise refuse(
            "hand-in", "is not in this book", handin, "", "List them: glossbook settle"
        )
    one = found[0]
    lines = [f"Hand-in {one.id}, {one.path}: {one.state}. {one.reason}".rstrip()]
    lines += [f"  {text}" for text in pile.what_to_settle(one, book.students())]
    lines += [
        f"  {m.part}: {m.awarded:g} of {m.total:g}. {m.reason} (by {m.by})"
        for m in book.marks(handin)
    ]
    return lines


# --- reports -------------------------------------------------------------------------------------


def report(
    book: Book,
    out: Path,
    paper: str | None,
    *,
    solutions: bool = False,
    signed: str = "",
    evidence: bool = False,
    roster: str = "",
) -> list[str]:
    """Write letters, class reports and marks, and what else is asked for."""
    titles = all_titles()
    lines = []
    for one in reports.write_reports(
        book, out, paper=paper, solutions=solutions, lessons=titles, signed=signed
    ):
        lines.append(f"{one.paper}: {len(one.letters)} letters in {out / 'letters'}.")
        lines.append(f"  Class report: {one.report}")
        lines += [f"  Marks: {path}" for path in one.marks]
        lines += [f"  {note}" for note in one.notes]
        if evidence:
            packs = exports.evidence_packs(
                book, out / "evidence", one.paper, lessons=titles
            )
            lines.append(f"  {len(packs)} evidence packs in {out / 'evidence'}.")
    if roster:
        made = exports.oneroster(
            book,
            out / "oneroster.zip",
            exports.Roster(roster),
            papers=[paper] if paper else None,
        )
        lines += [
            f"OneRoster results: {made.path}",
            *(f"  {note}" for note in made.notes),
        ]
    return lines or ["No paper has been issued yet."]


def open_solutions(book: Book, paper: str | None, by: str, reason: str) -> list[str]:
    """Record that the worked solutions of a paper are open from now on."""
    if paper is None:
        raise refuse(
            "--paper", "is not given", "", "", "Name the paper whose solutions open"
        )
    letters.open_solutions(book, paper, by, reason)
    return [f"The worked solutions of {paper} are open: letters may show them."]


# --- moderation, corrections, people ------------------------------------------------------------------


def moderate(
    book: Book, paper: str, out: Path, one_in: int, second_marks: Path | None, by: str
) -> list[str]:
    """Write a blind sample, or read second marks back; say how far they agree."""
    if second_marks:
        new = moderation.read_second_marks(book, paper, second_marks, by)
        return [
            f"{new} second marks noted.",
            *moderation.agreement(book, paper).sentences,
        ]
    chosen = moderation.sample(book, paper, one_in=one_in)
    page, table = moderation.blind_sheets(chosen, out)
    return [
        f"{len(chosen.picks)} sheets to mark a second time. {chosen.rule}",
        f"To print: {page}",
        f"To fill in: {table}. Then: --second-marks {table} --by NAME",
    ]


def remark(
    book: Book, paper: str, fix: moderation.Correction, by: str, reason: str
) -> list[str]:
    """Show who moves by a correction; change marks only where a name confirms it."""
    preview = moderation.preview_remark(book, paper, fix)
    if not by:
        return [
            *preview.sentences,
            "Nothing is changed yet. Confirm with --by NAME --reason WHY.",
        ]
    new = moderation.remark(book, preview, by=by, reason=reason)
    return [
        *preview.sentences,
        f"{new} new marks; the old ones are kept in the history.",
    ]


def person(
    book: Book, student: str, export: Path | None, erase_by: str, reason: str, out: Path
) -> list[str]:
    """Export what the book holds about a person, or erase the person from it."""
    if export:
        return [f"All that the book holds about {student}: "
                f"{exports.export_person(book, student, export)}"]  # fmt: skip
    erased = exports.erase_person(book, student, erase_by, reason, reports=out)
    return [
        f"Erased. The marks are kept as numbers, under {erased.kept_as}.",
        *(f"Deleted: {path}" for path in erased.deleted),
        *(f"By hand: {text}" for text in erased.left),
    ]
