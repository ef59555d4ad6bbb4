"""What a paper can judge: which question is evidence of which outcome, and what is missing.

The one home of this rule, for the choice of questions, drafts, letters and reports.  An
outcome is judged only by answers of its own kind: *calculate* by a number that was worked
out, *decide* by a choice, an order or a diagnosis in a question that does not give the
rule (level *decide*).  One such question is not enough.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from exercises.questions.answer_boxes import AnswerBox, answer_boxes
from exercises.questions.outcomes import outcomes
from exercises.questions.parts import DrawnQuestion, marks_in_words
from exercises.questions.registry import Question

ENOUGH, ENOUGH_TO_PASS = 2, 3  # questions by which an outcome is judged; a must-pass
JUDGEMENT = 1 / 3  # of the marks of a paper, at least, ask for a decision
DECIDES = "decide"  # the level at which a question does not give the rule
_LEVELS = {"calculate": ("carry out", DECIDES), "decide": (DECIDES,)}


def enough(must_pass: bool) -> int:
    """Return how many questions an outcome needs before anything is said of it."""
    return ENOUGH_TO_PASS if must_pass else ENOUGH


def is_evidence(box: AnswerBox) -> bool:
    """Tell whether the answer in a box is evidence of the outcome of its question."""
    asked = outcomes().get(box.outcome)
    return (
        asked is not None
        and box.part.evidence == asked.evidence
        and box.question.level in _LEVELS[asked.evidence]
    )


def why_not_judged(questions: int) -> str:
    """Return why nothing is said of an outcome, in a student's words.

    >>> why_not_judged(1), why_not_judged(2)
    ('one question is not enough', 'two questions are not enough for what must be met')
    """
    if not questions:
        return "no question of this sheet can show it"
    said = "one question is" if questions == 1 else f"{_NUMBERS[questions]} questions are"
    return f"{said} not enough" + (" for what must be met" if questions >= ENOUGH else "")


_NUMBERS = ("no", "one", "two", "three")


SITTINGS = BEST, LAST, CAPPED = "best", "last", "capped"  # which one counts in the end
COUNTS = {
    BEST: "Of several sittings the best one counts.",
    LAST: "Of several sittings the last one that was handed in counts.",
    CAPPED: "Of several sittings the best one counts, and a resit for no more than the marks "
    "needed to pass.",
}


def pass_rule_said(rule: Mapping[str, Any]) -> str:
    """Return the rule by which a paper is passed, as a student reads it.

    Parameters
    ----------
    rule : mapping
        ``share``, ``must_pass`` and, since outcomes are judged on evidence alone,
        ``evidence``; ``sittings``, one of :data:`SITTINGS`.
    """
    share = f"{100 * float(rule.get('share', 0.5)):g}\N{NO-BREAK SPACE}%"
    must = [name for name in rule.get("must_pass", ()) if name in outcomes()]
    text = f"You pass with at least {share} of all marks"
    if must:
        named = " and ".join(f"“{outcomes()[name].wording}”" for name in must)
        text += f", if you also meet {named}"
    text += (
        f". You meet an outcome with at least {share} of the marks for its values; "
        "marks for units don't count"
    )
    if rule.get("evidence"):
        text += (
            f". An outcome is judged only where {_NUMBERS[ENOUGH]} questions or more ask for it, "
            f"and {_NUMBERS[ENOUGH_TO_PASS]} or more where it must be met"
        )
    counts = COUNTS.get(str(rule.get("sittings", "")), "")
    return f"{text}. {counts}".strip()


# --- the blueprint of a paper ---------------------------------------------------------------


@dataclass(frozen=True)
class Asked:
    """A question of a paper, and what it can show.

    Parameters
    ----------
    card : Question
        The question.
    drawn : DrawnQuestion
        One draw of it, which decides marks and kinds of answers.
    """

    card: Question
    drawn: DrawnQuestion

    @property
    def marks(self) -> int:
        """What it is worth."""
        return self.drawn.total

    @cached_property
    def evidence(self) -> bool:
        """Whether any answer to it is evidence of its outcome."""
        return any(map(is_evidence, answer_boxes([self.drawn])))

    @property
    def usual(self) -> bool:
        """Whether it is of the level at which its outcome is mostly asked."""
        return self.card.level == _LEVELS[outcomes()[self.card.outcome].evidence][0]

    @cached_property
    def key_is_shown(self) -> bool:
        """Whether practice shows which of its options are right.

        Fresh numbers keep a calculation honest; the options of a choice are the same.
        """
        return (
            self.card.use == "both"
            and not self.card.private
            and any(box.part.evidence == "decide" for box in answer_boxes([self.drawn]))
        )


@dataclass(frozen=True)
class Row:
    """An outcome of a paper with the questions that are evidence of it, and the others.

    Parameters
    ----------
    outcome : str
        A key of outcomes.toml.
    must : bool
        Whether it must be met.
    evidence, others : tuple of (int, Asked)
        With their numbers on the sheet.
    """

    outcome: str
    must: bool
    evidence: tuple[tuple[int, Asked], ...]
    others: tuple[tuple[int, Asked], ...]

    @property
    def missing(self) -> int:
        """How many questions are missing before it can be judged."""
        return max(0, enough(self.must) - len(self.evidence))

    def said(self) -> str:
        """Return whether it is judged, and what is missing, as a lecturer reads it."""
        known = outcomes()[self.outcome]
        kind = known.evidence + ("; must be met" if self.must else "")
        count = len(self.evidence)
        if not self.missing:
            return f"{self.outcome} ({kind}): judged by {count} questions"
        if not self.evidence and not self.others:
            return f"{self.outcome} ({kind}): not asked"
        more = "1 question" if self.missing == 1 else f"{self.missing} questions"
        return (
            f"{self.outcome} ({kind}): not judged, {why_not_judged(count)}; "
            f"missing: {more} of the kind {known.evidence}"
        )


@dataclass(frozen=True)
class Blueprint:
    """A paper as outcome, question, evidence and marks."""

    rows: tuple[Row, ...]
    asked: tuple[Asked, ...]

    @property
    def minutes(self) -> float:
        """What all questions take."""
        return sum(one.card.minutes for one in self.asked)

    @property
    def marks(self) -> int:
        """What all questions are worth."""
        return sum(one.marks for one in self.asked)

    @property
    def judgement(self) -> float:
        """The share of the marks that ask for a decision."""
        decided = sum(one.marks for one in self.asked if one.card.level == DECIDES)
        return decided / self.marks if self.marks else 0.0

    @property
    def unasked(self) -> tuple[str, ...]:
        """The outcomes about which nothing is asked."""
        return tuple(row.outcome for row in self.rows if not row.evidence and not row.others)

    @property
    def not_judged(self) -> tuple[Row, ...]:
        """The outcomes of which nothing can be said, whether they are asked or not."""
        return tuple(row for row in self.rows if row.missing)

    def lines(self) -> list[str]:
        """Return it line by line, for a prompt and for the paper to be checked."""
        lines = []
        for row in self.rows:
            if row.outcome in self.unasked:
                continue
            lines.append(row.said())
            for among, note in ((row.evidence, ""), (row.others, "; no evidence of it")):
                lines += [f"  {number}. {_about(one)}{note}" for number, one in among]
        if self.unasked:
            lines.append(f"Nothing is asked about: {', '.join(self.unasked)}.")
        return [*lines, self.totals()]

    def totals(self) -> str:
        """Return marks, minutes and the share of judgement in a sentence."""
        said = (
            f"{self.marks} marks, {self.minutes:g} minutes; "
            f"{100 * self.judgement:.0f}\N{NO-BREAK SPACE}% of the marks ask for a decision"
        )
        if self.judgement < JUDGEMENT - 1e-9:
            said += ", less than a third: ask more questions of the level decide"
        return f"{said}."


def _about(one: Asked) -> str:
    known = "; practice shows which option is right" if one.key_is_shown else ""
    marks = marks_in_words(one.marks)
    return f"{one.card.id}: {one.card.level}, {marks}, {one.card.minutes:g} minutes{known}"


def blueprint(
    asked: Sequence[Asked], asked_for: Iterable[str], must_pass: Iterable[str] = ()
) -> Blueprint:
    """Return the blueprint of a paper.

    Parameters
    ----------
    asked : sequence of Asked
        Its questions, in the order of the sheet.
    asked_for : iterable of str
        The outcomes that it is to ask about; those of its questions are added.
    must_pass : iterable of str
        Those that must be met.
    """
    must = set(must_pass)
    numbered = list(enumerate(asked, 1))
    rows = []
    for name in dict.fromkeys((*asked_for, *(one.card.outcome for one in asked))):
        mine = [each for each in numbered if each[1].card.outcome == name]
        shows = tuple(each for each in mine if each[1].evidence)
        others = tuple(each for each in mine if not each[1].evidence)
        rows.append(Row(name, name in must, shows, others))
    return Blueprint(tuple(rows), tuple(asked))


# --- the longest honest paper -------------------------------------------------------------------


@dataclass(frozen=True)
class Honest:
    """A paper of which every outcome can be judged.

    Parameters
    ----------
    outcomes : tuple of str
        What it judges.
    levels : tuple of (str, int)
        How many questions of each level that takes.
    """

    outcomes: tuple[str, ...]
    levels: tuple[tuple[str, int], ...]

    @property
    def questions(self) -> int:
        """How many questions that is."""
        return sum(count for _, count in self.levels)

    def said(self) -> str:
        """Return it as it stands in a scheme."""
        named = ", ".join(f'"{name}"' for name in self.outcomes)
        levels = ", ".join(
            f"{level.replace(' ', '_')} = {count}" for level, count in self.levels if count
        )
        return f"outcomes = [{named}], {levels}"


def longest_honest(
    held: Iterable[Asked],
    wanted: Sequence[str],
    must_pass: Iterable[str] = (),
    most: int | None = None,
) -> Honest | None:
    """Return the paper that judges most of the outcomes that are wanted.

    Parameters
    ----------
    held : iterable of Asked
        Every question that a sheet could ask.
    wanted : sequence of str
        The outcomes; what must be met comes first, then they are taken in this order.
    must_pass : iterable of str
        Those that must be met.
    most : int, optional
        The most questions it may have; by default as many as it takes.

    Returns
    -------
    Honest or None
        None where not even one outcome can be judged.  At least a third of its marks
        ask for a decision, as far as the questions at hand allow.
    """
    must = set(must_pass)
    fitting = [one for one in held if one.evidence and one.card.outcome in set(wanted)]
    left = sorted(wanted, key=lambda one: one not in must)
    while left:
        found, judgement = _fitted(fitting, left, must, most)
        if found and judgement < JUDGEMENT - 1e-9:  # a calculation less leaves more of the rest
            spare = [
                name
                for name in found.outcomes
                if name not in must and outcomes()[name].evidence == "calculate"
            ]
            if spare and len(found.outcomes) > 1:
                left.remove(spare[-1])
                continue
        return found and Honest(tuple(sorted(found.outcomes, key=wanted.index)), found.levels)
    return None


def _fitted(
    fitting: Sequence[Asked], wanted: Sequence[str], must: set[str], most: int | None
) -> tuple[Honest | None, float]:
    """Return the paper for outcomes in this order, and its least share of judgement.

    The least, because calculations count with the most marks that they may have, and
    decisions with the fewest.
    """
    chosen: list[str] = []
    levels = {"carry out": 0, DECIDES: 0}
    taken: list[Asked] = []
    for name in wanted:
        need = enough(name in must)
        level = _LEVELS[outcomes()[name].evidence][0]
        sign = 1 if level == DECIDES else -1
        mine = [one for one in fitting if one.card.outcome == name and one.card.level == level]
        mine.sort(key=lambda one: (one.key_is_shown, sign * one.marks, one.card.id))
        if len(mine) < need or (most is not None and len(taken) + need > most):
            continue
        chosen.append(name)
        levels[level] += need
        taken += mine[:need]
    spare = [
        one
        for one in fitting
        if one.card.outcome in chosen and one.card.level == DECIDES and one not in taken
    ]
    spare.sort(key=lambda one: (one.key_is_shown, one.marks, one.card.id))
    while spare and _judgement(taken) < JUDGEMENT and (most is None or len(taken) < most):
        taken.append(spare.pop(0))
        levels[DECIDES] += 1
    found = Honest(tuple(chosen), tuple(levels.items())) if chosen else None
    return found, _judgement(taken)


def _judgement(asked: Sequence[Asked]) -> float:
    return Blueprint((), tuple(asked)).judgement
