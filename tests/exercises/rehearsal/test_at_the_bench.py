"""What the bench answers is what a pastry cook would see there, and fits the state."""

from __future__ import annotations

from typing import Any

import pytest

from exercises.rehearsal.log import Run, begin
from tests.exercises.rehearsal.kitchens_of_rehearsal import KITCHEN, careful, played

Actions = list[dict[str, Any]]
SAFE: Actions = [{"do": "check pan"}, {"do": "cold water"}]


def until(do: str, vessel: str = "") -> Actions:
    """The careful run as far as before an action."""
    actions = careful()
    place = next(
        n for n, a in enumerate(actions) if a["do"] == do and vessel in (a.get("vessel"), "")
    )
    return actions[:place]


def said(run: Run, deed: dict[str, Any]) -> str:
    """What is seen, read and felt of one action more."""
    _, outcome = run.then(deed)
    assert not outcome.refused
    assert not outcome.stop
    return " ".join(words for _, words in outcome.seen)


def refused(run: Run, deed: dict[str, Any]) -> str:
    return run.then(deed)[1].refused


@pytest.mark.parametrize("do", ["wipe", "pour"])
def test_nothing_is_done_to_cakes_in_the_freezer(do: str) -> None:
    run = played(until("take cakes out"))
    told = refused(run, {"do": do})
    assert "in the freezer" in told
    assert "Take them out first" in told


def test_after_the_pour_it_says_what_can_be_done() -> None:
    assert "Trim the foot" in refused(played(careful()), {"do": "wipe"})


@pytest.mark.parametrize(
    ("celsius", "words"), [(60.0, "melts under it"), (40.0, "runs off fast"), (32.5, "even")]
)
def test_a_trial_pour_and_the_pour_tell_too_hot_by_their_looks(celsius: float, words: str) -> None:
    to_it = {"do": "rewarm", "vessel": "jug", "bath": celsius + 10, "until": celsius}
    run = played([*until("trial pour"), to_it] if celsius > 33 else until("trial pour"))
    assert words in said(run, {"do": "trial pour", "vessel": "jug"})
    poured = said(played([{"do": "take cakes out"}], run), {"do": "pour", "grams": 1200.0})
    assert (words in poured) is (celsius > 33)


def test_a_trial_pour_that_is_too_cold_falls_in_folds() -> None:
    cool = {"do": "cool", "vessel": "jug", "where": "bath", "bath": 18.0, "until": 27.0}
    run = played([*until("trial pour"), {**cool, "minutes": 90.0}])
    assert "folds" in said(run, {"do": "trial pour", "vessel": "jug"})


def test_less_never_covers_more_however_hot() -> None:
    covered = []
    for celsius in (60.0, 33.0):
        to_it = {"do": "rewarm", "vessel": "jug", "bath": celsius + 10, "until": celsius}
        run = played([*until("trial pour"), to_it, {"do": "take cakes out"}])
        for grams in (150.0, 300.0, 900.0):
            covered.append(run.then({"do": "pour", "grams": grams})[0].state.cakes.covered)
    hot, right = covered[:3], covered[3:]
    assert hot == sorted(hot)
    assert all(a <= b + 5 for a, b in zip(hot, right, strict=True))
    assert hot[1] < 97


def test_cold_milk_into_syrup_at_110_degrees_boils_up() -> None:
    pan = [{**a, "into": "pan"} for a in careful() if a["do"] == "weigh" and a["what"] in
           ("water", "sugar", "glucose syrup")]  # fmt: skip
    hot = {"do": "heat", "vessel": "pan", "until": 110.0, "minutes": 40.0}
    milk = {"do": "weigh", "what": "sweetened condensed milk", "into": "pan", "grams": 190.0}
    told = said(played([*SAFE, *pan, hot]), milk)
    assert "spits" in told
    assert "face and arms away" in told
    assert "spits" not in said(played([*SAFE, *pan]), milk)


@pytest.mark.parametrize(("celsius", "strings"), [(72.0, False), (62.0, False), (38.0, True)])
def test_soaked_leaf_leaves_strings_in_a_cool_pan_and_none_in_a_warm_one(
    celsius: float, *, strings: bool
) -> None:
    pan = {"do": "cool", "vessel": "pan", "where": "bench", "until": celsius, "minutes": 240.0}
    run = played([*until("cool", "pan"), pan])
    told = said(run, {"do": "add gelatin", "vessel": "pan"})
    assert ("strings" in told or "lumps" in told) is strings


def test_stirring_melts_strings_and_a_hand_over_steam_stops() -> None:
    pan = {"do": "cool", "vessel": "pan", "where": "bench", "until": 45.0, "minutes": 240.0}
    run = played([*until("cool", "pan"), pan, {"do": "add gelatin", "vessel": "pan"}])
    before = run.state.vessel("pan").lumps
    after, _ = run.then({"do": "stir", "vessel": "pan", "minutes": 3.0})
    assert after.state.vessel("pan").lumps < before / 2
    hot = played(until("take off"))
    assert (
        "Steam burns" in hot.then({"do": "stir", "vessel": "pan", "hand": "over the steam"})[1].stop
    )


def test_a_jug_above_two_thirds_is_told_as_it_is_blended() -> None:
    full = [{"do": "weigh", "what": "sugar", "into": "jug", "grams": 2600.0}]
    part = [{**full[0], "grams": 1200.0}]
    blend = {"do": "blend", "vessel": "jug"}
    assert "two thirds full" in said(played(full), blend)
    assert "two thirds full" not in said(played(part), blend)


def test_a_long_blending_says_that_it_is_warmer() -> None:
    run = played(until("blend"))
    assert "warmer than before" in said(run, {"do": "blend", "vessel": "jug", "seconds": 400.0})
    assert "warmer" not in said(run, {"do": "blend", "vessel": "jug", "seconds": 5.0})


@pytest.mark.parametrize(("grams", "words"), [(300.0, "handle was loose"), (2800.0, "too full")])
def test_the_stop_of_an_unchecked_pan_fits_how_full_it_is(grams: float, words: str) -> None:
    run = played([{"do": "weigh", "what": "sugar", "into": "pan", "grams": grams}])
    assert words in run.then({"do": "heat"})[1].stop


def test_powder_is_never_said_to_crack_and_dry_leaf_in_the_pan_gets_a_word() -> None:
    powder = {"do": "soak", "what": "gelatin powder", "grams": 18.0, "water": 20.0, "minutes": 1.0}
    assert "cracks" not in said(begin(KITCHEN), powder)
    assert "grains" in said(begin(KITCHEN), powder)
    dry = {"do": "weigh", "what": "gelatin leaf", "into": "pan", "grams": 18.0}
    assert "should be soaked first" in said(begin(KITCHEN), dry)


def test_the_box_is_read_with_its_grade_and_what_a_leaf_weighs() -> None:
    told = said(begin(KITCHEN), {"do": "read box"})
    assert "The box says gold" in told
    assert "weighs about 2.0 g" in told
    weaker = said(begin(KITCHEN, surprises=("gelatin",)), {"do": "read box"})
    assert "each weighs 2.2 g" in weaker  # weaker leaves are heavier: all leaves are to set alike


def test_vessels_are_named_as_a_cook_names_them() -> None:
    run = begin(KITCHEN)
    assert refused(run, {"do": "spoon", "vessel": "jug 2"}).startswith("Jug 2 is empty")
    assert refused(run, {"do": "spoon", "vessel": "jug"}).startswith("The jug is empty")
    same = refused(run, {"do": "combine", "source": "jug", "into": "jug"})
    assert same.startswith("The jug can't be poured into itself")


@pytest.mark.parametrize(
    ("deed", "caution"),
    [
        ({"do": "cover", "vessel": "pan"}, "Steam comes from under its edge"),
        ({"do": "combine", "source": "pan", "into": "jug"}, "hot syrup splashes"),
    ],
)
def test_film_and_a_jug_get_a_caution_while_the_syrup_is_hot(
    deed: dict[str, Any], caution: str
) -> None:
    hot = played(until("cool", "pan"))
    assert hot.state.vessel("pan").celsius > 90
    assert caution in said(hot, deed)
    assert caution not in said(played(until("combine")), deed)
