"""A part in which steps are put in order."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING, Any, ClassVar, Self

from calculators.faults import FaultsError
from exercises.questions.draws import Draw
from exercises.questions.parts.choice import folded
from exercises.questions.parts.part import DrawnPart, EarlierAnswers, OnSheet, Part, part_type
from exercises.questions.parts.shown import PublicOrder, PublicPart
from exercises.questions.verdicts import PARTLY, RIGHT, WRONG, Earned, half_marks, unread

if TYPE_CHECKING:
    from exercises.questions.answer_boxes import AnswerBox


@dataclass(frozen=True)
class OrderPart(Part):
    """A part in which steps are put in order; ``steps`` stand in the right one."""

    prompt: str
    steps: Sequence[str]
    marks: int = 2
    worked: str = ""
    says: str = ""
    safety: bool = False

    def drawn(self, name: str, draw: Draw, earlier: EarlierAnswers) -> DrawnOrder:
        """Return the part with its steps in drawn order."""
        places = draw.shuffled(f"order {name}", range(len(self.steps)))
        return DrawnOrder(
            name=name,
            prompt=self.prompt,
            worked=self.worked,
            safety=self.safety,
            marks={"order": self.marks},
            steps=tuple(self.steps[place] for place in places),
            right=tuple(places.index(n) + 1 for n in range(len(places))),
            says=self.says,
        )


@part_type
@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnOrder(DrawnPart):
    """Steps are to be put in order.

    Parameters
    ----------
    steps : tuple of str
        In drawn order.
    right : tuple of int
        The numbers of the steps in the right order.
    says : str
        What is said to who has them in another.
    """

    kind: ClassVar[str] = "order"
    steps: Sequence[str] = ()
    right: Sequence[int] = ()
    says: str = ""

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> Self:
        """Return the part from what a sheet stores."""
        steps, right = tuple(data.get("steps", ())), tuple(data.get("right", ()))
        return super(DrawnOrder, cls).from_json({**data, "steps": steps, "right": right})

    def public(self, place: int, name_units: bool) -> PublicPart:
        """Return what a student may see, field by field."""
        key = f"{place}{self.name}"
        return PublicOrder(key, self.prompt, self.marks_in_words(), steps=tuple(self.steps))

    def right_answer(self) -> str:
        """Return the numbers of the steps in the right order.

        >>> DrawnOrder(right=(3, 1, 2)).right_answer()
        '3, 1, 2'
        """
        return ", ".join(map(str, self.right))

    def wrong_answer(self) -> str:
        """Return the steps in the reverse of the right order."""
        return " ".join(map(str, reversed(self.right)))

    def ordered(self) -> list[str]:
        """Return the steps in the right order."""
        return [self.steps[n - 1] for n in self.right]

    def with_words(self, text: str) -> str:
        """Return numbers of steps with what they say."""
        try:
            places = self.chosen(text)
        except FaultsError:
            return text
        return "; ".join(f"{place}, {self.steps[place - 1]}" for place in places)

    def solution(self) -> str:
        """Return the steps in the right order, and the worked solution."""
        listed = "\n".join(f"{n}. {step}" for n, step in enumerate(self.ordered(), 1))
        return f"{listed}\n\n{self.worked}".strip()

    def notes(self) -> list[tuple[str, str, str]]:
        """Return the numbered steps, and what a wrong order is told."""
        steps = [(f"Step {n}", step, "") for n, step in enumerate(self.steps, 1)]
        return steps + ([("Said", "", self.says)] if self.says else [])

    def is_fair(self) -> bool:
        """Whether the steps are not drawn in the right order."""
        return list(self.right) != sorted(self.right)

    # -- marking ------------------------------------------------------------------------

    def chosen(self, text: str) -> list[int]:
        """Return the steps in the order given, by their numbers or in their words."""
        places = {folded(step).strip(" ."): place for place, step in enumerate(self.steps, 1)}
        said = [word.strip(" .") for word in re.split(r"[,;>→\n]+", folded(text))]
        if len(places) == len(said) and places.keys() == set(said):
            return [places[word] for word in said]
        return _places(text, len(self.right))

    def said_by(self, chosen: Sequence[int]) -> str:
        """Return what steps say, which each sheet has in another order."""
        return " > ".join(self.steps[step - 1] for step in chosen)

    def earned(self, text: str, box: AnswerBox, sheet: OnSheet) -> Earned:
        """Return what an order earns, by the share of its pairs that are right."""
        right, total = list(self.right), float(self.total)
        given = self.chosen(text)
        if given == right:
            return Earned(RIGHT, "Right: every step in its place.", total)
        at = {step: place for place, step in enumerate(given)}
        pairs = list(combinations(right, 2))
        well = sum(at[one] < at[two] for one, two in pairs)
        won = half_marks(total * max(0.0, 2 * well / len(pairs) - 1))
        begins = next(n for n, (a, b) in enumerate(zip(given, right, strict=True)) if a != b)
        said = (
            f"The first {begins} steps stand right. "
            if begins > 1
            else "The first step stands right. "
            if begins
            else ""
        )
        step = self.says or "Ask of each step what must be done before it."
        return Earned(PARTLY if won else WRONG, f"{said}{step}", won)


# Words that may stand between the steps; the first and the last one only where they are.
_ORDER_WORDS = re.compile(
    r"\b(?:steps?|then|and|dann|danach|und|puis|luego|poi|my|order|is|answer|maybe|i think)\b"
    r"|^\W*(?:first|zuerst)\b|\b(?:last|finally|zuletzt)\b(?=\W*[0-9]+\W*$)"
)


def _places(text: str, count: int) -> list[int]:
    """Return the order of the steps: ``3 1 4 2``, ``3, 1, 4, 2`` or ``3142``."""
    plain = folded(text)
    words = re.findall(r"[0-9]+", plain) if len(text) <= 200 else []
    if len(words) == 1 and count < 10:
        words = list(words[0])
    plain = _ORDER_WORDS.sub(" ", plain)
    rest = re.sub(r"[0-9\s,;:.>\-–→()\[\]/|=?!&+·]", "", plain)
    if rest or any(len(word) > 2 for word in words):
        raise unread(
            "holds something else than the numbers of the steps",
            text,
            "",
            "Write them like 2, 1, 3",
        )
    places = [int(word) for word in words]
    if sorted(places) != list(range(1, count + 1)):
        raise unread(
            "does not name every step once",
            text,
            f"The steps go from 1 to {count}",
            "Write each number once, like 2, 1, 3",
        )
    return places
