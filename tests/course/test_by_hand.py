"""Worked, faded, alone: each outcome that is worked out has a sum whose end is left open."""

from __future__ import annotations

import re

import pytest

from calculators.faults import FaultsError
from course.live import by_hand, forms
from course.live.answers import Answers
from course.making.blocks import setting_of
from course.making.lessons import BLOCK, LESSONS
from course.scheme.reading import read_scheme
from exercises.questions.outcomes import outcomes
from exercises.questions.registry import bank
from tests.browser.pages import DEMO

SUMS = [
    (path.stem, block["words"].strip())
    for path in sorted(LESSONS.glob("*.md"))
    for block in BLOCK.finditer(path.read_text(encoding="utf-8"))
    if block["name"] == "byhand"
]
every_sum = pytest.mark.parametrize("ident", sorted({ident for _, ident in SUMS}))


@pytest.fixture(scope="module")
def answers() -> Answers:
    return Answers(setting_of(read_scheme(DEMO)))


def written(one: by_hand.Sum) -> dict[str, str]:
    """Return what a student writes who has worked it out."""
    return {
        f"1{part.name}": part.shown if part.name.startswith("s") else part.exact_answer()
        for part in one.open.values()
    }


def test_every_outcome_that_is_worked_out_is_faded_in_its_own_lesson_before_its_practice() -> None:
    faded = {(slug, bank()[ident].outcome) for slug, ident in SUMS}
    wanted = {(o.lesson, o.id) for o in outcomes().values() if o.evidence == "calculate"}
    assert wanted <= faded
    for slug, ident in SUMS:
        text = (LESSONS / f"{slug}.md").read_text(encoding="utf-8")
        same = [
            block.start()
            for block in BLOCK.finditer(text)
            if block["name"] == "practice"
            and bank()[block["words"].strip()].outcome == bank()[ident].outcome
        ]
        assert text.index(f"{{byhand}} {ident}\n") < min(same), (
            f"{ident} has nothing alone after it"
        )


@every_sum
def test_a_sum_with_its_end_left_open_is_marked_in_every_set_of_numbers(
    answers: Answers, ident: str
) -> None:
    for leave in (1, 2):
        for number in range(1, 7):
            one = answers.by_hand(ident, leave, number)
            given = written(one)
            assert len(given) == leave
            name = by_hand.name(ident, leave)
            told = answers.judge(name, number, given)["verdicts"]
            assert {key: v["word"] for key, v in told.items()} == dict.fromkeys(given, "agrees")
            wrong = {key: "7777777 g" for key in given}
            told = answers.judge(name, number, wrong)["verdicts"]
            assert not {v["word"] for v in told.values()} & {"agrees", "not answered yet"}


@every_sum
def test_what_is_left_open_is_nowhere_told(answers: Answers, ident: str) -> None:
    for leave in (1, 2):
        one = answers.by_hand(ident, leave)
        html = by_hand.asked_html(one)
        assert html.count("<input") == html.count("data-verdict=") == leave
        shown = re.sub(r"<[^>]*>", " ", html.partition('<ol class="sum">')[2])
        for part in one.open.values():
            number = part.shown.split()[0]
            inputs = " ".join(step.put_in for _, taken in one.parts for step in taken)
            if f" {number} " not in f" {inputs} " or part.name.startswith("s"):
                assert not re.search(rf"(?<![\d.]){re.escape(number)}(?![\d.])", shown), number


def test_the_same_sum_never_has_the_numbers_of_its_question(answers: Answers) -> None:
    stems = {leave: answers.by_hand("gelatin-swap-powder", leave).html() for leave in (0, 1, 2)}
    plain = answers.practice("gelatin-swap-powder", 1)["html"]
    assert len({*stems.values(), plain}) == 4


def test_a_number_on_the_way_may_be_rounded_and_have_its_unit(answers: Answers) -> None:
    one = answers.by_hand("pour-when", 2)
    key = next(f"1{part.name}" for part in one.open.values() if part.name.startswith("s"))
    value = next(part for part in one.open.values() if part.name.startswith("s")).answer
    for text, word in (
        (f"{value:.3g}", "agrees"),
        (f"{value:.3g} min", "agrees"),
        ("1", "look again"),
    ):
        told = answers.judge(by_hand.name("pour-when", 2), 1, {key: text})
        assert told["verdicts"][key]["word"] == word


def test_a_sum_stands_worked_in_the_notebook(answers: Answers) -> None:
    text = answers.by_hand("gelatin-swap-powder", 0).text()
    assert text.startswith("**By hand.** A formula asks for")
    assert "yours = what they weigh × √(their bloom ÷ your bloom)" in text
    assert re.search(r"\n= \d+ × √[\d.]+  \n= \d+ × [\d.]+  \n= [\d.]+ g", text)


@pytest.mark.parametrize(
    ("ident", "body", "says"),
    [
        ("gelatin-swap-powder", "leave: 3", "from 0 to 2"),
        ("gelatin-swap-powder", "end: 1", "leave: and a number"),
        ("gelatin-which-rule", "", "can't be taken apart"),
    ],
)
def test_a_block_that_can_not_be_is_refused_when_it_is_built(
    answers: Answers, ident: str, body: str, says: str
) -> None:
    with pytest.raises(FaultsError, match=re.escape(says)):
        forms.by_hand_html(answers, ident, body, live=True)
