"""A question put right after marking: whose marks change, and by how much."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from calculators.faults import fault_error
from exercises.book.book import Book
from exercises.book.records import Mark, PaperRecord, Result, must_name
from exercises.marking.rules import MISSING, RIGHT, UNREAD, Bank, Verdict, mark_sheet
from exercises.questions.answer_boxes import answer_boxes
from exercises.questions.building import built_again
from exercises.questions.parts import DrawnQuestion
from exercises.questions.registry import Question, bank
from exercises.reports.letters import REMARKED
from exercises.reports.standing import BY_HAND, marks_said, standing

# --- marking anew, after a question was put right ------------------------------------------------


@dataclass(frozen=True)
class Correction:
    """What is put right in a question that has been issued.

    Parameters
    ----------
    question : str
        Its id.
    tolerances : mapping of str to str
        New tolerances by part, such as ``{"a": "0.5 g"}``.
    everyone : sequence of str
        Parts whose marks everyone gets who handed in, since they could not be answered.
    from_bank : bool
        Whether the question itself was mended in the bank: answers, tolerances and
        wrong roads are then worked out anew for the numbers of each sheet.  Only this
        can take marks away.
    """

    question: str
    tolerances: Mapping[str, str] = field(default_factory=dict)
    everyone: Sequence[str] = ()
    from_bank: bool = False

    def said(self) -> str:
        """Return the correction in words."""
        said = ["its answers are worked out anew"] if self.from_bank else []
        said += [f"part {k} within {text}" for k, text in self.tolerances.items()]
        said += [f"part {k} counts for everyone" for k in self.everyone]
        return f"{self.question}: {', '.join(said)}"


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
    """

    paper: str
    correction: Correction
    moves: tuple[Move, ...]
    marks: tuple[Mark, ...]
    looked_at: int
    left: tuple[str, ...]

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
    about = book.paper(paper)
    mended = questions().get(correction.question)
    if correction.from_bank and mended is None:
        raise fault_error(
            f"question {correction.question}",
            "is not in the bank",
            "",
            "",
            "Give the folder it is in, or correct it by tolerance",
        )
    moves: list[Move] = []
    marks: list[Mark] = []
    left: list[str] = []
    looked_at = 0
    seen = False
    for result in book.results(paper):
        asked = [one["id"] for one in result.sheet.questions]
        if correction.question not in asked:
            continue
        seen = True
        if not result.marks or result.handin is None:
            continue
        looked_at += 1
        fresh = _verdicts(result, about, correction, mended, questions)
        new, kept = _changed(result, fresh, correction)
        left += [f"{result.sheet.token} {part}" for part in kept]
        if not new:
            continue
        marks += new
        moved = Result(
            result.sheet,
            result.student,
            result.state,
            result.handin,
            {**result.marks, **{mark.part: mark for mark in new}},
            result.others,
            result.needs_a_look,
        )
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
    if not seen:
        raise fault_error(
            f"question {correction.question}",
            f"is on no sheet of {paper}",
            "",
            f"It has: {', '.join(map(str, about.plan.get('questions', ())))}",
            "Check its name",
        )
    return Preview(paper, correction, tuple(moves), tuple(marks), looked_at, tuple(left))


def _verdicts(
    result: Result,
    about: PaperRecord,
    correction: Correction,
    mended: Question | None,
    questions: Bank,
) -> list[Verdict]:
    assert result.handin is not None
    sheet = [
        _corrected(one, correction, mended) if one.id == correction.question else one
        for one in map(DrawnQuestion.from_json, result.sheet.questions)
    ]
    verdicts = mark_sheet(sheet, result.handin.answers, about.policy, questions_now=questions)
    keys = {key.key: key for key in answer_boxes(result.sheet.questions)}
    out = []
    for one in verdicts:
        part = keys[one.part]
        own = one.part.split(".")[0]
        if (
            part.question.id == correction.question
            and own.lstrip("0123456789") in correction.everyone
        ):
            split = part.part.marks
            unit_mark = float(split.get("unit", 0))
            one = one._replace(
                value=one.total - unit_mark,
                unit=unit_mark,
                awarded=one.total,
                verdict=RIGHT,
                road="",
                reason="This part was put right after the sheets were issued, and its "
                "marks are everyone's.",
            )
        out.append(one)
    return out


def _corrected(
    one: DrawnQuestion, correction: Correction, mended: Question | None
) -> DrawnQuestion:
    """Return a question of a sheet as it should have been, with its own numbers."""
    new = one
    if correction.from_bank and mended is not None:
        new = built_again(mended, one.values)
    parts = []
    for part in new.parts:
        text = correction.tolerances.get(part.name)
        parts.append(part.with_tolerance(text) if text else part)
    wrong = set(correction.tolerances) | set(correction.everyone)
    wrong -= {part.name for part in parts}
    if wrong:
        raise fault_error(
            f"question {correction.question}",
            "has no such part",
            ", ".join(sorted(wrong)),
            f"It has {', '.join(part.name for part in parts)}",
            "Check the letter",
        )
    return replace(new, parts=tuple(parts))


def _changed(
    result: Result, verdicts: Iterable[Verdict], correction: Correction
) -> tuple[list[Mark], list[str]]:
    """Return the new marks of a sheet, and the parts that keep an assessor's mark."""
    assert result.handin is not None
    new, kept = [], []
    for one in verdicts:
        old = result.marks.get(one.part)
        if old is None or old.question != correction.question:
            continue
        if old.verdict == BY_HAND:
            kept.append(one.part)
            continue
        if old.verdict == UNREAD and one.verdict == MISSING:
            continue  # what could not be read was not kept, so nothing is known anew
        if one.awarded < old.awarded and not correction.from_bank:
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
                one.reason,
                one.road,
                "",
                "",
                old.id,
            )
        )
    return new, kept


def remark(book: Book, preview: Preview, *, by: str, reason: str) -> int:
    """Do what a preview showed: add the new marks and keep the old ones.

    Parameters
    ----------
    book : Book
        Open for writing.
    preview : Preview
        As it was looked at; refused where a mark has changed since.
    by, reason : str
        Who confirms it, and why.

    Returns
    -------
    int
        How many marks are new.
    """
    must_name(by)
    fix = preview.correction
    book.append(
        by=by,
        reason=reason,
        marks=preview.marks,
        decisions=[
            {
                "what": REMARKED,
                "detail": {
                    "paper": preview.paper,
                    "question": fix.question,
                    "correction": fix.said(),
                    "marks": len(preview.marks),
                    "up": sum(move.by > 0 for move in preview.moves),
                    "down": sum(move.by < 0 for move in preview.moves),
                },
            }
        ],
    )
    return len(preview.marks)
