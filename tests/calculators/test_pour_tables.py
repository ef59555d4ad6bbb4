"""The tables of the pour: their bands are in order, and published rows name a source."""

import pytest

from calculators.sources import source, table
from calculators.units import unit

TABLES = ("jug", "glaze_flow", "on_the_cake", "thaw", "gloss", "gelatin_sugar")
ROWS = [(name, row) for name in TABLES for row in table(name).values()]


@pytest.mark.parametrize(("name", "row"), ROWS, ids=lambda part: str(getattr(part, "name", part)))
def test_a_row_is_in_order_and_says_who_vouches(name, row):
    ends = [x for x in (row.low, row.value, row.high) if x is not None]
    assert ends == sorted(ends)
    assert row.value is not None
    unit(row.unit)
    assert row.provenance in ("published", "common practice", "from memory")
    if row.provenance == "published":
        assert source(row.source).full
        assert row.where or row.note
    if row.provenance == "from memory":
        assert row.condition or row.note


@pytest.mark.parametrize("name", TABLES)
def test_no_row_is_idle(name):
    from pathlib import Path

    import calculators

    home = Path(calculators.__file__).parent
    code = "".join(
        (home / f"{module}.py").read_text(encoding="utf-8")
        for module in (
            "jug/vessel",
            "jug/steps",
            "glaze_flow",
            "on_the_cake",
            "thaw",
            "gloss",
            "gelatin_sugar",
        )
    )
    built = (
        "emissivity",
        "thickness",
        "density",
        "specific heat",
        "conductivity",
        "evaporation",
        "reading",
    )
    idle = [key for key in table(name) if f'"{key}"' not in code and not key.endswith(built)]
    assert idle == []
