"""What a class shows, as plain data."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from exercises.book.book import Book
from exercises.book.records import HandIn, Mark, PaperRecord, Result
from exercises.book.schema import ISSUED, UNREADABLE
from exercises.marking.checks import what_to_settle
from exercises.questions.answer_boxes import AnswerBox, answer_boxes
from exercises.questions.verdicts import MISSING
from exercises.reports.standing import (
    MET,
    NOT_PASSED,
    NOT_YET,
    OPEN,
    Standing,
    marks_said,
    standing,
    still_open,
)
from exercises.reports.statistics import (
    FEWEST_FOR_ITEMS,
    FEWEST_FOR_SHARES,
    Counted,
    reliability,
    tells_apart,
)

FEWEST_ON_A_ROAD = 2
MOST_TO_TEACH = 5
MOST_LISTED = 200
LONGEST_PROMPT = 110
ENOUGH = 2 / 3  # an outcome that fewer have surely met is taught again; our choice
LITTLE = 0.2  # common practice: below it, a question tells little
COLUMNS, HIGHEST = 40, 16  # of the picture of the marks


# --- what the class shows, as plain data ---------------------------------------------


@dataclass(frozen=True)
class Road:
    """A wrong turn and how many answers end there.

    Parameters
    ----------
    key : str
        The answer key.
    name, says : str
        What the question calls it, and what it tells the student.
    count, of : int
        So many of so many answers.
    chosen : bool
        Whether it is an option that was chosen, and not a number.
    """

    key: str
    name: str
    says: str
    count: int
    of: int
    chosen: bool


@dataclass
class Box:
    """One answer key of the paper, and how the class fared with it.

    Parameters
    ----------
    key, question, outcome, prompt : str
        Which one it is; ``prompt`` is worded as on the first sheet.
    total : float
        Its marks.
    got : Counted or None
        How many got all of its marks, with what is still to settle; None below five
        students.
    roads : list of Road
        The commonest first.
    apart : float or None
        How well it tells strong from weak.
    """

    key: str
    question: str
    outcome: str
    prompt: str
    total: float
    got: Counted | None
    roads: list[Road]
    apart: float | None = None


@dataclass(frozen=True)
class OutcomeMet:
    """An outcome of the paper and how many have met it."""

    id: str
    wording: str
    lesson: str
    must: bool
    met: Counted
    told: bool
    why: str = ""  # why it is not judged


@dataclass(frozen=True)
class ToTeach:
    """A lesson to teach again, and why."""

    lesson: str
    outcomes: tuple[OutcomeMet, ...]
    road: Road | None


@dataclass(frozen=True)
class ToLookAt:
    """A hand-in that an assessor has to look at."""

    who: str
    number: int
    path: str
    kind: str
    says: tuple[str, ...]


@dataclass(frozen=True)
class ClassSummary:
    """All that the class report says, as data.

    Parameters
    ----------
    paper : Paper
        The paper.
    results : list of Result
        One for each student: the latest sitting in which something came in.
    standings : list of Standing
        What each amounts to, in the same order.
    marked : int
        How many have marks.
    boxes : list of Box
        The answer keys of the paper.
    outcomes : list of OutcomeMet
        In the order of the sheet.
    teach : list of ToTeach
        What to teach again, the most urgent first.
    help : list of tuple of str
        Who needs help, and why.
    missing : list of str
        Of whom nothing has come in.
    look : list of ToLookAt
        What an assessor has to look at.
    alpha : float or None
        How far the questions pull in one direction.
    why_not : str
        Why there is no item statistic; empty where there is one.
    """

    paper: PaperRecord
    results: list[Result]
    standings: list[Standing]
    marked: int
    boxes: list[Box]
    outcomes: list[OutcomeMet]
    teach: list[ToTeach]
    help: list[tuple[str, str]]
    missing: list[str]
    look: list[ToLookAt]
    alpha: float | None
    why_not: str


def class_summary(book: Book, paper: str, results: Sequence[Result] | None = None) -> ClassSummary:
    """Return what a marked class shows on one paper.

    Parameters
    ----------
    book : Book
        The mark book.
    paper : str
        The paper's name.
    results : sequence of Result, optional
        As :meth:`Book.results` gives them, where the caller has them already.
    """
    about = book.paper(paper)
    rows = list(book.results(paper) if results is None else results)
    latest = _one_a_student(rows)
    standings = [standing(row, about) for row in latest]
    marked = [(row, stands) for row, stands in zip(latest, standings, strict=True) if row.marks]
    boxes = _boxes([row for row, _ in marked])
    alpha, why_not = _items([row for row, _ in marked], boxes)
    met = _outcomes_met([stands for _, stands in marked])
    return ClassSummary(
        about,
        latest,
        standings,
        len(marked),
        boxes,
        met,
        _to_teach(met, boxes),
        _who_needs_help(latest, standings),
        _who_is_missing(latest),
        _to_look_at(book, rows),
        alpha,
        why_not,
    )


def _one_a_student(rows: Iterable[Result]) -> list[Result]:
    chosen: dict[str, Result] = {}
    for row in rows:  # by student and sitting
        held = chosen.get(row.sheet.student)
        if held is None or row.handin is not None or held.handin is None:
            chosen[row.sheet.student] = row
    return list(chosen.values())


def _boxes(marked: Sequence[Result]) -> list[Box]:
    """Return every answer key in the order of the sheets, with what became of it."""
    first: dict[tuple[str, str], AnswerBox] = {}
    came: dict[tuple[str, str], list[tuple[AnswerBox, Mark, bool]]] = {}
    for row in marked:
        for key in answer_boxes(row.sheet.questions):
            place = (key.key, key.question.id)
            first.setdefault(place, key)
            if (mark := row.marks.get(key.key)) is not None:
                came.setdefault(place, []).append((key, mark, still_open(mark, row)))
    return [_box(key, came.get(place, [])) for place, key in first.items()]


def _box(key: AnswerBox, came: Sequence[tuple[AnswerBox, Mark, bool]]) -> Box:
    """Return a key with the marks that came for it, of which some may still be open."""
    settled = [(own, mark) for own, mark, is_open in came if not is_open]
    right = sum(mark.awarded >= mark.total for _, mark in settled)
    got = Counted(right, len(came) - len(settled), len(came))
    answered = sum(mark.verdict != MISSING for _, mark, _ in came)
    roads = Counter(mark.road for _, mark in settled if mark.road)
    says: dict[str, tuple[str, bool]] = {}
    for own, mark in settled:
        if mark.road:
            says.setdefault(mark.road, own.part.says_of(mark.road) or ("", False))
    return Box(
        key.key,
        key.question.id,
        key.outcome,
        _prompt(key),
        key.part.total,
        got if got.count >= FEWEST_FOR_SHARES else None,
        [
            Road(key.key, name, says[name][0], count, answered, says[name][1])
            for name, count in roads.most_common()
            if count >= FEWEST_ON_A_ROAD
        ],
    )


def _prompt(key: AnswerBox) -> str:
    """Return what is asked, short enough for a line or two; a table's row by its name."""
    text = key.part.prompt or key.label
    if len(text) <= LONGEST_PROMPT:
        return text
    return text[:LONGEST_PROMPT].rsplit(" ", 1)[0] + " …"


def _items(marked: Sequence[Result], boxes: Sequence[Box]) -> tuple[float | None, str]:
    """Fill in how well each box tells strong from weak; return alpha, or why not."""
    if len(marked) < FEWEST_FOR_ITEMS:
        return None, (
            "Too few marked sheets to say how well a question discriminates, or how reliable "
            f"the paper is: {len(marked)}, and below {FEWEST_FOR_ITEMS} such numbers are "
            "mostly chance."
        )
    common = [
        box
        for box in boxes
        if all(
            box.key in row.marks and row.marks[box.key].question == box.question for row in marked
        )
    ]
    if len(common) < 2:
        return None, (
            "The sheets have fewer than two questions in common: too few to say how well a "
            "question discriminates, or how reliable the paper is."
        )
    rows = [[row.marks[box.key].awarded for box in common] for row in marked]
    totals = [sum(row) for row in rows]
    for place, box in enumerate(common):
        item = [row[place] for row in rows]
        rest = [t - own for t, own in zip(totals, item, strict=True)]
        box.apart = tells_apart(item, rest)
    alpha = reliability(rows)
    return alpha, "" if alpha is not None else "All totals are equal."


def _outcomes_met(standings: Sequence[Standing]) -> list[OutcomeMet]:
    seen: dict[str, list[Any]] = {}
    for stands in standings:
        for each in stands.shown:
            entry = seen.setdefault(each.id, [each, 0, 0, 0])
            if each.state in (MET, NOT_YET, OPEN):
                entry[1] += each.state == MET
                entry[2] += each.state == OPEN
                entry[3] += 1
    return [
        OutcomeMet(
            name,
            one.wording,
            one.lesson,
            one.must,
            Counted(hits, left, count),
            count >= FEWEST_FOR_SHARES,
            one.why,
        )
        for name, (one, hits, left, count) in seen.items()
    ]


def _to_teach(met: Sequence[OutcomeMet], boxes: Sequence[Box]) -> list[ToTeach]:
    """Return the lessons of outcomes that too few have surely met, must-pass ones first."""
    weak: dict[str, list[OutcomeMet]] = {}
    told = [each for each in met if each.told]
    for each in sorted(told, key=lambda one: (not one.must, one.met.low)):
        if each.met.low < ENOUGH:
            weak.setdefault(each.lesson, []).append(each)
    out = []
    for lesson, some in weak.items():
        names = {each.id for each in some}
        roads = [road for box in boxes if box.outcome in names for road in box.roads]
        road = max(roads, key=lambda one: one.count, default=None)
        out.append(ToTeach(lesson, tuple(some), road))
    out.sort(key=lambda one: not any(each.must for each in one.outcomes))
    return out[:MOST_TO_TEACH]


def _told_apart(rows: Iterable[Result]) -> dict[str, str]:
    """Return what each student is called: by id too, where two have one name."""
    names = {row.student.id: row.student.name for row in rows}
    shared = Counter(names.values())
    return {
        person: f"{name} ({person})" if name and shared[name] > 1 else name or person
        for person, name in names.items()
    }


def _who_needs_help(
    results: Sequence[Result], standings: Sequence[Standing]
) -> list[tuple[str, str]]:
    said: list[tuple[float, str, str]] = []
    called = _told_apart(results)
    for row, stands in zip(results, standings, strict=True):
        if row.student.erased_at:
            continue
        who = called[row.student.id]
        if row.state == ISSUED and row.others:
            said.append((-2, who, "Nothing has come in that counts."))
        elif row.state == ISSUED:
            continue  # they stand in a list of their own
        elif not row.marks:
            said.append((-1, who, "What came in has no marks yet."))
        elif stands.state == NOT_PASSED or bool(stands.in_the_way):
            text = f"{marks_said(stands.awarded)} of {marks_said(stands.total)} marks."
            weak = sorted(stands.not_yet, key=lambda each: (not each.must, each.won))
            if weak:
                more = len(weak) - 1
                text += f" Not yet met: {weak[0].wording}"
                text += f", and {more} more." if more else "."
            said.append((stands.awarded / max(stands.total, 1), who, text))
    return [(who, text) for _, who, text in sorted(said, key=lambda one: one[0])]


def _who_is_missing(results: Sequence[Result]) -> list[str]:
    """Return the names of those of whom nothing has come in; they get no letter."""
    called = _told_apart(results)
    return [
        called[row.student.id]
        for row in results
        if row.handin is None and not row.others and not row.student.erased_at
    ]


_KINDS = (
    ("swapped", "Named otherwise"),
    ("copied", "Same answers as another"),
    ("late", "Late"),
    ("repeated", "Handed in again"),
    ("to settle", "Answers to settle"),
    ("strays", "Answers without a question"),
    ("working", "Working to read"),
    ("appeal", "Appeals"),
)


def _to_look_at(book: Book, rows: Sequence[Result]) -> list[ToLookAt]:
    students = book.students()
    called = _told_apart(rows)
    found: list[tuple[HandIn, str]] = [
        (one, called[row.student.id])
        for row in rows
        for one in (*((row.handin,) if row.handin else ()), *row.others)
        if one.needs_a_look
    ]
    found += [
        (one, "")
        for one in book.handins(state=UNREADABLE)
        if one.token is None and one.needs_a_look
    ]
    return [
        ToLookAt(
            who,
            one.id,
            one.path,
            "Can't be read"
            if one.state == UNREADABLE
            else next((words for flag, words in _KINDS if flag in one.flags), "Other"),
            tuple(what_to_settle(one, students)),
        )
        for one, who in sorted(found, key=lambda pair: pair[0].id)
    ]
