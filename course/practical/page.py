"""The plan of the practical as a page."""

from __future__ import annotations

import calendar
from collections.abc import Callable
from functools import partial
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined, Template
from markupsafe import Markup

from calculators import safety
from calculators.units import Quantity, say
from course.practical.model import Plan
from exercises import look

# The rows of a station's log.
LOG = (
    "into the fridge, day before",
    "out of the fridge",
    "warm",
    "blended",
    "sieved",
    "in the window",
    "first pour",
    "last pour",
    "left over into the cold",
    "out of the cold in all, both days",
    "",
    "",
    "",
)


def page(made: Plan) -> str:
    """Return a plan as one page of HTML that needs nothing else, and prints."""
    house = template(
        "plan.html",
        clock=clock,
        whole=partial(say, places=0),
        weekday=lambda day: calendar.day_name[day.weekday()],
    )
    return house.render(
        plan=made,
        scheme=made.scheme,
        rules=made.scheme.local_rules,
        region=safety.REGIONS[made.scheme.region],
        log=LOG,
        last_word=safety.last_word,
        sign=lambda hazard: Markup(look.sign(hazard)),
    )


def template(name: str, **filters: Callable[..., str]) -> Template:
    """Return a template of this folder; it knows the common look, and says quantities and money."""
    house = Environment(
        loader=FileSystemLoader(Path(__file__).parent),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    house.filters.update(filters, say=say, money=partial(say, places=2))
    house.globals["tokens"] = Markup(look.TOKENS.read_text(encoding="utf-8"))
    return house.get_template(name)


def clock(minutes: Quantity) -> str:
    """Return minutes from the beginning as hours and minutes.

    >>> clock(q(75, "min"))
    '1:15'
    """
    whole = round(minutes.m_as("min"))
    return f"{whole // 60}:{whole % 60:02d}"
