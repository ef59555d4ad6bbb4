"""What the commands on papers do: issue, mark, settle, report; lines come back to be said."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import partial
from pathlib import Path

from calculators.faults import Fault, FaultsError, fault_error
from calculators.units import say
from course.office.report_lines import visible
from course.scheme.model import Scheme
from course.scheme.reading import read_scheme
from course.site.building import all_titles
from exercises.book.book import Book, create, open_book
from exercises.book.records import PaperRecord, Student, must_name
from exercises.book.times import parse_time
from exercises.craft import own_pictures
from exercises.marking import checks, run
from exercises.marking.rules import share_by_units_alone
from exercises.questions import building, own
from exercises.questions.answer_boxes import answer_boxes
from exercises.questions.outcomes import outcomes
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
from exercises.reports.second_marks import (
    adjudicate,
    agreement,
    blind_sheets,
    read_second_marks,
    sample,
    to_adjudicate,
)
from exercises.reports.spreadsheets import safe_cell
from exercises.sheets import choice, issuing, mark_scheme, notebook, page
from exercises.sheets.blueprint import JUDGEMENT, Blueprint
from exercises.sheets.class_list import read_class

DRAFT = "to-check.html"
SAFETY = "kitchen-hazards"  # the outcome of Kitchen first that comes before hot sugar


def questions_for(scheme: Scheme | None) -> dict[str, Question]:
    """Return the bank, with the lecturer's own questions where the scheme names a folder."""
    own_pictures.load(scheme.pictures_folder if scheme else None)
    if scheme and scheme.questions_folder:
        own.load(scheme.questions_folder)
    else:
        own.forget()
    return bank()


def try_papers(scheme: Scheme) -> list[str]:
    """Try the glaze, the lecturer's own lessons and questions, and every paper.

    Returns what each paper asks: outcome by outcome, with question, level and marks, what
    goes unasked, and what right units alone would earn where the rules let them.

    The heads of lessons are read and nothing in them is run.  All faults are told at
    once; papers are tried with questions that are whole.
    """
    faults: list[Fault] = scheme.glaze_faults()
    try:
        own_pictures.load(scheme.pictures_folder)
    except FaultsError as error:
        faults += error.faults
    if scheme.lessons_folder or scheme.term:
        from course.making.lessons import lessons_of  # takes half a second to load
        from course.site.weeks import weeks_of

        try:
            taught = lessons_of(scheme.modules, scheme.lessons_folder)
            if scheme.term:
                weeks_of(scheme.term, taught)
        except FaultsError as error:
            faults += error.faults
    try:
        questions = questions_for(scheme)
    except FaultsError as error:
        raise FaultsError([*faults, *error.faults]) from None
    lines: list[str] = []
    for name in scheme.papers:
        plan = scheme.paper_plan(name)
        try:
            chosen = choice.choose(plan, questions)
            lines += _paper_lines(plan, chosen, scheme.papers[name].use == "assessed", questions)
        except FaultsError as error:
            faults += error.faults
    if faults:
        raise FaultsError(faults)
    return lines


def _paper_lines(
    plan: choice.PaperPlan,
    chosen: Sequence[Question],
    assessed: bool,
    questions: Mapping[str, Question],
) -> list[str]:
    """Return what a paper could ask, and what it can judge; the mark book chooses.

    A paper on which nobody could meet what must be met is refused.
    """
    drawn = [building.build(one, plan.name, plan.kitchen) for one in chosen]
    if not assessed:
        return [f"Practice {plan.name}: {len(chosen)} questions, drawn anew for each set."]
    asked = choice.paper_blueprint(plan, chosen)
    bears(plan, asked, questions)
    lines = [f"Paper {plan.name} could ask this; which questions, the mark book decides:"]
    lines += [
        f"  {line}" for line in [*asked.lines(), *_safety(plan), *offers(plan, asked, questions)]
    ]
    if alone := share_by_units_alone(drawn, plan.policy):
        lines.append(f"  Right units alone can earn {alone:.0%} of its marks.")
    return lines


def offers(
    plan: choice.PaperPlan, asked: Blueprint, questions: Mapping[str, Question]
) -> list[str]:
    """Return the longest papers that bear all they claim, where this one does not."""
    if not asked.not_judged and asked.judgement >= JUDGEMENT - 1e-9:
        return []
    heads = ("The longest honest paper of that many questions:", "To judge more of them:")
    papers = choice.honest_papers(plan, questions)
    return [f"{head} {one.said()}" for head, one in zip(heads, papers, strict=False)]


def bears(plan: choice.PaperPlan, asked: Blueprint, questions: Mapping[str, Question]) -> None:
    """Refuse a paper that can't judge what it says must be met."""
    offered = offers(plan, asked, questions)
    faults = [
        Fault(
            f"paper {plan.name}, must_pass",
            "can't be judged by this paper",
            row.outcome,
            row.said(),
            offered[-1] if offered else "Add questions, or take it out of must_pass",
        )
        for row in asked.rows
        if row.must and row.missing
    ]
    if faults:
        raise FaultsError(faults)


def _safety(plan: choice.PaperPlan) -> list[str]:
    """Say where a paper that leads to hot sugar has no hurdle of safety."""
    hot = any("hot-sugar" in outcomes()[name].hazards for name in plan.outcomes)
    if not hot or SAFETY in plan.must_pass:
        return []
    return [
        f'Hot sugar comes with it, and no safety must be met: put "{SAFETY}" among its '
        "outcomes and into must_pass, with three questions of the level decide."
    ]


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
    return (kept, drafted.policy, drafted.pass_rule) != (
        plan.plain(),
        plan.policy,
        plan.pass_rule,
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
    by: str = "",
    receipts: Path | None = None,
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
    lines = [_files(summary.met, summary.known)]
    if states:
        lines.append(f"New: {states}.")
    if summary.new and received and by:
        detail = {"received": received, "files": summary.new}
        book.append(
            by=by, reason="Time of receipt", decisions=[{"what": "received", "detail": detail}]
        )
    lines += _receipts(summary.receipts, receipts)
    if summary.to_look:
        lines.append(f"{_need_a_look(summary.to_look)}:")
        lines += [f"  {visible(path)}: {visible(why)}" for path, why in summary.look]
        if summary.to_look > len(summary.look):
            lines.append(f"  and {summary.to_look - len(summary.look)} more: glossbook settle")
    earlier = book.waiting() - summary.to_look
    if earlier > 0:
        also = "And " if summary.to_look else ""
        lines.append(f"{also}{_need_a_look(earlier)} from before: glossbook settle")
    return [*lines, *_unknown(book, questions)], bool(summary.to_look or earlier > 0)


def _files(count: int, known: int) -> str:
    read = f"{count} {'file' if count == 1 else 'files'} read"
    if not known:
        return f"{read}."
    return f"{read}; {'all' if known == count else known} were already recorded."


MOST_RECEIPTS = 40  # that are printed; a file holds all of them


def _receipts(given: Sequence[tuple[str, str, str]], path: Path | None) -> list[str]:
    """Return a line for each receipt, or write them all to a file."""
    if path is not None:
        with path.open("w", encoding="utf-8-sig", newline="") as file:
            writer = csv.writer(file, quoting=csv.QUOTE_ALL)
            for row in [("Sheet", "File", "Receipt"), *given]:
                writer.writerow(map(safe_cell, row))
        return [f"Receipts: {path}"]
    shown = [f"  {token}: receipt {number}" for token, _, number in given[:MOST_RECEIPTS]]
    if len(given) > MOST_RECEIPTS:
        shown.append(f"  and {len(given) - MOST_RECEIPTS} more: write them with --receipts FILE")
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
) -> list[str]:
    """Write letters, class reports and marks, and what else is asked for."""
    titles = all_titles()
    lines = []
    for one in class_report.write_reports(
        book, out, paper=paper, solutions=solutions, lessons=titles, signed=signed
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
