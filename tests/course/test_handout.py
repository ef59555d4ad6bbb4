"""What is printed: cards, lists, labels, risk sheet, calendar; and what the scheme says."""

import dataclasses
import datetime
import re
from html import unescape
from itertools import pairwise

import pytest

from calculators.faults import FaultsError
from calculators.units import q, say
from course.demo import FOLDER
from course.office.report_lines import as_read
from course.practical import cards, holding, lists, solver
from course.practical.handout import handout
from course.practical.orders import note_on
from course.practical.planning import plan
from course.practical.timetable import DAY_BEFORE
from course.scheme.practical import Allergy, Group
from course.scheme.reading import read_scheme

pytest.importorskip("ortools", reason="the solver is an extra")

TEXT = (FOLDER / "scheme.toml").read_text(encoding="utf-8")
DEMO = read_scheme(FOLDER / "scheme.toml")
NEXT = Group(8, 2, datetime.date(2027, 3, 30), "second group", "13:15", q(5, "h"), assessors=2)
TWO = dataclasses.replace(
    DEMO,
    practical=dataclasses.replace(
        DEMO.practical, more_groups=(NEXT,), allergies=(Allergy("milk", 2), Allergy("fish"))
    ),
)


@pytest.fixture(scope="module")
def tables():
    return solver.planned_all(TWO)


@pytest.fixture(scope="module")
def html(tables):
    return handout(TWO, tables)


def words(html):
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]*>", " ", html)))


def read(tmp_path, more, text=TEXT):
    path = tmp_path / "scheme.toml"
    path.write_text(text + more, encoding="utf-8")
    return read_scheme(path)


# --- masses ---------------------------------------------------------------------------------


def test_what_is_weighed_for_all_batches_is_what_is_ordered(tables):
    orders, _ = lists.orders(TWO, tables)
    for line in orders:
        weighed = [
            one.mass.m
            for table in tables
            for _, _, rows in lists.before(TWO, table).weighings
            for one in rows
            if one.ingredient == line.ingredient
        ]
        if weighed:  # in whole steps of the scale, one for each batch
            assert sum(weighed) == pytest.approx(line.needed.m_as("g"), abs=0.5 * len(weighed))


def test_jugs_and_layers_on_a_card_add_up_to_the_glaze_of_the_bench(tables):
    for load in tables[0].layout.loads:
        jugs = [load.glaze.m * colour.share.m_as("") for colour in TWO.colours]
        card = next(c for c in cards.cards(TWO, tables[0]) if c.bench == load.bench)
        row = next(r for r in card.rows if r.title == "Into the window")
        assert row.mass == tuple(
            f"{c.name} {say(q(m, 'g'), 'g')}" for c, m in zip(TWO.colours, jugs, strict=True)
        )
        layers = next(r for r in card.rows if r.title == "Layer the jugs").mass
        grams = [float(one.split()[-2]) for one in layers]
        assert sum(grams) == pytest.approx(load.glaze.m, abs=0.5 * len(grams))


def test_the_cost_is_what_the_packs_cost(tables):
    orders, cost = lists.orders(TWO, tables)
    prices = {line.ingredient: line.price for line in TWO.formula.lines}
    by_hand = sum(
        line.packs * prices[line.ingredient].m for line in orders if line.cost is not None
    )
    assert cost.m == pytest.approx(by_hand)


# --- cards ----------------------------------------------------------------------------------


def test_every_student_answers_for_a_step_and_stands_on_one_card(tables):
    for table in tables:
        made = cards.cards(TWO, table)
        people = [name for card in made for name in card.people]
        assert len(people) == len(set(people)) == table.layout.group.students
        for card in made:
            told = " ".join(row.who for row in card.rows)
            assert all(name in told for name in card.people)


def test_the_steps_of_a_card_are_in_the_order_of_the_clock(tables):
    for table in tables:
        start = table.layout.group.start
        for card in cards.cards(TWO, table):
            clocks = [tuple(map(int, row.clock.split(":"))) for row in card.rows]
            assert clocks == sorted(clocks)
            assert clocks[0] == tuple(map(int, start.split(":")))


def test_each_row_with_a_hazard_has_its_name(html):
    for sign in re.findall(r'<div class="sign">(.*?)</div>', html, re.S):
        assert re.sub(r"<[^>]*>", "", sign).strip()


def test_allergens_gelatin_and_diets_stand_on_card_and_label(tables, html):
    text = words(html)
    assert text.count("Gelatin: gelatin leaf") == sum(
        len(cards.cards(TWO, t)) + len(lists.labels(TWO, t)) for t in tables
    )
    assert "Not vegetarian" in text
    assert "Holds soya, milk" in text


def test_allergies_are_told_without_names_and_nothing_is_called_safe(html):
    text = words(html)
    assert "milk and lactose: 2 students. The glaze holds it" in text
    assert "this kitchen can't promise a bench free of it" in text
    assert not re.search(r"\bsafe\b", text)
    assert "Your local rules and your supervisor come first." in text


@pytest.mark.parametrize("region", ["US", "GB"])
def test_a_card_never_sends_into_the_cold_what_the_lecturer_is_told_to_throw_out(tables, region):
    rules = dataclasses.replace(TWO.local_rules, discard_after=None)
    scheme = dataclasses.replace(TWO, region=region, local_rules=rules)
    verdict = cards.left_over(scheme, tables[0])
    for card in cards.cards(scheme, tables[0]):
        row = next(row for row in card.rows if row.title == "What is left over")
        out = verdict.startswith("Throw the rest out")
        assert (row.does == (verdict,)) is out
        assert (row.temperature == "") is out
        assert ("cold" in row.ready) is not out
    assert (region == "US") is out


OWN = """
[[allergies]]
allergen = "milk"
students = 2
[[allergies.line]]
ingredient = "water"
mass = "240 g"
[[allergies.line]]
ingredient = "sugar"
mass = "320 g"
[[allergies.line]]
ingredient = "glucose syrup"
mass = "320 g"
[[allergies.line]]
ingredient = "cocoa butter"
mass = "160 g"
[[allergies.line]]
ingredient = "gelatin leaf"
mass = "18 g"
"""


def test_a_bench_without_milk_has_formula_batch_and_label_of_its_own(tmp_path):
    text = TEXT.replace("students = 12", "students = 14").replace("stations = 3", "stations = 4")
    scheme = read(tmp_path, OWN, text.replace("count = 24", "count = 40"))
    tables = solver.planned_all(scheme)
    table = tables[0]
    bench, allergen = table.layout.free
    assert allergen == "milk"
    assert table.layout.batches[0] == (bench,)
    weighings = {batch: rows for batch, _, rows in lists.before(scheme, table).weighings}
    assert "white chocolate" not in {row.ingredient for row in weighings[1]}
    assert "white chocolate" in {row.ingredient for row in weighings[2]}
    card = next(card for card in cards.cards(scheme, table) if card.bench == bench)
    assert card.free_of == "milk"
    assert "milk" not in card.notes.allergens
    assert "milk" not in lists.labels(scheme, table)[0].notes.allergens
    blends = {t.batch: t.starts for t in table.tasks if t.kind == "blend"}
    assert blends.pop(1) < min(blends.values())
    orders, _ = lists.orders(scheme, tables)
    for line in orders:
        weighed = [
            r.mass.m for rows in weighings.values() for r in rows if r.ingredient == line.ingredient
        ]
        if weighed:
            assert sum(weighed) == pytest.approx(line.needed.m_as("g"), abs=0.5 * len(weighed))
    assert "nobody can promise more" in words(handout(scheme, tables))


def test_a_formula_that_holds_what_it_is_to_be_without_is_refused(tmp_path):
    with pytest.raises(FaultsError, match="line: holds milk and lactose"):
        read(tmp_path, OWN.replace("cocoa butter", "butter"))


def test_the_lecturers_page_asks_to_settle_an_overdose_and_a_set_that_is_not_gelatins():
    agar = dataclasses.replace(
        DEMO.formula,
        lines=tuple(
            dataclasses.replace(line, ingredient="agar", mass=q(6, "g"), price=None, pack=None)
            if line.ingredient == "gelatin leaf"
            else line
            for line in DEMO.formula.lines
        ),
    )
    pink = next(jug for jug in DEMO.colours if jug.colourant)
    white = dataclasses.replace(
        pink, share=q(100, "percent"), colourant="titanium white", dose=q(30, "g/kg")
    )
    odd = dataclasses.replace(DEMO, formula=agar, region="US", colours=(white,))
    for scheme, many in ((DEMO, 0), (odd, 1)):
        table = solver.planned(scheme, scheme.group).table
        said = words(handout(scheme, [table]))
        assert said.count("To settle before the day") == many
        assert said.count("more than the law allows") == many
        assert said.count("The glaze is set by agar") == many


def test_jugs_that_nothing_colours_are_to_settle_in_either_plan():
    ivory, plum = (
        dataclasses.replace(jug, colourant="", kind="", dose=None, name=name)
        for jug, name in zip(DEMO.colours, ("ivory", "plum"), strict=False)
    )
    half = q(50, "percent")
    two = tuple(dataclasses.replace(jug, share=half) for jug in (ivory, plum))
    scheme = dataclasses.replace(DEMO, colours=two)
    told = "Nothing colours ivory and plum"
    assert [line for line in plan(scheme).warnings if told in line]
    said = words(handout(scheme, [solver.planned(scheme, scheme.group).table]))
    assert said.count(told) == 1
    assert not [line for line in plan(DEMO).warnings if "Nothing colours" in line]


@pytest.mark.parametrize("worst", [40, 170])
def test_a_card_sends_the_rest_where_the_lecturers_page_sends_it(tables, monkeypatch, worst):
    table = tables[0]
    monkeypatch.setattr(type(table), "warm", lambda *_: worst)
    goes = cards.left_over(DEMO, table)
    thrown = goes.startswith("Throw the rest out")
    assert thrown == (worst == 170)
    for card in cards.cards(DEMO, table):
        (row,) = (row for row in card.rows if row.title == "What is left over")
        assert goes in row.does
        # A card that throws out names no cold, and no label.
        assert (row.temperature == "") == thrown
        assert ("Labelled" in row.ready) != thrown
        assert (len(row.does) == 1) == thrown


def test_a_second_glaze_for_an_allergy_is_refused_and_not_forgotten(tmp_path):
    with pytest.raises(FaultsError, match="is a second glaze for an allergy"):
        read(tmp_path, OWN + OWN.replace('"milk"', '"soya"'))


def test_the_bench_kept_free_is_told_to_each_allergy_that_its_glaze_serves(tmp_path):
    # The demo's white chocolate holds soya too, and the glaze of that bench has none.
    more = '[[allergies]]\nallergen = "soya"\nstudents = 1\n'
    text = TEXT.replace("students = 12", "students = 14").replace("stations = 3", "stations = 4")
    scheme = read(tmp_path, OWN + more, text.replace("count = 24", "count = 40"))
    table = solver.planned(scheme, scheme.group).table
    for told in cards.allergy_notes(scheme, table.layout):
        assert f"Bench {table.layout.free[0]} has a formula whose lines don't name it" in told
        assert "Every bench pours this glaze" not in told
    said = [line for line in as_read(scheme) if "allergic to" in line]
    assert len(said) == 2
    assert all("with a glaze without it" in line for line in said)


@pytest.mark.parametrize(
    ("swapped", "allergen", "said"),
    [
        (("gelatin leaf", "gelatin, fish"), "fish", "The glaze of bench {} holds it"),
        (("water", "oat drink"), "gluten", "The glaze of bench {} holds it (oat drink)"),
        (("cocoa butter", "dark chocolate, 70 %"), "fish", "No line of the formula names it"),
    ],
)
def test_what_the_glaze_of_the_bench_kept_free_brings_in_is_told_to_who_is_allergic_to_it(
    tmp_path, swapped, allergen, said
):
    more = f'[[allergies]]\nallergen = "{allergen}"\nstudents = 1\n'
    text = TEXT.replace("students = 12", "students = 14").replace("stations = 3", "stations = 4")
    scheme = read(tmp_path, OWN.replace(*swapped) + more, text.replace("count = 24", "count = 40"))
    layout = solver.planned(scheme, scheme.group).table.layout
    told = cards.allergy_notes(scheme, layout)[1]
    assert said.format(layout.free[0]) in told
    assert ("No line of the formula names it" in told) == said.startswith("No line")
    assert "Your local rules and your supervisor come first." in told


def test_a_window_below_the_room_is_told_to_the_lecturer():
    hot = dataclasses.replace(
        DEMO,
        kitchen=dataclasses.replace(DEMO.kitchen, room=q(29, "degC")),
        window=dataclasses.replace(DEMO.window, low=q(25, "degC"), high=q(28, "degC")),
    )
    table = solver.planned(hot, hot.group).table
    assert "warms out of it" in cards.in_the_room(hot, table)
    assert "ice" in cards.in_the_room(hot, table)
    plain = solver.planned(DEMO, DEMO.group).table
    assert "cools out of it" in cards.in_the_room(DEMO, plain)


def test_nothing_is_fetched_from_elsewhere(html):
    assert not re.search(r"(?:src|href)\s*=\s*[\"']https?:", html)
    assert "<script" not in html
    assert "@import" not in html


# --- day before, labels, risks, calendar -------------------------------------------------------


def test_hob_and_blender_of_the_day_before_are_used_once_at_a_time():
    scarce = dataclasses.replace(DEMO.practical.equipment, hobs=1, blenders=1, jugs=30)
    cakes = tuple(
        dataclasses.replace(c, count=n) for c, n in zip(DEMO.cakes, (6, 3, 60), strict=True)
    )
    scheme = dataclasses.replace(
        DEMO,
        cakes=cakes,
        group=dataclasses.replace(DEMO.group, students=30, stations=6, assessors=2),
        practical=dataclasses.replace(DEMO.practical, equipment=scarce),
    )
    table = solver.planned(scheme, scheme.group).table
    assert len(table.layout.batches) > 1
    rows = lists.chores(scheme, table)
    for step in ("boil", "blend"):
        spans = sorted((a, b) for a, b, _, name in rows if name == step)
        assert len(spans) == len(table.layout.batches)
        assert all(one[1] <= other[0] for one, other in pairwise(spans))
    for batch in range(1, len(table.layout.batches) + 1):
        mine = [(a, b) for a, b, n, _ in rows if n == batch]
        assert all(one[1] <= other[0] for one, other in pairwise(mine))


def test_a_label_says_what_when_and_whose(tables):
    label = lists.labels(TWO, tables[0])[0]
    assert label.what == "White chocolate mirror glaze"
    assert label.made == datetime.date(2027, 3, 22)
    assert label.use_by == datetime.date(2027, 3, 23)


def test_the_risk_sheet_has_each_hazard_of_both_days_once(tables):
    names = [caution.id for caution, _ in lists.risks(tables[0])]
    assert len(names) == len(set(names))
    assert {"hot-sugar", "stick-blender", "allergens", "chilling-holding", "knife"} <= set(names)


def test_the_calendar_is_one_that_calendars_read(tables):
    text = lists.calendar(TWO, tables)
    lines = text.split("\r\n")
    assert lines[0] == "BEGIN:VCALENDAR"
    assert lines[-2:] == ["END:VCALENDAR", ""]
    assert "\n" not in text.replace("\r\n", "")
    assert all(len(line.encode()) <= 75 for line in lines)
    assert text.count("BEGIN:VEVENT") == text.count("END:VEVENT") == 4
    assert "DTSTART:20270323T090000" in text
    assert "DTSTART:20270330T131500" in text
    uids = re.findall(r"UID:(\S+)", text)
    assert len(uids) == len(set(uids))


# --- what the scheme says ----------------------------------------------------------------------


def test_groups_equipment_and_allergies_are_read(tmp_path):
    scheme = read(
        tmp_path,
        """
[[more_groups]]
name = "evening"
students = 10
stations = 2
practical = 2027-03-23
start = 17:30:00
hours = "4 h"

[equipment]
blenders = 2
trays = 0
ice = false
fridge = "12 l"
freezer = "0.5 m²"

[[allergies]]
allergen = "milk"
students = 2
""",
        TEXT.replace("students = 12", 'students = 12\nhours = "5 h"\nstart = "08:30"'),
    )
    (evening,) = scheme.practical.more_groups
    assert (evening.name, evening.start, evening.hours) == ("evening", "17:30", q(4, "h"))
    assert scheme.group.start == "08:30"
    assert scheme.practical.equipment.blenders == 2
    assert scheme.practical.equipment.fridge == q(12, "l")
    assert scheme.practical.equipment.freezer.m_as("cm**2") == pytest.approx(5000)
    assert not scheme.practical.equipment.ice
    assert scheme.practical.allergies == (Allergy("milk", 2),)


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ("[equipment]\nblender = 2\n", r"equipment.blender"),
        ("[equipment]\nhobs = 0\n", r"equipment.hobs: is out of range"),
        ('[equipment]\nwall = "copper"\n', r"equipment.wall"),
        ('[plan]\nwhen = "tomorrow"\n', r"plan.when"),
        ("[plan]\nstarts = [0, -5]\n", r"are not minutes from the first word"),
        ('[[allergies]]\nallergen = "dairy"\n', r"allergies"),
        ('[[more_groups]]\nname = "b"\nstudents = 4\n', r"have no day of their own"),
        (
            '[[more_groups]]\nname = "b"\nstudents = 4\npractical = 2027-03-23\nstart = "10:00"\n',
            r"overlap on one day",
        ),
        (
            '[[more_groups]]\nname = "b"\nstudents = 4\npractical = 2027-03-24\nstart = "25:00"\n',
            r"is not a time of day",
        ),
        (
            '[[more_groups]]\nname = "b"\nstudents = 4\npractical = 2027-03-24\n'
            "[plan]\nstarts = [0, 15]\n",
            r"pins minutes, and there are several groups",
        ),
    ],
)
def test_what_is_wrong_is_told_with_its_line(tmp_path, more, said):
    with pytest.raises(FaultsError, match=said) as caught:
        read(tmp_path, "\n" + more)
    assert re.search(r"scheme\.toml:\d+", str(caught.value))


@pytest.mark.parametrize(("name", "told"), [("gelatin, fish", True), ("gelatin leaf", False)])
def test_who_weighs_gelatin_of_fish_is_told_that_it_sets_colder(tmp_path, name, told):
    scheme = read(tmp_path, "", TEXT.replace('"gelatin leaf"', f'"{name}"', 1))
    note = note_on(scheme, name, q(1, "kg"))
    assert ("sets and melts colder" in note) is told
    assert note.startswith(note_on(DEMO, "gelatin leaf", q(1, "kg"))[:10])


@pytest.mark.parametrize(("way", "thick"), [("ice bath to the end", True), ("cold bath", False)])
def test_who_cools_a_glaze_until_it_sets_is_told_how_to_stir_it_then(tables, way, thick):
    layout = tables[0].layout
    names = {one.name: one for one in holding.HOW.values()}
    held = next(name for name in names if (name == way) or (not thick and names[name].out.m > 20))
    variant = dataclasses.replace(layout.variant, when=DAY_BEFORE, way=held)
    table = dataclasses.replace(tables[0], layout=dataclasses.replace(layout, variant=variant))
    (does, *_) = (
        row.does for row in lists.before(TWO, table).chores if "bath may get in" in str(row)
    )
    assert ("thickens" in " ".join(does)) is thick
