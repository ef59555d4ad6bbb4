"""What marking needs of a sheet, packed when the sheet is issued.

Of a thousand answers most are plainly right or missing.  So the first line of a
packed sheet holds for each box what is needed to see that; the further lines hold
parts and questions, which are unpacked only when an answer needs a closer look.
A plain look gives the very verdict that :mod:`exercises.marking` gives.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any, NamedTuple

from calculators.faults import FaultsError
from calculators.units import read_loosely, unit, written_units
from exercises.marking.rules import (
    FITS,
    MISSING,
    NO_ANSWER,
    POLICY,
    RIGHT,
    RIGHT_ALONE,
    RIGHT_WITH_UNIT,
    Bank,
    MarkedSheet,
    Verdict,
    to_base,
    understood,
    widened,
)
from exercises.questions.answer_boxes import AnswerBox, answer_boxes
from exercises.questions.parts import (
    DrawnChoices,
    DrawnOrder,
    DrawnQuantity,
    DrawnQuestion,
    part_from_json,
)
from exercises.questions.registry import bank

# What only a reader of the sheet needs, and marking does not.
_FOR_READERS = frozenset(
    (
        "prompt",
        "stem",
        "exhibit",
        "worked",
        "working",
        "because",
        "shown",
        "steps",
        "level",
        "counter",
        "tolerance_text",
    )
)
# What follow-through asks of the other parts of a question.
_FOR_FOLLOWING = ("name", "kind", "answer", "tolerance", "unit", "base_unit")
_scan = json.JSONDecoder().raw_decode
_new = tuple.__new__  # a verdict, without the detour of its own constructor
_encode = json.JSONEncoder(separators=(",", ":")).encode


# --- packing ----------------------------------------------------------------------------


def pack(questions: Sequence[Mapping[str, Any]]) -> str:
    """Return questions as lines of JSON: plain cases, a line a box, a line a question.

    The first line has a row for each box: its key, its question's id, its marks, the
    place of its question, and ``["q", answer, width, unit, value, unit mark]`` for a
    quantity or ``["w", reason, written, ...]`` for words that are plainly right.
    Where a plain look would not do, unit and words are left out.
    """
    keys = answer_boxes(questions)
    lines = [[_row(key) for key in keys], *map(_box, keys), *map(_context, questions)]
    return "\n".join(map(_encode, lines))


def _row(key: AnswerBox) -> list[Any]:
    head = [key.key, key.question.id, float(key.part.total), key.place]
    return head + (_number(key) if isinstance(key.part, DrawnQuantity) else _words(key))


def _box(key: AnswerBox) -> list[Any]:
    """Return a part without what is only read, and whether its question is of safety."""
    part = {n: value for n, value in key.part.to_json().items() if n not in _FOR_READERS}
    return [part, key.question.safety]


def _context(question: Mapping[str, Any]) -> dict[str, Any] | None:
    """Return what follow-through needs of a question, or None where nothing follows."""
    question = DrawnQuestion.from_json(question).to_json()
    if not any(getattr(key.part, "follows", ()) for key in answer_boxes([question])):
        return None
    parts = [
        {name: part[name] for name in _FOR_FOLLOWING if name in part} for part in question["parts"]
    ]
    kept = {name: question[name] for name in ("id", "safety", "values")}
    return kept | {"parts": parts}


def _number(key: AnswerBox) -> list[Any]:
    part = key.part
    assert isinstance(part, DrawnQuantity)
    width = widened(part.tolerance, part.answer)
    factor, offset, base_name = to_base(part.unit)
    shown = (part.answer - offset) / factor
    written = _written(part.unit)
    safety = part.safety or key.question.safety
    plain = (
        written is not None
        and base_name == part.base_unit
        and understood(shown, written or None, part, width, safety)[1] == FITS
    )
    marks = part.marks
    earned = float(marks.get("value", 0)), float(marks.get("unit", 0))
    return ["q", part.answer, width, written if plain else _NEVER, *earned]


_NEVER = "-"  # no unit that anybody writes


@lru_cache(maxsize=512)
def _written(name: str) -> str | None:
    """Return how the reader names a unit, empty for a plain number, None for no way."""
    if name in ("", "dimensionless"):
        return ""
    names = dict.fromkeys(written_units().values())
    return next((one for one in names if str(unit(one)) == name or one == name), None)


def _words(key: AnswerBox) -> list[Any]:
    """Return in which ways a right choice or order is plainly written."""
    right = key.part.right_answer().split(", ")
    several = isinstance(key.part, DrawnChoices | DrawnOrder)
    ways = [] if several else right
    ways = ways or [mark.join(right) for mark in (", ", ",", " ", "")]
    whole = dict.fromkeys(way.casefold() for way in ways)
    found = {way: _verdict_on(key, way) for way in whole}
    plain = [way for way, v in found.items() if v.verdict == RIGHT and not v.road]
    return ["w", found[plain[0]].reason if plain else "", *plain]


def _verdict_on(key: AnswerBox, text: str) -> Verdict:
    return MarkedSheet({key.key: text}, {}, POLICY, dict).mark(key)


# --- marking ----------------------------------------------------------------------------


class Packed(NamedTuple):
    """A packed sheet: whose it is, and what marking needs of it."""

    token: str
    paper: str
    rows: list[Any]
    lines: list[str]

    @classmethod
    def of(cls, token: str, paper: str, text: str) -> Packed:
        """Return a packed sheet from what :func:`pack` returned."""
        lines = text.split("\n")
        return cls(token, paper, _scan(lines[0])[0], lines)

    def mark(
        self,
        answers: Mapping[str, str],
        policy: Mapping[str, Any] | None = None,
        problems: Mapping[str, str] | None = None,
        questions_now: Bank = bank,
    ) -> list[Verdict]:
        """Mark every answer; see :func:`exercises.marking.rules.mark_sheet`."""
        sheet: MarkedSheet | None = None
        out = []
        for line, row in enumerate(self.rows, 1):
            key = row[0]
            if not (problems and key in problems):
                seen = _plainly(row, answers.get(key, ""))
                if seen is not None:
                    out.append(seen)
                    continue
            if sheet is None:
                chosen = {**POLICY, **policy} if policy else POLICY
                sheet = MarkedSheet(answers, problems or {}, chosen, questions_now)
            out.append(sheet.mark(self._opened(line, row)))
        return out

    def _opened(self, line: int, row: list[Any]) -> AnswerBox:
        """Unpack a box, with its whole question only where that may be asked for."""
        key, name, _, place, *_ = row
        part, safety = _scan(self.lines[line])[0]
        question = {"id": name, "safety": safety}
        if part.get("follows"):
            question = _scan(self.lines[len(self.rows) + place])[0]
        return AnswerBox(key, DrawnQuestion.from_json(question), part_from_json(part), place)

    def quantities(self) -> list[tuple[str, float]]:
        """Return the key and the right answer of every quantity, in base units."""
        return [(row[0], row[5]) for row in self.rows if row[4] == "q"]


def _plainly(row: list[Any], text: str) -> Verdict | None:
    """Return the verdict on an answer that is plainly right or missing, else None."""
    if row[4] == "q" and text:
        try:
            number, unit_name, _ = read_loosely(text)
        except FaultsError:
            return None if text.strip() else _missing(row)
        if (unit_name or "") != row[7]:
            return None
        factor, offset, _ = to_base(row[7])
        if abs(factor * number + offset - row[5]) > row[6]:
            return None
        key, name, total, _, _, _, _, _, value, mark = row
        said = RIGHT_WITH_UNIT if unit_name else RIGHT_ALONE
        return _new(Verdict, (name, key, value, mark, value + mark, total, RIGHT, said, ""))
    plain = text.strip().casefold()
    if not plain:
        return _missing(row)
    if plain in row[6:] and len(text) <= 200:
        key, name, total, _, _, said, *_ = row
        return _new(Verdict, (name, key, total, 0.0, total, total, RIGHT, said, ""))
    return None


def _missing(row: list[Any]) -> Verdict:
    return Verdict(row[1], row[0], 0.0, 0.0, 0.0, row[2], MISSING, NO_ANSWER, "")
