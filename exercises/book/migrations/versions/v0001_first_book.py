"""The first mark book: students, papers, sheets, hand-ins, marks and decisions."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Make every table of the first version."""
    op.create_table(
        "book",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("made_at", sa.String, nullable=False),
        sa.Column("secret", sa.String, nullable=False),
        sa.Column("about", sa.JSON, nullable=False),
    )
    op.create_table(
        "student",
        sa.Column("id", sa.String, primary_key=True),
        sa.Column("name", sa.String, nullable=False),
        sa.Column("extra_time", sa.String, nullable=False),
        sa.Column("other_date", sa.String, nullable=False),
        sa.Column("print", sa.String, nullable=False),
        sa.Column("about", sa.JSON, nullable=False),
        sa.Column("erased_at", sa.String),
    )
    op.create_table(
        "paper",
        sa.Column("name", sa.String, primary_key=True),
        sa.Column("plan", sa.JSON, nullable=False),
        sa.Column("policy", sa.JSON, nullable=False),
        sa.Column("pass_rule", sa.JSON, nullable=False),
        sa.Column("state", sa.String, nullable=False),
        sa.Column("drafted_at", sa.String, nullable=False),
        sa.Column("checked_by", sa.String),
        sa.Column("checked_at", sa.String),
        sa.Column("issued_by", sa.String),
        sa.Column("issued_at", sa.String),
    )
    op.create_table(
        "sheet",
        sa.Column("token", sa.String, primary_key=True),
        sa.Column("paper", sa.String, sa.ForeignKey("paper.name"), nullable=False),
        sa.Column("student", sa.String, sa.ForeignKey("student.id"), nullable=False),
        sa.Column("sitting", sa.Integer, nullable=False),
        sa.Column("seed", sa.String, nullable=False),
        sa.Column("bank", sa.String, nullable=False),
        sa.Column("calculators", sa.String, nullable=False),
        sa.Column("opens_on", sa.String, nullable=False),
        sa.Column("hand_in_by", sa.String, nullable=False),
        sa.Column("issued_at", sa.String, nullable=False),
        sa.Column("marking", sa.String, nullable=False),
        sa.Column("questions", sa.JSON, nullable=False),
        sa.UniqueConstraint("paper", "student", "sitting"),
    )
    op.create_table(
        "handin",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("path", sa.String, nullable=False),
        sa.Column("digest", sa.String, nullable=False),
        sa.Column("size", sa.Integer, nullable=False),
        sa.Column("received_at", sa.String, nullable=False),
        sa.Column("clock", sa.String, nullable=False),
        sa.Column("met_at", sa.String, nullable=False),
        sa.Column("form", sa.String, nullable=False),
        sa.Column("token", sa.String, sa.ForeignKey("sheet.token")),
        sa.Column("state", sa.String, nullable=False),
        sa.Column("reason", sa.String, nullable=False),
        sa.Column("answers", sa.JSON, nullable=False),
        sa.Column("working", sa.JSON, nullable=False),
        sa.Column("fingerprint", sa.String),
        sa.Column("numbers", sa.String),
        sa.Column("flags", sa.JSON, nullable=False),
        sa.UniqueConstraint("path", "digest"),
    )
    op.create_index("handin_token", "handin", ["token"])
    op.create_index("handin_fingerprint", "handin", ["fingerprint"])
    op.create_table(
        "mark",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("handin", sa.Integer, sa.ForeignKey("handin.id"), nullable=False),
        sa.Column("question", sa.String, nullable=False),
        sa.Column("part", sa.String, nullable=False),
        sa.Column("value", sa.Float, nullable=False),
        sa.Column("unit", sa.Float, nullable=False),
        sa.Column("awarded", sa.Float, nullable=False),
        sa.Column("total", sa.Float, nullable=False),
        sa.Column("verdict", sa.String, nullable=False),
        sa.Column("reason", sa.String, nullable=False),
        sa.Column("road", sa.String, nullable=False),
        sa.Column("by", sa.String, nullable=False),
        sa.Column("at", sa.String, nullable=False),
        sa.Column("supersedes", sa.Integer, sa.ForeignKey("mark.id")),
    )
    op.create_index("mark_handin", "mark", ["handin"])
    op.create_table(
        "decision",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("handin", sa.Integer, sa.ForeignKey("handin.id")),
        sa.Column("mark", sa.Integer, sa.ForeignKey("mark.id")),
        sa.Column("what", sa.String, nullable=False),
        sa.Column("detail", sa.JSON, nullable=False),
        sa.Column("by", sa.String, nullable=False),
        sa.Column("reason", sa.String, nullable=False),
        sa.Column("at", sa.String, nullable=False),
    )
    op.create_index("decision_handin", "decision", ["handin"])
