"""The chain of digests, by which anybody can check that a record was only added to.

Each sheet, hand-in (with the marks that the machine gave it), matter, decision (with the
marks that it gave), observation sheet, observation, dry run that was set and log of one is
sealed by an entry when it is written::

    digest = sha256(digest before | kind | plain fields | salted digests of personal fields)

A personal field is in it only as ``sha256(salt | value)``.  When a person is erased the
values and the salt go, the row is sealed again as it is then, and every older digest
still comes out.
"""

from __future__ import annotations

import hashlib
import json
import secrets
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import sqlalchemy as sa

from exercises.book.connecting import in_turns
from exercises.book.schema import (
    chain_table,
    decision_table,
    dry_run_table,
    handin_table,
    mark_table,
    matter_table,
    observation_sheet_table,
    observation_table,
    rehearsal_table,
    sheet_table,
)

BEGINNING = ""  # what the first entry takes for the digest before it
SHEET, HAND_IN, MATTER, DECISION = "sheet", "hand-in", "matter", "decision"
OBSERVATION_SHEET, OBSERVATION = "observation sheet", "observation"
DRY_RUN, REHEARSAL = "dry run", "rehearsal"


class _Kind(NamedTuple):
    """What is sealed of a table's rows.

    The plain fields are sealed by their place and are closed: one more, and no digest of
    an older book comes out.  A personal field is sealed by its name, so that a column of a
    later version is added there; rows that are older stay sealed without it.
    """

    table: sa.Table
    key: str
    plain: tuple[str, ...]
    personal: tuple[str, ...]
    marks: bool = False


_KINDS = {
    SHEET: _Kind(
        sheet_table,
        "token",
        ("token", "paper", "sitting", "questions", "opens_on", "hand_in_by", "issued_at"),
        ("student", "seed", "version"),
    ),
    HAND_IN: _Kind(
        handin_table,
        "id",
        (
            *("id", "digest", "size", "received_at", "clock", "met_at", "form", "token"),
            *("state", "dated", "dated_by", "pile"),
        ),
        ("path", "reason", "answers", "working", "fingerprint", "numbers"),
        marks=True,
    ),
    MATTER: _Kind(
        matter_table, "id", ("id", "handin", "kind", "part", "raised_by", "raised_at"), ("detail",)
    ),
    DECISION: _Kind(
        decision_table,
        "id",
        ("id", "handin", "mark", "matter", "what", "by", "at", "undoes"),
        ("reason", "told", "detail"),
        marks=True,
    ),
    OBSERVATION_SHEET: _Kind(
        observation_sheet_table,
        "token",
        ("token", "sitting", "content", "issued_by", "issued_at"),
        ("student",),
    ),
    OBSERVATION: _Kind(
        observation_table,
        "id",
        (
            *("id", "token", "observer", "second", "form", "saved_at", "digest"),
            *("answers", "numbers", "judgement", "recorded_by", "recorded_at"),
        ),
        ("notes", "log"),
    ),
    DRY_RUN: _Kind(dry_run_table, "id", ("id", "name", "digest", "content", "set_at"), ()),
    REHEARSAL: _Kind(
        rehearsal_table,
        "id",
        ("id", "handin", "dry_run", "recorded_at"),
        ("student", "log", "shown"),
    ),
}
_LONG = ("questions", "content")  # sealed by their digest
_MARK_PLAIN = (
    *("id", "handin", "question", "part", "value", "unit", "awarded", "total"),
    *("verdict", "road", "by", "at", "supersedes"),
)
_MARK_SEALED = ("reason", *_MARK_PLAIN)


# --- sealing ----------------------------------------------------------------------------


def seal(connection: sa.Connection, kind: str, subjects: Iterable[Any]) -> list[str]:
    """Seal rows that were written in this transaction; return their digests, in order."""
    subjects = list(subjects)
    contents = _contents(connection, kind, subjects)
    return _append(connection, kind, [(one, *contents[str(one)]) for one in subjects])


def seal_rows(
    connection: sa.Connection,
    kind: str,
    rows: Iterable[Mapping[str, Any]],
    marks: Mapping[Any, Sequence[Mapping[str, Any]]] | None = None,
) -> list[str]:
    """Seal rows from what was written in this transaction, which is not read back.

    Parameters
    ----------
    connection : Connection
        To the book.
    kind : str
        What they are.
    rows : iterable of mapping
        As they were inserted, with their keys.
    marks : mapping, optional
        By key, the rows of the marks that belong to each, in order.

    Returns
    -------
    list of str
        Their digests, in order.
    """
    about, its = _KINDS[kind], marks or {}
    found = []
    for row in rows:
        content = _content(
            about,
            [row[name] for name in about.plain],
            [row[name] for name in about.personal],
            [[one[name] for name in _MARK_SEALED] for one in its.get(row[about.key], ())],
        )
        found.append((row[about.key], *content))
    return _append(connection, kind, found)


def _append(
    connection: sa.Connection, kind: str, contents: Iterable[tuple[Any, list[Any], dict[str, Any]]]
) -> list[str]:
    """Append an entry for each subject with its plain and personal fields."""
    before = head(connection)
    rows = []
    for subject, plain, personal in contents:
        salt = secrets.token_hex(16)
        sealed = {name: _salted(salt, value) for name, value in personal.items()}
        before = _linked(before, kind, plain, sealed)
        rows.append(
            {
                "kind": kind,
                "subject": str(subject),
                "salt": salt,
                "sealed": sealed,
                "digest": before,
            }
        )
    if rows:
        connection.execute(chain_table.insert(), rows)
    return [str(row["digest"]) for row in rows]


def seal_new_matters(connection: sa.Connection) -> None:
    """Seal the matters that no entry seals yet."""
    c = chain_table.c
    last = connection.execute(
        sa.select(sa.func.max(sa.cast(c.subject, sa.Integer))).where(c.kind == MATTER)
    ).scalar()
    new = sa.select(matter_table.c.id).where(matter_table.c.id > (last or 0))
    seal(connection, MATTER, connection.execute(new.order_by(matter_table.c.id)).scalars())


def seal_all(connection: sa.Connection) -> None:
    """Seal all that a book holds which had no chain before."""
    for kind, about in _KINDS.items():
        key = about.table.c[about.key]
        seal(connection, kind, connection.execute(sa.select(key).order_by(key)).scalars().all())


def seal_again(connection: sa.Connection, kind: str, subjects: Iterable[Any]) -> None:
    """Seal rows from which a person was erased; their earlier salts go."""
    listed = [str(one) for one in subjects]
    for start in range(0, len(listed), 500):
        connection.execute(
            chain_table.update()
            .where(
                chain_table.c.kind == kind,
                chain_table.c.subject.in_(listed[start : start + 500]),
            )
            .values(salt=None)
        )
    seal(connection, kind, listed)


def head(connection: sa.Connection) -> str:
    """Return the digest of the last entry; empty before the first."""
    asked = sa.select(chain_table.c.digest).order_by(chain_table.c.id.desc()).limit(1)
    return str(connection.execute(asked).scalar() or BEGINNING)


def _contents(
    connection: sa.Connection, kind: str, subjects: Sequence[Any]
) -> dict[str, tuple[list[Any], dict[str, Any]]]:
    """Return the plain and the personal fields of rows, by subject."""
    about = _KINDS[kind]
    columns = about.table.c
    key = columns[about.key]
    asked = subjects if about.key == "token" else [int(one) for one in subjects]
    whole = sa.select(key, *(columns[name] for name in (*about.plain, *about.personal)))
    marks: dict[Any, list[Any]] = {}
    if about.marks:
        c = mark_table.c
        of = c.handin if kind == HAND_IN else c.decision
        its = sa.select(of, *(c[name] for name in _MARK_SEALED)).order_by(c.id)
        if kind == HAND_IN:
            its = its.where(c.decision.is_(None))
        for mark in in_turns(connection, its, of, asked):
            marks.setdefault(mark[0], []).append(mark)
    out = {}
    last = 1 + len(about.plain)
    for row in in_turns(connection, whole, key, asked):
        mine = [mark[1:] for mark in marks.get(row[0], ())]
        out[str(row[0])] = _content(about, row[1:last], row[last:], mine)
    return out


def _content(
    about: _Kind, plain: Sequence[Any], personal: Sequence[Any], marks: Sequence[Sequence[Any]]
) -> tuple[list[Any], dict[str, Any]]:
    """Return the plain and the personal fields as they are sealed."""
    sealed = [
        _digest_of(value) if name in _LONG else value
        for name, value in zip(about.plain, plain, strict=True)
    ]
    sealed.append([list(mark[1:]) for mark in marks])
    named = dict(zip(about.personal, personal, strict=True))
    if about.marks:
        named["reasons"] = [mark[0] for mark in marks]
    return sealed, named


_canonical = json.JSONEncoder(sort_keys=True, separators=(",", ":"), ensure_ascii=True).encode


def _digest_of(value: Any) -> str:
    return hashlib.sha256(_canonical(value).encode()).hexdigest()


def _salted(salt: str, value: Any) -> str:
    return hashlib.sha256(f"{salt}|{_canonical(value)}".encode()).hexdigest()[:32]


def _linked(before: str, kind: str, plain: Sequence[Any], sealed: Mapping[str, str]) -> str:
    return _digest_of([before, kind, plain, sealed])


# --- checking ---------------------------------------------------------------------------


@dataclass(frozen=True)
class Checked:
    """What checking the chain of a book found.

    Parameters
    ----------
    entries : int
        How many entries it has.
    head : str
        The digest of the last one.
    faults : list of str
        What was changed from outside, and where; empty where nothing was.
    known : bool or None
        Whether the head that was asked about is one of the chain's.
    """

    entries: int
    head: str
    faults: list[str] = field(default_factory=list)
    known: bool | None = None


def check(connection: sa.Connection, asked: str = "") -> Checked:
    """Work out every digest again and compare.

    Parameters
    ----------
    connection : Connection
        To the book.
    asked : str, optional
        A head that was printed or exported earlier, or its beginning.
    """
    entries = connection.execute(sa.select(chain_table).order_by(chain_table.c.id)).all()
    subjects: dict[str, list[str]] = {kind: [] for kind in _KINDS}
    for entry in entries:
        if entry.kind in subjects:
            subjects[entry.kind].append(entry.subject)
    contents = {
        kind: _contents(connection, kind, list(dict.fromkeys(each)))
        for kind, each in subjects.items()
    }
    last = {(entry.kind, entry.subject): entry.id for entry in entries}
    faults: list[str] = []
    before = BEGINNING
    for entry in entries:
        found = contents.get(entry.kind, {}).get(entry.subject)
        name = f"{entry.kind} {entry.subject}"
        if found is None:
            faults.append(f"{name} is gone.")
            before = entry.digest
            continue
        plain, personal = found
        if _linked(before, entry.kind, plain, entry.sealed) != entry.digest:
            faults.append(f"{name} was changed, or the entry before it (entry {entry.id}).")
        elif last[entry.kind, entry.subject] == entry.id:
            now = {
                field_name: _salted(entry.salt or "", value)
                for field_name, value in personal.items()
            }
            wrong = sorted(n for n in entry.sealed if now.get(n) != entry.sealed[n])
            if wrong:
                faults.append(f"{name} was changed: {', '.join(wrong)}.")
        before = entry.digest
    for kind, about in _KINDS.items():
        key = about.table.c[about.key]
        held = connection.execute(sa.select(key).order_by(key)).scalars()
        known = set(subjects[kind])
        faults += [f"{kind} {one} was added from outside." for one in held if str(one) not in known]
    faults += _loose_marks(connection)
    heads = [entry.digest for entry in entries]
    return Checked(
        len(entries),
        heads[-1] if heads else BEGINNING,
        faults,
        any(one.startswith(asked) for one in heads) if asked else None,
    )


def _loose_marks(connection: sa.Connection) -> list[str]:
    """Return marks that no entry can seal, since their hand-in or decision is not there."""
    c = mark_table.c
    loose = sa.select(c.id).where(
        sa.or_(
            c.handin.not_in(sa.select(handin_table.c.id)),
            sa.and_(c.decision.is_not(None), c.decision.not_in(sa.select(decision_table.c.id))),
        )
    )
    return [f"mark {one} belongs to nothing." for one in connection.execute(loose).scalars()]
