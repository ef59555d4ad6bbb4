"""The boxes of a sheet in which a student writes, and what they are called.

This file knows nothing of the mark book, so that practice in a browser has it too.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from exercises.questions.parts import DrawnPart, DrawnQuestion

# The line above a student's working in a notebook; what stands below it is theirs.
WORKING_HEAD = "Write your working below this line."


@dataclass(frozen=True, slots=True)
class AnswerBox:
    """One box of a sheet in which a student writes.

    Parameters
    ----------
    key : str
        ``"1a"``: the number of the question on the sheet and its part; a row of a
        table is ``"2b.1"``, ``"2b.2"``.
    question : DrawnQuestion
        The question, as on the sheet.
    part : DrawnPart
        The part; for a table, the row.
    place : int
        The number of the question on the sheet.
    """

    key: str
    question: DrawnQuestion
    part: DrawnPart
    place: int = 1

    @property
    def outcome(self) -> str:
        """What it gives evidence of."""
        return self.question.outcome

    @property
    def whole_key(self) -> str:
        """The key of the part that the box belongs to."""
        return self.key.split(".")[0]

    @property
    def whole(self) -> DrawnPart:
        """The part that the box belongs to; for a row, the table."""
        name = self.whole_key.lstrip("0123456789")
        return next(part for part in self.question.parts if part.name == name)

    @property
    def label(self) -> str:
        """What a row of a table is called; empty elsewhere."""
        return getattr(self.part, "label", "")

    @property
    def worked(self) -> str:
        """The worked solution; for a row without one, that of its table."""
        return self.part.worked or self.whole.worked


def answer_boxes(
    questions: Iterable[DrawnQuestion | Mapping[str, Any]], first: int = 1
) -> list[AnswerBox]:
    """Return every box of a sheet, in order; the one home of answer keys.

    Parameters
    ----------
    questions : iterable of DrawnQuestion or mapping
        As on the sheet, or as a mark book keeps them.
    first : int
        The number of the first of them.

    >>> part = {"name": "a", "kind": "choice"}
    >>> [k.key for k in answer_boxes([{"id": "x", "outcome": "x", "parts": [part]}])]
    ['1a']
    """
    return [
        AnswerBox(key, one, box, place)
        for place, one in enumerate(map(DrawnQuestion.from_json, questions), first)
        for part in one.parts
        for key, box in part.boxes(f"{place}{part.name}")
    ]
