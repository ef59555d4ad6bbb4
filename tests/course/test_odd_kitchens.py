"""Whole courses for odd kitchens: each builds without a fault and shows its own values.

The schemes are the demo's, with values replaced.  These builds run every lesson and
take a minute each, so they are slow: run them with ``-m slow``.
"""

from __future__ import annotations

import html
import re
from dataclasses import dataclass
from functools import cache

import pytest

from calculators import formula, gelatin, glucose, water
from calculators.formula import Formula
from calculators.kitchen import Kitchen
from calculators.units import Quantity, q, say
from course.demo import FOLDER
from course.lessons.modules import modules
from course.scheme.model import Scheme
from course.scheme.reading import read_scheme
from course.scheme.wizard import write
from course.site import building
from exercises.questions.outcomes import outcomes

pytestmark = [pytest.mark.slow, pytest.mark.xdist_group("odd kitchens")]

DEMO = FOLDER / "scheme.toml"
LEFT_OUT = "a lesson that is not part of this course"

HIGH = (('altitude = "430 m"', 'altitude = "2250 m"'),)
HOT = (  # warmer than the pouring window, and a fridge below the ice point
    ('room = "22 °C"', 'room = "36 °C"'),
    ('humidity = "60 %"', 'humidity = "95 %"'),
    ('storage = "4 °C"', 'storage = "-2 °C"'),
    ('display = "4 °C"', 'display = "15 °C"'),
)
CORN = (
    ('glucose = "confectioner"', 'glucose = "light corn"'),
    ('ingredient = "glucose syrup"', 'ingredient = "light corn syrup"'),
    ('gelatin_grade = "gold"', 'gelatin_grade = "silver"'),
    ('gelatin_bloom = "200 bloom"', 'gelatin_bloom = "160 bloom"'),
)
FEW = (
    (
        '["kitchen", "syrup", "glucose", "gelatin", "base", "colour", "pour"]',
        '["kitchen", "gelatin", "pour"]',
    ),
    ('"syrup-strength", "boiling-water-lost", "gelatin-leaf"', '"gelatin-leaf"'),
    (
        '["syrup-strength", "syrup-scales", "boiling-water-lost", "boiling-point"]',
        '["gelatin-leaf", "gelatin-powder"]',
    ),
    ('title = "Syrups and gelatin"', 'title = "Gelatin"'),
)
STRONG = (
    ('mass = "230 g"', 'mass = "60 g"'),
    ('ingredient = "sugar"\nmass = "280 g"', 'ingredient = "sugar"\nmass = "600 g"'),
)
# What is answered to ``glossbook describe``.
ANSWERED = {
    "new": {},
    "ship": {
        "region": "US",
        "altitude": "250 ft",
        "room": "84 °F",
        "jug": "5 in",
        "blade": "0.75 in",
        "gelatin_held": "platinum",
        "gelatin_wanted": "powder",
        "cakes": "90",
        "students": "1",
    },
}


@dataclass(frozen=True)
class Course:
    """A course that was built: its scheme, what the build told, its pages as text."""

    scheme: Scheme
    built: building.Built

    @property
    def kitchen(self) -> Kitchen:
        return self.scheme.as_kitchen()

    @property
    def slugs(self) -> list[str]:
        return [slug for name in self.scheme.modules for slug in modules()[name].lessons]

    def page(self, slug: str) -> str:
        """Return a page as a reader sees it: no marks, one space between words."""
        text = (self.built.site / f"{slug}.html").read_text(encoding="utf-8")
        main = text[text.index("<main") : text.index("</main>")]
        return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", main)).split())

    def lesson(self, slug: str) -> str:
        return self.page(f"lessons/{slug}")


def spaced(quantity: Quantity) -> str:
    """Return a quantity as it stands in the text of a page, with a plain space."""
    return " ".join(say(quantity).split())


def replaced(text: str, pairs: tuple[tuple[str, str], ...]) -> str:
    for old, new in pairs:
        assert text.count(old) == 1, f"the demo's scheme no longer says {old!r} once"
        text = text.replace(old, new)
    return text


@pytest.fixture(scope="module")
def course(tmp_path_factory: pytest.TempPathFactory):
    folder = tmp_path_factory.mktemp("odd")

    @cache
    def built(name: str) -> Course:
        odd = {"high": HIGH, "corn": CORN, "few": FEW, "strong": STRONG, "hot": HOT}
        pairs = odd.get(name, ())
        text = replaced(DEMO.read_text(encoding="utf-8"), pairs)
        if name in ANSWERED:
            text = write(ANSWERED[name])
        if name == "few":
            text = re.sub(r"\[papers\.syrup-practice\].*?(?=\[pass\])", "", text, flags=re.S)
        path = folder / f"{name}.toml"
        path.write_text(text, encoding="utf-8")
        scheme = read_scheme(path)
        site = folder / name
        return Course(scheme, building.build(scheme, site, cache=folder / "kept", live=False))

    return built


EVERY = pytest.mark.parametrize("name", ["high", "corn", "few", "strong", "hot", *ANSWERED])


@EVERY
def test_the_course_builds_with_a_page_for_each_of_its_lessons_and_no_other(
    course, name: str
) -> None:
    made = course(name)
    found = {path.stem for path in (made.built.site / "lessons").glob("*.html")}
    assert found == set(made.slugs)
    assert sorted(made.built.run) == sorted(made.slugs)


@EVERY
def test_every_page_is_computed_for_this_kitchen_and_no_other(course, name: str) -> None:
    made = course(name)
    for slug in made.slugs:
        text = made.lesson(slug)
        tight = re.sub(r"\s*([=,(){}\[\]'])\s*", r"\1", text)
        assert f"altitude='{say(made.kitchen.altitude)}'" in tight, slug
        assert f"glucose='{made.kitchen.glucose}'" in tight, slug
        for line in made.kitchen.formula:
            assert f"'{say(line.mass)}'" in tight, (slug, line.ingredient)


@EVERY
def test_no_page_lets_a_value_or_a_fault_through_raw(course, name: str) -> None:
    made = course(name)
    for slug in made.slugs:
        text = made.lesson(slug)
        for raw in (
            "Traceback",
            "FaultsError",
            "{value}",
            "{lesson}",
            " nan ",
            " None %",
        ):
            assert raw not in text, f"{slug}: {raw}"


# --- 2250 m --------------------------------------------------------------------------------


def test_high_above_the_sea_water_and_sugar_boil_cooler_on_every_page(course) -> None:
    high = course("high")
    boils = water.boiling_point(water.air_pressure(q(2250, "m")))
    assert boils.m_as("degC") == pytest.approx(92.5, abs=0.2)  # ICAO air, IAPWS water
    said = spaced(boils)
    for slug in ("what-can-hurt", "thermometer-and-scale", "boiling"):
        assert said in high.lesson(slug), slug
        assert "98.6 °C" not in high.lesson(slug), slug
    assert "This kitchen stands at 2250 m" in high.lesson("boiling")


# --- silver leaf, light corn syrup, no titanium white ----------------------------------------


def test_the_tub_in_stores_is_the_one_on_every_page_that_names_a_tub(course) -> None:
    corn = course("corn")
    for slug in ("glucose-tub", "shine", "thermometer-and-scale"):
        assert "light corn" in corn.lesson(slug), slug
    assert spaced(glucose.TUBS["light corn"].solids) in corn.lesson("glucose-tub")
    own = Formula(corn.kitchen.formula_name, corn.kitchen.formula)
    assert spaced(formula.sugar_in_water(own)) in corn.lesson("shine")


def test_with_silver_in_formula_and_stores_nothing_is_swapped_and_it_is_said(
    course,
) -> None:
    corn = course("corn")
    assert "Nothing has to be swapped today" in corn.lesson("gelatin-grades")
    bath = gelatin.soak(q(18, "g"))
    assert f"{spaced(bath)} of cold water for 18 g of gelatin" in corn.lesson("gelatin-care")


def test_without_titanium_white_no_page_doses_it_and_the_ivory_is_taught(
    course,
) -> None:
    text = course("corn").lesson("colour-and-marbling")
    assert "not in this kitchen Titanium white (E 171)" in text
    assert "titanium white it thickens not in this region" in text
    assert "The route without titanium white gives an ivory" in text


# --- three modules only --------------------------------------------------------------------


def test_left_out_lessons_are_named_as_such_and_their_outcomes_are_told(course) -> None:
    few = course("few")
    assert few.lesson("pour").count(LEFT_OUT) >= 1
    assert few.lesson("what-went-wrong").count(LEFT_OUT) >= 2
    for slug in few.slugs:
        page = (few.built.site / "lessons" / f"{slug}.html").read_text(encoding="utf-8")
        for gone in ("shine", "blending", "crystals", "colour-and-marbling", "boiling"):
            assert f'href="{gone}.html' not in page, (slug, gone)
    gone = {o.wording for o in outcomes().values() if o.lesson not in few.slugs}
    assert gone
    assert set(few.built.without) == gone


def test_with_three_modules_practice_still_stands_in_each_lesson(course) -> None:
    few = course("few")
    for slug in few.slugs:
        assert few.lesson(slug).count("The worked solution") >= 3, slug


# --- a very strong syrup --------------------------------------------------------------------


def test_a_very_strong_syrup_is_told_its_water_and_stops_nothing(course) -> None:
    text = course("strong").lesson("shine")
    assert "is how free the water of your glaze is" in text
    assert "86.3" in text  # (1092 g of sugars) / (1092 g + 173 g of water), by hand
