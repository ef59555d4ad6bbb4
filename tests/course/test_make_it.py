"""Make it: one method for lesson, plan and questions, and plates that a page can carry."""

import dataclasses
import re
import shutil

import nbformat
import pytest

from calculators import formula, mixture, safety
from calculators.faults import FaultsError
from calculators.units import q, say
from course.demo import FOLDER
from course.live import runtime
from course.live.cards import asked_html
from course.making import blocks, lessons, recording, running, steps
from course.making.lessons import BLOCK, LESSONS
from course.practical import cards, lesson
from course.practical.amounts import batch_for, mass_said
from course.practical.orders import in_stores
from course.practical.planning import plan
from course.scheme.reading import read_scheme
from course.site import building, contents
from exercises.craft import own_pictures, plates
from exercises.craft.method import method
from exercises.questions.building import build
from exercises.questions.registry import bank
from exercises.sheets import notebook
from exercises.sheets.sheet import exhibit_shown as on_sheets
from tests.exercises.test_bank import KITCHEN

SCHEME = read_scheme(FOLDER / "scheme.toml")
HERE = SCHEME.as_kitchen()
DAYS = ((lesson.day_before(HERE), method().day_before), (lesson.day(HERE), method().day))
PICTURED = [n for n, one in bank().items() if n.startswith("eye-") and not n.endswith("-told")]
FIRST = building.COURSE / "site" / "theme" / "glossbook" / "first.html"
MB = 1_000_000


@pytest.fixture
def own():
    """Take a lecturer's photographs away again."""
    yield
    own_pictures.load(None)


# --- one method ---------------------------------------------------------------------------


@pytest.mark.parametrize(("shown", "held"), DAYS)
def test_the_lesson_has_every_step_of_the_method_in_its_order_and_words(shown, held):
    lines = shown.text().splitlines()[1:]
    assert [int(line.split(".")[0]) for line in lines] == [step.number for step in held]
    for line, step in zip(lines, held, strict=True):
        for words in (step.title, *step.does, step.ready, step.too_much, step.too_little):
            assert words in line
        for name in step.caution:
            assert safety.caution(name).hazard in line


@pytest.mark.parametrize("step", [*method().day_before, *method().day], ids=lambda s: s.id)
def test_lesson_and_plan_say_one_temperature(step):
    if step.temperature == "out of bath":  # the plan's list names the bath's own
        assert lesson.heat(HERE, step) == "down to 5 °C"
    else:
        assert lesson.heat(HERE, step) == cards.temperature(SCHEME, step)


def test_lesson_and_plan_weigh_the_same_glaze_from_the_same_stores():
    counts = [cake.count for cake in SCHEME.cakes]
    total = batch_for(SCHEME, counts)
    assert lesson.batch(HERE).m_as("g") == pytest.approx(total.m_as("g"))
    held = {line.ingredient: line.mass.m_as("g") for line in in_stores(SCHEME, total)}
    said = {name: mass.m_as("g") for name, _, mass in lesson.scaled(HERE)}
    assert said == pytest.approx(held)
    assert sum(said.values()) > total.m_as("g")  # silver leaves weigh more than gold ones
    for kind in range(len(SCHEME.cakes)):
        over = mass_said(cards.pour_of(SCHEME, kind))
        assert any(over in said for said in lesson.masses(HERE, method().step("pour")))


@pytest.mark.parametrize("setter", ["agar", "gelatin leaf", "sugar"])
def test_a_glaze_that_gelatin_does_not_set_is_told_where_its_steps_do_not_hold(setter, tmp_path):
    lines = tuple(
        dataclasses.replace(line, ingredient=setter, price=None, pack=None)
        if line.ingredient == "gelatin leaf"
        else line
        for line in SCHEME.formula.lines
    )
    scheme = dataclasses.replace(SCHEME, formula=dataclasses.replace(SCHEME.formula, lines=lines))
    (chosen,) = (one for one in lessons.lessons_of(SCHEME.modules) if one.slug == "make-it")
    kitchen = blocks.kitchen_cell(scheme)
    (ran,) = running.run_all([chosen], kitchen, folder=tmp_path)
    said = " ".join(cell["says"] for cell in recording.record(ran.notebook))
    assert (formula.techniques()["agar"].reuse in said) == (setter == "agar")
    assert ("The gelatin is the one in stores." in said) == (setter == "gelatin leaf")
    assert ("No gelatin sets this glaze" in said) == (setter != "gelatin leaf")


def test_questions_on_order_have_the_steps_of_the_method_in_its_order():
    for name in ("make-order-before", "make-order-day", "make-order-night", "make-order-pour"):
        before = [step.title for step in method().day_before]
        titles = [*before, *(step.title for step in method().day)]
        for n in range(40):
            (part,) = build(bank()[name], f"order {n}", KITCHEN).to_json()["parts"]
            places = []
            for k in part["right"]:
                title, _, day = part["steps"][k - 1].partition(", on the day of")
                begins = len(before) if day or name in ("make-order-day", "make-order-pour") else 0
                places.append(titles.index(title.removesuffix(", the day before"), begins))
            assert places == sorted(places), (name, n)
            assert len(set(places)) == len(places)


def test_a_stroke_that_is_asked_for_is_that_of_the_method():
    strokes = {one.stroke for one in method().strokes.values()}
    for n in range(40):
        (part,) = build(bank()["make-stroke-begins"], f"stroke {n}", KITCHEN).to_json()["parts"]
        assert {option["text"] for option in part["options"]} <= strokes


def test_every_step_that_shows_a_look_shows_a_plate_of_a_state_that_there_is():
    for step, looks in lesson.LOOKS.items():
        for look, state in looks.items():
            assert getattr(method().step(step), look), (step, look)
            assert plates.of_state(state)


# --- on a page ----------------------------------------------------------------------------------


def rendered(chain):
    cell = nbformat.v4.new_code_cell("bench.day(kitchen)")
    html = lesson.day(HERE).html()
    cell.outputs = [nbformat.v4.new_output("display_data", data={"text/html": html})]
    setting = steps.Setting(
        building.lessons.lessons_of(["kitchen"])[1], {"pour": "Pour?"}, building.all_titles()
    )
    return steps.steps_of_the_method(chain)(cell, setting).outputs[0]["data"]["text/html"]


def test_on_the_site_each_plate_of_a_step_is_lazy_and_keeps_its_place():
    html = rendered("site")
    pictures = re.findall(r"<img [^>]+>", html)
    assert len(pictures) == html.count("-400.webp") >= 9
    for one in pictures:
        assert 'width="400" height="300" loading="lazy"' in one
        assert len(re.search(r'alt="([^"]+)"', one)[1]) > 20
    assert '<a href="pour.html">Pour?</a>' in html
    assert "<!--" not in html
    assert 'href="blending.html"' not in html  # is not part of that course


def test_in_plain_jupyter_a_step_has_no_picture_that_would_be_missing():
    html = rendered("plain")
    assert "<img" not in html
    assert "<!--" not in html


def test_a_plate_in_a_lesson_has_two_widths_and_all_that_keeps_a_page_still():
    html = blocks.plate("p190", "site")
    for wanted in (
        "p190-400.webp 400w",
        "p190-800.webp 800w",
        'width="800" height="600"',
        'loading="lazy"',
        plates.DISCLAIMER,
    ):
        assert wanted in html
    told = blocks.plate("p190", "plain")
    assert "<" not in told
    assert plates.plate("p190").alt in told


def test_a_lesson_shows_no_plate_that_is_kept():
    kept = next(p for p in plates.plates() if p.use == "kept")
    with pytest.raises(FaultsError, match="kept for assessed questions"):
        blocks.plate(kept.id, "site")
    for path in LESSONS.glob("*.md"):
        for found in BLOCK.finditer(path.read_text(encoding="utf-8")):
            if found["name"] == "plate":
                assert plates.plate(found["words"].strip()).use == "shown"


def test_a_site_gets_the_shown_plates_and_no_others_and_grows_little(tmp_path):
    building.put_plates(tmp_path / "plates")
    held = {path.name.rsplit("-", 1)[0] for path in (tmp_path / "plates").iterdir()}
    assert held
    assert held <= {p.id for p in plates.plates() if p.use == "shown"}
    assert sum(path.stat().st_size for path in (tmp_path / "plates").iterdir()) <= 8 * MB
    assert sum(path.stat().st_size for path in plates.FOLDER.iterdir()) <= 12 * MB


def test_what_a_browser_gets_names_no_kept_plate():
    index = runtime.ours()["exercises/craft/plates.toml"].decode()
    for one in plates.plates():
        assert (f'id = "{one.id}"' in index) == (one.use == "shown")


# --- an eye for it ------------------------------------------------------------------------------


def test_there_are_twenty_four_picture_questions_for_sheets_each_with_an_equal_in_words():
    for_sheets = [n for n in PICTURED if bank()[n].use in ("both", "assessed")]
    assert len(for_sheets) >= 24
    assert {f"{n}-told" for n in for_sheets} <= set(bank())


def test_practice_has_sixty_draws_that_differ_in_plate_or_log():
    seen = set()
    for name in ("eye-fault", "eye-log"):
        for n in range(400):
            exhibit = build(bank()[name], f"many {n}", KITCHEN).to_json()["exhibit"]
            seen.add((exhibit["plate"], str(exhibit["rows"])))
    assert len(seen) >= 60


@pytest.mark.parametrize("name", PICTURED)
def test_practice_shows_no_kept_plate_and_a_kept_question_no_shown_one(name):
    wanted = "kept" if bank()[name].use == "assessed" else "shown"
    for n in range(40):
        exhibit = build(bank()[name], f"use {n}", KITCHEN).to_json()["exhibit"]
        assert plates.plate(exhibit["plate"]).use == wanted


@pytest.mark.parametrize("name", PICTURED)
def test_the_equal_in_words_asks_the_same_of_the_same_plate(name):
    for n in range(10):
        seen = build(bank()[name], f"equal {n}", KITCHEN).to_json()
        told = build(bank()[f"{name}-told"], f"equal {n}", KITCHEN).to_json()
        assert [p["prompt"] for p in seen["parts"]] == [p["prompt"] for p in told["parts"]]
        assert [len(p["options"]) for p in seen["parts"]] == [
            len(p["options"]) for p in told["parts"]
        ]
        assert "plate" not in told["exhibit"]
        words = told["exhibit"]["rows"][0][1]
        assert words in {p.plain_alt for p in plates.plates()}


def test_a_card_shows_the_plate_with_words_that_give_nothing_away_and_the_log_under_it():
    asked = build(bank()["eye-log"], "card", KITCHEN)
    html = asked_html(asked)
    shown = plates.plate(asked.to_json()["exhibit"]["plate"])
    assert f"{shown.id}-800.webp" in html
    assert shown.plain_alt in html.replace("&#x27;", "'")
    assert html.index("<img") < html.index("<table") < html.index("<fieldset")


def test_a_sheet_carries_the_picture_in_itself():
    name = next(n for n in PICTURED if bank()[n].use == "assessed" and n.endswith("fault"))
    for n in range(20):
        exhibit = build(bank()[name], f"sheet {n}", KITCHEN).exhibit
        if plates.plate(exhibit.plate).file().exists():
            public = on_sheets(exhibit)
            assert public["picture"].startswith("data:image/webp;base64,UklGR")
            cell = notebook._question_cell(3, {"stem": "", "exhibit": public})
            assert "](attachment:exhibit-3.webp)" in cell["source"]
            assert cell["attachments"]["exhibit-3.webp"]["image/webp"].startswith("UklGR")
            return
    raise AssertionError("no plate of this question was rendered")


# --- a lecturer's own photographs -------------------------------------------------------------


def photograph(folder, name, words='alt = "A round cake from the side, brown along its edge."'):
    from PIL import Image

    folder.mkdir(exist_ok=True)
    exif = Image.Exif()
    exif[0x010F] = "CAMERA-OF-SOMEBODY"
    Image.new("RGB", (1000, 900), (120, 60, 30)).save(folder / f"{name}.jpg", exif=exif)
    if words:
        with (folder / own_pictures.WORDS).open("a", encoding="utf-8") as file:
            file.write(f"[{name}]\n{words}\n")


def test_a_photograph_takes_the_place_of_every_shown_plate_of_its_state(tmp_path, own):
    photograph(tmp_path / "mine", "thin-rim")
    own_pictures.load(tmp_path / "mine")
    taken = plates.of_state("thin rim")
    assert len(taken) >= 3
    for one in taken:
        assert one.caption == "Photographed in this kitchen."
        assert "brown along its edge" in blocks.plate(one.id, "site")
        assert b"CAMERA-OF-SOMEBODY" not in one.file().read_bytes()
    kept = plates.of_state("thin rim", "kept")
    assert all(one.caption.endswith(plates.DISCLAIMER) for one in kept)
    building.put_plates(tmp_path / "site")
    there = (tmp_path / "site" / taken[0].file().name).read_bytes()
    assert there == taken[0].file().read_bytes()
    assert there != (plates.FOLDER / taken[0].file().name).read_bytes()
    own_pictures.load(None)
    assert plates.of_state("thin rim")[0].caption.endswith(plates.DISCLAIMER)


def test_faults_of_a_folder_of_photographs_are_told_together(tmp_path, own):
    photograph(tmp_path / "mine", "thin-rim", words="")
    photograph(tmp_path / "mine", "holiday")
    (tmp_path / "mine" / "dull.png").write_bytes(b"no picture")
    with (tmp_path / "mine" / own_pictures.WORDS).open("a", encoding="utf-8") as file:
        file.write('[dull]\nalt = "A cake with a pale haze on it."\n[p102]\nalt = "gone"\n')
    with pytest.raises(FaultsError) as told:
        own_pictures.load(tmp_path / "mine")
    said = str(told.value)
    for words in (
        "has no words for who can't see it",
        "is named for no plate",
        "is not a picture that can be read",
        "a picture that is not there",
    ):
        assert words in said


def test_a_scheme_names_the_folder_and_check_tells_its_faults(tmp_path, own):
    from course.office.setting import try_papers

    shutil.copytree(FOLDER, tmp_path / "school")
    photograph(tmp_path / "school" / "mine", "thin-rim", words="")
    path = tmp_path / "school" / "scheme.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text + '\n[own]\npictures = "mine"\n', encoding="utf-8")
    with pytest.raises(FaultsError, match="has no words for who can't see it"):
        try_papers(read_scheme(path))


def test_the_first_page_shows_its_picture_at_once():
    theme = FIRST.read_text("utf-8")
    assert "{{ pathto(course.plate.src, 1) }}" in theme
    assert "lazy" not in theme
    assert contents.title_plate()["src"] == "_static/title-800.webp"


@pytest.mark.parametrize(
    ("bloom", "tub"), [(160, "confectioner"), (250, "confectioner"), (160, "light corn")]
)
def test_the_lesson_boils_the_pan_that_the_plan_boils(bloom, tub):
    """Soaking water and tub are those of the stores, on both pages."""
    stores = dataclasses.replace(SCHEME.stores, gelatin_bloom=q(bloom, "bloom"), glucose=tub)
    scheme = dataclasses.replace(SCHEME, stores=stores)
    _, pan = lesson.pan_of(scheme.as_kitchen())
    reading = mixture.boil_to(pan, mixture.strength(pan), scheme.kitchen.altitude).reading
    told = next(s for s in plan(scheme).before if s.title == "Boil the pan")
    assert f"boils at {say(reading.typical, places=1)} here" in " ".join(told.does)
