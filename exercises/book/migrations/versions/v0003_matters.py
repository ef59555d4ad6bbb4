"""What needs a look becomes a row of its own, closed by a decision of its own.

What stood as flags on a hand-in becomes matters.  A hand-in that an old decision called
settled gets its matters closed by that decision's name, reason and time; one that could
not be read is *can't be read* again, since it never counts.  The chain of digests begins
here too; :func:`exercises.book.chain.seal_all` seals what an old book holds.
"""

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"

_handin = sa.table(
    "handin",
    sa.column("id", sa.Integer),
    sa.column("state", sa.String),
    sa.column("flags", sa.JSON),
    sa.column("met_at", sa.String),
)
_mark = sa.table("mark", sa.column("handin", sa.Integer))
_matter = sa.table(
    "matter",
    sa.column("id", sa.Integer),
    sa.column("handin", sa.Integer),
    sa.column("kind", sa.String),
    sa.column("part", sa.String),
    sa.column("detail", sa.JSON),
    sa.column("raised_by", sa.String),
    sa.column("raised_at", sa.String),
)
_decision = sa.table(
    "decision",
    *(sa.column(name, sa.Integer) for name in ("id", "handin", "mark", "matter")),
    *(sa.column(name, sa.String) for name in ("what", "by", "reason", "told", "at")),
    sa.column("detail", sa.JSON),
)


def upgrade() -> None:
    """Make the tables, move the flags, and drop their column."""
    op.create_table(
        "matter",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("handin", sa.Integer, sa.ForeignKey("handin.id"), nullable=False),
        sa.Column("kind", sa.String, nullable=False),
        sa.Column("part", sa.String, nullable=False),
        sa.Column("detail", sa.JSON, nullable=False),
        sa.Column("raised_by", sa.String, nullable=False),
        sa.Column("raised_at", sa.String, nullable=False),
    )
    op.create_index("matter_handin", "matter", ["handin"])
    op.create_table(
        "chain",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("kind", sa.String, nullable=False),
        sa.Column("subject", sa.String, nullable=False),
        sa.Column("salt", sa.String),
        sa.Column("sealed", sa.JSON, nullable=False),
        sa.Column("digest", sa.String, nullable=False),
    )
    op.create_index("chain_subject", "chain", ["kind", "subject"])
    with op.batch_alter_table("decision") as table:
        table.add_column(sa.Column("matter", sa.Integer))
        table.add_column(sa.Column("told", sa.String, nullable=False, server_default=""))
        table.add_column(sa.Column("undoes", sa.Integer))
        table.create_foreign_key("decision_matter", "matter", ["matter"], ["id"])
        table.create_foreign_key("decision_undoes", "decision", ["undoes"], ["id"])
        table.create_index("decision_of_matter", ["matter"])
        table.create_index("decision_undone", ["undoes"])
    with op.batch_alter_table("mark") as table:
        table.add_column(sa.Column("decision", sa.Integer))
        table.create_foreign_key("mark_decision", "decision", ["decision"], ["id"])
    op.add_column("handin", sa.Column("dated", sa.String, nullable=False, server_default=""))
    op.add_column("handin", sa.Column("dated_by", sa.String, nullable=False, server_default=""))
    op.add_column("handin", sa.Column("pile", sa.Integer))
    _move_flags(op.get_bind())
    op.drop_column("handin", "flags")


def _move_flags(connection: sa.Connection) -> None:
    with_marks = set(connection.execute(sa.select(_mark.c.handin).distinct()).scalars())
    for row in connection.execute(sa.select(_handin).order_by(_handin.c.id)).all():
        state = row.state
        if state == "settled":
            state = "marked" if row.id in with_marks else "can't be read"
            connection.execute(_handin.update().where(_handin.c.id == row.id).values(state=state))
        closed_by = None
        if row.state == "settled":
            closed_by = connection.execute(
                sa.select(_decision)
                .where(
                    _decision.c.handin == row.id,
                    _decision.c.what.in_(("settled", "counts", "set aside")),
                )
                .order_by(_decision.c.id.desc())
            ).first()
        for kind, part, detail in _matters(state, row.flags or {}):
            done = connection.execute(
                _matter.insert()
                .values(
                    handin=row.id,
                    kind=kind,
                    part=part,
                    detail=detail,
                    raised_by="machine",
                    raised_at=row.met_at,
                )
                .returning(_matter.c.id)
            ).scalar_one()
            if closed_by is not None:
                connection.execute(
                    _decision.insert().values(
                        handin=row.id,
                        matter=done,
                        what="accepted",
                        detail={"as decided": closed_by.id},
                        by=closed_by.by,
                        reason=closed_by.reason,
                        told="",
                        at=closed_by.at,
                    )
                )


def _matters(state: str, flags: dict[str, Any]) -> list[tuple[str, str, dict[str, Any]]]:
    found: list[tuple[str, str, dict[str, Any]]] = []
    if state == "can't be read":
        found.append(("unread file", "", {}))
    for flag, kind, name in (
        ("late", "late", ""),
        ("repeated", "second hand-in", ""),
        ("copied", "alike", "with"),
        ("swapped", "identity", "names"),
        ("strays", "not asked", "parts"),
    ):
        if flag in flags:
            found.append((kind, "", {name: flags[flag]} if name else flags[flag]))
    found += [("unread part", part, {}) for part in flags.get("to settle", ())]
    return found
