"""What a run shows of the rows of the observation sheet, and what it can't."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest

from exercises.observing import rows as rows_module
from exercises.rehearsal import watched
from exercises.rehearsal.log import Run, begin
from exercises.rehearsal.watched import DONE, NOT_DONE, NOT_HERE, NOT_REACHED, STATES, comment
from tests.exercises.rehearsal.kitchens_of_rehearsal import KITCHEN, careful, played
from tests.exercises.rehearsal.rows_of_rehearsal import MARBLED, asks

Actions = list[dict[str, Any]]


def rows(run: Run, kitchen: dict[str, Any] | None = None) -> dict[str, dict[str, Any]]:
    told = comment(run, asks(kitchen))
    assert all(one["state"] in STATES for one in told["rows"])
    return {one["row"]: one for one in told["rows"]}


def of(actions: Actions, name: str, run: Run | None = None) -> tuple[str, str]:
    one = rows(played(actions, run))[name]
    return one["state"], one["because"]


def place(actions: Actions, do: str) -> int:
    return next(n for n, a in enumerate(actions) if a["do"] == do)


def before(do: str, *more: dict[str, Any]) -> Actions:
    n = place(careful(), do)
    return [*careful()[:n], *more, *careful()[n:]]


def without(*names: str) -> Actions:
    return [a for a in careful() if a["do"] not in names]


BATH = {"do": "cool", "vessel": "jug", "where": "bath", "minutes": 90.0}


def test_every_row_of_the_sheet_has_a_look_or_a_reason() -> None:
    path = Path(rows_module.__file__).with_name("rows.toml")
    ids = {one["id"] for one in tomllib.loads(path.read_text(encoding="utf-8"))["row"]}
    assert ids == {*watched._ROWS, *watched._NOT_HERE}


def test_the_method_shows_its_rows_in_the_order_of_the_clock() -> None:
    told = rows(played(careful()))
    assert {name for name, one in told.items() if one["state"] == DONE} >= {
        *("water", "blade", "layers", "window", "wiped", "coat", "edges", "trim")
    }
    assert not any(one["state"] == NOT_REACHED for one in told.values())
    names = ("water", "blade", "layers", "window", "trim")
    times = [told[name]["minutes"] for name in names]
    assert times == sorted(times)


def test_what_nobody_can_see_is_said_and_never_judged() -> None:
    for run in (begin(KITCHEN), played(careful())):
        told = rows(run)
        for name in ("plan", "hands", "bubbles", "one pour", "own eye"):
            assert told[name]["state"] == NOT_HERE
            assert told[name]["minutes"] is None
            assert told[name]["because"]


def test_a_run_that_has_not_begun_has_reached_nothing() -> None:
    states = {one["state"] for one in rows(begin(KITCHEN)).values()}
    assert states == {NOT_REACHED, NOT_HERE}


def test_water_after_the_hob_is_not_done_even_where_it_came_later() -> None:
    assert of(careful(), "water")[0] == DONE
    late = [
        *without("cold water")[: place(without("cold water"), "heat") + 1],
        {"do": "cold water"},
    ]
    state, because = of(late, "water")
    assert state == NOT_DONE
    assert "no cold water" in because


def test_what_the_pan_lost_goes_back_within_five_grams() -> None:
    boil = {"do": "heat", "vessel": "pan", "until": 0.0, "minutes": 6.0}
    long = before("take off", boil)
    state, because = of(long, "pan")
    assert state == NOT_DONE
    lost = int(because.split(" g")[0].split()[-1]) - 2
    assert lost > 50
    back = {"do": "weigh", "what": "water", "into": "pan", "grams": float(lost)}
    n = place(long, "add gelatin")
    state, because = of([*long[:n], back, *long[n:]], "pan")
    assert state == DONE
    assert "g of water went back" in because
    too_late = [*long[: n + 1], back, *long[n + 1 :]]
    assert of(too_late, "pan")[0] == NOT_DONE


def test_a_guard_near_the_surface_is_told_with_its_depth() -> None:
    high = before("sieve", {"do": "blend", "vessel": "jug", "seconds": 20.0, "lifted": 9.0})
    assert of(high, "blade") == (NOT_DONE, "The guard stood bare.")
    assert of(without("blend"), "blade")[0] == NOT_REACHED


def test_layers_that_were_stirred_are_not_layers() -> None:
    stir = {"do": "blend", "vessel": "jug", "seconds": 5.0}
    n = place(careful(), "layer")
    assert of([*careful()[: n + 1], stir, *careful()[n + 1 :]], "layers")[0] == NOT_DONE
    after = place(careful(), "pour")
    assert of([*careful()[: after + 1], stir, *careful()[after + 1 :]], "layers")[0] == DONE
    assert of(without("layer"), "layers") == (NOT_DONE, "Nothing was layered.")


@pytest.mark.parametrize(("celsius", "state"), [(38.0, NOT_DONE), (32.0, DONE), (28.5, NOT_DONE)])
def test_the_window_is_that_of_the_kitchen(celsius: float, state: str) -> None:
    bath = celsius + (10.0 if celsius > 33 else -10.0)
    told = of(before("trial pour", {**BATH, "bath": bath, "until": celsius}), "window")
    assert told[0] == state
    assert "°C at the pour" in told[1]


def test_a_wrong_thermometer_is_looked_through() -> None:
    run = begin(KITCHEN, surprises=("thermometer",))
    actions = [
        a for a in before("trial pour", {**BATH, "bath": 20.0, "until": 32.0})
        if a["do"] != "check thermometer"
    ]  # fmt: skip
    state, because = of(actions, "window", run)
    assert state == NOT_DONE
    assert re.search(r"had 2[89]\.\d °C .* showed 3[12]\.\d °C", because)


def test_frost_that_came_back_is_not_wiped() -> None:
    assert of(careful(), "wiped")[0] == DONE
    assert of(without("wipe"), "wiped")[0] == NOT_DONE
    state, because = of(before("pour", {**BATH, "bath": 32.5, "minutes": 40.0}), "wiped")
    assert state == NOT_DONE
    assert "frost had come back" in because


def test_a_coat_beyond_what_the_window_gives_is_told_with_both_numbers() -> None:
    assert of(careful(), "coat")[0] == DONE
    heavy = before("trial pour", {**BATH, "bath": 15.0, "until": 26.5})
    state, because = of(heavy, "coat")
    assert state == NOT_DONE
    assert "in its window this glaze gives" in because


def test_colours_of_unlike_thickness_have_no_clear_edges() -> None:
    apart = {"do": "cool", "vessel": "jug 2", "where": "bench", "minutes": 60.0}
    actions = [apart if a["do"] == "one bath" else a for a in careful()]
    assert of(actions, "edges")[0] == NOT_DONE


def test_a_plain_glaze_has_its_own_rows() -> None:
    told = rows(played(careful()), KITCHEN)
    assert "edges" not in told
    assert told["foot"]["state"] == DONE
    little = [{**a, "grams": 250.0} if a["do"] == "pour" else a for a in careful()]
    told = rows(played(little), KITCHEN)
    assert (told["foot"]["state"], told["surface"]["state"]) == (NOT_DONE, NOT_DONE)
    assert "bare patches" in told["surface"]["because"].lower()


def test_an_untrimmed_foot_is_not_done() -> None:
    assert of(without("trim"), "trim")[0] == NOT_DONE


def test_every_stop_is_told_once_and_no_comment_holds_a_mark() -> None:
    run = played([*careful()[: place(careful(), "check pan")], *[{"do": "heat"}] * 2])
    told = comment(run, asks(MARBLED))
    assert len(told["stops"]) == 1
    assert "Look at the pan first" in told["stops"][0]
    assert told["steps"] == len(run.actions)
    whole = str(told).lower()
    for word in ("mark", "passed", "'met'", "outcome"):
        assert word not in whole
