"""Least amounts that make a jam, a glucose syrup, a condensed milk, a white chocolate.

Sources: Directive (EU) 2024/1438 and 2001/113/EC, Jam and Similar Products
Regulations 2018 (UK), Directive 2001/111/EC, Codex CXS 212-1999, CXS 282-1971 and
CXS 87-1981, CXS 207-1999, CXS 281-1971, Directive 2000/36/EC, Standard 2.5.2 of Food
Standards Australia New Zealand.  Provenance: published, except the 70 % solids, which are from memory.
"""

import pytest

from calculators import safety
from calculators.units import q

#        region subject              limits, in the order of the table
TABLE = [
    ("EU", "jam", [q(450, "g/kg")]),
    ("EU", "extra jam", [q(500, "g/kg")]),
    ("GB", "jam", [q(350, "g/kg")]),
    ("GB", "extra jam", [q(450, "g/kg")]),
    ("EU", "jam solids", [q(60, "percent")]),
    ("EU", "dried glucose syrup", [q(93, "percent")]),
    ("EU", "sugar solution", [q(62, "percent")]),
    ("NZ", "glucose syrup", [q(20, "percent"), q(70, "percent")]),
    ("NZ", "condensed milk", [q(8, "percent"), q(28, "percent"), q(34, "percent")]),
    ("NZ", "white chocolate", [q(20, "percent"), q(14, "percent")]),
    (
        "NZ",
        "skimmed milk powder",
        [q(1.5, "percent"), q(5, "percent"), q(34, "percent")],
    ),
    ("NZ", "evaporated milk", [q(7.5, "percent"), q(25, "percent"), q(34, "percent")]),
    ("EU", "dark chocolate", [q(35, "percent")]),
    ("GB", "milk chocolate", [q(25, "percent")]),
    ("NI", "cocoa", [q(20, "percent")]),
    ("AU", "cream", [q(10, "percent"), q(350, "g/kg")]),
]


@pytest.mark.parametrize(("region", "subject", "limits"), TABLE)
def test_the_minimum_is_the_one_of_the_standard(region, subject, limits):
    assert [note.limit for note in safety.legal_note(subject, region)] == limits
