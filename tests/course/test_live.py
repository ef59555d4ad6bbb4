"""What a panel and practice answer, what of the bank goes out, and what never does."""

from __future__ import annotations

import ast
import importlib
import json
import re
import shutil
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path
from threading import Thread
from urllib.request import Request, urlopen

import pytest

from calculators import syrup
from calculators.catalogue import subjects
from calculators.faults import FaultsError
from calculators.units import Measure, OneOf, declaration, q, read, say, written_units
from course.kit.docstrings import anchor
from course.live import forms, runtime
from course.live.answers import Answers, written
from course.live.snapshot import MEMORY, Started
from course.making.blocks import setting_of
from course.making.lessons import LESSONS
from course.making.running import cache_folder
from course.office import setting
from course.scheme import wizard
from course.scheme.reading import read_scheme
from course.site import building, reference
from course.site.show import server
from exercises.book.book import open_book
from exercises.questions import own, registry
from exercises.questions.answer_boxes import answer_boxes
from exercises.questions.building import again
from exercises.questions.parts import ChoicePart, DrawnQuantity, Option
from exercises.questions.parts.quantity import base
from exercises.questions.registry import Question, bank
from tests.browser.pages import DEMO, site_of
from tests.exercises.marked_class import down_the_road, right

pytestmark = pytest.mark.xdist_group(__name__)

PANEL_OF_LESSON = ("syrup.boiling_point", "brix: 75 %\naltitude: kitchen.altitude")
PANEL_OF_TESTS = ("syrup.boiling_point", {"brix": "75 %", "altitude": "430 m"})


@pytest.fixture(scope="module")
def answers() -> Answers:
    return Answers(setting_of(read_scheme(DEMO)))


def shown_ids() -> list[str]:
    """Return the practice questions that the pages of the demo's site show."""
    pages = (site_of() / "lessons").glob("*.html")
    found = (
        re.findall(r'class="gb-practice"[^>]* data-live="([^"]+)"', p.read_text("utf-8"))
        for p in pages
    )
    return sorted({ident for page in found for ident in page})


# --- panels ---------------------------------------------------------------------------


def test_a_panel_says_what_the_calculator_says(answers: Answers) -> None:
    out = answers.panel("syrup.density", {"brix": "65 %", "temperature": "22 °C"})
    assert out["text"] == say(syrup.density(q(65, "percent"), q(22, "degC")), places=1)
    assert out["faults"] == {}


def test_a_panel_takes_another_unit_and_a_decimal_comma(answers: Answers) -> None:
    metres = answers.panel("syrup.boiling_point", {"brix": "75 %", "altitude": "430 m"})
    other = answers.panel("syrup.boiling_point", {"brix": "75,0 %", "altitude": "0.43 km"})
    assert metres == other


def test_a_panel_tells_all_that_is_not_right_at_once_in_the_readers_words(
    answers: Answers,
) -> None:
    out = answers.panel("syrup.supersaturation", {"brix": "120 %", "temperature": "warm"})
    assert out["faults"] == {
        "brix": "This is out of range. It must be from 0 to 99 %. Check the number and its unit.",
        "temperature": "This does not begin with a number. A number is written with the "
        'digits 0 to 9 and a decimal point or comma. Write it like "12.5 g".',
    }
    assert out["html"] == out["text"] == ""


def test_a_number_without_its_unit_is_told_so(answers: Answers) -> None:
    out = answers.panel(
        "gelatin.swap",
        {"mass": "10", "wanted_bloom": "200 bloom", "held_bloom": "160 bloom"},
    )
    assert out["faults"] == {"mass": 'This has no unit. Write the unit too, like "10 g".'}


def test_a_band_is_shown_as_a_band(answers: Answers) -> None:
    out = answers.panel("gelatin.strength_left", {"temperature": "80 °C", "time": "30 min"})
    assert re.search(r"<strong>[\d.]+ to [\d.]+\s%</strong>", out["html"])
    assert "from memory" in out["html"]


def test_a_swap_that_is_told_in_a_sentence_adds_no_nought_to_it(
    answers: Answers,
) -> None:
    asked = {"mass": "280 g", "wanted": "confectioner", "held": "home pack"}
    shown = answers.panel("glucose.swap", asked)["html"]
    assert "leave out" in shown
    assert not re.search(r">0\s", shown)


def test_every_panel_of_a_lesson_that_has_several_boxes_is_a_sentence(answers: Answers) -> None:
    """A box named *First* or *Length* says nothing to who has no sentence around it."""
    bare, seen = [], 0
    for lesson in sorted(LESSONS.glob("*.md")):
        text = lesson.read_text(encoding="utf-8")
        for name, body in re.findall(r"^```\{calculator\} (\S+)\n(.*?)^```$", text, re.M | re.S):
            takes = forms.start_values(name, body)
            seen += 1
            if len(takes) > 2 and not forms.sentence(name, body):
                bare.append(f"{lesson.stem}: {name}")
    assert seen > 15
    assert bare == []


def test_a_cup_is_read_alike_in_the_lesson_and_in_its_panel(answers: Answers) -> None:
    text = (LESSONS / "blending.md").read_text(encoding="utf-8")
    name = "glaze_flow.viscosity_from_cup"
    block = re.search(rf"^```\{{calculator\}} {name}\n(.*?)^```$", text, re.M | re.S)
    assert block
    shown = read(answers.panel(name, forms.start_values(name, block[1]))["text"], "Pa*s").m
    said = json.loads(
        (Path(__file__).parents[1] / "lessons" / "blending.json").read_text(encoding="utf-8")
    )
    told = next(one["says"] for one in said if "how thick that glaze is" in str(one["says"]))
    assert read(told.split(":")[0], "Pa*s").m == pytest.approx(shown, rel=0.02)


def test_shares_that_make_no_whole_are_told_for_the_whole_panel(
    answers: Answers,
) -> None:
    out = answers.panel("marbling.dominance", {"shares.white": "50 %", "shares.red": "20 %"})
    assert out["faults"][""].startswith("The shares do not make a whole.")
    out = answers.panel("marbling.dominance", {"shares.white": "50 %", "shares.red": "much"})
    assert list(out["faults"]) == ["shares.red"]


def test_no_sentence_asks_a_reader_to_write_code(answers: Answers) -> None:
    given = {"shares.white": "50 %", "shares.red": "9 g"}
    says = answers.panel("marbling.dominance", given)["faults"]["shares.red"]
    assert says.startswith("This is not a share.")
    assert "q(" not in says


def test_a_list_is_written_with_semicolons(answers: Answers) -> None:
    out = answers.panel("syrup.blend", {"parts": "300 g / 65 %; 300 g / 35 %"})
    assert out["text"].startswith("600 g")
    assert "50" in out["text"]


def test_a_panel_starts_with_the_kitchen_of_the_scheme(answers: Answers) -> None:
    boxes = answers.fields("syrup.boiling_point", {"brix": "75 %", "altitude": "kitchen.altitude"})
    assert [(b.name, b.start, b.given) for b in boxes][:2] == [
        ("brix", "75 %", False),
        ("altitude", "430 m", False),
    ]
    assert boxes[2].words
    assert boxes[2].given


@pytest.mark.parametrize(
    ("name", "body", "says"),
    [
        ("syrup.sweets", "", "is not a calculator"),
        ("syrup._helper", "", "is not a calculator"),
        ("syrup.density", "strength: 65 %", "is not an argument"),
        ("syrup.density", "", "has nothing to start with"),
        ("syrup.density", "brix: much", "does not begin with a number"),
        ("syrup.density", "brix: kitchen.weather", "is not known of this kitchen"),
        ("syrup.density", "brix 65 %", "argument: value"),
        ("syrup.density", "brix: 99.9 %", "does not answer"),
    ],
)
def test_a_lesson_whose_panel_can_not_work_is_refused_when_it_is_built(
    answers: Answers, name: str, body: str, says: str
) -> None:
    with pytest.raises(FaultsError, match=re.escape(says)):
        forms.panel_html(answers, name, body, live=True)


def _middle(spec: Measure) -> str:
    low = spec.low if spec.low is not None else spec.above if spec.above is not None else 1
    high = spec.high if spec.high is not None else max(10 * abs(low), 10)
    return written(q(float(f"{low + (high - low) * 0.3:.3g}"), spec.unit_name))


def _nobody_writes(spec: Measure | OneOf, text: str) -> bool:
    """Tell whether a unit is one of those that the reader leaves to engineers: W/m/K."""
    if isinstance(spec, OneOf):
        return False
    return text.partition(" ")[2] not in {"", *written_units()}


ODD = {
    "as glossbook describe writes it": {},
    "of powder, in feet and inches": {
        "altitude": "7000 ft",
        "room": "90 °F",
        "jug": "5 in",
        "blade": "0.5 in",
        "gelatin_held": "powder",
        "gelatin_wanted": "powder",
        "region": "US",
    },
    "of one student and one cake": {
        "cakes": "1",
        "students": "1",
        "altitude": "-400 m",
        "room": "5 °C",
        "gelatin_held": "titanium",
        "gelatin_wanted": "bronze",
        "region": "Gulf",
    },
}


@pytest.mark.parametrize("answered", ODD)
def test_every_panel_of_every_lesson_answers_in_a_kitchen(tmp_path: Path, answered: str) -> None:
    path = tmp_path / "scheme.toml"
    path.write_text(wizard.write(ODD[answered]), encoding="utf-8")
    odd = Answers(setting_of(read_scheme(path)))
    blocks = [
        found.groups()
        for lesson in sorted(LESSONS.glob("*.md"))
        for found in re.finditer(
            r"^```\{calculator\} (\S+)\n(.*?)^```", lesson.read_text("utf-8"), re.M | re.S
        )
    ]
    blocks = [(name, body) for name, body in blocks if "{value}" not in body]
    assert len(blocks) > 5  # the others are computed: see test_odd_kitchens.py
    for name, body in blocks:
        assert 'class="gb-answer"' in forms.panel_html(odd, name, body, live=True)


def test_any_calculator_of_measures_and_words_can_stand_in_a_lesson(
    answers: Answers,
) -> None:
    held = 0
    for subject, functions in subjects().items():
        for name, function in functions.items():
            declared = declaration(function)
            assert declared
            needed = {a: s for a, s in declared.arguments.items() if a not in declared.defaults}
            if not all(isinstance(spec, Measure | OneOf) for spec in needed.values()):
                continue
            start = {
                arg: spec.words[0] if isinstance(spec, OneOf) else _middle(spec)
                for arg, spec in needed.items()
            }
            full = f"{subject}.{name}"
            if any(_nobody_writes(spec, start[arg]) for arg, spec in needed.items()):
                continue
            boxes = answers.fields(full, start)
            out = answers.panel(full, {box.name: box.start for box in boxes})
            held += 1
            assert bool(out["text"]) != bool(out["faults"]), full
            for text in (out["text"], *out["faults"].values()):
                assert not re.search(r"Quantity|Row\(|<\w|\bNone\b", text), (full, text)
    assert held > 80


def test_where_a_panel_comes_from_opens_in_two_sentences_and_a_link(answers: Answers) -> None:
    html = forms.panel_html(answers, *PANEL_OF_LESSON, live=True)
    told = re.search(r'<details class="gb-from">.*?</details>', html)
    assert told
    assert "<summary>Where it comes from</summary>" in told[0]
    assert "Water activity × vapour pressure of water = pressure of the air." in told[0]
    assert "good to 10 % up to 85 %" in told[0]
    assert "After: Starzak and Peacock (1997)" in told[0]
    assert 'href="../reference-syrup.html#calculator-syrup-boiling-point"' in told[0]


def test_every_panel_of_every_lesson_names_its_source_and_leads_to_its_place() -> None:
    pages = reference.reference_pages()
    for lesson in sorted(LESSONS.glob("*.md")):
        for name in re.findall(r"^```\{calculator\} (\S+)", lesson.read_text("utf-8"), re.M):
            _, source = forms.rule_and_source(name)
            assert source, name
            assert not re.search(r"[\[\]`_]|data/", source), (name, source)
            module = name.partition(".")[0]
            assert f"({anchor(name)})=" in pages[f"reference-{module}"]


# --- sketches ---------------------------------------------------------------------------


def test_the_pan_is_drawn_where_it_lies(answers: Answers) -> None:
    def says(brix: str) -> str:
        return str(
            answers.panel("syrup.supersaturation", {"brix": brix, "temperature": "20 °C"})["html"]
        )

    assert "lies above the curve" in says("75 %")
    assert "lies below the curve" in says("60 %")
    full = say(syrup.solubility(q(20, "degC")), digits=5).replace("\xa0", " ")
    assert "lies on the curve" in says(full)


def test_cooling_is_drawn_with_the_window_of_this_kitchen(answers: Answers) -> None:
    out = answers.panel(
        "cooling.time_to",
        {
            "target": "33 °C",
            "start": "60 °C",
            "surroundings": "22 °C",
            "time_constant": "100 min",
        },
    )
    assert "is inside this kitchen" in out["html"]
    assert "31 to 34 °C" in out["html"]


def test_a_marble_is_drawn_in_its_shares(answers: Answers) -> None:
    out = answers.panel("marbling.dominance", {"shares.white": "60 %", "shares.red": "0.4"})
    assert "white 60\xa0%, red 40\xa0%" in out["html"]


# --- practice -----------------------------------------------------------------------------


def test_every_practice_question_judges_right_and_wrong_roads(answers: Answers) -> None:
    for ident in shown_ids():
        for number in (1, 2, 3):
            asked = answers.asked(ident, number)
            keys = answer_boxes([asked])
            told = answers.judge(ident, number, {k.key: right(k) for k in keys})["verdicts"]
            assert {v["word"] for v in told.values()} == {"agrees"}, (
                ident,
                number,
                told,
            )
            good = {key.key: right(key) for key in keys}
            for key in keys:
                given = good | {key.key: down_the_road(key)}
                told = answers.judge(ident, number, given)["verdicts"][key.key]
                assert told["word"] != "agrees", (ident, number, key.key)


def test_practice_says_what_the_wrong_road_says(answers: Answers) -> None:
    asked = answers.asked("gelatin-swap-powder")
    key = answer_boxes([asked])[0]
    told = answers.judge("gelatin-swap-powder", 1, {"1a": down_the_road(key)})["verdicts"]["1a"]
    assert told["word"] == "look again"
    assert told["says"].endswith(key.part.roads[0].says)


def test_in_practice_no_assessor_will_look_and_the_reader_is_told_what_to_write(
    answers: Answers,
) -> None:
    size = answers.asked("gelatin-swap-powder", 1).parts[0].answer
    told = answers.judge("gelatin-swap-powder", 1, {"1a": f"{size / 1000:.7f}"})["verdicts"]["1a"]
    assert told["word"] == "can't be read"
    assert "assessor" not in told["says"]
    assert "Write one number and its unit." in told["says"]
    told = answers.judge("gelatin-swap-powder", 1, {"1a": f"ca. {size:.4f} g"})["verdicts"]["1a"]
    assert (told["word"], told["says"][:14]) == ("agrees", "Read as about ")


def test_what_can_not_be_read_and_what_is_not_there_are_told_apart(
    answers: Answers,
) -> None:
    told = answers.judge("gelatin-swap-powder", 1, {"1a": "some grams"})["verdicts"]["1a"]
    assert told["word"] == "can't be read"
    assert told["says"].startswith("It does not begin with a number.")
    told = answers.judge("gelatin-swap-powder", 1, {})["verdicts"]["1a"]
    assert told["word"] == "not answered yet"


def test_a_later_part_may_follow_from_an_own_earlier_answer(answers: Answers) -> None:
    followed = 0
    for ident in shown_ids():
        asked = answers.asked(ident)
        measured = {p.name: p for p in asked.parts if isinstance(p, DrawnQuantity)}
        for name, part in measured.items():
            if not part.follows or part.safety or asked.safety:
                continue
            own = {
                other: q(data.answer, data.base_unit).to(data.unit)
                for other, data in measured.items()
            }
            earlier = part.follows[0]
            own[earlier] = own[earlier] * 1.06
            asks = again(bank()[ident], asked.values)[0].parts["abcdefgh".index(name)]
            try:
                follows = asks.answer(own)
            except FaultsError:
                continue  # the calculators refuse what the slip leads to
            if abs(base(follows) - part.answer) < 3 * part.tolerance:
                continue  # the slip does not show here
            given = {f"1{earlier}": written(own[earlier]), f"1{name}": written(follows)}
            told = answers.judge(ident, 1, given)["verdicts"][f"1{name}"]
            assert told["word"] == "agrees", (ident, name, told)
            assert told["says"].startswith(f"Right from what you had in part {earlier}")
            followed += 1
    assert followed > 3


def test_other_numbers_are_other_numbers_and_the_same_for_ever(
    answers: Answers,
) -> None:
    first = answers.practice("gelatin-swap-powder", 1)["html"]
    assert answers.practice("gelatin-swap-powder", 2)["html"] != first
    assert Answers(answers._setting).practice("gelatin-swap-powder", 1)["html"] == first


def test_the_way_of_marking_units_is_that_of_the_scheme(answers: Answers) -> None:
    key = answer_boxes([answers.asked("gelatin-swap-powder")])[0]
    bare = {"1a": right(key).removesuffix(" g")}
    assert answers.judge("gelatin-swap-powder", 1, bare)["verdicts"]["1a"]["word"] == "near"
    lenient = Answers({**answers._setting, "policy": {"missing_unit": "assumed"}})
    assert lenient.judge("gelatin-swap-powder", 1, bare)["verdicts"]["1a"]["word"] == "agrees"


# --- what goes out ---------------------------------------------------------------------------


PLANTED = '''"""Notes of the lecturer: the answer to the exam is forty-two."""
from __future__ import annotations
from math import pi, sqrt
from calculators.units import q, say
from exercises.questions.parts import ChoicePart, Option
from exercises.questions.registry import question

_ONLY_ASSESSED = ("planted assessed table",)
_SHARED = ("planted shared table",)

def _helper(): return _SHARED

@question("planted-practice", outcome="gelatin-rule", level="decide", use="practice")
def practice(draw):
    # planted comment
    return ChoicePart(f"planted practice prompt {_helper()} {sqrt(4)}", [Option("x", True), Option("y")])

@question("planted-assessed", outcome="gelatin-rule", level="decide", use="assessed")
def assessed(draw):
    return ChoicePart("planted assessed prompt", [Option(_ONLY_ASSESSED[0], True), Option("y")])
'''


@pytest.fixture
def planted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[dict[str, Question]]:
    """Put a file with a practice and an assessed question into the bank for one test."""
    import exercises.questions.bank as package

    (tmp_path / "planted.py").write_text(PLANTED, encoding="utf-8")
    bank()
    monkeypatch.setattr(registry.bank, "cards", dict(registry.bank.cards))
    monkeypatch.setattr(package, "__path__", [*package.__path__, str(tmp_path)])
    importlib.import_module("exercises.questions.bank.planted")
    held = bank()
    assert {"planted-practice", "planted-assessed"} <= held.keys()
    yield held
    sys.modules.pop("exercises.questions.bank.planted", None)


def test_only_what_a_shown_question_reaches_goes_out(
    planted: dict[str, Question],
) -> None:
    files = runtime.shipped_bank(["planted-practice"])
    text = files["exercises/questions/bank/planted.py"].decode()
    for stays in (
        "assessed prompt",
        "assessed table",
        "forty-two",
        "planted comment",
        "pi",
    ):
        assert stays not in text.replace("planted-practice", "")
    for goes in ("planted practice prompt", "planted shared table", "sqrt"):
        assert goes in text


def test_an_assessed_question_is_refused_in_a_lesson(
    planted: dict[str, Question], answers: Answers
) -> None:
    with pytest.raises(FaultsError, match="planted-assessed"):
        runtime.shipped_bank(["planted-assessed"])
    with pytest.raises(FaultsError, match="planted-assessed"):
        answers.asked("planted-assessed")


def test_a_private_question_is_refused_in_a_lesson(
    answers: Answers, monkeypatch: pytest.MonkeyPatch
) -> None:
    def ask(draw: object) -> ChoicePart:
        return ChoicePart("secret", [Option("x", True), Option("y")])

    mine = Question("our-secret", ask, "gelatin-rule", "decide", "practice", private=True)
    monkeypatch.setattr(registry.bank, "cards", {**bank(), "our-secret": mine})
    with pytest.raises(FaultsError, match="our-secret"):
        answers.asked("our-secret")
    with pytest.raises(FaultsError, match="our-secret"):
        runtime.shipped_bank(["our-secret"])


def test_what_goes_out_works_by_itself(answers: Answers, tmp_path: Path) -> None:
    ids = shown_ids()
    files = runtime.libraries() | runtime.ours() | runtime.shipped_bank(ids)
    with zipfile.ZipFile(_written(tmp_path / "packages.zip", runtime.zipped(files))) as archive:
        archive.extractall(tmp_path / "alone")
    script = (
        "import sys, json; sys.path.insert(0, sys.argv[1]); "
        "from course.live.answers import Answers; "
        "call = Answers(json.load(sys.stdin)).call; "
        f"out = [call(json.dumps(['practice', ident, 2])) for ident in {ids!r}]; "
        "assert not {'sqlalchemy', 'matplotlib', 'exercises.book.book'} & set(sys.modules); "
        "print(json.dumps(out))"
    )
    said = subprocess.run(
        [sys.executable, "-S", "-I", "-c", script, str(tmp_path / "alone")],
        input=json.dumps(answers._setting),
        capture_output=True,
        text=True,
        check=False,
    )
    assert said.returncode == 0, said.stderr
    told = [json.loads(line)["html"] for line in json.loads(said.stdout)]
    assert told == [answers.practice(ident, 2)["html"] for ident in ids]


def _written(path: Path, data: bytes) -> Path:
    path.write_bytes(data)
    return path


# --- what never goes out ---------------------------------------------------------------------


OWN = """
[our-private-question]
outcome = "gelatin-rule"
level = "decide"
prompt = "Which planted private prompt is this?"
right = ["The planted private answer"]
worked = "The planted private solution."

[our-private-question.wrong]
"The planted private slip" = "The planted private hint."
"""
PAPER = """
[papers.our-paper]
title = "The planted private paper"
use = "assessed"
outcomes = ["gelatin-rule"]
decide = 1

[own]
questions = "questions"
"""


def _all_of(site: Path) -> Iterator[tuple[str, bytes]]:
    """Yield every file of a site; of a zip, also what is in it."""
    for path in sorted(site.rglob("*")):
        if path.is_file():
            data = path.read_bytes()
            yield path.relative_to(site).as_posix(), data
            if data[:2] == b"PK":
                with zipfile.ZipFile(path) as archive:
                    for name in archive.namelist():
                        yield f"{path.name}/{name}", archive.read(name)


def test_nothing_private_assessed_or_of_the_mark_book_is_in_any_file_of_the_site(
    tmp_path: Path, planted: dict[str, Question]
) -> None:
    text = DEMO.read_text(encoding="utf-8").split("[papers.")[0]
    text = re.sub(r"^modules = .*$", 'modules = ["kitchen", "gelatin"]', text, flags=re.MULTILINE)
    (tmp_path / "scheme.toml").write_text(text + PAPER, encoding="utf-8")
    (tmp_path / "class.csv").write_text("id,name\nsid-8812,Planted Studentname\n", encoding="utf-8")
    (tmp_path / "questions").mkdir()
    (tmp_path / "questions" / "ours.toml").write_text(OWN, encoding="utf-8")
    scheme = read_scheme(tmp_path / "scheme.toml")
    try:
        place = (tmp_path / "class.csv", tmp_path / "class.db", tmp_path / "sheets")
        setting.issue(scheme, "our-paper", *place, None, 1)
        setting.issue(scheme, "our-paper", *place, "M. Checker", 1)
        site = building.build(scheme, tmp_path / "site").site
        with open_book(tmp_path / "class.db") as held:
            (sheet,) = held.sheets()
    finally:
        own.forget()
    assert sheet.questions
    secrets = [
        "planted private",
        "planted assessed",
        "our-private-question",
        "our-paper",
        "planted-assessed",
        "Studentname",
        "sid-8812",
        sheet.token,
        sheet.seed,
        "markbook",
        "sqlalchemy",
    ]
    seen = 0
    for name, data in _all_of(site):
        seen += 1
        for secret in secrets:
            assert secret.encode() not in data, f"{secret} is in {name}"
            assert secret not in name
    assert seen > 100


def test_the_modules_that_hold_sheets_and_marks_are_not_shipped() -> None:
    names = set(runtime.ours())
    at_home = ("book", "sheets", "reports", "files")
    assert not [name for name in names if name.split("/")[1] in at_home]
    assert not [name for name in names if name.endswith(("/own.py", "/figures.py"))]
    home = "exercises/marking/"
    of_marking = {name.removeprefix(home) for name in names if name.startswith(home)}
    assert of_marking == {"__init__.py", "follow_through.py", "rules.py"}


# --- the runtime ------------------------------------------------------------------------------


def _no_way(place: Path) -> dict[str, bytes]:
    raise OSError("no network")


def test_without_the_runtime_the_site_is_built_and_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(runtime, "_by_npm", _no_way)
    monkeypatch.setattr(runtime, "_by_pip", _no_way)
    fetch = runtime.runtime
    monkeypatch.setattr(runtime, "runtime", lambda store: fetch(tmp_path / "empty"))
    text = re.sub(
        r"^modules = .*$",
        'modules = ["kitchen"]',
        DEMO.read_text("utf-8").split("[papers.")[0],
        flags=re.MULTILINE,
    )
    (tmp_path / "scheme.toml").write_text(text, encoding="utf-8")
    built = building.build(read_scheme(tmp_path / "scheme.toml"), tmp_path / "site")
    assert any("are left out: the browser's Python could not be fetched" in n for n in built.notes)
    page = (built.site / "lessons" / "thermometer-and-scale.html").read_text("utf-8")
    assert "live.js" not in page
    assert forms.WITHOUT_SAYS in page
    assert not (built.site / "_static" / "live").exists()


def test_a_file_that_is_not_the_pinned_one_is_not_taken(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(runtime, "_by_npm", lambda place: dict.fromkeys(runtime.FILES, b"other"))
    monkeypatch.setattr(runtime, "_by_pip", _no_way)
    with pytest.raises(FaultsError, match="is not the pinned file"):
        runtime.runtime(tmp_path)
    assert not (tmp_path / runtime.VERSION).exists()


def test_builds_at_once_pack_the_live_parts_into_an_empty_store(
    tmp_path: Path,
) -> None:
    (packed,) = (site_of() / "_static" / "live").iterdir()
    shutil.copytree(cache_folder() / "live" / runtime.VERSION, tmp_path / runtime.VERSION)
    with ProcessPoolExecutor(2, mp_context=get_context("spawn")) as pool:
        setting = setting_of(read_scheme(DEMO))
        builds = [pool.submit(runtime.pack, tmp_path, shown_ids(), setting) for _ in range(2)]
        first, second = (build.result() for build in builds)
    assert first.folder == second.folder
    made = {path.relative_to(first.folder) for path in first.folder.rglob("*")}
    assert made == {path.relative_to(packed) for path in packed.rglob("*")}
    assert not list((tmp_path / "drafts").iterdir())


def test_the_live_parts_weigh_at_most_what_is_promised() -> None:
    (folder,) = (site_of() / "_static" / "live").iterdir()

    def weight(*, quick: bool) -> int:
        names = runtime.first_files(quick=quick)
        return runtime.download({name: (folder / name).read_bytes() for name in names})

    assert weight(quick=False) <= 7.5e6
    assert weight(quick=True) <= 9.8e6  # a megabyte of Python that has started is worth a second


def test_the_memory_of_python_fits_into_what_a_new_one_has(tmp_path: Path) -> None:
    setting = setting_of(read_scheme(DEMO))
    packed = runtime.pack(cache_folder() / "live", shown_ids(), setting, [PANEL_OF_TESTS])
    assert isinstance(packed.started, Started)
    assert packed.started.used < packed.started.first == 30 * 2**20
    assert packed.started.silent == ()
    assert re.fullmatch(
        r"\d\.\d MiB left of the 30 MiB that a new Python has", packed.started.room
    ), packed.started.room


def test_a_first_call_that_does_not_answer_is_told(tmp_path: Path) -> None:
    setting = setting_of(read_scheme(DEMO))
    panels = [PANEL_OF_TESTS, ("syrup.sweets", {})]
    packed = runtime.pack(cache_folder() / "live", shown_ids(), setting, panels)
    assert isinstance(packed.started, Started)
    (silent,) = packed.started.silent
    assert "syrup.sweets" in silent
    assert "is not a calculator" in silent


def test_a_memory_that_outgrows_a_new_python_says_by_how_much() -> None:
    mebibyte = 2**20
    assert Started(b"", "", 32 * mebibyte, 30 * mebibyte).room.startswith("2.0 MiB more than ")


def test_without_node_the_plain_start_is_built_and_the_build_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    which = shutil.which
    monkeypatch.setattr(shutil, "which", lambda name: None if name == "node" else which(name))
    shutil.copytree(cache_folder() / "live" / runtime.VERSION, tmp_path / runtime.VERSION)
    packed = runtime.pack(tmp_path, ["gelatin-which-rule"], setting_of(read_scheme(DEMO)))
    assert list(packed.ways) == ["plain"]
    assert packed.started == "there is no Node here to compile it with"
    carried = {path.name for path in (packed.folder / "carried").iterdir()}
    assert carried == {f"{name}.js" for name in packed.ways["plain"]["carried"]}
    assert not (packed.folder / MEMORY).exists()


# --- serving -----------------------------------------------------------------------------------


def test_what_is_packed_imports_nothing_that_the_browsers_python_leaves_out() -> None:
    asked = {
        f"{name}/"
        for path, data in runtime.ours().items()
        if path.endswith(".py")
        for node in ast.walk(ast.parse(data))
        for name in (
            [one.name.replace(".", "/") for one in node.names]
            if isinstance(node, ast.Import)
            else [(node.module or "").replace(".", "/")]
            if isinstance(node, ast.ImportFrom)
            else []
        )
    }
    assert {"math/", "decimal/"} <= asked
    assert [name for name in asked if name.startswith(runtime.LEFT_OUT)] == []


def test_the_runtime_is_served_typed_packed_and_kept_for_ever() -> None:
    site = site_of()
    (folder,) = (site / "_static" / "live").iterdir()
    running = server(site, 0)
    Thread(target=running.serve_forever, daemon=True).start()
    try:
        base = f"http://127.0.0.1:{running.server_port}"

        def head(path: str) -> dict[str, str]:
            asked = Request(base + path, headers={"Accept-Encoding": "gzip"})
            with urlopen(asked) as got:
                return {name.lower(): value for name, value in got.headers.items()}

        got = head(f"/_static/live/{folder.name}/pyodide.asm.wasm")
        assert got["content-type"] == "application/wasm"
        assert got["content-encoding"] == "gzip"
        assert "immutable" in got["cache-control"]
        assert head(f"/_static/live/{folder.name}/pyodide.mjs")["content-type"].startswith(
            "text/javascript"
        )
        assert "content-encoding" not in head(f"/_static/live/{folder.name}/packages.zip")
        assert head("/index.html")["cache-control"] == "no-cache"
    finally:
        running.shutdown()
        running.server_close()


def test_text_is_read_by_the_strict_reader_alone(answers: Answers) -> None:
    for nasty in (
        "10**10**10 g",
        "__import__('os') g",
        "1e999 g",
        "[1,2] g",
        "nan g",
        "9" * 99,
    ):
        out = answers.panel("gelatin.soak", {"mass": nasty})
        assert list(out["faults"]) == ["mass"], nasty
    assert read("12,5 g").m == 12.5


@pytest.mark.parametrize("value", [23.8888888889, 1234567.0, 0.1 + 0.2, -18.25])
def test_a_value_written_for_a_lesson_is_read_back_as_it_was(value: float) -> None:
    text = written(q(value, "degC"))
    assert read(text, "degC").m == pytest.approx(value, rel=1e-11)
