"""The tables of the mark book."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import sqlalchemy as sa

MIGRATIONS = Path(__file__).with_name("migrations")

# The states of a hand-in; a sheet without one is ``ISSUED``.  ``SETTLED`` is not stored:
# it is a marked hand-in whose matters are all closed.
ISSUED, RECEIVED, UNREADABLE = "issued", "received", "can't be read"
MARKED, SETTLED = "marked", "settled"

# --- tables -----------------------------------------------------------------------

metadata = sa.MetaData()
version_table = sa.table("alembic_version", sa.column("version_num", sa.String))


def _text(name: str, *, empty: bool = False) -> sa.Column[str]:
    return sa.Column(name, sa.String, nullable=empty)


def _json(name: str) -> sa.Column[Any]:
    return sa.Column(name, sa.JSON, nullable=False)


book_table = sa.Table(
    "book",
    metadata,
    sa.Column("id", sa.Integer, primary_key=True),
    _text("made_at"),
    _text("secret"),
    _json("about"),
)
student_table = sa.Table(
    "student",
    metadata,
    sa.Column("id", sa.String, primary_key=True),
    _text("name"),
    _text("extra_time"),
    _text("other_date"),
    _text("print"),
    _json("about"),
    _text("erased_at", empty=True),
)
paper_table = sa.Table(
    "paper",
    metadata,
    sa.Column("name", sa.String, primary_key=True),
    _json("plan"),
    _json("policy"),
    _json("pass_rule"),
    _text("state"),
    _text("drafted_at"),
    _text("checked_by", empty=True),
    _text("checked_at", empty=True),
    _text("issued_by", empty=True),
    _text("issued_at", empty=True),
    sa.Column("versions", sa.JSON, nullable=False, server_default=sa.text("'[]'")),
)
sheet_table = sa.Table(
    "sheet",
    metadata,
    sa.Column("token", sa.String, primary_key=True),
    sa.Column("paper", sa.String, sa.ForeignKey("paper.name"), nullable=False),
    sa.Column("student", sa.String, sa.ForeignKey("student.id"), nullable=False),
    sa.Column("sitting", sa.Integer, nullable=False),
    _text("seed"),
    _text("bank"),
    _text("calculators"),
    _text("opens_on"),
    _text("hand_in_by"),
    _text("issued_at"),
    sa.Column("version", sa.Integer, nullable=False, server_default="1"),
    # The long one comes last: whatever comes after it is slow to reach.
    _json("questions"),
    sa.UniqueConstraint("paper", "student", "sitting"),
)
handin_table = sa.Table(
    "handin",
    metadata,
    sa.Column("id", sa.Integer, primary_key=True),
    _text("path"),
    _text("digest"),
    sa.Column("size", sa.Integer, nullable=False),
    _text("received_at"),
    _text("clock"),
    _text("met_at"),
    _text("form"),
    sa.Column("token", sa.String, sa.ForeignKey("sheet.token")),
    _text("state"),
    _text("reason"),
    _json("answers"),
    _json("working"),
    _text("fingerprint", empty=True),
    _text("numbers", empty=True),
    sa.Column("dated", sa.String, nullable=False, server_default=""),
    sa.Column("dated_by", sa.String, nullable=False, server_default=""),
    sa.Column("pile", sa.Integer),
    sa.UniqueConstraint("path", "digest"),
    sa.Index("handin_token", "token"),
    sa.Index("handin_fingerprint", "fingerprint"),
)
mark_table = sa.Table(
    "mark",
    metadata,
    sa.Column("id", sa.Integer, primary_key=True),
    sa.Column("handin", sa.Integer, sa.ForeignKey("handin.id"), nullable=False),
    _text("question"),
    _text("part"),
    sa.Column("value", sa.Float, nullable=False),
    sa.Column("unit", sa.Float, nullable=False),
    sa.Column("awarded", sa.Float, nullable=False),
    sa.Column("total", sa.Float, nullable=False),
    _text("verdict"),
    _text("reason"),
    _text("road"),
    _text("by"),
    _text("at"),
    sa.Column("supersedes", sa.Integer, sa.ForeignKey("mark.id")),
    sa.Column(
        "decision", sa.Integer, sa.ForeignKey("decision.id", name="mark_decision", use_alter=True)
    ),
    sa.Index("mark_handin", "handin"),
)
matter_table = sa.Table(
    "matter",
    metadata,
    sa.Column("id", sa.Integer, primary_key=True),
    sa.Column("handin", sa.Integer, sa.ForeignKey("handin.id"), nullable=False),
    _text("kind"),
    _text("part"),
    _json("detail"),
    _text("raised_by"),
    _text("raised_at"),
    sa.Index("matter_handin", "handin"),
)
decision_table = sa.Table(
    "decision",
    metadata,
    sa.Column("id", sa.Integer, primary_key=True),
    sa.Column("handin", sa.Integer, sa.ForeignKey("handin.id")),
    sa.Column("mark", sa.Integer, sa.ForeignKey("mark.id")),
    _text("what"),
    _json("detail"),
    _text("by"),
    _text("reason"),
    _text("at"),
    sa.Column("matter", sa.Integer, sa.ForeignKey("matter.id", name="decision_matter")),
    sa.Column("told", sa.String, nullable=False, server_default=""),
    sa.Column("undoes", sa.Integer, sa.ForeignKey("decision.id", name="decision_undoes")),
    sa.Index("decision_handin", "handin"),
    sa.Index("decision_of_matter", "matter"),
    sa.Index("decision_undone", "undoes"),
)
# How far the hand-ins of each paper and sitting were held against one another.
compared_table = sa.Table(
    "compared",
    metadata,
    sa.Column("paper", sa.String, sa.ForeignKey("paper.name"), primary_key=True),
    sa.Column("sitting", sa.Integer, primary_key=True),
    sa.Column("handin", sa.Integer, sa.ForeignKey("handin.id"), nullable=False),
)
observation_sheet_table = sa.Table(
    "observation_sheet",
    metadata,
    sa.Column("token", sa.String, primary_key=True),
    sa.Column("student", sa.String, sa.ForeignKey("student.id"), nullable=False),
    sa.Column("sitting", sa.Integer, nullable=False),
    _text("issued_by"),
    _text("issued_at"),
    _json("content"),
    sa.UniqueConstraint("student", "sitting"),
)
observation_table = sa.Table(
    "observation",
    metadata,
    sa.Column("id", sa.Integer, primary_key=True),
    sa.Column("token", sa.String, sa.ForeignKey("observation_sheet.token"), nullable=False),
    _text("observer"),
    _text("second"),
    _text("form"),
    _text("saved_at"),
    _text("digest"),
    _json("answers"),
    _json("numbers"),
    _text("judgement"),
    _json("notes"),
    _json("log"),
    _text("recorded_by"),
    _text("recorded_at"),
    sa.UniqueConstraint("token", "digest"),
    sa.Index("observation_token", "token"),
)
dry_run_table = sa.Table(
    "dry_run",
    metadata,
    sa.Column("id", sa.Integer, primary_key=True),
    _text("name"),
    _text("digest"),
    _json("content"),
    _text("set_at"),
    sa.UniqueConstraint("name", "digest"),
)
rehearsal_table = sa.Table(
    "rehearsal",
    metadata,
    sa.Column("id", sa.Integer, primary_key=True),
    sa.Column("handin", sa.Integer, sa.ForeignKey("handin.id"), nullable=False),
    sa.Column("dry_run", sa.Integer, sa.ForeignKey("dry_run.id"), nullable=False),
    sa.Column("student", sa.String, sa.ForeignKey("student.id"), nullable=False),
    _json("log"),
    _json("shown"),
    _text("recorded_at"),
    sa.UniqueConstraint("handin"),
    sa.Index("rehearsal_student", "student"),
)
chain_table = sa.Table(
    "chain",
    metadata,
    sa.Column("id", sa.Integer, primary_key=True),
    _text("kind"),
    _text("subject"),
    _text("salt", empty=True),
    _json("sealed"),
    _text("digest"),
    sa.Index("chain_subject", "kind", "subject"),
)
