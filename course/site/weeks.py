"""The lessons laid over the weeks of a term: what is done in class, and what at home."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass, field

from calculators.faults import fault_error
from calculators.units import say
from course.making.lessons import Lesson
from course.scheme.model import TermPlan

LEAST = 10  # minutes: a shorter piece of a lesson waits for the next week


@dataclass(frozen=True)
class Piece:
    """Something to do in a week."""

    lesson: Lesson
    what: str
    minutes: int


@dataclass
class Week:
    """A week: its day, what is done in class, and what at home before the next one."""

    day: datetime.date
    in_class: list[Piece] = field(default_factory=list)
    at_home: list[Piece] = field(default_factory=list)

    @property
    def minutes(self) -> int:
        """The minutes of class that are taken."""
        return sum(piece.minutes for piece in self.in_class)


def weeks_of(term: TermPlan, lessons: Sequence[Lesson]) -> list[Week]:
    """Lay lessons over the weeks of a term, in their order.

    The bench is in class.  Reading and practice come before it: in class too, or at home in
    the week before, where the first lesson is read in the first class.

    Parameters
    ----------
    term : TermPlan
        The weeks there are.
    lessons : sequence of Lesson
        In their order.

    Returns
    -------
    list of Week
        Only those that are needed.

    Raises
    ------
    FaultsError
        Where the term is too short, with how many weeks it would take.
    """
    weeks = [Week(term.begins)]
    each = int(term.class_time.m_as("min"))

    def next_week() -> None:
        weeks.append(Week(weeks[-1].day + datetime.timedelta(days=7)))

    def room(minutes: int) -> int:
        """Return what is free in the last class, or in a new one where that is too little."""
        if each - weeks[-1].minutes < min(LEAST, minutes):
            next_week()
        return each - weeks[-1].minutes

    def into_class(lesson: Lesson, what: str, minutes: int) -> None:
        while minutes > 0:
            took = min(minutes, room(minutes))
            weeks[-1].in_class.append(Piece(lesson, what, took))
            minutes -= took

    for lesson in lessons:
        reads = lesson.minutes - lesson.practice_minutes
        words = [("read", reads), ("practise", lesson.practice_minutes)]
        if term.reading == "class" or lesson is lessons[0]:
            for what, minutes in words:
                into_class(lesson, what, minutes)
        else:
            room(lesson.bench)
            if lesson.bench and len(weeks) == 1:
                next_week()  # nothing can be read at home before the first class
            before = weeks[max(len(weeks) - 2, 0)]
            before.at_home += [Piece(lesson, what, minutes) for what, minutes in words if minutes]
        into_class(lesson, "at the bench", lesson.bench)
    if len(weeks) > term.weeks:
        raise fault_error(
            "term",
            "is too short for these lessons",
            f"{term.weeks} weeks of {say(term.class_time)}",
            f"They take {len(weeks)} weeks at {say(term.class_time)} a week",
            "Give more weeks or hours, leave modules out, or let them be read at home",
        )
    return weeks
