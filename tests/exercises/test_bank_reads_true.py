"""What the bank says is true of what it shows: stems, other options, hints and worked sums."""

from __future__ import annotations

import re

import pytest
from numpy import interp

from calculators.blending import BLADE_COVER
from calculators.units import read_loosely, say
from exercises.craft.method import method
from exercises.questions.bank.eye import FAULTS, GROUPS
from exercises.questions.bank.make import CAKES
from exercises.questions.building import build
from exercises.questions.parts import DrawnTable
from exercises.questions.registry import bank
from exercises.sheets.overview import choosable, overview_page
from exercises.sheets.sheet import cautions_for
from tests.exercises.test_bank import KITCHEN, shown_text

BANK = bank()


def drawn(name: str, count: int = 40):
    """Return a question drawn again and again."""
    return [build(BANK[name], f"{name} {n}", KITCHEN) for n in range(count)]


# --- the method -----------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["make-look-words", "make-look-before", "make-look-day"])
def test_a_look_is_something_to_be_seen_and_not_the_verdict_or_the_mend(name):
    seen = {asked.stem.partition("What you see: ")[2].rstrip(".") for asked in drawn(name, 200)}
    assert len(seen) > 12
    for words in seen:
        assert not re.search(
            r"\b(too (warm|cold|hot|much)|loses|wait|warm the)\b", words, re.IGNORECASE
        ), words
        assert "." not in words, words
        assert words not in ("Thin", "Far above")


def test_no_other_stop_of_a_stroke_holds_for_the_shape_too():
    """A foot that is closed all round is how a cylinder and a dome both look at the end."""
    strokes = method().strokes
    assert "rim" in strokes["cylinder"].stops
    assert "crown" in strokes["dome"].stops
    closed = [n for n in CAKES if strokes[n].stops.startswith("The foot is closed all round")]
    assert closed == []


@pytest.mark.parametrize(
    ("name", "day", "first"),
    [("make-order-after", "day_before", 1), ("make-order-next", "day", 1)],
)
def test_a_step_that_is_done_is_not_said_to_need_more(name, day, first):
    titles = [step.title for step in getattr(method(), day)[first:] if step.id != "others"]
    earlier = 0
    for asked in drawn(name):
        (part,) = asked.parts
        done = part.prompt.partition("just done this: ")[2].partition(". It looks")[0]
        for option in part.options:
            if option.key not in part.right:
                before = titles.index(option.text) < titles.index(done)
                earlier += before
                assert ("needs more than this step leaves" in option.says) != before, option
    assert earlier


def test_steps_that_could_be_exchanged_are_asked_as_the_method_has_them():
    for name in ("make-order-before", "make-order-day", "make-order-night", "make-order-pour"):
        assert "as the method of this course has them" in drawn(name, 1)[0].stem


def test_nothing_is_weighed_between_the_frost_and_the_stream():
    """The frost comes off seconds before the pour, by the method's own step."""
    for asked in drawn("make-stroke-order", 5):
        (part,) = asked.parts
        steps = [part.steps[place - 1] for place in part.right]
        assert steps[0] == "Wipe the frost off"
        assert not any(step.startswith("Weigh") for step in steps)


# --- what the stem must give ----------------------------------------------------------------


@pytest.mark.parametrize(
    "name",
    [
        "blending-covered-shares",
        "blending-pool-or-not",
        "blending-how-much-to-make",
        "blending-which-way",
        "blending-four-benches",
    ],
)
def test_a_question_on_a_covered_blade_says_how_much_glaze_is_wanted_over_it(name):
    """A school may ask for less on its observation sheet: then another answer would hold."""
    for asked in drawn(name, 10):
        assert f"{say(BLADE_COVER)} of glaze over" in shown_text(asked)


# --- sums that a pocket calculator agrees with -----------------------------------------------


def rows_of(name: str, count: int = 40):
    for asked in drawn(name, count):
        for part in asked.parts:
            yield from part.rows if isinstance(part, DrawnTable) else [part]


@pytest.mark.parametrize("name", ["base-hidden-water", "base-syrup-inside"])
def test_a_sum_over_the_label_lines_comes_to_what_it_says(name):
    summed = 0
    for row in rows_of(name):
        left, _, right = row.worked.partition(" = ")
        lines = re.fullmatch(r"(?:\d+ × [\d.]+(?: \+ )?)+", left)
        if lines:
            summed += 1
            total = sum(float(a) * float(b) for a, b in re.findall(r"(\d+) × ([\d.]+)", left))
            assert total == pytest.approx(float(right.split()[0]), abs=0.0501), row.worked
    assert summed


@pytest.mark.parametrize(
    "name",
    [
        "syrup-gauge-to-litres",
        "crystals-how-cold",
        "syrup-handbook",
        "syrup-jug-density",
        "kitchen-how-high",
        "kitchen-boils-here",
    ],
)
def test_a_way_between_two_rows_is_worked_with_the_figures_of_the_table(name):
    found = 0
    for row in rows_of(name):
        if row.working.startswith("interpolate"):
            found += 1
            sums = row.worked.split("; ")
            assert sums[-1] == f"the curve itself gives {row.shown}"
            by_table = read_loosely(sums[-2].rpartition(" = ")[2]).quantity
            assert abs(by_table.to(row.base_unit).m - row.answer) < row.tolerance, row.worked
    assert found


def test_a_bubble_that_is_timed_is_worked_with_its_speed_to_four_figures():
    for row in rows_of("blending-bubble-timed"):
        heavy, size, speed, thick = map(
            float,
            re.search(
                r"([\d.]+) kg/m³ × 9.81 m/s² × \(([\d.]+) m\)² / \(18 × ([\d.]+) m/s\) = ([\d.]+)",
                row.worked,
            ).groups(),
        )
        assert heavy * 9.81 * size**2 / (18 * speed) == pytest.approx(thick, rel=0.001)


# --- what could hurt, and what could be meant ------------------------------------------------


def test_film_never_goes_at_once_onto_a_syrup_that_was_boiled():
    """What comes off the hob steams and may be hotter than film bears."""
    for name in ("crystals-four-plans", "crystals-cannot-grain", "crystals-clear-order"):
        text = "\n".join(shown_text(asked) for asked in drawn(name))
        assert "film at once" not in text
        assert re.search("film.* steam", text, re.IGNORECASE)


@pytest.mark.parametrize(
    "name", ["boil-to-a-weight-order", "crystals-clear-order", "gelatin-care-order"]
)
def test_steps_with_a_boiling_pan_bring_the_caution_on_hot_sugar(name):
    assert "Hot sugar" in {each["hazard"] for each in cautions_for(drawn(name, 1))}


def test_nobody_who_is_hurt_can_be_taken_for_a_machine():
    assert not any("dishwasher" in asked.parts[0].prompt for asked in drawn("kitchen-what-first"))


def test_petals_that_nobody_has_looked_up_are_sold_as_food():
    """Else *nothing on it says that it may be eaten* would be right as well as *ask*."""
    asked = [one for one in drawn("kitchen-late-change", 80) if "petals" in one.stem]
    assert asked
    assert all("edible" in one.stem for one in asked)


@pytest.mark.parametrize("group", GROUPS)
def test_only_one_mend_of_a_group_of_faults_warms_the_jug(group):
    mends = [cause.mend for name in GROUPS[group] for cause in FAULTS[name].causes]
    warming = [mend for mend in mends if re.match("Warm|Bring the jug up", mend)]
    assert len(warming) <= 1, warming


@pytest.mark.parametrize("name", ["fault-six-cakes", "fault-surface-log"])
def test_what_is_odd_is_named_and_is_more_than_a_no(name):
    for asked in drawn(name):
        assert not re.search(r": no[.;]", asked.parts[0].worked), asked.parts[0].worked


def test_glucose_drier_than_any_tub_can_be_a_powder():
    for asked in drawn("glucose-swap-drier"):
        solids = float(re.findall(r"with (\d+) % solids", asked.stem)[1])
        assert solids < 86 or "powder" in asked.stem  # a tub of 45 °Bé holds about 84 %


def test_the_letter_of_a_point_stands_on_its_side_of_the_curve():
    """A letter beyond the line says of a clear syrup that it could grain."""
    for asked in drawn("crystals-across-the-curve"):
        svg = asked.exhibit.svg
        (line,) = re.findall(r'points="([^"]+)"', svg)
        across, up = zip(*(map(float, pair.split(",")) for pair in line.split()), strict=True)
        dots = re.findall(r'<circle cx="(\d+)" cy="(\d+)"', svg)
        letters = re.findall(r'<text x="(\d+)"([^>]*font-size="17"[^>]*)>[ABC]', svg)
        for (x, y), (place, rest) in zip(dots, letters, strict=True):
            end = float(place) if 'text-anchor="end"' in rest else float(place) + 12
            curve = float(interp(float(y), up[::-1], across[::-1]))
            assert end < curve if float(x) < curve else end - 12 > curve, (x, y, place)


def test_the_page_of_questions_says_what_a_wrong_order_is_told():
    found = choosable(
        {"boil-to-a-weight-order": BANK["boil-to-a-weight-order"]},
        ["boiling-water-lost"],
        KITCHEN,
        {},
    )
    page = overview_page(found, "A school")
    assert "Ask yourself what you can no longer weigh" in page
    assert "<td></td>" not in page
