"""The reasons at the end are of the rows that were not good, and fit what was changed."""

from __future__ import annotations

import re
from typing import Any

import pytest

from exercises.rehearsal.instead import edits, matched, scaled
from exercises.rehearsal.judgement import Judgement, Reason, judge
from exercises.rehearsal.log import Run, begin
from exercises.rehearsal.method import method
from tests.exercises.rehearsal.kitchens_of_rehearsal import KITCHEN, careful, played

Actions = list[dict[str, Any]]
AMOUNTS = ("weigh", "soak")


def end(actions: Actions, run: Run | None = None) -> Judgement:
    return judge(played(actions, run), seconds=60)


def bad(judged: Judgement) -> list[str]:
    return [row.name for row in judged.rows if row.off >= 1]


def does(reason: Reason) -> str:
    return str((reason.instead or reason.done or {})["do"])


def batch(times: float, actions: Actions | None = None) -> Actions:
    """The careful run, with so many times its amounts."""
    more = (*AMOUNTS, "pour")
    return [scaled(a, times) if a["do"] in more else a for a in actions or careful()]


def test_too_little_poured_says_pour_more_and_how_much() -> None:
    judged = end([{**a, "grams": 480.0} if a["do"] == "pour" else a for a in careful()])
    assert bad(judged) == ["bare"]
    first = judged.reasons[0]
    assert first.says.startswith("Pour more: about ")
    assert first.instead is not None
    assert first.instead["grams"] > 480
    assert [row.name for row, _ in first.moved] == ["bare"]
    assert first.moved[0][1] < 3


def test_a_batch_that_is_too_small_for_the_cakes_says_make_more() -> None:
    judged = end(batch(0.4))
    assert "bare" in bad(judged)
    assert judged.reasons[0].says.startswith("Make more: about ")
    assert judged.reasons[0].moved[0][1] < 3


def test_frost_that_one_wiping_left_says_wipe_again_or_take_them_out_last() -> None:
    run = begin(KITCHEN, surprises=("frost", "warm room"))
    place = next(n for n, a in enumerate(careful()) if a["do"] == "pour")
    wait = {"do": "spoon", "vessel": "jug"}
    judged = end([*careful()[:place], *[wait] * 12, *careful()[place:]], run)
    assert "slide" in bad(judged)
    told = [reason.says for reason in judged.reasons]
    assert any("Wipe the cakes once more" in says for says in told)
    assert all(row.name == "slide" for r in judged.reasons for row, _ in r.moved)


def test_a_larger_batch_of_the_same_formula_is_no_mistake() -> None:
    judged = end(batch(1.3))
    assert [r.says or does(r) for r in judged.reasons] == []
    late = end(batch(1.3, [a for a in careful() if a["do"] != "blend"]))
    assert "blend" in [does(r) for r in late.reasons]
    assert not {does(r) for r in late.reasons} & {*AMOUNTS, "pour"}


@pytest.mark.parametrize("times", [0.8, 1.3])
def test_the_water_of_the_soaking_is_held_against_the_batch_that_was_made(times: float) -> None:
    actions = batch(times)
    soak = next(a for a in actions if a["do"] == "soak")
    soak["water"] = 2.0 * soak["grams"]  # five times drinks its fill
    run = played(actions)
    steps = method(run.conditions)
    told = [one.instead for one in edits(run, steps) if one.instead and one.instead["do"] == "soak"]
    asked = next(one["water"] for one in told if one["water"] != soak["water"])
    assert asked == pytest.approx(5 * soak["grams"], rel=0.02)


def test_an_ingredient_whose_share_is_off_is_told_beside_the_batch_that_was_made() -> None:
    actions = batch(1.3)
    gelatin = next(a for a in actions if a["do"] == "soak")
    gelatin["grams"] = 40.0  # 23.4 g at this size
    judged = end(actions)
    assert bad(judged)
    first = judged.reasons[0]
    assert "40 g of gelatin leaf in all; in this formula it is about 23 g" in first.says


def test_what_was_good_and_stays_good_is_no_reason() -> None:
    milder = [
        {**a, "until": 62.0} if a["do"] == "cool" and a["vessel"] == "pan" else a for a in careful()
    ]
    assert bad(end(milder)) == []
    assert end(milder).reasons == ()
    for judged in (end([a for a in careful() if a["do"] != "blend"]), end(batch(0.4))):
        for reason in judged.reasons:
            assert all(row.off >= 1 for row, _ in reason.moved)


def test_another_order_of_weighing_is_no_mistake() -> None:
    actions, pan = careful(), [a for a in careful() if a["do"] == "weigh" and a["into"] == "pan"]
    turned = [*reversed(pan)]
    mixed = [turned.pop(0) if a in pan else a for a in actions]
    places = matched(mixed, method(begin(KITCHEN).conditions))
    assert len(places) == len(actions)
    assert end(mixed).reasons == ()


def test_what_was_stopped_did_not_do_its_step() -> None:
    """A pan heated twice too early, and stopped: the heat that came after was no extra one."""
    actions = careful()
    place = next(n for n, a in enumerate(actions) if a["do"] == "check pan")
    heat = next(a for a in actions if a["do"] == "heat")
    run = played([*actions[:place], heat, heat, *actions[place:]])
    assert [bool(one.stop) for one in run.outcomes].count(True) == 2
    told = edits(run, method(run.conditions))
    assert [one for one in told if one.done and one.done["do"] == "heat"] == []


@pytest.mark.parametrize("leave_out", ["blend", "one bath"])
def test_the_reason_is_of_what_was_changed(leave_out: str) -> None:
    judged = end([a for a in careful() if a["do"] != leave_out])
    for reason in judged.reasons:
        assert "gelatin loses strength" not in reason.why
        assert "stands ready" not in reason.why
        assert reason.why


def test_a_run_with_several_mistakes_names_them_all() -> None:
    """Poured at more than 50 °C, with cakes that stood for half an hour and were never wiped."""
    actions = [a for a in careful() if a["do"] not in ("wipe", "take cakes out")]
    place = next(n for n, a in enumerate(actions) if a["do"] == "trial pour")
    hot = {"do": "rewarm", "vessel": "jug", "bath": 70.0, "until": 55.0, "minutes": 60.0}
    wait = {"do": "cool", "vessel": "jug", "where": "bath", "bath": 57.0, "minutes": 30.0}
    judged = end([*actions[:place], hot, {"do": "take cakes out"}, wait, *actions[place:]])
    assert {"coat", "slide"} <= set(bad(judged))
    told = [does(r) for r in judged.reasons]
    assert set(told) & {"rewarm", "cool"}
    assert "wipe" in told
    assert any(r.after for r in judged.reasons)


def test_a_base_that_was_left_out_is_thrown_away_before_anything_else_is_mended() -> None:
    run = begin(KITCHEN, surprises=("left out",))
    warm = {"do": "rewarm", "vessel": "jug", "until": 40.0}
    judged = end(
        [
            warm,
            {"do": "take cakes out"},
            {"do": "wipe"},
            {"do": "pour", "vessel": "jug", "grams": 1200.0},
        ],
        run,
    )
    assert does(judged.reasons[0]) == "throw away"


def test_a_second_blending_that_drew_air_says_to_keep_the_guard_under() -> None:
    place = next(n for n, a in enumerate(careful()) if a["do"] == "trial pour")
    again = {"do": "blend", "vessel": "jug", "seconds": 60.0, "lifted": 12.0}
    judged = end([*careful()[:place], again, *careful()[place:]])
    told = [r for r in judged.reasons if r.place == place and does(r) == "blend"]
    assert {r.instead and r.instead["lifted"] for r in told} == {None, 0.0}
    assert all("guard well under the surface" in r.why for r in told)


def test_what_went_against_a_caution_is_told_though_it_hardly_shows() -> None:
    actions = [a for a in careful() if a["do"] != "wipe"]
    pan = next(a for a in actions if a["do"] == "cool" and a["vessel"] == "pan")
    judged = end([a for a in actions if a != pan])
    assert re.search(r"gelatin went in at (9|10)\d °C", judged.beside[0])
    assert "never wiped" in judged.beside[1]
    assert end(careful()).beside == ()
