"""What every type of part has, and the register of the types.

A type of part is two classes in one module.  The written one is what a question's
function returns; :meth:`Part.drawn` makes of it the drawn one, which a sheet holds: it
goes to JSON and back, knows its answer boxes and its public side, and marks an answer.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields
from functools import cache
from typing import TYPE_CHECKING, Any, ClassVar, NamedTuple, Protocol, Self, TypeAlias, TypeVar

from calculators.faults import fault_error
from calculators.units import Quantity
from exercises.questions.draws import Draw
from exercises.questions.verdicts import Earned

if TYPE_CHECKING:
    from exercises.questions.answer_boxes import AnswerBox
    from exercises.questions.parts.quantity import Turn
    from exercises.questions.parts.shown import PublicPart

LETTERS = "abcdefghijklmnop"
Given: TypeAlias = Mapping[str, Quantity]


def marks_in_words(marks: float) -> str:
    """Return a number of marks in words.

    >>> marks_in_words(1), marks_in_words(1.5)
    ('1 mark', '1.5 marks')
    """
    return f"{marks:g} mark" + ("" if marks == 1 else "s")


class EarlierAnswers(dict[str, Quantity]):
    """The true answers to earlier parts, remembering which of them were asked for."""

    def __init__(self) -> None:
        super().__init__()
        self.asked: set[str] = set()

    def __getitem__(self, name: str) -> Quantity:
        self.asked.add(name)
        return super().__getitem__(name)


class Part(ABC):
    """A part as a question writes it."""

    prompt: str
    worked: str
    safety: bool

    @abstractmethod
    def drawn(self, name: str, draw: Draw, earlier: EarlierAnswers) -> DrawnPart:
        """Return the part of a sheet: the answer worked out, the options in drawn order."""

    def without_turns(self) -> Part:
        """Return the part without its wrong turns, which take longest to work out."""
        return self


class Followed(NamedTuple):
    """What follows from a student's own earlier answers; floats in base units."""

    answer: float
    tolerance: float
    roads: Sequence[Turn]
    earlier: Sequence[str]  # the boxes whose answers were off


class OnSheet(Protocol):
    """What marking one answer may ask of the rest of the sheet."""

    @property
    def policy(self) -> Mapping[str, Any]:
        """How units are marked."""

    def follow(self, box: AnswerBox, far: bool) -> Followed | str | None:
        """Return what follows from the student's own earlier answers."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnPart(ABC):
    """A part of a sheet.

    Parameters
    ----------
    name : str
        Its letter; empty for a row of a table.
    prompt : str
        What is asked.
    worked : str
        The solution step by step.
    safety : bool
        A safety decision: nothing follows through to it.
    marks : mapping
        The marks by what they are for; a table's are those of its rows.
    """

    kind: ClassVar[str]
    evidence: ClassVar[str] = "decide"  # of which kind of outcome it can be evidence
    name: str = ""
    prompt: str = ""
    worked: str = ""
    safety: bool = False
    marks: Mapping[str, int] = field(default_factory=dict)

    @property
    def total(self) -> int:
        """The marks of the whole part."""
        return sum(self.marks.values())

    def marks_in_words(self) -> str:
        """Return the marks as they stand behind the prompt: ``3 marks: 2 value, 1 unit``."""
        said = marks_in_words(self.total)
        if len(self.marks) > 1:
            said += ": " + ", ".join(f"{n} {name}" for name, n in self.marks.items())
        return said

    @abstractmethod
    def earned(self, text: str, box: AnswerBox, sheet: OnSheet) -> Earned:
        """Return what an answer earns; one that can't be read is a fault."""

    @abstractmethod
    def right_answer(self) -> str:
        """Return the right answer as a student could write it."""

    def exact_answer(self) -> str:
        """Return the right answer, unrounded."""
        return self.right_answer()

    @abstractmethod
    def wrong_answer(self) -> str:
        """Return a wrong answer as a student could write it."""

    @abstractmethod
    def solution(self) -> str:
        """Return the worked solution, ending at the answer."""

    @abstractmethod
    def public(self, place: int, name_units: bool) -> PublicPart:
        """Return what a student may see, field by field."""

    def quantity(self) -> Quantity | None:
        """Return the answer for later parts to use; None where it is no quantity."""
        return None

    def is_fair(self) -> bool:
        """Whether no wrong turn ends at the right answer."""
        return True

    def boxes(self, key: str) -> list[tuple[str, DrawnPart]]:
        """Return the key and the part of each answer box."""
        return [(key, self)]

    def same_answers(self, other: DrawnPart) -> bool:
        """Whether another drawing of this part has the same right answers."""
        return type(other) is type(self) and other.right_answer() == self.right_answer()

    def with_tolerance(self, text: str) -> DrawnPart:
        """Return the part with another tolerance, where it has one."""
        raise fault_error(
            f"part {self.name}",
            "has no tolerance",
            self.kind,
            "",
            "Correct it in the bank, or let it count for everyone",
        )

    def with_words(self, text: str) -> str:
        """Return an answer with what its letters stand for."""
        return text

    def chosen(self, text: str) -> list[Any]:
        """Return an answer in one way of writing it, to hold two sheets' side by side."""
        return [" ".join(text.casefold().split())]

    def said_by(self, chosen: Sequence[Any]) -> str:
        """Return what is chosen in words that are the same on every sheet."""
        return " ".join(map(str, chosen))

    def notes(self) -> list[tuple[str, str, str]]:
        """Return lines for the mark scheme: what it is, its text, what a student is told."""
        return []

    def says_of(self, turn: str) -> tuple[str, bool] | None:
        """Return what is said of a wrong turn, and whether it is an option's text."""
        return None

    def to_json(self) -> dict[str, Any]:
        """Return the part as a sheet stores it."""
        data = {name: plain(getattr(self, name)) for name in _names(type(self))}
        for name in ("name", "label", "method"):  # only where there is one
            if not data.get(name, True):
                del data[name]
        return {"kind": self.kind, **data, "total": self.total}

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> Self:
        """Return the part from what a sheet stores; what is missing has its default."""
        held = dict(data)
        for strange in held.keys() - _names(cls).keys():
            del held[strange]
        return cls(**held)


@cache
def _names(drawn: type[DrawnPart]) -> dict[str, None]:
    return dict.fromkeys(one.name for one in fields(drawn))


def plain(value: Any) -> Any:
    """Return a field's value as JSON has it."""
    if hasattr(value, "to_json"):
        return value.to_json()
    if isinstance(value, tuple):
        return [plain(each) for each in value]
    return dict(value) if isinstance(value, Mapping) else value


# --- the register of the types ---------------------------------------------------------

PART_TYPES: dict[str, type[DrawnPart]] = {}
_Type = TypeVar("_Type", bound=DrawnPart)


def part_type(drawn: type[_Type]) -> type[_Type]:
    """Register a type of part under its ``kind``, the word that stored sheets know it by."""
    known = PART_TYPES.get(drawn.kind)
    if known is not None and known.__qualname__ != drawn.__qualname__:
        raise fault_error(
            "part type", "is registered already", drawn.kind, "", "Choose another word"
        )
    PART_TYPES[drawn.kind] = drawn
    return drawn


def part_from_json(data: Mapping[str, Any]) -> DrawnPart:
    """Return a part from what a sheet stores: the one place that looks at its kind."""
    found = PART_TYPES.get(data["kind"])
    if found is None:
        raise fault_error(
            f"part {data.get('name', '')}",
            "is of a type that is not known here",
            str(data["kind"]),
            f"Known are {', '.join(PART_TYPES)}",
            "Load the module that registers it",
        )
    return found.from_json(data)
