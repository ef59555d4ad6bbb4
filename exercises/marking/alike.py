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

from array import array
from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from heapq import nsmallest
from math import floor, log, log10, nan
from typing import Any, NamedTuple, Protocol, TypeAlias

from calculators.faults import FaultsError
from calculators.units.answers import is_blank, read_answer
from exercises.marking.rules import (
    FOLLOWS,
    RIGHT,
    TO_SETTLE,
    UNIT_LOST,
)
from exercises.questions.answer_boxes import AnswerBox
from exercises.questions.parts import DrawnPart, DrawnQuantity
from exercises.questions.parts.quantity import to_base, understood

ALARMS = 0.05  # innocent flags in a class, at most: one in twenty classes
TAKEN = 0.5  # of the wrong answers of one who copies: so many are the other's numbers,
SHARED = 0.25  # and so many the other's wrong turns, worked out with own numbers
NEUTRAL = SHARED / (TAKEN + SHARED)  # a wrong turn as likely as this says nothing
FEW_MORE = 2  # with so many more on the same wrong turn, a group was taught it
CLOSE = 1e-3  # numbers no further apart than this share of them are one number
MOST_LIKE = 100  # who share an answer: above this it is common, and not looked up
MOST_SCORED = 50  # sheets that one is held against, those alike in most parts
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
        The wrong turn that was recognised, or the text of what was chosen, right or
        wrong; empty for a number that nothing explains.
    """

    value: float | str | None
    right: float | str
    agrees: bool = False
    turn: str = ""


Class: TypeAlias = Mapping[str, Mapping[str, Given]]
Names: TypeAlias = "list[str] | array[int]"


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
                f"{_listed(self.numbers)}: what belongs to one sheet stands on the other, "
                "which asks with other numbers."
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
    gathered = Gathered()
    for who, given in sheets.items():
        gathered.add(who, given)
    return gathered.alike(alarms)


class Gathered:
    """What a class gave, held in columns, since a class may be large.

    Parameters
    ----------
    names : list or array, optional
        Where the names of students or the numbers of hand-ins are kept.
    """

    def __init__(self, names: Names | None = None) -> None:
        self.names: Names = [] if names is None else names
        self._owners = array("q")
        self.columns: dict[tuple[str, bool], _Column] = {}

    def add(self, who: Any, given: Mapping[str, Given], sheet: str = "") -> None:
        """Add what one student gave.

        Parameters
        ----------
        who : str or int
            The student, or the number of the hand-in.
        given : mapping of str to Given
            By part.
        sheet : str
            Whose hand-ins are held against others alone; by default ``who``.
        """
        place = len(self.names)
        self.names.append(who)
        self._owners.append(hash(sheet or str(who)))
        for name, one in given.items():
            words = isinstance(one.right, str)
            column = self.columns.setdefault((name, words), _Column(name, words))
            column.put(place, one)

    def alike(self, alarms: float = ALARMS, first: int | None = None) -> list[Alike]:
        """Return the pairs that are too alike for chance, the most alike first.

        Parameters
        ----------
        alarms : float
            How many innocent pairs may be named in a class, on average.
        first : int, optional
            Only pairs in which one of the first so many stands.
        """
        count = len(self.names)
        if count < 2:
            return []
        threshold = log(count * (count - 1) / alarms)
        for column in self.columns.values():
            column.close(count)
        found: dict[frozenset[int], Alike] = {}
        for one in range(count):
            for other in self._likely(one, count if first is None else first):
                pair = self._scored(one, other, threshold)
                known = found.get(frozenset((one, other)))
                if pair.score >= threshold and (known is None or known.score < pair.score):
                    found[frozenset((one, other))] = pair
        return sorted(found.values(), key=lambda pair: (-pair.score, pair.one, pair.other))

    def _likely(self, one: int, first: int) -> list[int]:
        """Return whom one's wrong answers may have come from: alike in two parts or more.

        One part alone never passes the threshold.
        """
        met: Counter[int] = Counter()
        for column in self.columns.values():
            met.update(column.like(one))
        often = [
            (-times, other)
            for other, times in met.items()
            if times > 1 and min(one, other) < first and self._owners[one] != self._owners[other]
        ]
        return [other for _, other in nsmallest(MOST_SCORED, often)]

    def _scored(self, one: int, other: int, threshold: float) -> Alike:
        score = 0.0
        numbers: list[str] = []
        turns: list[str] = []
        seen: set[float] = set()
        for column in self.columns.values():
            if column.state[one] != WRONG or not column.state[other] or column.equal(one, other):
                continue
            ratio = 1 - TAKEN - SHARED
            by_number, by_turn = column.chances(one, other)
            if by_number and not column.words:
                if column.value[one] in seen:  # one guess, written twice
                    continue
                seen.add(column.value[one])
            if by_number:
                ratio += TAKEN / by_number
                numbers.append(column.name)
            if by_turn:
                ratio += SHARED / by_turn
                if not by_number and by_turn < NEUTRAL:
                    turns.append(column.name)
            if not (by_number or by_turn) and column.state[other] == NOTHING:
                continue  # nothing to be unlike
            score += log(ratio)
        names = str(self.names[one]), str(self.names[other])
        return Alike(*names, score, threshold, tuple(numbers), tuple(turns))


# How an answer stands: not asked, not given or not readable, wrong, right.
ABSENT, NOTHING, WRONG, AGREES = range(4)


class _Column:
    """What a class gave for one part, so that the chance of a match can be told."""

    def __init__(self, name: str, words: bool) -> None:
        self.name, self.words = name, words
        self.value, self.right = array("d"), array("d")
        self.turn, self.state = array("I"), bytearray()
        self._codes: dict[str, float] = {}
        self._turns: dict[str, int] = {"": 0}
        self._says: dict[float, int] = {}  # what a letter stands for, on the first sheet with it
        self._shuffled = False
        self._open = True

    def put(self, place: int, one: Given) -> None:
        """Put what the student at a place gave; words are kept as numbers for them."""
        self._fill(place)
        self.value.append(nan if one.value is None else self._number(one.value))
        self.right.append(self._number(one.right))
        turn = self._turns.setdefault(one.turn, len(self._turns))
        self.turn.append(turn)
        if self.words and turn:
            self._shuffled |= self._says.setdefault(self.value[place], turn) != turn
        self.state.append(NOTHING if one.value is None else AGREES if one.agrees else WRONG)
        self._open = True

    def _number(self, value: float | str) -> float:
        if isinstance(value, str):
            return self._codes.setdefault(value, float(len(self._codes)))
        return value

    def _fill(self, count: int) -> None:
        while len(self.state) < count:
            self.value.append(nan)
            self.right.append(nan)
            self.turn.append(0)
            self.state.append(ABSENT)

    def close(self, count: int) -> None:
        """Count what the class gave, and sort it so that like ones are found."""
        self._fill(count)
        if not self._open:
            return
        self._open = False
        self.by_turn: dict[int, array[int]] = {}
        for at in range(count):
            if self.state[at] == WRONG:
                self.by_turn.setdefault(self.turn[at], array("I")).append(at)
        self.taken = Counter({turn: len(took) for turn, took in self.by_turn.items()})
        self.wrong = self.taken.total()
        loose = self.by_turn.pop(0, ())
        self.unexplained = array("d", sorted(map(self.value.__getitem__, loose)))
        held = count - self.state.count(ABSENT)
        asked = Counter(
            f"{right:.3g}" for right, state in zip(self.right, self.state, strict=True) if state
        )
        pairs = held * (held - 1) / 2
        equal = sum(each * (each - 1) / 2 for each in asked.values())
        self.numbers = (pairs + 2) / (equal + 1)  # that the question may ask for, about
        # Two to a student: what was given, and what was asked for where that is another.
        targets = array("I")
        for at in range(count):
            if self.state[at] > NOTHING:
                targets.append(2 * at)
            if self.state[at] and not self.words and self.right[at] != self.value[at]:
                targets.append(2 * at + 1)
        self.targets = array("I", sorted(targets, key=self._target))

    def _target(self, place: int) -> float:
        """Return the number that stands at a place of the targets."""
        return (self.right if place & 1 else self.value)[place >> 1]

    def same(self, one: float, other: float) -> bool:
        """Tell whether two answers are one."""
        if self.words:
            return one == other
        return abs(one - other) <= CLOSE * max(abs(one), abs(other))

    def equal(self, one: int, other: int) -> bool:
        """Tell whether two sheets ask for the same here."""
        return self.same(self.right[one], self.right[other])

    def like(self, one: int) -> set[int]:
        """Return who gave, or was asked for, what one gave wrongly; or went the same way.

        What more than :data:`MOST_LIKE` have in common says too little to look them all
        up; it still weighs where two are compared.
        """
        if self.state[one] != WRONG:
            return set()
        value = self.value[one]
        room = 0.0 if self.words else abs(value) * CLOSE
        low = bisect_left(self.targets, value - room, key=self._target)
        high = bisect_right(self.targets, value + room, lo=low, key=self._target)
        found: set[int] = set()
        if high - low <= 2 * MOST_LIKE:
            found.update(place >> 1 for place in self.targets[low:high])
        same = self.by_turn.get(self.turn[one], ())
        if len(same) <= MOST_LIKE:
            found.update(same)
        return {other for other in found if other != one and not self.equal(one, other)}

    def chances(self, one: int, other: int) -> tuple[float, float]:
        """Return how likely, worked alone, the other's number and the other's turn are.

        Zero where there is no such match.
        """
        value, turn = self.value[one], self.turn[one]
        takes = self.same(value, self.value[other]) or self.same(value, self.right[other])
        both = turn != 0 and self.state[other] == WRONG and turn == self.turn[other]
        share = self._share(turn, one, other)
        by_number = 0.0
        if takes:
            by_number = self._letter(share) if self.words else share * self._landing(one, other)
        if both and self.taken[turn] - 2 >= FEW_MORE:
            return by_number, max(share, NEUTRAL)
        return by_number, share if both else 0.0

    def _share(self, turn: int, *but: int) -> float:
        """Return which share of the wrong answers of everyone else went this way."""
        others = [self.turn[at] for at in but if self.state[at] == WRONG]
        count = self.taken[turn] - others.count(turn)
        return min(1.0, (count + 1) / (self.wrong - len(others) + 2))

    def _letter(self, share: float) -> float:
        """Return how likely one's letter stands for the other's choice too.

        Where options and steps stand in an order of each sheet's own, any letter is as
        likely as another; those that nobody used are not counted.
        """
        return 1 / max(2, len(self._codes) - 1) if self._shuffled else share

    def _landing(self, one: int, other: int) -> float:
        """Return how likely a wrong number is the other's answer or right answer by chance.

        A wrong turn leads from numbers that were drawn for one to a number of the one's
        own: it is the other's as rarely as two draws agree.  Any other number may be a
        guess, and others' guesses tell how common it is.
        """
        value = self.value[one]
        targets = 1 if self.state[other] in (AGREES, NOTHING) else 2
        if self.turn[one]:
            return min(1.0, targets / self.numbers)
        own = [
            self.value[at] for at in (one, other) if self.state[at] == WRONG and not self.turn[at]
        ]
        room = abs(value) * CLOSE
        count = bisect_right(self.unexplained, value + room) - bisect_left(
            self.unexplained, value - room
        )
        count -= sum(abs(each - value) <= room for each in own)
        chance = (count + 1) / max(2, len(self.unexplained) - len(own) + self.numbers)
        return min(1.0, targets * max(chance, ROUND_GUESS if _is_round(value) else 0.0))


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
            turn = "" if chosen is None else part.said_by(chosen)
            written = None if chosen is None else " ".join(map(str, chosen))
            wanted = " ".join(map(str, part.chosen(part.right_answer())))
            found[key.key] = Given(written, wanted, agrees, turn)
    return found


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
