"""The scheme of work: what is read, and how each fault is told."""

import datetime
import re

import pytest

from calculators import cooling
from calculators.faults import FaultsError
from calculators.kitchen import Kitchen
from calculators.units import q, read, say, written_units
from course.demo import FOLDER
from course.office.follows import follows
from course.office.report_lines import as_read
from course.practical.orders import orders_for
from course.scheme.declared import MISSING_UNIT, OTHER_UNIT
from course.scheme.model import MODULES, UNIT_ALONE
from course.scheme.reading import read_scheme
from exercises.files.toml_file import LARGEST_FILE
from exercises.marking.rules import policy_of
from exercises.questions.outcomes import outcomes
from exercises.questions.registry import LEVELS

DEMO = FOLDER / "scheme.toml"

SHORT = """\
title = "Glazing"
region = "GB"
[school]
name = "Bramblemoor"
[kitchen]
altitude = "90 m"
[stores]
gelatin_grade = "gold"
[formula]
gelatin_grade = "gold"
[[formula.line]]
ingredient = "water"
mass = "150 g"
[[cakes]]
shape = "dome"
diameter = "7 cm"
count = 24
[group]
students = 8
"""


@pytest.fixture
def told(tmp_path):
    """Return the faults of a text, as they are told."""

    def tell(text, name="scheme.toml"):
        path = tmp_path / name
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        with pytest.raises(FaultsError) as caught:
            read_scheme(path)
        return [str(fault) for fault in caught.value.faults]

    return tell


@pytest.fixture
def scheme_of(tmp_path):
    """Return the scheme that a text makes."""

    def make(text):
        path = tmp_path / "scheme.toml"
        path.write_text(text, encoding="utf-8")
        return read_scheme(path)

    return make


# --- a good scheme --------------------------------------------------------------------


def test_the_demo_scheme_is_read_as_it_is_written():
    demo = read_scheme(DEMO)
    assert demo.title.startswith("The mirror glaze")
    assert demo.modules == tuple(MODULES)
    assert say(demo.kitchen.altitude) == "430 m"
    assert say(demo.kitchen.hob) == "2000 W"
    assert (demo.stores.gelatin_grade, demo.formula.gelatin_grade) == ("silver", "gold")
    assert say(demo.formula.mass, digits=4) == "1278 g"
    assert [cake.shape for cake in demo.cakes] == ["cylinder", "ring", "dome"]
    assert demo.cakes[1].sizes["inner"] == q(6, "cm")
    assert demo.group.practical == datetime.date(2027, 3, 23)
    paper = demo.papers["syrups-and-gelatin"]
    assert paper.questions == 12
    assert paper.levels == {"recall": 0, "carry out": 6, "decide": 6}
    assert paper.hand_in_by == datetime.date(2027, 3, 15)
    assert demo.pass_rule.must_pass == ("kitchen-hazards", "gelatin-rule")
    assert demo.directory == DEMO.parent.resolve()
    assert demo.currency == "EUR"
    assert [jug.kind for jug in demo.colours] == ["", "gel or paste", "gel or paste"]


def test_a_short_scheme_gets_sensible_values_for_the_rest(scheme_of):
    short = scheme_of(SHORT)
    assert short.modules == tuple(MODULES)
    assert say(short.window.low) == "31 °C"
    assert say(short.window.high) == "34 °C"
    assert say(short.stores.gelatin_bloom) == "200 bloom"
    assert say(short.keep_data) == "400 d"
    assert short.marking.missing_unit == "asked"
    assert short.papers == {}
    assert short.colours == ()


def test_a_question_finds_every_kitchen_value_that_it_may_ask_for():
    values = read_scheme(DEMO).kitchen_values()
    asked = "altitude room humidity freezer hob blender gelatin window_low window_high"
    assert set(asked.split()) <= set(values)
    assert values["gelatin"] == q(160, "bloom")
    assert values["altitude"] == q(430, "m")


def test_a_calculator_takes_the_pouring_window_from_the_scheme():
    demo = read_scheme(DEMO)
    for end in (demo.window.low, demo.window.high):
        assert cooling.window(end, demo).verdict == "in"
    beyond = q(demo.window.high.m_as("degC") + 1, "degC")
    assert cooling.window(beyond, demo).verdict == "above"


def test_the_lessons_get_the_kitchen_as_they_know_it():
    kitchen = read_scheme(DEMO).as_kitchen()
    assert isinstance(kitchen, Kitchen)
    assert kitchen.gelatin_wanted == "gold"
    assert kitchen.gelatin_grade == "silver"
    assert kitchen.local_contact == "the kitchen supervisor on duty, bench 1"


def test_every_lesson_of_the_outcome_table_belongs_to_one_module():
    held = [lesson for lessons in MODULES.values() for lesson in lessons]
    assert len(held) == len(set(held))
    assert {outcome.lesson for outcome in outcomes().values()} == set(held)


def test_a_module_left_out_takes_its_outcomes_with_it(scheme_of):
    lean = scheme_of('modules = ["kitchen", "syrup", "gelatin"]\n' + SHORT)
    assert "glucose-swap" in lean.left_out
    assert "gelatin-leaf" not in lean.left_out
    assert "glucose-tub" not in lean.lessons


def test_windows_line_ends_and_a_byte_order_mark_are_no_fault(tmp_path, scheme_of):
    path = tmp_path / "windows.toml"
    path.write_bytes(b"\xef\xbb\xbf" + SHORT.replace("\n", "\r\n").encode())
    assert read_scheme(path).digest == scheme_of(SHORT).digest


def test_a_price_decides_the_currency_where_none_is_given(scheme_of):
    priced = SHORT.replace(
        'mass = "150 g"', 'mass = "150 g"\nprice = "£1.10"\npack = "1 kg"'
    ).replace("£1.10", "1.10 £")
    scheme = scheme_of(priced)
    assert scheme.currency == "GBP"
    assert scheme.formula.lines[0].price == q(1.10, "GBP")


def test_a_paper_is_issued_with_the_rules_of_the_whole_scheme():
    demo = read_scheme(DEMO)
    plan = demo.paper_plan("syrups-and-gelatin")
    assert plan.levels == {"recall": 0, "carry out": 6, "decide": 6}
    assert (plan.opens_on, plan.hand_in_by) == ("2027-03-08", "2027-03-15")
    assert plan.must_pass == ("kitchen-hazards", "gelatin-rule")
    assert plan.pass_share == 0.5
    assert plan.kitchen["altitude"] == q(430, "m")
    assert plan.rules.contact == demo.local_rules.contact
    assert policy_of(plan.policy)["missing_unit"] == "asked"


def test_an_outcome_that_the_course_must_pass_counts_in_each_paper_that_asks_it(
    scheme_of,
):
    papers = (
        '[papers.a]\noutcomes = ["gelatin-rule"]\ndecide = 1\n'
        '[papers.b]\noutcomes = ["boiling-point"]\ncarry_out = 1\n'
        '[pass]\nmust_pass = ["gelatin-rule"]\n'
    )
    scheme = scheme_of(SHORT + papers)
    assert scheme.paper_plan("a").must_pass == ("gelatin-rule",)
    assert scheme.paper_plan("b").must_pass == ()


def test_which_sitting_counts_is_said_for_all_papers_and_for_one(scheme_of):
    one = '[papers.{}]\noutcomes = ["boiling-point"]\ncarry_out = 1\n{}'
    papers = one.format("a", "") + one.format("b", 'sittings = "last"\n')
    scheme = scheme_of(f'{SHORT}{papers}[pass]\nsittings = "capped"\n')
    assert scheme.paper_plan("a").pass_rule["sittings"] == "capped"
    assert scheme.paper_plan("b").pass_rule["sittings"] == "last"
    assert scheme_of(SHORT + papers).paper_plan("a").pass_rule["sittings"] == "best"
    with pytest.raises(FaultsError, match=r"pass\.sittings: is not a known choice .*worst"):
        scheme_of(f'{SHORT}{papers}[pass]\nsittings = "worst"\n')


def test_a_paper_that_is_not_in_the_scheme_is_told_with_the_nearest():
    with pytest.raises(FaultsError, match=r"Did you mean syrup-practice\?"):
        read_scheme(DEMO).paper_plan("syrup-practise")


# --- the digest ------------------------------------------------------------------------


def test_the_digest_moves_with_a_value_and_not_with_a_comment(scheme_of):
    plain = scheme_of(SHORT).digest
    assert scheme_of("# a remark\n" + SHORT).digest == plain
    assert scheme_of(SHORT.replace("90 m", "0.09 km")).digest == plain
    assert scheme_of(SHORT.replace("90 m", "91 m")).digest != plain


# --- many faults at once -----------------------------------------------------------------

TEN_FAULTS = """\
title = "Glazing"
region = "Atlantis"
modules = ["syrup", "gelatin"]

[school]
name = "Bramblemoor"

[kitchen]
altitude = 430
humidty = "60 %"
room = "21 g"
freezer = "18 °C"

[stores]
gelatin_grade = "gold"
gelatin_bloom = "120 bloom"

[formula]
gelatin_grade = "gold"
[[formula.line]]
ingredient = "water"
mass = "many g"

[window]
low = "34 °C"
high = "31 °C"

[[cakes]]
shape = "ring"
outer = "18 cm"
inner = "6 cm"
height = "5 cm"
count = 0

[group]
students = 8
"""


def test_a_scheme_with_ten_faults_gives_ten_messages_each_with_its_line(told):
    assert told(TEN_FAULTS) == [
        "scheme.toml:2, region: is not a region whose law is in the table "
        "(given: Atlantis). It must be one of: EU, NI, GB, US, CA, AU, NZ, Gulf, "
        "FR, DE, CH, JP, elsewhere. Choose the one whose law you go by (the UK is GB, or NI "
        "in Northern Ireland; a country of the European Union that is not listed is EU); for "
        "any other, choose elsewhere: then all is to be asked, and no foreign law is told as "
        "yours.",
        "scheme.toml:3, modules: leaves out Kitchen first (given: syrup, gelatin). "
        'Kitchen first is part of every course. Add "kitchen" to the list.',
        "scheme.toml:9, kitchen.altitude: is a bare number (given: 430). "
        "It must be from −430 to 5000 m. "
        'Write it with its unit, like "430 m".',
        "scheme.toml:10, kitchen.humidty: is not a name that a scheme knows here. "
        "It must be one of: altitude, blade, blender, display, freezer, hob, "
        "humidity, jug, room, storage. Did you mean humidity?",
        "scheme.toml:11, kitchen.room: is a mass, and a temperature is wanted "
        "(given: 21 g). It must be from 5 to 40 °C. Give it in °C.",
        "scheme.toml:12, kitchen.freezer: is out of range (given: 18 °C). "
        "It must be from −40 to −5 °C. Check the number and its unit.",
        "scheme.toml:16, stores.gelatin_bloom: is not what gold gelatin is sold at "
        "(given: 120 bloom). For gold it must be from 190 to 220 bloom. "
        "Read the bloom on the pack, or change gelatin_grade.",
        "scheme.toml:22, formula.line.1.mass: does not begin with a number "
        "(given: many g). A number is written with the digits 0 to 9 and a decimal "
        'point or comma. Write it like "12.5 g".',
        "scheme.toml:26, window.high: is not above the low end of the pouring window "
        "(given: 31 °C). The low end is 34 °C. Swap the two, or mend one.",
        "scheme.toml:33, cakes.1.count: is out of range (given: 0). "
        "It must be a whole number from 1 to 2000. Check the number.",
    ]


PAPER = """
[papers.week-one]
outcomes = ["syrup-strength", "gelatin-lead", "bench-boil", "glucose-swap"]
carry_out = 2
opens_on = "2027-03-08"
hand_in_by = 2027-03-08
must_pass = ["boiling-point"]
[papers."Week 2"]
outcomes = []
opens_on = 2027-03-08T10:00:00
hand_in_by = "8 March"
[pass]
must_pass = ["marble-split"]
"""


def test_the_faults_of_a_paper_plan_are_told_with_what_to_do(told):
    faults = told('modules = ["kitchen", "syrup", "gelatin", "colour"]\n' + SHORT + PAPER)
    assert faults == [
        "scheme.toml:23, papers.week-one.outcomes.2: is not a known outcome "
        "(given: gelatin-lead). Did you mean gelatin-leaf?",
        "scheme.toml:23, papers.week-one.outcomes.3: is one that no sheet can prove "
        "(given: bench-boil). It is shown with the hands, at the bench. "
        "Take it out here, and watch for it in the practical.",
        "scheme.toml:23, papers.week-one.outcomes.4: belongs to a module left out "
        "(given: glucose-swap). It is taught in the module glucose. "
        'Add "glucose" to modules, or take the outcome out.',
        "scheme.toml:26, papers.week-one.hand_in_by: is not after the day on which "
        "the paper opens (given: 2027-03-08). It opens on 2027-03-08. "
        "Give a later day.",
        "scheme.toml:27, papers.week-one.must_pass.1: is not asked in this paper "
        "(given: boiling-point). Add it to the outcomes of the paper too.",
        "scheme.toml:28, papers.Week 2: has a name that no file could bear "
        "(given: Week 2). A paper's name has small letters, digits and single "
        "hyphens. Name it like week-2.",
        "scheme.toml:28, papers.Week 2: asks no question (given: 0). "
        "A paper has at least one. Say how many of each level: recall, carry_out, "
        "decide.",
        "scheme.toml:29, papers.Week 2.outcomes: is an empty list (given: []). "
        "Name at least one outcome.",
        "scheme.toml:30, papers.Week 2.opens_on: is not a day "
        "(given: 2027-03-08 10:00:00). A day is year, month and day. "
        "Write it like opens_on = 2027-03-08.",
        "scheme.toml:31, papers.Week 2.hand_in_by: is not a day (given: 8 March). "
        "A day is year, month and day. Write it like hand_in_by = 2027-03-08.",
        "scheme.toml:33, pass.must_pass.1: is asked in no assessed paper "
        "(given: marble-split). Nobody could pass. "
        "Add it to the outcomes of a paper.",
    ]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("[school]\n", 'modul = ["a"]\n[school]\n', "Did you mean modules?"),
        ('title = "Glazing"', 'title = ""', "title: is empty"),
        ('title = "Glazing"', "title = 5", 'Write it like "5"'),
        ('title = "Glazing"', f'title = "{"a" * 201}"', "is 201 characters long"),
        ('"Glazing"', '"Gla\\u202ezing"', "holds an invisible character"),
        ('"gold"\n[formula]', '"golden"\n[formula]', "Did you mean gold?"),
        ('"GB"', '"gb"', "Did you mean GB?"),
        ('"90 m"', '"90 furlongs"', "from −430 to 5000 m. Give it in m."),
        ('"90 m"', '"high"', 'Write it like "12.5 m"'),
        ("students = 8", "students = 8\n[marking]\nmissing_unit = true", "(given: true)"),
        ('"dome"', '"ball"', "cylinder, ring, dome, log, slab, savarin, torus"),
        ('diameter = "7 cm"\n', "", 'Add it: diameter = "... cm"'),
        ('"water"', '"watre"', 'Did you mean "water"?'),
        ('"water"', '"xyz"', "is not in the ingredient table"),
        ("count = 24", 'count = "24"', "is not a whole number"),
        ("count = 24", "count = true", "is not a whole number"),
        ("students = 8", "students = 8\nstations = 9", "more than there are students"),
        ("[group]\nstudents = 8", "group = 8", "group: is missing"),
        ("[[cakes]]", "[cakes]", "Begin each with [[cakes]]"),
        ('"150 g"', '"nan g"', "does not begin with a number"),
        ('"150 g"', '"150 g"\nprice = "2 GBP"', "Add the pack"),
        ("[school]", 'keep_data = "9 g"\n[school]', "is a mass, and a time is wanted"),
        (
            "students = 8",
            'students = 8\n[local_rules]\nlink = "javascript:alert(1)"',
            "is not the address of a page",
        ),
        (
            "students = 8",
            'students = 8\n[own]\nlessons = "mine"',
            "is not a folder beside the scheme",
        ),
        ("students = 8", 'students = 8\n[marking]\nmissing_unit = "ask"', "Did you mean asked?"),
        (
            "students = 8",
            'students = 8\n[[colours]]\nname = "a"\nshare = "40 %"',
            "Together they must be 100 %",
        ),
    ],
)
def test_each_fault_is_told_with_its_next_step(told, old, new, said):
    assert old in SHORT
    if new == "group = 8":  # a value for a table, at the top of the file
        text = "group = 8\n" + SHORT.replace(old, "")
        said = "group: is not a table (given: 8). Begin it with [group]"
    else:
        text = SHORT.replace(old, new, 1)
    assert any(said in fault for fault in told(text)), told(text)


@pytest.mark.parametrize("name", ["x" * 5000, "a\\u0000b"])
@pytest.mark.parametrize(
    "line", ['lessons = "{}"', 'pictures = "{}"', 'ingredients = "{}"', 'earlier_books = ["{}"]']
)
def test_a_name_that_no_file_can_have_is_told_and_not_looked_for(told, line, name):
    (fault,) = told(f"{SHORT}\n[own]\n{line.format(name)}\n")
    assert "characters long" in fault or "invisible character" in fault


@pytest.mark.parametrize("line", ['bath = "99 °C"', 'out = "0 °C"', "out = 5"])
def test_a_bath_that_is_out_of_range_is_told_with_its_line_and_hides_no_other_fault(told, line):
    faults = told(f"{SHORT.replace('90 m', 'high')}\n[cooling]\n{line}\n")
    key = line.partition(" ")[0]
    assert len(faults) == 2
    assert "altitude" in faults[0]
    assert re.match(rf"scheme\.toml:\d+, cooling\.{key}: ", faults[1])


def test_a_table_that_is_no_table_is_told_once_and_not_as_python(told):
    assert told(SHORT.replace("[school]", "[[school]]")) == [
        "scheme.toml:3, school: is not a table. Begin it with [school]."
    ]


def test_what_is_missing_with_its_whole_table_is_told_with_the_heading(told):
    assert told(SHORT.replace("[group]\nstudents = 8", "")) == [
        "scheme.toml:1, group.students: is missing. Add it under [group]: students = ..."
    ]


def test_feet_and_fahrenheit_are_read_like_any_other_unit(scheme_of):
    ship = scheme_of(SHORT.replace('"90 m"', '"295 ft"\nroom = "82 °F"'))
    assert say(ship.kitchen.altitude) == "89.9 m"
    assert say(ship.kitchen.room) == "27.8 °C"


def test_two_jugs_of_one_name_are_told_apart_before_one_is_lost(told):
    jug = '[[colours]]\nname = "ivory"\nshare = "50 %"\n'
    (fault,) = told(SHORT + jug + jug)
    assert fault.startswith(
        "scheme.toml:24, colours.2.name: is the name of another jug too (given: ivory)."
    )


def test_two_currencies_are_not_mixed(told):
    text = 'currency = "EUR"\n' + SHORT.replace(
        'mass = "150 g"', 'mass = "150 g"\nprice = "2 GBP"\npack = "1 kg"'
    )
    assert told(text) == [
        "scheme.toml:15, formula.line.1.price: is an amount of GBP, and an amount of "
        "EUR is wanted (given: 2 GBP). It must be from 0 to 1000000 EUR. "
        "Give it in EUR."
    ]


def test_a_missing_grade_is_told_with_all_grades_and_none_is_suggested(told):
    (fault,) = told(SHORT.replace('gelatin_grade = "gold"\n[[formula', "[[formula"))
    assert "formula.gelatin_grade: is missing" in fault
    assert 'gelatin_grade = "...", one of: bronze, silver, gold' in fault


def test_a_price_in_an_unknown_currency_is_told_as_that_with_a_way_on(told):
    text = SHORT.replace('mass = "150 g"', 'mass = "150 g"\nprice = "28 MXN"\npack = "1 kg"')
    (fault,) = told(text)
    assert (
        "formula.line.1.price: is in a currency that is not in the table (given: 28 MXN)" in fault
    )
    assert "Leave the prices out" in fault
    assert "Did you mean" not in fault


def test_a_colourant_that_the_region_forbids_is_refused_with_its_law(told):
    colours = '[[colours]]\nname = "white"\nshare = "100 %"\ncolourant = "titanium white"\n'
    text = SHORT.replace('"GB"', '"EU"') + colours
    (fault,) = told(text)
    assert fault.startswith(
        "scheme.toml:23, colours.1.colourant: may not go into food in the European Union "
        "(given: titanium white). Titanium white (E 171) is not authorised"
    )
    assert "looked at 20" in fault


def test_a_colour_sold_under_the_name_of_the_law_is_refused_without_a_colourant_too(
    told, scheme_of
):
    colours = '[[colours]]\nname = "white"\nshare = "100 %"\nkind = "titanium white"\n'
    (fault,) = told(SHORT.replace('"GB"', '"EU"') + colours)
    assert fault.startswith(
        "scheme.toml:23, colours.1.kind: may not go into food in the European Union "
        "(given: titanium white). Titanium white (E 171) is not authorised"
    )
    assert scheme_of(SHORT + colours).colours[0].colourant == "titanium white"


def test_an_ingredient_that_the_region_forbids_is_refused_under_any_name(told):
    text = SHORT.replace('"GB"', '"NI"').replace('"water"', '"Titanium dioxide"')
    (fault,) = told(text)
    assert "ingredient: may not go into food in Northern Ireland" in fault


def test_an_ingredient_is_known_by_its_other_names(scheme_of):
    named = scheme_of(SHORT.replace('"water"', '"Condensed milk"')).formula.lines[0]
    assert named.ingredient == "condensed milk, sweetened"


def test_the_same_colourant_is_read_where_the_law_permits_it(scheme_of):
    colours = '[[colours]]\nname = "white"\nshare = "100 %"\ncolourant = "titanium white"\n'
    assert scheme_of(SHORT + colours).colours[0].colourant == "titanium white"


# --- files that are no scheme ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("broken", "line", "said"),
    [
        ("altitude 430", 7, "has a name without an equals sign after it"),
        ("altitude = 430 m", 7, "has something after its value"),
        ("altitude = high", 7, "has a value that can't be read"),
        ('altitude = "430 m', 7, "has a text that is opened and not closed"),
        ('altitude = "1 m"\naltitude = "2 m"', 8, "gives the same name a second time"),
        ("[kitchen", 7, "has a heading that is opened and not closed"),
        ("[school]", 7, "opens the same table a second time"),
        ("x = [1, 2", 7, "has a list or table that is opened and not closed"),
        ('x = "a\\qb"', 7, "has a backslash that means nothing here"),
        ('x = "C:\\Users"', 7, "has a backslash that means nothing here"),
        ("x = {a = 1, a = 2}", 7, "gives the same name a second time"),
        ("é = 1", 7, "can't be read"),
    ],
)
def test_a_slip_in_the_toml_is_told_plainly_with_its_line(told, broken, line, said):
    good = 'title = "a"\n[school]\nname = "b"\n\n\n# a remark\n'
    (fault,) = told(good + broken + "\n")
    assert fault.startswith(f"scheme.toml:{line}: {said}"), fault


def test_all_lines_that_cannot_be_read_are_told_at_once(told):
    broken = (
        SHORT.replace("[kitchen]", "[kitchen]\nroom 22 °C")
        .replace('mass = "150 g"', "mass = 150 g\nmass = “150 g”")
        .replace("students = 8", "students = eight\npractical = 2027-02-30")
    )
    assert [fault.partition(" (given")[0] for fault in told(broken)] == [
        "scheme.toml:6: has a name without an equals sign after it",
        "scheme.toml:14: has something after its value",
        "scheme.toml:15: has a value that can't be read",
        "scheme.toml:21: has a value that can't be read",
        "scheme.toml:22: has a date that is not in the calendar",
    ]


@pytest.mark.parametrize(
    "first", ["[kitchen", "x = [1, foo,\n2,\n3]", "[school]", 'x = """a\nb\\qc"""']
)
def test_what_only_follows_from_a_slip_is_not_told_as_another(told, first):
    good = 'title = "a"\n[school]\nname = "b"\n'
    assert len(told(f"{good}{first}\nname = 1\n")) == 1


def test_a_file_that_is_not_there_is_told_with_how_to_make_one(tmp_path):
    with pytest.raises(FaultsError, match=r"is not there.*glossbook describe"):
        read_scheme(tmp_path / "scheme.toml")


def test_a_folder_is_told_apart_from_a_file(tmp_path):
    with pytest.raises(FaultsError, match="is a folder"):
        read_scheme(tmp_path)


def test_text_in_another_encoding_is_told_with_its_line(told):
    (fault,) = told(SHORT.replace("Bramblemoor", "Crème").encode("latin-1"))
    assert fault.startswith("scheme.toml:4: is not text in UTF-8 (given: byte 0xe8)")


def test_an_enormous_file_is_not_read(told):
    (fault,) = told(b"#" * (LARGEST_FILE + 1))
    assert "is too large for a scheme of work" in fault


@pytest.mark.parametrize(
    "text",
    ["x = " + "[" * 9000, "x = " + "9" * 6000, "x = 1e999", "", "\x00", "x = nan"],
)
def test_hostile_or_empty_text_ends_in_a_fault_and_not_in_a_crash(told, text):
    assert told(text)


# --- words ----------------------------------------------------------------------------------


def test_each_policy_is_said_in_a_sentence():
    for words in (*MISSING_UNIT.values(), *OTHER_UNIT.values(), *UNIT_ALONE.values()):
        assert words.endswith(".")
        assert " " in words


def test_marking_takes_every_policy_that_a_scheme_can_state(scheme_of):
    for missing in MISSING_UNIT:
        for other in OTHER_UNIT:
            for alone in UNIT_ALONE:
                text = SHORT + (
                    f'[marking]\nmissing_unit = "{missing}"\nother_unit = "{other}"\n'
                    f"unit_alone = {str(alone).lower()}\n"
                )
                marking = scheme_of(text).marking
                assert policy_of(marking.policy)["missing_unit"] == missing


def test_the_levels_of_a_paper_are_those_of_the_bank():
    assert tuple(read_scheme(DEMO).papers["syrup-practice"].levels) == LEVELS


@pytest.mark.parametrize("written", ["1.450 m", " 1.450 m"])
def test_a_number_that_can_be_read_in_two_ways_is_asked_about(scheme_of, written):
    text = DEMO.read_text(encoding="utf-8").replace('altitude = "430 m"', f'altitude = "{written}"')
    with pytest.raises(FaultsError, match=r'two ways.*1\.45 m or 1450 m.*Write "1450 m"'):
        scheme_of(text)


def test_check_echoes_every_value_that_the_scheme_holds():
    text = DEMO.read_text(encoding="utf-8")
    written = re.findall(r'^[a-z_]+ *= *"([0-9.-]+ [^" ]+)"', text, re.MULTILINE)
    told = "\n".join(as_read(read_scheme(DEMO))).translate({0x2212: "-", 0xA0: " "})
    echoed = [
        read(f"{size} {sign}")
        for size, sign in re.findall(r"(-?[0-9][0-9.]*) ([^ ,:\n]+)", told)
        if sign in written_units()
    ]
    assert len(written) > 40
    for one in map(read, written):
        assert any(
            each.m_as(one.units) == pytest.approx(one.m)
            for each in echoed
            if each.is_compatible_with(one)
        ), f"{one} is not echoed"


def test_what_follows_from_the_number_of_cakes_is_said(scheme_of):
    text = DEMO.read_text(encoding="utf-8")
    small, large = (
        [line for line in as_read(scheme_of(one)) if "poured over all cakes" in line]
        for one in (text, text.replace("count = 6", "count = 600"))
    )
    assert len(small) == len(large) == 1
    assert small != large


@pytest.mark.parametrize("day", ["15.03.2027", "2027.03.15", "15/03/2027"])
def test_a_date_with_points_or_strokes_is_told_as_a_date(told, day):
    text = DEMO.read_text(encoding="utf-8").replace(
        "hand_in_by = 2027-03-15", f"hand_in_by = {day}"
    )
    (fault,) = told(text)
    assert "has a date that can't be read" in fault
    assert "like 2027-03-08" in fault


def test_degrees_of_no_scale_are_asked_about(told):
    (fault,) = told(DEMO.read_text(encoding="utf-8").replace('room = "22 °C"', 'room = "22 Grad"'))
    assert "kitchen.room: does not say which degrees (given: 22 Grad)" in fault
    assert "°C" in fault


def test_every_group_and_every_allergy_is_told_as_it_was_read(tmp_path):
    text = (FOLDER / "scheme.toml").read_text(encoding="utf-8")
    more = (
        '[[more_groups]]\nname = "evening"\nstudents = 4\nstations = 1\n'
        'practical = 2027-03-25\n\n[[allergies]]\nallergen = "milk"\nstudents = 1\n\n'
    )
    path = tmp_path / "scheme.toml"
    path.write_text(text.replace("[papers.syrups", more + "[papers.syrups", 1), encoding="utf-8")
    said = as_read(read_scheme(path))
    assert "  12 students at 3 benches" in said
    assert "  evening: 4 students at 1 bench" in said
    assert "  allergic to milk: 1 student, and no glaze without it is given" in said


def test_a_group_of_one_is_said_as_one(scheme_of):
    alone = SHORT.replace("students = 8", "students = 1")
    alone = re.sub(r"(?m)^stations = .*$", "stations = 1", alone)
    assert "  1 student at 1 bench" in as_read(scheme_of(alone))


def test_more_allergic_students_than_students_are_told(told):
    more = '[[allergies]]\nallergen = "milk"\nstudents = 9\n'
    (fault,) = told(SHORT + more)
    assert "allergies.1.students: are more than there are students (given: 9)" in fault
    assert "There are 8 students in all groups" in fault


def test_the_bloom_that_a_grade_alone_is_counted_at_is_said_beside_it(scheme_of):
    held = scheme_of(SHORT.replace('gelatin_grade = "gold"', 'gelatin_grade = "powder"', 1))
    said = follows(held)
    for way, one in (("stores", held.stores), ("formula", held.formula)):
        assert say(one.gelatin_bloom) in said[way, "gelatin_grade"]


def test_a_day_that_is_past_is_said_and_is_no_fault(scheme_of):
    today = datetime.date.today()
    for days, past in ((-1, True), (1, False)):
        day = today + datetime.timedelta(days=days)
        scheme = scheme_of(SHORT.replace("students = 8", f"students = 8\npractical = {day}"))
        said = " ".join(as_read(scheme))
        assert f"practical {day}" in said
        assert ("past" in said) is past
        assert (", and past" in follows(scheme)["group", "practical"]) is past


@pytest.mark.parametrize(("coloured", "said"), [((), 2), (("plum",), 0)])
def test_two_jugs_that_nothing_colours_are_told(scheme_of, coloured, said):
    jugs = "".join(
        f'[[colours]]\nname = "{name}"\nshare = "50 %"\n'
        + ('kind = "gel or paste"\n' if name in coloured else "")
        for name in ("ivory", "plum")
    )
    scheme = scheme_of(SHORT + jugs)
    told = [line for line in as_read(scheme) if "Nothing colours ivory and plum" in line]
    assert len(told) == (1 if said else 0)
    marked = [key for key in follows(scheme) if key[0] == "colours" and key[2] == "name"]
    assert len(marked) == said


def test_a_colour_of_which_only_the_kind_is_known_is_ordered_with_a_word_on_its_label(scheme_of):
    jugs = '[[colours]]\nname = "plum"\nshare = "100 %"\nkind = "gel or paste"\n'
    scheme = scheme_of(SHORT + jugs)
    lines, _ = orders_for(scheme, scheme.formula.as_formula(), q(1, "kg"))
    assert lines[-1].ingredient == "plum: gel or paste"
    assert lines[-1].needed.m_as("g") > 0
    assert "label" in lines[-1].note
