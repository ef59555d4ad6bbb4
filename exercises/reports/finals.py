"""One final mark for each student: which sitting counts, and who sits the paper again."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from exercises.book.records import PaperRecord, Result, Student
from exercises.book.schema import ISSUED
from exercises.reports.standing import NOT_PASSED, OPEN, PASSED, Standing, standing
from exercises.sheets.blueprint import BEST, CAPPED, LAST

NOTHING_CAME = "nothing handed in"
NOTHING_COUNTS = "nothing that counts"  # all that came is set aside
NO_MARKS_YET = "no marks yet"


@dataclass(frozen=True)
class Sitting:
    """One sitting of a student.

    Parameters
    ----------
    result : Result
        The sheet and what came of it.
    stands : Standing
        What it amounts to.
    counts_for : float
        Its marks as the rule counts them: a capped resit's are cut.
    """

    result: Result
    stands: Standing
    counts_for: float

    @property
    def number(self) -> int:
        """1, and 2 for a resit."""
        return self.result.sheet.sitting

    @property
    def marked(self) -> bool:
        """Whether it has marks."""
        return bool(self.result.marks)


@dataclass(frozen=True)
class Final:
    """What a paper amounts to for one student.

    Parameters
    ----------
    student : Student
        Whose it is.
    sittings : tuple of Sitting
        In their order.
    counts : Sitting or None
        The one that counts; None where none has marks.
    """

    student: Student
    sittings: tuple[Sitting, ...]
    counts: Sitting | None

    @property
    def state(self) -> str:
        """*passed*, *not yet passed*, *still to settle*, or why there are no marks."""
        if self.counts is not None:
            return self.counts.stands.state
        came = any(one.result.state != ISSUED for one in self.sittings)
        if came:
            return NO_MARKS_YET
        aside = any(one.result.others for one in self.sittings)
        return NOTHING_COUNTS if aside else NOTHING_CAME

    @property
    def open(self) -> bool:
        """Whether an assessor's decision may still change it."""
        return any(one.result.needs_a_look or one.stands.open for one in self.sittings)

    @property
    def share(self) -> float | None:
        """The share of the marks, as they count; None where there are none."""
        if self.counts is None:
            return None
        return self.counts.counts_for / max(self.counts.stands.total, 1)


def finals(
    results: Iterable[Result],
    paper: PaperRecord,
    standings: Sequence[Standing] | None = None,
) -> list[Final]:
    """Return the final mark of each student, in the order of the results.

    Parameters
    ----------
    results : iterable of Result
        Of one paper, by student and sitting.
    paper : PaperRecord
        Its rules.
    standings : sequence of Standing, optional
        Of these results, where the caller has them already.
    """
    rows = list(results)
    stood = standings or [standing(row, paper) for row in rows]
    rule = str(paper.pass_rule.get("sittings", BEST))
    by_student: dict[str, list[Sitting]] = {}
    for row, stands in zip(rows, stood, strict=True):
        capped = rule == CAPPED and row.sheet.sitting > 1
        worth = min(stands.awarded, stands.needed) if capped else stands.awarded
        by_student.setdefault(row.student.id, []).append(Sitting(row, stands, worth))
    return [
        Final(some[0].result.student, tuple(some), _that_counts(some, rule))
        for some in by_student.values()
    ]


def _that_counts(sittings: Sequence[Sitting], rule: str) -> Sitting | None:
    """Return the sitting that counts; the best is a passed one, then the higher share."""
    marked = [one for one in sittings if one.marked]
    if not marked:
        return None
    if rule == LAST:
        return marked[-1]
    rank = {PASSED: 2, OPEN: 1, NOT_PASSED: 0}
    return max(
        marked,
        key=lambda one: (
            rank.get(one.stands.state, 0),
            one.counts_for / max(one.stands.total, 1),
            -one.number,  # of two that are equal, the earlier
        ),
    )


def sit_again(all_finals: Iterable[Final]) -> list[Final]:
    """Return who has not passed and waits for no decision: they sit it again."""
    again = (NOT_PASSED, NOTHING_CAME, NOTHING_COUNTS)
    return [
        one
        for one in all_finals
        if not one.student.erased_at and not one.open and one.state in again
    ]


def undecided(all_finals: Iterable[Final]) -> list[Final]:
    """Return whose result hangs on a decision, so that nobody can say who sits again."""
    return [
        one for one in all_finals if not one.student.erased_at and one.state != PASSED and one.open
    ]
