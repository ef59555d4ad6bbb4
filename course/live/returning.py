"""Which questions come back: at the head of a lesson, mixed, at the start, at the end.

What comes back by itself is chosen here, when the site is made, from the practice of the
lessons.  What comes back because it slipped or is due is chosen in the reader's browser.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import NamedTuple, Protocol

from course.lessons.ways import ways
from exercises.questions.outcomes import outcomes
from exercises.questions.registry import bank

STEPS_BACK = (1, 3, 6)  # a lesson asks for what stood so many lessons before it
IN_AN_OPENING, IN_A_MIXED_SET, IN_THE_CHECK = 3, 5, 12
OTHER_WAYS = 3  # of a mixed question, beside the right one
FOR_EVERYONE = ("what-can-hurt", "make-it")  # no check lets anyone leave these out
# Each kind of place has numbers of its own, so that nothing is remembered by its number.
_OPENING, _MIXED, _CHECK, _TEST, _AGAIN = 100, 200, 300, 400, 500


class Taught(Protocol):
    """What is asked of a lesson here."""

    @property
    def slug(self) -> str:
        """Its name."""

    @property
    def module(self) -> str:
        """The module it belongs to."""

    @property
    def outcomes(self) -> tuple[str, ...]:
        """What it teaches."""

    @property
    def practised(self) -> tuple[str, ...]:
        """The practice questions that stand in it."""


class Asked(NamedTuple):
    """A question that comes back, and with which numbers."""

    outcome: str
    question: str
    number: int


@dataclass
class Returning:
    """What comes back where in a course.

    Parameters
    ----------
    lessons : sequence of Taught
        The lessons of the course in order.
    """

    lessons: Sequence[Taught]

    def __post_init__(self) -> None:
        self._pool: dict[str, list[str]] = {}
        for lesson in self.lessons:
            for name in lesson.practised:
                if name in bank():
                    self._pool.setdefault(bank()[name].outcome, []).append(name)
        self._home = {
            key: place
            for place, one in enumerate(self.lessons)
            for key in one.outcomes
            if key in self._pool
        }
        self._used: Counter[str] = Counter()  # questions
        self._back: Counter[str] = Counter()  # outcomes
        self.openings = {
            one.slug: self._opening(place) for place, one in enumerate(self.lessons) if place
        }
        modules = list(dict.fromkeys(one.module for one in self.lessons))
        self.mixed = {key: self._set(place, key) for place, key in enumerate(modules)}
        self.start_check = self._check()
        self.self_test = [self._ask(key, _TEST, long=True) for key in self._home]

    @property
    def again(self) -> dict[str, list[Asked]]:
        """Return for each outcome what can be asked again, with numbers of its own."""
        return {
            key: [Asked(key, name, _AGAIN) for name in dict.fromkeys(self._pool[key])]
            for key in self._home
        }

    def others(self, asked: Asked) -> list[str]:
        """Return outcomes whose ways stand beside the right one, near ones first."""
        home = self._home[asked.outcome]
        rest = [key for key in self._home if key != asked.outcome and key in ways()]
        near = sorted(rest, key=lambda key: (abs(self._home[key] - home) > 2, _mix(asked, key)))
        return near[:OTHER_WAYS]

    # -- choosing ------------------------------------------------------------------------

    def _ask(self, outcome: str, number: int, *, long: bool = False) -> Asked:
        """Choose a question on an outcome: a short one not used much, or the longest of the new."""
        if long:
            name = min(self._pool[outcome], key=lambda one: (self._used[one], -_length(one)))
        else:
            name = min(self._pool[outcome], key=lambda one: _length(one) + self._used[one])
        self._used[name] += 1
        self._back[outcome] += 1
        return Asked(outcome, name, number)

    def _least(self, among: Iterable[str]) -> str:
        """Return the outcome that came back least; of equals, the one that takes least time."""
        return min(among, key=lambda key: (self._back[key], self._shortest(key)))

    def _shortest(self, outcome: str) -> float:
        """Return how long the next question on an outcome takes; one that was used counts more."""
        return min(_length(one) + self._used[one] for one in self._pool[outcome])

    def _opening(self, place: int) -> list[Asked]:
        """Return three questions from earlier lessons, mixed."""
        steps = [place - back for back in STEPS_BACK if back <= place]
        steps += [early for early in range(place - 1, -1, -1) if early not in steps]
        chosen: list[str] = []
        for _ in range(IN_AN_OPENING):
            for early in steps:
                own = [k for k, home in self._home.items() if home == early and k not in chosen]
                if own and len(chosen) < IN_AN_OPENING:  # short ones: a lesson keeps its time
                    chosen.append(min(own, key=lambda k: self._shortest(k) + self._back[k] / 2))
        asked = [self._ask(key, _OPENING + place) for key in chosen]
        return sorted(asked, key=lambda one: _mix(one, self.lessons[place].slug))

    def _set(self, place: int, module: str) -> list[Asked]:
        """Return the mixed set at the end of a module."""
        last = max(n for n, one in enumerate(self.lessons) if one.module == module)
        own = [k for k, home in self._home.items() if self.lessons[home].module == module]
        early = [k for k, home in self._home.items() if home <= last and k not in own]
        new = [key for key in own if not self._back[key]]  # no lesson after this asks for all
        size = max(IN_A_MIXED_SET, len(new) + 1 if last == len(self.lessons) - 1 else 0)
        chosen: list[str] = []
        for pool, most in ((early, 1), (own, len(own)), (early, len(early))):
            left = [key for key in pool if key not in chosen]
            for _ in range(min(most, len(left), size - len(chosen))):
                chosen.append(self._least(left))
                left.remove(chosen[-1])
        asked = [self._ask(key, _MIXED + place) for key in chosen]
        return sorted(asked, key=lambda one: _mix(one, module))

    def _check(self) -> list[Asked]:
        """Return the start check: each lesson once, its calculation first, then once more."""
        queues = [
            sorted(
                (k for k, home in self._home.items() if home == place),
                key=lambda k: outcomes()[k].evidence != "calculate",
            )
            for place, one in enumerate(self.lessons)
            if one.slug not in FOR_EVERYONE
        ]
        chosen: list[str] = []
        for turn in range(max(map(len, queues), default=0)):
            chosen += [queue[turn] for queue in queues if turn < len(queue)]
        chosen = sorted(chosen[:IN_THE_CHECK], key=lambda key: self._home[key])
        return [self._ask(key, _CHECK) for key in chosen]


def minutes(asked: Iterable[Asked]) -> int:
    """Return how long questions take, in whole minutes."""
    return round(sum(_length(one.question) for one in asked))


def _length(question: str) -> float:
    return bank()[question].minutes


def _mix(asked: Asked, salt: str) -> str:
    """Return what puts questions in an order that tells nothing, the same in every build."""
    return sha256(f"{salt}\x1f{asked.question}".encode()).hexdigest()
