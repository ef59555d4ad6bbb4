"""A whole question: what its function returns, and what a sheet holds of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from exercises.questions.parts.part import DrawnPart, Part, part_from_json


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

    def to_json(self) -> dict[str, Any]:
        """Return it as a sheet stores it."""
        return {
            "title": self.title,
            "head": list(self.head),
            "rows": [list(row) for row in self.rows],
            "svg": self.svg,
            "alt": self.alt,
        } | ({"plate": self.plate} if self.plate else {})


@dataclass(frozen=True)
class Asked:
    """What a question function may return: a stem, an exhibit and parts."""

    parts: Sequence[Part]
    stem: str = ""
    exhibit: Exhibit | None = None


@dataclass(frozen=True)
class DrawnQuestion:
    """A question of a sheet, with its numbers.

    Parameters
    ----------
    id, outcome, level : str
        As on the question's card.
    safety : bool
        The tag of safety questions.
    counter : int
        How many draws were put back.
    values : mapping
        What was drawn, by name.
    stem : str
        What stands above the parts.
    exhibit : Exhibit or None
        What is to be looked at.
    parts : tuple of DrawnPart
        Its parts.
    """

    id: str
    outcome: str = ""
    level: str = ""
    safety: bool = False
    counter: int = 0
    values: Mapping[str, Any] = field(default_factory=dict)
    stem: str = ""
    exhibit: Exhibit | None = None
    parts: Sequence[DrawnPart] = ()

    @property
    def total(self) -> int:
        """The marks of the whole question."""
        return sum(part.total for part in self.parts)

    def to_json(self) -> dict[str, Any]:
        """Return the question as a sheet stores it."""
        return {
            **vars(self),
            "values": dict(self.values),
            "exhibit": self.exhibit.to_json() if self.exhibit else None,
            "parts": [part.to_json() for part in self.parts],
        }

    @classmethod
    def from_json(cls, data: Mapping[str, Any] | DrawnQuestion) -> DrawnQuestion:
        """Return a question from what a sheet stores; one that is read already, as it is."""
        if isinstance(data, DrawnQuestion):
            return data
        exhibit = data.get("exhibit")
        return cls(
            **{name: data[name] for name in _PLAIN if name in data},
            exhibit=Exhibit(**exhibit) if exhibit else None,
            parts=tuple(map(part_from_json, data.get("parts", ()))),
        )


_PLAIN = ("id", "outcome", "level", "safety", "counter", "values", "stem")
