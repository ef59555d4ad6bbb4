"""The boxes of a sheet in which a student writes, and what they are called.

This file knows nothing of the mark book, so that practice in a browser has it too.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

# The line above a student's working in a notebook; what stands below it is theirs.
WORKING_HEAD = "Write your working below this line."


@dataclass(frozen=True)
class AnswerBox:
    """One box of a sheet in which a student writes.

    Parameters
    ----------
    key : str
        ``"1a"``: the number of the question on the sheet and its part; a row of a
        table is ``"2b.1"``, ``"2b.2"``.
    question : dict
        The question, as on the sheet.
    part : dict
        The part; for a table, the row (it has the fields of a quantity and ``label``).
    outcome : str
        What it gives evidence of.
    place : int
        The number of the question on the sheet.
    """

    key: str
    question: Mapping[str, Any]
    part: Mapping[str, Any]
    outcome: str
    place: int = 1


def answer_boxes(questions: Iterable[Mapping[str, Any]], first: int = 1) -> list[AnswerBox]:
    """Return every box of a sheet, in order; the one home of answer keys.

    Parameters
    ----------
    questions : iterable of mapping
        As on the sheet.
    first : int
        The number of the first of them.

    >>> part = {"name": "a", "kind": "choice"}
    >>> [k.key for k in answer_boxes([{"outcome": "x", "parts": [part]}])]
    ['1a']
    """
    return [
        AnswerBox(key, one, box, one["outcome"], place)
        for place, one in enumerate(questions, first)
        for part in one["parts"]
        for key, box in boxes(place, part)
    ]


def boxes(place: int, part: Mapping[str, Any]) -> list[tuple[str, Mapping[str, Any]]]:
    """Return the key and the contents of every box of a part.

    >>> [key for key, _ in boxes(2, {"name": "b", "kind": "table", "rows": [{}, {}]})]
    ['2b.1', '2b.2']
    """
    name = key_of(place, part["name"])
    if part["kind"] != "table":
        return [(name, part)]
    return [(f"{name}.{row}", data) for row, data in enumerate(part["rows"], 1)]


def key_of(place: int, name: str) -> str:
    """Return what a part is called on a sheet, from its question's number."""
    return f"{place}{name}"
