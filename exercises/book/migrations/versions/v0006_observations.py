"""Observation sheets, and what observers saw at the bench."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"


def upgrade() -> None:
    """Make the two tables."""
    op.create_table(
        "observation_sheet",
        sa.Column("token", sa.String, primary_key=True),
        sa.Column("student", sa.String, sa.ForeignKey("student.id"), nullable=False),
        sa.Column("sitting", sa.Integer, nullable=False),
        sa.Column("issued_by", sa.String, nullable=False),
        sa.Column("issued_at", sa.String, nullable=False),
        sa.Column("content", sa.JSON, nullable=False),
        sa.UniqueConstraint("student", "sitting"),
    )
    op.create_table(
        "observation",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("token", sa.String, sa.ForeignKey("observation_sheet.token"), nullable=False),
        sa.Column("observer", sa.String, nullable=False),
        sa.Column("second", sa.String, nullable=False),
        sa.Column("form", sa.String, nullable=False),
        sa.Column("saved_at", sa.String, nullable=False),
        sa.Column("digest", sa.String, nullable=False),
        sa.Column("answers", sa.JSON, nullable=False),
        sa.Column("numbers", sa.JSON, nullable=False),
        sa.Column("judgement", sa.String, nullable=False),
        sa.Column("notes", sa.JSON, nullable=False),
        sa.Column("log", sa.JSON, nullable=False),
        sa.Column("recorded_by", sa.String, nullable=False),
        sa.Column("recorded_at", sa.String, nullable=False),
        sa.UniqueConstraint("token", "digest"),
    )
    op.create_index("observation_token", "observation", ["token"])
