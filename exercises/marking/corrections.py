"""Corrections are versions of a paper: every hand-in is marked by the newest one.

Sheets that are out keep the rules printed on them; what a correction puts right is kept
in the mark book, and holds for hand-ins that come later or are chosen to count later.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from typing import Any

from calculators.faults import fault_error
from exercises.book.book import Book
from exercises.marking.rules import RIGHT, Bank, Verdict, mark_sheet
from exercises.questions.answer_boxes import AnswerBox, answer_boxes
from exercises.questions.building import built_again
from exercises.questions.parts import DrawnQuestion
from exercises.questions.registry import Question, bank

REMARKED = "re-marked"  # the decision that keeps a correction
FOR_EVERYONE = "This part was put right after the sheets were issued, and its marks are everyone's."


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
        wrong turns are then worked out anew for the numbers of each sheet.  Only this
        can take marks away.
    """

    question: str
    tolerances: Mapping[str, str] = field(default_factory=dict)
    everyone: Sequence[str] = ()
    from_bank: bool = False

    def plain(self) -> dict[str, Any]:
        """Return the correction as the mark book keeps it."""
        return {**asdict(self), "everyone": list(self.everyone)}

    def said(self) -> str:
        """Return the correction in words."""
        said = ["its answers are worked out anew"] if self.from_bank else []
        said += [f"part {k} within {text}" for k, text in self.tolerances.items()]
        said += [f"part {k} counts for everyone" for k in self.everyone]
        return f"{self.question}: {', '.join(said)}"


def corrections_of(book: Book, paper: str) -> list[Correction]:
    """Return the corrections of a paper that stand, oldest first."""
    return [
        Correction(**one.detail["rule"])
        for one in book.standing_decisions()
        if one.what == REMARKED
        and one.detail.get("paper") == paper
        and "rule" in one.detail  # older books kept only what was said of it
    ]


def marked(
    asked: Sequence[DrawnQuestion | Mapping[str, Any]],
    answers: Mapping[str, str],
    policy: Mapping[str, Any],
    corrections: Sequence[Correction] = (),
    problems: Mapping[str, str] | None = None,
    questions_now: Bank = bank,
) -> list[Verdict]:
    """Mark the answers of a sheet by the newest version of its paper.

    Parameters
    ----------
    asked : sequence of DrawnQuestion or mapping
        The questions of the sheet, as it was issued.
    answers, policy, problems, questions_now
        As for :func:`exercises.marking.rules.mark_sheet`.
    corrections : sequence of Correction
        Those of the paper, oldest first.
    """
    questions = as_issued = [DrawnQuestion.from_json(one) for one in asked]
    for fix in corrections:
        mended = questions_now().get(fix.question) if fix.from_bank else None
        questions = [
            corrected(one, fix, mended) if one.id == fix.question else one for one in questions
        ]
    verdicts = mark_sheet(questions, answers, policy, problems, questions_now)
    everyone = {(fix.question, name) for fix in corrections for name in fix.everyone}
    if not everyone:
        return verdicts
    boxes = answer_boxes(as_issued)
    return [
        _full(one, box) if (box.question.id, _name_of(box)) in everyone else one
        for one, box in zip(verdicts, boxes, strict=True)
    ]


def _name_of(box: AnswerBox) -> str:
    return box.key.split(".")[0].removeprefix(str(box.place))


def _full(one: Verdict, box: AnswerBox) -> Verdict:
    unit_mark = float(box.part.marks.get("unit", 0))
    return one._replace(
        value=one.total - unit_mark,
        unit=unit_mark,
        awarded=one.total,
        verdict=RIGHT,
        road="",
        reason=FOR_EVERYONE,
    )


def corrected(one: DrawnQuestion, correction: Correction, mended: Question | None) -> DrawnQuestion:
    """Return a question of a sheet as it should have been, with its own numbers.

    Parameters
    ----------
    one : DrawnQuestion
        The question as it was issued.
    correction : Correction
        What is put right in it.
    mended : Question or None
        The question of today's bank, where it is to be worked out again.
    """
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
