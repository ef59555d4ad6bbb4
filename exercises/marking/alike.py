"""How alike two sheets of one paper are, beyond what chance and common errors explain.

Each student has numbers of their own.  So two who work alone share what is easily
shared, a common wrong turn with its own numbers; who copies shares numbers that the
own sheet never asked for.

For each ordered pair the score is the log of a likelihood ratio: of *one took some
answers from the other* against *both worked alone*.  Only parts count that ``one``
answered wrongly, so a weak student is not suspect for being weak, and that both
sheets ask with different numbers.  Where the chance of a match is right, the ratio
has a mean of 1 for people who worked alone; so, by Markov's inequality, it passes
``pairs / alarms`` for any pair of a class in at most ``alarms`` classes of one.

Likeness proves nothing: it names two sheets to look at, never who wrote what.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from math import floor, log, log10
from typing import TYPE_CHECKING, Any, NamedTuple, Protocol, TypeAlias

from calculators.faults import FaultsError
from calculators.units.answers import is_blank, read_answer
from exercises.marking.rules import (
    FOLLOWS,
    RIGHT,
    TO_SETTLE,
    UNIT_LOST,
)
from exercises.questions.answer_boxes import AnswerBox, answer_boxes
from exercises.questions.parts import DrawnPart, DrawnQuantity
from exercises.questions.parts.quantity import to_base, understood

if TYPE_CHECKING:
    from exercises.book.records import Result

ALARMS = 0.05  # innocent flags in a class, at most: one in twenty classes
TAKEN = 0.5  # of the wrong answers of one who copies: so many are the other's numbers,
SHARED = 0.25  # and so many the other's wrong turns, worked out with own numbers
NEUTRAL = SHARED / (TAKEN + SHARED)  # a wrong turn as likely as this says nothing
FEW_MORE = 2  # with so many more on the same wrong turn, a group was taught it
CLOSE = 1e-3  # numbers no further apart than this share of them are one number
ROUND_GUESS = 0.15  # how often a guess is one given number of a single digit, such as 10


class Given(NamedTuple):
    """What one student gave for one part.

    Parameters
    ----------
    value : float, str or None
        The number in the unit that was asked for, or the letters or steps chosen; None
        where nothing was written that can be read.
    right : float or str
        What the student's own sheet asks for.
    agrees : bool
        Whether the value earned its marks.
    turn : str
        The wrong turn that was recognised, or the text of what was chosen; empty for
        a number that nothing explains.
    """

    value: float | str | None
    right: float | str
    agrees: bool = False
    turn: str = ""


Class: TypeAlias = Mapping[str, Mapping[str, Given]]


class Alike(NamedTuple):
    """Two sheets that are more alike than working alone explains.

    Parameters
    ----------
    one, other : str
        The students; what ``one`` gave is explained by ``other``.
    score : float
        The log of the likelihood ratio.
    threshold : float
        What it had to pass.
    numbers, turns : tuple of str
        The parts with the other's numbers, and those with the same wrong turn.
    """

    one: str
    other: str
    score: float
    threshold: float
    numbers: tuple[str, ...]
    turns: tuple[str, ...]

    @property
    def why(self) -> str:
        """What is alike, in words for the assessor."""
        said = []
        if self.numbers:
            said.append(
                f"{_listed(self.numbers)}: the same as on the other sheet, which asks with "
                "other numbers."
            )
        if self.turns:
            said.append(f"{_listed(self.turns)}: the same uncommon wrong turn.")
        classes = 10 ** floor(min(6.0, log10(1 / ALARMS) + (self.score - self.threshold) / log(10)))
        said.append(
            f"Among people who work alone, so much is alike in fewer than one class in {classes}. "
            "The book can't tell who wrote it."
        )
        return " ".join(said)


def _listed(parts: Sequence[str]) -> str:
    return " and ".join([", ".join(parts[:-1]), parts[-1]] if len(parts) > 1 else parts)


def alike(sheets: Class, alarms: float = ALARMS) -> list[Alike]:
    """Return the pairs of a class that are too alike for chance, the most alike first.

    Parameters
    ----------
    sheets : mapping of str to (mapping of str to Given)
        By student, then by part; every sheet of one paper.
    alarms : float
        How many innocent pairs may be named in a class, on average.
    """
    if len(sheets) < 2:
        return []
    threshold = log(len(sheets) * (len(sheets) - 1) / alarms)
    parts = {
        name: _PartOfClass({who: given[name] for who, given in sheets.items() if name in given})
        for name in dict.fromkeys(name for given in sheets.values() for name in given)
    }
    pairs: dict[tuple[str, str], set[str]] = {}
    for name, part in parts.items():
        for pair in part.pairs():
            pairs.setdefault(pair, set()).add(name)
    found: dict[frozenset[str], Alike] = {}
    for (one, other), alike_in in pairs.items():
        scored = _scored(one, other, sheets, parts, alike_in, threshold)
        known = found.get(frozenset((one, other)))
        if scored.score >= threshold and (known is None or known.score < scored.score):
            found[frozenset((one, other))] = scored
    return sorted(found.values(), key=lambda pair: (-pair.score, pair.one, pair.other))


def _scored(
    one: str,
    other: str,
    sheets: Class,
    parts: Mapping[str, _PartOfClass],
    alike_in: set[str],
    threshold: float,
) -> Alike:
    score = 0.0
    numbers: list[str] = []
    turns: list[str] = []
    seen: set[float | str] = set()
    for name, mine in sheets[one].items():
        theirs = sheets[other].get(name)
        if theirs is None or mine.value is None or mine.agrees or _same(mine.right, theirs.right):
            continue
        ratio = 1 - TAKEN - SHARED
        if name in alike_in:
            by_number, by_turn = parts[name].chances(one, other)
            if by_number and isinstance(mine.value, float):
                if mine.value in seen:  # one guess, written twice
                    continue
                seen.add(mine.value)
            if by_number:
                ratio += TAKEN / by_number
                numbers.append(name)
            if by_turn:
                ratio += SHARED / by_turn
                if not by_number and by_turn < NEUTRAL:
                    turns.append(name)
        elif theirs.value is None:
            continue  # nothing to be unlike
        score += log(ratio)
    return Alike(one, other, score, threshold, tuple(numbers), tuple(turns))


class _PartOfClass:
    """What a class gave for one part, so that the chance of a match can be told."""

    def __init__(self, given: Mapping[str, Given]) -> None:
        self.given = given
        self.wrong = {
            who: one for who, one in given.items() if one.value is not None and not one.agrees
        }
        self.turns = Counter(one.turn for one in self.wrong.values())
        self.unexplained = sorted(
            one.value
            for one in self.wrong.values()
            if not one.turn and isinstance(one.value, float)
        )
        rights = {f"{one.right:.3g}" for one in given.values() if isinstance(one.right, float)}
        self.many = len(rights | {f"{value:.3g}" for value in self.unexplained})
        self.targets = sorted(
            (target, who)
            for who, one in given.items()
            for target in {one.value, one.right}
            if isinstance(target, float)
        )

    def pairs(self) -> list[tuple[str, str]]:
        """Return the ordered pairs that may match here; the first is wrong."""
        found: list[tuple[str, str]] = []
        by_turn: dict[str, list[str]] = {}
        by_word: dict[str, list[str]] = {}
        for who, one in self.given.items():
            if one.turn and who in self.wrong:
                by_turn.setdefault(one.turn, []).append(who)
            if isinstance(one.value, str):
                by_word.setdefault(one.value, []).append(who)
        for who, one in self.wrong.items():
            if isinstance(one.value, str):
                near = by_word[one.value]
            else:
                assert one.value is not None
                near = [other for _, other in self._near(one.value)]
            near = [*near, *by_turn.get(one.turn, ())]
            found += [(who, other) for other in dict.fromkeys(near) if other != who]
        return found

    def _near(self, value: float) -> list[tuple[float, str]]:
        room = abs(value) * CLOSE
        low = bisect_left(self.targets, (value - room, ""))
        high = bisect_right(self.targets, (value + room, "\U0010ffff"))
        return self.targets[low:high]

    def chances(self, one: str, other: str) -> tuple[float, float]:
        """Return how likely, worked alone, the other's number and the other's turn are.

        Nought where there is no such match.
        """
        mine, theirs = self.given[one], self.given[other]
        assert mine.value is not None
        takes = [target for target in {theirs.value, theirs.right} if _same(mine.value, target)]
        both = mine.turn != "" and other in self.wrong and mine.turn == theirs.turn
        share = self._share(mine.turn, one, other)
        by_number = 0.0
        if takes:
            by_number = share if mine.turn else share * self._guess(mine.value, one, other)
        if both and self.turns[mine.turn] - 2 >= FEW_MORE:
            return by_number, max(share, NEUTRAL)
        return by_number, share if both else 0.0

    def _share(self, turn: str, *but: str) -> float:
        """Return which share of the wrong answers of everyone else went this way."""
        others = [self.wrong[who].turn for who in but if who in self.wrong]
        count = self.turns[turn] - others.count(turn)
        return min(1.0, (count + 1) / (len(self.wrong) - len(others) + 2))

    def _guess(self, value: float | str, one: str, other: str) -> float:
        """Return how likely an unexplained number is the other's answer or right answer."""
        assert isinstance(value, float)
        mine = [self.wrong.get(who) for who in (one, other)]
        own = [g.value for g in mine if g and not g.turn and isinstance(g.value, float)]
        room = abs(value) * CLOSE
        count = bisect_right(self.unexplained, value + room) - bisect_left(
            self.unexplained, value - room
        )
        count -= sum(abs(v - value) <= room for v in own)
        chance = (count + 1) / max(2, len(self.unexplained) - len(own) + self.many)
        targets = 1 if self.given[other].agrees or self.given[other].value is None else 2
        return min(1.0, targets * max(chance, ROUND_GUESS if _is_round(value) else 0.0))


def _same(one: float | str | None, other: float | str | None) -> bool:
    if isinstance(one, float) and isinstance(other, float):
        return abs(one - other) <= CLOSE * max(abs(one), abs(other))
    return one is not None and one == other


def _is_round(value: float) -> bool:
    """Tell whether a number has a single digit, like a number that people guess."""
    return value == 0 or float(f"{value:.0e}") == value


# --- from marked hand-ins --------------------------------------------------------------


class Judged(Protocol):
    """What is asked of a verdict of the marking, or of a mark in the book."""

    @property
    def part(self) -> str: ...  # noqa: D102
    @property
    def verdict(self) -> str: ...  # noqa: D102
    @property
    def road(self) -> str: ...  # noqa: D102


def given_of(
    keys: Iterable[AnswerBox], answers: Mapping[str, str], verdicts: Iterable[Judged]
) -> dict[str, Given]:
    """Return what a hand-in gave, part by part, from its answers and their verdicts.

    Parameters
    ----------
    keys : iterable of AnswerBox
        Of the whole sheet, as :func:`exercises.questions.answer_boxes.answer_boxes` returns them.
    answers : mapping of str to str
        As written.
    verdicts : iterable of Judged
        As :func:`exercises.marking.mark_sheet` returned them, or as the book keeps them.
    """
    by_part = {verdict.part: verdict for verdict in verdicts}
    found = {}
    for key in keys:
        verdict = by_part.get(key.key)
        text = answers.get(key.key, "")
        if verdict is None:
            continue
        agrees = verdict.verdict in (RIGHT, UNIT_LOST, FOLLOWS)
        readable = not is_blank(text) and verdict.verdict not in TO_SETTLE
        part = key.part
        if isinstance(part, DrawnQuantity):
            factor, offset, _ = to_base(part.unit)
            right: float | str = (part.answer - offset) / factor
            value = _number_in(text, part) if readable else None
            found[key.key] = Given(value, right, agrees, verdict.road)
        else:
            chosen = _chosen(text, part) if readable else None
            turn = "" if chosen is None or agrees else part.said_by(chosen)
            written = None if chosen is None else " ".join(map(str, chosen))
            wanted = " ".join(map(str, part.chosen(part.right_answer())))
            found[key.key] = Given(written, wanted, agrees, turn)
    return found


def class_of(results: Iterable[Result]) -> dict[str, dict[str, Given]]:
    """Return a paper's sheets by token, from what the mark book has of them.

    Parameters
    ----------
    results : iterable of Result
        As :meth:`exercises.book.book.Book.results` returns them.
    """
    return {
        one.sheet.token: given_of(
            answer_boxes(one.sheet.questions), one.handin.answers, one.marks.values()
        )
        for one in results
        if one.handin is not None and one.marks
    }


def _number_in(text: str, part: DrawnQuantity) -> float | None:
    """Return the number that was meant, in the unit of the question."""
    try:
        got = read_answer(text, part.unit)
    except FaultsError:
        return None
    size, _ = understood(got.value, got.unit_name, part, part.tolerance, False)
    factor, offset, _ = to_base(part.unit)
    return (size - offset) / factor


def _chosen(text: str, part: DrawnPart) -> list[Any] | None:
    """Return the letters or steps that were chosen, in one way of writing them."""
    try:
        return part.chosen(text)
    except FaultsError:
        return None
