"""What can be said of a class in numbers: shares, spread and agreement.

Each function gives nothing (None) where there are too few students for it, so that
no report prints a number that its class can't bear.
"""

from __future__ import annotations

import operator
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import NormalDist, StatisticsError, correlation, variance
from typing import Any, NamedTuple

FEWEST_FOR_SHARES = 5  # common practice: below this, names say more than shares
FEWEST_FOR_ITEMS = 30  # common practice for item statistics


@dataclass(frozen=True)
class Counted:
    """How many of a class, counted; what is still to settle makes it a range.

    A whole class is no sample, so that there is nothing to estimate.

    Parameters
    ----------
    hits, open, count : int
        So many, so many more at the best, of so many.
    """

    hits: int
    open: int
    count: int

    @property
    def low(self) -> float:
        """The share if nothing that is still to settle is right."""
        return self.hits / self.count

    @property
    def high(self) -> float:
        """The share if all of it is."""
        return (self.hits + self.open) / self.count

    def __str__(self) -> str:
        """Return it as it stands in a sentence.

        >>> str(Counted(9, 0, 12)), str(Counted(9, 2, 12))
        ('9 of 12', '9 to 11 of 12 (2 still to settle)')
        """
        if not self.open:
            return f"{self.hits} of {self.count}"
        most = self.hits + self.open
        return f"{self.hits} to {most} of {self.count} ({self.open} still to settle)"


def score_interval(hits: float, count: int, confidence: float = 0.95) -> tuple[float, float]:
    """Return the ends of the score interval of a share, or of a mean from 0 to 1.

    (p + z²/2n ± z √(p(1-p)/n + z²/4n²)) / (1 + z²/n), z = 1.96 for 95 %.

    Parameters
    ----------
    hits : float
        The sum of ``count`` numbers from 0 to 1.
    count : int
        At least one.
    confidence : float
        How often such intervals hold the true share.

    Returns
    -------
    tuple of float
        Never below 0 or above 1, and sensible for few and for all or none.

    Examples
    --------
    >>> score_interval(0, 20)[1]
    0.161

    Notes
    -----
    [wilson1927]
    """
    z = NormalDist().inv_cdf((1 + confidence) / 2)
    p, n = hits / count, count
    middle = p + z * z / (2 * n)
    half = z * sqrt(p * (1 - p) / n + z * z / (4 * n * n))
    low, high = ((middle + way * half) / (1 + z * z / n) for way in (-1, 1))
    return 0.0 if not hits else low, 1.0 if hits == count else high


def tells_apart(item: Sequence[float], rest: Sequence[float]) -> float | None:
    """Return how well a question tells strong from weak, from -1 to 1.

    The correlation of its marks with the marks of all other questions; a question
    is left out of its own total, else it would praise itself.

    Parameters
    ----------
    item, rest : sequence of float
        Marks for the question and for all others, one a student.

    Returns
    -------
    float or None
        None below thirty students, or where one of the two is the same for everyone.

    Notes
    -----
    [henrysson1963]
    """
    if len(item) < FEWEST_FOR_ITEMS:
        return None
    try:
        return max(-1.0, min(1.0, correlation(item, rest)))
    except StatisticsError:
        return None


def reliability(rows: Sequence[Sequence[float]]) -> float | None:
    """Return how far the questions pull in one direction (coefficient alpha).

    k/(k-1) · (1 - sum of the questions' variances / variance of the totals).

    Parameters
    ----------
    rows : sequence of sequence of float
        Marks: a row a student, a column a question, all of them the same questions.

    Returns
    -------
    float or None
        None below thirty students, below two questions, or where all totals are equal.

    Notes
    -----
    *Watch out*: a low value may mean a broad paper and not a bad one.

    [cronbach1951]
    """
    if len(rows) < FEWEST_FOR_ITEMS or len(rows[0]) < 2:
        return None
    total = variance(sum(row) for row in rows)
    if total < 1e-12:
        return None
    k = len(rows[0])
    return k / (k - 1) * (1 - sum(map(variance, zip(*rows, strict=True))) / total)


class Kappa(NamedTuple):
    """Agreement beyond chance, with the interval in which it may lie."""

    value: float
    low: float
    high: float


def kappa(
    pairs: Sequence[tuple[Any, Any]], apart: Callable[[Any, Any], float] = operator.ne
) -> Kappa | None:
    """Return how far two markers agree beyond what chance would give.

    1 - (how far apart they are) / (how far apart chance would have them); 1 is full
    agreement, 0 is what chance gives.

    Parameters
    ----------
    pairs : sequence of pairs
        What the first and the second marker gave, one pair a mark.
    apart : function of two marks
        How far they are apart, from 0 to 1; by default equal or not.

    Returns
    -------
    Kappa or None
        None for no pairs, and where both gave one and the same to everything.  The
        interval is Wilson's for how far apart they are, with chance held as it is: wide
        for few pairs, and never narrower than it should be, since what lies between 0
        and 1 varies less than what is 0 or 1.

    Notes
    -----
    *Watch out*: where nearly all marks are equal, it is low although the markers agree.

    [cohen1960] and, for marks that are more or less far apart, [cohen1968]
    """
    n = len(pairs)
    first = Counter(one for one, _ in pairs)
    second = Counter(two for _, two in pairs)
    chance = sum(
        apart(one, two) * first[one] * second[two] for one in first for two in second
    ) / max(1, n**2)
    if chance < 1e-12:
        return None
    seen = sum(float(apart(one, two)) for one, two in pairs)
    low, high = score_interval(seen, n)
    return Kappa(1 - seen / n / chance, 1 - high / chance, 1 - low / chance)
