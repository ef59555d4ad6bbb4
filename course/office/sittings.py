"""How a paper stands, sitting by sitting: drafted, signed, changed since, who has a sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from course.office.papers import questions_for
from course.scheme.model import Scheme
from exercises.book.book import Book
from exercises.book.records import PaperRecord, SheetRecord, Student
from exercises.sheets import drafting

MOST = 9  # sittings of one paper


@dataclass(frozen=True)
class Sitting:
    """One sitting of a paper.

    Parameters
    ----------
    number : int
        1 for the first.
    signed, waiting : PaperRecord or None
        The version by which its sheets go out, and the one that waits for a signature.
    changed : list of str
        What the scheme says otherwise now than the version that waits, or was signed.
    sheets : list of (Student, SheetRecord)
        Who holds which.
    without : list of Student
        Who stands on the class list and holds none.
    """

    number: int
    signed: PaperRecord | None
    waiting: PaperRecord | None
    changed: list[str]
    sheets: list[tuple[Student, SheetRecord]]
    without: list[Student]

    @property
    def ready(self) -> bool:
        """Whether sheets can go out once somebody has signed, or signed already."""
        return (self.waiting or self.signed) is not None and not self.changed


def sittings(
    scheme: Scheme, paper: str, book: Book | None, listed: Sequence[Student]
) -> list[Sitting]:
    """Return the sittings of a paper that was drafted, and the one that could come next.

    Parameters
    ----------
    scheme : Scheme
        As it is now.
    paper : str
        The paper's name in it.
    book : Book or None
        The mark book, if there is one yet.
    listed : sequence of Student
        The class list.
    """
    plan = scheme.paper_plan(paper)
    papers = book.papers() if book is not None else []
    record = next((one for one in papers if one.name == paper), None)
    if record is None or book is None:
        return [Sitting(1, None, None, [], [], list(listed))]
    questions, people = questions_for(scheme), book.students()
    heads = [one for one in book.sheets(paper, needs="head") if not people[one.student].erased_at]
    # A later sitting goes out by a version of its own, drafted once sheets are out.
    last = max([1, *(one.sitting for one in heads), *(v["sitting"] for v in record.versions)])
    if any(one.sitting == last for one in heads):
        last += 1
    found = []
    for number in range(1, min(last, MOST) + 1):
        signed, waiting = record.signed_for(number), record.drafted_for(number)
        sheets = [(people[one.student], one) for one in heads if one.sitting == number]
        have = {student.id for student, _ in sheets}
        version = waiting or signed
        changed = drafting.changes(version, plan, questions, book, number) if version else []
        without = [one for one in listed if one.id not in have]
        found.append(Sitting(number, signed, waiting, changed, sheets, without))
    return found
