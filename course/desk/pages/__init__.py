"""The pages of the desk, a module for each part of the job."""

from __future__ import annotations

from course.desk.pages import (
    corrections,
    course,
    keeping,
    labels,
    matters,
    papers,
    pictures,
    pile,
    practical,
    questions,
    results,
    scheme,
    today,
)

BLUEPRINTS = (
    today.pages,
    scheme.pages,
    labels.pages,
    pictures.pages,
    course.pages,
    papers.pages,
    questions.pages,
    pile.pages,
    matters.pages,
    results.pages,
    corrections.pages,
    practical.pages,
    keeping.pages,
)
