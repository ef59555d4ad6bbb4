"""Until when a sheet may come in: the paper's date, a student's own, and extra time."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from functools import lru_cache

from calculators.units import Quantity, q, read, unit
from exercises.book.records import SheetRecord, Student
from exercises.book.times import parse_time

_DAY = q(1, "day")


def deadline_for(sheet: SheetRecord, student: Student) -> datetime | None:
    """Return the last moment at which a sheet is not late, or None for no limit.

    Another date of the student takes the place of the paper's; one before the sheet
    opens was meant for an earlier sitting, and no longer holds.  Extra time is added:
    ``"30 min"``, ``"2 d"``, ``"25 %"`` of the time from *opens on*, or several of them
    with a plus between.
    """
    return limit_of(sheet.hand_in_by, sheet.opens_on, student.other_date, student.extra_time)


def until(sheet: SheetRecord, student: Student) -> str:
    """Return until when a student hands in, as it is told them: their own date, in ISO form.

    Minutes at the table move no date.
    """
    if not (student.extra_time or student.other_date):
        return sheet.hand_in_by
    limit = deadline_for(sheet, replace(student, extra_time=days_of(student.extra_time)))
    return limit.replace(tzinfo=None, second=0).isoformat() if limit else sheet.hand_in_by


@lru_cache(maxsize=4096)
def limit_of(hand_in_by: str, opens_on: str, other_date: str, extra_time: str) -> datetime | None:
    """Return until when a sheet may come in, or None."""
    if other_date and opens_on:
        opens = parse_time(opens_on, end_of_day=False)
        other_date = other_date if parse_time(other_date) > opens else ""
    written = other_date or hand_in_by
    if not written:
        return None
    limit = parse_time(written)
    if not extra_time:
        return limit
    more = timedelta()
    for extra in _parts(extra_time):
        if extra.is_compatible_with(unit("s")):
            more += timedelta(seconds=float(extra.to("s").magnitude))
        elif opens_on:
            more += _share(extra) * (limit - parse_time(opens_on, end_of_day=False))
    return limit + more


def extra_minutes(extra_time: str, minutes: float) -> float:
    """Return the minutes by which a student may sit longer at the table.

    Parameters
    ----------
    extra_time : str
        Of the student; days in it are for handing in, and add no minutes.
    minutes : float
        What the paper takes.

    >>> extra_minutes("2 d + 15 min", 40), extra_minutes("25 %", 40)
    (15.0, 10.0)
    """
    more = 0.0
    for extra in _parts(extra_time):
        if not extra.is_compatible_with(unit("s")):
            more += _share(extra) * minutes
        elif extra < _DAY:
            more += float(extra.to("min").magnitude)
    return round(more, 6)


def days_of(extra_time: str) -> str:
    """Return an extra time without its minutes at the table.

    >>> days_of("2 d + 15 min")
    '2 d'
    """
    kept = [part.strip() for part in extra_time.split("+") if not extra_minutes(part, 0)]
    return " + ".join(kept)


def _parts(extra_time: str) -> list[Quantity]:
    """Return the parts of an extra time such as ``2 d + 15 min``."""
    return [read(part, None, "extra time") for part in extra_time.split("+") if part.strip()]


def _share(extra: Quantity) -> float:
    return float(extra.to("").magnitude)
