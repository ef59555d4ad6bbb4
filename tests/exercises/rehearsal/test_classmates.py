"""A classmate's run on a sheet: the answer follows from the model, and clearly so."""

from __future__ import annotations

from itertools import product
from typing import Any

import pytest

from calculators.faults import FaultsError
from exercises.questions.bank import fault_runs
from exercises.questions.bank.fault_runs import DAY, HOB
from exercises.questions.building import again, build
from exercises.questions.registry import bank
from exercises.rehearsal.classmates import Plan, Step, Told, told
from exercises.rehearsal.judgement import rows_of
from exercises.sheets.sheet import cautions_for


def key(**taken: Any) -> tuple[tuple[str, Any], ...]:
    return tuple(sorted(taken.items()))


def days() -> list[dict[str, Any]]:
    """Every day of the pour that can be drawn."""
    near = fault_runs._DAY_NEAR
    return [
        {**DAY, **{o: v for (o, v), on in zip(near.items(), odd, strict=True) if on}, name: value}
        for name, values in dict.fromkeys(fault_runs._DAY_OFF)
        for value in values
        for odd in product((0, 1), repeat=len(near))
    ]


def hobs() -> list[dict[str, Any]]:
    """Every day before that can be drawn."""
    return [
        {**HOB, "bloom": bloom, "boil": boil, name: value}
        for name, values in dict.fromkeys(fault_runs._HOB_OFF)
        for value in values
        for bloom in ((120.0,) if name == "leaf" else (200.0, 120.0))
        for boil in (5.0, 5.5)
    ]


def bad(taken: dict[str, Any], sound: Any, off: Any) -> str:
    return next(name for name, values in off if taken[name] in values)


@pytest.mark.parametrize("taken", days(), ids=str)
def test_of_a_day_one_decision_leads_by_far_and_a_moment_mends_it(taken: dict[str, Any]) -> None:
    run = told(fault_runs._DAY, key(**taken))
    assert run.cause == bad(taken, DAY, fault_runs._DAY_OFF)
    clear(run)
    assert run.back in fault_runs._DAY_MOMENTS
    assert run.back == {"blend": "share", "kind": "colour"}.get(run.cause, "pour")


@pytest.mark.parametrize("taken", hobs(), ids=str)
def test_at_the_hob_one_decision_leads_by_far_and_a_moment_mends_it(taken: dict[str, Any]) -> None:
    run = told(fault_runs._HOB, key(**taken))
    assert run.cause == bad(taken, HOB, fault_runs._HOB_OFF)
    clear(run)
    assert run.back == {"leaf": "soak", "back": "gelatin", "warm": "warm"}[run.cause]
    percent = fault_runs._set_of(run.end, fault_runs._hob_kitchen(taken))
    too_soft = run.cause == "leaf" or taken["back"] > 0
    assert percent < 70 if too_soft else percent > 150


def clear(run: Told) -> None:
    best, *rest = sorted(run.gains.values(), reverse=True)
    assert best > 1
    assert all(best > 2.5 * other for other in rest)


def test_the_method_itself_has_nothing_to_mend() -> None:
    run = told(fault_runs._DAY, key(**{**DAY, "wait": 1.0}))
    assert all(one.off < 1 for one in rows_of(run.end, fault_runs._kitchen()))
    assert run.back == "after"


def test_another_state_makes_another_decision_the_answer() -> None:
    """Nothing is scripted: with two decisions off, the model says which one is worse."""
    both = told(fault_runs._DAY, key(**{**DAY, "kind": "powder", "wait": 9.0}))
    assert both.cause == "wait"
    assert both.back == "colour"  # powder is in; wiping again alone does not do
    streaks = told(fault_runs._DAY, key(**{**DAY, "kind": "powder", "blend": 0.0}))
    assert (streaks.cause, streaks.back) == ("blend", "share")


def test_a_step_that_can_not_be_done_is_told() -> None:
    plan = Plan(
        {"a": 1},
        fault_runs._hob_kitchen,
        fault_runs._clean_bench,
        lambda taken: [Step("pour", {"do": "pour"})],
        lambda state, conditions: 0.0,
    )
    with pytest.raises(FaultsError, match="can't be done"):
        told(plan, key(a=2, bloom=200.0))


@pytest.mark.parametrize("name", ["fault-run-day", "fault-run-hob"])
def test_the_log_has_a_clock_and_what_was_done_and_comes_back_from_a_sheet(name: str) -> None:
    for n in range(4):
        asked = build(bank()[name], f"log {n}")
        assert asked.exhibit is not None
        clocks = [row[0] for row in asked.exhibit.rows]
        assert clocks == sorted(clocks)
        assert all(row[1] for row in asked.exhibit.rows)
        assert len(asked.parts) == 2
        stored, parts = again(bank()[name], asked.values)
        assert stored.exhibit == asked.exhibit
        assert [parts[part.name].right for part in asked.parts] == [p.right for p in asked.parts]


def test_a_run_at_the_hob_brings_the_caution_of_hot_sugar() -> None:
    shown = {each["hazard"] for each in cautions_for([build(bank()["fault-run-hob"], "any")])}
    assert shown == {"Hot sugar"}
