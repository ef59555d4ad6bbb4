"""After a formula or a constant was changed: whose sheets it concerns.

A sheet's answers stand as they were issued.  This names the sheets that would have
other answers today, so that a lecturer can decide whether to correct the question.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from exercises.book.records import SheetRecord
from exercises.questions.answer_boxes import AnswerBox, answer_boxes
from exercises.questions.building import built_again
from exercises.questions.parts import DrawnQuestion
from exercises.questions.registry import Question

MOST_NAMED = 5


@dataclass
class MovedAnswer:
    """An answer that today's formulas give otherwise, and the sheets that hold it.

    Parameters
    ----------
    question : str
        The question's id.
    key : str
        The answer box.
    was, now : str
        The answer on the first of these sheets, and today's; empty where the question no
        longer asks for it.
    sheets : list of str
        The tokens.
    """

    question: str
    key: str
    was: str
    now: str
    sheets: list[str]

    def said(self) -> str:
        """Return it as a sentence for a lecturer."""
        named = ", ".join(self.sheets[:MOST_NAMED])
        more = len(self.sheets) - MOST_NAMED
        return (
            f"Question {self.question}, {self.key}: {self.was} on the sheet, "
            f"{self.now or 'not asked'} by today's formulas. "
            f"Sheets: {named}{f' and {more} more' if more > 0 else ''}."
        )


def moved_answers(
    sheets: Iterable[SheetRecord], questions: Mapping[str, Question]
) -> list[MovedAnswer]:
    """Return the answers of issued sheets that today's formulas give otherwise.

    Parameters
    ----------
    sheets : iterable of SheetRecord
        As issued.
    questions : mapping of str to Question
        Today's bank; a question that is not in it is passed over.
    """
    found: dict[tuple[str, str], MovedAnswer] = {}
    for sheet in sheets:
        for place, stored in enumerate(map(DrawnQuestion.from_json, sheet.questions), 1):
            card = questions.get(stored.id)
            today = _boxes_today(card, stored, place) if card else None
            for box in answer_boxes([stored], place) if today is not None else ():
                now = today.get(box.key) if today else None
                if now is not None and box.part.same_answers(now.part):
                    continue
                moved = MovedAnswer(
                    stored.id,
                    box.key,
                    box.part.right_answer(),
                    now.part.right_answer() if now else "",
                    [],
                )
                found.setdefault((stored.id, box.key), moved).sheets.append(sheet.token)
    return list(found.values())


def _boxes_today(card: Question, stored: DrawnQuestion, place: int) -> dict[str, AnswerBox]:
    """Return the boxes of a question asked again; none where it can't be."""
    try:
        again = built_again(card, stored.values)
    except Exception:  # a question that was rewritten may fail in any way
        return {}
    return {box.key: box for box in answer_boxes([again], place)}
