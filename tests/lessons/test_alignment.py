"""Each outcome that a sheet can ask is taught, practised, brought back and assessed.

``python -m tests.lessons.test_alignment`` prints the table.
"""

from __future__ import annotations

import re
from collections import Counter
from typing import NamedTuple

import pytest

from course.lessons.modules import modules
from course.lessons.ways import ways
from course.live.returning import IN_AN_OPENING, IN_THE_CHECK, STEPS_BACK, Returning, minutes
from course.making.lessons import lessons_of
from course.scheme.reading import read_scheme
from exercises.questions.outcomes import outcomes
from exercises.questions.registry import bank
from tests.browser.pages import DEMO
from tests.lessons.test_text import LESSONS, WORDS_A_MINUTE, headings, sentences, word_count

ON_SHEETS = [one.id for one in outcomes().values() if one.evidence != "do"]
RETURNING = Returning(lessons_of(list(modules())))


class Line(NamedTuple):
    """One outcome: where it is taught, how often it comes up."""

    outcome: str
    evidence: str
    taught: str
    practised: int
    back: int
    assessed: int


def table() -> list[Line]:
    """Return the alignment of the course, counted from its files."""
    back = Counter(
        asked.outcome
        for asked in [
            *(one for some in RETURNING.openings.values() for one in some),
            *(one for some in RETURNING.mixed.values() for one in some),
            *RETURNING.self_test,
        ]
    )
    lines = []
    for key in ON_SHEETS:
        row = outcomes()[key]
        own = [one for one in bank().values() if one.outcome == key and not one.private]
        lesson = LESSONS[row.lesson]
        lines.append(
            Line(
                key,
                row.evidence,
                ways()[key].see if key in lesson.outcomes else "",
                sum(bank()[name].outcome == key for name in lesson.practised),
                back[key],
                sum(one.use != "practice" for one in own),
            )
        )
    return lines


@pytest.mark.parametrize("line", table(), ids=lambda line: line.outcome)
def test_each_outcome_is_taught_practised_brought_back_twice_and_assessed(line: Line) -> None:
    lesson = LESSONS[outcomes()[line.outcome].lesson]
    assert line.taught in headings(lesson), "the claim that teaches it is no heading of its lesson"
    assert line.practised >= 1
    assert line.back >= 2
    assert line.assessed >= 2  # a claim needs evidence twice


def test_each_way_is_one_of_a_kind_and_gives_no_number() -> None:
    assert list(ways()) == sorted(ways(), key=list(ways()).index)
    assert set(ways()) == set(ON_SHEETS)
    assert len({one.way for one in ways().values()}) == len(ways())
    for one in ways().values():
        assert not re.search(r"\d", one.way)
        assert len(one.way) < 90


# --- what comes back where -----------------------------------------------------------------


def test_a_lesson_asks_for_what_stood_one_three_and_six_lessons_before() -> None:
    slugs = list(LESSONS)
    assert set(RETURNING.openings) == set(slugs[1:])
    for place, slug in enumerate(slugs):
        if not place:
            continue
        asked = RETURNING.openings[slug]
        assert len(asked) == IN_AN_OPENING
        assert len({one.outcome for one in asked}) == IN_AN_OPENING
        homes = {slugs.index(outcomes()[one.outcome].lesson) for one in asked}
        assert max(homes) < place
        assert {place - back for back in STEPS_BACK if back <= place} <= homes, slug


def test_what_comes_back_is_of_the_practice_with_numbers_of_its_own() -> None:
    shown = {name for lesson in LESSONS.values() for name in lesson.practised}
    asked = [
        *(one for some in RETURNING.openings.values() for one in some),
        *(one for some in RETURNING.mixed.values() for one in some),
        *RETURNING.start_check,
        *RETURNING.self_test,
        *(one for some in RETURNING.again.values() for one in some),
    ]
    assert {one.question for one in asked} <= shown
    assert all(one.number > 1 for one in asked)
    assert all(bank()[one.question].outcome == one.outcome for one in asked)


def test_a_mixed_set_holds_its_own_module_and_an_earlier_one_in_no_order() -> None:
    kinds = list(modules())
    for place, (key, asked) in enumerate(RETURNING.mixed.items()):
        homes = [LESSONS[outcomes()[one.outcome].lesson].module for one in asked]
        assert len(asked) >= 5
        assert len({one.outcome for one in asked}) == len(asked)
        assert homes.count(key) >= 3
        assert all(kinds.index(home) <= place for home in homes)
        assert place == 0 or len(set(homes)) > 1
        for one in asked:
            others = RETURNING.others(one)
            assert len(set(others) - {one.outcome}) == 3
    orders = [
        [list(outcomes()).index(one.outcome) for one in some] for some in RETURNING.mixed.values()
    ]
    assert sum(one == sorted(one) for one in orders) <= 1


def test_the_start_check_asks_for_twelve_lessons_and_the_self_test_for_all() -> None:
    lessons = [outcomes()[one.outcome].lesson for one in RETURNING.start_check]
    assert len(lessons) == len(set(lessons)) == IN_THE_CHECK
    assert not {"what-can-hurt", "make-it"} & set(lessons)
    assert sorted(one.outcome for one in RETURNING.self_test) == sorted(ON_SHEETS)


def test_a_course_of_few_modules_asks_for_nothing_that_it_does_not_teach() -> None:
    few = Returning(lessons_of(["kitchen", "gelatin"]))
    taught = {key for lesson in few.lessons for key in lesson.outcomes}
    asked = [
        *(one for some in few.openings.values() for one in some),
        *(one for some in few.mixed.values() for one in some),
        *few.start_check,
        *few.self_test,
    ]
    assert {one.outcome for one in asked} == taught
    assert len({one.outcome for one in few.start_check}) == len(few.start_check) == 9


def test_an_own_lesson_without_practice_brings_nothing_back(tmp_path) -> None:
    (tmp_path / "lemon.md").write_text(
        "---\ntitle: Why lemon?\nmodule: syrup\nminutes: 20\noutcomes: [syrup-strength]\n"
        "kernelspec: {name: python3}\n---\n# Why lemon?\n",
        encoding="utf-8",
    )
    own = Returning(lessons_of(["kitchen", "syrup"], tmp_path))
    assert [one.slug for one in own.lessons][-1] == "lemon"
    assert len(own.openings["lemon"]) == IN_AN_OPENING


@pytest.mark.parametrize("slug", LESSONS)
def test_bringing_back_reading_and_practice_fit_in_the_minutes_promised(slug: str) -> None:
    lesson = LESSONS[slug]
    words = sum(map(word_count, sentences(lesson)))
    asked = RETURNING.openings.get(slug, [])
    reading = lesson.minutes - lesson.practice_minutes - minutes(asked)
    assert words / WORDS_A_MINUTE <= reading


# --- two wrong choices don't get the same words -----------------------------------------------


@pytest.mark.parametrize("slug", LESSONS)
def test_two_wrong_choices_do_not_get_the_same_words(slug: str) -> None:
    from course.live.answers import Answers
    from course.making.blocks import setting_of

    answers = Answers(setting_of(read_scheme(DEMO)))
    same = []
    for name in LESSONS[slug].practised:
        for number in (1, 2, 100):
            for part in answers.asked(name, number).parts:
                if part.kind == "choice":
                    said = [one.says for one in part.options if one.key not in part.right]
                    if len(set(said)) < len(said) or not all(said):
                        same.append((name, number, part.name))
    assert same == []


if __name__ == "__main__":
    for line in table():
        print(  # noqa: T201
            f"{line.outcome:20}{line.evidence:10}practised {line.practised}  back {line.back}  "
            f"assessed {line.assessed}  {line.taught}"
        )
