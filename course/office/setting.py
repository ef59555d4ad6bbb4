"""Papers tried, drafted, signed and issued; lines come back to be said."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from calculators.faults import Fault, FaultsError, fault_error
from course.office import papers
from course.scheme.model import Scheme
from exercises.book.book import Book, open_book
from exercises.book.records import PaperRecord, Student
from exercises.book.times import parse_time
from exercises.craft import own_pictures
from exercises.files.replacing import may_replace
from exercises.marking.rules import share_by_units_alone
from exercises.questions import building
from exercises.questions.outcomes import outcomes
from exercises.questions.registry import Question
from exercises.sheets import choice, drafting, issuing, mark_scheme, notebook, overview, worksheet
from exercises.sheets.blueprint import JUDGEMENT, Blueprint
from exercises.sheets.class_list import read_class
from exercises.sheets.qti import NOT_CARRIED
from exercises.sheets.sheet import say_date

DRAFT = "to-check.html"
SAFETY = "kitchen-hazards"  # the outcome of Kitchen first that comes before hot sugar


def try_papers(scheme: Scheme) -> dict[str, list[str]]:
    """Try the glaze, the lecturer's own lessons and questions, and every paper.

    Returns by paper what it asks: outcome by outcome, with question, level and marks, what
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
        questions = papers.questions_for(scheme)
    except FaultsError as error:
        raise FaultsError([*faults, *error.faults]) from None
    lines: dict[str, list[str]] = {}
    for name in scheme.papers:
        plan = scheme.paper_plan(name)
        try:
            chosen = choice.choose(plan, questions)
            assessed = scheme.papers[name].use == "assessed"
            lines[name] = _paper_lines(plan, chosen, assessed, questions)
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
        return [f"Practice {plan.name}: {len(chosen)} questions, drawn again for each set."]
    asked = choice.paper_blueprint(plan, chosen)
    bears(plan, asked, questions)
    lines = [f"Paper {plan.name} could ask this; which questions, the mark book decides:"]
    lines += [f"  {line}" for line in _said(plan, asked, questions)]
    if alone := share_by_units_alone(drawn, plan.policy):
        lines.append(f"  Right units alone can earn {alone:.0%} of its marks.")
    return lines


@dataclass(frozen=True)
class Standing:
    """A paper as its scheme has it now.

    Parameters
    ----------
    asked : frozenset of str
        Ids of the questions that it asks; with no mark book yet, that it could ask.
    lines : list of str
        What it judges by what; where it can't be drafted, first what is wrong.
    fits : bool
        Whether it can be drafted: enough questions, and what must be met is judged.
    """

    asked: frozenset[str]
    lines: list[str]
    fits: bool = True


def as_it_stands(scheme: Scheme, paper: str, book: Book | None) -> Standing:
    """Return what a paper asks as the scheme is now; a mark book decides which questions."""
    plan = _plan(scheme, paper)
    questions = papers.questions_for(scheme)
    try:
        chosen = (
            drafting.asked_now(plan, questions, book) if book else choice.choose(plan, questions)
        )
    except FaultsError as error:
        return Standing(frozenset(), [str(fault) for fault in error.faults], fits=False)
    stands = choice.paper_blueprint(plan, chosen)
    lines = _said(plan, stands, questions)
    asked = frozenset(one.id for one in chosen)
    try:
        bears(plan, stands, questions)
    except FaultsError as error:
        return Standing(asked, [*(str(fault) for fault in error.faults), *lines], fits=False)
    return Standing(asked, lines)


def _plan(scheme: Scheme, paper: str) -> choice.PaperPlan:
    """Return the plan of a paper, with what mark books of other terms have asked."""
    return replace(scheme.paper_plan(paper), used=_asked_in(scheme.earlier_books))


def _said(plan: choice.PaperPlan, asked: Blueprint, questions: Mapping[str, Question]) -> list[str]:
    """Return what a paper asks and can judge, and what would be better."""
    return [*asked.lines(), *_safety(plan), *offers(plan, asked, questions)]


def offers(
    plan: choice.PaperPlan, asked: Blueprint, questions: Mapping[str, Question]
) -> list[str]:
    """Return the longest papers that bear all they claim, where this one does not."""
    if not asked.not_judged and asked.judgement >= JUDGEMENT - 1e-9:
        return []
    return [
        f"{'That many questions can judge' if one.questions <= plan.count else 'To judge more'}: "
        f"{one.said()}"
        for one in choice.honest_papers(plan, questions)
    ]


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


def questions(
    scheme: Scheme, book: Path | None, out: Path | None, wanted: Sequence[str]
) -> list[str]:
    """List what a paper can ask, and where a mark book has it already; or draw it on a page."""
    bank = papers.questions_for(scheme)
    taught = [
        one.id
        for one in outcomes().values()
        if one.evidence != "do" and one.id not in scheme.left_out
    ]
    strange = [name for name in wanted if name not in taught]
    if strange:
        near = difflib.get_close_matches(strange[0], taught, n=1, cutoff=0.5)
        raise fault_error(
            "--outcome",
            "is not taught in this scheme",
            strange[0],
            "",
            f"Did you mean {near[0]}?" if near else "Leave it out, and look it up in the list",
        )
    used: dict[str, tuple[str, ...]] = {}
    if book is not None:
        with open_book(book) as held:
            used = overview.used_in(held)
    names = list(wanted) or taught
    found = overview.choosable(bank, names, scheme.kitchen_values(), used)
    if out is None:
        return overview.overview_lines(found)
    out = may_replace(out, "page")
    out.parent.mkdir(parents=True, exist_ok=True)
    out.write_text(overview.overview_page(found, scheme.title), encoding="utf-8")
    count = sum(map(len, found.values()))
    return [f"{count} questions, each drawn once with its answers: {out}. Not for students."]


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
    *,
    qti: bool = False,
    workers: int | None = None,
    said: Callable[[int, int], None] | None = None,
) -> list[str]:
    """Draft a paper, or issue it once a named person has looked through it.

    ``workers`` and ``said`` are those of :func:`exercises.sheets.issuing.issue_sheets`.
    """
    plan = _plan(scheme, paper)
    _dates_fit(plan, sitting, *dates)
    questions = papers.questions_for(scheme)
    # Its faults are told with the draft, and not after the paper was checked.
    read = read_class(class_list) if class_list else None
    with papers.book_for(scheme, book) as held:
        signed, lines = _signed(plan, questions, held, out, checked_by, sitting)
        if signed is None:
            return [*lines, 'Then run the same again with --checked-by "Your Name".']
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
        came_and_left = _came_and_left(held, paper, sitting, read.students)
        issued = issuing.issue_sheets(
            signed,
            questions,
            read.students,
            held,
            out,
            checked_by,
            sitting=sitting,
            opens_on=dates[0],
            hand_in_by=dates[1],
            workers=workers,
            said=said,
        )
        holders = _holders(held, paper, sitting)
        packed = issuing.write_packages(held, paper, out, sitting) if qti else None
    return [
        *read.notes,
        *_without_extra(read.students, dates[0] or plan.opens_on),
        *came_and_left,
        *holders,
        f"{issued.sheets} sheets, {issued.written} written now, in {issued.out}.",
        f"The mark scheme is {issued.scheme}: for the assessor, not for students.",
        f"The mark book is {book}. Keep it: marking needs it.",
        *(_packed(packed) if packed else ()),
    ]


def draft(scheme: Scheme, paper: str, book: Path, out: Path, sitting: int) -> None:
    """Write the draft of a sitting, to be looked through; nothing where nothing has changed."""
    plan = _plan(scheme, paper)
    questions = papers.questions_for(scheme)
    with papers.book_for(scheme, book) as held:
        _signed(plan, questions, held, out, None, sitting)


def _packed(made: issuing.Packages) -> list[str]:
    """Say what a platform gets, and what it does not."""
    left = ", ".join(made.left_out)
    return [
        f"{made.count} packages in QTI 3.0 are in {made.folder}: for the platform, not for "
        f"students, since they hold the answers. There a sheet is worth {made.marks:g} marks.",
        f"{NOT_CARRIED}" + (f" Left out: {left}." if left else ""),
    ]


def _asked_in(books: Iterable[Path]) -> frozenset[str]:
    """Return the questions that papers in these mark books asked."""
    asked: set[str] = set()
    for path in books:
        with open_book(path, read_only=True) as book:
            asked |= overview.used_in(book).keys()
    return frozenset(asked)


def _signed(
    plan: choice.PaperPlan,
    questions: Mapping[str, Question],
    held: Book,
    out: Path,
    checked_by: str | None,
    sitting: int,
) -> tuple[PaperRecord | None, list[str]]:
    """Return the version that is signed and says what the scheme asks for now.

    Where there is none, a draft is written, or the draft that was seen is signed; None and
    what to say where nobody has signed it yet.
    """
    record = {one.name: one for one in held.papers()}.get(plan.name)
    was = record.signed_for(sitting) or record.signed_for(1) if record else None
    changed = drafting.changes(was, plan, questions, held, sitting) if was else []
    if was and not changed:
        return was, []
    waiting = record.drafted_for(sitting) if record else None
    fresh = (
        waiting is None
        or not checked_by
        or bool(drafting.changes(waiting, plan, questions, held, sitting))
    )
    if fresh:
        asked = choice.paper_blueprint(plan, drafting.asked_now(plan, questions, held, sitting))
        bears(plan, asked, questions)
        waiting = drafting.draft(plan, questions, held, sitting)
    assert waiting is not None
    page_to_check = out / draft_name(plan.name, sitting)
    out.mkdir(parents=True, exist_ok=True)
    page_to_check.write_text(drafting.draft_text(waiting, questions, changed), encoding="utf-8")
    told = _changed_lines(changed, was, sitting) + _holders(held, plan.name, sitting, always=True)
    if checked_by and fresh:
        raise fault_error(
            f"paper {plan.name}",
            "is drafted only now, and nobody has seen it",
            "",
            "; ".join(changed),
            f"Look through {page_to_check}, then run the same again",
        )
    if not checked_by:
        asked = drafting.printed_blueprint(
            waiting, questions, drafting.built(waiting, questions, "worth")
        )
        missing = [row.said() for row in asked.not_judged]
        return None, [
            f"Drafted. Look through {page_to_check}: questions, what they show, answers, marks.",
            *told,
            *missing,
            *offers(plan, asked, questions),
        ]
    return drafting.check(waiting, checked_by, held), []


def draft_name(paper: str, sitting: int = 1) -> str:
    """Return the name of the file in which a draft lies to be looked through."""
    return f"{paper}-sitting-{sitting}-{DRAFT}" if sitting > 1 else f"{paper}-{DRAFT}"


def _changed_lines(changed: Sequence[str], was: PaperRecord | None, sitting: int) -> list[str]:
    """Say what is not as it was signed."""
    if was is None or not changed:
        return []
    by = f"{was.checked_by} signed on {say_date((was.checked_at or '')[:10])}"
    what = "The resit is not the paper" if sitting > was.sitting else "It is not the paper"
    return [
        f"{what} that {by}:",
        *(f"  {line}" for line in changed),
        "It needs a signature of its own. Sheets that are out keep what they said.",
    ]


def _holders(held: Book, paper: str, sitting: int, always: bool = False) -> list[str]:
    """Say who holds a sheet of which version, where there is more than one to tell apart."""
    people = held.students()
    with_version: dict[int, list[str]] = {}
    for one in held.sheets(paper, needs="head"):
        if one.sitting == sitting:
            with_version.setdefault(one.version, []).append(_named(people[one.student]))
    if len(with_version) < 2 and not always:
        return []
    record = next((one for one in held.papers() if one.name == paper), None)
    return [
        f"Version {number}, signed by {record.at(number).checked_by if record else ''}, "
        f"is with: {', '.join(names)}."
        for number, names in sorted(with_version.items())
    ]


def _came_and_left(held: Book, paper: str, sitting: int, students: Sequence[Student]) -> list[str]:
    """Name who has a sheet and is not on the list any more, and who is new on it."""
    people = held.students()
    have = {
        one.student
        for one in held.sheets(paper, needs="head")
        if one.sitting == sitting and not people[one.student].erased_at
    }
    if not have:
        return []
    listed = {one.id: one for one in students}
    left = [_named(people[name]) for name in sorted(have - listed.keys())]
    came = [_named(one) for name, one in listed.items() if name not in have]
    lines = []
    if left:
        lines.append(f"Not on this list, but with a sheet of this paper: {', '.join(left)}.")
    if came:
        lines.append(f"New on this list: {', '.join(came)}.")
    return lines


def _named(student: Student) -> str:
    return f"{student.id} {student.name}".strip()


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
    questions = papers.questions_for(scheme)
    out.mkdir(parents=True, exist_ok=True)
    for n in range(1, sets + 1):
        sheet = issuing.practice(plan, questions, f"{paper} {n}")
        for ending, text in (
            (".html", worksheet.web_page(sheet)),
            ("-paper.html", worksheet.paper(sheet)),
            (".ipynb", notebook.notebook(sheet)),
            ("-answers.html", mark_scheme.mark_scheme([sheet])),
        ):
            (out / f"{paper}-{n}{ending}").write_text(text, encoding="utf-8")
    return [f"{sets} practice {'set' if sets == 1 else 'sets'} in {out}, each with its answers."]
