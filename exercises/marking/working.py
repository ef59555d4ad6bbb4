"""What a student's working may earn where the value is wrong, as a suggestion alone.

The mark scheme says which step earns how much.  A program can't follow a way, so it
suggests marks only where the number of the right way stands in what was written, or
where the answer comes near; a person reads the working and decides.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from calculators.faults import FaultsError
from calculators.units.answers import read_answer
from exercises.marking.rules import NEAR, ROAD
from exercises.questions.answer_boxes import AnswerBox
from exercises.questions.parts import DrawnQuantity, marks_in_words
from exercises.questions.parts.quantity import to_base, widened

MOST_NUMBERS = 60  # of a working, that are looked at
_NUMBER = re.compile(r"(?<![\w.,])[0-9]{1,9}(?:[.,][0-9]{1,9})?(?![\w.,]*[0-9])")


class Suggested(NamedTuple):
    """A method mark that is suggested, and why."""

    marks: float
    why: str


def steps_of(box: AnswerBox) -> list[str]:
    """Return the steps that the mark scheme rewards, each with its marks."""
    part = box.part
    if not isinstance(part, DrawnQuantity):
        return []
    return [f"{step}: {marks_in_words(marks)}" for step, marks in part.steps.items()]


def suggested(box: AnswerBox, verdict: str, road: str, working: str) -> Suggested:
    """Return the method mark that is suggested for a part whose value is wrong.

    Parameters
    ----------
    box : AnswerBox
        The part, with the mark scheme's steps.
    verdict, road : str
        What marking said of the answer, and the wrong turn that it recognised.
    working : str
        As the student wrote it.
    """
    part = box.part
    if not isinstance(part, DrawnQuantity) or not part.steps:
        return Suggested(0.0, "the mark scheme has no marks for a step here")
    whole = float(sum(part.steps.values()))
    if _holds(working, part):
        return Suggested(whole, "the right number stands in the working")
    if verdict == NEAR:
        return Suggested(whole, "the answer comes near, as when one rounds on the way")
    if verdict == ROAD:
        return Suggested(0.0, f"the answer is that of a known wrong turn, “{road}”")
    return Suggested(0.0, "nothing in it is sure to be the right way; give more where you see it")


def _holds(working: str, part: DrawnQuantity) -> bool:
    """Tell whether the right number stands in a working, in the unit that was asked for."""
    factor, offset, _ = to_base(part.unit)
    width = widened(part.tolerance, part.answer)
    for found in _NUMBER.findall(working)[:MOST_NUMBERS]:
        try:
            value = read_answer(found, part.unit).value
        except FaultsError:
            continue
        if abs(factor * value + offset - part.answer) <= width:
            return True
    return False
