"""Papers drafted, checked and issued: a sheet for each student, in three forms."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from functools import partial
from itertools import islice
from pathlib import Path
from typing import Any

from calculators import safety
from calculators.faults import fault_error
from calculators.units import Quantity, q
from exercises.book.book import Book
from exercises.book.records import NewSheet, Student
from exercises.book.records import PaperRecord as BookPaper
from exercises.book.records import SheetRecord as BookSheet
from exercises.book.times import deadline_for
from exercises.questions.building import build
from exercises.questions.parts import DrawnQuestion
from exercises.questions.registry import Question
from exercises.questions.registry import bank as load_bank
from exercises.sheets.blueprint import Asked, Blueprint, blueprint, pass_rule_said
from exercises.sheets.choice import PaperPlan, Rules, choose, paper_blueprint
from exercises.sheets.mark_scheme import mark_scheme, mark_scheme_in_pieces
from exercises.sheets.names import file_of, folder_of
from exercises.sheets.notebook import notebook
from exercises.sheets.page import paper, web_page
from exercises.sheets.sheet import Sheet, cautions_for

BATCH = 400  # sheets built, kept and written together
SAMPLES = 3  # sheets by which a question is known again when a paper is issued
FEW = 24  # below this many sheets, one process is quicker than several


# --- drafted, checked ------------------------------------------------------------------


def draft(plan: PaperPlan, bank: Mapping[str, Question], book: Book) -> BookPaper:
    """Choose a paper's questions and put it into the book as drafted.

    Which of those that would do are chosen is decided by the secret of the book; those
    that its other papers ask are taken only where no others are left.
    """
    used = {
        name
        for one in book.papers()
        if one.name != plan.name
        for name in one.plan.get("questions", ())
    }
    chosen = choose(plan, bank, book.secret_for("questions", plan.name), used)
    asked = paper_blueprint(plan, chosen)
    kept = plan.plain() | {
        "questions": [one.id for one in chosen],
        "digests": {one.id: _digest(one, plan.kitchen) for one in chosen},
        "total": asked.marks,
        "minutes": asked.minutes,
    }
    return book.draft_paper(plan.name, kept, policy=plan.policy, pass_rule=plan.pass_rule)


def _kitchen(drafted: BookPaper) -> dict[str, Quantity]:
    return {name: q(*pair) for name, pair in drafted.plan["kitchen"].items()}


def _digest(chosen: Question, kitchen: Mapping[str, Quantity]) -> str:
    """Return a digest of a question: of its text, and of some sheets that come of it.

    A formula that gives other answers changes it; a comment in the formula does not.
    """
    drawn = [build(chosen, f"check {n}", kitchen).to_json() for n in range(SAMPLES)]
    return hashlib.sha256(json.dumps([chosen.digest, drawn]).encode()).hexdigest()[:16]


def draft_text(drafted: BookPaper, bank: Mapping[str, Question]) -> str:
    """Return the paper to be checked, to print: what it judges by what, and a sample sheet."""
    questions = _built(drafted, bank, f"sample of {drafted.name}")
    sample = _sheet_of(drafted, "SAMPLE", "Sample sheet", questions)
    return mark_scheme([sample], drafted.policy, printed_blueprint(drafted, bank, questions))


def printed_blueprint(
    drafted: BookPaper, bank: Mapping[str, Question], questions: Sequence[DrawnQuestion]
) -> Blueprint:
    """Return what a drafted paper judges by what."""
    asked = [Asked(bank[one.id], one) for one in questions]
    return blueprint(asked, drafted.plan["outcomes"], drafted.pass_rule.get("must_pass", ()))


def check(drafted: BookPaper, by: str, book: Book) -> BookPaper:
    """Record that a named person has looked through a drafted paper."""
    return book.check_paper(drafted.name, by)


def practice(
    plan: PaperPlan, bank: Mapping[str, Question], seed: str, student: str = "Practice"
) -> Sheet:
    """Return a practice sheet; anyone may draw one as often as they like.

    It is in no mark book, and its questions are those open to practice.
    """
    opened = {
        name: replace(one, use="both")
        for name, one in bank.items()
        if one.use in ("practice", "both")
    }  # an assessed question is never practised
    keyed = replace(plan, name=f"{plan.name} {seed}", marks=None, must_pass=())
    questions = [build(one, seed, plan.kitchen) for one in choose(keyed, opened)]
    token = "practice-" + hashlib.sha256(seed.encode()).hexdigest()[:8]
    return Sheet(
        token,
        student,
        f"{plan.title}: practice",
        questions,
        cautions=cautions_for(questions, plan.rules),
        name_units=_names_units(plan.policy),
    )


def _built(drafted: BookPaper, bank: Mapping[str, Question], seed: str) -> list[DrawnQuestion]:
    plan = drafted.plan
    kitchen = _kitchen(drafted)
    missing = [name for name in plan["questions"] if name not in bank]
    if missing:
        raise fault_error(
            f"paper {drafted.name}",
            "asks for questions that are not in the bank",
            ", ".join(missing),
            "",
            "Draft the paper anew, or give the folder they are in",
        )
    return [build(bank[name], seed, kitchen) for name in plan["questions"]]


def _sheet_of(
    drafted: BookPaper,
    token: str,
    student: str,
    questions: Sequence[DrawnQuestion],
    **more: Any,
) -> Sheet:
    rules: safety.HasLocalRules = Rules(*drafted.plan["rules"])
    dates = {name: drafted.plan[name] for name in ("opens_on", "hand_in_by")}
    return Sheet(
        token,
        student,
        drafted.plan["title"],
        questions,
        cautions=cautions_for(questions, rules),
        name_units=_names_units(drafted.policy),
        rule=pass_rule_said(drafted.pass_rule),
        minutes=float(drafted.plan.get("minutes", 0)),
        **(dates | more),
    )


def _names_units(policy: Mapping[str, Any]) -> bool:
    """Tell whether marking takes a unit as asked, so that the sheet has to ask for it."""
    return policy.get("other_unit") == "asked" or policy.get("missing_unit") == "assumed"


# --- issued ----------------------------------------------------------------------------------


@dataclass(frozen=True)
class Issued:
    """What issuing did.

    Parameters
    ----------
    sheets : int
        How many sheets the paper has in this sitting.
    written : int
        How many of them were written in this run; the others lay there already.
    out : Path
        The folder they lie in.
    scheme : Path
        The mark scheme.
    """

    sheets: int
    written: int
    out: Path
    scheme: Path


def issue_sheets(
    drafted: BookPaper,
    bank: Mapping[str, Question],
    students: Sequence[Student],
    book: Book,
    out: str | Path,
    by: str,
    *,
    sitting: int = 1,
    opens_on: str = "",
    hand_in_by: str = "",
    workers: int | None = None,
    said: Callable[[int, int], None] | None = None,
) -> Issued:
    """Draw, keep and write everyone's sheet in all forms, and the mark scheme.

    Run again after an interruption, or with students who joined later, it writes
    what is missing; a sheet that was issued never changes.  Files of a student whose
    arrangements have changed are written anew.

    Parameters
    ----------
    drafted : Paper of the mark book
        Checked, or issued already.
    bank : mapping of str to Question
        The bank.
    students : sequence of Student
        The class.
    book : Book
        Where the sheets are kept.
    out : str or Path
        The folder for ``<student id>-<name>/``; it is made where it is not there.
    by : str
        Who issues.
    sitting : int
        1; 2 for a resit, which has new numbers.
    opens_on, hand_in_by : str, optional
        Dates of this sitting, where they are not those of the plan.
    workers : int, optional
        Processes; by default as many as the machine has, and one for a few sheets.
    said : function, optional
        Told how many are done, of how many.
    """
    out = Path(out)
    drafted = book.paper(drafted.name)  # as it was checked, not as it was drafted first
    _still_as_checked(drafted, bank)
    dates = (
        opens_on or drafted.plan["opens_on"],
        hand_in_by or drafted.plan["hand_in_by"],
    )
    enrolled = book.students()
    changed = {one.id for one in students if enrolled.get(one.id, one) != one}
    book.enrol(students)
    held = {
        one.student: one.token
        for one in book.sheets(drafted.name, needs="head")
        if one.sitting == sitting
    }
    written = done = 0
    with _pool(workers, len(students)) as run:
        everywhere = _known_everywhere(drafted.plan["questions"], bank)
        own = None if everywhere else bank
        draw_all = partial(run if everywhere else map, partial(_draw, drafted, sitting, dates, own))
        for batch in _batches(students, BATCH):
            fresh = [one for one in batch if one.id not in held]
            if fresh:
                seeds = [(one.id, book.seed(drafted.name, one.id, sitting)) for one in fresh]
                for kept in book.issue_paper(drafted.name, list(draw_all(seeds)), by):
                    held[kept.student] = kept.token
            places = [(one, out / folder_of(one)) for one in batch]
            places = [
                (one, folder)
                for one, folder in places
                if one.id in changed or not _whole(held[one.id], folder)
            ]
            for _, folder in places:
                _make_folder(folder)
            sheets = book.sheets_by_token(held[one.id] for one, _ in places)
            jobs = [(one, sheets[held[one.id]], folder) for one, folder in places]
            written += sum(run(partial(_write, drafted), jobs))
            done += len(batch)
            if said:
                said(done, len(students))
    resit = f"-sitting-{sitting}" if sitting > 1 else ""
    scheme = out / f"{drafted.name}-mark-scheme{resit}.html"
    names = book.students()  # those of earlier lists too: it states every sheet
    everyone = [(names[key], held[key]) for key in sorted(held) if not names[key].erased_at]
    if everyone and (written or not scheme.exists()):
        each = _all_issued(drafted, everyone, book)
        first = next(_all_issued(drafted, everyone[:1], book))
        _put(
            scheme,
            mark_scheme_in_pieces(first, each, len(everyone), drafted.policy),
        )
    return Issued(len(everyone), written, out, scheme)


def _all_issued(
    drafted: BookPaper, students: Iterable[tuple[Student, str]], book: Book
) -> Iterator[Sheet]:
    """Yield the sheets of these students and tokens, a few in memory at a time."""
    for batch in _batches(students, FEW):
        kept = book.sheets_by_token(token for _, token in batch)
        for student, token in batch:
            yield _issued_sheet(drafted, student, kept[token])


def _still_as_checked(drafted: BookPaper, bank: Mapping[str, Question]) -> None:
    """Refuse a paper that nobody checked, or whose questions have changed since."""
    if drafted.state == "drafted":
        raise fault_error(
            f"paper {drafted.name}",
            "is drafted, and nobody has checked it",
            "",
            "",
            "Have a named person check it first",
        )
    if drafted.state != "checked":
        return
    digests: Mapping[str, str] = drafted.plan["digests"]
    kitchen = _kitchen(drafted)
    moved = [n for n, was in digests.items() if n in bank and _digest(bank[n], kitchen) != was]
    if moved:
        raise fault_error(
            f"paper {drafted.name}",
            "has changed since it was checked",
            ", ".join(moved),
            "These questions, or the formulas behind them, are not those that were checked",
            "Draft the paper anew and have it checked again",
        )


Run = Callable[[Callable[[Any], Any], Iterable[Any]], Iterable[Any]]


@contextmanager
def _pool(workers: int | None, jobs: int) -> Iterator[Run]:
    """Give a function that maps over several processes, or one where that is quicker."""
    workers = workers or (1 if jobs < FEW else os.cpu_count() or 1)
    if workers == 1:
        yield map
        return
    with ProcessPoolExecutor(workers) as pool:
        yield partial(pool.map, chunksize=max(1, min(25, jobs // workers)))


def _known_everywhere(names: Iterable[str], bank: Mapping[str, Question]) -> bool:
    """Tell whether another process finds these very questions by itself."""
    public = load_bank()
    return all(
        name in public and bank.get(name) is public[name] and not public[name].private
        for name in names
    )


def _batches(items: Iterable[Any], size: int) -> Iterator[list[Any]]:
    left = iter(items)
    while batch := list(islice(left, size)):
        yield batch


def _draw(
    drafted: BookPaper,
    sitting: int,
    dates: tuple[str, str],
    bank: Mapping[str, Question] | None,
    job: tuple[str, str],
) -> NewSheet:
    student, seed = job
    known = load_bank() if bank is None else bank
    questions = _built(drafted, known, seed)
    return NewSheet(
        student,
        seed,
        [one.to_json() | {"digest": known[one.id].digest} for one in questions],
        *dates,
        sitting,
    )


def _issued_sheet(drafted: BookPaper, student: Student, kept: BookSheet) -> Sheet:
    by = kept.hand_in_by
    if student.extra_time or student.other_date:
        limit = deadline_for(kept, student)
        by = limit.replace(tzinfo=None, second=0).isoformat() if limit else by
    return _sheet_of(
        drafted,
        kept.token,
        student.name,
        list(map(DrawnQuestion.from_json, kept.questions)),
        opens_on=kept.opens_on,
        hand_in_by=by,
        large="large" in student.print.split(),
        plain="plain" in student.print.split(),
        file=file_of(student.name, drafted.name, kept.token),
    )


_FORMS: Mapping[str, Callable[[Sheet], str]] = {
    ".ipynb": notebook,
    ".html": web_page,
    "-paper.html": paper,
}


def _whole(token: str, folder: Path) -> bool:
    """Tell whether all forms of a sheet lie there; each is put there whole or not."""
    return all(any(folder.glob(f"*{token}{ending}")) for ending in _FORMS)


def _write(drafted: BookPaper, job: tuple[Student, BookSheet, Path]) -> int:
    student, kept, folder = job
    sheet = _issued_sheet(drafted, student, kept)
    for ending, form in _FORMS.items():
        _put(folder / f"{sheet.file}{ending}", [form(sheet)])
    return 1


def _put(path: Path, pieces: Iterable[str]) -> None:
    beside = path.with_name(f".{path.name}.part")
    try:
        with beside.open("w", encoding="utf-8", newline="\n") as file:
            file.writelines(pieces)
        beside.replace(path)
    except OSError as error:
        with suppress(OSError):
            beside.unlink(missing_ok=True)
        raise fault_error(
            str(path),
            "can't be written",
            error.strerror or "",
            "",
            "Make room or choose another folder, then run it again",
        ) from None


def _make_folder(path: Path) -> None:
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise fault_error(
            str(path),
            "can't be made",
            error.strerror or "",
            "",
            "Choose another folder, then run it again",
        ) from None
