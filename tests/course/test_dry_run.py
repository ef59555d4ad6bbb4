"""The page of the dry run tells what the model says, and goes on where it was left."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest

from calculators.faults import FaultsError
from course.demo import FOLDER
from course.dry_run.page import dry_run_page
from course.dry_run.telling import Telling
from course.live.answers import Answers
from course.making.blocks import setting_of
from course.scheme.reading import read_scheme
from exercises.rehearsal.deeds import ACTIONS
from exercises.rehearsal.log import FREE, SURPRISED, begin, read_log, written_log
from exercises.rehearsal.saying import clock, sentence
from tests.exercises.rehearsal.kitchens_of_rehearsal import KITCHEN, careful, played


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
    saved = telling.answer(end["log"], {"do": "save"})
    assert read_log(saved["file"]).state.cakes.plated


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


# --- set for a class, saved and loaded ---------------------------------------------------

SET: dict[str, Any] = {
    "name": "before-the-pour",
    "title": "Before the pour",
    "way": SURPRISED,
    "seed": "spring",
    "surprises": ["frost"],
    "formula": [],
    "hand in by": "2027-03-22",
}


def test_a_run_that_was_set_comes_as_it_was_set_and_names_itself_in_its_file() -> None:
    told = Telling(KITCHEN, {}, [SET]).answer({"run": "before-the-pour", "way": FREE}, None)
    log = {**told["log"], "student": " Ada  Linden "}
    saved = Telling(KITCHEN, {}, [SET]).answer(log, {"do": "save"})
    run = read_log(saved["file"])
    assert (run.way, run.seed, run.surprises) == (SURPRISED, "spring", ("frost",))
    assert (run.name, run.student) == ("before-the-pour", "Ada Linden")
    assert saved["file_name"] == "before-the-pour-Ada-Linden.run.json"
    assert saved["log"] == log


def test_a_run_with_a_glaze_of_its_own_is_done_with_that_glaze() -> None:
    formula = [["water", "250 g", "", ""], *KITCHEN["formula"][1:]]
    telling = Telling(KITCHEN, {}, [{**SET, "formula": formula}])
    saved = telling.answer({"run": "before-the-pour"}, {"do": "save"})
    assert read_log(saved["file"]).kitchen["formula"] == formula


def test_a_loaded_run_is_gone_through_step_by_step_and_left_at_any_step(telling: Telling) -> None:
    run = played(careful()[:4])
    told = telling.answer({}, {"do": "load", "file": written_log(run)})
    assert told["done"] == []
    steps = [told["next"]["says"]]
    while told["next"]:
        told = telling.answer(told["log"], told["next"]["deed"])
        steps.append(told["next"] and told["next"]["says"])
    assert steps == [*(sentence(a) for a in run.actions), None]
    assert told["bench"] == telling.answer({"actions": run.actions}, None)["bench"]
    told = telling.answer({}, {"do": "load", "file": written_log(run)})
    other = telling.answer(told["log"], {"do": "cold water"})
    assert (len(other["done"]), other["log"]["ahead"]) == (1, [])
    refused = telling.answer(told["log"], {"do": "pour"})
    assert refused["log"]["ahead"] == told["log"]["ahead"]


def test_the_end_of_a_loaded_run_is_its_own_end(telling: Telling) -> None:
    run = played(careful())
    told = telling.answer({}, {"do": "load", "file": written_log(run)})
    ended = telling.answer(told["log"], {"do": "end"})
    assert len(ended["done"]) == len(run.actions)
    own = telling.answer({"actions": run.actions}, {"do": "end"})
    assert ended["end"] == own["end"]
    assert telling.answer(ended["log"], {"do": "save"})["file"] == written_log(run)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is not the log of a run"),
        ("x" * 500_000, "is too long"),
        (written_log(begin({**KITCHEN, "room": "18 °C"})), "comes from another kitchen"),
        (written_log(begin(KITCHEN, name="a-run")), "of a run that this course doesn't set"),
        (written_log(begin(KITCHEN, surprises=("frost",))), "has other surprises"),
        (written_log(begin(KITCHEN, seed="a")).replace('"ends": "', '"ends": "0'), "does not end"),
    ],
)
def test_a_file_that_can_not_be_loaded_says_why_and_takes_nothing_away(
    telling: Telling, text: str, words: str
) -> None:
    before = telling.answer({"way": FREE}, {"do": "cold water"})
    told = telling.answer(before["log"], {"do": "load", "file": text})
    assert words in told["refused"]
    assert told["log"] == before["log"]
    assert told["bench"] == before["bench"]


def test_the_page_offers_the_runs_that_were_set_by_name() -> None:
    runs = read_scheme(FOLDER / "scheme.toml").dry_runs.values()
    page = dry_run_page(live=True, runs=runs)
    assert '<option value="before-the-pour">Before the pour</option>' in page
    assert "to be handed in: Before the pour, by Monday 22 March 2027." in page
    assert "gb-which" not in dry_run_page(live=True)


def test_the_browser_knows_the_runs_that_a_scheme_sets() -> None:
    setting = setting_of(read_scheme(FOLDER / "scheme.toml"))
    asked = ["dry_run", {"run": "before-the-pour"}, {"do": "save"}]
    saved = json.loads(Answers(setting).call(json.dumps(asked)))
    assert read_log(saved["file"]).surprises == ("thermometer", "frost")


def test_without_a_script_the_page_says_what_to_do_instead() -> None:
    assert "data-live" not in dry_run_page(live=False)
    assert "with a partner" in dry_run_page(live=False)
    page = dry_run_page(live=True)
    for box in re.findall(r'<label for="([^"]+)"', page):
        assert f'id="{box}"' in page
