"""Titanium white (E 171) by region.

Source: Regulation (EU) 2022/63 (EU, Northern Ireland); 21 CFR 73.575 (US, at most
1 % by weight); the Committee on Toxicity's review of 2024 (GB): published.
The Swiss ordinance on food additives: published.  Canada, Australia and New Zealand:
the reviews of 2022 are published, their lists are not read, so never a plain yes.
Saudi Arabia, Qatar and Oman forbid it, at second hand: the Gulf is a no until asked.
"""

import pytest

from calculators import safety
from calculators.units import q

#        region  answer
TABLE = [
    ("EU", "no"),
    ("NI", "no"),
    ("GB", "yes"),
    ("US", "yes"),
    ("CA", "ask"),
    ("AU", "ask"),
    ("NZ", "ask"),
    ("Gulf", "no"),
    ("FR", "no"),
    ("DE", "no"),
    ("CH", "no"),
    ("JP", "ask"),
    ("elsewhere", "ask"),
]


@pytest.mark.parametrize(("region", "answer"), TABLE)
def test_titanium_white_is_answered_as_the_region_has_it(region, answer):
    assert safety.allowed("titanium white", region).answer == answer


def test_the_limit_of_the_united_states_is_one_per_cent():
    (note,) = safety.legal_note("titanium white", "US")
    assert note.limit == q(1, "percent")
