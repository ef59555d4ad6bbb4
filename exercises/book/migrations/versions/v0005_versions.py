"""A paper may have later versions: a resit with other questions, a scheme that changed.

A sheet knows by which version it was issued; sheets of old books are of the first.
"""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    """Add both columns."""
    op.add_column(
        "paper", sa.Column("versions", sa.JSON, nullable=False, server_default=sa.text("'[]'"))
    )
    op.add_column("sheet", sa.Column("version", sa.Integer, nullable=False, server_default="1"))
