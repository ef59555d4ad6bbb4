"""What is too alike within a paper and sitting becomes matters, once a pile is marked.

What the workers read is gathered while the pile is marked; only hand-ins of earlier piles
are read again, and only where a new one came.
"""

from __future__ import annotations

from array import array
from bisect import bisect_left
from collections.abc import Iterable, Mapping
from typing import Any

from exercises.book.book import Book
from exercises.book.records import HandIn
from exercises.marking.alike import Gathered, given_of
from exercises.questions.answer_boxes import answer_boxes

MOST_NAMED = 20  # others that one hand-in is said to be like
AT_A_TIME = 500


class Comparison:
    """Holds what came in against one another; settles nothing.

    Parameters
    ----------
    book : Book
        Open for writing.
    """

    def __init__(self, book: Book) -> None:
        self.book = book
        self._gathered: dict[tuple[str, int], _Group] = {}

    def take(self, new: Iterable[HandIn]) -> None:
        """Take what new hand-ins gave, and let them go of it."""
        for one in new:
            if one.gave is not None:
                paper, sitting, given = one.gave
                self._group((paper, sitting)).add(one.id, one.token or "", given)
                one.gave = None

    def raise_matters(self) -> list[int]:
        """Raise matters about what is too alike; return the hand-ins that they are about.

        What a run that was ended left uncompared is compared too.
        """
        raised: list[int] = []
        for (paper, sitting), (done, newest) in sorted(self.book.not_compared().items()):
            group = self._group((paper, sitting))
            self._earlier(paper, sitting, group, done)
            fresh = sum(int(number) > done for number in group.held.names)
            found: dict[int, dict[int, str]] = {}
            for pair in group.held.alike(first=fresh):
                for mine, other in ((pair.one, pair.other), (pair.other, pair.one)):
                    others = found.setdefault(int(mine), {})
                    if len(others) < MOST_NAMED:
                        others[int(other)] = f"Hand-in {other}. {pair.why}"
            raised += self.book.raise_alike(paper, sitting, newest, found)
            del self._gathered[paper, sitting]
        return raised

    def _group(self, key: tuple[str, int]) -> _Group:
        return self._gathered.setdefault(key, _Group())

    def _earlier(self, paper: str, sitting: int, group: _Group, done: int) -> None:
        """Gather the hand-ins of earlier piles, those that were never compared first."""
        earlier = [n for n in self.book.marked_of(paper, sitting) if not group.holds(n)]
        earlier.sort(key=lambda number: number <= done)
        for start in range(0, len(earlier), AT_A_TIME):
            some = earlier[start : start + AT_A_TIME]
            came = {one.id: one for one in self.book.handins(numbers=some)}
            sheets = self.book.sheets_by_token(one.token for one in came.values() if one.token)
            marks = self.book.marks_of(some)
            for one in map(came.__getitem__, some):
                boxes = answer_boxes(sheets[one.token or ""].questions)
                given = given_of(boxes, one.answers, marks.get(one.id, ()))
                group.add(one.id, one.token or "", given)


class _Group:
    """The hand-ins of one paper and sitting."""

    def __init__(self) -> None:
        self._numbers = array("q")  # rising, as far as they were taken in together
        self.held = Gathered(self._numbers)
        self.again: set[int] = set()
        self._seen: set[int] = set()

    def holds(self, number: int) -> bool:
        """Tell whether a hand-in was added, while those that were taken in together are."""
        at = bisect_left(self._numbers, number)
        return self._numbers[at : at + 1] == array("q", [number]) or number in self.again

    def add(self, number: int, token: str, given: Mapping[str, Any]) -> None:
        """Add a hand-in, where its sheet has not given the very same before."""
        print_of = hash((token, *(one.value for one in given.values())))
        if print_of in self._seen:
            self.again.add(number)
            return
        self._seen.add(print_of)
        self.held.add(number, given, token)
