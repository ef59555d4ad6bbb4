"""Nothing is lost, nothing breaks, and a run replays exactly."""

from __future__ import annotations

import json
import math
import time
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from calculators.faults import FaultsError
from exercises.rehearsal import consequences as follows
from exercises.rehearsal.deeds import ACTIONS, Number, Shelf, act
from exercises.rehearsal.judgement import judge
from exercises.rehearsal.log import (
    MOST_ACTIONS,
    SURPRISED,
    WAYS,
    begin,
    kitchen_digest,
    read_log,
    written_log,
)
from exercises.rehearsal.state import State, Vessel, from_json, rounded, to_json
from exercises.rehearsal.surprises import SURPRISES, beginning, drawn
from tests.clock import within
from tests.exercises.rehearsal.kitchens_of_rehearsal import KITCHEN, careful, played

SHELF = ("water", "sugar", "glucose syrup", "sweetened condensed milk", "white chocolate",
         "apricot jam", "gelatin leaf")  # fmt: skip


def _deeds() -> st.SearchStrategy[dict[str, Any]]:
    """Any action with any values it may take."""

    def of(name: str) -> st.SearchStrategy[dict[str, Any]]:
        takes: dict[str, st.SearchStrategy[Any]] = {}
        for key, kind in ACTIONS[name].takes.items():
            if isinstance(kind, Number):
                takes[key] = st.integers(0, 40).map(
                    lambda n, k=kind: round(k.low + (k.high - k.low) * (n / 40) ** 2, 3)
                )
            else:
                takes[key] = st.sampled_from(SHELF if isinstance(kind, Shelf) else kind.words)
        return st.fixed_dictionaries({"do": st.just(name), **takes})

    return st.sampled_from(list(ACTIONS)).flatmap(of)


def _held(state: State) -> dict[str, float]:
    held: dict[str, float] = {}
    for _, vessel in state.vessels:
        for name, grams in vessel.lines:
            held[name] = held.get(name, 0.0) + grams
    return held


def _total(state: State, of: str) -> float:
    if of == "mass":
        return sum(v.grams + v.evaporated for _, v in state.vessels)
    if of == "water":
        return sum(follows.water(v) + v.evaporated for _, v in state.vessels)
    return sum(follows.part(v, "gelatin") for _, v in state.vessels)


def _bought(deed: dict[str, Any], scale: float) -> dict[str, float]:
    """What an action takes from the stores."""
    if deed["do"] == "weigh":
        grams = deed["grams"]
        return {deed["what"]: round(grams / scale) * scale if grams >= scale else grams}
    if deed["do"] == "soak":
        return {deed["what"]: deed["grams"], "water": deed["water"]}
    return {}


def _whole(state: State) -> None:
    """Every number is finite and in its range."""
    for name, vessel in state.vessels:
        assert all(g >= -1e-5 for _, g in vessel.lines), name
        assert vessel.evaporated >= 0
        assert follows.water(vessel) >= -1e-3
        assert -30 < vessel.celsius < 130
        for share in (vessel.strength, vessel.lumps, vessel.swollen, vessel.specks, vessel.streaks):
            assert 0 <= share <= 1
        assert 0 <= vessel.air <= follows.number("most air") + 1e-6
        assert all(a[0] <= b[0] for a, b in zip(vessel.history, vessel.history[1:], strict=False))
    cakes = state.cakes
    numbers = [getattr(cakes, n) for n in cakes.__dataclass_fields__]
    assert all(math.isfinite(n) for n in numbers if isinstance(n, float))
    assert cakes.frost >= 0
    assert 0 <= cakes.covered <= 100


@settings(max_examples=6, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)
@given(deeds=st.lists(_deeds(), min_size=200, max_size=200), seed=st.integers(0, 9))
def test_water_mass_and_gelatin_are_conserved_over_any_run(
    deeds: list[dict[str, Any]], seed: int
) -> None:
    run = begin(KITCHEN, surprises=tuple(SURPRISES)[seed % 6 : seed % 6 + 1])
    state = beginning(run.conditions)
    bought = _held(state)
    safe = [{"do": "check pan"}, {"do": "cold water"}]
    for deed in [*safe, *deeds]:
        outcome = act(run.conditions, state, deed)
        then = outcome.state
        if not outcome.stop and not outcome.refused:
            for name, grams in _bought(deed, 1.0).items():
                bought[name] = bought.get(name, 0.0) + grams
        assert then.clock >= state.clock
        _whole(then)
        assert rounded(then) == then
        state = then
    held = _held(state)
    for name, grams in bought.items():
        assert held.get(name, 0.0) == pytest.approx(grams, abs=2e-3), name
    stores = Vessel(lines=tuple((n, g) for n, g in bought.items() if g))
    assert _total(state, "mass") == pytest.approx(stores.grams, abs=5e-3)
    if stores.lines:
        for part, whole in (
            ("water", follows.water(stores)),
            ("gelatin", follows.part(stores, "gelatin")),
        ):
            assert _total(state, part) == pytest.approx(whole, abs=5e-3)


@settings(max_examples=40, deadline=None)
@given(
    a=st.tuples(st.floats(5, 2000), st.floats(0, 100)),
    b=st.tuples(st.floats(5, 2000), st.floats(0, 100)),
)
def test_two_lots_keep_their_heat(a: tuple[float, float], b: tuple[float, float]) -> None:
    lots = [Vessel(lines=(("sugar", g),), celsius=t) for g, t in (a, b)]
    both = follows.together(*lots)
    heat = sum(lot.grams * lot.celsius for lot in lots)
    assert both.grams * both.celsius == pytest.approx(heat, rel=1e-9)


def test_the_hob_gives_no_more_heat_than_its_power() -> None:
    run = begin(KITCHEN)
    pan = Vessel(lines=(("water", 600.0), ("sugar", 300.0)), celsius=20.0)
    then, seconds = follows.heated(pan, run.conditions, 600.0, lambda _: False)
    given = 2000 * 0.7 * seconds  # an electric ring
    warm = pan.grams / 1000 * follows.HEAT * (then.celsius - pan.celsius)
    steam = then.evaporated / 1000 * 2.257e6  # J/kg at 100 °C, IAPWS
    assert seconds == 600
    assert warm + steam == pytest.approx(given, rel=0.02)


def test_a_run_replays_exactly_from_its_file() -> None:
    run = played(careful(), begin(KITCHEN, SURPRISED, "bench 4"))
    again = read_log(written_log(run))
    assert again.state == run.state
    assert [o.seen for o in again.outcomes] == [o.seen for o in run.outcomes]
    assert written_log(again) == written_log(run)


def test_a_state_comes_back_from_json() -> None:
    state = played(careful()[:20]).state
    assert from_json(json.loads(json.dumps(to_json(state)))) == state


def test_a_log_that_was_changed_is_told() -> None:
    text = written_log(played(careful())).replace('"minutes": 12.0', '"minutes": 2.0')
    with pytest.raises(FaultsError, match="does not end as it says"):
        read_log(text)


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"kitchen": 3}', "null"])
def test_what_is_no_log_is_told(text: str) -> None:
    with pytest.raises(FaultsError, match="is not the log of a run"):
        read_log(text)


def test_a_kitchen_that_is_none_is_told() -> None:
    held = json.loads(written_log(begin(KITCHEN)))
    for cakes in (3, [3]):
        kitchen = {**KITCHEN, "cakes": cakes}
        own = {"kitchen": kitchen, "kitchen digest": kitchen_digest(kitchen)}
        with pytest.raises(FaultsError, match=r"kitchen that can.t be read|can.t be done again"):
            read_log(json.dumps({**held, **own}))


def test_a_kitchen_that_was_changed_is_told() -> None:
    held = json.loads(written_log(begin(KITCHEN)))
    text = json.dumps({**held, "kitchen": {**KITCHEN, "room": "18 °C"}})
    with pytest.raises(FaultsError, match="has another kitchen than it says"):
        read_log(text)


def test_a_kitchen_is_the_same_with_other_prices_and_names_and_no_other() -> None:
    dearer = [[name, mass, "99 EUR", "1 kg"] for name, mass, _, _ in KITCHEN["formula"]]
    same = {**KITCHEN, "formula": dearer, "local_contact": "bench 1", "formula_name": "Ours"}
    assert kitchen_digest(same) == kitchen_digest(KITCHEN)
    more = [["water", "231 g", "", ""], *KITCHEN["formula"][1:]]
    for key, value in {"formula": more, "room": "23 °C", "jug": "12 cm"}.items():
        assert kitchen_digest({**KITCHEN, key: value}) != kitchen_digest(KITCHEN)


@pytest.mark.parametrize(
    ("key", "value", "words"),
    [
        ("dry run", 1, "another version"),
        ("dry run", True, "another version"),
        ("way", "quick", "way that is not known"),
        ("surprises", ["flood"], "surprise that is not known"),
        ("actions", [{"do": "wipe"}] * (MOST_ACTIONS + 1), "too many actions"),
        ("actions", [{"do": "cold water"}, {"do": "fly"}], "step 2: can't be done there"),
        ("actions", [3], "is not the log of a run"),
        ("ends", "0", "does not end as it says"),
    ],
)
def test_a_log_says_what_is_wrong_with_it(key: str, value: Any, words: str) -> None:
    held = json.loads(written_log(begin(KITCHEN)))
    with pytest.raises(FaultsError, match=words):
        read_log(json.dumps({**held, key: value}))


@settings(max_examples=8, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)
@given(
    deeds=st.lists(_deeds(), min_size=60, max_size=60),
    seed=st.text(max_size=12),
    way=st.sampled_from(WAYS),
)
def test_any_run_replays_exactly_from_its_file(
    deeds: list[dict[str, Any]], seed: str, way: str
) -> None:
    run = begin(KITCHEN, way, seed)
    for deed in [{"do": "check pan"}, {"do": "cold water"}, *deeds]:
        run, _ = run.then(deed)
    text = written_log(run)
    again = read_log(text)
    assert again.state == run.state
    assert [o.seen for o in again.outcomes] == [o.seen for o in run.outcomes]
    assert written_log(again) == text


@pytest.mark.parametrize(
    ("deed", "words"),
    [
        ({"do": "fly"}, "is not known"),
        ({"do": "soak", "minutes": 5000.0}, "out of range"),
        ({"do": "soak", "minutes": "ten"}, "is not a number"),
        ({"do": "cool", "where": "moon"}, "is not one of its words"),
        ({"do": "wipe", "twice": True}, "is not taken by it"),
        ({"do": "pour"}, "is empty"),
    ],
)
def test_what_can_not_be_done_is_told_and_not_kept(deed: dict[str, Any], words: str) -> None:
    run = begin(KITCHEN)
    then, outcome = run.then(deed)
    assert words in outcome.refused
    assert then.actions == ()
    assert then.state == run.state


def test_surprises_are_drawn_from_the_seed_alone() -> None:
    seeds = [str(n) for n in range(60)]
    assert [drawn(s) for s in seeds] == [drawn(s) for s in seeds]
    assert {name for s in seeds for name in drawn(s)} == set(SURPRISES)
    assert all(len(set(drawn(s))) == len(drawn(s)) for s in seeds)


def test_the_hidden_state_is_never_told() -> None:
    run = played(careful(), begin(KITCHEN, surprises=("thermometer", "gelatin")))
    told = " ".join(words for o in run.outcomes for _, words in o.seen)
    for hidden in ("strength", "viscosity", "Pa s", "bloom", "160", "µm"):
        assert hidden not in told


def test_a_step_and_a_judgement_answer_in_time() -> None:
    played(careful())  # tables are read once

    def steps() -> list[float]:
        run, slow = begin(KITCHEN), []
        for deed in careful():
            began = time.process_time()
            run, _ = run.then(deed)
            slow.append(time.process_time() - began)
        return slow

    slow = [min(each) for each in zip(*(steps() for _ in range(3)), strict=True)]
    assert sorted(slow)[-3] < 0.05
    assert max(slow) < 0.15
    left = [a for a in careful() if a["do"] not in ("wipe", "sieve", "cover")]
    within(5, lambda: judge(played(left)))


def test_a_judgement_stops_looking_when_its_time_is_over() -> None:
    run = played([a for a in careful() if a["do"] != "blend"])
    ticks = iter(range(1000))
    assert not judge(run, seconds=0.5, now=lambda: float(next(ticks))).whole
