"""The mark scheme: for the assessor alone."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from exercises.marking import rules
from exercises.marking.working import steps_of
from exercises.questions.answer_boxes import AnswerBox, answer_boxes
from exercises.questions.outcomes import outcomes
from exercises.questions.parts import DrawnQuantity, DrawnQuestion
from exercises.sheets.blueprint import Blueprint
from exercises.sheets.sheet import Sheet, exhibit_shown
from exercises.sheets.worksheet import page_template, static_text


def answer_lines(n: int, question: DrawnQuestion) -> list[dict[str, Any]]:
    """Return the answers of a question, one line a box, for whoever marks."""
    return [line_of(box) for box in answer_boxes([question], n)]


def line_of(box: AnswerBox) -> dict[str, Any]:
    """Return what a mark scheme says of a box: right answer, band, marks, how it is worked out."""
    part = box.part
    line = {
        "key": box.key,
        "label": box.label,
        "prompt": box.whole.prompt,
        "answer": part.right_answer(),
        "marks": part.marks_in_words(),
        "worked": box.worked,
        "safety": box.whole.safety,
        "band": "",
        "tolerance": "",
        "because": "",
        "working": "",
        "method": "; ".join(steps_of(box)),
        "follows": [],
        "roads": [],
        "notes": part.notes(),
    }
    if isinstance(part, DrawnQuantity):
        low, high = part.answer - part.tolerance, part.answer + part.tolerance
        line |= {
            "band": f"{part.in_unit(low)} to {part.in_unit(high)}",
            "tolerance": part.tolerance_text,
            "because": part.because,
            "working": part.working,
            "follows": [f"{box.place}{name}" for name in part.follows],
            "roads": [f"{part.in_unit(one.value)} {one.name}" for one in part.roads],
        }
    return line


def _with_words(exhibit: dict[str, Any] | None) -> dict[str, Any] | None:
    """Return an exhibit with what a student reads who can't see its picture."""
    if exhibit is None or not exhibit["picture"]:
        return exhibit
    return exhibit | {"words": f"In words, for who can't see it: {exhibit['alt']}"}


def mark_scheme(
    sheets: Sequence[Sheet],
    policy: Mapping[str, Any] | None = None,
    printed: Blueprint | None = None,
    changed: Sequence[str] = (),
) -> str:
    """Return the mark scheme of a paper: rules, questions, and each sheet's answers.

    Parameters
    ----------
    sheets : sequence of Sheet
        Of one paper; the wording and the wrong turns are shown for the first.
    policy : mapping, optional
        How units are marked; see :data:`exercises.marking.rules.POLICY`.
    printed : Blueprint, optional
        What the paper judges by what, for who checks it.
    changed : sequence of str
        What is not as an earlier version was signed.
    """
    return "".join(mark_scheme_in_pieces(sheets[0], sheets, len(sheets), policy, printed, changed))


def mark_scheme_in_pieces(
    first: Sheet,
    sheets: Iterable[Sheet],
    count: int,
    policy: Mapping[str, Any] | None = None,
    printed: Blueprint | None = None,
    changed: Sequence[str] = (),
) -> Iterator[str]:
    """Yield a mark scheme piece by piece, so that few sheets are held at a time.

    Parameters
    ----------
    first : Sheet
        The wording and the wrong turns are shown for this one.
    sheets : iterable of Sheet
        All of them.
    count : int
        How many there are.
    policy, printed, changed
        As for :func:`mark_scheme`.
    """
    stream = page_template("scheme.html").stream(
        title=first.title,
        total=first.total,
        time=f"about {first.minutes:.0f} minutes" if first.minutes else "",
        passed=first.rule,
        printed=printed,
        changed=changed,
        wording={name: one.wording for name, one in outcomes().items()},
        questions=[
            {
                "number": n,
                "id": question.id,
                "level": question.level,
                "safety": question.safety,
                "outcome": outcomes()[question.outcome].wording,
                "stem": question.stem,
                "exhibit": _with_words(exhibit_shown(question.exhibit)),
                "lines": answer_lines(n, question),
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
                    for line in answer_lines(n, question)
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
