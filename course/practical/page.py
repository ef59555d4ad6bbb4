"""The plan of the practical as a page."""

from __future__ import annotations

import calendar
import datetime
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from calculators import safety
from calculators.units import Quantity, say
from course.practical.model import Plan
from exercises import look


def page(made: Plan) -> str:
    """Return a plan as one page of HTML that needs nothing else, and prints."""
    house = Environment(
        loader=FileSystemLoader(Path(__file__).parent),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    house.filters["say"] = say
    house.filters["clock"] = clock
    house.filters["money"] = _money
    house.filters["whole"] = _whole
    house.filters["weekday"] = _weekday
    return house.get_template("plan.html").render(
        plan=made,
        last_word=safety.last_word,
        tokens=Markup(look.TOKENS.read_text(encoding="utf-8")),
        sign=lambda hazard: Markup(look.sign(hazard)),
    )


def _weekday(day: datetime.date) -> str:
    return calendar.day_name[day.weekday()]


def _whole(temperature: Quantity) -> str:
    """Return a temperature in whole degrees, as a predicted one is said."""
    return say(temperature, places=0)


def _money(amount: Quantity) -> str:
    return say(amount, places=2)


def clock(minutes: Quantity) -> str:
    """Return minutes from the beginning as hours and minutes.

    >>> clock(q(75, "min"))
    '1:15'
    """
    whole = round(minutes.m_as("min"))
    return f"{whole // 60}:{whole % 60:02d}"
