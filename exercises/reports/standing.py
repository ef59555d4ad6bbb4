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
from exercises.sheets.blueprint import enough, is_evidence, pass_rule_said, why_not_judged

MET, NOT_YET, OPEN = "met", "not yet met", "still to settle"
NOT_JUDGED = "not judged"
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
        *met*, *not yet met*, *still to settle* where an assessor may still move it, or
        *not judged* where too few questions of the sheet are evidence of it.
    must : bool
        Whether it must be met to pass.
    why : str
        Why it is not judged.
    hurdle : str
        For what must be met, what counts for passing: the state, or for a paper that was
        issued under an earlier rule, the state by all its questions.
    """

    id: str
    wording: str
    lesson: str
    won: float
    possible: float
    state: str
    must: bool
    why: str = ""
    hurdle: str = ""


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

    @property
    def in_the_way(self) -> tuple[OutcomeShown, ...]:
        """What must be met to pass and is not yet."""
        return tuple(each for each in self.shown if each.hurdle == NOT_YET)


def pass_share(paper: PaperRecord) -> float:
    """Return the share of the marks that passes a paper, and that meets an outcome."""
    return float(paper.pass_rule.get("share", 0.5))


def rule(paper: PaperRecord) -> str:
    """Return the rule in a few sentences."""
    return pass_rule_said(paper.pass_rule)


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
    paper = paper.at(result.sheet.version)  # what its own sheet said
    share = pass_share(paper)
    must = set(paper.pass_rule.get("must_pass", ()))
    all_of_it, of = _Sum(), defaultdict[str, _Sum](_Sum)
    values = defaultdict[str, _Sum](_Sum)  # what meets an outcome: no marks for units
    shows = defaultdict[str, _Sum](_Sum)  # the same, of what is evidence of it
    places = defaultdict[str, set[int]](set)
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
        won = (min(value, worth), worth, waits)
        values[key.outcome].add(*won)
        if is_evidence(key):
            shows[key.outcome].add(*won)
            places[key.outcome].add(key.place)
    shown = []
    for name, one in of.items():
        count, needed = len(places[name]), enough(name in must)
        judged = count >= needed
        now = shows[name].state(share) if judged else NOT_JUDGED
        ruled = judged and bool(paper.pass_rule.get("evidence"))
        shown.append(
            OutcomeShown(
                name,
                *_said(name),
                one.won,
                one.possible,
                now,
                name in must,
                "" if judged else why_not_judged(count),
                "" if name not in must else now if ruled else values[name].state(share),
            )
        )
    state = ""
    if result.marks:
        states = {all_of_it.state(share), *(each.hurdle for each in shown if each.must)}
        state = PASSED if states == {MET} else NOT_PASSED if NOT_YET in states else OPEN
    return Standing(
        all_of_it.won,
        all_of_it.possible,
        share * all_of_it.possible,
        tuple(shown),
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


def said_state(one: OutcomeShown) -> str:
    """Return the state of an outcome, with the reason where it is not judged."""
    return f"{one.state}: {one.why}" if one.why else one.state


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
