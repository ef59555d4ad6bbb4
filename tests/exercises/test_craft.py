"""The method: each step has what a bench needs, each shape one stroke."""

import math

import pytest

from calculators import coating, safety
from calculators.units import q
from course.lessons.modules import modules
from course.practical.model import HANDS
from exercises.craft.method import MASSES, TEMPERATURES, method

STEPS = (*method().day_before, *method().day)


@pytest.mark.parametrize("step", STEPS, ids=lambda step: step.id)
def test_a_step_names_what_there_is(step):
    assert set(step.caution) <= set(safety.cautions())
    assert set(step.mass) <= set(MASSES)
    assert step.lesson in {name for module in modules().values() for name in module.lessons}
    assert step.temperature in ("", *TEMPERATURES) or step.degrees.check("[temperature]")
    assert step.does
    assert step.ready
    assert sum(map(len, step.does)) <= 190  # or a card has no room for it


def test_steps_are_numbered_from_one_on_each_day_and_have_ids_of_their_own():
    for day in (method().day_before, method().day):
        assert [step.number for step in day] == list(range(1, len(day) + 1))
    assert len({step.id for step in STEPS}) == len(STEPS)


def test_each_shape_of_cake_has_one_stroke():
    assert set(method().strokes) == {*coating.SHAPES, coating.OTHER}


def test_each_dispute_gives_both_sides_and_a_choice():
    assert len(method().disputes) == 6
    for dispute in method().disputes:
        assert all((dispute.about, dispute.one, dispute.other, dispute.we))


def test_a_stream_from_thirty_centimetres_lands_more_than_twice_as_fast():
    # v = sqrt(2 g h): 2.43 m/s from 30 cm, 0.99 m/s from 5 cm.
    fast, slow = (math.sqrt(2 * 9.81 * h) for h in (0.30, 0.05))
    assert fast / slow > 2
    assert "more than twice" in method().disputes[1].other


@pytest.mark.parametrize(
    ("step", "hands"),
    [
        ("begin", "briefing"),
        ("blend again", "blend"),
        ("rest", "rest"),
        ("colour", "colour"),
        ("layer", "layer"),
        ("trial", "trial"),
        ("frost", "frost"),
        ("pour", "pour each"),
        ("move", "move"),
        ("left over", "left over"),
        ("clean", "clean"),
    ],
)
def test_minutes_of_hands_are_those_of_the_plan(step, hands):
    assert method().step(step).minutes == q(HANDS[hands], "min")
