"""The bloom test as its standards give it.

Source: ISO 9665 and AOAC 948.21 (maturing 16 to 18 h), JIS K6503 (17 h): one method.
Provenance: published (definition read; ISO text itself from memory).
Columns: row of our table, value, unit, low, high.
"""

import pytest

from calculators import gelatin
from calculators.units import q, unit

METHOD = [
    ("temperature", 10.0, "degC", 9.9, 10.1),
    ("plunger", 12.7, "mm", None, None),
    ("penetration", 4, "mm", None, None),
    ("maturing", 17, "h", 16, 18),
]


@pytest.mark.parametrize(("name", "value", "sign", "low", "high"), METHOD)
def test_the_method_is_that_of_the_standard(name, value, sign, low, high):
    row = gelatin.BLOOM_TEST[name]
    assert row.quantity.to(unit(sign)).m == pytest.approx(value)
    assert (row.low, row.high) == (low, high)
    assert row.provenance == "published"


def test_the_jar_holds_six_and_two_thirds_percent():
    jar = gelatin.solution(q(7.50, "g"), q(105, "g"))
    assert jar.to(unit("percent")).m == pytest.approx(6.67, abs=0.005)


def test_at_the_concentration_of_the_test_a_gel_has_its_own_bloom():
    jar = gelatin.solution(q(7.50, "g"), q(105, "g"))
    band = gelatin.gel_strength(jar, q(200, "bloom"))
    assert band.low.m == pytest.approx(200)
    assert band.high.m == pytest.approx(200)
