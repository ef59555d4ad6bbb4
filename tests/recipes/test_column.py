"""The recipe *Change the mark book*, carried out: the seat at which a sheet was written."""

import pytest

from exercises.book.connecting import revisions
from tests.recipes.tree import Tree, commands

pytestmark = pytest.mark.slow
HEADING = "Change the mark book"
LAST = revisions()[-1]
NEXT = f"{int(LAST) + 1:04}"
MIGRATION = f"""\
\"\"\"A hand-in may say at which seat it was written.\"\"\"

import sqlalchemy as sa
from alembic import op

revision = "{NEXT}"
down_revision = "{LAST}"


def upgrade() -> None:
    \"\"\"Add the column; what is there has no seat.\"\"\"
    op.add_column("handin", sa.Column("seat", sa.String, nullable=False, server_default=""))
"""
PILE = '    sa.Column("pile", sa.Integer),\n'
COLUMN = '    sa.Column("seat", sa.String, nullable=False, server_default=""),\n'
CHAIN = "exercises/book/chain.py"
PERSONAL = '("path", "reason", "answers", "working", "fingerprint", "numbers"'
OWN = '''\
"""The seat of a hand-in: recorded, sealed, and erased with its student."""

import sqlite3

import pytest

from exercises.book.records import HandIn
from tests.exercises.pile_of_ours import issue


@pytest.fixture
def book(tmp_path):
    made, sheets = issue(tmp_path / "class.db")
    with made:
        made.record([HandIn("a.json", "d", token=sheets[0].token, seat="row 3")])
        yield made


def test_it_is_recorded_and_sealed(book):
    assert book.handins()[0].seat == "row 3"
    assert book.verify().faults == []
    with sqlite3.connect(book.path) as raw:
        raw.execute("UPDATE handin SET seat = 'row 4'")
    raw.close()
    assert book.verify().faults == ["hand-in 1 was changed: seat."]


def test_it_goes_when_its_student_is_erased(book):
    book.erase(book.sheets()[0].student, "A. Sessor", "asked on paper")
    assert book.handins()[0].seat == ""
    assert book.verify().faults == []
'''


@pytest.fixture
def tree(tmp_path):
    """A tree with step 1 of the recipe done."""
    tree = Tree(tmp_path)
    tree.write(f"exercises/book/migrations/versions/v{NEXT}_seat.py", MIGRATION)
    tree.change("exercises/book/schema.py", PILE, PILE + COLUMN)
    pile = "    pile: int | None = None\n"
    tree.change("exercises/book/records.py", pile, f'{pile}    seat: str = ""\n')
    tree.change(CHAIN, PERSONAL, f'{PERSONAL}, "seat"')
    tree.change(
        "exercises/book/personal.py", "path=no_path, answers", 'path=no_path, seat="", answers'
    )
    tree.write("tests/exercises/test_seat.py", OWN)
    return tree


def test_a_column_is_added_by_a_migration(tree):
    tree.carries_out(HEADING)
    tree.passes("pytest -n 0 tests/exercises/test_seat.py")


def test_a_column_among_the_plain_fields_unseals_older_books(tree):
    (command,) = commands(HEADING)
    tree.change(CHAIN, f'{PERSONAL}, "seat"', PERSONAL)
    tree.change(CHAIN, '"dated_by", "pile"', '"dated_by", "pile", "seat"')
    tree.fails(f"{command} -k sealed", "was changed, or the entry before it", HEADING)


@pytest.mark.parametrize(
    ("left_out", "says"),
    [
        (f"exercises/book/migrations/versions/v{NEXT}_seat.py", "add_column"),
        ("exercises/book/schema.py", "remove_column"),
    ],
)
def test_a_column_that_migration_and_tables_do_not_both_have_is_named(tree, left_out, says):
    (command,) = commands(HEADING)
    if left_out.endswith("schema.py"):
        tree.change(left_out, COLUMN, "")
        tree.change(CHAIN, f'{PERSONAL}, "seat"', PERSONAL)
    else:
        (tree.top / left_out).unlink()
    tree.fails(f"{command} -k exactly_the_tables", says, HEADING)
