"""Times as the mark book writes them."""

from __future__ import annotations

from datetime import UTC, date, datetime, time

from calculators.faults import fault_error


def now() -> str:
    """Return this moment as the book writes it: ISO 8601, in UTC, to the second."""
    return datetime.now(UTC).isoformat(timespec="seconds")


def parse_time(value: str | date | datetime, *, end_of_day: bool = True) -> datetime:
    """Return a time with its zone; a plain date means the end of that day here.

    Parameters
    ----------
    value : str, date or datetime
        ``"2030-03-01"``, ``"2030-03-01 17:00"``; without a zone it is local time.
    end_of_day : bool
        Whether a plain date means its end, as in *hand in by*, or its beginning.
    """
    if isinstance(value, str):
        try:
            value = (
                date.fromisoformat(value.strip())
                if len(value.strip()) <= 10
                else datetime.fromisoformat(value.strip())
            )
        except ValueError:
            raise fault_error(
                "date", "is not a date", value, "", 'Write it like "2030-03-01 17:00"'
            ) from None
    if not isinstance(value, datetime):
        edge = time(23, 59, 59) if end_of_day else time(0)
        value = datetime.combine(value, edge)
    return value.astimezone() if value.tzinfo is None else value
