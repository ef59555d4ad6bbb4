"""Cooling and holding figures.

Source: FDA Food Code 2022, 3-501.14 (A)(1), (A)(2) and (B), and 3-501.16 (57 °C and
5 °C); Food Standards Agency guidance on temperature control (8 °C, 63 °C).
Provenance: published.  Food Code in its own degrees: 135 °F to 70 °F and to 41 °F.
"""

import pytest

from calculators import safety
from calculators.cooling import cooling_log
from calculators.units import q

#        region subject     words in the note            limit
TABLE = [
    ("US", "cooling", "57 °C to 21 °C", q(2, "hour")),
    ("US", "cooling", "57 °C to 5 °C", q(6, "hour")),
    ("US", "cooling", "ingredients at room temperature", q(4, "hour")),
    ("GB", "chilling", "Chilled food", q(8, "degC")),
    ("GB", "holding", "Hot food is held", q(63, "degC")),
    ("NI", "chilling", "Chilled food", q(8, "degC")),
]


@pytest.mark.parametrize(("region", "subject", "words", "limit"), TABLE)
def test_the_figure_is_the_one_of_the_rule(region, subject, words, limit):
    (note,) = [n for n in safety.legal_note(subject, region) if words in n.text]
    assert note.limit == limit
    assert note.provenance == "published"


FOOD_CODE = [(135, 70, 2), (135, 41, 6)]  # °F, °F, h
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
