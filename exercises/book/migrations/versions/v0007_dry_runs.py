"""Dry runs that were set for a class, and the logs of them that were handed in."""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"


def upgrade() -> None:
    """Make the two tables."""
    op.create_table(
        "dry_run",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("name", sa.String, nullable=False),
        sa.Column("digest", sa.String, nullable=False),
        sa.Column("content", sa.JSON, nullable=False),
        sa.Column("set_at", sa.String, nullable=False),
        sa.UniqueConstraint("name", "digest"),
    )
    op.create_table(
        "rehearsal",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("handin", sa.Integer, sa.ForeignKey("handin.id"), nullable=False),
        sa.Column("dry_run", sa.Integer, sa.ForeignKey("dry_run.id"), nullable=False),
        sa.Column("student", sa.String, sa.ForeignKey("student.id"), nullable=False),
        sa.Column("log", sa.JSON, nullable=False),
        sa.Column("shown", sa.JSON, nullable=False),
        sa.Column("recorded_at", sa.String, nullable=False),
        sa.UniqueConstraint("handin"),
    )
    op.create_index("rehearsal_student", "rehearsal", ["student"])
