"""Cooling and holding figures.

Source: FDA Food Code 2022, 3-501.14 (A)(1), (A)(2) and (B); Food Standards Agency
guidance on temperature control (8 °C, 63 °C).  Provenance: published.
"""

import pytest

from calculators import safety
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


def test_six_hours_are_told_as_the_total():
    notes = safety.legal_note("cooling", "US")
    assert any("6 hours in all" in note.text for note in notes)
