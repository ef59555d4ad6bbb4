"""Hand-ins are held against one another once a pile is marked; how far is kept here.

What an older book holds was looked at as it came, and is not looked at again until a new
hand-in of the same paper and sitting comes.
"""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"

_handin = sa.table(
    "handin", sa.column("id", sa.Integer), sa.column("token", sa.String), sa.column("state")
)
_sheet = sa.table(
    "sheet", sa.column("token", sa.String), sa.column("paper"), sa.column("sitting", sa.Integer)
)


def upgrade() -> None:
    """Make the table, and note what an older book holds."""
    made = op.create_table(
        "compared",
        sa.Column("paper", sa.String, sa.ForeignKey("paper.name"), primary_key=True),
        sa.Column("sitting", sa.Integer, primary_key=True),
        sa.Column("handin", sa.Integer, sa.ForeignKey("handin.id"), nullable=False),
    )
    s = _sheet.c
    held = (
        sa.select(s.paper, s.sitting, sa.func.max(_handin.c.id))
        .join_from(_handin, _sheet, _handin.c.token == s.token)
        .where(_handin.c.state == "marked")
        .group_by(s.paper, s.sitting)
    )
    op.execute(made.insert().from_select(["paper", "sitting", "handin"], held))
