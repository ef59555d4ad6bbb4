"""From a paper plan to everyone's sheets: drafted, checked by a person, issued.

The questions of a paper are chosen once, the same for everyone; the numbers are
each student's own.  A sheet is kept in the mark book before its files are written,
so that issuing can be interrupted and run again.
"""

from __future__ import annotations

import hashlib
import os
import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field, replace
from functools import partial
from itertools import islice
from pathlib import Path
from typing import Any

from calculators import safety
from calculators.faults import Fault, FaultsError, refuse
from calculators.units import Quantity, q
from exercises.markbook import Book, NewSheet, Student, latest
from exercises.markbook import Paper as BookPaper
from exercises.markbook import Sheet as BookSheet
from exercises.question import LEVELS, Question, build, outcomes
from exercises.question import bank as load_bank
from exercises.worksheet import (
    Sheet,
    cautions_for,
    mark_scheme,
    mark_scheme_in_pieces,
    notebook,
    paper,
    web_page,
)

TRIES = 400  # choices looked at to meet the marks of a plan
BATCH = 400  # sheets built, kept and written together
FEW = 24  # below this many sheets, one process is quicker than several


@dataclass(frozen=True)
class Rules:
    """The school's own rules, named at the end of every caution."""

    link: str = ""
    contact: str = ""


@dataclass(frozen=True)
class PaperPlan:
    """What a paper is made of, as the scheme says it.

    Parameters
    ----------
    name, title : str
        Its name in the scheme, and what stands on the sheet.
    outcomes : sequence of str
        What it may ask about; keys of outcomes.toml.
    levels : mapping of str to int
        How many questions of each level.
    marks : int or None
        What the paper is worth; None for whatever the questions add up to.
    opens_on, hand_in_by : str
        Dates in ISO form.
    must_pass : sequence of str
        Outcomes that must be met whatever the marks.
    policy : mapping
        How units are marked, as the mark book keeps it.
    pass_share : float
        The share of the marks that passes.
    kitchen : mapping of str to quantity
        The kitchen's values, for questions that ask about it.
    rules : Rules
        The school's own rules.
    """

    name: str
    title: str
    outcomes: Sequence[str]
    levels: Mapping[str, int]
    marks: int | None = None
    opens_on: str = ""
    hand_in_by: str = ""
    must_pass: Sequence[str] = ()
    policy: Mapping[str, Any] = field(default_factory=dict)
    pass_share: float = 0.5
    kitchen: Mapping[str, Quantity] = field(default_factory=dict)
    rules: Rules = field(default_factory=Rules)

    def plain(self) -> dict[str, Any]:
        """Return the plan as plain data, for the mark book."""
        return {
            "title": self.title,
            "outcomes": list(self.outcomes),
            "levels": dict(self.levels),
            "marks": self.marks,
            "opens_on": self.opens_on,
            "hand_in_by": self.hand_in_by,
            "kitchen": {
                name: [float(value.magnitude), str(value.units)]
                for name, value in self.kitchen.items()
            },
            "rules": [self.rules.link, self.rules.contact],
        }


# --- choosing the questions -----------------------------------------------------------


def choose(plan: PaperPlan, bank: Mapping[str, Question]) -> list[Question]:
    """Return the questions of a paper: decided by the plan and the bank alone.

    Every outcome of the plan is asked about where the numbers allow it, must-pass
    outcomes first; the marks add up to those of the plan.  Questions stand in the
    order of the lessons.
    """
    fitting = [
        one
        for one in bank.values()
        if one.outcome in plan.outcomes and one.use in ("assessed", "both")
    ]
    _check(plan, fitting)
    worth = {one.id: _worth(one, plan.kitchen) for one in fitting}
    best: list[Question] = []
    best_score: tuple[int, int, int] | None = None
    reached = set()
    for attempt in range(TRIES):
        chosen = _one_choice(plan, fitting, attempt)
        asked = {one.outcome for one in chosen}
        total = sum(worth[one.id] for one in chosen)
        reached.add(total)
        score = (
            len(set(plan.must_pass) - asked),
            abs(total - plan.marks) if plan.marks else 0,
            len(set(plan.outcomes) - asked),
        )
        if best_score is None or score < best_score:
            best, best_score = chosen, score
        if best_score == (0, 0, 0):
            break
    if plan.marks and best_score and best_score[1]:
        near = sorted(reached, key=lambda total: (abs(total - (plan.marks or 0)), total))
        raise refuse(
            f"paper {plan.name}, marks",
            "can't be met with these questions",
            plan.marks,
            f"Totals that can: {', '.join(map(str, sorted(near[:5])))}",
            "Give one of these, other levels, or no marks at all",
        )
    place = {name: n for n, name in enumerate(outcomes())}
    return sorted(best, key=lambda one: (place[one.outcome], LEVELS.index(one.level), one.id))


def _check(plan: PaperPlan, fitting: Sequence[Question]) -> None:
    where = f"paper {plan.name}"
    faults = [
        Fault(f"{where}, {key}", "is not known", name, "", "Take it from the table")
        for key, names, table in (
            ("outcomes", plan.outcomes, outcomes()),
            ("levels", plan.levels, LEVELS),
        )
        for name in names
        if name not in table
    ]
    faults += [
        Fault(
            f"{where}, must_pass",
            "is not among the outcomes of the paper",
            name,
            "",
            "Add it to the outcomes, or leave it out",
        )
        for name in plan.must_pass
        if name not in plan.outcomes
    ]
    for level, wanted in plan.levels.items():
        held = sum(one.level == level for one in fitting)
        if level in LEVELS and wanted > held:
            faults.append(
                Fault(
                    f"{where}, levels",
                    f"asks for more {level} questions than there are",
                    str(wanted),
                    f"The bank has {held} for these outcomes",
                    "Ask for fewer, or name more outcomes",
                )
            )
    if not sum(plan.levels.values()):
        faults.append(
            Fault(f"{where}, levels", "ask for no question", "", "", "Ask for at least one")
        )
    faults += [
        Fault(
            f"{where}, outcomes",
            "has no question that a sheet could ask",
            name,
            "",
            "Leave it out, or add a question",
        )
        for name in plan.outcomes
        if name in outcomes() and not any(one.outcome == name for one in fitting)
    ]
    if faults:
        raise FaultsError(faults)


def _one_choice(plan: PaperPlan, fitting: Sequence[Question], attempt: int) -> list[Question]:
    """Return one choice: in a keyed order, outcomes asked least often first."""

    def key(one: Question) -> str:
        text = "\x1f".join((plan.name, one.id, str(attempt)))
        return hashlib.blake2b(text.encode(), digest_size=8).hexdigest()

    count = dict.fromkeys(plan.outcomes, 0)
    left = sorted(fitting, key=key)
    chosen: list[Question] = []
    for level in reversed(LEVELS):  # the scarcest kind first
        for _ in range(plan.levels.get(level, 0)):
            one = min(
                (one for one in left if one.level == level),
                key=lambda o: (count[o.outcome], o.outcome not in plan.must_pass),
            )
            left.remove(one)
            chosen.append(one)
            count[one.outcome] += 1
    return chosen


def _worth(one: Question, kitchen: Mapping[str, Quantity]) -> int:
    return sum(part["total"] for part in build(one, "worth", kitchen)["parts"])


# --- drafted, checked ------------------------------------------------------------------


def draft(plan: PaperPlan, bank: Mapping[str, Question], book: Book) -> BookPaper:
    """Choose a paper's questions and put it into the book as drafted."""
    chosen = choose(plan, bank)
    total = sum(_worth(one, plan.kitchen) for one in chosen)
    kept = plan.plain() | {
        "questions": [one.id for one in chosen],
        "digests": {one.id: one.digest for one in chosen},
        "total": total,
    }
    return book.draft_paper(
        plan.name,
        kept,
        policy=plan.policy,
        pass_rule={"share": plan.pass_share, "must_pass": list(plan.must_pass)},
    )


def draft_text(drafted: BookPaper, bank: Mapping[str, Question]) -> str:
    """Return the paper to be checked: one sample sheet, its answers and marks, to print."""
    questions = _built(drafted, bank, f"sample of {drafted.name}")
    sample = _sheet_of(drafted, "SAMPLE", "Sample sheet", questions)
    return mark_scheme([sample], drafted.policy)


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


def _built(drafted: BookPaper, bank: Mapping[str, Question], seed: str) -> list[dict[str, Any]]:
    plan = drafted.plan
    kitchen = {name: q(*pair) for name, pair in plan["kitchen"].items()}
    missing = [name for name in plan["questions"] if name not in bank]
    if missing:
        raise refuse(
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
    questions: Sequence[Mapping[str, Any]],
    **more: Any,
) -> Sheet:
    rules: safety.LocalRules = Rules(*drafted.plan["rules"])
    dates = {name: drafted.plan[name] for name in ("opens_on", "hand_in_by")}
    return Sheet(
        token,
        student,
        drafted.plan["title"],
        questions,
        cautions=cautions_for(questions, rules),
        name_units=_names_units(drafted.policy),
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
        raise refuse(
            f"paper {drafted.name}",
            "is drafted, and nobody has checked it",
            "",
            "",
            "Have a named person check it first",
        )
    digests: Mapping[str, str] = drafted.plan["digests"]
    moved = [n for n, digest in digests.items() if n in bank and bank[n].digest != digest]
    if drafted.state == "checked" and moved:
        raise refuse(
            f"paper {drafted.name}",
            "has changed since it was checked",
            ", ".join(moved),
            "These questions, or the formulas behind them, are not those that were checked",
            "Draft the paper anew and have it checked again",
        )


def folder_of(student: Student) -> str:
    """Return the name of a student's folder: the id, and the name in plain letters.

    >>> folder_of(Student("s1", "Zoë Ærlig"))
    's1-zoe-aerlig'
    """
    person = student.id
    if not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9_-]{0,39}", person):
        tail = hashlib.sha256(person.encode()).hexdigest()[:8]  # no two ids share it
        person = f"{_plain_letters(person) or 'id'}-{tail}"
    return f"{person}-{_plain_letters(student.name)}".rstrip("-")


_SPELT = str.maketrans(
    {
        "æ": "ae",
        "ø": "o",
        "ß": "ss",
        "đ": "d",
        "ð": "d",
        "ł": "l",
        "œ": "oe",
        "þ": "th",
    }
)


def _plain_letters(text: str) -> str:
    text = unicodedata.normalize("NFKD", text.casefold().translate(_SPELT))
    text = "".join(sign for sign in text if not unicodedata.combining(sign))
    return re.sub(r"[^a-z0-9]+", "-", text).strip("-")[:40].rstrip("-")


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
    questions = _built(drafted, load_bank() if bank is None else bank, seed)
    return NewSheet(
        student,
        seed,
        questions,
        *dates,
        sitting,
    )


def _issued_sheet(drafted: BookPaper, student: Student, kept: BookSheet) -> Sheet:
    by = kept.hand_in_by
    if student.extra_time or student.other_date:
        limit = latest(kept, student)
        by = limit.replace(tzinfo=None, second=0).isoformat() if limit else by
    return _sheet_of(
        drafted,
        kept.token,
        student.name,
        kept.questions,
        opens_on=kept.opens_on,
        hand_in_by=by,
        large="large" in student.print.split(),
        plain="plain" in student.print.split(),
    )


_FORMS: Mapping[str, Callable[[Sheet], str]] = {
    ".ipynb": notebook,
    ".html": web_page,
    "-paper.html": paper,
}


def _whole(token: str, folder: Path) -> bool:
    """Tell whether all forms of a sheet lie there; each is put there whole or not."""
    return all((folder / f"{token}{ending}").exists() for ending in _FORMS)


def _write(drafted: BookPaper, job: tuple[Student, BookSheet, Path]) -> int:
    student, kept, folder = job
    sheet = _issued_sheet(drafted, student, kept)
    for ending, form in _FORMS.items():
        _put(folder / f"{kept.token}{ending}", [form(sheet)])
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
        raise refuse(
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
        raise refuse(
            str(path),
            "can't be made",
            error.strerror or "",
            "",
            "Choose another folder, then run it again",
        ) from None
