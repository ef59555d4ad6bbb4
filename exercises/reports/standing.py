"""What one result shows: outcomes met or not yet met, passed or not, what is still open.

The one home of these words, for letters, the class report and the exports.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from exercises.book.decisions import ASSESSORS_MARK
from exercises.book.records import Mark, PaperRecord, Result
from exercises.marking.rules import ASSESSOR, UNREAD
from exercises.questions.answer_boxes import AnswerBox, answer_boxes
from exercises.questions.outcomes import outcomes

MET, NOT_YET, OPEN = "met", "not yet met", "still to settle"
BY_HAND = ASSESSORS_MARK
PASSED, NOT_PASSED = "passed", "not yet passed"
_EDGE = 1e-9  # half marks add up exactly; this is for shares


@dataclass(frozen=True)
class OutcomeShown:
    """What a result shows of one outcome.

    Parameters
    ----------
    id, wording, lesson : str
        As in the table of outcomes.
    won, possible : float
        Marks.
    state : str
        *met*, *not yet met*, or *still to settle* where an assessor may still move it.
    must : bool
        Whether it must be met to pass.
    """

    id: str
    wording: str
    lesson: str
    won: float
    possible: float
    state: str
    must: bool


@dataclass(frozen=True)
class Standing:
    """What a result amounts to by the paper's rule.

    Parameters
    ----------
    awarded, total, needed : float
        Marks won, possible, and needed to pass.
    shown : tuple of Shown
        The outcomes, in the order of the sheet.
    open : tuple of str
        Answer keys that an assessor has still to settle.
    state : str
        *passed*, *not yet passed*, or *still to settle*; empty where nothing was marked.
    """

    awarded: float
    total: float
    needed: float
    shown: tuple[OutcomeShown, ...]
    open: tuple[str, ...]
    state: str

    @property
    def not_yet(self) -> tuple[OutcomeShown, ...]:
        """The outcomes that are not yet met."""
        return tuple(each for each in self.shown if each.state == NOT_YET)


def pass_share(paper: PaperRecord) -> float:
    """Return the share of the marks that passes a paper, and that meets an outcome."""
    return float(paper.pass_rule.get("share", 0.5))


def rule(paper: PaperRecord) -> str:
    """Return the rule in a sentence."""
    share = f"{100 * pass_share(paper):g}\N{NO-BREAK SPACE}%"
    must = [name for name in paper.pass_rule.get("must_pass", ()) if name in outcomes()]
    text = (
        f"An outcome is met from {share} of the marks for its values, units apart, and "
        f"the paper is passed from {share} of all marks"
    )
    if must:
        named = " and ".join(f"“{outcomes()[name].wording}”" for name in must)
        text += f", if {named} {'is' if len(must) == 1 else 'are'} met"
    return text + "."


def still_open(mark: Mark, result: Result) -> bool:
    """Tell whether an assessor has still to settle a mark."""
    flags = result.handin.flags if result.handin else {}
    return mark.verdict in (UNREAD, ASSESSOR) and mark.part in flags.get("to settle", ())


def standing(result: Result, paper: PaperRecord, keys: list[AnswerBox] | None = None) -> Standing:
    """Return what a result amounts to.

    Parameters
    ----------
    result : Result
        From the mark book.
    paper : Paper
        Its rule.
    keys : list of AnswerBox, optional
        The sheet's, where the caller has them already.
    """
    share = pass_share(paper)
    must = set(paper.pass_rule.get("must_pass", ()))
    all_of_it, of = _Sum(), defaultdict[str, _Sum](_Sum)
    values = defaultdict[str, _Sum](_Sum)  # what meets an outcome: no marks for units
    left: list[str] = []
    for key in answer_boxes(result.sheet.questions) if keys is None else keys:
        mark = result.marks.get(key.key)
        waits = mark is not None and still_open(mark, result)
        if waits:
            left.append(key.key)
        awarded, value = (mark.awarded, mark.value) if mark else (0.0, 0.0)
        whole = float(key.part.total)
        worth = whole - float(key.part.marks.get("unit", 0.0))
        for total in (all_of_it, of[key.outcome]):
            total.add(awarded, whole, waits)
        values[key.outcome].add(min(value, worth), worth, waits)
    shown = tuple(
        OutcomeShown(
            name, *_said(name), one.won, one.possible, values[name].state(share), name in must
        )
        for name, one in of.items()
    )
    state = ""
    if result.marks:
        states = {all_of_it.state(share), *(each.state for each in shown if each.must)}
        state = PASSED if states == {MET} else NOT_PASSED if NOT_YET in states else OPEN
    return Standing(
        all_of_it.won,
        all_of_it.possible,
        share * all_of_it.possible,
        shown,
        tuple(left),
        state,
    )


@dataclass
class _Sum:
    """Marks won, possible, and waiting for an assessor."""

    won: float = 0.0
    possible: float = 0.0
    waiting: float = 0.0

    def add(self, won: float, possible: float, waits: bool) -> None:
        self.won += won
        self.possible += possible
        self.waiting += possible - won if waits else 0.0

    def state(self, share: float) -> str:
        needed = share * self.possible - _EDGE
        if self.won >= needed:
            return MET
        return OPEN if self.won + self.waiting >= needed else NOT_YET


def _said(name: str) -> tuple[str, str]:
    """Return wording and lesson of an outcome; its id where the table lacks it now."""
    held = outcomes().get(name)
    return (held.wording, held.lesson) if held else (name.replace("-", " "), "")


def lesson_title(lesson: str, titles: Mapping[str, str]) -> str:
    """Return the title of a lesson, or its name in words where the title is not given.

    >>> lesson_title("how-strong", {})
    'How strong'
    """
    return titles.get(lesson) or lesson.replace("-", " ").capitalize()


def marks_said(value: float) -> str:
    """Return a number of marks as it is printed.

    >>> marks_said(3.0), marks_said(2.5)
    ('3', '2.5')
    """
    return f"{value:g}"
