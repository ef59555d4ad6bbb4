"""The mark scheme: for the assessor alone."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from typing import Any

from calculators.units import number, q, symbol, unit
from exercises.marking import rules
from exercises.questions.answer_boxes import boxes, key_of
from exercises.questions.outcomes import outcomes
from exercises.sheets.page import page_template, static_text
from exercises.sheets.sheet import Sheet, marks_in_words

# --- the mark scheme: for the assessor alone -------------------------------------------------


@lru_cache(maxsize=1024)
def _scale(base_unit: str, shown_unit: str) -> tuple[float, float]:
    """Return slope and offset from base units to the unit that is shown."""
    at_0 = float(q(0.0, base_unit).to(unit(shown_unit)).magnitude)
    at_1 = float(q(1.0, base_unit).to(unit(shown_unit)).magnitude)
    return at_1 - at_0, at_0


def in_unit(value: float, part: Mapping[str, Any], digits: int = 4) -> str:
    """Return a number of base units in the unit in which a part is shown."""
    slope, offset = _scale(part["base_unit"], part["unit"])
    sign = symbol(part["unit"])
    gap = "" if sign in ("", "°") else "\N{NO-BREAK SPACE}"
    return number(value * slope + offset, digits) + gap + sign


def right_answer(part: Mapping[str, Any]) -> str:
    """Return a part's right answer as a student could write it.

    >>> right_answer({"kind": "order", "right": [3, 1, 2]})
    '3, 1, 2'
    """
    if part["kind"] == "quantity":
        return str(part["shown"])
    if part["kind"] == "table":
        return "; ".join(f"{row['label']}: {row['shown']}" for row in part["rows"])
    return ", ".join(str(key) for key in part["right"])


def _lines(n: int, question: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return the answers of a question, one line a number, for the mark scheme."""
    return [
        _line(n, key, "" if box is part else box["label"], box, part)
        for part in question["parts"]
        for key, box in boxes(n, part)
    ]


def _line(
    n: int, key: str, label: str, row: Mapping[str, Any], part: Mapping[str, Any]
) -> dict[str, Any]:
    line = {
        "key": key,
        "label": label,
        "prompt": part["prompt"],
        "answer": right_answer(row),
        "marks": marks_in_words(row),
        "worked": row.get("worked") or part.get("worked", ""),
        "safety": part["safety"],
        "band": "",
        "tolerance": "",
        "because": "",
        "working": "",
        "roads": [],
        "follows": [],
        "options": part.get("options", []) if part["kind"] != "table" else [],
        "steps": part.get("steps", []),
        "says": part.get("says", ""),
    }
    if row["kind"] == "quantity":
        low, high = row["answer"] - row["tolerance"], row["answer"] + row["tolerance"]
        line |= {
            "band": f"{in_unit(low, row)} to {in_unit(high, row)}",
            "tolerance": row["tolerance_text"],
            "because": row["because"],
            "working": row["working"],
            "follows": [key_of(n, name) for name in row["follows"]],
            "roads": [
                {
                    "name": r["name"],
                    "value": in_unit(r["value"], row),
                    "says": r["says"],
                }
                for r in row["roads"]
            ],
        }
    return line


def mark_scheme(sheets: Sequence[Sheet], policy: Mapping[str, Any] | None = None) -> str:
    """Return the mark scheme of a paper: rules, questions, and each sheet's answers.

    Parameters
    ----------
    sheets : sequence of Sheet
        Of one paper; the wording and the wrong roads are shown for the first.
    policy : mapping, optional
        How units are marked; see :data:`exercises.marking.rules.POLICY`.
    """
    return "".join(mark_scheme_in_pieces(sheets[0], sheets, len(sheets), policy))


def mark_scheme_in_pieces(
    first: Sheet,
    sheets: Iterable[Sheet],
    count: int,
    policy: Mapping[str, Any] | None = None,
) -> Iterator[str]:
    """Yield a mark scheme piece by piece, so that few sheets are held at a time.

    Parameters
    ----------
    first : Sheet
        The wording and the wrong roads are shown for this one.
    sheets : iterable of Sheet
        All of them.
    count : int
        How many there are.
    policy : mapping, optional
        As for :func:`mark_scheme`.
    """
    stream = page_template("scheme.html").stream(
        title=first.title,
        total=first.total,
        questions=[
            {
                "number": n,
                "id": question["id"],
                "level": question["level"],
                "safety": question["safety"],
                "outcome": outcomes()[question["outcome"]].wording,
                "lines": _lines(n, question),
            }
            for n, question in enumerate(first.questions, 1)
        ],
        sheets=(
            {
                "token": sheet.token,
                "student": sheet.student,
                "lines": [
                    line
                    for n, question in enumerate(sheet.questions, 1)
                    for line in _lines(n, question)
                ],
            }
            for sheet in sheets
        ),
        count=count,
        rules=rules.rules(policy),
        css=static_text("tokens.css", "worksheet.css", "paper.css"),
    )
    stream.enable_buffering(200)
    yield from stream
