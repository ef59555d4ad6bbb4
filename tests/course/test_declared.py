"""What a scheme may hold is declared once, and the reader asks for that and no more."""

import pytest

from calculators import ingredients
from course.demo import FOLDER
from course.scheme.declared import CAKES, SIZE, TABLES
from course.scheme.reading import read_scheme
from exercises.files.toml_file import TomlTable

# One of each table that the demo doesn't have.
MORE = """
[[stores.more_gelatins]]
gelatin_grade = "gold"

[[own_ingredients]]
name = "oat white bar"
kind = "chocolate"
of = "plant"
water = "1 %"
allergens = ["gluten"]

[term]
begins = 2027-01-11
weeks = 10
class = "90 min"

[[more_groups]]
name = "evening"
students = 8
practical = 2027-03-25

[[allergies]]
allergen = "eggs"
[[allergies.line]]
ingredient = "water"
mass = "200 g"

[own]
earlier_books = []

[dry_runs.ours]
[[dry_runs.ours.line]]
ingredient = "water"
mass = "200 g"
[[dry_runs.ours.line]]
ingredient = "sugar"
mass = "300 g"
"""


@pytest.fixture
def asked(tmp_path, monkeypatch):
    """The keys that the reader asked for, by the way of their table."""
    monkeypatch.setattr(ingredients, "_shelved", {})
    found = {}

    def done(table, quiet=False):
        way = [part for part in table.path if isinstance(part, str)]
        if way[:1] in (["papers"], ["dry_runs"]):  # the second part is a name
            way = [way[0], *way[2:]] if len(way) > 1 else [f"({way[0]})"]
        found.setdefault(".".join(way), set()).update(table.known)

    monkeypatch.setattr(TomlTable, "done", done)
    path = tmp_path / "scheme.toml"
    demo = (FOLDER / "scheme.toml").read_text(encoding="utf-8")
    path.write_text(demo + MORE, encoding="utf-8")
    read_scheme(path)
    return found


def test_the_reader_asks_for_every_key_that_is_declared_and_for_no_other(asked):
    below = {way for table in TABLES for way in [table.way.partition(".")[0]]} | {"line"}
    below |= {"more_gelatins"}
    for table in TABLES:
        declared = {key.name for key in table.keys}
        if table is CAKES:  # which sizes are asked for depends on the shape
            declared -= {key.name for key in table.keys if getattr(key, "measure", None) is SIZE}
            declared -= {"area"}
            assert declared <= asked[table.way]
            continue
        # At the top, the names of tables are known too.
        assert declared == asked[table.way] - (below - declared), table.way


def test_each_key_says_what_it_means_and_what_holds_without_it():
    for table in TABLES:
        for key in table.keys:
            assert key.about.strip(), (table.way, key.name)
            assert not key.about.endswith("."), (table.way, key.name)
            if key.needed:
                assert not key.usual, (table.way, key.name)


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.way or "top")
def test_a_usual_value_is_one_that_may_be_written(table):
    for key in table.keys:
        if key.kind == "quantity" and key.default not in (..., None):
            assert key.measure.written(key.name, key.default)[1] is None, key.name
        if key.kind == "number" and key.default not in (..., None):
            assert key.low <= key.default <= key.high, key.name
        if key.kind == "word" and key.default not in (..., ""):
            assert key.default in key.offered(), key.name
