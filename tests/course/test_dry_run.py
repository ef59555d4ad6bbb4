"""The page of the dry run tells what the model says, and goes on where it was left."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest

from calculators.faults import FaultsError
from course.dry_run.page import dry_run_page
from course.dry_run.saying import sentence
from course.dry_run.telling import Telling, clock
from course.live.answers import Answers
from exercises.craft import plates
from exercises.rehearsal.deeds import ACTIONS
from exercises.rehearsal.log import read_log
from tests.exercises.rehearsal.kitchens_of_rehearsal import KITCHEN, careful


@pytest.fixture
def telling() -> Telling:
    return Telling(KITCHEN, {"pour": "When do you pour?"})


def guided(telling: Telling, most: int = 60) -> dict[str, Any]:
    told = telling.answer({"way": "guided"}, None)
    for _ in range(most):
        if not told["next"]:
            break
        told = telling.answer(told["log"], told["next"]["deed"])
        assert not told["stop"]
        assert not told["refused"]
    return told


def test_a_guided_run_comes_to_its_end_and_every_step_has_a_reason(telling: Telling) -> None:
    told = telling.answer({"way": "guided"}, None)
    assert told["next"]["why"]
    assert guided(telling)["next"] is None
    end = telling.answer(guided(telling)["log"], {"do": "end"})
    assert "The cake at the end" in end["end"]
    assert "bare patches" not in end["end"]
    assert read_log(end["file"]).state.cakes.plated


def test_a_reload_goes_on_where_it_was_left(telling: Telling) -> None:
    told = guided(telling, 12)
    again = Telling(KITCHEN, {}).answer(json.loads(json.dumps(told["log"])), None)
    assert again["bench"] == told["bench"]
    assert again["clock"] == told["clock"]
    assert again["next"] == told["next"]


def test_the_browser_calls_it_as_it_calls_the_panels() -> None:
    answers = Answers({"kitchen": KITCHEN, "values": {}})
    told = json.loads(answers.call(json.dumps(["dry_run", {"way": "free"}, {"do": "cold water"}])))
    assert told["said"] == [
        ["you see", "A wide bowl of cold water stands within reach of the hob."]
    ]
    assert told["done"] == ["Set a bowl of cold water beside the hob"]
    assert told["next"] is None


def test_a_stop_and_a_refusal_are_told(telling: Telling) -> None:
    told = telling.answer(
        {"way": "free"}, {"do": "weigh", "what": "sugar", "into": "pan", "grams": 300}
    )
    stopped = telling.answer(told["log"], {"do": "heat"})
    assert "Look at the pan first" in stopped["stop"]
    refused = telling.answer(told["log"], {"do": "pour"})
    assert "is empty" in refused["refused"]
    assert refused["log"] == told["log"]


def test_what_is_drawn_is_told_and_what_is_written_is_escaped(telling: Telling) -> None:
    told = telling.answer(
        {"way": "free"}, {"do": "weigh", "what": "sugar", "into": "pan", "grams": 900}
    )
    assert 'role="img"' in told["bench"]
    assert "The pan is" in told["bench"]
    with pytest.raises(FaultsError):
        telling.answer({"way": "<b>"}, None)
    odd = telling.answer({"way": "free"}, {"do": "weigh", "what": "<b>"})
    assert "is not" in odd["refused"]


def test_the_reasons_say_what_to_do_and_lead_to_the_lesson(telling: Telling) -> None:
    log = {"way": "free", "actions": [a for a in careful() if a["do"] != "one bath"]}
    end = telling.answer(log, {"do": "end"})["end"]
    assert "Missing: Hold all jugs in one bath" in end
    back = [int(n) for n in re.findall(r'data-back="(\d+)"', end)]
    assert all(0 <= n <= len(log["actions"]) for n in back)
    late = {"do": "cool", "vessel": "jug", "where": "bath", "bath": 50, "until": 42, "minutes": 60}
    place = next(n for n, a in enumerate(careful()) if a["do"] == "trial pour")
    hot = [*careful()[:place], late, *careful()[place:]]
    end = telling.answer({"way": "free", "actions": hot}, {"do": "end"})["end"]
    assert '<a href="lessons/pour.html">When do you pour?</a>' in end
    assert f'data-back="{place}"' in end


def test_the_nearest_plate_stands_at_the_end_with_its_numbers_and_says_that_it_is_rendered(
    telling: Telling,
) -> None:
    end = telling.answer({"way": "free", "actions": careful()}, {"do": "end"})["end"]
    shown = re.search(r'src="_static/plates/(\w+)-800.webp".*? alt="([^"]+)"', end)
    assert shown
    plate = plates.plate(shown[1])
    assert plate.use == "shown"
    assert shown[2] == plate.alt
    assert plates.DISCLAIMER in end
    assert "Your cake is 0.0 away from this plate" in end
    assert '<th scope="row">coat</th>' in end.partition("The plate that is nearest")[2]


def test_a_cake_that_no_plate_is_near_to_is_told_so(telling: Telling) -> None:
    bare = [{**a, "grams": 250.0} if a["do"] == "pour" else a for a in careful()]
    end = telling.answer({"way": "free", "actions": bare}, {"do": "end"})["end"]
    assert "No plate of this course looks like this cake" in end
    assert "most of all by bare" in end
    assert "<img" not in end


def test_a_plate_whose_place_a_photograph_takes_is_not_called_rendered() -> None:
    told = Telling(KITCHEN, {}, [p.id for p in plates.of_state("right")])
    end = told.answer({"way": "free", "actions": careful()}, {"do": "end"})["end"]
    assert all(f"plates/{p.id}-" not in end for p in plates.of_state("right"))


def test_a_formula_that_gelatin_does_not_set_says_what_is_not_worked_out() -> None:
    formula = [["water", "350 g", "", ""], ["sugar", "350 g", "", ""], ["agar", "5 g", "", ""]]
    end = Telling({**KITCHEN, "formula": formula}, {}).answer({"way": "free"}, {"do": "end"})["end"]
    assert "no gelatin is in this formula" in end
    assert "no gelatin" not in Telling(KITCHEN, {}).answer({}, {"do": "end"})["end"]


@pytest.mark.parametrize("name", sorted(ACTIONS))
def test_every_action_can_be_said(name: str) -> None:
    assert sentence({"do": name}).startswith(ACTIONS[name].says)


def test_an_action_is_said_as_a_cook_would_say_it() -> None:
    bath = {"do": "cool", "vessel": "jug", "where": "bath", "bath": 1, "until": 8, "minutes": 90}
    assert (
        sentence(bath)
        == "Let it stand: the jug, in water of 1 °C, until it shows 8 °C, at most 90 min"
    )
    bench = {**bath, "where": "bench", "until": 0}
    assert sentence(bench) == "Let it stand: the jug, on the bench, 90 min"


def test_the_clock_is_said_in_words() -> None:
    assert clock(59.6) == "1 h 00 min"
    assert clock(12) == "12 min"


def test_without_a_script_the_page_says_what_to_do_instead() -> None:
    assert "data-live" not in dry_run_page(live=False)
    assert "with a partner" in dry_run_page(live=False)
    page = dry_run_page(live=True)
    for box in re.findall(r'<label for="([^"]+)"', page):
        assert f'id="{box}"' in page
