"""What came in: every file that was met, whatever became of it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any, TypeAlias

import sqlalchemy as sa

from exercises.book.connecting import in_turns, storable
from exercises.book.issuing import Papers
from exercises.book.records import MACHINE, HandIn
from exercises.book.schema import MARKED, UNREADABLE, handin_table, mark_table, sheet_table
from exercises.book.times import now

Judge: TypeAlias = Callable[[list[HandIn], list[HandIn]], list[HandIn]]
# What a verdict of exercises.marking.rules holds, in its order.
MARK_FIELDS = (
    "question",
    "part",
    "value",
    "unit",
    "awarded",
    "total",
    "verdict",
    "reason",
    "road",
)
ERASED = "erased "  # what the path of an erased hand-in begins with


class HandIns(Papers):
    """A mark book as far as its hand-ins go."""

    def met(self, keys: Iterable[tuple[str, str]]) -> set[tuple[str, str]]:
        """Return which of these (path, digest) the book has already."""
        wanted = set(keys)
        with self._reading() as connection:
            return self._met(connection, wanted)

    @staticmethod
    def _met(connection: sa.Connection, wanted: set[tuple[str, str]]) -> set[tuple[str, str]]:
        out: set[tuple[str, str]] = set()
        c = handin_table.c
        asked = sa.select(c.path, c.digest)
        for path, digest in in_turns(connection, asked, c.digest, (key[1] for key in wanted)):
            if path.startswith(ERASED):  # met once, and not to come back
                out.update(key for key in wanted if key[1] == digest)
            out.add((path, digest))
        return out & wanted

    def record(self, entries: Iterable[HandIn], judge: Judge | None = None) -> list[HandIn]:
        """Record files that were met, with their marks, in one transaction.

        What the book has already (same path, same bytes) is left as it is, so that
        a second run changes nothing.

        Parameters
        ----------
        entries : iterable of HandIn
            With ``marks`` where they were marked.
        judge : function, optional
            Called inside the transaction with the new entries and those earlier
            ones that share a sheet or a fingerprint with them; sets flags, and
            returns the earlier ones whose flags it changed.

        Returns
        -------
        list of HandIn
            Those that were new, with their ids.
        """
        entries = list(entries)
        for one in entries:
            one.path = storable(one.path)
        with self._writing() as connection:
            held = self._met(connection, {(one.path, one.digest) for one in entries})
            fresh = []
            for one in entries:
                if (one.path, one.digest) not in held:
                    held.add((one.path, one.digest))
                    fresh.append(one)
            if not fresh:
                return []
            top = connection.execute(sa.select(sa.func.max(handin_table.c.id))).scalar()
            at = now()
            for place, one in enumerate(fresh, (top or 0) + 1):
                one.id, one.met_at = place, at
                one.received_at = one.received_at or at
            changed = judge(fresh, self._related(connection, fresh)) if judge else []
            connection.execute(handin_table.insert(), [_row_of(one) for one in fresh])
            rows = [
                dict(zip(MARK_FIELDS, verdict, strict=True))
                | {"handin": one.id, "by": MACHINE, "at": at}
                for one in fresh
                for verdict in one.marks
            ]
            if rows:
                connection.execute(mark_table.insert(), rows)
            new = {one.id for one in fresh}
            for one in changed:
                if one.id not in new:
                    connection.execute(
                        handin_table.update()
                        .where(handin_table.c.id == one.id)
                        .values(flags=one.flags)
                    )
        return fresh

    @staticmethod
    def _related(connection: sa.Connection, fresh: Sequence[HandIn]) -> list[HandIn]:
        found: dict[int, HandIn] = {}
        for column in (handin_table.c.token, handin_table.c.fingerprint):
            values = {getattr(one, column.name) for one in fresh} - {None}
            for row in in_turns(connection, sa.select(handin_table), column, values):
                found[row.id] = HandIn(**row._mapping)
        return [found[number] for number in sorted(found)]

    def handins(
        self,
        *,
        paper: str | None = None,
        token: str | None = None,
        state: str | None = None,
    ) -> list[HandIn]:
        """Return hand-ins in the order in which they were met.

        Parameters
        ----------
        paper, token, state : str, optional
            Only those of this paper, of this sheet, in this state.
        """
        asked = sa.select(handin_table).order_by(handin_table.c.id)
        if paper is not None:
            asked = asked.join(sheet_table).where(sheet_table.c.paper == paper)
        if token is not None:
            asked = asked.where(handin_table.c.token == token)
        if state is not None:
            asked = asked.where(handin_table.c.state == state)
        with self._reading() as connection:
            return [HandIn(**row._mapping) for row in connection.execute(asked)]

    def waiting(self) -> int:
        """Return how many hand-ins an assessor has still to look at."""
        flags = sa.cast(handin_table.c.flags, sa.String)
        flagged = sa.and_(handin_table.c.state == MARKED, flags != "{}")
        asked = sa.select(sa.func.count()).where(
            sa.or_(handin_table.c.state == UNREADABLE, flagged)
        )
        with self._reading() as connection:
            return int(connection.execute(asked).scalar_one())

    def counts(self) -> dict[str, int]:
        """Return how many hand-ins are in each state."""
        with self._reading() as connection:
            rows = connection.execute(
                sa.select(handin_table.c.state, sa.func.count()).group_by(handin_table.c.state)
            )
            return {state: count for state, count in rows}


def _row_of(one: HandIn) -> dict[str, Any]:
    """Return a hand-in as a row of its table."""
    row = {column.name: getattr(one, column.name) for column in handin_table.columns}
    return row | {"reason": storable(one.reason)}
