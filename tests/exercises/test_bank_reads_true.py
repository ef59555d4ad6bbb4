"""What the bank says is true of what it shows: stems, other options, hints and worked sums."""

from __future__ import annotations

import re

import pytest

from exercises.craft.method import method
from exercises.questions.bank.make import CAKES
from exercises.questions.building import build
from exercises.questions.registry import bank
from tests.exercises.test_bank import KITCHEN

BANK = bank()


def drawn(name: str, count: int = 40):
    """Return a question drawn again and again."""
    return [build(BANK[name], f"{name} {n}", KITCHEN) for n in range(count)]


# --- the method -----------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["make-look-words", "make-look-before", "make-look-day"])
def test_a_look_is_something_to_be_seen_and_not_the_verdict_or_the_mend(name):
    seen = {asked.stem.partition("What you see: ")[2].rstrip(".") for asked in drawn(name, 200)}
    assert len(seen) > 12
    for words in seen:
        assert not re.search(
            r"\b(too (warm|cold|hot|much)|loses|wait|warm the)\b", words, re.IGNORECASE
        ), words
        assert "." not in words, words
        assert words not in ("Thin", "Far above")


def test_no_other_stop_of_a_stroke_holds_for_the_shape_too():
    """A foot that is closed all round is how a cylinder and a dome both look at the end."""
    strokes = method().strokes
    assert "rim" in strokes["cylinder"].stops
    assert "crown" in strokes["dome"].stops
    closed = [n for n in CAKES if strokes[n].stops.startswith("The foot is closed all round")]
    assert closed == []


@pytest.mark.parametrize(
    ("name", "day", "first"),
    [("make-order-after", "day_before", 1), ("make-order-next", "day", 1)],
)
def test_a_step_that_is_done_is_not_said_to_need_more(name, day, first):
    titles = [step.title for step in getattr(method(), day)[first:] if step.id != "others"]
    earlier = 0
    for asked in drawn(name):
        (part,) = asked.parts
        done = part.prompt.partition("just done this: ")[2].partition(". It looks")[0]
        for option in part.options:
            if option.key not in part.right:
                before = titles.index(option.text) < titles.index(done)
                earlier += before
                assert ("needs more than this step leaves" in option.says) != before, option
    assert earlier


def test_steps_that_could_be_exchanged_are_asked_as_the_method_has_them():
    for name in ("make-order-before", "make-order-day", "make-order-night", "make-order-pour"):
        assert "as the method of this course has them" in drawn(name, 1)[0].stem


def test_nothing_is_weighed_between_the_frost_and_the_stream():
    """The frost comes off seconds before the pour, by the method's own step."""
    for asked in drawn("make-stroke-order", 5):
        (part,) = asked.parts
        steps = [part.steps[place - 1] for place in part.right]
        assert steps[0] == "Wipe the frost off"
        assert not any(step.startswith("Weigh") for step in steps)
