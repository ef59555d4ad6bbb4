"""A student's sheet, and its public side: what is asked, and nothing of what is expected."""

from __future__ import annotations

import base64
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import lru_cache
from math import ceil
from typing import Any

from calculators import safety
from exercises.craft import plates
from exercises.questions.outcomes import outcomes
from exercises.questions.parts import DrawnQuestion, Exhibit

FORMAT = 1


@dataclass(frozen=True)
class Sheet:
    """One student's sheet of one paper.

    Parameters
    ----------
    token : str
        Unguessable; letters, digits and hyphens.
    student : str
        The name, as it is printed.
    title : str
        The paper's title.
    questions : sequence of DrawnQuestion
        As :func:`exercises.questions.building.build` returns them.
    opens_on, hand_in_by : str
        Dates in ISO form, of this student; empty where there is none.
    large, plain, words : bool
        Large print; plain print without ornament; pictures told in words.
    extra : float
        The minutes by which this student may sit longer.
    cautions : sequence of mapping
        As :func:`cautions_for` returns them.
    rule : str
        How the paper is passed, in a student's words.
    minutes : float
        What all questions take; 0 where nobody has counted.
    name_units : bool
        Whether each part says in which unit it is asked: where another unit, or none,
        is marked as if that had been read.
    file : str
        What its files are called, without their ending; the token where it is empty.
    """

    token: str
    student: str
    title: str
    questions: Sequence[DrawnQuestion]
    opens_on: str = ""
    hand_in_by: str = ""
    large: bool = False
    plain: bool = False
    words: bool = False
    extra: float = 0
    cautions: Sequence[Mapping[str, str]] = field(default_factory=tuple)
    name_units: bool = False
    rule: str = ""
    minutes: float = 0
    file: str = ""

    @property
    def total(self) -> int:
        """The marks of the whole sheet."""
        return sum(each.total for each in self.questions)


# --- the public side of a sheet ----------------------------------------------------


def public(sheet: Sheet) -> dict[str, Any]:
    """Return what a student may see of a sheet, and nothing else.

    Every field is named one by one, those of a part in its own module: a new field
    stays out of the student's files until somebody writes it down.
    """
    return {
        "token": sheet.token,
        "student": sheet.student,
        "title": sheet.title,
        "opens_on": say_date(sheet.opens_on),
        "hand_in_by": say_date(sheet.hand_in_by),
        "total": sheet.total,
        "time": f"about {sheet.minutes:.0f} minutes" if sheet.minutes else "",
        "extra": _said_extra(sheet),
        "rule": sheet.rule,
        "look": " ".join(name for name in ("large", "plain") if getattr(sheet, name)),
        "cautions": [{k: c[k] for k in ("hazard", "do", "who")} for c in sheet.cautions],
        "questions": [
            {
                "number": n,
                "stem": question.stem,
                "exhibit": exhibit_shown(question.exhibit, sheet.words),
                "parts": [part.public(n, sheet.name_units) for part in question.parts],
            }
            for n, question in enumerate(sheet.questions, 1)
        ],
    }


def _said_extra(sheet: Sheet) -> str:
    if not sheet.extra:
        return ""
    more = ceil(sheet.extra)
    in_all = f", {ceil(sheet.minutes + sheet.extra)} in all" if sheet.minutes else ""
    return f"{more} {'minute' if more == 1 else 'minutes'} more{in_all}"


def exhibit_shown(exhibit: Exhibit | None, words: bool = False) -> dict[str, Any] | None:
    """Return an exhibit as a page shows it: its table, and its picture or what it shows.

    Parameters
    ----------
    exhibit : Exhibit or None
        The exhibit, if there is one.
    words : bool
        For a student who can't see pictures: what it shows, as text.
    """
    if exhibit is None:
        return None
    picture = _picture(exhibit.svg, exhibit.plate)
    return {
        **exhibit.to_json(),
        "picture": "" if words else picture,
        "words": exhibit.alt if words and picture else "",
    }


@lru_cache(maxsize=256)
def _picture(svg: str, plate: str) -> str:
    if svg:
        return in_page("svg+xml", svg.encode())
    return in_page("webp", plates.plate(plate).file().read_bytes()) if plate else ""


def in_page(kind: str, data: bytes) -> str:
    """Return the address of a picture that stands in the page itself.

    >>> in_page("webp", b"abc")
    'data:image/webp;base64,YWJj'
    """
    return f"data:image/{kind};base64,{base64.b64encode(data).decode()}"


def say_date(text: str) -> str:
    """Return a date or a time in ISO form as it is said; other text as it is.

    >>> say_date("2027-03-01"), say_date("2027-03-01T12:00")
    ('Monday 1 March 2027', 'Monday 1 March 2027, 12:00')
    """
    try:
        when = datetime.fromisoformat(text)
    except ValueError:
        return text
    day = f"{_DAYS[when.weekday()]} {when.day} {_MONTHS[when.month - 1]} {when.year}"
    return f"{day}, {when:%H:%M}" if len(text) > len("2027-03-01") else day


_DAYS = (
    "Monday",
    "Tuesday",
    "Wednesday",
    "Thursday",
    "Friday",
    "Saturday",
    "Sunday",
)
_MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def cautions_for(
    questions: Iterable[DrawnQuestion],
    local_rules: safety.HasLocalRules | None = None,
) -> list[dict[str, str]]:
    """Return the cautions that belong on a sheet with these questions.

    A question with the tag of safety brings the hazards of its outcome.  First aid
    stays off the sheet: it may be what is asked.
    """
    asked = [outcomes()[one.outcome] for one in questions if one.safety]
    names = dict.fromkeys(name for outcome in asked for name in outcome.hazards)
    who = safety.last_word(local_rules)
    return [
        {"hazard": c.hazard, "do": " ".join((c.happens, *c.act)), "who": who}
        for c in map(safety.caution, names)
    ]
