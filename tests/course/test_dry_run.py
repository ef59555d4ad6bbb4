"""The page of the dry run tells what the model says, and goes on where it was left."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest

from calculators.faults import FaultsError
from course.demo import FOLDER
from course.dry_run.ending import _verdict
from course.dry_run.page import dry_run_page
from course.dry_run.telling import GROUPS, Telling, card_html, forms
from course.lessons.modules import modules
from course.live.answers import Answers
from course.making import blocks
from course.making.blocks import setting_of
from course.making.lessons import LESSONS, read_lesson
from course.scheme.reading import read_scheme
from exercises.craft import plates
from exercises.rehearsal.consequences import coat_in_window
from exercises.rehearsal.deeds import ACTIONS, LABELS
from exercises.rehearsal.judgement import rows_from
from exercises.rehearsal.likeness import nearest
from exercises.rehearsal.log import FREE, SURPRISED, begin, read_log, written_log
from exercises.rehearsal.method import method
from exercises.rehearsal.saying import clock, other_way, sentence
from exercises.rehearsal.short import SHORTS, ShortRun
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


@pytest.mark.parametrize("name", ACTIONS)
def test_an_amount_that_is_refused_is_named_as_beside_its_box(name: str) -> None:
    run = begin(KITCHEN)
    said = {one["do"]: one for one in forms(run)}[name]
    numbers = [b for b in said["boxes"] if "start" in b]
    for box in numbers:
        _, outcome = run.then({"do": name, box["name"]: -1e9})
        shown = LABELS.get(box["name"], box["name"])
        assert box["label"].startswith(shown)
        assert outcome.refused.startswith(f"{said['says']}: {shown} is out of range")


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


def test_a_plate_as_it_should_be_beside_a_fault_says_what_a_picture_does_not_show(
    telling: Telling,
) -> None:
    words = "still is not as it should be"
    good = {"way": "free", "actions": careful()}
    assert words not in telling.answer(good, {"do": "end"})["end"]
    firm = [{**a, "grams": 24.0} if a["do"] == "soak" else a for a in careful()]
    warm = [{**a, "where": "bench"} if a.get("where") == "fridge" else a for a in careful()]
    for actions, wrong in ((firm, "set: how firm it is"), (warm, "clock: time in the warm")):
        run = played(actions)
        like = nearest(run.state, run.conditions)
        assert like is not None
        assert like.plate.kind == "right"
        end = telling.answer({"way": "free", "actions": actions}, {"do": "end"})["end"]
        assert wrong in end.partition(words)[2].partition(")")[0]


def test_a_number_just_outside_what_is_good_says_so_where_rounding_hides_it() -> None:
    conditions = begin(KITCHEN).conditions
    low = coat_in_window(conditions)[0] - 0.02
    (row,) = rows_from({"coat": float(f"{low:.2f}") - 0.004}, conditions)
    assert row.off >= 1
    assert "(just outside what is good: 0.2" in _verdict(row)
    (far,) = rows_from({"coat": low - 0.05}, conditions)
    assert "(good: 0.2" in _verdict(far)
    (whole,) = rows_from({"pits": 1.0}, conditions)
    assert "(good: up to 0.05" in _verdict(whole)


def test_a_cake_that_no_plate_is_near_to_is_told_so(telling: Telling) -> None:
    bare = [{**a, "grams": 250.0} if a["do"] == "pour" else a for a in careful()]
    end = telling.answer({"way": "free", "actions": bare}, {"do": "end"})["end"]
    assert "No plate of this course looks like this cake" in end
    assert "most of all by bare" in end
    assert "<img" not in end


def test_a_plate_whose_place_a_photograph_takes_is_not_called_rendered() -> None:
    told = Telling(KITCHEN, {}, (), [p.id for p in plates.of_state("right")])
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
        ("{", "is not the log of a run"),
        ('{"what": "something else"}', "is not the log of a run"),
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
    assert not re.search(r"This file:|[Hh]and |given:|Expecting", told["refused"])
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


def test_what_if_i_had_waited_is_answered_from_any_earlier_step(telling: Telling) -> None:
    run = {"way": "free", "actions": careful()}
    ask = {"do": "wait", "place": 0, "minutes": 10}
    assert "nothing moves that a pastry cook would notice" in telling.answer(run, ask)["waited"]
    pours = next(n for n, a in enumerate(careful()) if a["do"] == "pour")
    late = telling.answer(run, {**ask, "place": pours, "minutes": 30})
    assert f"Had all stood 30 min before step {pours + 1}, Pour over the cakes" in late["waited"]
    assert re.search(r"slide 0\.\d+ → 100 %", late["waited"])
    assert late["log"]["actions"] == careful()  # it only asks
    begun = telling.answer({"way": "free", "actions": careful()[:9]}, ask)["waited"]
    assert "Pour first" in begun
    for odd in ({"place": 999}, {"minutes": -5}, {"minutes": None}, {"place": "x"}):
        assert telling.answer(run, {**ask, **odd})["waited"].startswith("Write ")


def test_what_is_seen_has_a_plate_that_may_be_shown(telling: Telling) -> None:
    told, shown = telling.answer({"way": "free"}, None), {}
    for deed in careful():
        told = telling.answer(told["log"], deed)
        shown[deed["do"]] = re.findall(r"_static/plates/(\w+)-800", told["plate"])[:1]
    seen = {do: plates.plate(found[0]) for do, found in shown.items() if found}
    assert {do: one.state for do, one in seen.items()} == {
        "soak": "leaf soaked",
        "blend": "blade under",
        "layer": "layered jug",
        "trim": "trimming",
    }
    assert all(one.use == "shown" and plates.DISCLAIMER in one.caption for one in seen.values())


def test_a_player_is_told_the_formula_the_box_the_cakes_and_the_window(telling: Telling) -> None:
    card = telling.answer({"way": "free"}, None)["card"]
    for name, mass, *_ in KITCHEN["formula"]:
        assert name in card
        assert mass.partition(" ")[0] in card
    assert "your box says 200" in card
    assert "3 × cylinder" in card
    assert "The window: 31" in card
    weaker = Telling({**KITCHEN, "gelatin_grade": "silver", "gelatin_bloom": "160 bloom"}, {})
    assert "your box says 160" in weaker.answer({}, None)["card"]


def test_a_surprise_is_not_on_the_card() -> None:
    run = begin(KITCHEN, surprises=("gelatin", "thermometer"))
    assert card_html(run) == card_html(begin(KITCHEN))


def test_every_action_is_offered_under_what_it_is_for(telling: Telling) -> None:
    offered = telling.answer({"way": "free"}, None)["forms"]
    assert sorted(one["do"] for one in offered) == sorted(ACTIONS)
    assert [one["group"] for one in offered] == sorted(
        (one["group"] for one in offered), key=list(GROUPS).index
    )


def test_each_decision_that_mattered_leads_to_a_lesson_that_there_is() -> None:
    run = begin(KITCHEN)
    lessons = {slug for one in modules().values() for slug in one.lessons}
    assert {
        step.lesson or ACTIONS[step.deed["do"]].lesson for step in method(run.conditions)
    } <= lessons
    assert {one.lesson for one in ACTIONS.values()} <= lessons


# --- the short runs of the lessons ---------------------------------------------------------


@pytest.mark.parametrize("name", SHORTS)
def test_a_lesson_has_its_short_run_before_its_bench_task_and_counts_its_minutes(name: str) -> None:
    lesson = read_lesson(LESSONS / f"{SHORTS[name].lesson}.md")
    _, bench = lesson.text.split("## At the bench\n")
    assert bench.count(f"```{{short-run}} {name}\n") == lesson.text.count("{short-run}") == 1
    assert lesson.bench_time.startswith(
        f"5 minutes to rehearse it first, then about {lesson.bench}"
    )


@pytest.mark.parametrize("name", SHORTS)
def test_a_short_run_is_whole_without_a_script_and_every_box_has_its_label(name: str) -> None:
    answers = Answers({"kitchen": KITCHEN, "values": {}})
    dead = blocks.short_run(answers, name, "site", live=False)
    assert "data-live" not in dead
    assert "where scripts may run" in dead
    assert SHORTS[name].asks[:30] in dead
    assert 'role="img"' in dead
    live = blocks.short_run(answers, name, "site", live=True)
    assert f'data-live="short run" data-short="{name}"' in live
    for box in re.findall(r'<label for="([^"]+)"', live):
        assert f'id="{box}"' in live
    plain = blocks.short_run(answers, name, "plain")
    assert SHORTS[name].title in plain
    assert "<" not in plain


def test_a_short_run_ends_by_itself_with_its_consequence_and_the_way_on() -> None:
    answers = Answers({"kitchen": KITCHEN, "values": {}, "titles": {"pour": "How warm?"}})

    def ask(log: Any, deed: Any) -> dict[str, Any]:
        told: dict[str, Any] = json.loads(
            answers.call(json.dumps(["short_run", "blend", log, deed]))
        )
        return told

    told = ask(None, None)
    assert told["clock"] == "0 min"
    assert not told["over"]
    assert {one["do"] for one in told["forms"]} == set(ShortRun("blend", KITCHEN).takes)
    boxes = [box["name"] for one in told["forms"] for box in one["boxes"]]
    assert "vessel" not in boxes  # what is settled is not asked
    told = ask(told["log"], {"do": "blend", "seconds": 60, "lifted": 0})
    told = ask(told["log"], {"do": "pour"})
    assert told["over"]
    assert "The rest was done as the method does it" in told["end"]
    assert '<a href="../dry-run.html">The dry run</a>' in told["end"]
    assert '<a href="pour.html">How warm?</a>' in told["end"]
    assert 'src="_static' not in told["end"]
    back = [int(n) for n in re.findall(r'data-back="(\d+)"', told["end"])]
    assert back
    assert all(0 <= n <= 2 for n in back)
    assert ask(told["log"], None)["end"] == told["end"]  # after a reload


def test_a_kitchen_that_has_no_gelatin_says_so_in_place_of_the_run_of_soaking() -> None:
    formula = [["water", "350 g", "", ""], ["sugar", "350 g", "", ""], ["agar", "5 g", "", ""]]
    answers = Answers({"kitchen": {**KITCHEN, "formula": formula}, "values": {}})
    assert "not for this kitchen" in blocks.short_run(answers, "soak", "site")
    assert "data-short" in blocks.short_run(answers, "pour", "site")
    with pytest.raises(FaultsError, match="is not known"):
        blocks.short_run(answers, "juggle", "site")


def test_another_way_is_told_by_what_is_different() -> None:
    soak = {"do": "soak", "what": "gelatin leaf", "grams": 18.0, "water": 90.0, "minutes": 3.0}
    assert (
        other_way(soak, {**soak, "minutes": 12.0})
        == "Soak gelatin in cold water. You: 3 min. Instead: 12 min."
    )
    cool = {"do": "cool", "vessel": "jug", "where": "bench", "until": 0.0, "minutes": 20.0}
    assert other_way(cool, {**cool, "until": 33.0}) == (
        "Let it stand. You: 20 min. Instead: until it shows 33 °C, at most 20 min."
    )
    assert other_way({**cool, "until": 33.0}, cool) == (
        "Let it stand. You: until it shows 33 °C, at most 20 min. Instead: 20 min."
    )


def test_each_number_of_the_end_says_what_is_good_and_where_the_rest_of_the_glaze_is(
    telling: Telling,
) -> None:
    end = telling.answer({"way": "free", "actions": careful()}, {"do": "end"})["end"]
    assert re.search(r"0\.2\d to 0\.3\d g/cm²", end)
    assert "gloss (of a gloss meter)" in end
    assert "time in the warm, from boil to pour" in end
    assert re.search(r"g of glaze is neither on a cake nor in the tray: \d+ g ", end)
    assert "on the offcut" in end


def test_the_cakes_are_counted_and_the_pour_is_over_all_of_them(telling: Telling) -> None:
    told = telling.answer({"way": "free"}, {"do": "take cakes out"})
    assert "3 × cylinder on the rack: diameter 18 cm, height 4.5 cm" in told["said"][0][1]
    forms = telling.answer({"way": "free"}, None)["forms"]
    pour = next(one for one in forms if one["do"] == "pour")
    assert "over all cakes together" in pour["boxes"][1]["label"]


def test_a_run_that_stopped_says_how_often_in_words(telling: Telling) -> None:
    log: dict[str, Any] = {"way": "free", "actions": []}
    for deed in ({"do": "weigh", "grams": 300}, {"do": "heat"}, {"do": "heat"}):
        log = telling.answer(log, deed)["log"]
    assert "The run stopped twice for safety." in telling.answer(log, {"do": "end"})["end"]


def test_a_little_in_a_bowl_is_told_in_plain_words(telling: Telling) -> None:
    soak = {"do": "soak", "grams": 18, "water": 90, "minutes": 10}
    assert "There is only a little in the bowl." in telling.answer({"way": "free"}, soak)["bench"]
