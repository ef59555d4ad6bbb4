"""Marks one hand-in: what agrees, what does not, and which road it shows.

Pure functions on plain data: no file, no database.  Answers are read by the strict
reader, converted with cached factors, and compared as floats in base units.

The rules, which the mark scheme prints too (:func:`rules`):

- The value and the unit have marks of their own.
- A later part is accepted with the true value, or with what follows from the
  student's own earlier answer; never for a safety decision, never from a missing or
  absurd answer.
- Each verdict says what is right first and gives one next step, never the answer.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cached_property
from typing import Any, TypeAlias

from calculators.faults import Fault, FaultsError
from calculators.units.answers import is_blank
from exercises.marking.follow_through import follow
from exercises.questions.answer_boxes import AnswerBox, answer_boxes
from exercises.questions.parts import DrawnQuestion
from exercises.questions.parts.part import Followed
from exercises.questions.parts.quantity import (
    ABSURD_KELVIN,
    ABSURD_RATIO,
    FITS,
    to_base,
    understood,
    widened,
)
from exercises.questions.registry import Question, bank
from exercises.questions.verdicts import (
    ASSESSOR,
    FOLLOWS,
    MISSING,
    NEAR,
    NO_ANSWER,
    PARTLY,
    RIGHT,
    RIGHT_ALONE,
    RIGHT_WITH_UNIT,
    ROAD,
    TO_SETTLE,
    UNIT_LOST,
    UNREAD,
    WRONG,
    Earned,
    Verdict,
)

__all__ = [
    "ASSESSOR",
    "FITS",
    "FOLLOWS",
    "MISSING",
    "NEAR",
    "NO_ANSWER",
    "PARTLY",
    "POLICY",
    "RIGHT",
    "RIGHT_ALONE",
    "RIGHT_WITH_UNIT",
    "ROAD",
    "TO_SETTLE",
    "UNIT_LOST",
    "UNREAD",
    "WRONG",
    "Bank",
    "MarkedSheet",
    "Verdict",
    "mark_sheet",
    "policy_of",
    "rules",
    "to_base",
    "understood",
    "widened",
]

# How units are marked where the scheme says nothing else.
POLICY: dict[str, Any] = {
    "missing_unit": "asked",  # "asked": its mark is lost; "assumed": taken as meant
    "other_unit": "accepted",  # "accepted": any unit of the kind; "asked": the one asked for
    "unit_alone": False,  # whether a right unit beside a wrong number earns its mark
}
_POLICY_WORDS = {
    "missing_unit": ("asked", "assumed"),
    "other_unit": ("accepted", "asked"),
    "unit_alone": (False, True),
}


Bank: TypeAlias = Callable[[], Mapping[str, Question]]


def policy_of(given: Mapping[str, Any] | None) -> dict[str, Any]:
    """Return a whole policy, from what a scheme says; what is not known is refused."""
    faults = [
        Fault(
            f"policy, {name}",
            "is not known",
            str(value),
            "It must be one of: "
            + "; ".join(
                f"{key} = {' or '.join(map(str, words))}" for key, words in _POLICY_WORDS.items()
            ),
            "Correct the policy in the scheme",
        )
        for name, value in (given or {}).items()
        if value not in _POLICY_WORDS.get(name, ())
    ]
    if faults:
        raise FaultsError(faults)
    return {**POLICY, **(given or {})}


def rules(policy: Mapping[str, Any] | None = None) -> list[str]:
    """Return the rules of marking as sentences, for the mark scheme."""
    chosen = policy_of(policy)
    return [
        "The value and the unit have marks of their own. "
        + (
            "A right unit earns its mark beside a wrong number."
            if chosen["unit_alone"]
            else "The unit earns its mark only beside a right number."
        ),
        "Where no unit is written, the number is taken in the unit of the answer, and "
        + (
            "the unit's mark is lost."
            if chosen["missing_unit"] == "asked"
            else "the unit counts as written."
        ),
        "What can be read in two ways of which one is right, as 1.250 for 1250, is left to "
        "the assessor; so are ranges, limits and sums that were not worked out.",
        "A share written as a fraction where per cent is asked, as 0.65 for 65 %, keeps the "
        "marks for the value and loses the unit's.",
        "A right number with a unit that does not fit keeps the marks for the value, "
        "except in a safety decision.",
        "An answer in another unit of the same kind is converted"
        + (
            "."
            if chosen["other_unit"] == "accepted"
            else "; the unit's mark is for the unit that was asked for."
        ),
        "A later part is right with the true value, or with what follows from the "
        "student's own earlier answer. This does not hold for a safety decision, nor "
        f"from an earlier answer that is missing or off by more than {ABSURD_RATIO:g} "
        f"times (or {ABSURD_KELVIN:g} °C).",
        "Several choices: each right one earns its share, each wrong one costs as much, "
        "never below zero; rounded down to half marks.",
        "An order: marks follow the share of step pairs in the right order; half right, "
        "as by chance, earns nothing and all right earns everything; rounded down to "
        "half marks.",
    ]


def share_by_units_alone(
    questions: Sequence[DrawnQuestion | Mapping[str, Any]],
    policy: Mapping[str, Any] | None = None,
) -> float:
    """Return which share of a paper's marks right units earn beside wrong numbers."""
    parts = [key.part for key in answer_boxes(questions)]
    if not policy_of(policy)["unit_alone"] or not parts:
        return 0.0
    units = sum(float(part.marks.get("unit", 0)) for part in parts)
    return units / sum(float(part.total) for part in parts)


# --- a whole sheet ----------------------------------------------------------------------


def mark_sheet(
    questions: Sequence[DrawnQuestion | Mapping[str, Any]],
    answers: Mapping[str, str],
    policy: Mapping[str, Any] | None = None,
    problems: Mapping[str, str] | None = None,
    questions_now: Bank = bank,
) -> list[Verdict]:
    """Mark every answer of a sheet.

    Parameters
    ----------
    questions : sequence of DrawnQuestion or mapping
        The sheet's questions, as drawn or as a mark book keeps them.
    answers : mapping of str to str
        What the student wrote, by answer key.
    policy : mapping, optional
        How units are marked; see :data:`POLICY`.
    problems : mapping of str to str, optional
        Answers that could not be read at all, with the reason.
    questions_now : function
        Gives the questions of today's bank, for follow-through.

    Returns
    -------
    list of Verdict
        One an answer key, in the order of the sheet.
    """
    chosen = {**POLICY, **policy} if policy else POLICY
    sheet = MarkedSheet(answers, problems or {}, chosen, questions_now)
    return [sheet.mark(key) for key in answer_boxes(questions)]


class MarkedSheet:
    """What marking one answer has to know of the others on the sheet.

    Parameters
    ----------
    answers, problems, questions_now
        As for :func:`mark_sheet`.
    policy : mapping
        A whole policy.
    """

    def __init__(
        self,
        answers: Mapping[str, str],
        problems: Mapping[str, str],
        policy: Mapping[str, Any],
        questions_now: Bank,
    ) -> None:
        self.answers, self.problems = answers, problems
        self.policy, self._questions_now = policy, questions_now

    def mark(self, key: AnswerBox) -> Verdict:
        """Mark the answer in one box."""
        text = self.answers.get(key.key, "")
        problem = self.problems.get(key.key)
        if problem:
            return _verdict(key, Earned(UNREAD, f"This could not be read. {problem}"))
        if is_blank(text):
            return _verdict(key, Earned(MISSING, NO_ANSWER))
        try:
            return _verdict(key, key.part.earned(text, key, self))
        except FaultsError as error:
            return _verdict(key, Earned(UNREAD, _not_read(error)))

    @cached_property
    def questions(self) -> Mapping[str, Question]:
        """The questions of today's bank, asked for where something follows."""
        return self._questions_now()

    def follow(self, box: AnswerBox, far: bool) -> Followed | str | None:
        """Return what follows from the student's own earlier answers."""
        return follow(self, box, far)


# --- verdicts in words --------------------------------------------------------------------------


def _not_read(error: FaultsError) -> str:
    """Return why an answer can't be read, without repeating it: it stands beside."""
    fault = error.faults[0]
    parts = [f"This could not be read: it {fault.problem}."]
    parts += [text.rstrip(".") + "." for text in (fault.limit, fault.next_step) if text]
    return " ".join(parts).replace("?.", "?")


def _verdict(key: AnswerBox, earned: Earned) -> Verdict:
    return Verdict(
        key.question.id,
        key.key,
        earned.value,
        earned.unit,
        earned.value + earned.unit,
        float(key.part.total),
        earned.verdict,
        earned.reason.strip(),
        earned.road,
    )
