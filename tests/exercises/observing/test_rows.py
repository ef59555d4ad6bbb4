"""The rows of an observation sheet: few, plain, and with the numbers of the kitchen."""

import dataclasses
import math
import re

import pytest

from calculators.kitchen import Cake, example_kitchen
from calculators.units import q
from course.demo import FOLDER
from course.scheme.reading import read_scheme
from exercises.craft.method import method
from exercises.observing.rows import (
    JUDGEMENTS,
    MOST_IN_THE_POUR,
    MOST_ROWS,
    WHEN,
    Limits,
    bands,
    hold_said,
    rows,
    standards,
)
from exercises.questions.outcomes import outcomes

DEMO = read_scheme(FOLDER / "scheme.toml").as_kitchen()
PLAIN = dataclasses.replace(DEMO, jugs=DEMO.jugs[:1])
KITCHENS = {"demo": DEMO, "one colour": PLAIN, "example": example_kitchen()}
each_kitchen = pytest.mark.parametrize("kitchen", KITCHENS.values(), ids=KITCHENS)


@each_kitchen
def test_a_sheet_has_at_most_fourteen_rows_and_four_during_the_pour(kitchen):
    made = rows(kitchen)
    assert 10 <= len(made) <= MOST_ROWS == 14
    assert 1 <= sum(row.when == "pour" for row in made) <= MOST_IN_THE_POUR == 4
    assert len({row.id for row in made}) == len(made)
    order = [WHEN.index(row.when) for row in made]
    assert order == sorted(order)


@each_kitchen
def test_each_row_belongs_to_an_outcome_of_hands_and_to_a_step_of_the_method(kitchen):
    made = rows(kitchen)
    assert all(outcomes()[row.outcome].evidence == "do" for row in made)
    assert all(method().step(row.step) for row in made)
    # Each outcome that is claimed rests on two rows or more.
    for name in {row.outcome for row in made}:
        assert sum(row.outcome == name for row in made) >= 2


def test_every_outcome_of_hands_has_rows():
    assert {row.outcome for row in rows(DEMO)} == {
        key for key, one in outcomes().items() if one.evidence == "do"
    }


@each_kitchen
def test_a_row_is_one_act_with_a_plain_sight(kitchen):
    for row in rows(kitchen):
        assert not re.search(r"\b(properly|carefully|correctly|well|good)\b", row.says), row.id
        assert not re.search(r"\band\b", row.says), row.id
        assert "{" not in row.says + row.look
        assert row.look.endswith((".", "?"))


@each_kitchen
def test_a_row_holds_for_who_watches_and_for_who_is_watched(kitchen):
    """A student alone reads the same rows, and a letter tells them to who was watched."""
    for row in rows(kitchen):
        assert not re.search(r"\b(their|they|them|your|you)\b", row.says, re.IGNORECASE), row.id


def test_hygiene_burns_and_the_blade_are_hurdles():
    assert [row.id for row in rows(DEMO) if row.must] == ["hands", "water", "blade"]


def test_own_plan_and_own_judgement_are_rows():
    made = {row.id: row for row in rows(DEMO)}
    assert "plan" in made["plan"].says
    assert "before the observer speaks" in made["own eye"].says


def test_the_numbers_are_those_of_the_kitchen():
    kitchen = dataclasses.replace(
        DEMO, window_low=q(27, "degC"), window_high=q(29, "degC"), blade=q(3, "cm")
    )
    made = {row.id: row for row in rows(kitchen, Limits(cover=q(2, "cm")))}
    assert "27 °C to 29 °C" in made["window"].says
    assert "at least 5 cm deep" in made["blade"].look


def test_the_band_of_a_coat_is_area_times_coat_more_or_less():
    # Geometry, top and sides: cylinder 18 x 4.5 cm has 508.94 cm², dome of 7 cm 76.97 cm².
    found = {band.cake: band for band in bands(DEMO)}
    cylinder, dome = found["cylinder 18 cm × 4.5 cm"], found["dome 7 cm"]
    assert (cylinder.low, cylinder.high) == (
        math.floor(508.94 * 0.22 * 0.85),
        math.ceil(508.94 * 0.22 * 1.15),
    )
    assert (dome.low, dome.high, dome.together) == (14, 20, 1)


def test_small_cakes_are_weighed_together_where_the_scale_can_not_tell():
    # A dome keeps 16.9 g; two weighings on a scale of 5 g leave 10 g, and 15 % are 2.5 g.
    coarse = dataclasses.replace(DEMO, scale=q(5, "g"))
    dome = next(band for band in bands(coarse) if band.cake.startswith("dome"))
    assert dome.together == 4
    assert dome.high - dome.low >= 4 * 5


@each_kitchen
def test_the_standard_of_the_product_is_shown_in_at_most_three_plates(kitchen):
    made = rows(kitchen)
    shown = standards(kitchen, made)
    assert 2 <= len(shown) <= 3
    assert {one.row for one in shown} <= {row.id for row in made}
    assert shown[0].plate.state == "right"
    assert len({one.plate.id for one in shown}) == len(shown)


def test_a_glaze_of_one_colour_has_no_row_on_colours():
    made = rows(PLAIN)
    assert not any(row.outcome == "bench-marble" for row in made)
    assert {"foot", "surface"} <= {row.id for row in made}


def test_what_the_course_does_not_teach_is_not_looked_for():
    assert not any(r.outcome == "bench-boil" for r in rows(DEMO, without=("bench-boil",)))


def test_a_kitchen_without_a_coat_says_who_sets_the_band():
    bare = dataclasses.replace(DEMO, coat=None)
    assert "on the board" in next(r.says for r in rows(bare) if r.id == "coat")


def test_the_head_says_the_figure_of_the_school_or_to_ask():
    assert "at most 3 h in all" in hold_said(DEMO, Limits(hold=q(3, "h")))
    assert "ask" in hold_said(DEMO)


@pytest.mark.parametrize("region", ["US", "AU"])
def test_the_head_says_the_hours_of_the_law_by_which_its_log_is_judged(region):
    there = dataclasses.replace(DEMO, region=region)
    assert "4 h between 5 °C" in hold_said(there)  # Food Code 3-501.19; 2 h/4 h of Australia
    assert "ask whoever" not in hold_said(there)
    strict = hold_said(there, Limits(hold=q(3, "h")))
    assert "4 h between 5 °C" in strict
    assert "at most 3 h in all" in strict


def test_the_judgement_has_four_steps():
    assert len(JUDGEMENTS) == 4


def test_a_cake_of_another_shape_has_a_plate_of_the_same_kind_of_glaze():
    loaf = dataclasses.replace(
        PLAIN, cakes=(Cake("log", {"diameter": q(8, "cm"), "length": q(25, "cm")}, 2),)
    )
    assert standards(loaf, rows(loaf))[0].plate.state == "right"
