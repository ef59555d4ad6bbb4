"""What follows from a student's own earlier answers.

The question is asked again with the values of the sheet and with what the student had
before: who took a wrong way once is not marked down twice for it.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite
from typing import Protocol

from calculators.units import Quantity
from exercises.questions.answer_boxes import AnswerBox
from exercises.questions.building import again
from exercises.questions.parts import DrawnQuantity, QuantityPart, TablePart
from exercises.questions.parts.part import Followed
from exercises.questions.parts.quantity import LOOKS, base, tolerance_in, widened
from exercises.questions.registry import Question


class AnsweredSheet(Protocol):
    """What of a sheet decides what follows: its answers, and the questions of today's bank."""

    answers: Mapping[str, str]
    problems: Mapping[str, str]

    @property
    def questions(self) -> Mapping[str, Question]:
        """The questions of today's bank, by their ids."""


def follow(sheet: AnsweredSheet, box: AnswerBox, far: bool) -> Followed | str | None:
    """Return what follows from the student's own earlier answers.

    None where nothing can follow: an earlier answer is missing, can't be read or
    is absurd; all of them are exact; or all are right and this one is so ``far``
    off that their rounding can't be why.  A sentence for the student where the
    question, asked again with its own values, has other answers than the sheet.
    """
    part = box.part
    assert isinstance(part, DrawnQuantity)
    earlier = [one for one in box.question.parts if isinstance(one, DrawnQuantity)]
    sizes: dict[str, float] = {}
    off: list[str] = []
    own = False
    for one in earlier:
        key = f"{box.place}{one.name}"
        size, unread = (
            (None, True) if key in sheet.problems else one.own(sheet.answers.get(key, ""))
        )
        if one.name in part.follows:
            if unread:
                return f"This may follow from {key}, which can't be read. {LOOKS}"
            if size is None or one.absurd(size):
                return None
            own = own or size != one.answer
            if abs(size - one.answer) > widened(one.tolerance, one.answer):
                off.append(key)
        sizes[one.name] = one.answer if size is None else size
    if not own or (far and not off):
        return None
    chosen = sheet.questions.get(box.question.id)
    written = None if chosen is None else _written(chosen, box)
    if written is None:
        return _CHANGED if off else None
    given = {one.name: one.as_quantity(sizes[one.name]) for one in earlier}
    try:
        return _followed(written, part, given, off)
    except (ArithmeticError, LookupError, TypeError, ValueError):
        return None  # the calculators refuse what the earlier answer leads to


_CHANGED = f"This may follow from an earlier answer that was not right. {LOOKS}"


def _written(chosen: Question, box: AnswerBox) -> QuantityPart | None:
    """Return a part as its question writes it today; None where its answers have moved.

    The question is asked again with the values of the sheet.  What counts is whether
    the answers that are stored come out again, here and in the parts it follows from.
    """
    try:
        asked, today = again(chosen, box.question.values)
    except Exception:  # a question that was rewritten may fail in any way
        return None
    name = box.whole_key.removeprefix(str(box.place))
    mine = dict(today[name].boxes(box.whole_key)).get(box.key) if name in today else None
    if mine is None or not box.part.same_answers(mine):
        return None
    stored = {part.name: part for part in box.question.parts}
    for earlier in box.part.follows if isinstance(box.part, DrawnQuantity) else ():
        if earlier not in today or not stored[earlier].same_answers(today[earlier]):
            return None
    part = asked.parts[list(today).index(name)]
    if isinstance(part, TablePart):
        part = list(part.rows.values())[int(box.key.partition(".")[2]) - 1]
    return part if isinstance(part, QuantityPart) else None


def _followed(
    written: QuantityPart,
    stored: DrawnQuantity,
    given: Mapping[str, Quantity],
    earlier: list[str],
) -> Followed:
    answer = written.answer(given) if callable(written.answer) else written.answer
    size = base(answer)
    if not isfinite(size):
        raise ValueError("not finite")
    width = tolerance_in(stored.tolerance_text or written.tolerance, answer)
    return Followed(size, width, written.turns(given), earlier)
