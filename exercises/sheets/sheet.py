"""A student's sheet, and its public side: what is asked, and nothing of what is expected."""

from __future__ import annotations

import base64
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import lru_cache
from typing import Any

from calculators import safety
from calculators.units import symbol
from exercises.craft import plates
from exercises.questions.answer_boxes import boxes, key_of
from exercises.questions.outcomes import outcomes

FORMAT = 1
HANDIN_ENDING = ".handin.json"

# Which cautions stand on a sheet that asks about safety in a lesson.
_HAZARDS: Mapping[str, tuple[str, ...]] = {
    "what-can-hurt": ("hot-sugar", "stick-blender", "mains-wet"),
    "boiling": ("hot-sugar", "steam"),
    "crystals": ("hot-sugar",),
    "glucose-tub": ("hot-sugar",),
    "gelatin-care": ("hot-sugar",),
    "blending": ("stick-blender",),
    "colour-and-marbling": ("colourants",),
    "pour": ("freezer-cold", "slippery-floor"),
    "what-went-wrong": ("reuse",),
}


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
    questions : sequence of mapping
        As :func:`exercises.questions.building.build` returns them.
    opens_on, hand_in_by : str
        Dates in ISO form, of this student; empty where there is none.
    large, plain : bool
        Large print; plain print without ornament.
    cautions : sequence of mapping
        As :func:`cautions_for` returns them.
    name_units : bool
        Whether each part says in which unit it is asked: where another unit, or none,
        is marked as if that had been read.
    """

    token: str
    student: str
    title: str
    questions: Sequence[Mapping[str, Any]]
    opens_on: str = ""
    hand_in_by: str = ""
    large: bool = False
    plain: bool = False
    cautions: Sequence[Mapping[str, str]] = field(default_factory=tuple)
    name_units: bool = False

    @property
    def total(self) -> int:
        """The marks of the whole sheet."""
        return sum(part["total"] for each in self.questions for part in each["parts"])


# --- the public side of a sheet ----------------------------------------------------


def public(sheet: Sheet) -> dict[str, Any]:
    """Return what a student may see of a sheet, and nothing else.

    Every field is named here one by one: a new field of a question stays out of
    the student's files until somebody writes it down.
    """
    return {
        "token": sheet.token,
        "student": sheet.student,
        "title": sheet.title,
        "opens_on": say_date(sheet.opens_on),
        "hand_in_by": say_date(sheet.hand_in_by),
        "total": sheet.total,
        "look": " ".join(name for name in ("large", "plain") if getattr(sheet, name)),
        "cautions": [{k: c[k] for k in ("hazard", "do", "who")} for c in sheet.cautions],
        "questions": [
            {
                "number": n,
                "stem": question["stem"],
                "exhibit": _exhibit(question["exhibit"]),
                "parts": [_public_part(n, part, sheet.name_units) for part in question["parts"]],
            }
            for n, question in enumerate(sheet.questions, 1)
        ],
    }


def _public_part(n: int, part: Mapping[str, Any], name_units: bool) -> dict[str, Any]:
    prompt = str(part["prompt"])
    said = unit_asked(part) if name_units else ""
    return {
        "key": key_of(n, part["name"]),
        "kind": part["kind"],
        "prompt": f"{prompt} Give it in {said}." if said else prompt,
        "marks": marks_in_words(part),
        "fields": [
            {"key": key, "label": "" if box is part else _label(box, name_units)}
            for key, box in boxes(n, part)
        ],
        "options": [
            {"key": option["key"], "text": option["text"]} for option in part.get("options", ())
        ],
        "steps": list(part.get("steps", ())),
    }


def unit_asked(part: Mapping[str, Any]) -> str:
    """Return the unit that a part or a row is asked in; empty where it says so itself."""
    if part["kind"] != "quantity" or part["unit"] in ("", "dimensionless"):
        return ""
    said = "leaves" if part["unit"] == "leaf" else symbol(part["unit"])
    text = str(part.get("label") or part["prompt"])
    return "" if re.search(rf"\bin {re.escape(said)}(?!\w)", text) else said


def _label(row: Mapping[str, Any], name_units: bool) -> str:
    said = unit_asked(row) if name_units else ""
    return f"{row['label']}, in {said}" if said else str(row["label"])


def _exhibit(exhibit: Mapping[str, Any] | None) -> dict[str, Any] | None:
    if exhibit is None:
        return None
    return {
        "title": exhibit["title"],
        "head": exhibit["head"],
        "rows": exhibit["rows"],
        "svg": exhibit["svg"],
        "picture": _picture(exhibit["svg"]) if exhibit["svg"] else _photo(exhibit.get("plate")),
        "alt": exhibit["alt"],
    }


@lru_cache(maxsize=256)
def _photo(plate: str | None) -> str:
    if not plate:
        return ""
    data = plates.plate(plate).file().read_bytes()
    return "data:image/webp;base64," + base64.b64encode(data).decode()


@lru_cache(maxsize=256)
def _picture(svg: str) -> str:
    return "data:image/svg+xml;base64," + base64.b64encode(svg.encode()).decode()


def marks_in_words(part: Mapping[str, Any]) -> str:
    """Return a part's marks as they stand behind its prompt.

    >>> marks_in_words({"total": 3, "marks": {"value": 2, "unit": 1}})
    '3 marks: 2 value, 1 unit'
    """
    total = part["total"]
    said = "1 mark" if total == 1 else f"{total} marks"
    split = part.get("marks", {})
    if len(split) > 1:
        said += ": " + ", ".join(f"{n} {name}" for name, n in split.items())
    return said


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
    try:
        date.fromisoformat(text)
    except ValueError:
        return f"{day}, {when:%H:%M}"
    return day


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
    questions: Iterable[Mapping[str, Any]],
    local_rules: safety.HasLocalRules | None = None,
) -> list[dict[str, str]]:
    """Return the cautions that belong on a sheet with these questions.

    A question with the tag of safety brings the hazards of its lesson.  First aid
    stays off the sheet: it may be what is asked.
    """
    lessons = [outcomes()[e["outcome"]].lesson for e in questions if e["safety"]]
    names = dict.fromkeys(name for each in lessons for name in _HAZARDS.get(each, ()))
    who = safety.last_word(local_rules)
    return [
        {"hazard": c.hazard, "do": " ".join((c.happens, *c.act)), "who": who}
        for c in map(safety.caution, names)
    ]
