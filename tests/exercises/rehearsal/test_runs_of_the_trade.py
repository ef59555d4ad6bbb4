"""Runs as a pastry cook knows them: each ends as expected, and says the reason."""

from __future__ import annotations

from typing import Any

import pytest

from exercises.rehearsal.judgement import Judgement, distance, judge
from exercises.rehearsal.log import Run, begin
from tests.exercises.rehearsal.kitchens_of_rehearsal import KITCHEN, careful, played

Actions = list[dict[str, Any]]


def without(actions: Actions, *names: str) -> Actions:
    return [a for a in actions if a["do"] not in names]


def changed(actions: Actions, do: str, **values: Any) -> Actions:
    assert any(a["do"] == do for a in actions)
    return [{**a, **values} if a["do"] == do else a for a in actions]


def before(actions: Actions, do: str, *more: dict[str, Any]) -> Actions:
    place = next(n for n, a in enumerate(actions) if a["do"] == do)
    return [*actions[:place], *more, *actions[place:]]


def end(actions: Actions, run: Run | None = None) -> Judgement:
    return judge(played(actions, run), seconds=60)


def reasons(judged: Judgement) -> list[str]:
    return [str((r.instead or r.done or {})["do"]) for r in judged.reasons]


@pytest.fixture(scope="module")
def good() -> Judgement:
    return end(careful())


def at(celsius: float) -> Actions:
    """The careful run, poured at another temperature."""
    to_it = {
        "do": "cool", "vessel": "jug", "where": "bath",
        "bath": celsius + (10.0 if celsius > 33 else -10.0), "until": celsius, "minutes": 60.0,
    }  # fmt: skip
    return before(careful(), "trial pour", to_it)


def test_the_method_ends_in_a_cake_that_may_be_sold(good: Judgement) -> None:
    assert good.glazed
    assert [row.name for row in good.rows if row.off >= 1] == []
    assert good.reasons == ()
    assert good.whole
    by_hand = 0.280 * 1.35 + 280 / 5000 * 14.80 + 190 / 397 * 2.65 + 280 / 2500 * 27.50
    assert good.cost == pytest.approx(by_hand + 18 / 500 * 12.40, abs=0.01)


def test_gelatin_held_at_95_degrees_is_weaker_and_not_dead(good: Judgement) -> None:
    actions = without(careful(), "cool")
    place = next(n for n, a in enumerate(actions) if a["do"] == "add gelatin")
    hot = {"do": "heat", "vessel": "pan", "until": 98.0, "minutes": 3.0}
    boil = {"do": "heat", "vessel": "pan", "until": 0.0, "minutes": 6.0}
    actions = [
        *actions[: place - 1],
        actions[place - 1],
        actions[place],
        hot,
        boil,
        *actions[place + 1 :],
    ]
    run = played(actions)
    strongest = played(careful())
    weak = max(v.strength for n, v in run.state.vessels if n in ("jug", "tray", "on the cakes"))
    firm = max(v.strength for n, v in strongest.state.vessels if n in ("tray", "on the cakes"))
    assert weak < firm - 0.02
    assert weak > 0.5


def test_gelatin_that_goes_in_hot_and_stays_hot_sets_softer(good: Judgement) -> None:
    pan = next(a for a in careful() if a["do"] == "cool" and a["vessel"] == "pan")
    actions = [a for a in careful() if a != pan]
    covered = {"do": "cover", "vessel": "pan", "hand": "from the side"}
    hours = {"do": "cool", "vessel": "pan", "where": "bath", "bath": 90.0, "minutes": 240.0}
    ended = end(before(actions, "combine", covered, hours))
    at_once = end(actions)
    assert at_once.row("set").off < 1  # a band, and no cliff
    assert ended.row("set").value < at_once.row("set").value - 4
    assert ended.row("set").value > 0.5 * good.row("set").value
    assert "cool" in reasons(ended)


def test_without_wiping_the_glaze_slides_on_frost(good: Judgement) -> None:
    stand = {"do": "cool", "vessel": "jug", "where": "bath", "bath": 32.5, "minutes": 12.0}
    actions = before(without(careful(), "wipe"), "pour", stand)
    ended = end(actions)
    assert ended.row("slide").value > 3 * good.row("slide").value
    assert ended.row("slide").off > 1
    assert reasons(ended)[0] in ("wipe", "cool")
    assert "wipe" in reasons(ended)


def test_a_blade_above_the_surface_pits_the_coat() -> None:
    late = {"do": "blend", "vessel": "jug", "seconds": 60.0, "lifted": 9.0}
    ended = end(before(careful(), "take cakes out", late))
    assert ended.row("pits").off > 1
    assert ended.row("gloss").off > 1
    assert reasons(ended)[0] == "blend"


def test_without_the_blender_the_fat_stays_in_streaks() -> None:
    ended = end(without(careful(), "blend"))
    assert ended.row("streaks").off > 1
    assert ended.row("gloss").off > 1
    assert reasons(ended)[0] == "blend"


def test_poured_at_38_the_coat_is_thinner(good: Judgement) -> None:
    ended = end(at(38))
    assert ended.row("coat").value < 0.92 * good.row("coat").value
    assert ended.row("coat").off > 1
    assert "cool" in reasons(ended)
    assert ended.row("rim").value < good.row("rim").value


def test_poured_at_27_the_coat_is_heavy_and_keeps_its_waves(good: Judgement) -> None:
    ended = end(at(27))
    assert ended.row("coat").value > 1.2 * good.row("coat").value
    assert ended.row("waves").value > good.row("waves").value
    assert "cool" in reasons(ended)


def test_jugs_side_by_side_without_a_bath_do_not_marble(good: Judgement) -> None:
    apart = {"do": "cool", "vessel": "jug 2", "where": "bench", "minutes": 60.0}
    actions = [apart if a["do"] == "one bath" else a for a in careful()]
    ended = end(actions)
    assert ended.row("marble").value > 1.2 * good.row("marble").value
    assert ended.row("marble").off > 1
    assert "one bath" in reasons(ended)


def test_a_powder_in_a_cold_base_leaves_specks() -> None:
    powder = changed(careful(), "colour", kind="powder")
    cold = {
        "do": "cool",
        "vessel": "jug",
        "where": "bath",
        "bath": 30.0,
        "until": 32.0,
        "minutes": 90.0,
    }
    ended = end(before(powder, "split", cold))
    assert ended.row("specks").off > 1
    assert ended.row("gloss").off > 1
    assert "colour" in reasons(ended)


def test_unsoaked_gelatin_in_a_cool_base_stays_in_lumps() -> None:
    actions = changed(without(careful(), "sieve"), "soak", minutes=0.0, water=20.0)
    cold = {
        "do": "cool",
        "vessel": "pan",
        "where": "bath",
        "bath": 10.0,
        "until": 30.0,
        "minutes": 90.0,
    }
    place = next(n for n, a in enumerate(actions) if a["do"] == "add gelatin")
    actions = [*actions[:place], cold, *actions[place:]]
    run = played(actions[: place + 2])
    assert run.state.vessel("pan").lumps > 0.5
    assert any("lumps" in words for _, words in run.outcomes[-1].seen)
    ended = end(actions)
    assert ended.row("set").off > 1 or ended.row("lumps").off > 1
    assert reasons(ended)[0] in ("soak", "cool")


def test_a_base_left_out_overnight_is_never_safe() -> None:
    run = begin(KITCHEN, surprises=("left out",))
    actions = [
        {"do": "rewarm", "vessel": "jug", "until": 40.0},
        {
            "do": "cool",
            "vessel": "jug",
            "where": "bath",
            "bath": 32.5,
            "until": 33.0,
            "minutes": 60.0,
        },
        {"do": "take cakes out"},
        {"do": "wipe"},
        {"do": "pour", "vessel": "jug", "grams": 1200.0},
    ]
    ended = end(actions, run)
    assert ended.row("clock").off > 1
    assert "throw away" in reasons(ended)
    assert any("overnight" in said for said in ended.surprises)


def test_too_little_glaze_leaves_bare_patches() -> None:
    ended = end(changed(careful(), "pour", grams=250.0))
    assert ended.row("bare").off > 1
    assert reasons(ended)[0] == "pour"


def test_weak_leaves_taken_for_what_the_box_says_set_softer(good: Judgement) -> None:
    run = begin({**KITCHEN, "gelatin_bloom": "200 bloom"}, surprises=("gelatin",))
    blind = [a for a in careful() if a["do"] != "read box"]
    ended = end(blind, run)
    assert ended.row("set").value < 0.85 * good.row("set").value
    assert any("weaker grade" in said for said in ended.surprises)


def test_a_thermometer_that_reads_high_and_was_not_checked_pours_cold() -> None:
    hot = {
        "do": "cool",
        "vessel": "jug",
        "where": "bath",
        "bath": 20.0,
        "until": 31.5,
        "minutes": 90.0,
    }
    actions = before(careful(), "trial pour", hot)
    blind = played(
        without(actions, "check thermometer"), begin(KITCHEN, surprises=("thermometer",))
    )
    known = played(actions, begin(KITCHEN, surprises=("thermometer",)))
    cold, right = (dict(r.state.vessels)["tray"].celsius for r in (blind, known))
    assert cold < right - 1.5
    why = judge(blind, seconds=60)
    assert "check thermometer" in reasons(why)
    assert any("3 °C too high" in said for said in why.surprises)


def test_a_wide_jug_does_not_cover_the_blade_and_draws_air(good: Judgement) -> None:
    wide = begin(KITCHEN, surprises=("wide jug",))
    late = before(careful(), "take cakes out", {"do": "blend", "vessel": "jug", "seconds": 60.0})
    late = changed(late, "blend", seconds=90.0)
    narrow, ended = end(late), end(late, wide)
    assert ended.row("pits").off > 1 > narrow.row("pits").off
    seen = [words for o in played(late, wide).outcomes for _, words in o.seen]
    assert any("hollow" in words or "funnel" in words for words in seen)
    assert "blend" in reasons(ended)
    assert any("hardly covers the blade" in said for said in ended.surprises)


def test_in_a_warm_room_the_pan_cools_slowly_and_frost_gathers_fast() -> None:
    warm, usual = begin(KITCHEN, surprises=("warm room",)), begin(KITCHEN)
    wait = [{"do": "take cakes out"}, {"do": "cool", "vessel": "jug", "minutes": 10.0}]
    actions = before(careful(), "wipe", wait[1])
    frosts = [played(actions[: actions.index({"do": "wipe"})], run).state.cakes.frost
              for run in (warm, usual)]  # fmt: skip
    assert frosts[0] > 1.2 * frosts[1]
    place = next(n for n, a in enumerate(careful()) if a["do"] == "add gelatin")
    clocks = [played(careful()[:place], run).state.clock for run in (warm, usual)]
    assert clocks[0] > clocks[1]
    assert any("30 °C" in said for said in end(careful(), warm).surprises)


def test_glaze_on_the_clock_for_hours_may_not_be_sold() -> None:
    stood = {"do": "cool", "vessel": "jug", "where": "bath", "bath": 33.0, "minutes": 360.0}
    ended = end(before(careful(), "trial pour", stood))
    assert ended.row("clock").off > 1
    assert reasons(ended)[0] == "cool"


def test_an_old_frost_is_seen_and_wiped_away(good: Judgement) -> None:
    run = begin(KITCHEN, surprises=("frost",))
    left = end(without(careful(), "wipe"), run)
    assert left.row("slide").off > 3
    assert reasons(left)[0] == "wipe"
    assert distance(end(careful(), run).rows) < distance(left.rows)


@pytest.mark.parametrize(
    ("leave_out", "word"), [("check pan", "Look at the pan"), ("cold water", "cold water")]
)
def test_what_would_hurt_stops_the_run_and_it_goes_on_from_before(
    leave_out: str, word: str
) -> None:
    actions = without(careful(), leave_out)
    place = next(n for n, a in enumerate(actions) if a["do"] == "heat")
    run = played(actions[:place])
    then, outcome = run.then(actions[place])
    assert word in outcome.stop
    assert "supervisor" in outcome.stop
    assert then.state.vessels == run.state.vessels
    assert then.state.clock == run.state.clock
    assert then.state.stops == ("heat",)


def test_a_hand_over_steam_stops_the_run() -> None:
    actions = careful()
    place = next(n for n, a in enumerate(actions) if a["do"] == "take off")
    _, outcome = played(actions[:place]).then({"do": "take off", "hand": "over the steam"})
    assert "Steam burns" in outcome.stop
