"""Cooling and holding figures.

Source: FDA Food Code 2022, 3-501.14 (A)(1), (A)(2) and (B), and 3-501.16 (57 °C and
5 °C), and 3-501.19 (time as a control); Food Standards Agency guidance on temperature
control (8 °C, 63 °C); S.R. 2006 No. 3 and S.I. 2006 No. 31 (W. 5), schedule 4 (the two
defences); Standard 3.2.2, clause 7, and the guide to 2 h and 4 h (Australia); order of
21 December 2009, annex IV (France, catering for groups).
Provenance: published.  Food Code in its own degrees: 135 °F to 70 °F and to 41 °F.
"""

import pytest

from calculators import safety
from calculators.cooling import cooling_log, time_limits
from calculators.units import q

#        region subject     words in the note            limit
TABLE = [
    ("US", "cooling", "57 °C to 21 °C", q(2, "hour")),
    ("US", "cooling", "57 °C to 5 °C", q(6, "hour")),
    ("US", "cooling", "ingredients at room temperature", q(4, "hour")),
    ("GB", "chilling", "Chilled food", q(8, "degC")),
    ("GB", "holding", "Hot food is held", q(63, "degC")),
    ("NI", "chilling", "Chilled food", q(8, "degC")),
    ("NI", "chilling", "not for a jug on the bench", q(4, "hour")),
    ("GB", "holding", "hot food may be below 63 °C", q(2, "hour")),
    ("AU", "cooling", "60 °C to 21 °C", q(2, "hour")),
    ("AU", "chilling", "5 °C or colder", q(5, "degC")),
    ("AU", "holding", "60 °C or hotter", q(60, "degC")),
    ("AU", "time as a control", "added up", q(4, "hour")),
    ("US", "time as a control", "written down beforehand", q(4, "hour")),
    ("US", "time as a control", "never passes 21 °C", q(6, "hour")),
    ("FR", "cooling", "63 °C to 10 °C", q(2, "hour")),
]


@pytest.mark.parametrize(("region", "subject", "words", "limit"), TABLE)
def test_the_figure_is_the_one_of_the_rule(region, subject, words, limit):
    (note,) = [n for n in safety.legal_note(subject, region) if words in n.text]
    assert note.limit == limit
    assert note.provenance == "published"


FOOD_CODE = [(135, 70, 2), (135, 41, 6)]  # °F, °F, h
# Standard 3.2.2, clause 7: °C, °C, h
AUSTRALIA = [(60, 21, 2), (21, 5, 4)]


def test_a_log_is_judged_by_the_two_steps_of_the_australian_standard():
    for step, (start, end, hours) in zip(cooling_log.steps("AU"), AUSTRALIA, strict=True):
        assert (step.start.m, step.end.m, step.within.m_as("h")) == (start, end, hours)
        assert (step.source, step.provenance) == ("fsanz322", "published")


@pytest.mark.parametrize("subject", ["cooling", "chilling", "holding", "time as a control"])
def test_new_zealand_is_asked_and_not_told_the_standard_of_australia(subject):
    (note,) = safety.legal_note(subject, "NZ")
    assert (note.status, note.limit) == ("ask", None)
    assert cooling_log.steps("NZ") == ()
    assert cooling_log.limits("NZ") is None


HOLDING = [("US", 41, 135), ("GB", 46.4, 145.4), ("NI", 46.4, 145.4)]  # °F, °F


def test_a_log_is_judged_by_the_two_steps_of_the_food_code():
    for step, (start, end, hours) in zip(cooling_log.steps("US"), FOOD_CODE, strict=True):
        assert step.start.m_as("degF") == pytest.approx(start, abs=0.5)
        assert step.end.m_as("degF") == pytest.approx(end, abs=0.5)
        assert step.within == q(hours, "hour")
        assert (step.source, step.provenance) == ("fda-food-code", "published")


@pytest.mark.parametrize(("region", "cold", "hot"), HOLDING)
def test_the_limits_of_holding_are_those_of_the_two_agencies(region, cold, hot):
    limits = cooling_log.limits(region)
    assert limits.cold.m_as("degF") == pytest.approx(cold, abs=0.5)
    assert limits.hot.m_as("degF") == pytest.approx(hot, abs=0.5)


def test_six_hours_are_told_as_the_total():
    notes = safety.legal_note("cooling", "US")
    assert any("6 hours in all" in note.text for note in notes)


#        region  counts            cold  hot  back  use   source
TIME = [
    ("AU", "all periods", 5, 60, 2, 4, "fsanz-2h4h"),
    ("US", "from the cold", 5, 57, 0, 4, "fda-food-code"),
    ("NI", "on display", 8, 63, None, 4, "ni2006-3"),
    ("GB", "on display", 8, 63, None, 4, "ni2006-3"),
]


@pytest.mark.parametrize(("region", "counts", "cold", "hot", "back", "use", "source"), TIME)
def test_time_takes_the_place_of_cold_as_the_rule_of_the_region_has_it(
    region, counts, cold, hot, back, use, source
):
    rule = time_limits.time_rule(region)
    assert (rule.counts, rule.cold.m, rule.hot.m) == (counts, cold, hot)
    assert rule.use_under == q(use, "h")
    assert rule.back_under == (None if back is None else q(back, "h"))
    assert (rule.source, rule.provenance) == (source, "published")


@pytest.mark.parametrize("region", ["EU", "FR", "DE", "CH", "CA", "NZ", "Gulf", "JP", "elsewhere"])
def test_where_no_hours_were_read_none_are_told(region):
    assert time_limits.time_rule(region) is None
    assert safety.legal_note("time as a control", region)[0].status == "ask"
