"""What the commands on papers do: issue, mark, settle, report; lines come back to be said."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import partial
from pathlib import Path
from typing import Any

from calculators.faults import Fault, FaultsError, fault_error
from calculators.units import say
from course.scheme.model import Scheme
from course.scheme.reading import read_scheme
from course.site.building import all_titles
from exercises.book.book import Book, create, open_book
from exercises.book.records import HandIn, PaperRecord, Student, must_name
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
from exercises.reports.evidence import evidence_packs
from exercises.reports.second_marks import agreement, blind_sheets, read_second_marks, sample
from exercises.sheets import choice, issuing, mark_scheme, notebook, page
from exercises.sheets.class_list import read_class

DRAFT = "to-check.html"


def questions_for(scheme: Scheme | None) -> dict[str, Question]:
    """Return the bank, with the lecturer's own questions where the scheme names a folder."""
    own_pictures.load(scheme.pictures_folder if scheme else None)
    if scheme and scheme.questions_folder:
        own.load(scheme.questions_folder)
    else:
        own.forget()
    return bank()


def try_papers(scheme: Scheme) -> None:
    """Try the glaze, the lecturer's own lessons and questions, and every paper.

    The heads of lessons are read and nothing in them is run.  All faults are told at
    once; papers are tried with questions that are whole.
    """
    faults: list[Fault] = scheme.glaze_faults()
    try:
        own_pictures.load(scheme.pictures_folder)
    except FaultsError as error:
        faults += error.faults
    if scheme.lessons_folder:
        from course.making.lessons import lessons_of  # takes half a second to load

        try:
            lessons_of((), scheme.lessons_folder)
        except FaultsError as error:
            faults += error.faults
    try:
        questions = questions_for(scheme)
    except FaultsError as error:
        raise FaultsError([*faults, *error.faults]) from None
    for name in scheme.papers:
        try:
            choice.choose(scheme.paper_plan(name), questions)
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
    dates: tuple[str, str] = ("", ""),
) -> list[str]:
    """Draft a paper, or issue it once a named person has looked through it."""
    plan = scheme.paper_plan(paper)
    _dates_fit(plan, sitting, *dates)
    questions = questions_for(scheme)
    # Its faults are told with the draft, and not after the paper was checked.
    read = read_class(class_list) if class_list else None
    with book_for(scheme, book) as held:
        drafted = {one.name: one for one in held.papers()}.get(paper)
        fresh = drafted is None or (
            drafted.state == "drafted" and (not checked_by or _is_other(plan, drafted))
        )
        if drafted is None or fresh:
            drafted = issuing.draft(plan, questions, held)
        if drafted.state == "drafted":
            draft = out / f"{paper}-{DRAFT}"
            out.mkdir(parents=True, exist_ok=True)
            draft.write_text(issuing.draft_text(drafted, questions), encoding="utf-8")
            if checked_by and fresh:
                raise fault_error(
                    f"paper {paper}",
                    "is drafted only now, and nobody has seen it",
                    "",
                    "",
                    f"Look through {draft}, then run the same again",
                )
            if not checked_by:
                return [
                    f"Drafted. Look through {draft}: questions, answers, marks.",
                    'Then run the same again with --checked-by "Your Name".',
                ]
            drafted = issuing.check(drafted, checked_by, held)
        if read is None:
            raise fault_error("--class", "is not given", "", "", "Give the class list, a CSV file")
        if not checked_by:
            raise fault_error(
                "--checked-by",
                "is not given",
                "",
                "",
                "Give the name of who issues these sheets",
            )
        issued = issuing.issue_sheets(
            drafted,
            questions,
            read.students,
            held,
            out,
            checked_by,
            sitting=sitting,
            opens_on=dates[0],
            hand_in_by=dates[1],
        )
    return [
        *read.notes,
        *_without_extra(read.students, dates[0] or plan.opens_on),
        f"{issued.sheets} sheets, {issued.written} written now, in {issued.out}.",
        f"The mark scheme is {issued.scheme}: for the assessor, not for students.",
        f"The mark book is {book}. Keep it: marking needs it.",
    ]


def _dates_fit(plan: choice.PaperPlan, sitting: int, opens: str, closes: str) -> None:
    """Refuse days that are none, and a resit that would be late from the first."""
    if sitting > 1 and plan.hand_in_by and not closes:
        raise fault_error(
            "--hand-in-by",
            "is not given",
            "",
            f"The first sitting's day was {plan.hand_in_by}",
            "Give the day of this sitting",
        )
    first = parse_time(opens or plan.opens_on, end_of_day=False) if opens or plan.opens_on else None
    last = parse_time(closes or plan.hand_in_by) if closes or plan.hand_in_by else None
    if (opens or closes) and first and last and last <= first:
        raise fault_error(
            "--hand-in-by",
            "is not after the day on which the paper opens",
            closes or plan.hand_in_by,
            f"It opens on {opens or plan.opens_on}",
            "Give a later day, or --opens-on too",
        )


def _is_other(plan: choice.PaperPlan, drafted: PaperRecord) -> bool:
    """Tell whether the scheme asks for another paper than the one that was drafted."""
    kept = {key: drafted.plan.get(key) for key in plan.plain()}
    rule = {"share": plan.pass_share, "must_pass": list(plan.must_pass)}
    return (kept, drafted.policy, drafted.pass_rule) != (
        plan.plain(),
        plan.policy,
        rule,
    )


def _without_extra(students: Iterable[Student], opens_on: str) -> list[str]:
    """Say whose share of extra time can't be worked out."""
    if opens_on:
        return []
    return [
        f"{one.id}: {one.extra_time} of extra time can't be worked out, for the paper "
        "does not say when it opens. Give opens_on, or other_date in the class list."
        for one in students
        if "%" in one.extra_time or "cent" in one.extra_time
    ]


def practice_sets(scheme: Scheme, paper: str, out: Path, sets: int) -> list[str]:
    """Draw practice sets; they are in no mark book."""
    plan = scheme.paper_plan(paper)
    questions = questions_for(scheme)
    out.mkdir(parents=True, exist_ok=True)
    for n in range(1, sets + 1):
        sheet = issuing.practice(plan, questions, f"{paper} {n}")
        for ending, text in (
            (".html", page.web_page(sheet)),
            ("-paper.html", page.paper(sheet)),
            (".ipynb", notebook.notebook(sheet)),
            ("-answers.html", mark_scheme.mark_scheme([sheet])),
        ):
            (out / f"{paper}-{n}{ending}").write_text(text, encoding="utf-8")
    return [f"{sets} practice {'set' if sets == 1 else 'sets'} in {out}, each with its answers."]


# --- marking ----------------------------------------------------------------------------


def mark(
    book: Book,
    folder: Path | None,
    scheme: Path | None,
    said: Callable[[int, int], None],
    received: str | None = None,
) -> tuple[list[str], bool]:
    """Mark a folder; return what to say, and whether something needs a look."""
    held = read_scheme(scheme) if scheme else None
    questions = questions_for(held)  # its faults are told before a file is marked
    beside = held.questions_folder if held else None
    summary = run.mark_folder(
        folder or Path(),
        book,
        received_at=received,
        tell=lambda progress: said(progress.done, progress.total),
        prepare=partial(own.prepare, beside) if beside else None,
    )
    states = ", ".join(f"{n} {state}" for state, n in sorted(summary.states.items()))
    lines = [f"{summary.met} files met, {summary.known} of them known from before."]
    if states:
        lines.append(f"New: {states}.")
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
        label = key.part.get("label", "")
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


# --- settling ---------------------------------------------------------------------------------


def to_settle(book: Book) -> list[str]:
    """Return what needs a look, a hand-in a line, with what there is to settle."""
    students = book.students()
    waiting = [one for one in book.handins() if one.needs_a_look]
    if not waiting:
        return ["Nothing needs a look."]
    owners = _owners(book, waiting)
    count = len(waiting)
    lines = [f"{count} hand-in{'s need' if count > 1 else ' needs'} a look."]
    lines += [
        f"  {one.id}  {owners.get(one.id, 'No sheet')}, {one.path}: "
        f"{' '.join(checks.what_to_settle(one, students))}"
        for one in waiting
    ]
    return [
        *lines,
        "Look at one: glossbook settle NUMBER",
        'Settle it: glossbook settle NUMBER --decision settled --by "Name" --reason "why"',
    ]


def _owners(book: Book, handins: Iterable[HandIn]) -> dict[int, str]:
    """Return whose sheet each hand-in is for, with the paper, by its number."""
    students = book.students()
    handins = list(handins)
    sheets = book.sheets_by_token((h.token for h in handins if h.token), needs="head")
    owners = {}
    for one in handins:
        sheet = sheets.get(one.token or "")
        if sheet is not None:
            person = students[sheet.student]
            name = f"{person.id} {person.name}".strip()
            resit = f", sitting {sheet.sitting}" if sheet.sitting > 1 else ""
            owners[one.id] = f"{name}, {sheet.paper}{resit}"
    return owners


def settle(
    book: Book,
    handin: int,
    decision: str | None,
    part: str | None,
    marks: float | None,
    by: str,
    reason: str,
) -> list[str]:
    """Record other marks for a part of a hand-in, a decision on it, or both."""
    one = _found(book, handin)
    held = {m.part: m for m in book.marks(handin)}
    if part is not None and part not in held:
        raise fault_error(
            "--part",
            "is not a part of this hand-in",
            part,
            ", ".join(held) or "It has none",
            "Look at the mark scheme",
        )
    if decision == "counts" and not held:
        raise fault_error(
            f"hand-in {handin}",
            "has no marks that could count",
            one.state,
            "",
            "Key its answers in: glossbook mark --on-paper TOKEN",
        )
    lines = []
    if part is not None and marks is not None:
        detail: dict[str, Any] = {"awarded": marks, "reason": reason}
        book.decide("marks", by=by, reason=reason, mark=held[part].id, detail=detail)
        lines.append(f"{part}: {marks:g} of {held[part].total:g} marks, decided by {by}.")
    if decision is not None:
        book.decide(decision, by=by, reason=reason, handin=handin)
        lines.append(f"Hand-in {handin}: {decision}, decided by {by}.")
    return lines or _one(book, one)


def _found(book: Book, handin: int) -> HandIn:
    for one in book.handins():
        if one.id == handin:
            return one
    raise fault_error("hand-in", "is not in this book", handin, "", "List them: glossbook settle")


def _one(book: Book, one: HandIn) -> list[str]:
    """Return a hand-in as an assessor looks at it: whose, what was written, what it got."""
    owner = _owners(book, [one]).get(one.id, "no sheet")
    lines = [
        f"Hand-in {one.id}, {one.path}: {one.state}. {one.reason}".rstrip(),
        f"  For: {owner}.",
    ]
    lines += [
        f"  {text}" for text in checks.what_to_settle(one, book.students()) if text != one.reason
    ]
    for m in book.marks(one.id):
        wrote = str(one.answers.get(m.part, "")).strip()
        shown = f" wrote {_printable(wrote)};" if wrote else ""
        lines.append(f"  {m.part}:{shown} {m.awarded:g} of {m.total:g}. {m.reason} (by {m.by})")
    lines += [f"  Working {key}: {_printable(text)}" for key, text in one.working.items()]
    lines += [
        f"  Decided: {d.what}, by {d.by}, {d.at[:10]}: {d.reason}" for d in book.decisions(one.id)
    ]
    return lines


def _printable(text: str) -> str:
    """Return what a student wrote on one line, with nothing that moves a cursor."""
    plain = "".join(c if c.isprintable() else " " for c in text)
    return f"“{' '.join(plain.split())}”"


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
) -> list[str]:
    """Write letters, class reports and marks, and what else is asked for."""
    titles = all_titles()
    lines = []
    for one in class_report.write_reports(
        book, out, paper=paper, solutions=solutions, lessons=titles, signed=signed
    ):
        lines.append(f"{one.paper}: {len(one.letters)} letters in {out / 'letters'}.")
        lines.append(f"  Class report: {one.report}")
        lines += [f"  Marks: {path}" for path in one.marks]
        lines += [f"  {note}" for note in one.notes]
        if evidence:
            packs = evidence_packs(book, out / "evidence", one.paper, lessons=titles)
            lines.append(f"  {len(packs)} evidence packs in {out / 'evidence'}.")
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
    book: Book, paper: str, out: Path, one_in: int, second_marks: Path | None, by: str
) -> list[str]:
    """Write a blind sample, or read second marks back; say how far they agree."""
    if second_marks:
        new = read_second_marks(book, paper, second_marks, by)
        return [
            f"{new} second marks noted.",
            *agreement(book, paper).sentences,
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
) -> list[str]:
    """Show who moves by a correction; change marks only where a name confirms it."""
    questions_for(read_scheme(scheme) if scheme else None)
    preview = corrections.preview_remark(book, paper, fix)
    if not by:
        return [
            *preview.sentences,
            "Nothing is changed yet. Confirm with --by NAME --reason WHY.",
        ]
    new = corrections.remark(book, preview, by=by, reason=reason)
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
