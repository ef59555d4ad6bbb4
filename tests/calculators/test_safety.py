"""Cautions, law by region and burn times are complete, dated and never the last word."""

from dataclasses import dataclass, replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators import safety
from calculators.faults import FaultsError
from calculators.sources import bibliography, records, table
from calculators.units import COMMON_PRACTICE, PROVENANCES, PUBLISHED, q

HAZARDS_OF_THE_COURSE = {
    "hot-sugar",
    "steam",
    "stick-blender",
    "mains-wet",
    "microwave",
    "powders",
    "freezer-cold",
    "slippery-floor",
    "allergens",
    "colourants",
    "chilling-holding",
    "reuse",
}


@dataclass
class SchoolRules:
    link: str = ""
    contact: str = ""


def test_every_hazard_of_the_course_has_a_caution():
    assert set(safety.cautions()) >= HAZARDS_OF_THE_COURSE


@pytest.mark.parametrize("name", safety.cautions())
def test_a_caution_names_hazard_harm_and_two_to_four_acts_and_ends_with_the_last_word(
    name,
):
    one = safety.caution(name)
    assert one.text().startswith(one.hazard)
    assert one.happens.endswith(".")
    assert 2 <= len(one.act) <= 4
    assert all(step.endswith(".") for step in one.act)
    assert one.text().endswith(safety.LAST_WORD)
    assert one.provenance in (PUBLISHED, COMMON_PRACTICE)


def test_the_schools_own_link_and_contact_close_the_caution():
    rules = SchoolRules("https://school.example/kitchen", "the duty technician")
    text = safety.caution("steam").text(rules)
    assert text.endswith(
        safety.LAST_WORD + " The rules of this school: https://school.example/kitchen."
        " Ask: the duty technician."
    )
    assert safety.caution("steam").text(SchoolRules()) == safety.caution("steam").text()


# What each first aid must say, and what none may say.  British Burn Association 2018;
# ANZCOR 9.1.1; a notice of 2023 on adrenaline pens.
FIRST_AID = {
    "burn": (
        "running water",
        "20 minutes",
        "within 3 hours",
        "Rings",
        "soaked clothing too",
        "leave what sticks",
        "person warm",
        "lengthways",
        "larger than the person's own hand",
        "white or charred",
        "all round a limb",
        "for a child",
        "burst no blister",
    ),
    "cut": ("Press firmly", "more cloth on top", "can't feel or move"),
    "allergy": (
        "outer thigh",
        "emergency number",
        "anaphylaxis",
        "lie flat with legs raised",
        "do not stand or walk",
        "second pen after 5 minutes",
    ),
    "shock": ("Do not touch", "at the wall", "dry wood", "resuscitation", "To hospital"),
}


@pytest.mark.parametrize(("name", "words"), FIRST_AID.items())
def test_first_aid_is_complete_and_of_one_source(name, words):
    aid = safety.first_aid()[name]
    assert [word for word in words if word not in str(aid)] == []
    assert bool(aid.source) is (aid.provenance == PUBLISHED)
    assert not aid.source or aid.source in bibliography()


HARM = {
    "hot-sugar": "burn",
    "steam": "burn",
    "microwave": "burn",
    "stick-blender": "cut",
    "knife": "cut",
    "allergens": "allergy",
    "mains-wet": "shock",
}


@pytest.mark.parametrize(("hazard", "harm"), HARM.items())
def test_a_caution_tells_the_whole_first_aid_for_its_harm(hazard, harm):
    assert safety.caution(hazard).first_aid.startswith(str(safety.first_aid()[harm]))


def test_no_caution_holds_a_cut_high():
    """There is no evidence that raising helps (ANZCOR 9.1.1)."""
    for caution in safety.cautions().values():
        assert "hold it high" not in caution.text()


def test_the_pen_comes_before_the_call():
    told = str(safety.first_aid()["allergy"])
    assert told.index("pen") < told.index("emergency number")


def test_an_unknown_caution_is_refused_with_those_that_exist():
    with pytest.raises(FaultsError, match=r"lava.*hot-sugar"):
        safety.caution("lava")


def test_every_row_of_the_law_has_regions_a_date_and_a_known_provenance():
    rows = records("legal")
    assert len(rows) == 118
    for row in rows:
        assert row["text"].endswith("."), row
        assert row["provenance"] in PROVENANCES, row
        assert set(row["region"].split()) <= {*safety.regions(), safety.EVERYWHERE}
        assert date.fromisoformat(row["dated"]) <= date(2026, 11, 29)
        assert not row["source"] or row["source"] in bibliography(), row
        if row["provenance"] == PUBLISHED:
            assert row["source"], row
        if row["limit"]:
            q(float(row["limit"]), row["unit"])


@pytest.mark.parametrize("subject", safety.legal_subjects())
@pytest.mark.parametrize("region", safety.regions())
def test_a_note_is_found_or_asked_for_in_every_region(subject, region):
    notes = safety.legal_note(subject, region)
    assert notes
    assert all(note.provenance in str(note) for note in notes)
    # How it is known: its day, or that nobody here has read it.
    for note in notes:
        assert note.known.endswith(str(note.dated) if note.dated else "not read")


def test_a_wrong_subject_and_a_wrong_region_are_told_as_they_are():
    with pytest.raises(FaultsError, match="It knows: titanium white"):
        safety.legal_note("moon dust", "EU")
    with pytest.raises(FaultsError, match="must be one of: EU, NI"):
        safety.legal_note("titanium white", "Atlantis")


def test_memory_alone_never_makes_a_yes():
    for subject in {row["subject"] for row in records("legal")}:
        for region in safety.regions():
            permission = safety.allowed(subject, region)
            if permission.answer == "yes":
                assert all(n.provenance == PUBLISHED for n in permission.notes)


def test_a_colourant_nobody_listed_is_to_be_asked_for():
    permission = safety.allowed("ground lapis", "GB")
    assert permission.answer == "ask"
    assert "Ask before you use it" in str(permission)


def test_water_below_44_degrees_gives_no_time_and_hot_sugar_burns_at_once():
    assert safety.contact_burn(q(40, "degC")).time is None
    assert safety.contact_burn(q(118, "degC")).time.low == q(0, "s")
    assert "at once" in str(safety.contact_burn(q(150, "degC")))


@settings(max_examples=50, deadline=None)
@given(st.floats(44, 200), st.floats(0, 50))
def test_hotter_never_leaves_more_time(temperature, more):
    cool = safety.contact_burn(q(temperature, "degC")).time
    hot = safety.contact_burn(q(min(250, temperature + more), "degC")).time
    assert hot.low <= cool.low
    assert hot.high <= cool.high
    assert cool.low <= cool.typical <= cool.high


def test_fahrenheit_gives_the_same_words():
    assert str(safety.contact_burn(q(130, "degF"))) == str(
        safety.contact_burn(q((130 - 32) / 1.8, "degC"))
    )


def test_a_bare_temperature_is_refused_with_its_range():
    with pytest.raises(FaultsError, match=r"bare number.*from −30 to 250 °C"):
        safety.contact_burn(60)


@pytest.mark.parametrize(("fahrenheit", "seconds"), [(150, 2), (140, 6), (130, 30), (120, 300)])
def test_a_whole_degree_of_the_burn_table_gets_its_own_row(fahrenheit, seconds):
    """The table is of °F: 130 °F is 54.44 °C, and the row says 54.4 (CPSC 5098)."""
    assert safety.contact_burn(q(fahrenheit, "degF")).time.typical == q(seconds, "s")


def test_44_degrees_for_six_hours_is_what_was_measured():
    """Moritz and Henriques 1947, as restated."""
    assert safety.contact_burn(q(44, "degC")).time.typical.m_as("h") == pytest.approx(6)


@pytest.mark.parametrize(
    "name",
    ["titanium white", "Titanium White", "titanium dioxide", "E 171", "E171", "e-171"],
)
def test_a_forbidden_colour_is_a_no_by_each_of_its_names(name):
    assert safety.allowed(name, "EU").answer == "no"
    assert safety.allowed(name, "NI").answer == "no"
    assert safety.legal_note(name, "EU")[0].status == "forbidden"


@pytest.mark.parametrize(
    "label",
    [
        "titanium dioxide (E 171)",
        "E171 titanium dioxide",
        "white powder, TiO2",
        "Pigment White 6",
        "titanium(IV) oxide",
        "colour: CI 77891",
        "black (E153, E171)",
    ],
)
def test_a_label_that_names_a_forbidden_colour_is_a_no(label):
    assert safety.allowed(label, "EU").answer == "no"
    assert safety.legal_note(label, "EU")[0].status == "forbidden"


@pytest.mark.parametrize(
    "label",
    [
        "titanium dioxide-free white",
        "white without E171",
        "replaces titanium dioxide",
        "E 1710",
        "red, 3 g",
        "cream colour",
        "rice starch",
    ],
)
def test_a_label_that_names_no_forbidden_colour_is_to_be_asked_for(label):
    assert safety.allowed(label, "EU").answer == "ask"


@pytest.mark.parametrize("name", ["erythrosine", "E127", "FD&C Red No. 3", "red 3"])
def test_erythrosine_is_a_no_by_each_of_its_names(name):
    assert safety.allowed(name, "EU").answer == "no"


@pytest.mark.parametrize("name", ["FD&C Red No. 40", "Yellow 5", "E 129", "tartrazine"])
def test_an_azo_colour_is_known_by_its_name_in_either_continent(name):
    assert safety.legal_note(name, "US")[0].subject == "azo colours"
    assert "attention in children" in safety.legal_note(name, "EU")[0].text


def test_every_other_name_of_a_colour_is_of_one_colour_in_the_law_table():
    rows = records("colour_names")
    also = [name for row in rows for name in row["also"].split(";")]
    assert len({name.casefold().replace(" ", "") for name in also}) == len(also)
    assert {row["subject"] for row in rows} <= set(safety.legal_subjects())
    assert {row["provenance"] for row in rows} == {"common practice"}


@pytest.mark.parametrize("subject", safety.legal_subjects())
def test_elsewhere_everything_is_to_be_asked_and_no_foreign_law_is_told(subject):
    first, *more = safety.legal_note(subject, "elsewhere")
    assert first.status == "ask"
    assert "your country" in first.text
    assert safety.allowed(subject, "elsewhere").answer == "ask"
    for note in more:
        assert "Codex" in note.text or note.provenance == COMMON_PRACTICE


def test_a_country_of_the_union_has_its_own_rows_and_then_those_of_the_union():
    own, common = safety.legal_note("cooling", "FR")
    assert own.source == "fr2009-hygiene"
    assert common == replace(safety.legal_note("cooling", "EU")[0], region="FR")
    assert safety.allowed("titanium white", "DE").answer == "no"


COLOURS = [
    ("gold", "EU", "ask"),
    ("E 175", "NI", "ask"),
    ("silver", "EU", "ask"),
    ("E 172", "US", "no"),
    ("iron oxide", "EU", "ask"),
    ("calcium carbonate", "US", "no"),
    ("chalk", "GB", "ask"),
    ("calcium phosphate", "US", "no"),
    ("pearlescent pigment", "EU", "no"),
    ("pearlescent pigment", "CH", "no"),
    ("pearlescent pigment", "US", "yes"),
    ("pearlescent pigment (mica, titanium dioxide)", "GB", "ask"),
    ("E 555", "EU", "ask"),
    ("mica and E 172", "US", "no"),
    ("butterfly pea", "US", "ask"),
]


@pytest.mark.parametrize(("colour", "region", "answer"), COLOURS)
def test_a_shimmer_or_a_chalk_is_answered_as_the_region_has_it(colour, region, answer):
    """21 CFR 73.70, 73.200, 73.350; Regulation (EU) 2022/63; the additive database."""
    assert safety.allowed(colour, region).answer == answer


@pytest.mark.parametrize("word", ["rose gold paste", "silver shimmer", "golden beetroot"])
def test_a_shade_called_gold_is_not_taken_for_the_metal(word):
    (note,) = safety.allowed(word, "US").notes
    assert (note.subject, note.status) == (word, "ask")


def test_a_pearl_pigment_has_its_own_largest_dose_in_the_united_states():
    """21 CFR 73.350: at most 1.25 % by weight."""
    (note,) = safety.legal_note("pearl pigments", "US")
    assert note.limit == q(1.25, "percent")


# Food Code, definition of food that needs control, table B: rows of water activity,
# columns of pH: below 4.2, 4.2 to 4.6, above 4.6 to 5.0, above 5.0
TABLE_B = [
    (0.87, "no no no no"),
    (0.88, "no no no assess"),
    (0.90, "no no no assess"),
    (0.91, "no no assess assess"),
    (0.92, "no no assess assess"),
    (0.93, "no assess assess assess"),
]


@pytest.mark.parametrize(("water_activity", "answers"), TABLE_B)
def test_water_activity_and_ph_together_are_read_as_the_table_prints_them(water_activity, answers):
    for columns, answer in zip(
        ((4.0, 4.19), (4.2, 4.6), (4.61, 5.0), (5.01, 7)), answers.split(), strict=True
    ):
        for ph in columns:
            told = safety.cold_or_not(water_activity, ph, measured=True)
            assert told.split()[0] == answer


@given(st.floats(0, 1), st.floats(0, 14))
def test_a_water_activity_that_was_worked_out_never_frees_a_food_from_the_cold(wet, sour):
    assert safety.cold_or_not(wet, sour) == "assess"


def test_the_line_of_one_old_edition_is_not_told_as_the_line_of_today():
    note = table("growth")["Staphylococcus aureus"].note
    assert "2001" in note
    assert "was the one line" in note
