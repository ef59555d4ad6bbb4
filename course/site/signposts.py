"""Where on a site each outcome is taught and practised, for those who point there."""

from __future__ import annotations

from functools import cache

from docutils.nodes import make_id

from course.lessons.modules import modules
from course.making.lessons import lessons_of
from exercises.questions.outcomes import outcomes
from exercises.questions.registry import bank
from exercises.reports.signposts import Signposts, Taught


@cache
def taught() -> dict[str, Taught]:
    """Return where each outcome is taught and practised, whatever modules a scheme takes."""
    found = {}
    for lesson in lessons_of(list(modules())):
        page = f"lessons/{lesson.slug}.html"
        for outcome in outcomes().values():
            if outcome.lesson != lesson.slug:
                continue
            found[outcome.id] = Taught(
                lesson.title,
                outcome.taught,
                f"{page}#{make_id(outcome.taught)}",
                {
                    name: f"{page}#practice-{name}"
                    for name in lesson.practised
                    if name in bank() and bank()[name].outcome == outcome.id
                },
            )
    return found


def signposts(site: str = "") -> Signposts:
    """Return the signposts to a site, given by its address or its folder."""
    return Signposts(taught(), site)
