"""Papers issued: a sheet for each student, in three forms; and sheets for practice."""

from __future__ import annotations

import hashlib
import os
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import partial
from itertools import islice
from pathlib import Path
from typing import Any

from calculators.faults import fault_error
from exercises.book.book import Book
from exercises.book.deadlines import extra_minutes, until
from exercises.book.records import NewSheet, Student
from exercises.book.records import PaperRecord as BookPaper
from exercises.book.records import SheetRecord as BookSheet
from exercises.files.writing import make_folder, write
from exercises.questions.building import build
from exercises.questions.parts import DrawnQuestion
from exercises.questions.registry import Question
from exercises.questions.registry import bank as load_bank
from exercises.sheets.choice import PaperPlan, choose
from exercises.sheets.class_list import LARGE, LOOKS, PLAIN, WORDS
from exercises.sheets.drafting import built, digest_of, kitchen_of, names_units, sheet_of
from exercises.sheets.mark_scheme import mark_scheme_in_pieces
from exercises.sheets.names import file_of, folder_of
from exercises.sheets.notebook import notebook
from exercises.sheets.qti import package
from exercises.sheets.sheet import Sheet, cautions_for
from exercises.sheets.worksheet import paper, web_page

BATCH = 400  # sheets built, kept and written together
FEW = 24  # below this many sheets, one process is quicker than several


# --- practice ---


def practice(plan: PaperPlan, bank: Mapping[str, Question], seed: str) -> Sheet:
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
        "Practice",
        f"{plan.title}: practice",
        questions,
        cautions=cautions_for(questions, plan.rules),
        name_units=names_units(plan.policy),
    )


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
    drafted = book.paper(drafted.name).at(drafted.number)  # as it was checked last
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
                seeds = [
                    (one.id, book.seed(drafted.name, one.id, sitting), WORDS in one.print.split())
                    for one in fresh
                ]
                for kept in book.issue_paper(
                    drafted.name, list(draw_all(seeds)), by, version=drafted.number
                ):
                    held[kept.student] = kept.token
            places = [(one, out / folder_of(one)) for one in batch]
            places = [
                (one, folder)
                for one, folder in places
                if one.id in changed or not _whole(held[one.id], folder)
            ]
            for _, folder in places:
                make_folder(folder)
            sheets = book.sheets_by_token(held[one.id] for one, _ in places)
            jobs = [(one, sheets[held[one.id]], folder) for one, folder in places]
            written += sum(run(partial(_write, drafted), jobs))
            done += len(batch)
            if said:
                said(done, len(students))
    schemes = _write_schemes(drafted, sitting, held, book, out, bool(written))
    names = book.students()
    count = sum(not names[key].erased_at for key in held)
    return Issued(count, written, out, next((p for p in schemes if p.exists()), schemes[0]))


def _write_schemes(
    drafted: BookPaper, sitting: int, held: Mapping[str, str], book: Book, out: Path, anew: bool
) -> list[Path]:
    """Write a mark scheme for each version that is out in a sitting; return where they lie."""
    names = book.students()  # those of earlier lists too: it states every sheet
    of_version: dict[int, list[tuple[Student, str]]] = {drafted.number: []}
    heads = book.sheets_by_token(held.values(), needs="head")
    for key in sorted(held):
        if not names[key].erased_at:
            number = heads[held[key]].version
            of_version.setdefault(number, []).append((names[key], held[key]))
    usual = min(of_version)
    paths = []
    for number, everyone in of_version.items():
        ending = f"-sitting-{sitting}" if sitting > 1 else ""
        ending += f"-version-{number}" if number != usual else ""
        path = out / f"{drafted.name}-mark-scheme{ending}.html"
        paths.append(path)
        if everyone and (anew or not path.exists()):
            each = _all_issued(drafted, everyone, book)
            first = next(_all_issued(drafted, everyone[:1], book))
            policy = drafted.at(number).policy
            write(path, mark_scheme_in_pieces(first, each, len(everyone), policy))
    return paths


def _all_issued(
    drafted: BookPaper, students: Iterable[tuple[Student, str]], book: Book
) -> Iterator[Sheet]:
    """Yield the sheets of these students and tokens, a few in memory at a time."""
    for batch in _batches(students, FEW):
        kept = book.sheets_by_token(token for _, token in batch)
        for student, token in batch:
            yield _issued_sheet(drafted, student, kept[token])


def _tokens(book: Book, paper: str, sitting: int) -> list[tuple[Student, str]]:
    """Return who holds which sheet of a sitting, without those who were erased."""
    people = book.students()
    return [
        (people[one.student], one.token)
        for one in book.sheets(paper, needs="head")
        if one.sitting == sitting and not people[one.student].erased_at
    ]


def sheets_to_print(book: Book, paper: str, sitting: int) -> dict[str, list[Sheet]]:
    """Return the sheets of a sitting by how they look on paper: each look is printed apart.

    Parameters
    ----------
    book : Book
        The mark book.
    paper : str
        The paper's name.
    sitting : int
        Which sitting.

    Returns
    -------
    dict of str to list of Sheet
        By what :func:`look_of` says; each in the order of the students' ids.
    """
    people = _tokens(book, paper, sitting)
    found: dict[str, list[Sheet]] = {}
    sheets = _all_issued(book.paper(paper), people, book)
    for (student, _), sheet in zip(people, sheets, strict=True):
        found.setdefault(look_of(student), []).append(sheet)
    return found


def look_of(student: Student) -> str:
    """Return how a student's papers look: ``""``, ``"large"``, ``"plain"`` or both."""
    return " ".join(look for look in (LARGE, PLAIN) if look in student.print.split())


@dataclass(frozen=True)
class Packages:
    """Packages for a school's own platform, which hold the right answers.

    Parameters
    ----------
    folder : Path
        Where they lie.
    count : int
        How many.
    marks : float
        What a sheet is worth there.
    left_out : tuple of str
        Parts that such a package can't carry.
    """

    folder: Path
    count: int
    marks: float
    left_out: tuple[str, ...]


def write_packages(book: Book, paper: str, out: str | Path, sitting: int = 1) -> Packages:
    """Write each issued sheet of a sitting as a QTI 3.0 package, apart from the sheets.

    Parameters
    ----------
    book : Book
        The mark book.
    paper : str
        The paper's name.
    out : str or Path
        The folder of the sheets; the packages lie in ``<paper>-qti`` in it.
    sitting : int
        Which sitting.
    """
    drafted = book.paper(paper)
    folder = Path(out) / f"{paper}-qti"
    make_folder(folder)
    tokens = _tokens(book, paper, sitting)
    left: dict[str, None] = {}
    marks = 0.0
    for sheet in _all_issued(drafted, tokens, book):
        made = package(sheet)
        write(folder / f"{sheet.file}.zip", made.data)
        left |= dict.fromkeys(made.left_out)
        marks = max(marks, made.marks)
    return Packages(folder, len(tokens), marks, tuple(left))


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
    if drafted.state != "checked" and drafted.number == 1:
        return
    if not drafted.checked_by:
        raise fault_error(
            f"paper {drafted.name}",
            f"has a version {drafted.number} that nobody has checked",
            "",
            "",
            "Have a named person check it first",
        )
    digests: Mapping[str, str] = drafted.plan["digests"]
    kitchen = kitchen_of(drafted)
    moved = [n for n, was in digests.items() if n in bank and digest_of(bank[n], kitchen) != was]
    if moved:
        raise fault_error(
            f"paper {drafted.name}",
            "has changed since it was checked",
            ", ".join(moved),
            "These questions, or the formulas behind them, are not those that were checked",
            "Draft the paper again and have it checked once more",
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
    job: tuple[str, str, bool],
) -> NewSheet:
    student, seed, words = job
    known = load_bank() if bank is None else bank
    questions = built(drafted, known, seed, words)
    return NewSheet(
        student,
        seed,
        [one.to_json() | {"digest": known[one.id].digest} for one in questions],
        *dates,
        sitting,
    )


def _issued_sheet(drafted: BookPaper, student: Student, kept: BookSheet) -> Sheet:
    version = drafted.at(kept.version)
    sitting = f"sitting-{kept.sitting}" if kept.sitting > 1 else ""
    sheet = sheet_of(
        version,
        kept.token,
        student.name,
        list(map(DrawnQuestion.from_json, kept.questions)),
        opens_on=kept.opens_on,
        hand_in_by=until(kept, student),
        **{look: look in student.print.split() for look in LOOKS},
        extra=extra_minutes(student.extra_time, float(version.plan.get("minutes", 0))),
        file=file_of(student.name, f"{drafted.name} {sitting}", kept.token),
    )
    title = ", ".join(filter(None, (sheet.title, sitting.replace("-", " "))))
    return replace(sheet, title=title)


_FORMS: Mapping[str, Callable[[Sheet], str]] = {
    ".ipynb": notebook,
    ".html": web_page,
    "-paper.html": paper,
}


def _whole(token: str, folder: Path) -> bool:
    """Tell whether all forms of a sheet lie there; each is put there whole or not."""
    return all(any(folder.glob(f"*{token}{ending}")) for ending in _FORMS)


def unwritten(tokens: Iterable[str], out: Path) -> list[str]:
    """Return the tokens of sheets of which a file is missing in a folder of sheets.

    So it is after an interruption: the mark book has the sheets before their files are written.
    """
    found: Counter[str] = Counter()
    for path in out.glob("*/*"):
        for ending in _FORMS:
            if path.name.endswith(ending):
                token = path.name.removesuffix(ending).rpartition("_")[2]
                found[token.removesuffix("-paper")] += 1
                break
    return [token for token in tokens if found[token] < len(_FORMS)]


def _write(drafted: BookPaper, job: tuple[Student, BookSheet, Path]) -> int:
    student, kept, folder = job
    sheet = _issued_sheet(drafted, student, kept)
    for ending, form in _FORMS.items():
        write(folder / f"{sheet.file}{ending}", form(sheet))
    return 1
