"""A short table: several quantities, one a row, each with label and tolerance."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, ClassVar, Self

from exercises.questions.draws import Draw
from exercises.questions.parts.part import DrawnPart, EarlierAnswers, OnSheet, Part, part_type
from exercises.questions.parts.quantity import DrawnQuantity, QuantityPart
from exercises.questions.parts.shown import Box, PublicPart, PublicTable
from exercises.questions.verdicts import Earned

if TYPE_CHECKING:
    from exercises.questions.answer_boxes import AnswerBox


@dataclass(frozen=True)
class TablePart(Part):
    """A short table: several quantities, one a row, each with label and tolerance."""

    prompt: str
    rows: Mapping[str, QuantityPart]
    worked: str = ""
    safety: bool = False

    def drawn(self, name: str, draw: Draw, earlier: EarlierAnswers) -> DrawnTable:
        """Return the part with the answers of its rows."""
        rows = {label: row.drawn("", draw, earlier) for label, row in self.rows.items()}
        return DrawnTable(
            name=name,
            prompt=self.prompt,
            worked=self.worked,
            safety=self.safety,
            rows=tuple(replace(row, label=label) for label, row in rows.items()),
        )

    def without_turns(self) -> TablePart:
        """Return the table without the wrong turns of its rows."""
        return replace(self, rows={k: row.without_turns() for k, row in self.rows.items()})


@part_type
@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnTable(DrawnPart):
    """Several quantities are asked for, one a row."""

    kind: ClassVar[str] = "table"
    evidence: ClassVar[str] = "calculate"
    rows: Sequence[DrawnQuantity] = ()

    @property
    def total(self) -> int:
        """The marks of all rows."""
        return sum(row.total for row in self.rows)

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> Self:
        """Return the part from what a sheet stores."""
        rows = tuple(map(DrawnQuantity.from_json, data.get("rows", ())))
        return super(DrawnTable, cls).from_json({**data, "rows": rows})

    def boxes(self, key: str) -> list[tuple[str, DrawnPart]]:
        """Return the key and the quantity of each row."""
        return [(f"{key}.{number}", row) for number, row in enumerate(self.rows, 1)]

    def public(self, place: int, name_units: bool) -> PublicPart:
        """Return what a student may see, field by field."""
        key = f"{place}{self.name}"

        def label(row: DrawnQuantity) -> str:
            said = row.unit_asked() if name_units else ""
            return f"{row.label}, in {said}" if said else row.label

        boxes = tuple(Box(f"{key}.{n}", label(row)) for n, row in enumerate(self.rows, 1))
        return PublicTable(key, self.prompt, self.marks_in_words(), boxes=boxes)

    def earned(self, text: str, box: AnswerBox, sheet: OnSheet) -> Earned:
        """Refuse: each row is marked in a box of its own."""
        raise NotImplementedError("a table is marked row by row")

    def right_answer(self) -> str:
        """Return the right answer of each row."""
        return "; ".join(f"{row.label}: {row.shown}" for row in self.rows)

    def wrong_answer(self) -> str:
        """Return a wrong answer to each row."""
        return "; ".join(row.wrong_answer() for row in self.rows)

    def solution(self) -> str:
        """Return the worked solution of each row, and of the whole."""
        listed = "\n".join(f"- {row.label}: {row.worked or row.shown}" for row in self.rows)
        return f"{listed}\n\n{self.worked}".strip()

    def is_fair(self) -> bool:
        """Whether every row is."""
        return all(row.is_fair() for row in self.rows)

    def same_answers(self, other: DrawnPart) -> bool:
        """Whether another drawing of this part has the same right answers."""
        return (
            isinstance(other, DrawnTable)
            and len(other.rows) == len(self.rows)
            and all(map(DrawnQuantity.same_answers, self.rows, other.rows))
        )

    def with_tolerance(self, text: str) -> DrawnTable:
        """Return the table with another tolerance in every row."""
        return replace(self, rows=tuple(row.with_tolerance(text) for row in self.rows))

    def to_json(self) -> dict[str, Any]:
        """Return the table as a sheet stores it; the marks are with its rows."""
        # no argument-free super(): a dataclass with slots is a class made a second time
        data = DrawnPart.to_json(self)
        del data["marks"]
        return data
