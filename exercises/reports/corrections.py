"""A question put right after marking: whose marks change, and by how much."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from calculators.faults import fault_error
from calculators.units import read_plainly
from exercises.book.book import Book
from exercises.book.records import Mark, PaperRecord, Result, must_name
from exercises.marking.corrections import (
    REMARKED,
    corrections_of,
    marked,
)
from exercises.marking.corrections import (
    Correction as Correction,
)
from exercises.marking.matters import answers_as_read
from exercises.marking.rules import MISSING, UNREAD, Bank
from exercises.questions.registry import bank
from exercises.reports.standing import BY_HAND, marks_said, standing

# --- marking anew, after a question was put right ------------------------------------------------


@dataclass(frozen=True)
class Move:
    """How a sheet's marks would move.

    Parameters
    ----------
    student, name, token : str
        Whose.
    before, after : float
        Marks of the whole sheet.
    result_before, result_after : str
        What they come to.
    """

    student: str
    name: str
    token: str
    before: float
    after: float
    result_before: str
    result_after: str

    @property
    def by(self) -> float:
        """How many marks it is."""
        return self.after - self.before


@dataclass(frozen=True)
class Preview:
    """Who would move by a correction, and by how much; nothing is changed yet.

    Parameters
    ----------
    paper : str
        The paper.
    correction : Correction
        What is put right.
    moves : tuple of Move
        Only those whose marks change.
    marks : tuple of Mark
        The new marks, each naming the one it takes the place of.
    looked_at : int
        How many sheets with this question were marked.
    left : tuple of str
        Answers that keep their mark since an assessor gave it, as ``token part``.
    owners : mapping of int to str
        The student of each hand-in whose marks would move.
    falling : frozenset of int
        The marks that would fall.
    """

    paper: str
    correction: Correction
    moves: tuple[Move, ...]
    marks: tuple[Mark, ...]
    looked_at: int
    left: tuple[str, ...]
    owners: Mapping[int, str] = field(default_factory=dict)
    falling: frozenset[int | None] = frozenset()

    @property
    def sentences(self) -> list[str]:
        """The same in words."""
        up = sum(move.by > 0 for move in self.moves)
        down = sum(move.by < 0 for move in self.moves)
        said = [
            f"{self.correction.said()}.",
            f"{self.looked_at} marked sheets have this question: {up} would rise, "
            f"{down} would fall, {self.looked_at - up - down} would stay.",
        ]
        said += [
            f"{m.student} {m.name}".rstrip()
            + f": {marks_said(m.before)} to {marks_said(m.after)} marks"
            + (
                f", from {m.result_before} to {m.result_after}."
                if m.result_before != m.result_after
                else "."
            )
            for m in self.moves
        ]
        if down:
            fall = ", ".join(move.student for move in self.moves if move.by < 0)
            said.append(f"Marks fall only where you confirm it for each person, here: {fall}.")
        if self.left:
            keep = "answer keeps" if len(self.left) == 1 else "answers keep"
            said.append(f"{len(self.left)} {keep} the mark that an assessor gave.")
        return said


def preview_remark(
    book: Book, paper: str, correction: Correction, *, questions: Bank = bank
) -> Preview:
    """Return who would move by a correction and by how much, changing nothing.

    Parameters
    ----------
    book : Book
        The mark book.
    paper : str
        The paper.
    correction : Correction
        What is put right.
    questions : function
        Gives the bank of today.
    """
    for text in correction.tolerances.values():
        read_plainly(text.removesuffix(" of the answer"), "--tolerance")
    about = book.paper(paper)
    if correction.from_bank and correction.question not in questions():
        raise fault_error(
            f"question {correction.question}",
            "is not in the bank",
            "",
            "",
            "Give the folder it is in, or correct it by tolerance",
        )
    every = [*corrections_of(book, paper), correction]
    asked = [
        result
        for result in book.results(paper)
        if any(one["id"] == correction.question for one in result.sheet.questions)
    ]
    if not asked:
        raise fault_error(
            f"question {correction.question}",
            f"is on no sheet of {paper}",
            "",
            f"It has: {', '.join(map(str, about.plan.get('questions', ())))}",
            "Check its name",
        )
    moves: list[Move] = []
    marks: list[Mark] = []
    left: list[str] = []
    was: dict[int | None, float] = {}
    owners: dict[int, str] = {}
    looked_at = 0
    for result in asked:
        for other in result.others:  # one of them may be chosen to count later
            held = replace(result, handin=other, marks={m.part: m for m in book.marks(other.id)})
            marks += _moved(book, held, about, every, questions)[0] if held.marks else []
            was |= {mark.id: mark.awarded for mark in held.marks.values()}
            owners[other.id] = result.student.id
        if not result.marks or result.handin is None:
            continue
        looked_at += 1
        new, kept = _moved(book, result, about, every, questions)
        marks += new
        was |= {mark.id: mark.awarded for mark in result.marks.values()}
        owners[result.handin.id] = result.student.id
        left += [f"{result.sheet.token} {part}" for part in kept]
        if not new:
            continue
        moved = replace(result, marks={**result.marks, **{mark.part: mark for mark in new}})
        before, after = standing(result, about), standing(moved, about)
        if before.awarded != after.awarded:
            moves.append(
                Move(
                    result.student.id,
                    result.student.name,
                    result.sheet.token,
                    before.awarded,
                    after.awarded,
                    before.state,
                    after.state,
                )
            )
    falling = frozenset(m.supersedes for m in marks if m.awarded < was[m.supersedes])
    return Preview(
        paper, correction, tuple(moves), tuple(marks), looked_at, tuple(left), owners, falling
    )


def _moved(
    book: Book,
    result: Result,
    about: PaperRecord,
    every: Sequence[Correction],
    questions: Bank,
) -> tuple[list[Mark], list[str]]:
    """Return the new marks of a hand-in, and the parts that keep an assessor's mark.

    The last correction is the one that is looked at.
    """
    assert result.handin is not None
    answers = answers_as_read(book, result.handin)
    policy = about.at(result.sheet.version).policy
    correction, new, kept = every[-1], [], []
    for one in marked(result.sheet.questions, answers, policy, every, questions_now=questions):
        old = result.marks.get(one.part)
        if old is None or old.question != correction.question:
            continue
        if old.verdict == BY_HAND:
            kept.append(one.part)
            continue
        if old.verdict == UNREAD and one.verdict == MISSING:
            continue  # what could not be read was not kept, so nothing is known anew
        falls = one.awarded < old.awarded
        if falls and not correction.from_bank:
            continue
        if (old.value, old.unit, old.verdict) == (one.value, one.unit, one.verdict):
            continue
        new.append(
            Mark(
                0,
                result.handin.id,
                one.question,
                one.part,
                one.value,
                one.unit,
                one.awarded,
                one.total,
                one.verdict,
                f"{one.reason} {CORRECTED}" if falls else one.reason,
                one.road,
                "",
                "",
                old.id,
            )
        )
    return new, kept


CORRECTED = "This question was put right after marking."


def remark(book: Book, preview: Preview, *, by: str, reason: str, lower: Iterable[str] = ()) -> int:
    """Do what a preview showed: add the new marks and keep the old ones.

    From now on every hand-in of the paper is marked so, whenever it comes.

    Parameters
    ----------
    book : Book
        Open for writing.
    preview : Preview
        As it was looked at; refused where a mark has changed since.
    by, reason : str
        Who confirms it, and why.
    lower : iterable of str
        The students whose marks may fall by it, each by id; nobody else's do.

    Returns
    -------
    int
        How many marks are new.
    """
    must_name(by)
    fix = preview.correction
    confirmed = set(lower)
    fall = {preview.owners[m.handin] for m in preview.marks if m.supersedes in preview.falling}
    if confirmed - fall:
        raise fault_error(
            "--lower",
            "names somebody whose marks do not fall by it",
            ", ".join(sorted(confirmed - fall)),
            f"They fall for {', '.join(sorted(fall)) or 'nobody'}",
            "Correct the id; nothing is changed yet",
        )
    marks = [
        mark
        for mark in preview.marks
        if mark.supersedes not in preview.falling or preview.owners[mark.handin] in confirmed
    ]
    book.append(
        by=by,
        reason=reason,
        marks=marks,
        decisions=[
            {
                "what": REMARKED,
                "detail": {
                    "paper": preview.paper,
                    "question": fix.question,
                    "correction": fix.said(),
                    "rule": fix.plain(),
                    "marks": len(marks),
                    "up": sum(move.by > 0 for move in preview.moves),
                    "down": sum(move.by < 0 for move in preview.moves),
                },
            }
        ],
    )
    return len(marks)
