"""What came in: every file that was met, whatever became of it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import chain, count
from typing import Any, TypeAlias

import sqlalchemy as sa

from calculators.faults import fault_error
from exercises.book.chain import HAND_IN, MATTER, seal_new_matters, seal_rows
from exercises.book.connecting import in_turns, storable
from exercises.book.matters import (
    SET_ASIDE,
    complete,
    counted,
    is_open,
    matters_of,
    one_for_each_archive,
    raised,
    row_of,
    standing_decisions,
)
from exercises.book.records import ALIKE, APPEAL, ERASED, MACHINE, HandIn, Matter, must_name
from exercises.book.rehearsals import Rehearsals
from exercises.book.schema import (
    MARKED,
    SETTLED,
    chain_table,
    compared_table,
    decision_table,
    handin_table,
    mark_table,
    matter_table,
    rehearsal_table,
    sheet_table,
)
from exercises.book.times import now

RECEIPT = 16  # signs of the digest that are given to a student
Judge: TypeAlias = Callable[[list[HandIn], list[HandIn]], None]
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
NUMBERS = ("value", "unit", "awarded", "total")
MARK_COLUMNS = ("id", *MARK_FIELDS, "handin", "by", "at", "supersedes")


class HandIns(Rehearsals):
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
            Called inside the transaction with the new entries and the earlier ones of
            the same sheets; sets flags on the new ones.

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
            at = now()
            for place, one in enumerate(fresh, 1 + _last(connection, handin_table)):
                one.id, one.met_at = place, at
                one.received_at = one.received_at or at
            if judge:
                judge(fresh, self._related(connection, fresh))
            rows = [_row_of(one) for one in fresh]
            connection.execute(handin_table.insert(), rows)
            marks = _rows_of_marks(connection, fresh, at)
            if marks:
                connection.execute(mark_table.insert(), list(chain.from_iterable(marks.values())))
            for one, digest in zip(fresh, seal_rows(connection, HAND_IN, rows, marks), strict=True):
                one.receipt = digest[:RECEIPT]
            self._keep_rehearsals(connection, fresh, at)
            found = one_for_each_archive(connection, raised(fresh, at), fresh)
            if found:
                by_id = {one.id: one for one in fresh}
                for place, row in enumerate(found, 1 + _last(connection, matter_table)):
                    row["id"] = place
                    one = by_id[row["handin"]]
                    one.matters = [*one.matters, Matter(**row)]
                connection.execute(matter_table.insert(), found)
                seal_rows(connection, MATTER, found)
        return fresh

    def paths_of(self, digests: Iterable[str]) -> dict[str, list[tuple[str, int | None]]]:
        """Return where files with these digests were met, each with its pile."""
        c = handin_table.c
        out: dict[str, list[tuple[str, int | None]]] = {}
        with self._reading() as connection:
            asked = sa.select(c.digest, c.path, c.pile)
            for digest, path, pile in in_turns(connection, asked, c.digest, digests):
                out.setdefault(digest, []).append((path, pile))
        return out

    def not_compared(self) -> dict[tuple[str, int], tuple[int, int]]:
        """Return, by paper and sitting, how far hand-ins were compared, and the newest since."""
        s, c = sheet_table.c, compared_table.c
        newest = sa.func.max(handin_table.c.id)
        done = sa.func.coalesce(sa.func.max(c.handin), 0)
        asked = (
            sa.select(s.paper, s.sitting, done, newest)
            .join_from(handin_table, sheet_table)
            .outerjoin(compared_table, sa.and_(c.paper == s.paper, c.sitting == s.sitting))
            .where(handin_table.c.state == MARKED)
            .group_by(s.paper, s.sitting)
            .having(newest > done)
        )
        with self._reading() as connection:
            return {(row[0], row[1]): (row[2], row[3]) for row in connection.execute(asked)}

    def marked_of(self, paper: str, sitting: int) -> Iterator[int]:
        """Yield the numbers of the marked hand-ins of a paper and sitting, in order."""
        asked = (
            sa.select(handin_table.c.id)
            .join(sheet_table)
            .where(
                handin_table.c.state == MARKED,
                sheet_table.c.paper == paper,
                sheet_table.c.sitting == sitting,
            )
        )
        with self._reading() as connection:
            streamed = connection.execution_options(yield_per=500)
            yield from streamed.execute(asked.order_by(handin_table.c.id)).scalars()

    def raise_alike(
        self, paper: str, sitting: int, newest: int, found: Mapping[int, Mapping[int, str]]
    ) -> list[int]:
        """Raise what is too alike, a matter for each hand-in, and note what was compared.

        Parameters
        ----------
        paper, sitting : str, int
            What was compared.
        newest : int
            The newest hand-in among it.
        found : mapping of int to (mapping of int to str)
            For each hand-in those that it is like, and why.

        Returns
        -------
        list of int
            The hand-ins about which a matter was raised; what was raised before is not
            raised again.
        """
        at, rows = now(), []
        c = compared_table.c
        mine = sa.and_(c.paper == paper, c.sitting == sitting)
        with self._writing() as connection:
            known: dict[int, set[int]] = {}
            for one in matters_of(connection, [matter_table.c.kind == ALIKE]):
                known.setdefault(one.handin, set()).update(one.detail["with"])
            for handin, others in sorted(found.items()):
                new = sorted(others.keys() - known.get(handin, set()))
                if new:
                    detail = {"with": new, "why": [others[other] for other in new]}
                    rows.append(row_of(handin, ALIKE, at, detail=detail))
            if rows:
                connection.execute(matter_table.insert(), rows)
                seal_new_matters(connection)
            connection.execute(compared_table.delete().where(mine))
            connection.execute(
                compared_table.insert().values(paper=paper, sitting=sitting, handin=newest)
            )
        return [row["handin"] for row in rows]

    @staticmethod
    def _related(connection: sa.Connection, fresh: Sequence[HandIn]) -> list[HandIn]:
        tokens = {one.token for one in fresh} - {None}
        rows = in_turns(connection, sa.select(handin_table), handin_table.c.token, tokens)
        return complete(connection, sorted(rows, key=lambda row: row.id))

    def handins(
        self,
        *,
        paper: str | None = None,
        token: str | None = None,
        state: str | None = None,
        newest: int | None = None,
        numbers: Sequence[int] | None = None,
    ) -> list[HandIn]:
        """Return hand-ins in the order in which they were met.

        Parameters
        ----------
        paper, token, state : str, optional
            Only those of this paper, of this sheet, in this state.
        newest : int, optional
            Only so many, the newest first.
        numbers : sequence of int, optional
            Only these, some hundreds at most.
        """
        asked = sa.select(handin_table).order_by(handin_table.c.id)
        if newest is not None:
            asked = sa.select(handin_table).order_by(handin_table.c.id.desc()).limit(newest)
        if paper is not None:
            asked = asked.join(sheet_table).where(sheet_table.c.paper == paper)
        if token is not None:
            asked = asked.where(handin_table.c.token == token)
        if numbers is not None:
            asked = asked.where(handin_table.c.id.in_(numbers))
        if state is not None:
            stored = MARKED if state == SETTLED else state
            asked = asked.where(handin_table.c.state == stored)
        with self._reading() as connection:
            found = complete(connection, connection.execute(asked).all())
        return [one for one in found if state is None or one.state == state]

    def handin(self, number: int) -> HandIn:
        """Return a hand-in by its number."""
        with self._reading() as connection:
            asked = sa.select(handin_table).where(handin_table.c.id == number)
            found = complete(connection, connection.execute(asked).all())
        if not found:
            raise fault_error(
                "hand-in", "is not in this book", number, "", "List them: glossbook settle"
            )
        return found[0]

    def receipt(self, handin: int) -> str:
        """Return the receipt of a hand-in: the beginning of its entry in the record."""
        c = chain_table.c
        asked = sa.select(c.digest).where(c.kind == "hand-in", c.subject == str(handin))
        with self._reading() as connection:
            digest = connection.execute(asked.order_by(c.id)).scalars().first()
        return str(digest or "")[:RECEIPT]

    def receipts(self, pile: int) -> Iterator[tuple[str, str, str]]:
        """Yield sheet, path and receipt of the hand-ins of a pile whose sheet is known.

        The log of a dry run has its form for a sheet.

        Parameters
        ----------
        pile : int
            The first hand-in of the pile.
        """
        h, c = handin_table.c, chain_table.c
        its = sa.and_(c.kind == HAND_IN, c.subject == sa.cast(h.id, sa.String))
        asked = (
            sa.select(h.id, h.token, h.form, h.path, c.digest)
            .join_from(handin_table, chain_table, its)
            .outerjoin(rehearsal_table, rehearsal_table.c.handin == h.id)
            .where(h.pile == pile, sa.or_(h.token.is_not(None), rehearsal_table.c.id.is_not(None)))
            .order_by(h.id, c.id)
        )
        before = 0
        with self._reading() as connection:
            for row in connection.execution_options(yield_per=500).execute(asked):
                if row.id != before:  # what was sealed again, as a person was erased, is no receipt
                    yield row.token or row.form, row.path, row.digest[:RECEIPT]
                before = row.id

    def matters(
        self,
        *,
        paper: str | None = None,
        handin: int | None = None,
        kind: str | None = None,
        waiting: bool = False,
    ) -> list[Matter]:
        """Return matters, oldest first.

        Parameters
        ----------
        paper, handin, kind : optional
            Only those of this paper, of this hand-in, of this kind.
        waiting : bool
            Only those that an assessor has still to decide.
        """
        c = matter_table.c
        where: list[sa.ColumnElement[bool]] = []
        if paper is not None:
            its = sa.select(handin_table.c.id).join(sheet_table)
            where.append(c.handin.in_(its.where(sheet_table.c.paper == paper)))
        if handin is not None:
            where.append(c.handin == handin)
        if kind is not None:
            where.append(c.kind == kind)
        if waiting:
            gone = sa.select(handin_table.c.id).where(handin_table.c.path.startswith(ERASED))
            where += [is_open(), c.handin.not_in(gone)]
        with self._reading() as connection:
            found = matters_of(connection, where)
            aside = {n for n, what in counted(connection).items() if what == SET_ASIDE}
            came = _came_with(connection, [m.detail["pile"] for m in found if "pile" in m.detail])
        if waiting:
            about = {m.id: {m.handin, *came.get(m.detail.get("pile", 0), ())} for m in found}
            found = [m for m in found if m.kind == APPEAL or about[m.id] - aside]
        return found

    def came_in(self) -> tuple[int, set[str]]:
        """Return how many hand-ins there are, and for which sheets there is one."""
        c = handin_table.c
        with self._reading() as connection:
            count = connection.execute(sa.select(sa.func.count()).select_from(handin_table))
            tokens = connection.execute(sa.select(c.token).where(c.token.is_not(None)).distinct())
            return int(count.scalar_one()), set(tokens.scalars())

    def last_closed(self, count: int) -> list[Matter]:
        """Return the matters that were closed last, the newest first."""
        c = decision_table.c
        asked = standing_decisions(c.matter).where(c.matter.is_not(None))
        newest = asked.order_by(None).order_by(c.id.desc()).limit(count)
        with self._reading() as connection:
            ids = list(connection.execute(newest).scalars())
            found = matters_of(connection, [matter_table.c.id.in_(ids)])
        return sorted(found, key=lambda one: ids.index(one.id))

    def matter(self, number: int) -> Matter:
        """Return a matter by its number."""
        with self._reading() as connection:
            found = matters_of(connection, [matter_table.c.id == number])
        if not found:
            raise fault_error(
                "matter", "is not in this book", number, "", "List them: glossbook settle"
            )
        return found[0]

    def raise_matter(
        self,
        handin: int,
        kind: str,
        *,
        by: str,
        part: str = "",
        detail: Mapping[str, Any] | None = None,
    ) -> Matter:
        """Raise a matter about a hand-in, such as a student's appeal.

        Parameters
        ----------
        handin : int
            The hand-in.
        kind : str
            One of :data:`exercises.book.records.KINDS`.
        by : str
            Who raises it.
        part : str
            The answer key that it is about; empty for the whole hand-in.
        detail : mapping, optional
            What there is to say of it.
        """
        must_name(by)
        self.handin(handin)
        row = row_of(handin, kind, now(), part=part, detail=detail, by=storable(by))
        with self._writing() as connection:
            made = connection.execute(
                matter_table.insert().values(row).returning(matter_table.c.id)
            ).scalar_one()
            seal_new_matters(connection)
        return self.matter(made)

    def waiting(self) -> int:
        """Return how many hand-ins an assessor has still to look at."""
        return len({one.handin for one in self.matters(waiting=True)})

    def counts(self) -> dict[str, int]:
        """Return how many hand-ins are in each state."""
        return dict(Counter(one.state for one in self.handins()))


def _came_with(connection: sa.Connection, piles: Sequence[int]) -> dict[int, set[int]]:
    """Return the hand-ins of known sheets that came in each of these piles."""
    c = handin_table.c
    came: dict[int, set[int]] = {}
    asked = sa.select(c.pile, c.id).where(c.token.is_not(None))
    for pile, number in in_turns(connection, asked, c.pile, piles):
        came.setdefault(pile, set()).add(number)
    return came


def _last(connection: sa.Connection, table: sa.Table) -> int:
    """Return the highest id of a table that this connection alone writes."""
    return connection.execute(sa.select(sa.func.max(table.c.id))).scalar() or 0


def _rows_of_marks(
    connection: sa.Connection, fresh: Sequence[HandIn], at: str
) -> dict[int, list[dict[str, Any]]]:
    """Return the machine's marks of new hand-ins as rows, by hand-in, as they are read back."""
    number = count(1 + _last(connection, mark_table))
    out: dict[int, list[dict[str, Any]]] = {}
    for one in fresh:
        for verdict in one.marks:
            held = (next(number), *verdict, one.id, MACHINE, at, None)
            row = dict(zip(MARK_COLUMNS, held, strict=True))
            for name in NUMBERS:
                row[name] = float(row[name])
            out.setdefault(one.id, []).append(row)
    return out


def _row_of(one: HandIn) -> dict[str, Any]:
    """Return a hand-in as a row of its table."""
    row = {column.name: getattr(one, column.name) for column in handin_table.columns}
    return row | {"reason": storable(one.reason)}
