"""The practical: orders, the day before and the benches, worked out from a scheme."""

import dataclasses
import re

import pytest

from calculators import jug
from calculators.faults import FaultsError
from calculators.kitchen import Line
from calculators.units import q, say
from course.demo import FOLDER
from course.practical.page import clock, page
from course.practical.planning import plan
from course.practical.times import jugful
from course.scheme.model import Colour
from course.scheme.reading import read_scheme
from course.scheme.wizard import write

DEMO = FOLDER / "scheme.toml"


@pytest.fixture(scope="module")
def scheme():
    return read_scheme(DEMO)


@pytest.fixture(scope="module")
def made(scheme):
    return plan(scheme)


def changed(scheme, **parts):
    """Return the scheme with other values, table by table."""
    return dataclasses.replace(
        scheme,
        **{
            name: dataclasses.replace(getattr(scheme, name), **value)
            if isinstance(value, dict)
            else value
            for name, value in parts.items()
        },
    )


def untimed(scheme, **parts):
    """Return a changed scheme whose school sets no time, so that any plan is printed."""
    return changed(changed(scheme, local_rules={"discard_after": None}), **parts)


def steps_called(steps, words):
    return [step for step in steps if words in step.title]


# --- how much ---------------------------------------------------------------------------


def test_the_glaze_poured_is_area_times_coat_over_what_does_not_run_off(made):
    # Geometry, top and sides: cylinder 18 x 4.5 cm 508.94 cm², ring 18/6 x 5 cm
    # 603.19 cm², dome of 7 cm 76.97 cm²; coat 0.22 g/cm², half runs off.
    by_hand = (6 * 508.94 + 3 * 603.19 + 24 * 76.97) * 0.22 / 0.5
    poured = next(a for a in made.amounts if a.label.startswith("Poured"))
    assert poured.value == say(q(by_hand, "g"), "kg")


def test_what_the_benches_pour_adds_up_to_the_whole(scheme, made):
    poured = sum(
        len(station.numbers) * row.count * row.pour.m
        for station in made.stations
        for row in station.cakes
    )
    total = sum(len(s.numbers) * s.batch.m for s in made.stations)
    cling = 12 * (len(scheme.colours) + 1) * scheme.group.stations  # marbling.csv
    assert total == pytest.approx((poured + cling) * 1.1)


@pytest.mark.parametrize("stations", [1, 2, 5, 12])
def test_every_cake_and_every_student_has_a_bench(scheme, stations):
    shared = plan(untimed(scheme, group={"stations": stations}))
    cakes = sum(len(s.numbers) * sum(r.count for r in s.cakes) for s in shared.stations)
    people = sum(len(s.numbers) * s.students for s in shared.stations)
    assert cakes == 6 + 3 + 24
    assert people == 12
    numbers = [n for s in shared.stations for n in s.numbers]
    assert sorted(numbers) == list(range(1, stations + 1))


def test_what_is_weighed_at_the_benches_is_what_is_ordered(made):
    for order in made.orders:
        weighed = [
            len(station.numbers) * line.mass.m
            for station in made.stations
            for line in station.weigh
            if line.ingredient == order.ingredient
        ]
        if weighed:  # in whole steps of the scale
            assert sum(weighed) == pytest.approx(order.needed.m, abs=1.6)


# --- the order list -----------------------------------------------------------------------


def test_the_packs_hold_what_is_needed_and_none_is_one_too_many(made):
    for order in made.orders:
        if order.packs is not None:
            assert order.pack * order.packs >= order.needed
            assert order.pack * (order.packs - 1) < order.needed
            assert order.left.m == pytest.approx(
                (order.pack * order.packs - order.needed).m_as("g")
            )


def test_the_cost_is_packs_times_price(scheme, made):
    prices = {line.ingredient: line.price for line in scheme.formula.lines}
    for order in made.orders:
        if order.cost is not None:
            by_hand = order.packs * prices[order.ingredient].m
            assert order.cost.m == pytest.approx(by_hand)
    assert made.cost.m == pytest.approx(
        sum(order.cost.m for order in made.orders if order.cost is not None)
    )
    assert "water" in made.without_price


def test_the_allergens_of_chocolate_and_condensed_milk_are_told(made):
    told = " ".join(made.eaters)
    assert "It holds milk and lactose" in told
    assert "It holds soybeans" in told
    assert "It is not vegetarian: gelatin leaf." in told


def test_a_colourant_that_the_law_forbids_stops_the_whole_plan(scheme):
    white = (Colour("white", q(100, "percent"), "titanium white"),)
    with pytest.raises(FaultsError, match="may not go into food in the European Union"):
        plan(changed(scheme, colours=white))
    for region in ("GB", "US", "AU"):
        orders = plan(changed(scheme, colours=white, region=region)).orders
        asked = orders[-1].note.startswith("Ask first")
        assert asked is (region == "AU")


def test_a_forbidden_colour_on_a_line_of_the_formula_stops_it_too(scheme):
    lines = (*scheme.formula.lines, Line("titanium white", q(5, "g")))
    with pytest.raises(FaultsError, match="nothing was ordered"):
        plan(changed(scheme, formula={"lines": lines}))


def test_leaves_in_stores_replace_the_leaves_of_the_formula_one_for_one(scheme, made):
    # Common practice: a gold leaf weighs 2.0 g, a silver leaf 2.5 g.
    total = sum(len(s.numbers) * s.batch.m for s in made.stations)
    wanted = 18 * total / scheme.formula.mass.m
    order = next(o for o in made.orders if o.ingredient == "gelatin leaf")
    assert order.needed.m == pytest.approx(wanted * 2.5 / 2.0)
    assert "Leaf for leaf" in order.note


def test_powder_in_stores_follows_the_square_root_and_says_so(scheme):
    powder = {"gelatin_grade": "powder", "gelatin_bloom": q(220, "bloom")}
    held = plan(changed(scheme, stores=powder))
    total = sum(len(s.numbers) * s.batch.m for s in held.stations)
    order = next(o for o in held.orders if o.ingredient == "gelatin powder")
    wanted = 18 * total / scheme.formula.mass.m
    assert order.needed.m == pytest.approx(wanted * (200 / 220) ** 0.5)
    assert "quare root" in order.note
    named = {o.ingredient for o in held.orders}
    named |= {line.ingredient for s in held.stations for line in s.weigh}
    assert "gelatin leaf" not in named  # nobody buys what is not in stores


def in_place_of_leaf(scheme, other):
    return tuple(
        dataclasses.replace(x, ingredient=other) if x.ingredient == "gelatin leaf" else x
        for x in scheme.formula.lines
    )


def test_leaves_in_stores_for_a_formula_with_powder_are_counted(scheme):
    powder = {
        "lines": in_place_of_leaf(scheme, "gelatin powder"),
        "gelatin_grade": "powder",
    }
    order = next(
        o
        for o in plan(changed(scheme, formula=powder)).orders
        if o.ingredient.startswith("gelatin")
    )
    assert order.ingredient == "gelatin leaf"
    assert re.match(r"[\d.]+ leaves of silver\. Silver of 160 bloom", order.note)


def test_gelatin_of_fish_is_never_ordered_as_leaf(scheme):
    fish = {"lines": in_place_of_leaf(scheme, "gelatin, fish")}
    told = plan(changed(scheme, formula=fish))
    assert "gelatin, fish" in {o.ingredient for o in told.orders}
    assert any("fish" in line for line in told.eaters)


def test_the_day_before_names_the_syrup_that_is_in_stores(scheme):
    swapped = plan(changed(scheme, stores={"glucose": "light corn"}))
    (boil,) = steps_called(swapped.before, "Boil the pan")
    assert "light corn syrup" in " ".join(boil.does)
    assert "confectioner" not in " ".join(boil.does)


def test_another_glucose_syrup_keeps_the_solids_and_the_whole_mass(scheme, made):
    # The tubs hold 80 % and 60 % solids (the kinds of the trade).
    swapped = plan(changed(scheme, stores={"glucose": "home pack"}))
    before = {o.ingredient: o.needed.m for o in made.orders[:-2]}
    after = {o.ingredient: o.needed.m for o in swapped.orders[:-2]}
    tub = after["liquid glucose, home pack"]
    solids = before["glucose syrup, confectioner's"] * 0.8
    assert tub * 0.6 == pytest.approx(solids, rel=0.01)
    assert sum(after.values()) == pytest.approx(sum(before.values()))
    assert after["water"] < before["water"]


def test_a_swap_that_takes_more_water_than_there_is_is_refused(scheme):
    lines = tuple(
        dataclasses.replace(line, mass=q(20, "g")) if line.ingredient == "water" else line
        for line in scheme.formula.lines
    )
    with pytest.raises(FaultsError, match="is less than the swap of glucose syrup"):
        plan(changed(scheme, formula={"lines": lines}, stores={"glucose": "home pack"}))


# --- what is weighed -------------------------------------------------------------------------


def test_the_soaking_water_stands_beside_the_water_it_is_taken_from(made):
    # 8 silver leaves of 2.5 g; gelatin takes five times its mass to soak.
    (station,) = made.stations
    water = next(line for line in station.weigh if line.ingredient == "water")
    assert water.note == "Of it 100 g to soak the gelatin."


def test_scales_in_ounces_are_told_in_ounces(scheme):
    # 28.349523125 g to the ounce, exactly.
    ship = plan(
        changed(
            scheme,
            stores={"scale": q(0.1, "ounce"), "fine_scale": q(0.01, "ounce")},
        )
    )
    (station,) = ship.stations
    for line in station.weigh:
        ounces, grams = re.fullmatch(r"([\d.]+) oz \((\d[\d.]*) g\)", line.shown).groups()
        assert float(ounces) * 28.349523125 == pytest.approx(float(grams), rel=0.01)
        assert len(ounces.partition(".")[2]) <= 2


def test_a_mass_that_the_scale_cannot_weigh_is_told_and_not_rounded_away(scheme):
    lines = (*scheme.formula.lines, Line("citric acid", q(0.05, "g")))
    (station,) = plan(changed(scheme, formula={"lines": lines})).stations
    acid = next(line for line in station.weigh if line.ingredient == "citric acid")
    assert acid.mass.m > 0
    assert acid.note.startswith("Too little for a scale with steps of 0.1 g.")


# --- the steps ------------------------------------------------------------------------------


def test_each_step_of_a_bench_begins_when_the_one_before_ends(made):
    for station in made.stations:
        now = 0.0
        for step in station.steps:
            assert step.starts.m == now
            now += step.lasts.m
        assert station.lasts.m == now


def test_the_pour_is_at_the_window_of_the_scheme(scheme):
    window = {"low": q(27, "degC"), "high": q(29, "degC")}
    warmer = plan(changed(scheme, window=window))
    assert warmer.window == "27 °C to 29 °C"
    for station in warmer.stations:
        (pour,) = [step for step in station.steps if step.title == "Pour"]
        assert pour.temperature == "27 °C to 29 °C"


def test_the_thermometer_is_checked_at_the_boiling_point_of_this_kitchen(scheme):
    # Water boils at 98.31 °C at 500 m and at 93.32 °C at 2000 m (IAPWS-95 and the
    # standard atmosphere).
    for metres, celsius in ((500, 98.31), (2000, 93.32)):
        there = plan(changed(scheme, kitchen={"altitude": q(metres, "m")}))
        (check,) = steps_called(there.before, "thermometers")
        read = float(re.search(r"and ([\d.]+) °C", check.temperature)[1])
        assert read == pytest.approx(celsius, abs=0.06)


def test_a_hazard_is_told_in_full_where_it_is_met_first_and_named_again_later(made):
    for steps in (made.before, *(station.steps for station in made.stations)):
        full = [caution.id for step in steps for caution in step.cautions]
        assert len(full) == len(set(full))
        met = set()
        for step in steps:
            assert {caution.id for caution in step.again} <= met
            met |= {caution.id for caution in step.cautions}


@pytest.mark.parametrize(
    ("words", "hazard"),
    [
        ("Boil the pan", "hot-sugar"),
        ("Boil the pan", "steam"),
        ("Blend", "stick-blender"),
        ("Blend", "mains-wet"),
        ("Weigh out", "allergens"),
        ("Cool it fast", "chilling-holding"),
        ("Freeze", "freezer-cold"),
    ],
)
def test_the_caution_stands_at_the_step_of_the_hazard(made, words, hazard):
    found = steps_called(made.before, words)
    assert found
    for step in found:
        assert hazard in {c.id for c in (*step.cautions, *step.again)}


@pytest.mark.parametrize(
    ("words", "hazard"),
    [
        ("Warm the glaze", "microwave"),
        ("Blend", "stick-blender"),
        ("Share out and colour", "colourants"),
        ("Trial pour", "freezer-cold"),
        ("Take the cakes out", "freezer-cold"),
        ("Pour", "slippery-floor"),
        ("Clean the edge", "knife"),
        ("left over", "reuse"),
    ],
)
def test_the_caution_stands_at_the_bench_where_the_hazard_is(made, words, hazard):
    for station in made.stations:
        found = [
            s
            for s in steps_called(station.steps, words)
            if words.startswith("Trial") or "Trial" not in s.title
        ]
        assert found
        for step in found:
            assert hazard in {c.id for c in (*step.cautions, *step.again)}


def test_a_share_too_small_for_the_blade_is_told(made):
    (station,) = made.stations
    assert [jug.too_small for jug in station.jugs] == [False, True, True]
    (step,) = steps_called(station.steps, "Share out and colour")
    assert any("beetroot pink, spinach green. Stir with a spatula" in d for d in step.does)


def test_the_base_colour_lies_between_the_others_and_the_layers_are_the_batch(made):
    (station,) = made.stations
    names = [name for name, _ in station.layers]
    assert names == ["ivory", "beetroot pink", "ivory", "spinach green", "ivory"]
    assert sum(m.m for _, m in station.layers) == pytest.approx(station.batch.m)


def test_a_slower_bath_makes_a_longer_plan(scheme, made):
    wide = plan(untimed(scheme, group={"stations": 1}))
    assert wide.stations[0].lasts > made.stations[0].lasts


def test_the_pan_is_boiled_under_supervision(made):
    (boil,) = steps_called(made.before, "Boil the pan")
    assert "supervises hot sugar" in boil.does[0]


def test_the_cakes_stay_in_the_freezer_until_the_trial_pour_is_done(made):
    for station in made.stations:
        titles = [step.title for step in station.steps]
        assert titles.index("Trial pour") < titles.index("Take the cakes out, wipe off the frost")


def test_a_pour_longer_than_the_jug_stays_in_the_window_is_told(scheme):
    # 1.74 kg in a jug of 11 cm, 1.25 g/cm³ deep 14.6 cm, wall and top 601 cm²; with
    # 2.9 kJ/kg/K and 10 W/m²/K the constant is 140 min, and from 34 to 31 °C in a
    # room of 22 °C it takes 140 ln(12/9) = 40 min.
    one = untimed(
        scheme,
        colours=(),
        cakes=(dataclasses.replace(scheme.cakes[0], count=7),),
        group={"stations": 1},
    )
    (station,) = plan(one).stations
    (pour,) = [step for step in station.steps if step.title == "Pour"]
    (told,) = [line for line in pour.does if "falls through the window" in line]
    minutes = float(re.search(r"in about ([\d.]+) min", told)[1])
    assert minutes == pytest.approx(40, rel=0.1)
    assert "time enough for this pour" in told
    many = changed(one, cakes=(dataclasses.replace(scheme.cakes[2], count=60),))
    (station,) = plan(many).stations
    (pour,) = [step for step in station.steps if step.title == "Pour"]
    assert any("this pour takes 120 min: stand it in the bath" in d for d in pour.does)


def test_the_clock_of_the_day_is_kept_with_weekdays(made):
    text = page(made)  # 23 March 2027 is a Tuesday
    assert "Tuesday, 23 March 2027" in text
    assert "The day before: Monday, 22 March" in text


# --- what must be settled first ------------------------------------------------------------------


def test_a_glaze_that_stays_warm_longer_than_the_rules_allow_is_not_printed(scheme, made):
    assert made.warnings == ()
    with pytest.raises(FaultsError, match=r"breaks a rule.*a warm glaze for 1 h at the most"):
        plan(changed(scheme, local_rules={"discard_after": q(1, "h")}))


def test_rules_that_name_no_time_are_asked_for_with_the_time_that_is_needed(scheme):
    told = plan(changed(scheme, local_rules={"discard_after": None})).warnings
    (line,) = [line for line in told if "out of the cold" in line]
    assert "write discard_after under [local_rules]" in line


def test_a_batch_that_does_not_cover_the_blade_is_told_with_what_helps(scheme):
    dome = (dataclasses.replace(scheme.cakes[2], count=9),)
    alone = plan(changed(scheme, cakes=dome, colours=(), group={"stations": 1}))
    (line,) = [line for line in alone.warnings if "cover the blade" in line]
    assert "Take a narrower jug" in line
    shared = plan(
        changed(
            scheme,
            cakes=(dataclasses.replace(scheme.cakes[2], count=27),),
            colours=(),
        )
    )
    (line,) = [line for line in shared.warnings if "cover the blade" in line]
    assert "Pool the batches of 2 stations" in line


def test_a_plan_longer_than_a_working_day_is_told(scheme):
    many = (dataclasses.replace(scheme.cakes[2], count=300),)
    told = plan(untimed(scheme, cakes=many, group={"stations": 1})).warnings
    assert any("longer than a working day" in line for line in told)


def test_a_dose_above_the_figure_of_the_law_is_told(scheme):
    # 21 CFR 73.575 (c): titanium dioxide at most 1 % by weight of the food.
    jug = scheme.colours[0]
    for dose, over in ((9, False), (20, True)):
        white = dataclasses.replace(
            jug, colourant="titanium white", kind="titanium white", dose=q(dose, "g/kg")
        )
        told = plan(changed(scheme, region="US", colours=(white, *scheme.colours[1:]))).warnings
        assert any("is more than the law allows" in line for line in told) is over


def test_a_station_without_a_cake_is_told(scheme):
    one = (dataclasses.replace(scheme.cakes[0], count=2),)
    told = plan(changed(scheme, cakes=one)).warnings
    assert any(line.startswith("There are fewer cakes than stations: 1") for line in told)


def test_more_glaze_than_a_bench_can_make_is_refused(scheme):
    many = (dataclasses.replace(scheme.cakes[0], count=2000),)
    with pytest.raises(FaultsError, match="is more than a station can make"):
        plan(changed(scheme, cakes=many, group={"stations": 1}))


def test_a_set_other_than_gelatin_is_told_to_be_another_technique(scheme):
    told = plan(odd(scheme)["no gelatin, agar"])
    assert any(line.startswith("The glaze is set by agar") for line in told.warnings)
    assert steps_called(told.before, "Agar is another technique")
    assert not steps_called(told.before, "gelatin")


def test_soaking_water_that_the_formula_does_not_count_is_told(scheme):
    lines = tuple(
        dataclasses.replace(line, mass=q(60, "g")) if line.ingredient == "water" else line
        for line in scheme.formula.lines
    )
    told = plan(changed(scheme, formula={"lines": lines})).warnings
    assert any("Count the soaking water" in line for line in told)


# --- the page ----------------------------------------------------------------------------------


def odd(scheme):
    """Return schemes that a plan must stand as well as the demo's."""
    lines = scheme.formula.lines
    plain = tuple(x for x in lines if x.ingredient != "gelatin leaf")
    bare = tuple(dataclasses.replace(x, price=None, pack=None) for x in lines)
    hot = {"low": q(55, "degC"), "high": q(60, "degC")}
    return {
        "one colour": changed(scheme, colours=()),
        "no gelatin, agar": changed(
            scheme, formula={"lines": (*plain, Line("agar", q(6, "g")))}, window=hot
        ),
        "no prices": changed(scheme, formula={"lines": bare}),
        "mountain": changed(scheme, kitchen={"altitude": q(2250, "m")}),
        "hot room": changed(scheme, kitchen={"room": q(39, "degC")}),
        "a hundred cakes on one bench": untimed(
            scheme,
            cakes=(dataclasses.replace(scheme.cakes[0], count=100),),
            group={"stations": 1},
        ),
        "one dome": changed(
            scheme,
            cakes=(dataclasses.replace(scheme.cakes[2], count=1),),
            group={"stations": 1, "students": 1},
        ),
        "no day": changed(scheme, group={"practical": None}),
        "no rules": changed(scheme, local_rules={"link": "", "contact": "", "discard_after": None}),
        "elsewhere": changed(scheme, region="Gulf"),
    }


@pytest.mark.parametrize("name", list(odd(read_scheme(DEMO))))
def test_a_page_is_made_of_every_odd_scheme(scheme, name):
    text = page(plan(odd(scheme)[name]))
    for slip in ("None", "Quantity", "Undefined", "{{", " nan", "  °"):
        assert slip not in text
    assert text.count("<h2") == text.count("</h2>")


def test_a_new_scheme_makes_a_plan_too(tmp_path):
    path = tmp_path / "scheme.toml"
    path.write_text(write({}), encoding="utf-8")
    assert "Order list" in page(plan(read_scheme(path)))


def test_the_page_needs_nothing_from_outside_and_runs_nothing(made):
    text = page(made)
    assert text.startswith("<!DOCTYPE html>")
    assert "<script" not in text
    assert not re.search(r"(?:src|href)\s*=\s*[\"'](?!#)", text)
    assert "url(" not in text


def test_what_a_scheme_says_cannot_become_markup(scheme):
    nasty = '<script>alert("x")</script>'
    text = page(
        plan(
            changed(
                scheme,
                title=nasty,
                school={"name": nasty},
                local_rules={"contact": nasty},
                colours=(Colour(nasty, q(100, "percent")),),
            )
        )
    )
    assert "<script" not in text
    assert "&lt;script&gt;" in text


def test_every_caution_on_the_page_ends_with_the_last_word(made):
    text = page(made)
    boxes = re.findall(r'<aside class="caution">.*?</aside>', text, re.DOTALL)
    assert len(boxes) > 15
    for box in boxes:
        end = "Your local rules and your supervisor come first.</p></aside>"
        assert box.endswith(end)


def test_every_station_has_a_log_sheet(made):
    text = page(made)
    assert text.count("<h2>Log of ") == len(made.stations)
    for row in ("out of the fridge", "first pour", "out of the cold in all, both days"):
        assert text.count(f"<td>{row}</td>") == len(made.stations)
    assert text.count("23 March 2027. Station ______.") == 1  # three benches share it


def test_every_bench_has_its_whole_day_on_one_table(made):
    text = page(made)
    (station,) = made.stations
    (table,) = re.findall(r'<table class="glance">(.*?)</table>', text, re.S)
    assert re.findall(r'<th scope="row">(.*?)</th>', table) == [
        step.title for step in station.steps
    ]
    hours = re.findall(r'<td class="n">(\d+:\d\d)</td>', table)
    assert hours == [clock(step.starts) for step in station.steps]


def test_a_clock_is_hours_and_minutes():
    assert clock(q(0, "min")) == "0:00"
    assert clock(q(3, "h")) == "3:00"


def test_a_jug_left_alone_is_told_by_the_physics_of_the_lesson(scheme, made):
    """Evaporation counts: Newton's law alone said that these jugs wait for each other."""
    (cool,) = [s for s in made.before if s.title.startswith("Cool it fast")]
    one = jugful(scheme, max(s.batch for s in made.stations))[1]
    kitchen = scheme.kitchen
    told = jug.time_on_the_bench(
        one,
        kitchen.jug,
        q(60, "degC"),
        q(34, "degC"),
        kitchen.room,
        kitchen.humidity,
        cover="filmed",
    )
    assert f"about {say(told.typical, 'h', digits=2)} to the window" in " ".join(cool.does)
    window = next(s for s in made.stations[0].steps if "window" in s.title)
    assert "the jugs miss each other" in " ".join(window.does)
