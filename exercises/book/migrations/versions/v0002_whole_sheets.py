"""A sheet is marked from its questions: the second, packed copy of them goes."""

from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Drop the packed copy."""
    op.drop_column("sheet", "marking")
