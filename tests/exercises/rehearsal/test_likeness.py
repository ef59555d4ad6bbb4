"""The plate that a cake looks most like: ends made by hand, as a pastry cook would name them."""

from __future__ import annotations

from typing import Any

import pytest

from exercises.craft import plates
from exercises.rehearsal.likeness import NEAR, Likeness, nearest, rows_of_plate
from exercises.rehearsal.log import begin
from exercises.rehearsal.state import Cakes, State
from tests.exercises.rehearsal.kitchens_of_rehearsal import KITCHEN, careful, played

CONDITIONS = begin(KITCHEN).conditions
# A cake as it should be; what is wrong is put in by each test.
GOOD: dict[str, Any] = {
    "poured": True, "coat": 0.25, "top": 1.6, "rim": 0.9, "foot": 1.2, "waves": 20.0,
    "covered": 100.0, "sets_after": 60.0, "tapped": True, "trimmed": True, "plated": True,
}  # fmt: skip


def like(**wrong: Any) -> Likeness:
    end = State(cakes=Cakes(**{**GOOD, **wrong}))
    found = nearest(end, CONDITIONS)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("state", "wrong"),
    [
        ("right", {}),
        ("dull", {"streaks": 0.8}),
        ("pits", {"air": 18.0}),
        ("thin rim", {"coat": 0.13, "rim": 0.1}),
        ("waves", {"coat": 0.4, "waves": 85.0, "foot": 5.5}),
        ("slid", {"under": 15.0}),
        ("lumps", {"specks": 0.4}),
        ("drips", {"trimmed": False}),
    ],
)
def test_an_end_made_by_hand_is_nearest_to_the_plate_that_a_cook_would_name(
    state: str, wrong: dict[str, Any]
) -> None:
    assert like(**wrong).plate.state == state


def test_a_cake_as_it_should_be_is_near_and_one_that_is_bare_is_near_to_none() -> None:
    assert like().near
    assert like().distance == 0
    assert not like(covered=40.0).near
    pitted = like(air=2.6)  # seen, and still nearer to no pits than to the plate's many
    assert pitted.plate.state == "right"
    assert not pitted.near
    worst = like(covered=40.0, streaks=0.9, marble=3.0, under=60.0)
    assert worst.distance > 2 * NEAR


def test_the_distance_grows_as_a_fault_grows_and_is_the_sum_of_what_is_apart() -> None:
    far = [like(marble=1 + m).distance for m in (0.0, 0.4, 0.8, 1.6)]
    assert far == sorted(set(far))
    both = like(marble=1.8, covered=90.0)
    assert both.distance == pytest.approx(sum(one.apart for one in both.numbers))


def test_only_plates_of_the_site_are_chosen_and_none_that_a_photograph_stands_for() -> None:
    chosen = set()
    held = dict(GOOD)
    for name, value in (("streaks", 0.5), ("air", 18.0), ("under", 60.0), ("trimmed", False)):
        chosen.add(like(**{**held, name: value}).plate.use)
    assert chosen == {"shown"}
    first = like()
    shown = [p.id for p in plates.of_state("right")]
    end = State(cakes=Cakes(**GOOD))
    other = nearest(end, CONDITIONS, without=[first.plate.id])
    assert other is not None
    assert other.plate.id != first.plate.id
    assert other.plate.id in shown
    without_any = nearest(end, CONDITIONS, without=[p.id for p in plates.plates()])
    assert without_any is None


def test_the_same_cake_has_the_same_plate_and_its_own_shape_comes_first() -> None:
    assert like().plate.id == like().plate.id
    assert like().plate.shape == "cylinder"
    ring = {"outer": "18 cm", "inner": "6 cm", "height": "5 cm"}
    there = begin({**KITCHEN, "cakes": [["ring", ring, 2]]}).conditions
    found = nearest(State(cakes=Cakes(**GOOD)), there)
    assert found is not None
    assert found.plate.shape == "ring"


def test_one_colour_and_several_are_told_apart_where_all_else_ties() -> None:
    assert len(plates.glazes()[like(marble=1.05).plate.glaze].shares) > 1
    assert len(plates.glazes()[like(marble=1.0).plate.glaze].shares) == 1


def test_nothing_on_the_cakes_looks_like_no_plate() -> None:
    assert nearest(State(), CONDITIONS) is None


@pytest.mark.parametrize(
    "plate", [p for p in plates.plates() if p.use == "shown"], ids=lambda p: p.id
)
def test_each_plate_that_can_be_chosen_shows_its_own_fault_and_no_other(
    plate: plates.Plate,
) -> None:
    shows = {
        "right": set(), "dull": {"gloss between pits and specks"}, "pits": {"pits"}, "waves": {"coat", "foot", "waves"},
        "thin rim": {"coat", "rim"}, "slid": {"coat", "slide"}, "lumps": {"specks"},
        "drips": {"drips"},
    }  # fmt: skip
    if plate.state in shows:
        seen = {row.name for row in rows_of_plate(plate, CONDITIONS).values() if row.off >= 1}
        assert seen <= shows[plate.state]
        assert bool(seen) == (plate.state != "right")


def test_the_careful_run_looks_like_a_plate_as_it_should_be() -> None:
    run = played(careful())
    found = nearest(run.state, run.conditions)
    assert found is not None
    assert found.near
    assert found.plate.state == "right"
