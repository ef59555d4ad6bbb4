"""The short runs of the lessons: each opens where the model has come, and ends by itself."""

from __future__ import annotations

from typing import Any

import pytest

from calculators.faults import FaultsError
from course.lessons.modules import modules
from exercises.rehearsal.deeds import ACTIONS
from exercises.rehearsal.judgement import Judgement
from exercises.rehearsal.short import SHORTS, ShortRun
from tests.exercises.rehearsal.kitchens_of_rehearsal import KITCHEN

Deed = dict[str, Any]
SOAK: Deed = {"do": "soak", "water": 90.0, "minutes": 12.0}
COOL: Deed = {"do": "cool", "until": 72.0, "minutes": 60.0}
ADD: Deed = {"do": "add gelatin"}
BLEND: Deed = {"do": "blend", "seconds": 60.0, "lifted": 0.0}
WINDOW: Deed = {"do": "cool", "bath": 28.5, "until": 32.5, "minutes": 120.0}
POUR: Deed = {"do": "pour"}
SPLIT: Deed = {"do": "split", "second": 25.0}
BATH: Deed = {"do": "one bath", "bath": 32.5, "minutes": 30.0}
LAYER: Deed = {"do": "layer"}


def coloured(kind: str) -> list[Deed]:
    jugs = (("jug 2", "pink"), ("jug 3", "green"))
    return [{"do": "colour", "vessel": v, "kind": kind, "shade": shade} for v, shade in jugs]


GOOD = {
    "soak": [SOAK, COOL, ADD],
    "blend": [BLEND, {"do": "sieve"}, {"do": "cover"}, WINDOW, POUR],
    "share": [SPLIT, *coloured("gel or paste"), BATH, LAYER],
    "pour": [WINDOW, {"do": "take cakes out"}, {"do": "wipe"}, POUR],
}


def end(name: str, actions: list[Deed]) -> Judgement:
    short = ShortRun(name, KITCHEN)
    run = short.run(actions)
    assert not any(outcome.refused or outcome.stop for outcome in run.outcomes)
    assert short.over(run)
    return short.judge(run)


def reasons(judged: Judgement) -> list[str]:
    return [str((r.instead or r.done or {})["do"]) for r in judged.reasons]


@pytest.mark.parametrize("name", SHORTS)
def test_done_well_it_ends_in_a_cake_that_may_be_sold(name: str) -> None:
    judged = end(name, GOOD[name])
    assert [row.name for row in judged.rows if row.off >= 1] == []
    assert judged.reasons == ()


def test_a_decision_that_the_method_and_any_cook_would_make_is_told_once() -> None:
    """Blended badly and poured hot: both would have brought it into the window first."""
    judged = end("blend", [{**BLEND, "seconds": 20.0, "lifted": 8.0}, POUR])
    assert reasons(judged).count("cool") == 1
    told = [(r.place, r.says, sorted((r.instead or {}).items())) for r in judged.reasons]
    assert [one for one in told if told.count(one) > 1] == []


@pytest.mark.parametrize("name", SHORTS)
def test_it_opens_where_the_method_has_come_and_offers_a_few_actions_that_are_there(
    name: str,
) -> None:
    short = ShortRun(name, KITCHEN)
    assert len(short.opening.actions) > 10
    assert not any(outcome.refused or outcome.stop for outcome in short.opening.outcomes)
    assert not short.over(short.opening)
    assert 4 <= len(short.takes) <= 7
    assert short.short.ends in short.takes
    for do, settled in short.takes.items():
        assert settled.keys() <= ACTIONS[do].takes.keys()
    assert short.short.lesson in {slug for one in modules().values() for slug in one.lessons}


@pytest.mark.parametrize(
    ("name", "actions", "seen", "why"),
    [
        # leaves that drank for two minutes are dry inside
        ("soak", [{**SOAK, "minutes": 2.0}, {**COOL, "until": 35.0, "minutes": 90.0}, ADD],
         "streaks", "cool"),
        # thrice its water goes in with it
        ("soak", [{**SOAK, "water": 300.0}, COOL, ADD], "set", "soak"),
        # the fat is not spread without a blender
        ("blend", [WINDOW, POUR], "streaks", "blend"),
        # a funnel of air, and no time for it to leave
        ("blend", [{**BLEND, "lifted": 8.0}, {**WINDOW, "bath": 1.0}, POUR], "pits", "blend"),
        # straight from the blender it is far too hot
        ("blend", [BLEND, POUR], "rim", "cool"),
        # small jugs cool faster
        ("share", [SPLIT, *coloured("gel or paste"),
                   {"do": "cool", "vessel": "jug 2", "where": "bench", "minutes": 60.0}, LAYER],
         "marble", "one bath"),
        # a powder wants a warm base
        ("share", [SPLIT, BATH, *coloured("powder"), LAYER], "specks", "colour"),
        # too hot, it runs off
        ("pour", [{"do": "take cakes out"}, {"do": "wipe"}, POUR], "coat", "cool"),
        # the cakes stood while the jug cooled
        ("pour", [{"do": "take cakes out"}, WINDOW, POUR], "slide", "wipe"),
        # too cold, it keeps its waves
        ("pour", [{**WINDOW, "bath": 20.0, "until": 27.0}, {"do": "take cakes out"}, {"do": "wipe"}, POUR], "waves", "cool"),
    ],
)  # fmt: skip
def test_a_mistake_of_the_trade_is_seen_on_the_cake_and_told_first(
    name: str, actions: list[Deed], seen: str, why: str
) -> None:
    judged = end(name, actions)
    assert judged.row(seen).off >= 1
    assert reasons(judged)[0] == why
    assert all(reason.gain > 0 for reason in judged.reasons)


@pytest.mark.parametrize("name", SHORTS)
def test_only_decisions_of_its_own_are_told(name: str) -> None:
    short = ShortRun(name, KITCHEN)
    run = short.run([GOOD[name][0], GOOD[name][-1]])
    first = len(short.opening.actions)
    for reason in short.judge(run).reasons:
        assert first <= reason.place <= len(run.actions)


def test_what_it_does_not_offer_is_refused_and_after_its_end_nothing_is_done() -> None:
    short = ShortRun("pour", KITCHEN)
    run, outcome = short.then(short.opening, {"do": "heat"})
    assert "is not offered here" in outcome.refused
    assert run is short.opening
    ended = short.run(GOOD["pour"])
    assert short.run([*GOOD["pour"], {"do": "read"}]).actions == ended.actions


def test_what_is_settled_is_taken_from_the_method_whatever_is_sent() -> None:
    short = ShortRun("soak", KITCHEN)
    run = short.run([{**SOAK, "grams": 3.0, "what": "gelatin powder"}])
    assert run.actions[-1]["grams"] == 18.0
    assert run.actions[-1]["what"] == "gelatin leaf"


def test_a_kitchen_without_gelatin_has_no_run_of_soaking_and_an_unknown_name_is_told() -> None:
    formula = [["water", "350 g", "", ""], ["sugar", "350 g", "", ""], ["agar", "5 g", "", ""]]
    with pytest.raises(FaultsError, match="no step: soak"):
        ShortRun("soak", {**KITCHEN, "formula": formula})
    assert ShortRun("pour", {**KITCHEN, "formula": formula}).takes
    with pytest.raises(FaultsError, match="is not known"):
        ShortRun("juggle", KITCHEN)


def test_nobody_waits_for_a_temperature_that_is_behind() -> None:
    short = ShortRun("soak", KITCHEN)
    run = short.run([SOAK, {**COOL, "until": 20.0, "minutes": 90.0}, {**COOL, "until": 60.0}])
    waited, past = (outcome.state.clock for outcome in run.outcomes[-2:])
    assert past == waited
    assert "past that already" in str(run.outcomes[-1].seen)
