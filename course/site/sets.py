"""Pages and places where questions come back, as templates and the reader's browser take them."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from markupsafe import Markup, escape

from course.lessons.ways import ways
from course.live import forms
from course.live.answers import Answers
from course.live.returning import Asked, Returning, minutes
from course.making.lessons import Lesson
from exercises.questions.outcomes import outcomes

START, TEST = "sets/start-check", "sets/self-test"
TITLES = {START: "Start check", TEST: "Self-test"}


@dataclass
class Sets:
    """Everything that comes back in a course, made into HTML.

    Parameters
    ----------
    chosen : sequence of Lesson
        The lessons of the course.
    answers : Answers
        Who asks for this kitchen.
    live : bool
        Whether the site has the runtime.
    """

    chosen: Sequence[Lesson]
    answers: Answers
    live: bool
    pages: dict[str, dict[str, Any]] = field(init=False)

    def __post_init__(self) -> None:
        self._returning = Returning(self.chosen)
        self._lessons = {key: one for one in self.chosen for key in one.outcomes}
        self.pages = {}
        start, test = self._returning.start_check, self._returning.self_test
        if start:
            self.pages[START] = self._page(TITLES[START], "check", start)
        for place, (key, asked) in enumerate(self._returning.mixed.items(), 1):
            if len(asked) > 1:
                title = f"Part {place}, mixed"
                page = self._page(title, "mixed", asked)
                self.pages[f"sets/mixed-{key}"] = page | {"module": key}
        if test:
            self.pages[TEST] = self._page(TITLES[TEST], "test", test)

    def mixed_after(self) -> dict[str, dict[str, Any]]:
        """Return the mixed set that follows the last lesson of a module, by that lesson's page."""
        last = {one.module: f"lessons/{one.slug}" for one in self.chosen}
        return {
            last[page["module"]]: {"doc": doc, **page}
            for doc, page in self.pages.items()
            if page["kind"] == "mixed"
        }

    def opening(self, slug: str) -> list[dict[str, Any]]:
        """Return the questions at the head of a lesson."""
        return [
            self._one(asked, "back", place)
            for place, asked in enumerate(self._returning.openings.get(slug, ()), 1)
        ]

    def opening_minutes(self, slug: str) -> int:
        """Return how long the questions at the head of a lesson take."""
        return minutes(self._returning.openings.get(slug, ()))

    @cached_property
    def again(self) -> tuple[str, bytes]:
        """The name of the script that holds each question with numbers of its own, and the script."""
        held = {
            key: [[one.question, str(self._one(one, "back", 0)["card"])] for one in asked]
            for key, asked in self._returning.again.items()
        }
        text = json.dumps(held, ensure_ascii=False, sort_keys=True).replace("</", "<\\/")
        data = f"glossbook.again({text});\n".encode()
        return f"again-{hashlib.sha256(data).hexdigest()[:12]}.js", data

    def _page(self, title: str, kind: str, asked: Sequence[Asked]) -> dict[str, Any]:
        return {
            "title": title,
            "kind": kind,
            "minutes": minutes(asked) + (len(asked) if kind == "mixed" else 0),
            "count": len(asked),
            "asked": [self._one(one, kind, place) for place, one in enumerate(asked, 1)],
        }

    def _one(self, asked: Asked, place: str, number: int) -> dict[str, Any]:
        lesson = self._lessons[asked.outcome]
        card = forms.practice_html(
            self.answers,
            asked.question,
            live=self.live,
            number=asked.number,
            place=place,
            label=f"Question {number}" if number else f"A question from: {lesson.title}",
        )
        return {
            "outcome": asked.outcome,
            "wording": outcomes()[asked.outcome].wording,
            "doc": f"lessons/{lesson.slug}",
            "title": lesson.title,
            "card": Markup(card),
            "ways": self._ways(asked) if place == "mixed" else "",
        }

    def _ways(self, asked: Asked) -> Markup:
        """Return the ways to choose from before a question is answered, the right one among them.

        What is said of a wrong one is what it is the way to.
        """
        if asked.outcome not in ways():
            return Markup("")
        keys = sorted(
            [asked.outcome, *self._returning.others(asked)],
            key=lambda key: hashlib.sha256(f"{asked.question}{key}".encode()).digest(),
        )
        options = "".join(
            f'<label class="gb-option"><input type="radio" form="none" name="way-{asked.question}" '
            f'value="{key}" data-wording="{escape(outcomes()[key].wording)}">'
            f"<span>{escape(ways()[key].way)}</span></label>"
            for key in keys
        )
        return Markup(
            f'<fieldset class="gb-part gb-ways"><legend>Which way do you take?</legend>'
            f'<div class="gb-options">{options}</div></fieldset>'
            '<p class="gb-way-says" role="status"></p>'
        )
