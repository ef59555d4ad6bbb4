"""What marking says of one answer: the words of a verdict, and its marks."""

from __future__ import annotations

from math import floor
from typing import NamedTuple

from calculators.faults import Fault, FaultsError

# The verdicts.
RIGHT, UNIT_LOST, FOLLOWS = "right", "right but for the unit", "follows from earlier"
PARTLY, NEAR, ROAD, WRONG = "partly right", "near", "wrong road", "not right"
MISSING, UNREAD, ASSESSOR = "missing", "can't be read", "for the assessor"
TO_SETTLE = (UNREAD, ASSESSOR)  # an assessor has to look at it

# What is said most often.
RIGHT_WITH_UNIT, RIGHT_ALONE = "Right, the number and the unit.", "Right."
NO_ANSWER = "There is no answer here. An attempt can earn marks."


class Verdict(NamedTuple):
    """What one answer earned, and why in words that a student understands.

    Parameters
    ----------
    question : str
        The question's id.
    part : str
        The answer key.
    value, unit : float
        Marks for the value (or the choice, or the order) and for the unit.
    awarded, total : float
        Marks won and possible.
    verdict : str
        One of this module's words.
    reason : str
        At most three short sentences.
    road : str
        The name of the wrong turn that was recognised; empty for none.
    """

    question: str
    part: str
    value: float
    unit: float
    awarded: float
    total: float
    verdict: str
    reason: str
    road: str = ""

    @property
    def to_settle(self) -> bool:
        """Whether an assessor has to look at it."""
        return self.verdict in TO_SETTLE


class Earned(NamedTuple):
    """What a part says of an answer: its verdict, without the box it stands in."""

    verdict: str
    reason: str
    value: float = 0.0
    unit: float = 0.0
    road: str = ""


def unread(problem: str, text: str, limit: str, step: str) -> FaultsError:
    """Return the fault of an answer that can't be read."""
    shown = text[:40].encode("utf-8", "backslashreplace").decode()
    return FaultsError([Fault("answer", problem, shown, limit, step)])


def half_marks(value: float) -> float:
    """Return marks rounded down to halves."""
    return floor(2 * value + 1e-9) / 2
