"""What a question asks: its parts, marks, tolerance and the wrong turns people take."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeAlias

from calculators.units import Quantity

Given: TypeAlias = Mapping[str, Quantity]
Answer: TypeAlias = "Quantity | Callable[[Given], Quantity]"


# --- what a question says ------------------------------------------------------------


@dataclass(frozen=True)
class WrongTurn:
    """A wrong way to an answer that teachers of the trade know.

    Parameters
    ----------
    name : str
        Two or three words, for the assessor.
    value : quantity or str
        The number that comes of it; in a choice, the text of the option.
    says : str
        Begins *This is the number you get ...*, then gives one next step; it never
        gives the answer and never says that somebody did it.
    """

    name: str
    value: Any
    says: str


@dataclass(frozen=True)
class Exhibit:
    """Something to look at before answering: a log, two formulas, a drawing.

    Parameters
    ----------
    title : str
        What it is.
    head : sequence of str
        The columns of the log.
    rows : sequence of sequence of str
        Its lines.
    svg : str
        A drawing instead of a table, as SVG text of our own making.
    alt : str
        What the drawing shows, in words; required with ``svg``.
    plate : str
        The id of a plate to look at; its words, which tell no diagnosis, come with it.
    """

    title: str
    head: Sequence[str] = ()
    rows: Sequence[Sequence[str]] = ()
    svg: str = ""
    alt: str = ""
    plate: str = ""


@dataclass(frozen=True)
class QuantityPart:
    """A part that is answered with a quantity.

    Parameters
    ----------
    prompt : str
        What is asked, with the values in it.
    answer : quantity or function of the earlier answers
        The right answer; a function makes the part a follow-through part.
    tolerance : str
        ``"0.1 g"``, or ``"2 % of the answer"``.
    because : str
        Why that tolerance: what the scale shows, how far sources agree.
    marks : mapping
        Marks for ``"value"`` and, separately, ``"unit"``.
    wrong_turns : sequence of WrongRoad
        At least two.
    working : str
        The formula in the letters of the lesson.
    worked : str
        The solution step by step with this sheet's numbers, ending at the answer.
    unit : str
        The unit to print the answer in; by default that of the answer.
    safety : bool
        A safety decision: never accepted by follow-through.
    """

    prompt: str
    answer: Any
    tolerance: str
    because: str = ""
    marks: Mapping[str, int] = field(default_factory=lambda: {"value": 2, "unit": 1})
    wrong_turns: Sequence[WrongTurn] = ()
    working: str = ""
    worked: str = ""
    unit: str = ""
    safety: bool = False


@dataclass(frozen=True)
class Option:
    """One choice of several.

    Parameters
    ----------
    text : str
        What it says.
    right : bool
        Whether it is (one of) the right one(s).
    says : str
        For a wrong one: what choosing it tells, and one next step.
    """

    text: str
    right: bool = False
    says: str = ""


def one_right(
    texts: Mapping[Any, str] | Mapping[Any, tuple[str, str]],
    right: Any,
    otherwise: str | Mapping[Any, str] = "",
) -> list[Option]:
    """Return options of which one is right, in the order given.

    Parameters
    ----------
    texts : mapping of name to str, or to (str, str)
        What each option says, and perhaps what choosing it tells.
    right : name
        The right one's.
    otherwise : str or mapping of name to str, optional
        What choosing a wrong one tells, where it does not stand beside it: the same
        for all, or each its own.

    Examples
    --------
    >>> one_right({"A": "Tub A", "B": "Tub B"}, "B", "Read the label again.")[0].says
    'Read the label again.'
    """

    def option(name: Any, text: str, says: str) -> Option:
        return Option(text, name == right, "" if name == right else says)

    hints = dict.fromkeys(texts, otherwise) if isinstance(otherwise, str) else otherwise
    return [
        option(name, text, hints[name]) if isinstance(text, str) else option(name, *text)
        for name, text in texts.items()
    ]


@dataclass(frozen=True)
class ChoicePart:
    """A part with one right option; shown in drawn order unless told otherwise."""

    prompt: str
    options: Sequence[Option]
    marks: int = 1
    worked: str = ""
    safety: bool = False
    keep_order: bool = False


@dataclass(frozen=True)
class ChoicesPart(ChoicePart):
    """A part with several right options; each is a mark lost or won, not below nought."""


@dataclass(frozen=True)
class OrderPart:
    """A part in which steps are put in order; ``steps`` stand in the right one."""

    prompt: str
    steps: Sequence[str]
    marks: int = 2
    worked: str = ""
    says: str = ""
    safety: bool = False


@dataclass(frozen=True)
class TablePart:
    """A short table: several quantities, one a row, each with label and tolerance."""

    prompt: str
    rows: Mapping[str, QuantityPart]
    worked: str = ""
    safety: bool = False


AnyPart: TypeAlias = QuantityPart | ChoicePart | OrderPart | TablePart


@dataclass(frozen=True)
class Asked:
    """What a question function may return: a stem, an exhibit and parts."""

    parts: Sequence[AnyPart]
    stem: str = ""
    exhibit: Exhibit | None = None
