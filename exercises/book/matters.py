"""Matters in the mark book: raised, found again, open until a decision closes them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

import sqlalchemy as sa

from exercises.book.connecting import in_turns
from exercises.book.records import (
    AGAIN,
    ALIKE,
    APPEAL,
    IDENTITY,
    LATE,
    MACHINE,
    NOT_ASKED,
    UNREAD_FILE,
    UNREAD_PART,
    WORKING,
    HandIn,
    Matter,
)
from exercises.book.schema import (
    MARKED,
    SETTLED,
    UNREADABLE,
    decision_table,
    handin_table,
    matter_table,
)

COUNTS, SET_ASIDE = "counts", "set aside"
_undoing = decision_table.alias()


def standing_decisions(*columns: sa.ColumnElement[Any]) -> sa.Select[Any]:
    """Return a question for the decisions that nobody took back, oldest first."""
    undone = sa.exists().where(_undoing.c.undoes == decision_table.c.id)
    return (
        sa.select(*columns)
        .where(decision_table.c.undoes.is_(None), ~undone)
        .order_by(decision_table.c.id)
    )


def is_open() -> sa.ColumnElement[bool]:
    """Return the condition that no standing decision has closed a matter."""
    c = decision_table.c
    return matter_table.c.id.not_in(standing_decisions(c.matter).where(c.matter.is_not(None)))


def raised(entries: Iterable[HandIn], at: str) -> list[dict[str, Any]]:
    """Return the rows of the matters that were found in new hand-ins."""
    return [
        row_of(one.id, kind, at, part=part, detail=detail)
        for one in entries
        for kind, part, detail in _found(one)
    ]


def one_for_each_archive(
    connection: sa.Connection, rows: list[dict[str, Any]], entries: Iterable[HandIn]
) -> list[dict[str, Any]]:
    """Keep, of the unread files of an archive that are nobody's, the first alone."""
    by_id = {one.id: one for one in entries}
    held: set[str] = set()
    kept = []
    for row in rows:
        one = by_id[row["handin"]]
        archive, _, member = one.path.partition("!")
        if row["kind"] == UNREAD_FILE and member and one.token is None:
            if archive in held or _has_one(connection, archive, one.id):
                held.add(archive)
                continue
            held.add(archive)
            row = {**row, "detail": {"archive": archive}}
        kept.append(row)
    return kept


def _has_one(connection: sa.Connection, archive: str, before: int) -> bool:
    """Tell whether an archive has a matter for its unread files already."""
    asked = (
        sa.select(matter_table.c.id)
        .join(handin_table)
        .where(
            matter_table.c.kind == UNREAD_FILE,
            handin_table.c.id < before,
            handin_table.c.token.is_(None),
            handin_table.c.path.startswith(f"{archive}!", autoescape=True),
        )
    )
    return connection.execute(asked.limit(1)).first() is not None


def row_of(
    handin: int,
    kind: str,
    at: str,
    *,
    part: str = "",
    detail: Mapping[str, Any] | None = None,
    by: str = MACHINE,
) -> dict[str, Any]:
    """Return a matter as a row of its table."""
    return {
        "handin": handin,
        "kind": kind,
        "part": part,
        "detail": dict(detail or {}),
        "raised_by": by,
        "raised_at": at,
    }


# How a matter about a whole hand-in is called among its flags, and what it holds there.
_FLAGS = (
    (LATE, "late", ""),
    (AGAIN, "repeated", ""),
    (ALIKE, "copied", "with"),
    (IDENTITY, "swapped", "names"),
    (NOT_ASKED, "strays", "parts"),
)
_PARTS = ((UNREAD_PART, "to settle"), (WORKING, "working"))


def _found(one: HandIn) -> Iterator[tuple[str, str, dict[str, Any]]]:
    if one.state == UNREADABLE:
        yield UNREAD_FILE, "", {}
    for kind, flag, name in _FLAGS:
        if flag in one.flags:
            yield kind, "", {name: one.flags[flag]} if name else one.flags[flag]
    for kind, flag in _PARTS:
        for part in one.flags.get(flag, ()):
            yield kind, part, {}


def flags_of(matters: Iterable[Matter]) -> dict[str, Any]:
    """Return open matters as flags of a hand-in."""
    flags: dict[str, Any] = {}
    opened = [one for one in matters if one.open]
    for kind, flag, name in _FLAGS:
        for one in opened:
            if one.kind == kind:
                held = flags.get(flag, [])
                flags[flag] = sorted({*held, *one.detail[name]}) if name else one.detail
    for kind, flag in _PARTS:
        parts = [one.part for one in opened if one.kind == kind]
        if parts:
            flags[flag] = parts
    if appeals := [one.detail for one in opened if one.kind == APPEAL]:
        flags["appeal"] = appeals[-1]
    return flags


def matters_of(
    connection: sa.Connection,
    where: Sequence[sa.ColumnElement[bool]] = (),
    handins: Iterable[int] | None = None,
) -> list[Matter]:
    """Return matters, oldest first, each with the decision that closed it.

    Parameters
    ----------
    connection : Connection
        To the book.
    where : sequence of conditions
        On the table of matters.
    handins : iterable of int, optional
        Only about these.
    """
    asked = sa.select(matter_table).where(*where).order_by(matter_table.c.id)
    rows = (
        connection.execute(asked).all()
        if handins is None
        else list(in_turns(connection, asked, matter_table.c.handin, handins))
    )
    closers = standing_decisions(decision_table.c.matter, decision_table.c.id)
    closed = {
        row.matter: row.id
        for row in connection.execute(closers.where(decision_table.c.matter.is_not(None)))
    }
    found = [Matter(**row._mapping, closed_by=closed.get(row.id)) for row in rows]
    return sorted(found, key=lambda one: one.id)


def counted(connection: sa.Connection) -> dict[int, str]:
    """Return what was last decided of hand-ins: that one counts, or is set aside."""
    c = decision_table.c
    rows = connection.execute(
        standing_decisions(c.handin, c.what).where(c.what.in_((COUNTS, SET_ASIDE)))
    )
    out: dict[int, str] = {}
    for row in rows:
        out.pop(row.handin, None)  # the last one said comes last
        out[row.handin] = row.what
    return out


def complete(connection: sa.Connection, rows: Sequence[Any]) -> list[HandIn]:
    """Return hand-ins from their rows, with matters and state."""
    if not rows:  # as for nearly every pile: nothing came before of these sheets
        return []
    some = [row.id for row in rows] if len(rows) < 500 else None
    by_handin: dict[int, list[Matter]] = {}
    for matter in matters_of(connection, handins=some):
        by_handin.setdefault(matter.handin, []).append(matter)
    decided = counted(connection)
    out = []
    for row in rows:
        matters = by_handin.get(row.id, [])
        one = HandIn(
            **row._mapping,
            flags=flags_of(matters),
            matters=matters,
            set_aside=decided.get(row.id) == SET_ASIDE,
        )
        if one.state == MARKED and matters and not any(m.open for m in matters):
            one.state = SETTLED
        out.append(one)
    return out
